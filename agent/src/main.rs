//! `underbrush-agent`: arguments to calls, results to exit codes.

use std::io::Write;
use std::path::PathBuf;
use std::process::ExitCode;
use underbrush_agent::{AgentError, Config, Outcome, run_blocking};

const HELP: &str = "\
Records what an auto-scrubber does into a log that survives the key switch.

usage: underbrush-agent run --config FILE
       underbrush-agent --help | --version

  run              record from the source that FILE names; a capture is
                   recorded to its end, a live source until SIGTERM or SIGINT
  --config FILE    settings, TOML; paths in it are relative to the file

exit codes: 0 whole; 1 wrong use or settings; 2 failed;
            3 done, but data of the replay were lost or not understood
";

const WRONG_USE: u8 = 1;

enum Command {
    Run(PathBuf),
    Help,
    Version,
}

fn main() -> ExitCode {
    tracing_subscriber::fmt().with_writer(std::io::stderr).with_target(false).init();
    match arguments() {
        Ok(Command::Help) => {
            say(HELP);
            ExitCode::SUCCESS
        }
        Ok(Command::Version) => {
            say(concat!("underbrush-agent ", env!("CARGO_PKG_VERSION"), "\n"));
            ExitCode::SUCCESS
        }
        Ok(Command::Run(file)) => match record(&file) {
            Ok(outcome) => {
                say(&outcome.to_string());
                ExitCode::from(outcome.exit_code())
            }
            Err(error) => {
                eprintln!("underbrush-agent: {error}");
                ExitCode::from(error.exit_code())
            }
        },
        Err(error) => {
            eprintln!("underbrush-agent: {error}\n\n{HELP}");
            ExitCode::from(WRONG_USE)
        }
    }
}

fn record(file: &std::path::Path) -> Result<Outcome, AgentError> {
    let config = Config::read(file)?;
    run_blocking(&config, |progress| {
        tracing::info!(done = progress.bytes_done, of = progress.bytes_total, "replaying");
    })
}

fn arguments() -> Result<Command, lexopt::Error> {
    use lexopt::prelude::{Long, Short, Value};
    let mut parser = lexopt::Parser::from_env();
    let mut run = false;
    let mut config = None;
    while let Some(argument) = parser.next()? {
        match argument {
            Short('h') | Long("help") => return Ok(Command::Help),
            Short('V') | Long("version") => return Ok(Command::Version),
            Long("config") => config = Some(PathBuf::from(parser.value()?)),
            Value(word) if word == "run" && !run => run = true,
            other => return Err(other.unexpected()),
        }
    }
    match (run, config) {
        (true, Some(file)) => Ok(Command::Run(file)),
        (true, None) => Err("`run` needs `--config FILE`".into()),
        (false, _) => Err("say what to do: `run`, `--help` or `--version`".into()),
    }
}

/// Prints to standard output; the log is written, so a closed reader changes nothing.
fn say(text: &str) {
    let _ = std::io::stdout().write_all(text.as_bytes());
}
