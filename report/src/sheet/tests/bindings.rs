//! Every number on paper has its source in the JSON of the same findings.
//!
//! The sheet's text is read back out of the PDF. Each number in it must be one of the JSON's
//! numbers, times or dates in a form that the sheet uses, or a value worked out from them here
//! by a rule of its own, or stand in the short list of numbers that are no findings. The
//! sheet's own arithmetic is not asked: only its rounding (`figures`) is shared.

use super::sample::{MACHINE, SITE, machine, site, typical};
use super::scenarios::sixty_events;
use super::written::{all_text, read};
use super::{SHORT, SI_A4, SheetOptions, sheet};
use crate::findings::Findings;
use crate::sheet::figures::{Figures, clock};
use chrono::{DateTime, NaiveDate, Utc};
use serde_json::Value;
use std::collections::BTreeSet;
use underbrush_protocol::si::*;

/// Numbers that a sheet of these findings may print.
struct Bound {
    figures: Figures,
    zone: chrono_tz::Tz,
    year: i32,
    known: BTreeSet<String>,
}

impl Bound {
    fn add(&mut self, text: &str) {
        self.known.extend(numbers(text));
    }

    fn time(&mut self, s: f64) {
        let t = Seconds(s);
        for text in
            [self.figures.duration(t), self.figures.hours_minutes(t), self.figures.seconds(t)]
        {
            self.add(&text);
        }
    }

    fn share(&mut self, part: f64, whole: f64) {
        let text = self.figures.percent(part, whole);
        self.add(&text);
    }

    fn count(&mut self, n: usize) {
        let text = self.figures.grouped(n as u64);
        self.add(&text);
    }

    fn area(&mut self, m2: f64) {
        let text = self.figures.area(SquareMetres(m2));
        self.add(&text);
    }

    fn day(&mut self, day: NaiveDate) {
        for text in [self.figures.date(day), self.figures.day(day, self.year)] {
            self.add(&text);
        }
    }

    /// Everything below a field, each number in the forms of its unit.
    fn tree(&mut self, name: &str, value: &Value) {
        match value {
            Value::Object(map) => map.iter().for_each(|(name, value)| self.tree(name, value)),
            Value::Array(list) => list.iter().for_each(|value| self.tree(name, value)),
            Value::String(text) => self.text(text),
            Value::Number(number) => self.number(name, number.as_f64().unwrap()),
            _ => {}
        }
    }

    fn text(&mut self, text: &str) {
        if let Ok(at) = text.parse::<DateTime<Utc>>() {
            let words = clock(self.zone, at);
            self.add(&words);
            self.day(at.with_timezone(&self.zone).date_naive());
        } else if let Ok(day) = text.parse::<NaiveDate>() {
            self.day(day);
        } else {
            // Messages, remarks and names are printed as they are.
            self.add(text);
        }
    }

    fn number(&mut self, name: &str, v: f64) {
        let f = self.figures.clone();
        // Beside a date, a quantity has only its unit as its name.
        let name = format!("_{name}");
        let texts = match name.as_str() {
            _ if name.ends_with("_m_per_j") => {
                let per_mj = match f.units {
                    crate::units::Units::Us => v * 1e6 * 1000.0 / 0.0254,
                    crate::units::Units::Si => v * 1e6 * 1000.0,
                };
                vec![f.significant(per_mj, 2)]
            }
            _ if name.ends_with("_m_s") => {
                vec![f.speed(MetresPerSecond(v)), f.limit(f.units.speed(MetresPerSecond(v)))]
            }
            _ if name.ends_with("_m2") => vec![f.area(SquareMetres(v))],
            _ if name.ends_with("_s") => return self.time(v),
            _ if name.ends_with("_a") => vec![f.current(Amperes(v))],
            _ if name.ends_with("_v") => vec![f.fixed(v, 1)],
            _ if name.ends_with("_j") => vec![f.energy(Joules(v))],
            _ if name.ends_with("_ohm") => vec![f.fixed(1000.0 * v, 0)],
            _ if name.ends_with("_m") => {
                vec![
                    f.length(Metres(v)),
                    f.distance(Metres(v)),
                    f.significant(f.units.length(Metres(v)), 2),
                ]
            }
            // Counts, passes, shares and ratios.
            _ if v.fract() == 0.0 && v >= 0.0 => vec![f.grouped(v as u64), f.passes(v)],
            _ => vec![f.passes(v), f.percent(v.abs(), 1.0), f.significant(v, 2)],
        };
        for text in &texts {
            self.add(text);
        }
    }
}

