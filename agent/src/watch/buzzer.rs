//! The frames to the bridge's buzzer. Pure: the caller brings the time and sends the bytes.
//!
//! A warning is one short sound: its frame, and silence a moment later. An alarm lasts. What is
//! to be heard is sent when it changes, at most five times a second, and again each second while
//! there is an alarm: a bridge that hears nothing for 3 s falls silent.

use super::kind::{Alarm, AlarmKind, Stage};
use underbrush_protocol::link::MAX_ON_WIRE;
use underbrush_protocol::reply::{BUZZER_REPEATS_MS, Buzzer, Reply};
use underbrush_protocol::time::BootMs;

/// Changes come at most this often, in ms.
const LEAST_MS: u64 = 200;
/// A warning sounds for this, in ms.
const WARNING_MS: u64 = 400;

/// The talk to one bridge.
#[derive(Debug, Default)]
pub(super) struct BuzzerTalk {
    alarm: Buzzer,
    /// The last warning, and when its sound ends.
    warning: Option<(Buzzer, BootMs)>,
    sent: Option<(BootMs, Buzzer)>,
    sequence: u16,
}

/// What a buzzer should say of the events that are on.
fn sounds<'a>(on: impl Iterator<Item = &'a Alarm>) -> Buzzer {
    let events = on.filter(|alarm| alarm.stage == Stage::Event);
    events.min_by_key(|alarm| (alarm.kind, alarm.motor)).map_or(Buzzer::default(), says)
}

fn says(alarm: &Alarm) -> Buzzer {
    let about = AlarmKind::ALL.iter().position(|kind| *kind == alarm.kind).unwrap_or(0);
    Buzzer {
        level: if alarm.stage == Stage::Event { 2 } else { 1 },
        about: about as u8 + 1,
        motor: alarm.motor.map_or(0, |motor| motor + 1),
    }
}

impl BuzzerTalk {
    /// An alarm began or ended; `on` are all that are on from here on.
    pub(super) fn tell(&mut self, alarm: &Alarm, on: &[Alarm], now: BootMs) {
        self.alarm = sounds(on.iter());
        if alarm.on && alarm.stage == Stage::Warning {
            // Of several at once the most urgent sounds.
            let (new, rank) = (says(alarm), |buzzer: &Buzzer| (buzzer.about, buzzer.motor));
            let sounds = |(old, end): &(Buzzer, BootMs)| now < *end && rank(old) <= rank(&new);
            if !self.warning.as_ref().is_some_and(sounds) {
                self.warning = Some((new, now.plus(WARNING_MS)));
            }
        }
    }

    /// What is to be heard.
    fn wanted(&self) -> Buzzer {
        let warning = self.warning.filter(|_| self.alarm.level == 0);
        warning.map_or(self.alarm, |(warning, _)| warning)
    }

    /// What the bridge heard last. One that was told nothing is silent.
    fn last(&self) -> Buzzer {
        self.sent.map_or(Buzzer::default(), |(_, last)| last)
    }

    /// The bridge is another one, or the line was lost: it has heard nothing.
    pub(super) fn forget(&mut self) {
        self.sent = None;
    }

    /// Appends the frame that is due by now.
    pub(super) fn speak(&mut self, now: BootMs, out: &mut Vec<u8>) {
        if self.due().is_none_or(|due| due > now) {
            return;
        }
        self.warning = self.warning.filter(|(_, end)| now < *end);
        let (wanted, last) = (self.wanted(), self.last());
        let wait_ms = if wanted == last { BUZZER_REPEATS_MS } else { LEAST_MS };
        let silent = wanted == last && last.level == 0;
        if silent || self.sent.is_some_and(|(at, _)| now < at.plus(wait_ms)) {
            return;
        }
        self.sent = Some((now, wanted));
        let mut wire = [0; MAX_ON_WIRE];
        let used = Reply::Buzzer(wanted).encode(self.sequence, now.0 as u32, &mut wire);
        self.sequence = self.sequence.wrapping_add(1);
        out.extend_from_slice(&wire[..used]);
    }

