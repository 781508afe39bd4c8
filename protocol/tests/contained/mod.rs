//! Feeds something hostile to a reader in a process of its own, and measures it.
//!
//! The process may use 20 s of processor time and 1 GiB of addresses (`ulimit`); what
//! counts is how far its address space grew while the bytes were read. Address space
//! rather than resident memory: room that is asked for and never touched counts too.

use std::process::Command;

/// Runs `feed` on what `build` makes; its address space may grow by `most_mib`.
///
/// `test` is the full name of the calling test, which is run again in the process.
pub(crate) fn contained<T>(
    test: &str,
    most_mib: u64,
    build: impl FnOnce() -> T,
    feed: impl FnOnce(&T),
) {
    if std::env::var("UNDERBRUSH_BOMB").is_ok_and(|name| name == test) {
        let bomb = build();
        let before = status_kib("VmSize:");
        feed(&bomb);
        println!("\ngrew by {} KiB", status_kib("VmPeak:").saturating_sub(before));
        return;
    }
    let run = Command::new("sh")
        .args(["-c", "ulimit -t 20 && ulimit -v 1048576 && exec \"$@\"", "sh"])
        .arg(std::env::current_exe().unwrap())
        .args([test, "--exact", "--nocapture", "--test-threads=1"])
        .env("UNDERBRUSH_BOMB", test)
        // One heap: the C library else reserves 64 MiB for each thread's.
        .env("MALLOC_ARENA_MAX", "1")
        .output()
        .unwrap();
    let out = String::from_utf8_lossy(&run.stdout).into_owned();
    let err = String::from_utf8_lossy(&run.stderr);
    assert!(run.status.success(), "{test}: {}\n{out}\n{err}", run.status);
    let grown = out.lines().find_map(|line| line.strip_prefix("grew by ")?.strip_suffix(" KiB"));
    let grown: u64 = grown.unwrap_or_else(|| panic!("{test} did not run:\n{out}")).parse().unwrap();
    println!("{test}: {grown} KiB");
    assert!(grown <= most_mib * 1024, "{test}: grew by {grown} KiB, more than {most_mib} MiB");
}

fn status_kib(key: &str) -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap();
    let line = status.lines().find(|line| line.starts_with(key)).unwrap();
    line.split_whitespace().nth(1).unwrap().parse().unwrap()
}
