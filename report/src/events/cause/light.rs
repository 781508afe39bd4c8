//! Causes of a brush that hardly touches, and of brushes that draw differently.

use super::tool::{Unlike, wrong_tool};
use super::{Cause, Fact, Number, Signature};

/// A current that stays within this share of what it was did not change.
const SAME: f64 = 0.1;

/// Which way a current went.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Went {
    Up,
    Same,
    Down,
}

fn went(ratio: f64) -> Went {
    if ratio > 1.0 + SAME {
        Went::Up
    } else if ratio < 1.0 - SAME {
        Went::Down
    } else {
        Went::Same
    }
}

impl Signature {
    /// This motor and the other went opposite ways; only one of them changed.
    fn ways(&self) -> (Option<bool>, Option<bool>, Fact) {
        let Some((own, other)) = self.own_ratio.zip(self.other_ratio) else {
            return (None, None, None);
        };
        let values = vec![("own", Number::Ratio(own)), ("other", Number::Ratio(other))];
        let (a, b) = (went(own), went(other));
        let opposite = matches!((a, b), (Went::Up, Went::Down) | (Went::Down, Went::Up));
        let one = (a == Went::Same) != (b == Went::Same);
        (Some(opposite), Some(one), Some(("evidence-ways", values)))
    }
}

fn low_setting(s: &Signature) -> Cause {
    let (_, fact) = s.raised();
    let low = s.pressure.map(|(_, inside)| inside < s.full_pressure);
    Cause::new("cause-low-setting", &["inspect-down-pressure"]).weigh_both((3, 2), low, &fact)
}

fn worn(s: &Signature) -> Cause {
    let (_, one, fact) = s.ways();
    Cause::new("cause-worn", &["inspect-segments", "inspect-deck-level"]).weigh_both(
        (3, 1),
        one,
        &fact,
    )
}

fn tilted(s: &Signature) -> Cause {
    let (opposite, _, fact) = s.ways();
    Cause::new("cause-uneven-deck", &["inspect-deck-level", "inspect-segments"]).weigh_both(
        (3, 1),
        opposite,
        &fact,
    )
}

/// A brush that hardly touches.
pub(super) fn light(s: &Signature) -> Vec<Cause> {
    vec![low_setting(s), worn(s), wrong_tool(s, Unlike::Less), tilted(s)]
}

/// Brushes that draw differently.
pub(super) fn uneven(s: &Signature) -> Vec<Cause> {
    vec![tilted(s), worn(s), low_setting(s)]
}
