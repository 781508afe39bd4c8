//! `learn` on simulated machines that send in published layouts: how often it is right, and
//! how often it is right when it says that it is sure.
//!
//! `cargo test -p underbrush-agent --test learn_bench -- --nocapture` prints the table;
//! `UNDERBRUSH_LEARN_SEEDS=100..110` takes other and more drives. Scores were tuned on the
//! even layouts only (`UNDERBRUSH_LEARN_HALF=even`, or `all`); what counts are the odd ones,
//! and that of those called sure at least 95 % are right.

mod simulated;

use simulated::bus::{Bus, bus, is};
use simulated::dice::Dice;
use simulated::layout::{Layout, layouts};
use simulated::machine::{Mode, drive};
use simulated::signal::Kind;
use std::fmt::Write;
use underbrush_agent::decode::dbc::Database;
use underbrush_agent::learn::{
    Candidate, Hints, Learnt, Quantity, dbc_draft, learn, machine_draft,
};
use underbrush_protocol::settings::Machine;

const MODES: [Mode; 4] = [Mode::Prompted, Mode::Sloppy, Mode::Noted, Mode::Alone];

/// Right answers of one quantity.
#[derive(Clone, Copy, Debug, Default)]
struct Tally {
    runs: u32,
    first: u32,
    third: u32,
    sure: u32,
    sure_right: u32,
}

impl Tally {
    fn take(&mut self, right: &[bool], sure: bool) {
        self.runs += 1;
        self.first += u32::from(right.first() == Some(&true));
        self.third += u32::from(right.iter().take(3).any(|right| *right));
        self.sure += u32::from(sure);
        self.sure_right += u32::from(sure && right.first() == Some(&true));
    }

    fn row(&self) -> String {
        let share = |part: u32, all: u32| 100.0 * f64::from(part) / f64::from(all.max(1));
        format!(
            "{:4} {:6.1} {:6.1} {:6.1} {:6.1}",
            self.runs,
            share(self.first, self.runs),
            share(self.third, self.runs),
            share(self.sure, self.runs),
            share(self.sure_right, self.sure)
        )
    }
}

fn seeds() -> std::ops::Range<u64> {
    let told = std::env::var("UNDERBRUSH_LEARN_SEEDS").unwrap_or_else(|_| "1..2".to_owned());
    let (from, to) = told.split_once("..").expect("FROM..TO");
    from.parse().unwrap()..to.parse().unwrap()
}

fn halves(odd: bool) -> bool {
    match std::env::var("UNDERBRUSH_LEARN_HALF").as_deref() {
        Ok("even") => !odd,
        Ok("all") => true,
        _ => odd,
    }
}

fn run(layout: &Layout, mode: Mode, seed: u64) -> (Bus, Learnt) {
    let mut dice = Dice::new(seed ^ u64::from_str_radix(&layout.file, 16).unwrap());
    let drive = drive(mode, &mut dice);
    let bus = bus(layout, &drive, &mut dice);
    let hints = Hints { prompts: drive.prompts, known: drive.known, ..Hints::default() };
    let learnt = learn(&bus.recording, &hints);
    (bus, learnt)
}

fn sure(learnt: &Learnt, quantity: Quantity) -> bool {
    learnt.of(quantity).first().is_some_and(|best| best.sure)
}

fn right(bus: &Bus, candidates: &[Candidate], wanted: impl Fn(Kind) -> bool) -> Vec<bool> {
    candidates.iter().map(|c| is(bus, c).is_some_and(|truth| wanted(truth.kind))).collect()
}

