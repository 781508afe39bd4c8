//! The lead's questions at 6 a.m., each answered in one line.

use super::events::{self, Event};
use super::{Source, steps, wear_remarks};
use crate::findings::{Observed, SectionWork, StationaryFinding, StepVerdict};
use crate::sheet::document::Answer;
use crate::sheet::figures::clock;
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
        judged(source, speed(source), findings.speed.observed),
        judged(source, standing(source), findings.standing.observed),
        judged(source, area_and_passes(source), seen),
        judged(source, motor(source, events), findings.load.observed),
        judged(source, steps(source), seen),
        blade(source),
        data(source),
    ]
}

/// Says so where the answer rests on too little of its time.
fn judged(source: &Source, mut answer: Answer, observed: Observed) -> Answer {
    if let Some(words) = too_little(source, observed) {
        let rest = if answer.detail.is_empty() { "" } else { " " };
        answer.detail = format!("{words}{rest}{}", answer.detail);
        answer.act = true;
    }
    answer
}

/// In words, where the share observed is too little to judge by; nothing where nothing was seen
/// at all, for then the answer itself says so.
fn too_little(source: &Source, observed: Observed) -> Option<String> {
    let share = source.figures.percent(observed.seen.0, observed.of.0);
    (!observed.enough() && observed.seen.0 > 0.0)
        .then(|| source.with("answer-too-little", &[("share", share.into())]))
}

/// How the words "yes" and "mostly" are meant.
pub(super) fn speed_words(source: &Source) -> String {
    let percent = |share: f64| format!("{:.0} %", 100.0 * share);
    let values = [("yes", percent(YES_FROM).into()), ("mostly", percent(MOSTLY_FROM).into())];
    source.with("answer-speed-words", &values)
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
    let figures = &source.figures;
    if banded.0 <= 0.0 {
        let (line, act) = if unobserved(source) {
            (source.say("answer-not-observed"), true)
        } else if other.0 > 0.0 {
            let time = figures.duration(other).into();
            (source.with("answer-speed-no-mark", &[("time", time)]), true)
        } else {
            let time = figures.duration(source.findings.data.observed).into();
            (source.with("answer-speed-no-brush", &[("time", time)]), false)
        };
        return Answer { question, line, detail: String::new(), act };
    }
    let share = within.0 / banded.0;
    let id = match share {
        s if s >= YES_FROM => "answer-speed-yes",
        s if s >= MOSTLY_FROM => "answer-speed-mostly",
        _ => "answer-speed-no",
    };
    let percent = |part: Seconds| figures.percent(part.0, banded.0);
    let time = figures.duration(banded);
    let line = source.with(id, &[("share", percent(within).into()), ("time", time.into())]);
    let mut detail = source.with(
        "answer-speed-detail",
        &[("slow", percent(below).into()), ("fast", percent(above).into())],
    );
    if other.0 > 0.0 {
        let time = figures.duration(other).into();
        detail = format!("{detail} {}", source.with("answer-speed-other", &[("time", time)]));
    }
    Answer { question, line, detail, act: share < MOSTLY_FROM }
}

fn standing(source: &Source) -> Answer {
    let question = source.say("ask-standing");
    let list = &source.findings.stationary;
    let figures = &source.figures;
    let Some(worst) = worst(list) else {
        let observed = figures.duration(source.findings.data.observed);
        let line = if unobserved(source) {
            source.say("answer-not-observed")
        } else {
            source.with("answer-standing-none", &[("time", observed.into())])
        };
        return Answer { question, line, detail: String::new(), act: unobserved(source) };
    };
    let total: Seconds = list.iter().map(|e| e.span.length()).sum();
    let times = source.count("count-times", list.len());
    let line = source.with(
        "answer-standing",
        &[("times", times.into()), ("total", figures.duration(total).into())],
    );
    let zone = source.findings.shift.zone;
    let detail = source.with(
        if worst.cut_short { "answer-standing-worst-cut" } else { "answer-standing-worst" },
        &[
            ("time", figures.duration(worst.span.length()).into()),
            ("section", source.section(worst.place).into()),
            ("at", clock(zone, worst.span.from).into()),
            ("passes", figures.passes(worst.equivalent_passes).into()),
        ],
    );
    Answer { question, line, detail, act: true }
}

