//! What the command line asks for.

use std::path::PathBuf;
use underbrush_agent::offload::OffloadOptions;

/// What `--help` prints.
pub(crate) const HELP: &str = "\
Records what an auto-scrubber does into a log that survives the key switch.

usage: underbrush-agent run [--config FILE] [--verbose]
       underbrush-agent status [--config FILE] [--json]
       underbrush-agent mark [section ID] [step N | maintenance] [--config FILE]
       underbrush-agent offload DIR [--config FILE] [--check] [--same-disk]
       underbrush-agent --help | --version

  run              record from the source that FILE names; a capture is
                   recorded to its end, a live source until SIGTERM or SIGINT
  status           ask the running agent how disk, source and clock are
  mark ...         tell the running agent where the machine is: `mark section A-12
                   step 2`, `mark maintenance`; what is not named stays as it was.
                   It is in the log, safe from a power cut, when this says so. For
                   whoever may write to the agent's socket: its own user and root
  offload DIR      copy the log to DIR, a mounted stick or share, also while the
                   agent runs; each machine gets a folder of its own there, which
                   `underbrush` reads like a log directory
  --config FILE    settings, TOML; paths in it are relative to the file
                   (default: /etc/underbrush/agent.toml)
  --verbose        also say each sync: what is safe from a power cut by now
  --json           the status as one line of JSON
  --check          read all copies again, also those listed as whole
  --same-disk      copy also to the file system that the log is on

exit codes: 0 whole; 1 wrong use or settings; 2 failed;
            3 done, but data of the replay were lost or not understood,
            something was not copied, or (status) readings are not being stored
";

const USUAL_CONFIG: &str = "/etc/underbrush/agent.toml";

/// One thing to do.
#[derive(Debug, PartialEq, Eq)]
pub(crate) enum Command {
    /// Record.
    Run {
        /// The settings file.
        config: PathBuf,
        /// Say each sync.
        verbose: bool,
    },
    /// Ask the running agent.
    Status {
        /// The settings file.
        config: PathBuf,
        /// As JSON.
        json: bool,
    },
    /// Tell the running agent where the machine is.
    Mark {
        /// The settings file.
        config: PathBuf,
        /// Section and phase as they were written.
        words: String,
    },
    /// Copy the log.
    Offload {
        /// The settings file.
        config: PathBuf,
        /// Where to.
        dir: PathBuf,
        /// How.
        options: OffloadOptions,
    },
    /// Print the help.
    Help,
    /// Print the version.
    Version,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Word {
    Run,
    Status,
    Mark,
    Offload,
}

impl Word {
    fn read(word: &str) -> Option<Self> {
        match word {
            "run" => Some(Self::Run),
            "status" => Some(Self::Status),
            "mark" => Some(Self::Mark),
            "offload" => Some(Self::Offload),
            _ => None,
        }
    }
}

/// Reads the arguments of this process.
pub(crate) fn read() -> Result<Command, lexopt::Error> {
    parse(lexopt::Parser::from_env())
}

fn parse(mut parser: lexopt::Parser) -> Result<Command, lexopt::Error> {
    use lexopt::prelude::{Long, Short, Value};
    let mut word = None;
    let mut config = None;
    let (mut verbose, mut json) = (false, false);
    let mut dir = None;
    let mut words: Vec<String> = Vec::new();
    let mut options = OffloadOptions::default();
    while let Some(argument) = parser.next()? {
        match argument {
            Short('h') | Long("help") => return Ok(Command::Help),
            Short('V') | Long("version") => return Ok(Command::Version),
            Long("config") => config = Some(PathBuf::from(parser.value()?)),
            Long("verbose") if word == Some(Word::Run) => verbose = true,
            Long("json") if word == Some(Word::Status) => json = true,
            Long("check") if word == Some(Word::Offload) => options.check = true,
            Long("same-disk") if word == Some(Word::Offload) => options.same_disk = true,
            Value(text) if word == Some(Word::Offload) && dir.is_none() => {
                dir = Some(PathBuf::from(text));
            }
            Value(text) if word == Some(Word::Mark) => {
                words.push(text.to_string_lossy().into_owned());
            }
            Value(text) if word.is_none() => {
                word = Some(text.to_str().and_then(Word::read).ok_or_else(|| {
                    format!("`{}` is no command", text.to_string_lossy().escape_debug())
                })?);
            }
            other => return Err(other.unexpected()),
        }
    }
    let config = config.unwrap_or_else(|| USUAL_CONFIG.into());
    match word {
        Some(Word::Run) => Ok(Command::Run { config, verbose }),
        Some(Word::Status) => Ok(Command::Status { config, json }),
        Some(Word::Mark) => Ok(Command::Mark { config, words: words.join(" ") }),
        Some(Word::Offload) => match dir {
            Some(dir) => Ok(Command::Offload { config, dir, options }),
            None => Err("say where to: `offload DIR`".into()),
        },
        None => {
            Err("say what to do: `run`, `status`, `mark`, `offload`, `--help` or `--version`"
                .into())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(words: &[&str]) -> Result<Command, String> {
        let words = std::iter::once("underbrush-agent").chain(words.iter().copied());
        parse(lexopt::Parser::from_iter(words)).map_err(|error| error.to_string())
    }

    #[test]
    fn commands_and_their_options() {
        let run = |config: &str, verbose| Ok(Command::Run { config: config.into(), verbose });
        assert_eq!(read(&["run", "--config", "a.toml"]), run("a.toml", false));
        assert_eq!(read(&["run", "--verbose"]), run(USUAL_CONFIG, true));
        let status = |json| Ok(Command::Status { config: "a.toml".into(), json });
        assert_eq!(read(&["status", "--config", "a.toml"]), status(false));
        assert_eq!(read(&["status", "--json", "--config", "a.toml"]), status(true));
        assert_eq!(read(&["run", "--help"]), Ok(Command::Help));
        let offload = |check, same_disk| {
            let options = OffloadOptions { check, same_disk };
            Ok(Command::Offload { config: "a.toml".into(), dir: "/m".into(), options })
        };
        assert_eq!(read(&["offload", "/m", "--config", "a.toml"]), offload(false, false));
        let words = ["mark", "section", "A-12", "step", "2", "--config", "a.toml"];
        let marked = Command::Mark { config: "a.toml".into(), words: "section A-12 step 2".into() };
        assert_eq!(read(&words), Ok(marked));
        let all = ["offload", "--check", "--config", "a.toml", "/m", "--same-disk"];
        assert_eq!(read(&all), offload(true, true));
        for wrong in [&["offload"][..], &["offload", "a", "b"], &["run", "--check"]] {
            assert!(read(wrong).is_err(), "{wrong:?}");
        }
        for wrong in [&["walk"][..], &[], &["run", "run"], &["run", "--loud"], &["--verbose"]] {
            assert!(read(wrong).is_err(), "{wrong:?}");
        }
    }
}