    /// When the next frame is due; `None`: not before the next alarm.
    pub(super) fn due(&self) -> Option<BootMs> {
        let (wanted, last) = (self.wanted(), self.last());
        let after = |ms| self.sent.map_or(BootMs(0), |(at, _)| at.plus(ms));
        let says = match () {
            () if wanted != last => Some(after(LEAST_MS)),
            () if last.level > 0 => Some(after(BUZZER_REPEATS_MS)),
            () => None,
        };
        let falls_silent = self.warning.map(|(_, end)| end);
        [says, falls_silent].into_iter().flatten().min()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn alarm(kind: AlarmKind, stage: Stage, motor: Option<u8>) -> Alarm {
        Alarm { at: BootMs(9), kind, stage, motor, began: BootMs(1), on: true }
    }

    const STANDS: AlarmKind = AlarmKind::Stationary;

    /// What a bridge hears of alarms that begin or end, with the time of each frame.
    fn heard(told: &[(u64, Stage, bool)], end: u64) -> Vec<(u64, Buzzer)> {
        let mut talk = BuzzerTalk::default();
        let mut heard = Vec::new();
        for now in (0..end).step_by(10) {
            for (_, stage, on) in told.iter().filter(|(at, ..)| *at == now) {
                let alarm = Alarm { on: *on, ..alarm(STANDS, *stage, None) };
                let events = on.then_some(alarm).filter(|alarm| alarm.stage == Stage::Event);
                talk.tell(&alarm, events.as_slice(), BootMs(now));
            }
            let mut out = Vec::new();
            talk.speak(BootMs(now), &mut out);
            for coded in out.split(|byte| *byte == 0).filter(|coded| !coded.is_empty()) {
                let (header, Reply::Buzzer(buzzer)) = Reply::decode(coded).unwrap().unwrap();
                assert_eq!((header.sequence as usize, header.tick_ms), (heard.len(), now as u32));
                heard.push((now, buzzer));
            }
        }
        heard
    }

    #[test]
    fn the_most_urgent_is_heard() {
        let water = alarm(AlarmKind::Water, Stage::Event, None);
        let stands = alarm(AlarmKind::Stationary, Stage::Warning, None);
        let stall = alarm(AlarmKind::Stall, Stage::Event, Some(1));
        let says = |alarms: &[Alarm]| sounds(alarms.iter());
        assert_eq!(says(&[]), Buzzer::default());
        assert_eq!(says(&[stands]), Buzzer::default(), "a warning is a sound of its own");
        assert_eq!(says(&[stands, water]), Buzzer { level: 2, about: 6, motor: 0 });
        assert_eq!(says(&[stands, water, stall]), Buzzer { level: 2, about: 2, motor: 2 });
    }

    #[test]
    fn it_is_repeated_while_on_and_ends_with_silence() {
        let (off, on) = (Buzzer::default(), Buzzer { level: 2, about: 1, motor: 0 });
        assert_eq!(
            heard(&[(500, Stage::Event, true), (2_800, Stage::Event, false)], 20_000),
            [(500, on), (1_500, on), (2_500, on), (2_800, off)]
        );
        assert_eq!(heard(&[], 20_000), []);
    }

    #[test]
    fn a_warning_is_short_and_an_alarm_comes_before_it() {
        let (off, short) = (Buzzer::default(), Buzzer { level: 1, about: 1, motor: 0 });
        let long = Buzzer { level: 2, ..short };
        let warning = (500, Stage::Warning, true);
        let ends = (4_000, Stage::Warning, false);
        assert_eq!(heard(&[warning, ends], 9_000), [(500, short), (900, off)]);
        let event = [(700, Stage::Event, true), (1_000, Stage::Event, false)];
        assert_eq!(
            heard(&[warning, event[0], event[1], ends], 9_000),
            [(500, short), (700, long), (1_000, off)]
        );
    }

    #[test]
    fn changes_come_no_faster_than_five_a_second() {
        let wanted: Vec<_> = (0..1_000).map(|i| (i * 10, Stage::Event, i % 2 == 0)).collect();
        let heard = heard(&wanted, 10_000);
        assert!(heard.len() > 30 && heard.windows(2).all(|w| w[1].0 - w[0].0 >= LEAST_MS));
    }
}
