//! `underbrush-agent`: arguments to calls, results to exit codes.

mod arguments;

use arguments::{Command, HELP};
use std::io::{IsTerminal, Write};
use std::path::Path;
use std::process::ExitCode;
use tracing::level_filters::LevelFilter;
use underbrush_agent::calibrate::calibrate;
use underbrush_agent::check::check;
use underbrush_agent::control::{ask_status, tell_mark};
use underbrush_agent::learn::learn_command;
use underbrush_agent::offload::offload;
use underbrush_agent::{AgentError, Config, FollowForm, Outcome, follow, run_blocking};

const WRONG_USE: u8 = 1;

fn main() -> ExitCode {
    let command = match arguments::read() {
        Ok(command) => command,
        Err(error) => {
            eprintln!("underbrush-agent: {error}\n\n{HELP}");
            return ExitCode::from(WRONG_USE);
        }
    };
    match command {
        Command::Help => {
            say(HELP);
            ExitCode::SUCCESS
        }
        Command::Version => {
            say(concat!("underbrush-agent ", env!("CARGO_PKG_VERSION"), "\n"));
            ExitCode::SUCCESS
        }
        Command::Offload { config, dir, options } => {
            tell_on_stderr(LevelFilter::WARN);
            let copied = Config::read(&config).and_then(|c| Ok(offload(&c, &dir, options)?));
            ended(copied.map(|copied| (copied.to_string(), copied.exit_code())))
        }
        Command::Status { config, json, follow: true } => ended(follow_status(&config, json)),
        Command::Status { config, json, follow: false } => ended(status(&config, json)),
        Command::Mark { config, words } => ended(
            Config::read(&config)
                .and_then(|config| tell_mark(&config.control, &words))
                .map(|said| (format!("marked: {said}\n"), 0)),
        ),
        Command::Learn(options) => {
            tell_on_stderr(LevelFilter::WARN);
            ended(learn_command(&options).map(|done| (done.text, done.exit_code)))
        }
        Command::Calibrate(what) => {
            tell_on_stderr(LevelFilter::WARN);
            ended(calibrate(&what).map(|text| (text, 0)))
        }
        Command::Check(options) => {
            tell_on_stderr(LevelFilter::WARN);
            let out = std::io::stdout();
            let terminal = out.is_terminal();
            ended(check(&options, terminal, out).map(|code| (String::new(), code)))
        }
        Command::Run { config, verbose } => {
            tell_on_stderr(if verbose { LevelFilter::DEBUG } else { LevelFilter::INFO });
            ended(record(&config).map(|outcome| (outcome.to_string(), outcome.exit_code())))
        }
    }
}

fn tell_on_stderr(level: LevelFilter) {
    tracing_subscriber::fmt()
        .with_writer(std::io::stderr)
        .with_target(false)
        .with_max_level(level)
        .init();
}

fn record(file: &Path) -> Result<Outcome, AgentError> {
    let config = Config::read(file)?;
    run_blocking(&config, |progress| {
        tracing::info!(done = progress.bytes_done, of = progress.bytes_total, "replaying");
    })
}

fn status(file: &Path, json: bool) -> Result<(String, u8), AgentError> {
    const NOT_STORING: u8 = 3;
    let status = ask_status(&Config::read(file)?.control)?;
    let text = if json { status.json() } else { status.to_string() };
    Ok((text, if status.all_well() { 0 } else { NOT_STORING }))
}

fn follow_status(file: &Path, json: bool) -> Result<(String, u8), AgentError> {
    let control = Config::read(file)?.control;
    let mut out = std::io::stdout();
    let form = match (json, out.is_terminal()) {
        (true, _) => FollowForm::Json,
        (false, true) => FollowForm::Screen,
        (false, false) => FollowForm::Lines,
    };
    follow(&control, form, &mut out).map(|()| (String::new(), 0))
}

/// Prints what a command came to and gives its exit code.
fn ended(result: Result<(String, u8), AgentError>) -> ExitCode {
    match result {
        Ok((text, code)) => {
            say(&text);
            ExitCode::from(code)
        }
        Err(error) => {
            eprintln!("underbrush-agent: {error}");
            ExitCode::from(error.exit_code())
        }
    }
}

/// Prints to standard output; the log is written, so a closed reader changes nothing.
fn say(text: &str) {
    let _ = std::io::stdout().write_all(text.as_bytes());
}
