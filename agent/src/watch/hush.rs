//! Which warnings are heard. Pure: the caller brings the time.
//!
//! A warning is told before it is sure that there is an event, so that it comes within a
//! second; most of the short stops that it speaks of end by themselves. A sound for each of
//! them would make a person deaf to all. So of each kind only some *false* warnings in a row
//! are heard, and after that one more each rest. A warning that became an event was right and
//! counts for nothing; the alarm of an event is always heard. Status and service log show all.

use super::kind::{Alarm, AlarmKind, Stage};
use underbrush_protocol::time::BootMs;

/// How many warnings were false lately.
#[derive(Clone, Debug)]
pub struct Hush {
    in_a_row: u64,
    rest_ms: u64,
    /// Of each kind: the rests that its false warnings still cost, and when that was reckoned.
    debt_ms: [(u64, BootMs); AlarmKind::ALL.len()],
    on: Vec<On>,
}

/// A warning that is on.
#[derive(Clone, Copy, Debug)]
struct On {
    kind: AlarmKind,
    motor: Option<u8>,
    heard: bool,
    became_event: bool,
}

impl Hush {
    /// Of each kind so many false warnings in a row are heard, and one more after each rest. With
    /// a rest of 0 all are heard.
    pub fn new(in_a_row: u32, rest_ms: u64) -> Self {
        let debt_ms = [(0, BootMs(0)); AlarmKind::ALL.len()];
        Self { in_a_row: in_a_row.into(), rest_ms, debt_ms, on: Vec::new() }
    }

    /// Whether this begin or end of an alarm is for buzzer, relay and command. To be asked of all
    /// of them, in their order. What is not heard to begin is not heard to end.
    pub fn hears(&mut self, alarm: &Alarm, now: BootMs) -> bool {
        let Alarm { kind, motor, .. } = *alarm;
        let same = |on: &On| (on.kind, on.motor) == (kind, motor);
        match (alarm.stage, alarm.on) {
            (Stage::Event, begins) => {
                let mut warnings = self.on.iter_mut().filter(|on| same(on));
                warnings.by_ref().for_each(|on| on.became_event |= begins);
                true
            }
            (Stage::Warning, true) => {
                let (rest_ms, in_a_row) = (self.rest_ms, self.in_a_row);
                let heard = self.debt(kind, now).saturating_add(rest_ms) <= in_a_row * rest_ms;
                self.on.retain(|on| !same(on));
                self.on.push(On { kind, motor, heard, became_event: false });
                heard
            }
            (Stage::Warning, false) => {
                let Some(place) = self.on.iter().position(same) else { return true };
                let On { heard, became_event, .. } = self.on.swap_remove(place);
                if heard && !became_event {
                    let rest_ms = self.rest_ms;
                    *self.debt(kind, now) += rest_ms;
                }
                heard
            }
        }
    }

    /// The debt of a kind by now.
    fn debt(&mut self, kind: AlarmKind, now: BootMs) -> &mut u64 {
        let place = AlarmKind::ALL.iter().position(|other| *other == kind).unwrap_or(0);
        let (debt_ms, at) = &mut self.debt_ms[place];
        *debt_ms = debt_ms.saturating_sub(now.since(*at));
        *at = now;
        debt_ms
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn alarm(kind: AlarmKind, stage: Stage, on: bool) -> Alarm {
        Alarm { at: BootMs(0), kind, stage, motor: None, began: BootMs(0), on }
    }

    /// Begin and end of a warning at this time: whether it is heard.
    fn warns(hush: &mut Hush, kind: AlarmKind, at: u64, event: bool) -> bool {
        let heard = hush.hears(&alarm(kind, Stage::Warning, true), BootMs(at));
        if event {
            assert!(hush.hears(&alarm(kind, Stage::Event, true), BootMs(at + 1_000)));
        }
        let end = hush.hears(&alarm(kind, Stage::Warning, false), BootMs(at + 2_000));
        assert_eq!(end, heard, "what began is heard to end");
        if event {
            assert!(hush.hears(&alarm(kind, Stage::Event, false), BootMs(at + 2_000)));
        }
        heard
    }

    #[test]
    fn false_warnings_tire_and_a_rest_helps() {
        let mut hush = Hush::new(3, 60_000);
        let kind = AlarmKind::Stationary;
        let heard: Vec<bool> = (0..6).map(|i| warns(&mut hush, kind, i * 10_000, false)).collect();
        assert_eq!(heard, [true, true, true, false, false, false]);
        assert!(warns(&mut hush, AlarmKind::Stall, 60_000, false), "another kind");
        // Charged at 2, 12 and 22 s: 122 s of three rests are left at 60 s, two at 62 s.
        assert!(!warns(&mut hush, kind, 61_000, false));
        assert!(warns(&mut hush, kind, 63_000, false));
        assert!(!warns(&mut hush, kind, 70_000, false));
    }

    #[test]
    fn right_warnings_and_events_are_always_heard() {
        let mut hush = Hush::new(2, 60_000);
        let kind = AlarmKind::OverPressure;
        assert!((0..20).all(|i| warns(&mut hush, kind, i * 5_000, true)));
        let tired = (20..25).map(|i| warns(&mut hush, kind, i * 5_000, false)).last();
        assert_eq!(tired, Some(false));
        // An event whose warning was not heard: `warns` holds that its alarm is.
        assert!(!warns(&mut hush, kind, 125_000, true));
        let mut all = Hush::new(1, 0);
        assert!((0..20).all(|i| warns(&mut all, kind, i * 100, false)));
    }
}
