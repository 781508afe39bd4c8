//! The lead's questions at 6 a.m., each answered in one line.

use super::events::{self, Event};
use super::{Source, steps, wear_remarks};
use crate::findings::{Observed, StationaryFinding, StepVerdict};
use crate::sheet::document::Answer;
use crate::sheet::figures::{
    NOT_KNOWN, area, clock, count, current, date, day, duration, length, passes, percent,
};
use chrono::Datelike;
use underbrush_protocol::si::Seconds;

/// From this share of brush time in band the floor was worked at the right
/// speed, or mostly so. Our own choice; printed on the sheet.
const YES_FROM: f64 = 0.9;
const MOSTLY_FROM: f64 = 0.7;

/// Orders due within this many days are marked as something to do.
pub(super) const ORDER_NOTICE_DAYS: i64 = 7;

/// All answers in the order of the questions.
pub(super) fn all(source: &Source, events: &[Event]) -> Vec<Answer> {
    let findings = source.findings;
    let seen = Observed { seen: findings.data.observed, of: findings.data.recorded };
    vec![
        judged(speed(source), findings.speed.observed),
        judged(standing(source), findings.standing.observed),
        judged(area_and_passes(source), seen),
        judged(motor(source, events), findings.load.observed),
        judged(steps(source), seen),
        blade(source),
        data(source),
    ]
}

/// Says so where the answer rests on too little of its time.
fn judged(mut answer: Answer, observed: Observed) -> Answer {
    if let Some(words) = too_little(observed) {
        let rest = if answer.detail.is_empty() { "" } else { " " };
        answer.detail = format!("{words}{rest}{}", answer.detail);
        answer.act = true;
    }
    answer
}

/// In words, where the share observed is too little to judge by; nothing where nothing was seen
/// at all, for then the answer itself says so.
fn too_little(observed: Observed) -> Option<String> {
    let share = percent(observed.seen.0, observed.of.0);
    (!observed.enough() && observed.seen.0 > 0.0)
        .then(|| format!("Judged from {share} of its time: too little."))
}

/// How the words "yes" and "mostly" are meant.
pub(super) fn speed_words() -> String {
    format!(
        "Right speed: \"yes\" from {:.0} % of the brush time in band, \"mostly\" from {:.0} % (our own \
         choice).",
        100.0 * YES_FROM,
        100.0 * MOSTLY_FROM
    )
}

fn unobserved(source: &Source) -> bool {
    source.findings.data.observed.0 <= 0.0
}

fn speed(source: &Source) -> Answer {
    let phases = &source.findings.speed.by_phase;
    let question = source.say("ask-speed");
    let (mut below, mut within, mut above, mut other) =
        (Seconds(0.0), Seconds(0.0), Seconds(0.0), Seconds(0.0));
    for p in phases {
        if p.band.is_none() {
            other += p.total();
            continue;
        }
        below += p.below;
        within += p.within;
        above += p.above;
    }
    let banded = below + within + above;
    if banded.0 <= 0.0 {
        let (answer, act) = if unobserved(source) {
            ("Not known: speed and brush were not observed".to_owned(), true)
        } else if other.0 > 0.0 {
            let time = duration(other);
            (format!("Not known: {time} of brush work, none of it with a mark"), true)
        } else {
            let seen = duration(source.findings.data.observed);
            (format!("No brush turned in {seen} of observed time"), false)
        };
        return Answer { question, line: answer, detail: String::new(), act };
    }
    let share = within.0 / banded.0;
    let word = match share {
        s if s >= YES_FROM => "Yes",
        s if s >= MOSTLY_FROM => "Mostly",
        _ => "No",
    };
    let answer = format!(
        "{word}: {} of {} brush time in the speed band",
        percent(within.0, banded.0),
        duration(banded)
    );
    let mut detail = format!(
        "Too slow {}, too fast {}.",
        percent(below.0, banded.0),
        percent(above.0, banded.0)
    );
    if other.0 > 0.0 {
        detail = format!("{detail} Another {} had no mark, so no band.", duration(other));
    }
    Answer { question, line: answer, detail, act: share < MOSTLY_FROM }
}

