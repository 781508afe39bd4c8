//! `power-cut-disk`: a disk for a virtual machine that remembers every write and flush,
//! and makes the disks that a power cut could have left.
//!
//! The model of a disk with a volatile cache: a write is safe once a later flush has
//! been answered, or at once if it asked for that itself. Of the writes after the last
//! flush any part may be on the disk, in any order, each whole or torn at a border of
//! 512 bytes. Source: the Linux kernel's
//! `Documentation/block/writeback_cache_control.rst`; that single sectors are not torn is
//! common practice, no published source.

mod nbd;
mod recording;
mod states;
mod summary;

use std::path::Path;
use std::process::ExitCode;

const USAGE: &str = "\
usage: power-cut-disk record IMAGE RECORDING NBD-SOCKET CONSOLE-SOCKET
           serves IMAGE's content; prints console lines; ends with its standard input
       power-cut-disk summary RECORDING
       power-cut-disk states IMAGE RECORDING FOLDER COUNT SEED BATCH
           writes disk images, BATCH in one file, and states.txt: file, place in it,
           event, kind, writes in the cache, writes kept, what was synced
";

type Outcome<T> = Result<T, Box<dyn std::error::Error>>;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let done = match words[..] {
        ["record", image, recording, nbd, console] => {
            nbd::record(Path::new(image), Path::new(recording), Path::new(nbd), Path::new(console))
        }
        ["summary", recording] => summary::print(Path::new(recording)),
        ["states", image, recording, folder, count, seed, batch] => states::write(
            Path::new(image),
            Path::new(recording),
            Path::new(folder),
            [count, seed, batch],
        ),
        _ => {
            eprint!("{USAGE}");
            return ExitCode::from(1);
        }
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("power-cut-disk: {error}");
            ExitCode::from(2)
        }
    }
}
