//! Causes told by what driving draws: what the battery gives beyond the brush motors.
//!
//! A machine that is stopped by hand draws less; one that is held, or whose wheels slip
//! under load, goes on pulling and draws more although it goes slower.

use super::{Cause, Fact, Number, Signature};

/// More than before from this ratio on. Vacuum and electronics are within.
const MORE: f64 = 1.2;
/// Less than before below this ratio.
const LESS: f64 = 0.92;

impl Signature {
    pub(super) fn drive_fact(&self) -> Fact {
        self.drive.map(|(before, now)| {
            let values = vec![("before", Number::Amperes(before)), ("now", Number::Amperes(now))];
            ("evidence-drive", values)
        })
    }

    fn drive_ratio(&self) -> Option<f64> {
        self.drive.filter(|(before, _)| *before > 1.0).map(|(before, now)| now / before)
    }

    /// The drive draws more than before.
    pub(super) fn pulls(&self) -> Option<bool> {
        self.drive_ratio().map(|ratio| ratio >= MORE)
    }

    /// It draws clearly more, or clearly less; `None`: neither, or not known.
    pub(super) fn pulls_or_rests(&self) -> Option<bool> {
        let ratio = self.drive_ratio()?;
        let pulls = ratio >= MORE;
        (pulls || ratio < LESS).then_some(pulls)
    }
}

/// The wheel's speed leapt, or the machine turned faster than its grip allows.
pub(super) fn slip(s: &Signature) -> Vec<Cause> {
    let pulls = s.pulls();
    let wet = s.water.map(|percent| percent > 0.0);
    let water: Fact =
        s.water.map(|percent| ("evidence-water", vec![("percent", Number::Percent(percent))]));
    vec![
        Cause::new("cause-slip", &["inspect-floor-there", "inspect-drive-wheels"])
            .weigh_both((3, 0), pulls, &s.drive_fact())
            .weigh_both((1, 0), wet, &water),
        Cause::new("cause-sensor", &["inspect-speed-sensor", "inspect-wiring"]).weigh_both(
            (1, 2),
            pulls.map(|pulls| !pulls),
            &s.drive_fact(),
        ),
    ]
}
