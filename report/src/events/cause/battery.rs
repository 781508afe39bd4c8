//! Causes of a battery that was low.

use super::{Cause, Signature};

pub(super) fn causes(s: &Signature) -> Vec<Cause> {
    let start = s.not_full();
    let weak =
        s.weak.map(|weak| (if weak { "evidence-weak" } else { "evidence-not-weak" }, Vec::new()));
    let normal = s.normal_fact();
    let heavy = s.baseline.map(|normal| normal.own >= 1.1);
    vec![
        Cause::new("cause-not-full", &["inspect-battery"]).weigh_both(
            (3, 0),
            s.not_full_v.map(|_| true),
            &start,
        ),
        Cause::new("cause-battery-weak", &["inspect-battery", "inspect-wiring"]).weigh_both(
            (3, 2),
            s.weak,
            &weak,
        ),
        Cause::new("cause-heavy-work", &["inspect-down-pressure", "inspect-segments"]).weigh_both(
            (2, 1),
            heavy,
            &normal,
        ),
    ]
}
