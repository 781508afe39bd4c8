//! `underbrush`: see `underbrush --help`.

use std::process::ExitCode;

fn main() -> ExitCode {
    underbrush_report::cli::main(std::env::args_os().skip(1))
}
