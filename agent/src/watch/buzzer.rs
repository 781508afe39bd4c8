//! The frames to the bridge's buzzer. Pure: the caller brings the time and sends the bytes.
//!
//! What is to be heard is sent when it changes, at most five times a second, and again each
//! second while there is an alarm: a bridge that hears nothing for 3 s falls silent.

use super::kind::{Alarm, AlarmKind, Stage};
use underbrush_protocol::link::MAX_ON_WIRE;
use underbrush_protocol::reply::{BUZZER_REPEATS_MS, Buzzer, Reply};
use underbrush_protocol::time::BootMs;

/// Changes come at most this often, in ms.
const LEAST_MS: u64 = 200;

/// The talk to one bridge.
#[derive(Debug, Default)]
pub(super) struct BuzzerTalk {
    wanted: Buzzer,
    sent: Option<(BootMs, Buzzer)>,
    sequence: u16,
}

/// What a buzzer should say of the alarms that are on.
pub(super) fn sounds<'a>(on: impl Iterator<Item = &'a Alarm>) -> Buzzer {
    let rank = |alarm: &&Alarm| (std::cmp::Reverse(alarm.stage), alarm.kind, alarm.motor);
    let Some(alarm) = on.min_by_key(rank) else { return Buzzer::default() };
    let about = AlarmKind::ALL.iter().position(|kind| *kind == alarm.kind).unwrap_or(0);
    Buzzer {
        level: if alarm.stage == Stage::Event { 2 } else { 1 },
        about: about as u8 + 1,
        motor: alarm.motor.map_or(0, |motor| motor + 1),
    }
}

impl BuzzerTalk {
    /// What is to be heard from here on.
    pub(super) fn want(&mut self, buzzer: Buzzer) {
        self.wanted = buzzer;
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
        self.sent = Some((now, self.wanted));
        let mut wire = [0; MAX_ON_WIRE];
        let used = Reply::Buzzer(self.wanted).encode(self.sequence, now.0 as u32, &mut wire);
        self.sequence = self.sequence.wrapping_add(1);
        out.extend_from_slice(&wire[..used]);
    }

    /// When the next frame is due; `None`: not before the next alarm.
    pub(super) fn due(&self) -> Option<BootMs> {
        match self.sent {
            // A bridge that was told nothing is silent.
            None => (self.wanted.level > 0).then_some(BootMs(0)),
            Some((at, last)) if last != self.wanted => Some(at.plus(LEAST_MS)),
            Some((at, last)) => (last.level > 0).then(|| at.plus(BUZZER_REPEATS_MS)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn alarm(kind: AlarmKind, stage: Stage, motor: Option<u8>) -> Alarm {
        Alarm { at: BootMs(9), kind, stage, motor, began: BootMs(1), on: true }
    }

    /// What a bridge hears, with the time of each frame.
    fn heard(wanted: &[(u64, Buzzer)], end: u64) -> Vec<(u64, Buzzer)> {
        let mut talk = BuzzerTalk::default();
        let mut heard = Vec::new();
        for now in (0..end).step_by(10) {
            wanted.iter().filter(|(at, _)| *at == now).for_each(|(_, b)| talk.want(*b));
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
        assert_eq!(says(&[stands]), Buzzer { level: 1, about: 1, motor: 0 });
        assert_eq!(says(&[stands, water]), Buzzer { level: 2, about: 6, motor: 0 });
        assert_eq!(says(&[stands, water, stall]), Buzzer { level: 2, about: 2, motor: 2 });
    }

    #[test]
    fn it_is_repeated_while_on_and_ends_with_silence() {
        let (off, on) = (Buzzer::default(), Buzzer { level: 2, about: 1, motor: 0 });
        assert_eq!(
            heard(&[(500, on), (2_800, off)], 20_000),
            [(500, on), (1_500, on), (2_500, on), (2_800, off)]
        );
        assert_eq!(heard(&[], 20_000), []);
    }

    #[test]
    fn changes_come_no_faster_than_five_a_second() {
        let wanted: Vec<(u64, Buzzer)> = (0..1_000)
            .map(|i| (i * 10, Buzzer { level: 1 + (i % 2) as u8, about: 1, motor: 0 }))
            .collect();
        let heard = heard(&wanted, 10_000);
        assert!(heard.len() > 30 && heard.windows(2).all(|w| w[1].0 - w[0].0 >= LEAST_MS));
    }
}