/// Numbers of a text; commas and points between digits belong to them.
fn numbers(text: &str) -> Vec<String> {
    let part = |c: char| c.is_ascii_digit() || ",.:".contains(c);
    text.split(|c| !part(c))
        .map(|number| number.trim_matches([',', '.', ':']).to_owned())
        .filter(|number| number.contains(|c: char| c.is_ascii_digit()))
        .collect()
}

fn get(value: &Value, path: &str) -> f64 {
    value.pointer(path).and_then(Value::as_f64).unwrap_or(0.0)
}

fn list<'a>(value: &'a Value, path: &str) -> &'a [Value] {
    value.pointer(path).and_then(Value::as_array).map_or(&[], Vec::as_slice)
}

fn length(event: &Value) -> f64 {
    let at = |end: &str| {
        let text = event.pointer(end).and_then(Value::as_str).unwrap();
        text.parse::<DateTime<Utc>>().unwrap()
    };
    (at("/span/to") - at("/span/from")).num_milliseconds() as f64 / 1000.0
}

/// Values that the sheet works out, worked out again.
fn derived(bound: &mut Bound, found: &Value) {
    let phases = list(found, "/speed/by_phase");
    let total = |p: &Value| get(p, "/below_s") + get(p, "/within_s") + get(p, "/above_s");
    let banded = || phases.iter().filter(|p| !p["band"].is_null());
    let all: f64 = banded().map(total).sum();
    bound.time(all);
    bound.time(phases.iter().filter(|p| p["band"].is_null()).map(total).sum());
    for part in ["/below_s", "/within_s", "/above_s"] {
        bound.share(banded().map(|p| get(p, part)).sum(), all);
    }
    for p in phases {
        bound.time(total(p));
    }

    let stood = list(found, "/stationary");
    let [over, stalls, others] =
        ["/load/over_pressure", "/load/stalls", "/load/others"].map(|path| list(found, path));
    for events in [stood, over, stalls, others] {
        bound.count(events.len());
        bound.time(events.iter().map(length).sum());
        for event in events {
            bound.time(length(event));
        }
        // Of many, a few are named and the others counted.
        (0..events.len()).for_each(|n| bound.count(n));
    }
    // Events are numbered through.
    (1..=stood.len() + over.len() + stalls.len() + others.len()).for_each(|n| bound.count(n));

    let data = &found["data"];
    let shift = length(&found["shift"]);
    bound.time(shift);
    bound.share(get(data, "/recorded_s"), shift);
    bound.share(get(data, "/observed_s"), get(data, "/recorded_s"));
    let (gaps, problems) = (list(data, "/gaps"), list(data, "/problems"));
    for gap in gaps {
        bound.time(length(&serde_json::json!({ "span": gap })));
    }
    bound.count(gaps.len());
    let lost = problems.iter().filter(|p| p["data_lost"] == true).count();
    bound.count(lost);
    bound.count(problems.len() + list(found, "/quality/doubts").len());
    (1..=problems.len()).for_each(|n| bound.count(n));
    let frames = ["/link/lost", "/link/damaged", "/link/not_understood"];
    bound.count(frames.iter().map(|path| get(data, path) as usize).sum());

    let swept = get(found, "/area/swept_area_m2");
    let overlap = list(found, "/area/overlap/Assumed").first().and_then(Value::as_f64);
    let overlap = overlap.unwrap_or_else(|| get(found, "/area/overlap/Assumed"));
    bound.area(swept * (1.0 - overlap));
    bound.share(overlap, 1.0);
    for event in list(found, "/care/events") {
        bound.time(length(event));
        bound.count(list(event, "/places").len().saturating_sub(1));
        bound.time(
            list(event, "/places")
                .iter()
                .map(|place| {
                    place.as_array().and_then(|pair| pair.last()).map_or(0.0, |t| get(t, "/s"))
                })
                .sum(),
        );
    }
    for observed in list(found, "/care/observed") {
        bound.share(get(observed, "/seen_s"), get(observed, "/of_s"));
    }
    // Motors are counted from 1.
    (1..=list(found, "/load/motors").len()).for_each(|n| bound.count(n));
}

