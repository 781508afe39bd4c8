//! Another tool or grit than the step's: all brushes draw unlike what this step drew in the
//! nights before, all night, and the shift book tells of no new set.

use super::{Cause, Fact, Number, Signature};

/// All motors draw more than the step's normal from this ratio on.
const MORE: f64 = 1.15;
/// All draw less below this one.
const LESS: f64 = 0.85;
/// The current in an event that began with another tool is not far from that before.
const ALIKE: f64 = 1.3;

/// Which way the load is unlike the step's.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Unlike {
    More,
    Less,
}

pub(super) fn wrong_tool(s: &Signature, unlike: Unlike) -> Cause {
    let of_step = s.baseline.filter(|normal| normal.of_step);
    let range = of_step.map(|normal| (normal.range(), normal.nights));
    let fact: Fact = range.map(|((low, high), nights)| {
        let (low, high) = (Number::Ratio(low), Number::Ratio(high));
        let values = vec![("low", low), ("high", high), ("nights", Number::Count(nights))];
        ("evidence-tool", values)
    });
    let is_so = range.map(|((low, high), _)| match unlike {
        Unlike::More => low >= MORE,
        Unlike::Less => high <= LESS,
    });
    let peak: Fact =
        s.peak_ratio.map(|r| ("evidence-peak-ratio", vec![("ratio", Number::Ratio(r))]));
    let alike = s.own_ratio.map(|r| (1.0 / ALIKE..ALIKE).contains(&r));
    let (new, fitted) = s.new_segments();
    Cause::new("cause-wrong-tool", &["inspect-tool", "inspect-segments"])
        .weigh_both((3, 2), is_so, &fact)
        .weigh_both((1, 1), alike, &peak)
        .weigh_both((0, 1), new.map(|new| !new), &fitted)
}
