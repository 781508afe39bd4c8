//! Counts what was found, missed and invented, and prints it as a table.
//!
//! A true mark and a found one are the same when their numbers are equal and both edges lie
//! within the kind's tolerance; each is used once. Precision = matched / found, recall =
//! matched / true. The worst edge error is that of all pairs that overlap, matched or not.

use super::kinds::{KINDS, Kind, Mark};
use super::quantities::{QUANTITIES, Quantity};
use super::seeds::{Judged, Plan};
use std::fmt;

/// What differs in one shift.
#[derive(Clone, Debug, PartialEq, PartialOrd)]
pub struct Failure {
    /// Seed of the shift.
    pub seed: u64,
    /// Its plan.
    pub plan: Plan,
    /// One sentence.
    pub what: String,
}

#[derive(Clone, Copy, Debug, Default)]
struct Counts {
    truth: u64,
    found: u64,
    matched: u64,
    worst_edge_s: f64,
}

#[derive(Clone, Copy, Debug, Default)]
struct Errors {
    compared: u64,
    sum: f64,
    worst: f64,
    worst_seed: u64,
}

/// All that was compared.
#[derive(Clone, Debug)]
pub struct Table {
    counts: Vec<Counts>,
    errors: Vec<Errors>,
    shifts: u64,
    failures: Vec<Failure>,
}

impl Default for Table {
    fn default() -> Self {
        Self {
            counts: vec![Counts::default(); KINDS.len()],
            errors: vec![Errors::default(); QUANTITIES.len()],
            shifts: 0,
            failures: Vec::new(),
        }
    }
}

impl Table {
    /// Compares one shift and adds it.
    pub fn add(&mut self, seed: u64, judged: &Judged) {
        self.shifts += 1;
        let plan = judged.plan;
        let mut wrong = Vec::new();
        for (kind, counts) in KINDS.iter().zip(&mut self.counts) {
            if kind.plans.contains(&plan) {
                counts.compare(kind, &(kind.truth)(judged), &(kind.found)(judged), &mut wrong);
            }
        }
        for (quantity, errors) in QUANTITIES.iter().zip(&mut self.errors) {
            if quantity.plans.contains(&plan) {
                errors.compare(quantity, seed, &(quantity.pairs)(judged), &mut wrong);
            }
        }
        self.failures.extend(wrong.into_iter().map(|what| Failure { seed, plan, what }));
    }

    /// Brings what differs into the order of seeds.
    pub(super) fn sort(&mut self) {
        self.failures.sort_by(|a, b| a.seed.cmp(&b.seed).then(a.plan.cmp(&b.plan)));
    }

    /// What differs, in order of seeds.
    pub fn failures(&self) -> &[Failure] {
        &self.failures
    }

    /// Whether every row keeps its goal.
    pub fn held(&self) -> bool {
        KINDS.iter().zip(&self.counts).all(|(k, c)| c.held(k))
            && QUANTITIES.iter().zip(&self.errors).all(|(q, e)| q.open || e.worst <= q.goal)
    }

    /// Rows with nothing to find: they prove nothing.
    pub fn empty_rows(&self) -> Vec<&'static str> {
        let kinds = KINDS.iter().zip(&self.counts).filter(|(_, c)| c.truth == 0);
        let quantities = QUANTITIES.iter().zip(&self.errors).filter(|(_, e)| e.compared == 0);
        kinds.map(|(k, _)| k.name).chain(quantities.map(|(q, _)| q.name)).collect()
    }
}

