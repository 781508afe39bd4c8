//! Random nights by a plan.

use underbrush_fixtures::{
    Event, MachineSpec, Pace, Phase as TruePhase, PlanItem, PlannedEvent, ShiftPlan, Work,
};
use underbrush_protocol::si::Seconds;
use underbrush_report::findings::Planned;
use underbrush_report::settings::{Phase, Site};

/// Work in one place in a night, in order; `None`: not by the plan.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Done {
    /// Place in the plan.
    pub entry: Option<usize>,
    /// Section and phase.
    pub place: (usize, Phase),
    /// Minutes of work.
    pub minutes: f64,
    /// The next one follows without a rest.
    pub joined: bool,
}

/// What is simulated and what was planned.
#[derive(Debug)]
pub struct Night {
    /// The shift.
    pub shift: ShiftPlan,
    /// What was to be done.
    pub planned: Vec<Planned>,
    /// What was done; parts of interrupted work are two.
    pub done: Vec<Done>,
}

/// How far a crew keeps to its plan.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Crew {
    /// Share of entries left out.
    pub skips: f64,
    /// Share of pairs of neighbours worked in the other order.
    pub swaps: f64,
    /// Share of nights in which the last entry or two are not worked.
    pub ends_early: f64,
}

/// Keeps to the order of its plan; what does not fit in is left at the end.
pub const ORDERLY: Crew = Crew { skips: 0.02, swaps: 0.01, ends_early: 0.10 };
/// Leaves out something in two nights of five, and swaps in one of five.
pub const LOOSE: Crew = Crew { skips: 0.06, swaps: 0.03, ends_early: 0.0 };

/// Random numbers by a seed: splitmix64 (Steele and others 2014).
#[derive(Debug)]
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    fn share(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + self.share() * (high - low)
    }

    fn below(&mut self, count: usize) -> usize {
        (self.share() * count as f64) as usize % count.max(1)
    }

    fn happens(&mut self, share: f64) -> bool {
        self.share() < share
    }
}

const SQ_FT_M2: f64 = 0.092_903_04;
/// Two passes at about 2.5 mph with turns, as the demo's tour has it.
const TOUR_MIN_PER_SQ_FT: f64 = 0.005;

fn plan(site: &Site, dice: &mut Dice) -> Vec<Planned> {
    let polished: Vec<usize> =
        (0..site.sections.len()).filter(|i| site.sections[*i].polish).collect();
    let mut planned = Vec::new();
    let entry = |section: usize, phase, minutes: f64| Planned {
        section,
        phase,
        expected: Seconds(minutes * 60.0),
    };
    let minutes = |step: u8| site.step(step).map_or(30.0, |step| step.minutes);
    let first = polished[dice.below(polished.len())];
    let steps = site.steps.len() as u8;
    match dice.below(4) {
        0 => {}
        // One section through two steps.
        1 => {
            let step = 1 + dice.below(usize::from(steps) - 1) as u8;
            planned.push(entry(first, Phase::Step(step), minutes(step)));
            planned.push(entry(first, Phase::Step(step + 1), minutes(step + 1)));
        }
        // One step of two sections, without a change of tools.
        2 => {
            let step = 1 + dice.below(usize::from(steps)) as u8;
            let other = polished[dice.below(polished.len())];
            planned.push(entry(first, Phase::Step(step), minutes(step)));
            if other != first {
                planned.push(entry(other, Phase::Step(step), minutes(step)));
            }
        }
        _ => {
            let step = 1 + dice.below(usize::from(steps)) as u8;
            planned.push(entry(first, Phase::Step(step), minutes(step)));
        }
    }
    let restored = planned.len();
    let tour = 4 + dice.below(5);
    let mut at = dice.below(polished.len());
    while planned.len() < restored + tour {
        at = (at + 1 + dice.below(2)) % polished.len();
        let section = polished[at];
        if planned.iter().all(|p| p.section != section) {
            let minutes = site.sections[section].area.0 / SQ_FT_M2 * TOUR_MIN_PER_SQ_FT;
            planned.push(entry(section, Phase::Maintenance, minutes));
        }
    }
    planned
}

