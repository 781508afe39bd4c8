//! Causes of a switch in the wrong place, of a forbidden floor, and of what is no event of
//! the machine but of its record.

use super::{Cause, Signature};
use crate::events::EventKind;

pub(super) fn causes(kind: EventKind, s: &Signature) -> Vec<Cause> {
    if kind == EventKind::Forbidden {
        return vec![
            Cause::new("cause-crossing", &["inspect-why-it-stood", "inspect-spot-in-low-light"]),
            Cause::new("cause-wrong-mark", &["inspect-marks"]),
        ];
    }
    let changed = match s.changed {
        Some(true) => Some(("evidence-changed", Vec::new())),
        Some(false) => Some(("evidence-unchanged", Vec::new())),
        None => None,
    };
    let checks = match kind {
        EventKind::Water => &["inspect-why-it-stood", "inspect-water", "inspect-switches"][..],
        EventKind::Pressure => &["inspect-why-it-stood", "inspect-down-pressure"],
        _ => &["inspect-why-it-stood", "inspect-switches"],
    };
    vec![
        Cause::new("cause-switched", checks).weigh_both((3, 2), s.changed, &changed),
        Cause::new("cause-forgotten", checks).weigh_both(
            (3, 2),
            s.changed.map(|changed| !changed),
            &changed,
        ),
        Cause::new("cause-switch-signal", &["inspect-switches", "inspect-wiring"]),
    ]
}

/// Of the record.
pub(super) fn record(kind: EventKind) -> Vec<Cause> {
    vec![match kind {
        EventKind::Sensor => {
            Cause::new("cause-sensor", &["inspect-speed-sensor", "inspect-wiring"])
        }
        _ => Cause::new("cause-gap", &["inspect-link", "inspect-wiring"]),
    }]
}