fn worst(list: &[StationaryFinding]) -> Option<&StationaryFinding> {
    list.iter().max_by(|a, b| a.equivalent_passes.total_cmp(&b.equivalent_passes))
}

fn area_and_passes(source: &Source) -> Answer {
    let question = source.say("ask-area");
    let (found, figures) = (&source.findings.area, &source.figures);
    if unobserved(source) {
        let line = source.say("answer-not-observed");
        return Answer { question, line, detail: String::new(), act: false };
    }
    let line = source.with(
        "answer-area",
        &[
            ("area", figures.area(found.swept_area).into()),
            ("unit", figures.area_unit().into()),
            ("time", figures.duration(found.brush_time).into()),
        ],
    );
    let part = |w: &SectionWork| {
        let (name, work) = (source.section(w.place), source.phase_inside(w.place.phase));
        Some(format!("{name} {} ({work})", figures.passes(w.passes?)))
    };
    let parts: Vec<String> = source.findings.sections.iter().filter_map(part).collect();
    let detail = if parts.is_empty() {
        source.say("answer-area-no-passes")
    } else {
        let parts = capped_by(source, &parts, 4, ", ");
        source.with("answer-area-passes", &[("parts", parts.into())])
    };
    Answer { question, line, detail, act: false }
}

fn motor(source: &Source, events: &[Event]) -> Answer {
    let question = source.say("ask-motor");
    let (load, figures) = (&source.findings.load, &source.figures);
    let (stalls, over) = (load.stalls.len(), load.over_pressure.len());
    if stalls + over == 0 {
        let id = if load.motors.is_empty() { "answer-motor-unknown" } else { "answer-motor-none" };
        let largest = load.motors.iter().map(|m| m.max).reduce(|a, b| if b > a { b } else { a });
        let detail = largest.map_or_else(String::new, |a| {
            source.with("answer-motor-largest", &[("current", figures.current(a).into())])
        });
        return Answer { question, line: source.say(id), detail, act: false };
    }
    let over_time: Seconds = load.over_pressure.iter().map(|e| e.span.length()).sum();
    let stalled = if stalls > 0 {
        let times = source.count("count-times", stalls);
        source.with("answer-motor-stalled", &[("times", times.into())])
    } else {
        source.say("answer-motor-no-stall")
    };
    let pressed = if over > 0 {
        let times = source.count("count-times", over);
        let total = figures.duration(over_time);
        let values = [("times", times.into()), ("total", total.into())];
        source.with("answer-motor-over", &values)
    } else {
        source.say("answer-motor-not-over")
    };
    let peak = events
        .iter()
        .filter_map(|e| match e {
            Event::Stationary(_) | Event::OtherLoad(_) => None,
            Event::Stall(f) | Event::OverPressure(f) => Some(*f),
        })
        .max_by(|a, b| a.peak.0.total_cmp(&b.peak.0));
    let detail = peak.map_or_else(String::new, |p| {
        source.with(
            "answer-motor-peak",
            &[
                ("current", figures.current(p.peak).into()),
                ("motor", source.motor(p.motor).into()),
                ("section", source.section(p.place).into()),
                ("at", clock(source.findings.shift.zone, p.span.from).into()),
            ],
        )
    });
    Answer { question, line: events::sentence(&format!("{stalled}; {pressed}")), detail, act: true }
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
    let of_sections = |id: &str, count| {
        let sections = source.count("count-sections", count);
        source.with(id, &[("sections", sections.into())])
    };
    if let [only] = sections.as_slice() {
        heads.push(format!("{}: {}", source.section(only.place), only.short(source)));
    } else {
        if open > 0 {
            heads.push(of_sections("answer-steps-open", open));
        }
        if done > 0 {
            heads.push(of_sections("answer-steps-done", done));
        }
    }
    if daily > 0 {
        heads.push(source.count("answer-steps-daily", daily));
    }
    let line = if heads.is_empty() {
        source.say("answer-steps-unknown")
    } else {
        events::sentence(&heads.join("; "))
    };
    let parts: Vec<String> = sections
        .iter()
        .map(|s| format!("{}: {}", source.section(s.place), s.line(source)))
        .collect();
    let detail = if parts.is_empty() {
        String::new()
    } else {
        format!("{}.", capped_by(source, &parts, 3, ". "))
    };
    Answer { question, line, detail, act: open > 0 }
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
    let (wear, figures) = (&source.findings.wear, &source.figures);
    let Some(left) = wear.left else {
        let detail = wear.remarks.first().map_or_else(
            || source.say("answer-blade-measure"),
            |r| wear_remarks::sentence(source, r),
        );
        let line = source.say("answer-blade-unknown");
        return Answer { question, line, detail, act: true };
    };
    let today =
        source.findings.shift.span.to.with_timezone(&source.findings.shift.zone).date_naive();
    let reached = left.best <= wear.reorder_length;
    let order = match wear.order_by {
        _ if reached => source.say("answer-blade-order-now"),
        Some(day) if day <= today => source.say("answer-blade-order-now"),
        Some(day) => source.with("answer-blade-order-by", &[("date", figures.date(day).into())]),
        None => source.say("answer-blade-order-unknown"),
    };
    let line = source.with(
        "answer-blade",
        &[("length", figures.length_and_unit(left.best).into()), ("order", order.into())],
    );
    let mut detail = source.with(
        "answer-blade-likely",
        &[
            ("low", figures.length(left.low).into()),
            ("high", figures.length_and_unit(left.high).into()),
        ],
    );
    if let Some(reached) = wear.reorder_day {
        let near = |d| figures.day(d, today.year());
        let late = reached.late.map_or_else(|| source.say("segments-beyond"), near);
        let reached = source.with(
            "answer-blade-reached",
            &[
                ("length", figures.length_and_unit(wear.reorder_length).into()),
                ("best", near(reached.best).into()),
                ("early", near(reached.early).into()),
                ("late", late.into()),
            ],
        );
        detail = format!("{detail} {reached}");
    }
    Answer { question, line, detail, act: order_due(source) }
}

