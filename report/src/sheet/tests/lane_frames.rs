//! Around an event no line of readings hides in the frame of its lane.

use super::SHORT;
use super::sample::{machine, site, typical};
use crate::events::{Told, list};
use crate::findings::{CELLS, Quantity, Trace, TraceCell, TraceLine};
use crate::settings::Book;
use crate::sheet::EventInput;
use crate::sheet::layout::{self, shapes::Item};
use crate::sheet::wording::event_page;
use underbrush_protocol::si::Seconds;

/// Lane frames as top and bottom, and lines of readings as points, all in pt.
type Drawn = (Vec<(f64, f64)>, Vec<Vec<(f64, f64)>>);

/// The drawing of lines that stay at one value each.
fn drawn(values: &[(Quantity, f32)]) -> Drawn {
    let f = typical();
    let (site, machine, book) = (site(), machine(), Book::default());
    let events = list(&[&machine], [Told { machine: 0, findings: &f }]);
    let event = &events[0];
    let cells =
        |value: f32| vec![TraceCell { range: Some((value, value)), seen: Seconds(1e6) }; CELLS];
    let line = |(quantity, value): &(Quantity, f32)| TraceLine {
        quantity: *quantity,
        cells: cells(*value),
    };
    let lines = values.iter().map(line).collect();
    let trace = Trace { event: event.span, span: event.span, lines };
    let input = EventInput {
        site: &site,
        machine: &machine,
        book: &book,
        findings: &f,
        event,
        trace: Some(&trace),
        air: None,
    };
    let pages = layout::pages(&event_page::picture(&input, SHORT));
    let strokes = pages.iter().flat_map(|page| &page.items).filter_map(|item| match item {
        Item::Strokes { lines, width, dashed: false, .. } => Some((lines, *width)),
        _ => None,
    });
    let (mut frames, mut curves): Drawn = Default::default();
    // Rules above headings begin further left than any lane.
    let heading_left = strokes.clone().flat_map(|(lines, _)| lines).map(|line| line[0].0);
    let heading_left = heading_left.fold(f64::INFINITY, f64::min);
    let same = |a: f64, b: f64| (a - b).abs() < 1e-9;
    for (lines, width) in strokes {
        for line in lines {
            let (first, last) = (line[0], line[line.len() - 1]);
            if same(width, 0.5) && line.len() == 5 && first == last {
                frames.push((line[0].1, line[2].1));
            } else if same(width, 0.8) && !same(first.0, last.0) && !same(first.0, heading_left) {
                curves.push(line.clone());
            }
        }
    }
    (frames, curves)
}

/// At the very top and at the very bottom of a scale, and beyond both.
#[test]
fn a_line_at_the_end_of_its_scale_is_seen() {
    let ends = [
        (Quantity::Pressure, 100.0),
        (Quantity::Water, 0.0),
        (Quantity::Speed, 0.0),
        (Quantity::Current(0), 100.0),
        (Quantity::Current(1), 5_000.0),
        (Quantity::Rotation(0), 200.0),
        (Quantity::Rotation(1), 0.0),
        (Quantity::Battery, 36.0),
    ];
    let (frames, curves) = drawn(&ends);
    assert_eq!(curves.len(), ends.len());
    for y in curves.iter().flatten().map(|point| point.1) {
        let (top, bottom) =
            *frames.iter().find(|(top, bottom)| (*top..=*bottom).contains(&y)).unwrap();
        // Half of the line, half of the frame, and white between.
        assert!((y - top).min(bottom - y) >= 0.4 + 0.25 + 1.0, "{y} in {top} to {bottom}");
    }
}

/// The white at the ends takes nothing of the order: what is more stands higher.
#[test]
fn more_stands_higher_also_at_the_ends() {
    let height = |percent: f32| {
        let (_, curves) = drawn(&[(Quantity::Pressure, percent)]);
        let points: Vec<f64> = curves.iter().flatten().map(|point| point.1).collect();
        assert!(points.iter().all(|y| (y - points[0]).abs() < 1e-9), "{points:?}");
        points[0]
    };
    let heights = [0.0, 1.0, 50.0, 99.0, 100.0].map(height);
    assert!(heights.is_sorted_by(|a, b| a > b), "{heights:?}");
    let half = f64::midpoint(heights[0], heights[4]);
    assert!((heights[2] - half).abs() < 1e-9, "{heights:?}");
}
