//! The plan of a night: hand-made cases, what may never happen, and the gap to the best order.

use super::super::stay::ByHand;
use super::super::tonight::fill::{Budget, Job, LEAST_PART, fill};
use super::super::{Battery, NightPlan, Reason};
use super::{Input, day, machine, minutes, stay};
use crate::settings::Phase::{Maintenance, Step};
use oorandom::Rand64;
use std::collections::BTreeSet;
use underbrush_protocol::si::Seconds;

fn lines(plan: &NightPlan) -> Vec<String> {
    let line = |item: &super::super::PlanItem| {
        let change = if item.change { " change" } else { "" };
        let part = if item.whole { "" } else { " part" };
        let (begins, takes) = (item.begins.0 / 60.0, item.takes.0 / 60.0);
        format!("{} {}{change}{part} {begins:.0}+{takes:.0}", item.section, item.phase)
    };
    plan.items.iter().map(line).collect()
}

// Worked by hand: 480 min; a run over 50 m² at 2 s a m² takes 100 s; changes 15 min.
#[test]
fn runs_first_then_what_was_begun_then_the_next() {
    let mut input = Input::new(4, vec![stay(day(4), 1, Step(1), 20.0, 20.0)]);
    input.by_hand = vec![
        ByHand { date: day(3), section: 0, phase: Step(3) },
        ByHand { date: day(4), section: 3, phase: Step(3) },
    ];
    input.machines[0].tool = Some("800".to_owned());
    let programme = input.judge(day(4));
    let plan = &programme.tonight[0];
    // Runs on 0 (missed on the 4th) and 3, the tool 800 is on. Then 25 + 30 + 30 min of section 1
    // and 45 + 30 + 30 of section 2, by tool: that takes three changes instead of six.
    let by_tool = [
        "0 maintenance 0+2",
        "3 maintenance 2+2",
        "1 step 1 change 18+25",
        "2 step 1 43+45",
        "1 step 2 change 103+30",
        "2 step 2 133+30",
        "1 step 3 change 178+30",
        "2 step 3 208+30",
    ];
    assert_eq!(lines(plan), by_tool);
    let reasons: Vec<Reason> = plan.items.iter().map(|item| item.reason).collect();
    let first = Reason::Overdue { since: day(4), known: true };
    assert_eq!(reasons[..4], [first, Reason::Due, Reason::GoOn, Reason::Begin]);
    assert_eq!(reasons[4], Reason::NextStep);
    assert_eq!(plan.brush_time, Seconds(200.0) + minutes(190.0));
    assert_eq!(plan.takes, Seconds(200.0) + minutes(190.0 + 45.0));
}

#[test]
fn the_battery_and_the_clock_end_the_night() {
    let mut input = Input::new(3, Vec::new());
    input.machines[0].battery = Battery::Given(minutes(100.0));
    // Two whole first steps take 90 min; of the third 10 min are left: less than a part may be.
    let plan = &input.judge(day(2)).tonight[0];
    assert_eq!(lines(plan), ["0 step 1 change 15+45", "1 step 1 60+45"]);
    // With 106 min a part of step 2 fits: 16 of 30 min leaves 14, so it is 15.
    input.machines[0].battery = Battery::Given(minutes(106.0));
    let plan = &input.judge(day(2)).tonight[0];
    assert_eq!(
        lines(plan),
        ["0 step 1 change 15+45", "1 step 1 60+45", "0 step 2 change part 120+15"]
    );
    assert_eq!(plan.items[2].in_band, Some(minutes(15.0)));
    // Half of the brush time in band, and as much again on the clock.
    input.machines[0].battery = Battery::Unknown;
    input.machines[0].hours = minutes(200.0);
    input.machines[0].pace.band_share = 0.5;
    input.machines[0].pace.clock_share = 2.0;
    // 45 min in band: 90 of brushes, 180 on the clock, and 15 before.
    assert_eq!(lines(&input.judge(day(2)).tonight[0]), ["0 step 1 change 15+180"]);
    input.machines[0].hours = minutes(194.0);
    assert!(input.judge(day(2)).tonight[0].items.is_empty(), "a first step is never split");
}

