//! Causes of a brush that turned while the machine stood.

use super::{Cause, Fact, Number, Signature};

/// A machine that stops faster than this was stopped by something, in s.
const AT_ONCE_S: f64 = 0.5;
/// A brush that meets an edge draws more.
const MORE: f64 = 1.3;

pub(super) fn causes(s: &Signature) -> Vec<Cause> {
    let (moving, speed) = s.moving();
    let after: Fact =
        s.speed_after_m_s.map(|v| ("evidence-moving-after", vec![("speed", Number::Speed(v))]));
    let moved_after = s.speed_after_m_s.map(|v| v > s.standing_m_s);
    let on = Some(("evidence-switch-on", Vec::new()));
    let off = Some(("evidence-switch-off", Vec::new()));
    let switch: &Fact = match s.command {
        Some(false) => &off,
        _ => &on,
    };
    let peak: Fact =
        s.peak_ratio.map(|r| ("evidence-peak-ratio", vec![("ratio", Number::Ratio(r))]));
    let stopped: Fact =
        s.stopping_s.map(|t| ("evidence-stopped", vec![("time", Number::Seconds(t))]));
    let doubt = Some(("evidence-doubt", Vec::new()));
    let lasted: Fact = Some(("evidence-lasted", vec![("time", Number::Seconds(s.lasted_s))]));
    let head: Fact = match s.head_down {
        None => Some(("evidence-head-unknown", Vec::new())),
        Some(true) => Some(("evidence-head-down", Vec::new())),
        Some(false) => Some(("evidence-head-up", Vec::new())),
    };
    let spot = &["inspect-why-it-stood", "inspect-spot-in-low-light"];
    vec![
        Cause::new("cause-standing", spot)
            .weigh(2, s.command, switch)
            .weigh(1, moving, &speed)
            .weigh(1, moved_after, &after)
            .weigh_both((1, 3), s.pulls_or_rests().map(|pulls| !pulls), &s.drive_fact())
            .weigh_both((0, 3), s.speed_doubted.map(|doubted| !doubted), &doubt),
        Cause::new(
            "cause-blocked",
            &["inspect-floor-there", "inspect-drive-wheels", "inspect-spot-in-low-light"],
        )
        .weigh_both((2, 1), s.stopping_s.map(|t| t < AT_ONCE_S), &stopped)
        .weigh_both((3, 2), s.pulls_or_rests(), &s.drive_fact())
        .weigh_both((2, 1), s.peak_ratio.map(|r| r > MORE), &peak),
        Cause::new("cause-speed-sensor", &["inspect-speed-sensor", "inspect-wiring"])
            .weigh_both((3, 0), s.speed_doubted.filter(|doubted| *doubted), &doubt)
            .weigh(2, moving.map(|moving| !moving), &speed)
            .weigh(2, moved_after.map(|moved| !moved), &after)
            .weigh_both((1, 0), Some(s.lasted_s > 120.0), &lasted),
        Cause::new("cause-brush-switch", &["inspect-brush-switch", "inspect-wiring"]).weigh_both(
            (3, 2),
            s.command.map(|on| !on),
            switch,
        ),
        Cause::new("cause-head-up", &["inspect-switches"]).weigh_both(
            (1, 3),
            Some(s.head_down != Some(true)),
            &head,
        ),
    ]
}
