//! Light contact: the brush turns on the floor and hardly grinds.

use super::{LoadEvent, LoadLimits};

/// Friction below this share of the expected is hardly any: our own choice.
const HARDLY: f32 = 0.15;

/// What may be behind light contact, by what is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub enum LightCause {
    /// The pressure was set to less than full.
    Pressure {
        /// The setting in percent.
        percent: u8,
    },
    /// Little more current than motor and gear alone: brush missing or worn out, or head not down.
    HardlyTouching,
    /// All motors at once: the head does not press.
    AllBrushes,
    /// This brush alone: worn unevenly, glazed, or not seated.
    OneBrush,
}

/// Whether this current is light; it ends a little higher than it begins.
pub(super) fn light(current_a: f32, expected_a: f32, limits: &LoadLimits, active: bool) -> bool {
    let share = limits.light_share;
    let share = if active { 1.0 - 0.9 * (1.0 - share) } else { share };
    current_a < share * expected_a
}

/// The cause of a light-contact event; `all` says that every motor was light.
pub fn light_cause<T>(event: &LoadEvent<T>, limits: &LoadLimits, all: bool) -> LightCause {
    if let Some(percent) = event.pressure.filter(|p| *p < limits.full_pressure) {
        return LightCause::Pressure { percent };
    }
    let expected_a = event.ratio.filter(|r| *r > 0.0).map(|r| event.mean_a / r);
    let friction = expected_a
        .filter(|a| *a > limits.no_load_a)
        .map(|a| (event.mean_a - limits.no_load_a) / (a - limits.no_load_a));
    match friction {
        Some(share) if share < HARDLY => LightCause::HardlyTouching,
        _ if all => LightCause::AllBrushes,
        _ => LightCause::OneBrush,
    }
}