// Section 0 wants step 3, 30 min; the night has room for two jobs of 45 min, or one and those 30.
#[test]
fn what_is_in_work_is_not_left_for_longer_steps_elsewhere() {
    let mut input = Input::new(3, Vec::new());
    input.by_hand = vec![ByHand { date: day(2), section: 0, phase: Step(2) }];
    input.machines[0].hours = minutes(15.0 + 45.0 + 45.0 + 14.0);
    let plan = &input.judge(day(2)).tonight[0];
    assert_eq!(lines(plan), ["0 step 3 change 15+30", "1 step 1 change 60+45"]);
}

#[test]
fn refreshes_come_before_sections_that_wait() {
    let mut input = Input::new(2, Vec::new());
    input.by_hand = vec![ByHand { date: day(2), section: 1, phase: Step(3) }];
    input.rules.sections[1].refresh_after = Some(5);
    input.rules.maintenance_grit = None;
    input.rules.sections[1].maintain_every = None;
    input.machines[0].hours = minutes(50.0);
    let plan = &input.judge(day(9)).tonight[0];
    assert_eq!(lines(plan), ["1 step 3 change 15+30"]);
    assert_eq!(plan.items[0].reason, Reason::Refresh { since: day(7) });
}

#[test]
fn the_plan_of_the_book_goes_before() {
    let mut input = Input::new(2, Vec::new());
    input.machines.push(machine());
    input.machines[1].by_book = vec![(0, Step(2)), (0, Maintenance)];
    let tonight = input.judge(day(2)).tonight;
    assert_eq!(lines(&tonight[1]), ["0 step 2 change 15+30", "0 maintenance change 60+2"]);
    assert!(tonight[1].items.iter().all(|item| item.reason == Reason::Book));
    // The other machine is given the rest: section 1 with all its steps.
    let sections: Vec<usize> = tonight[0].items.iter().map(|item| item.section).collect();
    assert_eq!(sections, [1, 1, 1]);
}

#[test]
fn traffic_decides_between_runs_equally_overdue() {
    let mut input = Input::new(3, Vec::new());
    input.by_hand =
        (0..3).map(|section| ByHand { date: day(2), section, phase: Step(3) }).collect();
    input.rules.sections[2].refresh_after = Some(60);
    input.rules.sections[1].refresh_after = Some(90);
    let sections: Vec<usize> =
        input.judge(day(2)).tonight[0].items.iter().map(|item| item.section).collect();
    assert_eq!(sections, [2, 1, 0]);
}

