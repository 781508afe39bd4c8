//! Which jobs fit into a night: a scheduling heuristic.
//!
//! Words: a *chain* is the jobs of one section, which go in order; its first job not
//! taken is its *head*. A job with another grit than the tool on the machine costs a
//! tool change. Four rules of choice each fill the night. The one with most credit in sections
//! in work is taken (a floor should not stay half ground: our choice), of equal ones that with
//! most credit in all, then that with fewer tool changes, then the first:
//!
//! - through: go on with the section in hand, then the first chain whose head fits
//! - same tool: heads for the tool on the machine first, then the first that fits
//! - longest, shortest: of the heads that fit, the one with most or least credit
//!
//! Whole jobs are taken while any fits; then one job may be begun. A part is never
//! shorter than [`LEAST_PART`] in band, nor is what it leaves (our own choice), and
//! the first step of a section that waits is not split.
//! How far this is from the best order is measured in `programme/tests/plan.rs`.

use underbrush_protocol::si::Seconds;

/// No step is split into less than this, in band (our own choice).
pub(in super::super) const LEAST_PART: Seconds = Seconds(900.0);

/// One job.
#[derive(Clone, Debug, PartialEq)]
pub(in super::super) struct Job {
    pub(in super::super) grit: Option<String>,
    /// Time in band that it brings; 0 for a daily run.
    pub(in super::super) credit: Seconds,
    /// Brush time that it takes.
    pub(in super::super) brush: Seconds,
    /// Whether a part of it may be done.
    pub(in super::super) splits: bool,
}

/// What is left of a machine's night.
#[derive(Clone, Debug, PartialEq)]
pub(in super::super) struct Budget {
    pub(in super::super) clock: Seconds,
    /// `None`: the battery's brush time is not known, so it is no limit.
    pub(in super::super) brush: Option<Seconds>,
    /// Time of a tool change.
    pub(in super::super) setup: Seconds,
    /// Grit on the machine.
    pub(in super::super) tool: Option<String>,
    /// Time on the clock over brush time.
    pub(in super::super) clock_share: f64,
}

/// A job, or a part of it, that was taken.
#[derive(Clone, Debug, PartialEq)]
pub(in super::super) struct Choice {
    pub(in super::super) chain: usize,
    /// Place in the chain.
    pub(in super::super) job: usize,
    pub(in super::super) credit: Seconds,
    pub(in super::super) brush: Seconds,
    /// The tool is changed before it.
    pub(in super::super) change: bool,
    pub(in super::super) whole: bool,
}

impl Budget {
    fn changes(&self, job: &Job) -> bool {
        job.grit.is_some() && job.grit != self.tool
    }

    fn setup_of(&self, job: &Job) -> Seconds {
        if self.changes(job) { self.setup } else { Seconds(0.0) }
    }

    /// Brush time that is left for this job after a tool change.
    fn room(&self, job: &Job) -> Seconds {
        let by_clock = (self.clock - self.setup_of(job)).0 / self.clock_share;
        Seconds(self.brush.map_or(by_clock, |brush| by_clock.min(brush.0)))
    }

    fn fits(&self, job: &Job) -> bool {
        // A thousandth of a second: sums of shares are not exact.
        job.brush.0 <= self.room(job).0 + 1e-3
    }

    /// Takes `share` of a job, 0 to 1.
    pub(in super::super) fn take(
        &mut self,
        chain: usize,
        place: usize,
        job: &Job,
        share: f64,
    ) -> Choice {
        let change = self.changes(job);
        let brush = job.brush * share;
        self.clock = self.clock - self.setup_of(job) - brush * self.clock_share;
        self.brush = self.brush.map(|left| left - brush);
        if change {
            self.tool.clone_from(&job.grit);
        }
        let whole = share >= 1.0;
        Choice { chain, job: place, credit: job.credit * share, brush, change, whole }
    }
}

#[derive(Clone, Copy)]
enum Rule {
    Through,
    SameTool,
    Longest,
    Shortest,
}

/// Takes every job that fits, in order: for daily runs, each a chain of its own.
pub(in super::super) fn in_order(
    chains: &[(usize, &[Job])],
    budget: &mut Budget,
    taken: &mut Vec<Choice>,
) {
    for (chain, jobs) in chains {
        if let Some(job) = jobs.first().filter(|job| budget.fits(job)) {
            taken.push(budget.take(*chain, 0, job, 1.0));
        }
    }
}

