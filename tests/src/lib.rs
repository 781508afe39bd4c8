//! What the demo and the end-to-end tests share.

pub mod bench_machine;
pub mod confusion;
pub mod every_seed;
pub mod live_alarms;
pub mod programme;
pub mod slow_failures;
pub mod truth;
pub mod unmarked;
pub mod wear_truth;

use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::OnceLock;

/// The repository's top folder.
pub fn top() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap_or(Path::new("."))
}

/// A file of the made-up building.
pub fn scenario(name: &str) -> PathBuf {
    top().join("fixtures/scenario").join(name)
}

/// The real program of that name (`underbrush`, `underbrush-agent`, `simulate`) in this profile.
///
/// `cargo test --workspace` builds them before any test runs; where only this package is tested
/// and they are missing, they are built here.
///
/// # Panics
/// If it cannot be built.
pub fn program(name: &str) -> Command {
    static FOLDER: OnceLock<PathBuf> = OnceLock::new();
    let folder = FOLDER.get_or_init(|| {
        let this = std::env::current_exe().unwrap_or_default();
        // target/<profile>/deps/<test> or target/<profile>/<bin>
        let folder = this
            .ancestors()
            .skip(1)
            .find(|dir| dir.file_name().is_some_and(|n| n != "deps"))
            .unwrap_or(Path::new("."))
            .to_owned();
        if !["underbrush", "underbrush-agent", "simulate"]
            .iter()
            .all(|name| folder.join(name).exists())
        {
            build(folder.file_name().is_some_and(|n| n == "release"));
        }
        folder
    });
    Command::new(folder.join(name))
}

fn build(release: bool) {
    let mut cargo = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    cargo.current_dir(top()).args(["build", "--quiet", "--workspace", "--bins"]);
    if release {
        cargo.arg("--release");
    }
    let status = cargo.status();
    assert!(status.is_ok_and(|s| s.success()), "the programs could not be built");
}
