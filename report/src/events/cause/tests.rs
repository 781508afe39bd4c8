//! Each cause by a signature made by hand, and what takes it away again.

use super::{AgainstNights, EventKind, Likelihood, OwnNormal, Signature, weigh};

/// Of this motor and of the other, by five nights in this step.
fn normal(own: f64, other: f64) -> OwnNormal {
    OwnNormal { own, others: Some((other, other)), nights: 5, of_step: true }
}

fn nights(tonight: f64, usual: f64) -> AgainstNights {
    AgainstNights { tonight, usual, spread: 0.01 * usual, nights: 6 }
}

/// Two motors at work at 0.55 m/s, switched on long ago, everything as it should be.
fn usual() -> Signature {
    Signature {
        motors: 2,
        motor: 1,
        lasted_s: 2.0,
        obstacle_s: 0.9,
        speed_before_m_s: Some(0.55),
        speed_after_m_s: Some(0.55),
        standing_m_s: 0.05,
        other_ratio: Some(1.0),
        after_ratio: Some(1.0),
        peak_ratio: Some(4.0),
        before_a: Some(20.0),
        over_pressure_a: 37.5,
        pressure: Some((100.0, 100.0)),
        water: Some(70.0),
        water_level: 1.0,
        here_elsewhere: (1, 0),
        sections: 3,
        baseline: Some(normal(1.0, 1.0)),
        full_pressure: 95.0,
        own_ratio: Some(1.0),
        heat_warning: 0.9,
        volts_before: Some(36.0),
        empty_v: 31.5,
        command_known: true,
        command: Some(true),
        head_down: Some(true),
        speed_doubted: Some(false),
        ..Signature::default()
    }
}

type Change = fn(&mut Signature);

const CASES: [(&str, EventKind, Change); 27] = [
    ("cause-obstacle", EventKind::Stall, |s| s.rise_s = Some(0.2)),
    ("cause-wound", EventKind::Stall, |s| (s.rise_s, s.after_ratio) = (Some(3.0), Some(1.5))),
    ("cause-pressed", EventKind::Stall, |s| {
        (s.rise_s, s.other_ratio, s.pressure) = (Some(2.0), Some(1.6), Some((60.0, 100.0)));
    }),
    ("cause-floor", EventKind::Stall, |s| {
        (s.rise_s, s.here_elsewhere, s.other_ratio) = (Some(2.0), (3, 0), Some(1.3));
    }),
    ("cause-motor", EventKind::Stall, |s| s.baseline = Some(normal(1.3, 1.0))),
    ("cause-held-start", EventKind::Stall, |s| s.since_start_s = Some(1.0)),
    ("cause-low-battery", EventKind::Stall, |s| s.volts_before = Some(30.0)),
    ("cause-dry", EventKind::OverPressure, |s| (s.water, s.other_ratio) = (Some(0.0), Some(1.4))),
    ("cause-pressed", EventKind::OverPressure, |s| {
        (s.pressure, s.other_ratio) = (Some((60.0, 100.0)), Some(1.5));
    }),
    ("cause-new-segments", EventKind::OverPressure, |s| {
        (s.fitted_nights, s.baseline, s.other_ratio) = (Some(0), Some(normal(1.3, 1.3)), Some(1.3));
    }),
    ("cause-standing", EventKind::Stationary, |s| {
        (s.stopping_s, s.peak_ratio) = (Some(1.2), Some(1.0));
    }),
    ("cause-blocked", EventKind::Stationary, |s| {
        (s.stopping_s, s.peak_ratio, s.speed_after_m_s) = (Some(0.2), Some(2.0), Some(0.0));
    }),
    ("cause-speed-sensor", EventKind::Stationary, |s| {
        (s.speed_before_m_s, s.speed_after_m_s, s.speed_doubted) =
            (Some(0.0), Some(0.0), Some(true));
    }),
    ("cause-brush-switch", EventKind::Stationary, |s| s.command = Some(false)),
    ("cause-trip", EventKind::Trip, |s| s.before_a = Some(40.0)),
    ("cause-low-setting", EventKind::Light, |s| s.pressure = Some((100.0, 15.0))),
    ("cause-switched", EventKind::Vacuum, |s| s.changed = Some(true)),
    ("cause-forgotten", EventKind::Vacuum, |s| s.changed = Some(false)),
    ("cause-battery-weak", EventKind::BatteryLow, |s| s.weak = Some(true)),
    ("cause-bearing", EventKind::Stall, |s| {
        (s.rise_s, s.air.run_down, s.air.no_load) =
            (Some(3.0), Some(nights(1.0, 1.5)), Some(nights(6.0, 3.0)));
    }),
    ("cause-bearing", EventKind::Hot, |s| {
        (s.air.run_down, s.baseline) = (Some(nights(1.0, 1.5)), Some(normal(1.3, 1.0)));
    }),
    ("cause-wrong-tool", EventKind::Heavy, |s| s.baseline = Some(normal(1.5, 1.45))),
    ("cause-wrong-tool", EventKind::Light, |s| s.baseline = Some(normal(0.5, 0.6))),
    ("cause-blocked", EventKind::Stationary, |s| {
        (s.stopping_s, s.drive, s.peak_ratio) = (Some(0.2), Some((20.0, 35.0)), Some(1.0));
    }),
    ("cause-slip", EventKind::Slip, |s| s.drive = Some((20.0, 30.0))),
    ("cause-uneven-deck", EventKind::Uneven, |s| {
        (s.own_ratio, s.other_ratio) = (Some(1.25), Some(0.75));
    }),
    ("cause-worn", EventKind::Light, |s| s.own_ratio = Some(0.3)),
];

