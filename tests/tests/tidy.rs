//! The house rules that a program can check.

use std::path::{Path, PathBuf};
use underbrush_tests::top;

fn files(dir: &Path, ending: &str, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(dir).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        if path.is_dir() {
            if !matches!(name.as_str(), "target" | ".git" | "out" | "corpus") {
                files(&path, ending, found);
            }
        } else if name.ends_with(ending) {
            found.push(path);
        }
    }
}

fn all(ending: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    files(top(), ending, &mut found);
    assert!(!found.is_empty());
    found
}

fn read(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap()
}

#[test]
fn no_source_file_is_over_600_lines() {
    for path in all(".rs") {
        let lines = read(&path).lines().count();
        assert!(lines <= 600, "{}: {lines} lines; one idea a file", path.display());
    }
}

#[test]
fn every_source_file_says_what_it_is() {
    for path in all(".rs") {
        let text = read(&path);
        let first = text.lines().next().unwrap_or_default();
        let described = first.starts_with("//!") || first.starts_with("#![no_main]");
        assert!(described, "{}: begin it with a `//!` line", path.display());
    }
}

#[test]
fn nothing_is_left_open() {
    // Written in two halves so that this file passes its own test.
    let words =
        [["TO", "DO"], ["FIX", "ME"], ["unimplem", "ented!"], ["to", "do!("], ["#[ign", "ore"]];
    for path in all(".rs") {
        let text = read(&path);
        for halves in &words {
            let word = halves.concat();
            assert!(!text.contains(&word), "{}: `{word}`", path.display());
        }
    }
}

/// Data flow one way: agent and report never need each other, protocol needs nobody.
#[test]
fn crates_depend_one_way() {
    let needs = |package: &str| {
        let manifest = read(&top().join(package).join("Cargo.toml"));
        let table: toml::Table = manifest.parse().unwrap();
        ["dependencies", "dev-dependencies"]
            .iter()
            .filter_map(|kind| table.get(*kind)?.as_table().cloned())
            .flat_map(|deps| deps.into_iter().map(|(name, _)| name))
            .filter_map(|name| name.strip_prefix("underbrush-").map(str::to_owned))
            .collect::<Vec<_>>()
    };
    assert_eq!(needs("protocol"), Vec::<String>::new());
    for package in ["agent", "report", "fixtures"] {
        assert_eq!(needs(package), ["protocol"], "{package}");
    }
}

/// Each third-party dependency stands in DEVELOPERS.md with its reason.
#[test]
fn every_dependency_has_its_reason() {
    let developers = read(&top().join("DEVELOPERS.md"));
    let workspace: toml::Table = read(&top().join("Cargo.toml")).parse().unwrap();
    let dependencies = workspace["workspace"]["dependencies"].as_table().unwrap();
    for name in dependencies.keys().filter(|name| !name.starts_with("underbrush-")) {
        assert!(
            developers.contains(&format!("| `{name}` |")),
            "{name} has no line in DEVELOPERS.md"
        );
    }
}

/// README and CI run the same test command.
#[test]
fn ci_runs_the_readmes_test_command() {
    let command = "cargo test --workspace";
    let line = |text: &str| text.lines().any(|line| line.trim() == command);
    assert!(line(&read(&top().join("README.md"))) && line(&read(&top().join(".ci/run"))));
}