/// Fills the night from `chains`, given in order of preference; the first `in_work` of them
/// are of sections in work.
pub(in super::super) fn fill(
    chains: &[(usize, &[Job])],
    in_work: usize,
    budget: &Budget,
) -> (Vec<Choice>, Budget) {
    let begun: Vec<usize> = chains.iter().take(in_work).map(|(chain, _)| *chain).collect();
    let mut best: Option<(Worth, (Vec<Choice>, Budget))> = None;
    for rule in [Rule::Through, Rule::SameTool, Rule::Longest, Rule::Shortest] {
        for first in [0, in_work] {
            let found = by_rule(rule, chains, first, budget);
            let worth = Worth::of(&found.0, &begun);
            if best.as_ref().is_none_or(|(so_far, _)| worth.beats(so_far)) {
                best = Some((worth, found));
            }
        }
    }
    best.map_or_else(|| (Vec::new(), budget.clone()), |(_, found)| found)
}

/// What a filled night brings.
struct Worth {
    in_work: f64,
    credit: f64,
    changes: usize,
}

impl Worth {
    fn of(choices: &[Choice], begun: &[usize]) -> Self {
        let credit = |counts: &dyn Fn(&&Choice) -> bool| -> f64 {
            choices.iter().filter(counts).map(|choice| choice.credit.0).sum()
        };
        Self {
            in_work: credit(&|choice| begun.contains(&choice.chain)),
            credit: credit(&|_| true),
            changes: choices.iter().filter(|choice| choice.change).count(),
        }
    }

    fn beats(&self, other: &Self) -> bool {
        // Half a minute more is no reason to leave the plain order.
        let more = |a: f64, b: f64| a > b + 30.0;
        let no_less = |a: f64, b: f64| a > b - 1e-3;
        more(self.in_work, other.in_work)
            || no_less(self.in_work, other.in_work)
                && (more(self.credit, other.credit)
                    || no_less(self.credit, other.credit) && self.changes < other.changes)
    }
}

/// Takes what fits of the `first` chains by this rule, then of all.
fn by_rule(
    rule: Rule,
    chains: &[(usize, &[Job])],
    first: usize,
    budget: &Budget,
) -> (Vec<Choice>, Budget) {
    let mut budget = budget.clone();
    let mut next = vec![0_usize; chains.len()];
    let mut choices = Vec::new();
    let mut in_hand = None;
    let from_first = chains.get(..first).unwrap_or_default();
    while let Some(place) = choose(rule, from_first, &next, &budget, in_hand)
        .or_else(|| choose(rule, chains, &next, &budget, in_hand))
    {
        let (Some((chain, jobs)), Some(head)) = (chains.get(place), next.get_mut(place)) else {
            break;
        };
        let Some(job) = jobs.get(*head) else { break };
        choices.push(budget.take(*chain, *head, job, 1.0));
        *head += 1;
        in_hand = Some(place);
    }
    part(chains, &next, &mut budget, &mut choices);
    (choices, budget)
}

/// The chain whose head is taken next.
fn choose(
    rule: Rule,
    chains: &[(usize, &[Job])],
    next: &[usize],
    budget: &Budget,
    in_hand: Option<usize>,
) -> Option<usize> {
    let head = |place: usize| chains.get(place)?.1.get(*next.get(place)?);
    let fitting = || {
        (0..chains.len())
            .filter_map(|place| Some((place, head(place)?)))
            .filter(|(_, job)| budget.fits(job))
    };
    let through = || {
        let go_on = in_hand.filter(|place| head(*place).is_some_and(|job| budget.fits(job)));
        go_on.or_else(|| fitting().next().map(|(place, _)| place))
    };
    let credit = |a: &(usize, &Job), b: &(usize, &Job)| a.1.credit.0.total_cmp(&b.1.credit.0);
    match rule {
        Rule::Through => through(),
        Rule::SameTool => {
            let same = fitting().find(|(_, job)| !budget.changes(job));
            same.or_else(|| fitting().next()).map(|(place, _)| place)
        }
        // Of equal ones the first chain counts.
        Rule::Longest => fitting().min_by(|a, b| credit(b, a)).map(|(place, _)| place),
        Rule::Shortest => fitting().min_by(credit).map(|(place, _)| place),
    }
}

/// Begins one more job where only a part of it fits: the one with the largest part.
fn part(
    chains: &[(usize, &[Job])],
    next: &[usize],
    budget: &mut Budget,
    choices: &mut Vec<Choice>,
) {
    let share = |job: &Job| {
        let room = budget.room(job).0 / job.brush.0;
        let most = 1.0 - LEAST_PART / job.credit;
        let share = room.min(most);
        (job.splits && share * job.credit.0 >= LEAST_PART.0).then_some(share)
    };
    let heads = chains.iter().zip(next).filter_map(|((chain, jobs), head)| {
        let job = jobs.get(*head)?;
        Some((*chain, *head, job, share(job)?))
    });
    let largest = heads.min_by(|a, b| (b.2.credit * b.3).0.total_cmp(&(a.2.credit * a.3).0));
    if let Some((chain, place, job, share)) = largest {
        choices.push(budget.take(chain, place, job, share));
    }
}