fn standing(source: &Source) -> Answer {
    let question = source.say("ask-standing");
    let list = &source.findings.stationary;
    let Some(worst) = worst(list) else {
        let observed = source.findings.data.observed;
        let answer = if unobserved(source) {
            "Not known: speed and brush were not observed".to_owned()
        } else {
            format!("None seen in {} of observed time", duration(observed))
        };
        return Answer { question, line: answer, detail: String::new(), act: unobserved(source) };
    };
    let total: Seconds = list.iter().map(|e| e.span.length()).sum();
    let answer = format!("Yes: {}, {} in all", count(list.len(), "time", "times"), duration(total));
    let least = if worst.cut_short { "at least " } else { "" };
    let detail = format!(
        "Worst: {least}{} in {} at {}, like {} passes on one spot.",
        duration(worst.span.length()),
        source.section(worst.place),
        clock(source.findings.shift.zone, worst.span.from),
        passes(worst.equivalent_passes)
    );
    Answer { question, line: answer, detail, act: true }
}

fn worst(list: &[StationaryFinding]) -> Option<&StationaryFinding> {
    list.iter().max_by(|a, b| a.equivalent_passes.total_cmp(&b.equivalent_passes))
}

fn area_and_passes(source: &Source) -> Answer {
    let question = source.say("ask-area");
    let found = &source.findings.area;
    let units = source.units;
    if unobserved(source) {
        let answer = "Not known: speed and brush were not observed".to_owned();
        return Answer { question, line: answer, detail: String::new(), act: false };
    }
    let answer = format!(
        "{} {} swept in {} of brush time; overlap counts twice",
        area(units, found.swept_area),
        units.area_unit(),
        duration(found.brush_time)
    );
    let parts: Vec<String> = source
        .findings
        .sections
        .iter()
        .filter_map(|w| {
            let name = source.section(w.place);
            Some(format!("{name} {} ({})", passes(w.passes?), source.phase_inside(w.place.phase)))
        })
        .collect();
    let detail = if parts.is_empty() {
        "Passes are not known: no section was marked.".to_owned()
    } else {
        format!("Passes: {}.", capped_by(&parts, 4, ", "))
    };
    Answer { question, line: answer, detail, act: false }
}

fn motor(source: &Source, events: &[Event]) -> Answer {
    let question = source.say("ask-motor");
    let load = &source.findings.load;
    let (stalls, over) = (load.stalls.len(), load.over_pressure.len());
    if stalls + over == 0 {
        let answer = if load.motors.is_empty() {
            "Not known: no brush motor current was recorded".to_owned()
        } else {
            "Neither seen while brushes turned".to_owned()
        };
        let largest = load.motors.iter().map(|m| m.max).reduce(|a, b| if b > a { b } else { a });
        let detail =
            largest.map_or_else(String::new, |a| format!("Largest current {} A.", current(a)));
        return Answer { question, line: answer, detail, act: false };
    }
    let over_time: Seconds = load.over_pressure.iter().map(|e| e.span.length()).sum();
    let mut parts = Vec::new();
    parts.push(if stalls > 0 {
        format!("stalled {}", count(stalls, "time", "times"))
    } else {
        "no stall".to_owned()
    });
    parts.push(if over > 0 {
        format!("over pressure {}, {} in all", count(over, "time", "times"), duration(over_time))
    } else {
        "no over-pressure".to_owned()
    });
    let peak = events
        .iter()
        .filter_map(|e| match e {
            Event::Stationary(_) | Event::OtherLoad(_) => None,
            Event::Stall(f) | Event::OverPressure(f) => Some(*f),
        })
        .max_by(|a, b| a.peak.0.total_cmp(&b.peak.0));
    let detail = peak.map_or_else(String::new, |p| {
        format!(
            "Peak {} A on motor {} in {} at {}.",
            current(p.peak),
            source.motor(p.motor),
            source.section(p.place),
            clock(source.findings.shift.zone, p.span.from)
        )
    });
    Answer { question, line: events::sentence(&parts.join("; ")), detail, act: true }
}

fn steps(source: &Source) -> Answer {
    let question = source.say("ask-steps");
    let mut sections = steps::all(source);
    let works = &source.findings.sections;
    let daily = works.iter().filter(|w| w.verdict == StepVerdict::Maintained && !w.forbidden);
    let daily = daily.count();
    // What is not finished comes first.
    sections.sort_by_key(|s| !s.unfinished());
    let open = sections.iter().filter(|s| s.unfinished()).count();
    let done = sections.len() - open;
    let mut heads = Vec::new();
    if let [only] = sections.as_slice() {
        heads.push(format!("{}: {}", source.section(only.place), only.short()));
    } else {
        if open > 0 {
            heads.push(format!("{} not done", count(open, "section", "sections")));
        }
        if done > 0 {
            heads.push(format!("{} with the step done", count(done, "section", "sections")));
        }
    }
    if daily > 0 {
        heads.push(format!("daily run in {}", count(daily, "section", "sections")));
    }
    let answer = if heads.is_empty() {
        "Not known: no step was marked".to_owned()
    } else {
        events::sentence(&heads.join("; "))
    };
    let parts: Vec<String> = sections
        .iter()
        .map(|s| format!("{}: {}", source.section(s.place), s.line(source)))
        .collect();
    let detail =
        if parts.is_empty() { String::new() } else { format!("{}.", capped_by(&parts, 3, ". ")) };
    Answer { question, line: answer, detail, act: open > 0 }
}

