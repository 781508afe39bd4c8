//! How bad an event is, in four words.
//!
//! *note*: to be known of. *slight*: a glance is enough. *inspect*: look at the spot or
//! the part before the next work. *severe*: floor, motor or battery may have suffered.
//! Which kind is how bad is our own choice after common practice, no published source;
//! a stationary brush has the severity of its finding (`findings::stationary`), a motor's
//! heat is severe from its limit on, a gap or a switch in the wrong place by its length.

use super::kind::EventKind;
use crate::findings;
use underbrush_protocol::settings::did_you_mean;
use underbrush_protocol::si::Seconds;

/// A switch in the wrong place for this long is more than a slip of the hand.
const LONG_CARE: Seconds = Seconds(60.0);
/// A gap of this length may hide an event of any kind.
const LONG_GAP: Seconds = Seconds(60.0);

/// How bad.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// To be known of.
    Note,
    /// A glance is enough.
    Slight,
    /// Look before the next work.
    Inspect,
    /// Something may have suffered.
    Severe,
}

impl Severity {
    /// From the least to the worst.
    pub const ALL: [Self; 4] = [Self::Note, Self::Slight, Self::Inspect, Self::Severe];

    /// The word that people type, and that stands in JSON and CSV.
    pub fn word(self) -> &'static str {
        match self {
            Self::Note => "note",
            Self::Slight => "slight",
            Self::Inspect => "inspect",
            Self::Severe => "severe",
        }
    }

    /// The severity of that word.
    pub fn named(word: &str) -> Result<Self, String> {
        let asked = word.trim().to_lowercase();
        let found = Self::ALL.into_iter().find(|severity| severity.word() == asked);
        found.ok_or_else(|| {
            let hint = match did_you_mean(&asked, Self::ALL.into_iter().map(Self::word)) {
                hint if hint.is_empty() => "; there are note, slight, inspect, severe".to_owned(),
                hint => hint,
            };
            format!("no severity is called `{word}`{hint}")
        })
    }

    /// Of a kind that is not judged by a finding of its own.
    pub(super) fn of(kind: EventKind, lasted: Seconds, ratio: Option<f64>) -> Self {
        use EventKind as K;
        match kind {
            K::Stall | K::Trip | K::Forbidden | K::BatteryDeep => Self::Severe,
            K::Hot if ratio.is_some_and(|share| share >= 1.0) => Self::Severe,
            K::OverPressure | K::Hot | K::Dry | K::Sensor => Self::Inspect,
            K::Water | K::Head if lasted >= LONG_CARE => Self::Inspect,
            K::Gap if lasted >= LONG_GAP => Self::Slight,
            K::Gap | K::Slip => Self::Note,
            K::Stationary
            | K::NearStall
            | K::Heavy
            | K::Light
            | K::Uneven
            | K::Vacuum
            | K::Water
            | K::Pressure
            | K::Head
            | K::BatteryLow => Self::Slight,
        }
    }
}

impl From<findings::Severity> for Severity {
    fn from(severity: findings::Severity) -> Self {
        match severity {
            findings::Severity::Slight => Self::Slight,
            findings::Severity::Inspect => Self::Inspect,
            findings::Severity::Severe => Self::Severe,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_and_hints() {
        for severity in Severity::ALL {
            assert_eq!(Severity::named(severity.word()), Ok(severity));
        }
        assert!(Severity::ALL.is_sorted());
        let told = Severity::named("sevre").unwrap_err();
        assert_eq!(told, "no severity is called `sevre`; did you mean severe?");
        assert!(Severity::named("bad").unwrap_err().contains("there are note"));
    }

    #[test]
    fn length_and_heat_count() {
        let of = |kind, s, ratio| Severity::of(kind, Seconds(s), ratio);
        assert_eq!(of(EventKind::Gap, 59.0, None), Severity::Note);
        assert_eq!(of(EventKind::Gap, 60.0, None), Severity::Slight);
        assert_eq!(of(EventKind::Water, 59.0, None), Severity::Slight);
        assert_eq!(of(EventKind::Water, 60.0, None), Severity::Inspect);
        assert_eq!(of(EventKind::Hot, 5.0, Some(0.95)), Severity::Inspect);
        assert_eq!(of(EventKind::Hot, 5.0, Some(1.0)), Severity::Severe);
    }
}
