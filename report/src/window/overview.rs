//! A whole shift read once, from which any window is cut at once.

use super::read::read_steps;
use super::track::{Cut, Track};
use super::{Line, Quantity, Window};
use crate::findings::{Inputs, Span};

/// All that was observed of some quantities over a span of up to 49 days; what is beyond
/// that is left out.
///
/// A window cut from it has the same smallest and largest values as one that is read from
/// the logs. Only what depends on what came before (heat, detectors) may differ in its
/// last digits: here it is reckoned from the begin of the whole span on, there from
/// [`super::run_up`] before the window.
#[derive(Clone, Debug)]
pub struct Overview {
    span: Span,
    /// In the order in which they were asked for.
    tracks: Vec<(Quantity, Track)>,
}

impl Overview {
    /// Reads the wanted quantities over `span`.
    pub fn read(inputs: &Inputs<'_>, span: Span, wanted: &[Quantity]) -> Self {
        let mut gathering = Gathering::new(span, wanted);
        read_steps(inputs, span, wanted, None, |quantity, value, from, to| {
            gathering.take(quantity, value, from, to);
        });
        gathering.finish()
    }

    /// Of a span in which nothing was observed.
    pub fn empty(span: Span) -> Self {
        Self { span, tracks: Vec::new() }
    }

    /// From when to when it was read.
    pub fn span(&self) -> Span {
        self.span
    }

    /// Smallest and largest of a quantity over the whole span; `None`: never observed.
    pub fn range(&self, quantity: Quantity) -> Option<(f32, f32)> {
        self.track(quantity)?.range()
    }

    /// Some of its quantities over any span, in so many cells; those never observed in the
    /// whole span are left out.
    pub fn window(&self, span: Span, cells: usize, wanted: &[Quantity]) -> Window {
        let begin = self.span.from.timestamp_millis();
        let (from, to) = (span.from.timestamp_millis(), span.to.timestamp_millis());
        let mut window = Window::empty(span, cells);
        if to <= from || cells == 0 {
            return window;
        }
        let cut = Cut { from: from - begin, length: to - from, cells };
        let line = |quantity: &Quantity| {
            let track = self.track(*quantity)?;
            let cells = (0..cells).map(|number| track.cell(cut, number)).collect();
            Some(Line { quantity: *quantity, cells })
        };
        window.lines = wanted.iter().filter_map(line).collect();
        window
    }

    fn track(&self, quantity: Quantity) -> Option<&Track> {
        let found = self.tracks.iter().find(|(known, _)| *known == quantity);
        found.map(|(_, track)| track)
    }
}

/// An overview into which readings still go.
struct Gathering {
    span: Span,
    begin: i64,
    /// Longest time from the begin, in ms.
    longest: i64,
    tracks: Vec<(Quantity, Track)>,
    /// Where the last value went: the next one mostly goes to the next place.
    last: usize,
}

impl Gathering {
    fn new(span: Span, wanted: &[Quantity]) -> Self {
        let (begin, end) = (span.from.timestamp_millis(), span.to.timestamp_millis());
        let longest = (end - begin).clamp(0, i64::from(u32::MAX));
        let tracks = wanted.iter().map(|quantity| (*quantity, Track::default())).collect();
        Self { span, begin, longest, tracks, last: 0 }
    }

    fn take(&mut self, quantity: Quantity, value: f32, from: i64, to: i64) {
        let inside = |at: i64| (at - self.begin).clamp(0, self.longest) as u32;
        let (from, to) = (inside(from), inside(to));
        let count = self.tracks.len();
        let places = (1..=count).map(|i| (self.last + i) % count);
        let is_it = |at: &usize| self.tracks.get(*at).is_some_and(|(known, _)| *known == quantity);
        let place = places.into_iter().find(is_it);
        if let Some((at, (_, track))) = place.and_then(|at| Some((at, self.tracks.get_mut(at)?))) {
            track.push(value, from, to);
            self.last = at;
        }
    }

