//! The six weeks of Fernhollow Hall as a folder that `underbrush` works in.
//!
//! Each machine has a thread: its nights are simulated one after the other, and their bytes
//! go through the agent into its folder of the log as they come.

use std::fs;
use std::path::Path;
use underbrush_agent::record_chunks;
use underbrush_fixtures::programme::{Night, NightTruth, Programme};
use underbrush_fixtures::{Simulation, Truth};
use underbrush_protocol::time::{BootMs, UtcMs};

use crate::scenario;

/// What went wrong, in words.
type Failure = Box<dyn std::error::Error + Send + Sync>;

/// Makes logs, settings, shift book and truth in `out`; `done` hears of each night. What an
/// earlier run left there is replaced.
pub fn make(
    programme: &Programme,
    out: &Path,
    done: impl Fn() + Sync,
) -> Result<Vec<NightTruth>, Failure> {
    let log = out.join("log");
    if log.exists() {
        fs::remove_dir_all(&log)?;
    }
    fs::create_dir_all(&log)?;
    fs::copy(scenario("programme/site.toml"), out.join("site.toml"))?;
    for (number, (_, file)) in (1..).zip(programme.machines()) {
        fs::copy(scenario(file), out.join(format!("machine-{number}.toml")))?;
    }
    let mut truths = record_all(programme, &log, &done)?;
    truths.sort_by_key(|night| (night.date, night.machine));
    fs::write(out.join("book.toml"), programme.book(&truths))?;
    fs::write(out.join("truth.toml"), programme.truth_text(&truths))?;
    Ok(truths)
}

fn record_all(
    programme: &Programme,
    log: &Path,
    done: &(impl Fn() + Sync),
) -> Result<Vec<NightTruth>, Failure> {
    let of_one = |number: usize, id: &str| -> Result<Vec<NightTruth>, Failure> {
        let nights = programme.nights_of(number).map(|night| {
            let truth = work(night, id, &log.join(id))?;
            done();
            Ok(NightTruth::new(night, &truth))
        });
        nights.collect()
    };
    let machines: Vec<(usize, &str)> = programme.machines().map(|(id, _)| id).enumerate().collect();
    let found: Vec<_> = std::thread::scope(|scope| {
        let threads: Vec<_> =
            machines.iter().map(|(number, id)| scope.spawn(|| of_one(*number, id))).collect();
        threads.into_iter().map(std::thread::ScopedJoinHandle::join).collect()
    });
    let mut truths = Vec::new();
    for of_machine in found {
        truths.extend(of_machine.map_err(|_| "a machine's thread panicked")??);
    }
    Ok(truths)
}

/// One night through the agent; without its power only the floor knows of it.
fn work(night: &Night, id: &str, log: &Path) -> Result<Truth, Failure> {
    let mut simulation = Simulation::new(night.plan.clone(), night.seed);
    if night.recorded {
        let start = UtcMs(night.plan.start_utc_ms);
        let chunks = simulation.by_ref().map(|chunk| (BootMs(chunk.arrival_ms), chunk.bytes));
        let outcome = record_chunks(log, id, start, chunks)?;
        if outcome.dropped > 0 {
            return Err(format!("{} of {id}: {outcome}", night.date).into());
        }
    } else {
        simulation.by_ref().for_each(drop);
    }
    Ok(simulation.truth().clone())
}
