//! What the command line asks for.

mod bench;
mod learn;

use bench::{CalibrateArguments, CheckArguments};
use learn::LearnArguments;
use std::path::PathBuf;
use underbrush_agent::calibrate::Calibration;
use underbrush_agent::check::CheckOptions;
use underbrush_agent::learn::LearnOptions;
use underbrush_agent::offload::OffloadOptions;

/// What `--help` prints.
pub(crate) const HELP: &str = "\
Records what an auto-scrubber does into a log that survives the key switch.

usage: underbrush-agent run [--config FILE] [--verbose]
       underbrush-agent status [--config FILE] [--json] [--follow]
       underbrush-agent mark [section ID] [step N | maintenance] [--config FILE]
       underbrush-agent offload DIR [--config FILE] [--check] [--same-disk]
       underbrush-agent learn --capture FILE [--prompts FILE] [--speed-at T=SPEED]...
                              [--current-at T=CURRENT]...
       underbrush-agent learn --interface NAME [--rounds N] [--seconds-per-prompt N]
       underbrush-agent learn --port PORT --bitrate N [--baud N] [--rounds N]
                              [--seconds-per-prompt N]    all: [--machine FILE] [--out DIR]
       underbrush-agent check [--config FILE] [--once [--for TIME]] [--json]
       underbrush-agent calibrate current --motor N --pair READ=SHOWN... [--config FILE]
       underbrush-agent calibrate wheel --distance LENGTH [--runs N] [--config FILE]
       underbrush-agent --help | --version

  run              record from the source that FILE names; a capture is
                   recorded to its end, a live source until SIGTERM or SIGINT
  status           ask the running agent how disk, source and clock are, and which
                   alarms are on; with --follow until Ctrl-C, drawn in place in a
                   terminal, elsewhere a line for each change
  mark ...         tell the running agent where the machine is: `mark section A-12
                   step 2`, `mark maintenance`; what is not named stays as it was.
                   It is in the log, safe from a power cut, when this says so. For
                   whoever may write to the agent's socket: its own user and root
  offload DIR      copy the log to DIR, a mounted stick or share, also while the
                   agent runs; each machine gets a folder of its own there, which
                   `underbrush` reads like a log directory
  learn            listen to an unknown CAN bus and propose which bits carry speed,
                   brush current and more: a report, plots and drafts of a DBC and
                   a machine file in DIR (default: learnt). It never sends. With
                   --interface, or --port of a CAN adapter (--bitrate of the bus, --baud of
                   the port), it asks the driver to drive, stop and use the brushes, each
                   for 10 s to 20 s or as --seconds-per-prompt says (5 to 120); the
                   machine's manual comes first
  check            listen to the source that FILE names, without recording, and show each
                   channel with its unit, rate and age, and whether a machine can say
                   that: drawn in place until Ctrl-C; with --once a table after TIME
                   (default: 12 s), as for a file to its end. The agent must not run
                   from the same port
  calibrate current  factor and offset of a brush motor's current by a clamp meter: one
                   --pair for each load, what the agent reads and what the clamp
                   shows, in A: --pair 4.1=4.4 --pair 37.2=38.5. Nothing is written:
                   it says what to put into the machine file
  calibrate wheel  factor of the speed by driving a measured distance, 3 m to 1000 m:
                   --distance '10 m' or '33 ft'; stand, drive it, stand, N times
                   (default: 3, most: 10). Mean, 95 % interval and the line for the
                   machine file; runs that disagree by more than 3 % are refused
  --prompts FILE   when the driver was asked to do what in the capture
  --speed-at T=V   a speed known from elsewhere: --speed-at '65 s=2.5 mph'
  --current-at T=I what a clamp meter around a brush motor's lead showed:
                   --current-at '120 s=38.5 A'; both may be given many times
  --machine FILE   a machine file whose [[signal]] tables are replaced in the draft
  --config FILE    settings, TOML; paths in it are relative to the file
                   (default: /etc/underbrush/agent.toml)
  --verbose        also say each sync: what is safe from a power cut by now
  --json           the status as one line of JSON
  --check          read all copies again, also those listed as whole
  --same-disk      copy also to the file system that the log is on

exit codes: 0 whole; 1 wrong use or settings; 2 failed;
            3 done, but data of the replay were lost or not understood,
            something was not copied, (status) readings are not being stored,
            (check) a channel is missing, stuck or impossible,
            or (learn) the ground speed is not sure
";

const USUAL_CONFIG: &str = "/etc/underbrush/agent.toml";