#[test]
fn each_signature_has_its_cause_first() {
    for (cause, kind, change) in CASES {
        let mut signature = usual();
        change(&mut signature);
        let judged = weigh(kind, &signature);
        let first = &judged.causes[0];
        assert_eq!(first.id, cause, "{kind:?}: {:#?}", judged.causes);
        assert_eq!(first.likelihood, Likelihood::Likely, "{first:?}");
        let second = judged.causes.get(1).map_or(i32::MIN, |cause| cause.score);
        assert!(first.score > second, "{cause}: {:#?}", judged.causes);
    }
}

/// The new facts against their causes: a brush that coasts as ever has no bad bearing, a
/// motor alone has no wrong tool, a drive that rests was not held.
#[test]
fn the_same_facts_speak_against() {
    let unlikely = |kind, id: &str, change: Change| {
        let mut signature = usual();
        change(&mut signature);
        let judged = weigh(kind, &signature);
        let cause = judged.causes.iter().find(|cause| cause.id == id).unwrap();
        assert_eq!(cause.likelihood, Likelihood::Unlikely, "{cause:#?}");
        assert!(!cause.evidence_against.is_empty());
    };
    unlikely(EventKind::Stall, "cause-bearing", |s| s.air.run_down = Some(nights(1.5, 1.5)));
    unlikely(EventKind::Heavy, "cause-wrong-tool", |s| {
        (s.baseline, s.own_ratio) = (Some(normal(1.5, 1.0)), Some(1.6));
    });
    unlikely(EventKind::Stationary, "cause-blocked", |s| {
        (s.drive, s.peak_ratio) = (Some((20.0, 15.0)), Some(1.0));
    });
    // In the air nothing was seen: nothing is said of it.
    let judged = weigh(EventKind::Stall, &usual());
    assert!(judged.causes.iter().all(|cause| cause.id != "cause-bearing"));
    // What the machine file says is no other night's current of this step.
    let mut signature = usual();
    signature.baseline = Some(OwnNormal { nights: 0, of_step: false, ..normal(1.5, 1.5) });
    let judged = weigh(EventKind::Heavy, &signature);
    let tool = judged.causes.iter().find(|cause| cause.id == "cause-wrong-tool").unwrap();
    assert_ne!(tool.likelihood, Likelihood::Likely, "{tool:#?}");
    let all = |tool: &super::Cause| tool.evidence_for.iter().chain(&tool.evidence_against).count();
    assert_eq!(all(tool), 1, "only that nothing changed: {tool:#?}");
}

#[test]
fn nothing_known_says_nothing() {
    for kind in EventKind::ALL {
        let judged = weigh(kind, &Signature::default());
        assert!(!judged.causes.is_empty(), "{kind:?}");
        for cause in &judged.causes {
            let likely = cause.likelihood == Likelihood::Likely;
            assert!(!likely, "{kind:?} {cause:?}");
        }
        assert!(!judged.checks.is_empty(), "{kind:?}");
    }
}

#[test]
fn checks_go_from_the_cheapest_on_and_leave_out_the_unlikely() {
    let signature = Signature { rise_s: Some(0.2), ..usual() };
    let judged = weigh(EventKind::Stall, &signature);
    assert_eq!(judged.checks, ["inspect-floor-there", "inspect-segments", "inspect-brush-by-hand"]);
    // Every check has its place in the order, or it would be lost.
    for (_, kind, change) in CASES {
        let mut signature = usual();
        change(&mut signature);
        let judged = weigh(kind, &signature);
        for check in judged.causes.iter().flat_map(|cause| cause.checks) {
            assert!(super::CHECKS.contains(check), "{check}");
        }
    }
}

#[test]
fn one_fact_speaks_for_one_cause_and_against_another() {
    let signature = Signature { rise_s: Some(0.2), ..usual() };
    let judged = weigh(EventKind::Stall, &signature);
    let of = |id: &str| judged.causes.iter().find(|cause| cause.id == id).unwrap().clone();
    let rise = |list: &[super::Evidence]| list.iter().any(|e| e.id == "evidence-rise");
    assert!(rise(&of("cause-obstacle").evidence_for));
    assert!(rise(&of("cause-wound").evidence_against));
}
