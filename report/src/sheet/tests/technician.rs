//! Pages for technicians: the chart around an event, its cause and checks.

use super::sample::{load_event, machine, place, site, typical};
use super::written::{all_text, check_page, read};
use super::{SHORT, SI_A4, Sheet, SheetInput, SheetOptions, sheet};
use crate::events::{Context, Event, Family, Told, list, trace_json};
use crate::findings::{
    CELLS, Findings, LoadKind, Onset, Quantity, Severity, Span, Trace, TraceCell, TraceLine,
};
use crate::settings::site::Language;
use crate::settings::{Book, Phase};
use crate::sheet::document::Block;
use crate::sheet::layout::{self, shapes::Item};
use crate::sheet::{Closeup, EventInput};
use chrono::Duration;
use underbrush_protocol::si::Seconds;

const TECHNICIAN: SheetOptions = SheetOptions { technician: true, ..SHORT };

/// A trace of a stop: work, standing, work; a stretch without readings before the event.
fn trace(event: Span) -> Trace {
    let around = Duration::seconds(30);
    let span = Span { from: event.from - around, to: event.to + around };
    let cell_s = span.length().0 / CELLS as f64;
    let (begin, end) = (30.0, 30.0 + event.length().0);
    let line = |quantity, value: fn(bool, usize) -> f32| {
        let cell = |i: usize| {
            let at = (i as f64 + 0.5) * cell_s;
            if (12.0..18.0).contains(&at) {
                return TraceCell::default();
            }
            let value = value((begin..end).contains(&at), i);
            TraceCell { range: Some((value, value)), seen: Seconds(cell_s) }
        };
        TraceLine { quantity, cells: (0..CELLS).map(cell).collect() }
    };
    let lines = vec![
        line(
            Quantity::Speed,
            |inside, i| if inside { 0.0 } else { 0.58 + 0.03 * (i as f32 * 0.7).sin() },
        ),
        line(Quantity::Current(0), |_, i| 20.0 + (i as f32 * 0.9).sin()),
        line(Quantity::Current(1), |inside, i| 21.0 + if inside { 30.0 } else { (i as f32).sin() }),
        line(Quantity::Command, |_, _| 1.0),
        line(Quantity::HeadDown, |_, _| 1.0),
        line(Quantity::Battery, |_, i| 35.8 - 0.2 * (i as f32 * 0.1).sin()),
    ];
    Trace { event, span, lines }
}

/// Traces of all serious events of these findings.
pub(super) fn traces(f: &Findings) -> Vec<Trace> {
    let standing = f.stationary.iter().filter(|e| e.serious()).map(|e| e.span);
    let loads = f.load.all().filter(|e| e.serious()).map(|e| e.span);
    standing.chain(loads).map(trace).collect()
}

pub(super) fn with_traces(f: &Findings, options: SheetOptions) -> Sheet {
    let book = Book::default();
    let closeups = [Closeup { book: &book, traces: traces(f), air: None }];
    let nights = [(&machine(), f)];
    Sheet::build(
        &SheetInput { site: &site(), nights: &nights, programme: None, closeups: &closeups },
        &options,
    )
}

/// One event of 14 s, nothing else that is serious.
fn one_event() -> Findings {
    let mut f = typical();
    f.load = crate::findings::LoadFinding::default();
    f.stationary.truncate(1);
    f.stationary[0].severity = Severity::Severe;
    f
}

#[test]
fn the_page_shows_the_readings_around_the_event() {
    let f = one_event();
    let sheet = with_traces(&f, TECHNICIAN);
    let text = all_text(&read(&sheet));
    let begin = f.stationary[0].span.from.with_timezone(&f.shift.zone);
    assert!(text.contains(&begin.format("begin at %H:%M:%S").to_string()), "{text}");
    for part in ["–30", "Before and after", "Brush switch", "Head down", "Battery, V", "stall"] {
        assert!(text.contains(part), "{part} is not in {text}");
    }
    let pages = layout::pages(&sheet.document);
    assert!(pages.iter().flat_map(|p| &p.items).all(|i| match i {
        Item::Text { size, .. } => *size >= 9.0,
        _ => true,
    }));
    super::written::check_places(&sheet);
}