/// One thing to do.
#[derive(Debug, PartialEq)]
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
        /// As it changes.
        follow: bool,
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
    /// Learn an unknown bus.
    Learn(LearnOptions),
    /// Set readings right by an instrument.
    Calibrate(Calibration),
    /// Show what the source says.
    Check(CheckOptions),
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
    Learn,
    Calibrate,
    Check,
}

impl Word {
    fn read(word: &str) -> Option<Self> {
        match word {
            "run" => Some(Self::Run),
            "status" => Some(Self::Status),
            "mark" => Some(Self::Mark),
            "offload" => Some(Self::Offload),
            "learn" => Some(Self::Learn),
            "calibrate" => Some(Self::Calibrate),
            "check" => Some(Self::Check),
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
    let (mut verbose, mut json, mut follow) = (false, false, false);
    let mut dir = None;
    let mut words: Vec<String> = Vec::new();
    let mut options = OffloadOptions::default();
    let mut learn = LearnArguments::default();
    let mut calibrate = CalibrateArguments::default();
    let mut check = CheckArguments::default();
    while let Some(argument) = parser.next()? {
        match argument {
            Short('h') | Long("help") => return Ok(Command::Help),
            Short('V') | Long("version") => return Ok(Command::Version),
            Long("config") => config = Some(PathBuf::from(parser.value()?)),
            Long("verbose") if word == Some(Word::Run) => verbose = true,
            Long("json") if word == Some(Word::Status) => json = true,
            Long("follow") if word == Some(Word::Status) => follow = true,
            Long("json") if word == Some(Word::Check) => check.json = true,
            Long("once") if word == Some(Word::Check) => check.once = true,
            Long("for") if word == Some(Word::Check) => check.time(&parser.value()?)?,
            Long("check") if word == Some(Word::Offload) => options.check = true,
            Long("same-disk") if word == Some(Word::Offload) => options.same_disk = true,
            Long(name) if word == Some(Word::Learn) => {
                let name = name.to_owned();
                learn.take(&name, parser.value()?)?;
            }
            Long(name) if word == Some(Word::Calibrate) => {
                let name = name.to_owned();
                calibrate.take(&name, &parser.value()?)?;
            }
            Value(text)
                if word == Some(Word::Calibrate)
                    && calibrate.word(text.to_str().unwrap_or_default()) => {}
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
    if word == Some(Word::Calibrate) {
        return calibrate.done(config).map(Command::Calibrate);
    }
    let config = config.unwrap_or_else(|| USUAL_CONFIG.into());
    match word {
        Some(Word::Run) => Ok(Command::Run { config, verbose }),
        Some(Word::Status) => Ok(Command::Status { config, json, follow }),
        Some(Word::Mark) => Ok(Command::Mark { config, words: words.join(" ") }),
        Some(Word::Offload) => match dir {
            Some(dir) => Ok(Command::Offload { config, dir, options }),
            None => Err("say where to: `offload DIR`".into()),
        },
        Some(Word::Check) => Ok(Command::Check(check.done(config))),
        Some(Word::Learn) => learn.options().map(Command::Learn),
        _ => Err(
            "say what to do: `run`, `status`, `mark`, `offload`, `learn`, `calibrate`, `check`, \
                  `--help` or `--version`"
                .into(),
        ),
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
        let status = |json, follow| Ok(Command::Status { config: "a.toml".into(), json, follow });
        assert_eq!(read(&["status", "--config", "a.toml"]), status(false, false));
        assert_eq!(read(&["status", "--json", "--config", "a.toml"]), status(true, false));
        assert_eq!(read(&["status", "--follow", "--config", "a.toml"]), status(false, true));
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
        let pair = underbrush_agent::calibrate::Pair { read: 37.2, shown: 38.5 };
        let calibration = Calibration::Current { motor: 2, pairs: vec![pair], config: None };
        let current = ["calibrate", "current", "--motor", "2", "--pair", "37.2 = 38.5 A"];
        assert_eq!(read(&current), Ok(Command::Calibrate(calibration)));
        for wrong in [&["calibrate"][..], &["calibrate", "x"], &current[..4], &current[..2]] {
            assert!(read(wrong).is_err(), "{wrong:?}");
        }
        for wrong in [&["offload"][..], &["offload", "a", "b"], &["run", "--check"]] {
            assert!(read(wrong).is_err(), "{wrong:?}");
        }
        for wrong in [&["walk"][..], &[], &["run", "run"], &["run", "--loud"], &["--verbose"]] {
            assert!(read(wrong).is_err(), "{wrong:?}");
        }
    }
}