    fn finish(mut self) -> Overview {
        self.tracks.retain(|(_, track)| !track.is_empty());
        self.tracks.iter_mut().for_each(|(_, track)| track.finish());
        Overview { span: self.span, tracks: self.tracks }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::{DateTime, Utc};
    use proptest::prelude::*;

    const BEGIN: i64 = 1_795_471_200_000;

    fn at(ms: i64) -> DateTime<Utc> {
        DateTime::from_timestamp_millis(BEGIN + ms).unwrap()
    }

    fn span(from: i64, to: i64) -> Span {
        Span { from: at(from), to: at(to) }
    }

    /// A value with the time over which it was observed, in ms.
    type Step = (f32, i64, i64);

    fn overview(length: i64, steps: &[Step]) -> Overview {
        let mut gathering = Gathering::new(span(0, length), &[Quantity::Battery, Quantity::Speed]);
        for (value, from, to) in steps {
            gathering.take(Quantity::Speed, *value, BEGIN + from, BEGIN + to);
        }
        gathering.finish()
    }

    /// Smallest and largest of all steps that share a time with the cell, and how long.
    fn by_force(steps: &[Step], from: i64, to: i64, cells: usize, i: usize) -> super::super::Cell {
        let edge = |i: usize| from as f64 + i as f64 * (to - from) as f64 / cells as f64;
        let (begin, end) = (edge(i), edge(i + 1));
        let mut cell = super::super::Cell::default();
        for (value, from, to) in steps {
            let shared = (*to as f64).min(end) - (*from as f64).max(begin);
            if shared > 1e-6 {
                let (low, high) = cell.range.unwrap_or((*value, *value));
                cell.range = Some((low.min(*value), high.max(*value)));
                cell.seen.0 += shared / 1000.0;
            }
        }
        cell
    }

    fn compare(steps: &[Step], overview: &Overview, (from, to): (i64, i64), cells: usize) {
        let window = overview.window(span(from, to), cells, &[Quantity::Speed]);
        let Some(line) = window.line(Quantity::Speed) else {
            assert!(steps.is_empty());
            return;
        };
        assert_eq!(line.cells.len(), cells);
        for (i, cell) in line.cells.iter().enumerate() {
            let wanted = by_force(steps, from, to, cells, i);
            assert_eq!(cell.range, wanted.range, "cell {i} of {cells}, {from} to {to}");
            assert!((cell.seen.0 - wanted.seen.0).abs() < 1e-6, "{cell:?}, {wanted:?}");
        }
    }

    /// Steps one after the other, some after a gap; few values, so that some are joined,
    /// and now and then a spike.
    fn steps() -> impl Strategy<Value = Vec<Step>> {
        let value = prop_oneof![
            6 => (0_i16..4).prop_map(f32::from),
            3 => -50.0_f32..50.0,
            1 => Just(9_999.0_f32),
        ];
        let gap = prop_oneof![5 => Just(0_i64), 1 => 1_i64..5_000];
        let step = (value, gap, 1_i64..400);
        proptest::collection::vec(step, 0..900).prop_map(|all| {
            let mut reached = 0;
            let steps = all.into_iter().map(|(value, gap, length)| {
                let from = reached + gap;
                reached = from + length;
                (value, from, reached)
            });
            steps.collect()
        })
    }

    proptest! {
        #[test]
        fn any_span_at_any_zoom_is_brute_force(
            steps in steps(),
            parts in proptest::collection::vec((-0.1_f64..1.1, 0.0_f64..1.2, 1_usize..160), 1..8),
        ) {
            let length = steps.last().map_or(1_000, |step| step.2);
            let overview = overview(length, &steps);
            compare(&steps, &overview, (0, length), 1);
            for (from, share, cells) in parts {
                let from = (from * length as f64) as i64;
                // Short spans matter as much as long ones.
                let long = ((share * share * share * length as f64) as i64).max(1);
                compare(&steps, &overview, (from, from + long), cells);
            }
        }
    }

    /// One reading of 100 ms in fourteen hours, at every zoom and at every place.
    #[test]
    fn a_spike_is_seen_at_any_zoom() {
        let hours_14 = 14 * 3_600_000;
        let spike = 23_456_700;
        let value = |from: i64| if from == spike { 77.0 } else { (from / 100 % 7) as f32 };
        let steps: Vec<Step> =
            (0..hours_14 / 100).map(|i| (value(i * 100), i * 100, i * 100 + 100)).collect();
        let overview = overview(hours_14, &steps);
        assert_eq!(overview.range(Quantity::Speed), Some((0.0, 77.0)));
        for cells in [1, 2, 50, 97, 160, 511] {
            for (from, to) in
                [(0, hours_14), (spike - 50_000, spike + 10_000), (20_000_000, 30_000_000)]
            {
                let window = overview.window(span(from, to), cells, &[Quantity::Speed]);
                let line = window.line(Quantity::Speed).unwrap();
                let with = line.cells.iter().filter(|c| c.range.is_some_and(|r| r.1 > 76.0));
                let length = (to - from) / cells as i64;
                let most = if length > 100 { 2 } else { 100 / length.max(1) + 2 };
                assert!((1..=most).contains(&(with.count() as i64)), "{cells} of {from} to {to}");
            }
        }
    }

    #[test]
    fn what_two_power_ons_claim_is_of_the_first() {
        let overview = overview(1_000, &[(1.0, 0, 500), (2.0, 300, 700), (3.0, 600, 650)]);
        let window = overview.window(span(0, 1_000), 10, &[Quantity::Speed]);
        let highs: Vec<Option<f32>> =
            window.lines[0].cells.iter().map(|cell| cell.range.map(|range| range.1)).collect();
        let (one, two) = (Some(1.0), Some(2.0));
        assert_eq!(highs, [one, one, one, one, one, two, two, None, None, None]);
    }

    #[test]
    fn no_span_and_no_cells_give_nothing() {
        let overview = overview(1_000, &[(1.0, 0, 500)]);
        let lines = |from, to, cells| overview.window(span(from, to), cells, &[Quantity::Speed]);
        assert!(lines(10, 10, 5).lines.is_empty());
        assert!(lines(10, 5, 5).lines.is_empty());
        assert!(lines(0, 10, 0).lines.is_empty());
        assert!(overview.window(span(0, 10), 5, &[Quantity::Battery]).lines.is_empty());
        let beyond = lines(2_000, 3_000, 2);
        assert_eq!(beyond.lines[0].cells[0].range, None);
        assert!(beyond.lines[0].cells[0].seen.0.abs() < 1e-12);
    }
}