/// Random buildings of up to 12 sections and two machines.
#[test]
fn no_plan_breaks_a_rule() {
    let mut rng = Rand64::new(1);
    let mut below = |n: u64| rng.rand_range(0..n);
    for _ in 0..2_000 {
        let sections = 1 + below(12) as usize;
        let mut input = Input::new(sections, Vec::new());
        input.machines = vec![machine(), machine()];
        for rule in &mut input.rules.sections {
            rule.polish = below(5) > 0;
            rule.refresh_after = (below(2) == 0).then_some(3);
        }
        for m in &mut input.machines {
            m.hours = minutes(30.0 + below(500) as f64);
            m.pace.band_share = 0.5 + 0.05 * below(11) as f64;
            m.pace.clock_share = 1.0 + 0.1 * below(5) as f64;
            m.tool = [None, Some("100"), Some("800")][below(3) as usize].map(str::to_owned);
            if below(2) == 0 {
                m.battery = Battery::Given(minutes(below(300) as f64));
            }
        }
        for _ in 0..below(20) {
            let (section, date) = (below(sections as u64) as usize, day(2 + below(8) as u32));
            let phase = [Step(1), Step(2), Step(3), Maintenance][below(4) as usize];
            let time = below(60) as f64;
            input.stays.push(stay(date, section, phase, time, time));
            if below(3) == 0 {
                input.by_hand.push(ByHand { date, section, phase });
            }
        }
        let programme = input.judge(day(10));
        let mut owner = std::collections::BTreeMap::new();
        for (plan, machine) in programme.tonight.iter().zip(&input.machines) {
            assert!(plan.takes.0 <= machine.hours.0 + 0.1);
            let brush = machine.battery.time().unwrap_or(Seconds(f64::INFINITY));
            assert!(plan.brush_time.0 <= brush.0 + 0.1);
            let mut runs_over = false;
            let mut done = BTreeSet::new();
            for item in &plan.items {
                let key = (item.section, item.phase);
                assert!(input.rules.sections[item.section].polish);
                assert!(done.insert(key), "{key:?} twice");
                match item.phase {
                    Maintenance => assert!(!runs_over, "runs come first"),
                    Step(number) => {
                        runs_over = true;
                        // No other machine grinds there, and no step below it is open.
                        assert_eq!(
                            *owner.entry(item.section).or_insert(plan.machine),
                            plan.machine
                        );
                        let steps = &programme.sections[item.section].steps;
                        let open = steps.iter().filter(|s| s.done.is_none() && s.number < number);
                        assert!(
                            open.into_iter()
                                .all(|s| done.contains(&(item.section, Step(s.number))))
                        );
                        let step = &steps[usize::from(number) - 1];
                        if !item.whole {
                            let part = item.in_band.unwrap().0;
                            assert!(part >= LEAST_PART.0 - 0.1);
                            let all =
                                if step.done.is_some() { step.required } else { step.missing() };
                            assert!(all.0 - part >= LEAST_PART.0 - 0.1);
                        }
                    }
                }
            }
        }
    }
}

/// A case for the search: minutes.
struct Small {
    /// Of each chain its jobs: grit and minutes; the first chain may be split at once.
    chains: Vec<Vec<(u8, f64)>>,
    in_work: Vec<bool>,
    clock: f64,
    brush: f64,
    tool: u8,
}

/// Minutes in sections in work, and in all.
type Minutes = (f64, f64);

/// The better of two: more in sections in work, then more in all.
fn better(a: Minutes, b: Minutes) -> Minutes {
    let by_work = (a.0 - b.0).abs() > 1e-6;
    if (by_work && a.0 > b.0) || (!by_work && a.1 > b.1) { a } else { b }
}

/// The best of all orders: every sequence of whole jobs with at most one part, tried one
/// by one. Written apart from the plan; `part` is what the one part could bring at most, and
/// whether its section is in work.
fn most(
    case: &Small,
    next: &mut Vec<usize>,
    left: (f64, f64),
    tool: u8,
    part: Option<(f64, bool)>,
) -> Minutes {
    let (clock, brush) = left;
    let counted = |time: f64, in_work: bool| (if in_work { time } else { 0.0 }, time);
    // Stop here: the part gets all that is left.
    let mut best = part.map_or((0.0, 0.0), |(whole, in_work)| {
        let size = clock.min(brush).min(whole - 15.0);
        counted(if size >= 15.0 { size } else { 0.0 }, in_work)
    });
    for chain in 0..case.chains.len() {
        let Some(&(grit, time)) = case.chains[chain].get(next[chain]) else { continue };
        let setup = if grit == tool { 0.0 } else { 15.0 };
        if setup + time <= clock + 1e-9 && time <= brush + 1e-9 {
            next[chain] += 1;
            let rest = most(case, next, (clock - setup - time, brush - time), grit, part);
            next[chain] -= 1;
            let this = counted(time, case.in_work[chain]);
            best = better(best, (this.0 + rest.0, this.1 + rest.1));
        }
        let splits = case.in_work[chain] || next[chain] > 0;
        if part.is_none() && splits && time >= 30.0 && setup + 15.0 <= clock && brush >= 15.0 {
            let kept = next[chain];
            next[chain] = usize::MAX;
            let part = Some((time, case.in_work[chain]));
            best = better(best, most(case, next, (clock - setup, brush), grit, part));
            next[chain] = kept;
        }
    }
    best
}