/// Numbers that are no findings, each with its reason.
fn exceptions(bound: &mut Bound, pages: usize) {
    // Names, grits and settings are printed as the files have them.
    bound.add(SITE);
    bound.add(MACHINE);
    bound.add(&format!("{pages}"));
    (1..=pages).for_each(|n| bound.count(n));
    // Limits out of the settings and of our own choice, which the sheet states beside its words:
    // shares that count as enough, the interval, the mean of the chart, voltages of the battery.
    bound.add("80 10 2");
    let limits = machine().battery.limits();
    for v in [limits.low, limits.under_load, limits.deep, limits.full] {
        let text = bound.figures.fixed(v.0, 1);
        bound.add(&text);
    }
    let blade = machine().blade;
    let f = bound.figures.clone();
    bound.add(&f.significant(f.units.length(blade.measuring_error), 2));
    bound.count((blade.lead_time.0 / 86_400.0).ceil() as usize);
    // Bands of the site file and edges of axes, which are drawn and not found.
    let bands = site().bands;
    for band in [bands.restoration, bands.maintenance] {
        for v in [band.low, band.high] {
            bound.add(&f.limit(f.units.speed(v)));
        }
    }
    for step in &site().steps {
        bound.time(step.minutes * 60.0);
    }
}

/// Labels of the charts' axes: they are drawn, not found.
fn axes(sheet: &crate::sheet::Sheet) -> Vec<String> {
    use crate::sheet::document::Block;
    let mut out = Vec::new();
    for block in &sheet.document.blocks {
        if let Block::Ribbon(chart) = block {
            out.extend(chart.times.iter().map(|t| t.1.clone()));
            let axes = [&chart.speed_axis, &chart.current_axis];
            out.extend(axes.into_iter().flat_map(|a| a.ticks.iter().map(|t| t.1.clone())));
        }
    }
    out
}

/// Numbers on the sheet of `printed` that have no source in the JSON of `found`.
fn unbound(printed: &Findings, found: &Findings, options: SheetOptions) -> Vec<String> {
    let sheet = sheet(printed, options);
    let file = read(&sheet);
    let json = crate::json::of(&site(), &[(&machine(), found)]);
    let found = &json["nights"][0]["findings"];
    let mut bound = Bound {
        figures: Figures::new(options.units, options.language),
        zone: printed.shift.zone,
        year: 2026,
        known: BTreeSet::new(),
    };
    bound.tree("", &json);
    derived(&mut bound, found);
    exceptions(&mut bound, file.get_pages().len());
    for label in axes(&sheet) {
        bound.add(&label);
    }
    let text = all_text(&file);
    let printed = numbers(&text);
    assert!(printed.len() > 100, "{}", printed.len());
    let mut missing: Vec<String> =
        printed.into_iter().filter(|number| !bound.known.contains(number)).collect();
    missing.dedup();
    missing
}

#[test]
fn every_printed_number_is_in_the_json() {
    for options in [SHORT, SheetOptions { details: false, ..SI_A4 }] {
        for found in [typical(), sixty_events()] {
            assert_eq!(unbound(&found, &found, options), Vec::<String>::new());
        }
    }
}

/// The check itself: a sheet of other findings than the JSON's is found out.
#[test]
fn a_number_from_elsewhere_is_found_out() {
    let found = typical();
    let changed: [fn(&mut Findings); 6] = [
        |f| f.sections[0].swept_area = SquareMetres(1_234.5),
        |f| f.speed.by_phase[0].within.0 += 977.0,
        |f| f.stationary[0].equivalent_passes = 63.3,
        |f| f.load.over_pressure[0].peak = Amperes(47.3),
        |f| f.data.recorded.0 -= 1_260.0,
        |f| f.wear.left.as_mut().unwrap().best = Metres(0.012_345),
    ];
    for (n, change) in changed.into_iter().enumerate() {
        let mut other = typical();
        change(&mut other);
        assert!(!unbound(&other, &found, SHORT).is_empty(), "change {n} went unseen");
    }
}