/// What the crew makes of the plan.
fn worked(planned: &[Planned], site: &Site, crew: Crew, dice: &mut Dice) -> Vec<Done> {
    let pace = [dice.between(0.95, 1.25), dice.between(0.8, 1.3)];
    let early = crew.ends_early > 0.0 && dice.happens(crew.ends_early);
    let left = if early { 1 + dice.below(2) } else { 0 };
    let reached = 0..planned.len().saturating_sub(left);
    let mut order: Vec<usize> = reached.filter(|_| !dice.happens(crew.skips)).collect();
    let mut place = 1;
    while place < order.len() {
        let like = planned[order[place]].phase == planned[order[place - 1]].phase;
        if like && order[place] == order[place - 1] + 1 && dice.happens(crew.swaps) {
            order.swap(place, place - 1);
            place += 1;
        }
        place += 1;
    }
    let mut done = Vec::new();
    for entry in order {
        let Planned { section, phase, expected } = planned[entry];
        let tour = phase == Phase::Maintenance;
        let spread = if tour { 0.3 } else { 0.18 };
        let mut minutes =
            expected.0 / 60.0 * pace[usize::from(tour)] * dice.between(1.0 - spread, 1.0 + spread);
        if dice.happens(0.03) {
            minutes *= dice.between(0.3, 0.7);
        }
        let piece =
            |minutes, joined| Done { entry: Some(entry), place: (section, phase), minutes, joined };
        if minutes > 6.0 && dice.happens(0.15) {
            let first = dice.between(0.25, 0.75);
            done.push(piece(minutes * first, false));
            done.push(piece(minutes * (1.0 - first), false));
        } else {
            done.push(piece(minutes, tour && dice.happens(0.02)));
        }
        if tour && dice.happens(0.02) {
            let section = dice.below(site.sections.len());
            let minutes = dice.between(2.0, 10.0);
            let place = (section, Phase::Maintenance);
            done.push(Done { entry: None, place, minutes, joined: false });
        }
    }
    // Only work of the tour goes on without a rest.
    for at in 0..done.len() {
        let next = done.get(at + 1).copied();
        let same = |next: Done| next.entry.is_some() && next.place.1 == Phase::Maintenance;
        done[at].joined &= next.is_some_and(|next| same(next) && next.entry != done[at].entry);
    }
    done
}

fn grit(site: &Site, phase: Phase) -> Option<&str> {
    match phase {
        Phase::Step(number) => site.step(number).map(|step| &*step.grit),
        Phase::Maintenance => site.maintenance.as_ref().map(|upkeep| &*upkeep.grit),
    }
}

fn work(site: &Site, done: &Done, minutes: f64, dice: &mut Dice) -> Work {
    let section = &site.sections[done.place.0];
    let run_m = dice.between(12.0, 25.0);
    let stops = minutes > 8.0 && dice.happens(0.4);
    let after_min = minutes * dice.between(0.2, 0.7);
    let seconds = dice.between(20.0, 150.0);
    Work {
        section: section.id.clone(),
        tag: None,
        button: None,
        phase: match done.place.1 {
            Phase::Step(number) => TruePhase::Step(number),
            Phase::Maintenance => TruePhase::Maintenance,
        },
        minutes,
        run_m,
        width_m: section.area.0 / run_m,
        pace: Pace { below: dice.between(0.0, 0.25), above: dice.between(0.0, 0.15) },
        events: if stops {
            vec![PlannedEvent { after_min, what: Event::ProperStop { seconds } }]
        } else {
            Vec::new()
        },
    }
}

fn break_before(site: &Site, done: &[Done], at: usize, dice: &mut Dice) -> Option<f64> {
    let before = done.get(at.checked_sub(1)?)?;
    let now = done.get(at)?;
    if before.entry.is_some() && before.entry == now.entry {
        return Some(if dice.happens(0.3) {
            dice.between(15.0, 40.0)
        } else {
            dice.between(2.0, 8.0)
        });
    }
    if grit(site, before.place.1) != grit(site, now.place.1) {
        return Some(dice.between(9.0, 24.0));
    }
    let long = dice.happens(0.12);
    long.then(|| if dice.happens(0.3) { dice.between(20.0, 45.0) } else { dice.between(3.0, 10.0) })
}

/// The night of a seed and a crew; machines take turns.
pub fn night(seed: u64, site: &Site, crew: Crew) -> Night {
    let mut dice = Dice(seed.wrapping_mul(0x2545_F491_4F6C_DD1D));
    let planned = plan(site, &mut dice);
    let done = worked(&planned, site, crew, &mut dice);
    let mut items = vec![PlanItem::Break { minutes: dice.between(1.0, 5.0) }];
    let mut minutes = 8.0;
    let mut at = 0;
    while at < done.len() {
        if let Some(rest) = break_before(site, &done, at, &mut dice) {
            items.push(PlanItem::Break { minutes: rest });
            minutes += rest + 0.5;
        }
        // Work without a rest is one piece for the simulator.
        let begin = at;
        while done[at].joined && at + 1 < done.len() {
            at += 1;
        }
        let sum: f64 = done[begin..=at].iter().map(|d| d.minutes).sum();
        items.push(PlanItem::Work(work(site, &done[begin], sum, &mut dice)));
        // The way there, and a stop that may hold it up.
        minutes += sum + 4.0;
        at += 1;
    }
    let machine = MachineSpec::of_seed(seed);
    let shift = ShiftPlan { machine, minutes: minutes as u32 + 1, items, ..ShiftPlan::demo(seed) };
    Night { shift, planned, done }
}