impl Counts {
    fn compare(&mut self, kind: &Kind, truth: &[Mark], found: &[Mark], wrong: &mut Vec<String>) {
        self.truth += truth.len() as u64;
        self.found += found.len() as u64;
        let mut free: Vec<&Mark> = found.iter().collect();
        for mark in truth {
            let overlapping = found.iter().filter(|f| overlap(f, mark));
            let nearest = overlapping.map(|f| edge_error_s(f, mark)).min_by(f64::total_cmp);
            self.worst_edge_s = self.worst_edge_s.max(nearest.unwrap_or(0.0));
            let same = |f: &&Mark| f.number == mark.number && edge_error_s(f, mark) <= kind.edge_s;
            if let Some(place) = free.iter().position(same) {
                free.swap_remove(place);
                self.matched += 1;
            } else {
                wrong.push(format!("{} missed: {}", kind.name, Shown(mark)));
            }
        }
        wrong.extend(free.iter().map(|mark| format!("{} invented: {}", kind.name, Shown(mark))));
    }

    fn precision(&self) -> f64 {
        if self.found == 0 { 1.0 } else { self.matched as f64 / self.found as f64 }
    }

    fn recall(&self) -> f64 {
        if self.truth == 0 { 1.0 } else { self.matched as f64 / self.truth as f64 }
    }

    fn held(&self, kind: &Kind) -> bool {
        self.precision() >= kind.goal && self.recall() >= kind.goal
    }
}

fn overlap(a: &Mark, b: &Mark) -> bool {
    a.number == b.number && a.from_s <= b.to_s && b.from_s <= a.to_s
}

fn edge_error_s(a: &Mark, b: &Mark) -> f64 {
    (a.from_s - b.from_s).abs().max((a.to_s - b.to_s).abs())
}

impl Errors {
    fn compare(&mut self, q: &Quantity, seed: u64, pairs: &[(f64, f64)], wrong: &mut Vec<String>) {
        for (found, truth) in pairs {
            let error =
                if *truth == 0.0 { found.abs() } else { (found - truth).abs() / truth.abs() };
            // A number that is none is as wrong as can be.
            let error = if error.is_nan() { f64::INFINITY } else { error };
            self.compared += 1;
            self.sum += error;
            if error > self.worst {
                (self.worst, self.worst_seed) = (error, seed);
            }
            if error > q.goal {
                wrong.push(format!("{}: found {found:.3}, true {truth:.3}", q.name));
            }
        }
    }
}

struct Shown<'a>(&'a Mark);

impl fmt::Display for Shown<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Mark { from_s, to_s, number } = self.0;
        write!(f, "{from_s:.2} to {to_s:.2} s")?;
        if *number > 0 { write!(f, " (no. {number})") } else { Ok(()) }
    }
}

impl fmt::Display for Table {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let yes = |held| if held { "yes" } else { "NO" };
        writeln!(
            f,
            "{:<26}{:>7}{:>7}{:>8}{:>10}{:>8}{:>12}{:>16}  held",
            "what", "true", "found", "matched", "precision", "recall", "worst edge", "goal"
        )?;
        for (kind, c) in KINDS.iter().zip(&self.counts) {
            writeln!(
                f,
                "{:<26}{:>7}{:>7}{:>8}{:>10.4}{:>8.4}{:>10.2} s{:>16}  {}",
                kind.name,
                c.truth,
                c.found,
                c.matched,
                c.precision(),
                c.recall(),
                c.worst_edge_s,
                format!("{:.2}, {:.1} s", kind.goal, kind.edge_s),
                yes(c.held(kind)),
            )?;
        }
        writeln!(
            f,
            "\n{:<26}{:>9}{:>12}{:>13}{:>12}{:>10}  held",
            "quantity", "compared", "mean error", "worst error", "its seed", "goal"
        )?;
        for (quantity, e) in QUANTITIES.iter().zip(&self.errors) {
            let mean = e.sum / e.compared.max(1) as f64;
            writeln!(
                f,
                "{:<26}{:>9}{:>10.3} %{:>11.3} %{:>12}{:>8.1} %  {}",
                quantity.name,
                e.compared,
                100.0 * mean,
                100.0 * e.worst,
                e.worst_seed,
                100.0 * quantity.goal,
                match e.worst <= quantity.goal {
                    true => "yes",
                    false if quantity.open => "no, open",
                    false => "NO",
                },
            )?;
        }
        writeln!(f, "\n{} shifts", self.shifts)
    }
}