fn data(source: &Source) -> Answer {
    let question = source.say("ask-data");
    let (data, figures) = (&source.findings.data, &source.figures);
    let lost = data.problems.iter().filter(|p| p.data_lost).count();
    let line = if data.recorded.0 > 0.0 {
        source.with(
            "answer-data",
            &[
                ("observed", figures.duration(data.observed).into()),
                ("recorded", figures.duration(data.recorded).into()),
                ("share", figures.percent(data.observed.0, data.recorded.0).into()),
            ],
        )
    } else {
        source.say("answer-data-unknown")
    };
    let mut parts = vec![source.count("count-gaps", data.gaps.len())];
    let link = &data.link;
    let bad = u64::from(link.lost) + u64::from(link.damaged) + u64::from(link.not_understood);
    let clean = bad == 0 && data.gaps.is_empty();
    if bad > 0 {
        parts.push(source.count("count-bad-frames", bad as usize));
    }
    let problems = data.problems.len() + source.findings.quality.doubts.len();
    let words = source.count("count-problems", problems);
    parts.push(match lost {
        0 if problems == 0 && clean => source.say("answer-data-no-problem"),
        0 if problems == 0 => source.say("answer-data-no-other-problem"),
        0 => words,
        n => source.with("answer-data-lost", &[("problems", words.into()), ("count", n.into())]),
    });
    if let Some(half) = data.clock_uncertainty {
        let time = figures.duration(half).into();
        parts.push(source.with("answer-data-clock", &[("time", time)]));
    }
    let detail = format!("{}.", parts.join("; "));
    let doubts = !source.findings.quality.doubts.is_empty();
    let answer = Answer { question, line, detail, act: lost > 0 || doubts };
    judged(source, answer, Observed { seen: data.observed, of: data.recorded })
}

/// The first `most` parts, and how many more there are.
fn capped_by(source: &Source, parts: &[String], most: usize, between: &str) -> String {
    if parts.len() <= most {
        return parts.join(between);
    }
    let shown = parts.get(..most - 1).unwrap_or(parts);
    let more = source.count("count-more", parts.len() - shown.len());
    format!("{}{between}{more}", shown.join(between))
}