#[test]
fn how_often_it_is_right() {
    let mut table =
        String::from("mode      layouts   quantity   runs  top 1  top 3   sure  right when sure\n");
    let mut least = Vec::new();
    let verbose = std::env::var("UNDERBRUSH_LEARN_MISSES").is_ok();
    for mode in MODES {
        for odd in [false, true].into_iter().filter(|odd| halves(*odd)) {
            let (mut speed, mut current) = (Tally::default(), Tally::default());
            let half = layouts().into_iter().enumerate().filter(|(i, _)| (i % 2 == 1) == odd);
            for (number, layout) in half {
                for seed in seeds() {
                    let (bus, learnt) = run(&layout, mode, seed);
                    drafts_are_read(&learnt);
                    let found = learnt.of(Quantity::Speed);
                    let speeds = right(&bus, found, |kind| kind == Kind::Speed);
                    speed.take(&speeds, sure(&learnt, Quantity::Speed));
                    if verbose
                        && !odd
                        && (speeds.first() != Some(&true) || !sure(&learnt, Quantity::Speed))
                    {
                        told(mode, number, seed, &bus, found);
                    }
                    if matches!(mode, Mode::Prompted | Mode::Sloppy) {
                        let found = learnt.of(Quantity::BrushCurrent);
                        let currents = right(&bus, found, |kind| matches!(kind, Kind::Brush(_)));
                        current.take(&currents, sure(&learnt, Quantity::BrushCurrent));
                        if verbose
                            && !odd
                            && (currents.first() != Some(&true)
                                || !sure(&learnt, Quantity::BrushCurrent))
                        {
                            told(mode, number, seed, &bus, found);
                        }
                    }
                }
            }
            let layouts = if odd { "odd" } else { "even" };
            let name = format!("{mode:?}");
            writeln!(table, "{name:9} {layouts:9} speed     {}", speed.row()).unwrap();
            if odd {
                least.push(("speed", mode, speed));
            }
            if current.runs > 0 {
                writeln!(table, "{name:9} {layouts:9} current   {}", current.row()).unwrap();
                if odd {
                    least.push(("current", mode, current));
                }
            }
        }
    }
    println!("{table}");
    let (mut sure, mut sure_right) = (0, 0);
    for (what, mode, tally) in least {
        // A drive that nobody prompted shows less.
        let wanted = if mode == Mode::Alone { 70 } else { 80 };
        assert!(100 * tally.third >= wanted * tally.runs, "{what} {mode:?}: {tally:?}");
        sure += tally.sure;
        sure_right += tally.sure_right;
    }
    assert!(sure >= 20 && 100 * sure_right >= 95 * sure, "{sure_right} of {sure} right when sure");
}

/// A driver who does the tasks in another order than asked: whatever is called sure is right.
#[test]
fn a_muddled_driver_makes_no_wrong_field_sure() {
    let (mut sure_right, mut wrong) = (0, Vec::new());
    for (number, layout) in layouts().iter().enumerate().filter(|(i, _)| halves(i % 2 == 1)) {
        for seed in seeds() {
            let (bus, learnt) = run(layout, Mode::Muddled, seed);
            for quantity in [Quantity::Speed, Quantity::BrushCurrent] {
                let Some(best) = learnt.of(quantity).first().filter(|best| best.sure) else {
                    continue;
                };
                let kind = is(&bus, best).map(|truth| truth.kind);
                let right = match quantity {
                    Quantity::Speed => kind == Some(Kind::Speed),
                    _ => matches!(kind, Some(Kind::Brush(_))),
                };
                if right {
                    sure_right += 1;
                } else {
                    wrong.push(format!(
                        "{number} {seed} {quantity:?} is {kind:?}: {:?}",
                        best.evidence
                    ));
                }
            }
        }
    }
    println!("muddled: {sure_right} sure and right, {} sure and wrong: {wrong:#?}", wrong.len());
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// Both drafts are read by the readers that the agent itself uses.
fn drafts_are_read(learnt: &Learnt) {
    let dbc = dbc_draft(learnt, 2);
    let database = Database::parse(dbc.as_bytes()).unwrap_or_else(|e| panic!("{e}\n{dbc}"));
    let signals: usize = database.messages.iter().map(|m| m.signals.len()).sum();
    assert_eq!(signals, dbc.matches("\n SG_ ").count(), "{dbc}");
    let machine = machine_draft(learnt, 2, None);
    Machine::parse("draft", &machine).unwrap_or_else(|e| panic!("{e}\n{machine}"));
}

/// What was taken for the quantity instead.
fn told(mode: Mode, number: usize, seed: u64, bus: &Bus, found: &[Candidate]) {
    for candidate in found.iter().take(2) {
        let truth = is(bus, candidate);
        let what = truth.map(|t| format!("{:?} {} bits", t.kind, t.place.len));
        println!(
            "{mode:?} {number} {seed}: {:?} {:?} {} score {:.2} is {what:?}: {:?} {:?}",
            candidate.id,
            candidate.field,
            if candidate.sure { "SURE" } else { "not" },
            candidate.score,
            candidate.doubts,
            candidate.evidence
        );
    }
    if found.is_empty() {
        println!("{mode:?} {number} {seed}: nothing");
    }
}