/// Without readings there are slanted lines, with readings there are none.
#[test]
fn a_gap_is_slanted_lines() {
    let f = one_event();
    let hatched = |traces: Vec<Trace>| {
        let book = Book::default();
        let closeups = [Closeup { book: &book, traces, air: None }];
        let nights = [(&machine(), &f)];
        let input =
            SheetInput { site: &site(), nights: &nights, programme: None, closeups: &closeups };
        let document = Sheet::build(&input, &TECHNICIAN).document;
        let slanted = |item: &&Item| match item {
            Item::Strokes { lines, width, .. } => {
                let slant =
                    |l: &Vec<(f64, f64)>| l.len() == 2 && l[0].0 < l[1].0 && l[0].1 > l[1].1;
                *width < 0.4 && lines.len() > 3 && lines.iter().all(slant)
            }
            _ => false,
        };
        layout::pages(&document).iter().flat_map(|p| &p.items).filter(slanted).count()
    };
    let mut whole = traces(&f);
    for line in whole.iter_mut().flat_map(|t| &mut t.lines) {
        for cell in line.cells.iter_mut().filter(|c| c.range.is_none()) {
            *cell = TraceCell { range: Some((1.0, 1.0)), seen: Seconds(1.0) };
        }
    }
    let base = hatched(whole);
    // Each of six lanes has one gap.
    assert_eq!(hatched(traces(&f)), base + 6);
    let text = with_traces(&f, TECHNICIAN).to_text(100);
    let speed = text.lines().rfind(|l| l.starts_with("Speed, mph (0–")).unwrap();
    // 6 s of 74 s are 5.8 of 72 letters; one that holds any reading shows that reading.
    let slashes = speed.rsplit(')').next().unwrap().matches('/').count();
    assert!((4..=6).contains(&slashes), "{slashes}: {speed}");
}

#[test]
fn cause_and_checks_follow_from_the_event() {
    let said = |kind, onset: Option<Onset>| {
        let mut f = one_event();
        f.stationary.clear();
        let from = f.shift.span.from + Duration::seconds(3_000);
        let span = Span { from, to: from + Duration::seconds(2) };
        let mut event = load_event(kind, span, 1, 92.0, place(0, Phase::Step(1)));
        let rise = |onset| Seconds(if onset == Onset::Obstacle { 0.3 } else { 3.0 });
        (event.onset, event.rise) = (onset, onset.map(rise));
        match kind {
            LoadKind::Stall => f.load.stalls.push(event),
            LoadKind::OverPressure => f.load.over_pressure.push(event),
            _ => f.load.others.push(event),
        }
        with_traces(&f, TECHNICIAN).to_text(400)
    };
    let obstacle = said(LoadKind::Stall, Some(Onset::Obstacle));
    let row = |text: &str, cause: &str| {
        let line = text.lines().find(|line| line.starts_with(cause));
        line.unwrap_or_else(|| panic!("{cause} is not in {text}")).to_owned()
    };
    let held = row(&obstacle, "Something held the brush at once");
    assert!(held.contains("likely") && held.contains("to the limit in 0.3 s"), "{held}");
    let drag = said(LoadKind::Stall, Some(Onset::Drag));
    let held = row(&drag, "Something held the brush at once");
    assert!(held.contains("unlikely"), "{held}");
    assert!(row(&drag, "Drag on one brush").contains("to the limit in 3.0 s"), "{drag}");
    let unknown = said(LoadKind::Stall, None);
    assert!(!unknown.contains("to the limit in"), "{unknown}");
    let trip = said(LoadKind::Trip, None);
    let order = ["1. Find why before", "2. Turn the brush by hand", "3. Look for chafed cable"];
    let places: Vec<usize> = order.iter().map(|part| trip.find(part).unwrap()).collect();
    assert!(places.is_sorted());
    // The safety step stands before them.
    assert!(trip[..places[0]].contains("Disconnect the battery as the machine's manual says"));
    assert!(!said(LoadKind::Light, None).contains("Likely cause"), "not serious");
}

#[test]
fn without_traces_there_is_no_chart() {
    let text = sheet(&one_event(), TECHNICIAN).to_text(100);
    assert!(text.contains("Likely cause") && !text.contains("Before and after"));
    let text = with_traces(&one_event(), SHORT).to_text(100);
    assert!(!text.contains("Likely cause") && !text.contains("Before and after"));
}

// ISO 32000-1:2008, 14.9.2: the catalog's Lang is a language tag by RFC 3066, which
// BCP 47 goes on from.
#[test]
fn the_file_says_its_language() {
    for (language, tag) in
        [(Language::English, "en"), (Language::Spanish, "es"), (Language::German, "de")]
    {
        let file = read(&with_traces(&typical(), SheetOptions { language, ..TECHNICIAN }));
        let lang = file.catalog().unwrap().get(b"Lang").unwrap().as_str().unwrap();
        assert_eq!(lang, tag.as_bytes());
    }
}