/// Whether new segments should be ordered within days.
pub(super) fn order_due(source: &Source) -> bool {
    let (wear, shift) = (&source.findings.wear, &source.findings.shift);
    let today = shift.span.to.with_timezone(&shift.zone).date_naive();
    wear.order_by.is_some_and(|d| (d - today).num_days() <= ORDER_NOTICE_DAYS)
        || wear.left.is_some_and(|l| l.best <= wear.reorder_length)
}

fn blade(source: &Source) -> Answer {
    let question = source.say("ask-blade");
    let wear = &source.findings.wear;
    let units = source.units;
    let Some(left) = wear.left else {
        let detail = wear.remarks.first().map_or_else(
            || "Measure the segments and note the length in the shift book.".to_owned(),
            |r| wear_remarks::sentence(source, r),
        );
        return Answer { question, line: "Not known".to_owned(), detail, act: true };
    };
    let unit = units.length_unit();
    let today =
        source.findings.shift.span.to.with_timezone(&source.findings.shift.zone).date_naive();
    let reached = left.best <= wear.reorder_length;
    let order = match wear.order_by {
        _ if reached => "order new ones now".to_owned(),
        Some(day) if day <= today => "order new ones now".to_owned(),
        Some(day) => format!("order by {}", date(day)),
        None => format!("day to order {NOT_KNOWN}"),
    };
    let answer = format!("About {} {unit} (estimate); {order}", length(units, left.best));
    let mut detail = format!(
        "Likely {} to {} {unit} (80 % interval).",
        length(units, left.low),
        length(units, left.high)
    );
    if let Some(reached) = wear.reorder_day {
        let near = |d| day(d, today.year());
        let late = reached.late.map_or_else(|| "beyond two years".to_owned(), near);
        detail = format!(
            "{detail} {} {unit} left about {} (likely {} to {late}).",
            length(units, wear.reorder_length),
            near(reached.best),
            near(reached.early)
        );
    }
    Answer { question, line: answer, detail, act: order_due(source) }
}

fn data(source: &Source) -> Answer {
    let question = source.say("ask-data");
    let data = &source.findings.data;
    let lost = data.problems.iter().filter(|p| p.data_lost).count();
    let answer = if data.recorded.0 > 0.0 {
        format!(
            "{} observed of {} recorded ({})",
            duration(data.observed),
            duration(data.recorded),
            percent(data.observed.0, data.recorded.0)
        )
    } else {
        "Not known: the time recorded is not known".to_owned()
    };
    let mut parts = Vec::new();
    parts.push(count(data.gaps.len(), "gap", "gaps"));
    let link = &data.link;
    let bad = u64::from(link.lost) + u64::from(link.damaged) + u64::from(link.not_understood);
    let clean = bad == 0 && data.gaps.is_empty();
    if bad > 0 {
        parts.push(count(bad as usize, "frame lost or damaged", "frames lost or damaged"));
    }
    let problems = data.problems.len() + source.findings.quality.doubts.len();
    let words = count(problems, "problem", "problems");
    parts.push(match lost {
        0 if problems == 0 && clean => "no problem found".to_owned(),
        0 if problems == 0 => "no other problem found".to_owned(),
        0 => words,
        n => format!("{words}, {n} with data lost"),
    });
    if let Some(half) = data.clock_uncertainty {
        parts.push(format!("clock right within {}", duration(half)));
    }
    let detail = format!("{}.", parts.join("; "));
    let doubts = !source.findings.quality.doubts.is_empty();
    let answer = Answer { question, line: answer, detail, act: lost > 0 || doubts };
    judged(answer, Observed { seen: data.observed, of: data.recorded })
}

/// The first `most` parts, and how many more there are.
fn capped_by(parts: &[String], most: usize, between: &str) -> String {
    if parts.len() <= most {
        return parts.join(between);
    }
    let shown = parts.get(..most - 1).unwrap_or(parts);
    format!("{}{between}{} more", shown.join(between), parts.len() - shown.len())
}