fn heuristic(case: &Small) -> Minutes {
    let job = |chain: usize, place: usize, &(grit, time): &(u8, f64)| Job {
        grit: Some(grit.to_string()),
        credit: minutes(time),
        brush: minutes(time),
        splits: case.in_work[chain] || place > 0,
    };
    let jobs: Vec<Vec<Job>> = case
        .chains
        .iter()
        .enumerate()
        .map(|(c, jobs)| jobs.iter().enumerate().map(|(p, j)| job(c, p, j)).collect())
        .collect();
    let mut chains: Vec<(usize, &[Job])> =
        jobs.iter().enumerate().map(|(c, jobs)| (c, jobs.as_slice())).collect();
    chains.sort_by_key(|(chain, _)| !case.in_work[*chain]);
    let in_work = case.in_work.iter().filter(|in_work| **in_work).count();
    let budget = Budget {
        clock: minutes(case.clock),
        brush: Some(minutes(case.brush)),
        setup: minutes(15.0),
        tool: Some(case.tool.to_string()),
        clock_share: 1.0,
    };
    let (choices, _) = fill(&chains, in_work, &budget);
    let minutes = |all: bool| {
        let counted = choices.iter().filter(|choice| all || case.in_work[choice.chain]);
        counted.map(|choice| choice.credit.0 / 60.0).sum()
    };
    (minutes(false), minutes(true))
}

#[test]
fn the_gap_to_the_best_order_is_small() {
    const CASES: u32 = 400;
    let (mut sum, mut best_sum): (Minutes, Minutes) = Default::default();
    let (mut equal, mut worst) = (0, 0.0_f64);
    for seed in 0..CASES {
        let mut rng = Rand64::new(u128::from(seed) + 99);
        let mut below = |n: u64| rng.rand_range(0..n);
        let chains = 2 + below(2) as usize;
        let whole = [45.0, 30.0, 30.0];
        let mut in_work = Vec::new();
        let chain = |in_work: &mut Vec<bool>, below: &mut dyn FnMut(u64) -> u64| {
            // Waiting, or from an open step on.
            let from = below(4) as usize;
            in_work.push(from < 3);
            let from = from % 3;
            let begun = *in_work.last().unwrap();
            (from..3)
                .map(|step| {
                    let first = begun && step == from;
                    let time = if first {
                        3.0 + below(whole[step] as u64 - 2) as f64
                    } else {
                        whole[step]
                    };
                    (step as u8, time)
                })
                .collect::<Vec<_>>()
        };
        let case = Small {
            chains: (0..chains).map(|_| chain(&mut in_work, &mut below)).collect(),
            in_work,
            clock: 60.0 + below(240) as f64,
            brush: 60.0 + below(240) as f64,
            tool: below(3) as u8,
        };
        let left = (case.clock, case.brush);
        let exact = most(&case, &mut vec![0; chains], left, case.tool, None);
        let found = heuristic(&case);
        assert!(found.0 <= exact.0 + 1e-6, "seed {seed}: {found:?} beats the best, {exact:?}");
        let as_much_begun = found.0 >= exact.0 - 1e-6;
        assert!(!as_much_begun || found.1 <= exact.1 + 1e-6, "seed {seed}: {found:?} {exact:?}");
        equal += u32::from(as_much_begun && found.1 >= exact.1 - 1e-6);
        worst = worst.max(exact.0 - found.0).max(exact.1 - found.1);
        sum = (sum.0 + found.0, sum.1 + found.1);
        best_sum = (best_sum.0 + exact.0, best_sum.1 + exact.1);
    }
    let gap = |found: f64, best: f64| 100.0 * (1.0 - found / best);
    println!(
        "{equal} of {CASES} as good as the best; mean gap {:.2} % in sections in work, {:.2} % \
         in all, worst {worst:.0} min",
        gap(sum.0, best_sum.0),
        gap(sum.1, best_sum.1),
    );
    assert!(sum.0 >= 0.98 * best_sum.0 && sum.1 >= 0.95 * best_sum.1);
}