#[test]
fn nothing_lies_over_another_in_any_language() {
    for language in Language::ALL {
        for options in [TECHNICIAN, SheetOptions { technician: true, ..SI_A4 }] {
            let document = with_traces(&typical(), SheetOptions { language, ..options }).document;
            let title = document.words.say("heading-trace");
            let pages = layout::pages(&document);
            let with_chart = pages
                .iter()
                .enumerate()
                .filter(|(_, page)| page.bookmarks.iter().any(|bookmark| bookmark.0 == title));
            let mut checked = 0;
            for (n, page) in with_chart {
                check_page(n + 1, page);
                checked += 1;
            }
            assert_eq!(checked, traces(&typical()).len(), "{}", language.tag());
        }
    }
}

/// The numbers of the list are those of the sheet's table of events.
#[test]
fn the_list_counts_as_the_sheet_does() {
    let f = typical();
    let text = sheet(&f, SHORT).to_text(400);
    let events = list(&[&machine()], [Told { machine: 0, findings: &f }]);
    let brush: Vec<&Event> =
        events.iter().filter(|event| event.kind.family() == Family::Brush).collect();
    assert!(brush.len() > 4, "{}", brush.len());
    for (i, event) in brush.iter().enumerate() {
        let number = (i + 1).to_string();
        assert_eq!(event.id, format!("{}.{number}", f.shift.date));
        let begin = event.span.from.with_timezone(&f.shift.zone).format("%H:%M").to_string();
        let found = text.lines().any(|line| {
            let mut words = line.split_whitespace();
            words.next() == Some(&number) && words.next() == Some(&begin)
        });
        assert!(found, "event {number} at {begin} is not in {text}");
    }
}

fn people(quantity: &str, value: f64) -> f64 {
    match quantity {
        // NIST SP 811: a mile is 1609.344 m.
        "speed" => value.abs() * 3600.0 / 1609.344,
        "heat" => 100.0 * value,
        _ => value,
    }
}

/// Every point that is drawn stands in the JSON.
#[test]
fn the_drawing_and_the_json_have_the_same_numbers() {
    let f = one_event();
    let (site, machine) = (site(), machine());
    let events = list(&[&machine], [Told { machine: 0, findings: &f }]);
    let (trace, book) = (trace(f.stationary[0].span), Book::default());
    let input = EventInput {
        site: &site,
        machine: &machine,
        book: &book,
        findings: &f,
        event: &events[0],
        trace: Some(&trace),
        air: None,
    };
    let context = Context { site: &site, machines: &[&machine] };
    let json: serde_json::Value = serde_json::from_str(&trace_json(&input, context)).unwrap();
    let document = crate::sheet::wording::event_page::document(&input, SHORT);
    let chart = document.blocks.iter().find_map(|block| match block {
        Block::Trace(chart) => Some(chart),
        _ => None,
    });
    let chart = chart.unwrap();
    let mut points = 0;
    for (name, quantity, motor) in [
        ("Speed, mph", "speed", None),
        ("Motor 1 (left), A", "current", Some(1)),
        ("Motor 2 (right), A", "current", Some(2)),
        ("Battery, V", "battery", None),
        ("Brush switch", "brush_switch", None),
        ("Head down", "head_down", None),
    ] {
        let lane = chart.lanes.iter().find(|lane| lane.name == name).unwrap();
        let lines = json["readings"]["lines"].as_array().unwrap();
        let line = lines
            .iter()
            .find(|line| line["quantity"] == quantity && line["motor"] == serde_json::json!(motor));
        let ranges = line.unwrap()["ranges"].as_array().unwrap();
        assert_eq!(ranges.len(), lane.cells.len());
        for (range, cell) in ranges.iter().zip(&lane.cells) {
            let Some((low, high)) = cell else {
                assert!(range.is_null());
                continue;
            };
            let of = |i: usize| people(quantity, range[i].as_f64().unwrap());
            let (a, b) = (of(0).min(of(1)), of(0).max(of(1)));
            assert!((a - low).abs() < 1e-4 && (b - high).abs() < 1e-4, "{name}: {range} {cell:?}");
            points += 1;
        }
    }
    assert!(points > 3_000, "{points}");
    // The limits in force stand on the page as in the JSON.
    let text = all_text(&read(&Sheet::of_event(&input, &SHORT)));
    for (limit, words) in [("over_pressure_a", "over pressure"), ("stall_a", "stall")] {
        let value = json["limits"][limit].as_f64().unwrap();
        assert!(text.contains(&format!("{words} {value} A")), "{words} {value}: {text}");
    }
    let svg = Sheet::event_svg(&input, &SHORT);
    assert!(svg.contains("stall 75 A</text>"), "the drawing has the limits, too");
}
