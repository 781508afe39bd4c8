//! What happened in two or three words, for every sort of event.

use crate::events::EventKind;

/// The message that says it.
pub(crate) fn kind_id(kind: EventKind) -> &'static str {
    match kind {
        EventKind::Stationary => "events-stood",
        EventKind::Stall => "load-stall",
        EventKind::NearStall => "load-near-stall",
        EventKind::Trip => "load-trip",
        EventKind::OverPressure => "load-over-pressure",
        EventKind::Heavy => "load-heavy",
        EventKind::Light => "load-light",
        EventKind::Uneven => "load-uneven",
        EventKind::Dry => "load-dry",
        EventKind::Hot => "load-hot",
        EventKind::Vacuum => "kind-vacuum",
        EventKind::Water => "kind-water",
        EventKind::Pressure => "kind-pressure",
        EventKind::Head => "kind-head",
        EventKind::Forbidden => "kind-forbidden",
        EventKind::BatteryLow => "kind-battery-low",
        EventKind::BatteryDeep => "kind-battery-deep",
        EventKind::Slip => "kind-slip",
        EventKind::Sensor => "kind-sensor",
        EventKind::Gap => "kind-gap",
    }
}
