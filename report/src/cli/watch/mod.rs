//! `underbrush watch-folder`: last night's sheet without anybody typing.
//!
//! It looks at the folder at intervals. A night is made when its shift has ended and its
//! logs are quiet (`due`), by the same press as `underbrush sheet`; what was made and
//! printed stands in a state file (`state`), so that each sheet is printed at most once
//! whenever the program or the power ends. All that fails is told and tried again.

mod due;
mod durable;
mod printer;
mod round;
mod state;

use super::args::WatchArgs;
use super::{CliError, Outcome};
use round::{Round, Watcher};
use std::time::{Duration, Instant, SystemTime};

pub(super) fn run(args: &WatchArgs) -> Result<Outcome, CliError> {
    let (mut watcher, begun) = Watcher::open(args)?;
    if args.once {
        let round = once(&mut watcher, args.quiet)?;
        return Ok(match round {
            Round { failed: true, .. } => Outcome::Undone,
            Round { with_loss, .. } if with_loss || begun.with_loss => Outcome::WithLoss,
            _ => Outcome::Whole,
        });
    }
    loop {
        if let Err(error) = watcher.look(SystemTime::now()) {
            watcher.tell(&error.to_string());
        }
        std::thread::sleep(args.every);
    }
}

/// Looks until no log changes any more, but not for ever.
fn once(watcher: &mut Watcher<'_>, quiet: Duration) -> Result<Round, CliError> {
    let begin = Instant::now();
    let patience = quiet * 3 + Duration::from_secs(2);
    let mut all = Round::default();
    loop {
        let round = watcher.look(SystemTime::now())?;
        all = Round { with_loss: all.with_loss || round.with_loss, ..round };
        if !round.changing {
            return Ok(all);
        }
        if begin.elapsed() >= patience {
            watcher.tell("logs are still being written; what is missing is made at the next run");
            return Ok(all);
        }
        std::thread::sleep((quiet / 4).clamp(Duration::from_millis(100), Duration::from_secs(5)));
    }
}
