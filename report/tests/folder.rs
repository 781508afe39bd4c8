//! The program in a folder with the usual names, and with two machines.
//!
//! The logs are made by hand; no check of figures rests on them.

mod common;

use std::path::Path;
use std::process::{Command, Output};

fn underbrush(folder: &Path, args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_underbrush")).args(args).current_dir(folder).output().unwrap()
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned() + &String::from_utf8_lossy(&output.stdout)
}

#[test]
fn what_is_missing_is_named_with_its_place() {
    let dir = tempfile::tempdir().unwrap();
    let empty = underbrush(dir.path(), &["sheet"]);
    assert_eq!(empty.status.code(), Some(1));
    assert!(said(&empty).contains("has no machine*.toml"), "{}", said(&empty));
    std::fs::write(dir.path().join("machine.toml"), "id = \"T1\"\n").unwrap();
    let no_log = underbrush(dir.path(), &["sheet"]);
    assert!(said(&no_log).contains("--log is missing"), "{}", said(&no_log));
    for book in ["book.toml", "book.csv"] {
        std::fs::write(dir.path().join(book), "").unwrap();
    }
    std::fs::create_dir(dir.path().join("log")).unwrap();
    std::fs::write(dir.path().join("site.toml"), "").unwrap();
    let two = underbrush(dir.path(), &["sheet"]);
    assert!(said(&two).contains("say with --book which one counts"), "{}", said(&two));
}
