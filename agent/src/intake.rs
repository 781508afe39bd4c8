//! Bridge bytes to log entries. Pure: the caller brings the time and takes the entries.
//!
//! A damaged packet is counted as damaged, and again as lost when the number of
//! the next whole packet shows the hole: the two counts say different things.

use crate::decode::bridge_entries;
use crate::loss::LossLedger;
use crate::recent::Recent;
use crate::tick_clock::TickClock;
use underbrush_protocol::frame::{Frame, Hello};
use underbrush_protocol::link::{
    Decoder, Header, Order, Packet, Received, Rejection, SequenceTracker,
};
use underbrush_protocol::log::Entry;
use underbrush_protocol::note::{Gap, GapReason, LinkLoss, Note};
use underbrush_protocol::time::BootMs;

/// A link without a frame for longer than this was silent; a Hello comes every 10 s,
/// and Motion frames at least once a second.
const SILENCE_MS: u64 = 5_000;
/// A tick that leaps by more than this is a restart: after 24.8 days the tick of a
/// restarted bridge looks like one ahead, since it wraps.
const LEAP_MS: u32 = 24 * 3_600_000;
/// Time between frames as long as no Hello told it.
const USUAL_PERIOD_MS: u16 = 100;

/// Where the times of readings come from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TimeBase {
    /// The bridge's tick, fitted to the times of arrival: a live link.
    Arrival,
    /// The bridge's tick since its first packet: a capture, which has no arrival times.
    Tick,
}

#[derive(Debug)]
enum Clock {
    Arrival(TickClock),
    Tick(TickCount),
}

/// Times by the tick alone.
#[derive(Debug, Default)]
struct TickCount {
    last_tick: Option<u32>,
    at: BootMs,
    began: bool,
}

impl TickCount {
    fn place(&mut self, tick: u32, period_ms: u16) -> BootMs {
        let step = match self.last_tick {
            // Signed difference: a wrap of the tick is a step forward.
            Some(last) => u64::try_from(tick.wrapping_sub(last) as i32).unwrap_or(0),
            None if self.began => u64::from(period_ms),
            None => 0,
        };
        self.began = true;
        self.last_tick = Some(tick);
        self.at = self.at.plus(step);
        self.at
    }
}

/// The state of one link.
#[derive(Debug)]
pub struct Intake {
    decoder: Decoder,
    sequence: SequenceTracker,
    recent: Recent,
    last_tick: Option<u32>,
    clock: Clock,
    losses: LossLedger,
    period_ms: u16,
    last: BootMs,
    /// Time of the newest frame, if there was one.
    heard: Option<BootMs>,
    /// The port was lost; the next frame ends the gap.
    away: bool,
    hello: Option<Hello>,
    frames: u64,
}

impl Intake {
    /// An intake for a link whose first byte is still to come.
    pub fn new(base: TimeBase) -> Self {
        Self {
            decoder: Decoder::default(),
            sequence: SequenceTracker::default(),
            recent: Recent::default(),
            last_tick: None,
            clock: match base {
                TimeBase::Arrival => Clock::Arrival(TickClock::default()),
                TimeBase::Tick => Clock::Tick(TickCount::default()),
            },
            losses: LossLedger::default(),
            period_ms: USUAL_PERIOD_MS,
            last: BootMs(0),
            heard: None,
            hello: None,
            away: false,
            frames: 0,
        }
    }

    /// Takes bytes that arrived at `now` and appends what they say to `out`.
    pub fn bytes(&mut self, now: BootMs, bytes: &[u8], out: &mut Vec<Entry>) {
        for &byte in bytes {
            if let Some(packet) = self.decoder.push(byte) {
                self.packet(now, packet, out);
            }
        }
    }

    /// Lets time pass; call about once a second on a live link.
    pub fn tick(&mut self, now: BootMs, out: &mut Vec<Entry>) {
        // A second behind, so that readings on their way are not overtaken.
        if now.since(self.last) > 1_000 {
            self.last = BootMs(now.0 - 1_000);
        }
        self.losses.note_if_due(self.last, out);
    }

    /// The port was lost: what was half received is dropped.
    pub fn disconnected(&mut self) {
        self.decoder.reset();
        self.sequence.reset();
        self.recent.clear();
        self.last_tick = None;
        self.restart_clock();
        self.away = true;
        self.losses.add(LinkLoss { disconnects: 1, ..LinkLoss::default() });
    }

    /// The source has ended; a packet without its end is counted as damaged.
    pub fn source_ended(&mut self, out: &mut Vec<Entry>) {
        self.bytes(self.last, &[0], out);
        self.finish(out);
    }

    /// Appends the last counts.
    pub fn finish(&mut self, out: &mut Vec<Entry>) {
        self.losses.note(self.last, out);
    }

    /// Time of the newest entry.
    pub fn last(&self) -> BootMs {
        self.last
    }

    /// Frames understood.
    pub fn frames(&self) -> u64 {
        self.frames
    }

    /// Losses since the start.
    pub fn losses(&self) -> LinkLoss {
        self.losses.total()
    }

    fn packet(&mut self, now: BootMs, packet: Packet, out: &mut Vec<Entry>) {
        let one = LinkLoss::default();
        match packet {
            Packet::Frame(received) => self.frame(now, &received, out),
            Packet::Unknown(header) => {
                // Its number counts, else it would look lost too.
                let order = self.order(header, None);
                self.losses.add(LinkLoss { not_understood: 1, ..one });
                if order == Order::Restarted {
                    self.restarted(now, header.tick_ms, out);
                }
            }
            Packet::Rejected(Rejection::Version | Rejection::Body) => {
                self.losses.add(LinkLoss { not_understood: 1, ..one });
            }
            Packet::Rejected(_) => self.losses.add(LinkLoss { damaged: 1, ..one }),
        }
        self.losses.note_if_due(self.last, out);
    }

    /// Places a packet among the others and counts what that says.
    fn order(&mut self, header: Header, frame: Option<&Frame>) -> Order {
        let mut order = self.sequence.place(header.sequence, header.tick_ms);
        let mut loss = LinkLoss::default();
        if matches!(order, Order::Duplicate | Order::Late) {
            if self.recent.fits(header, frame) {
                self.losses.add(LinkLoss { doubled: 1, ..loss });
                return order;
            }
            self.sequence.reset();
            self.sequence.place(header.sequence, header.tick_ms);
            order = Order::Restarted;
        }
        let leap = self.last_tick.map_or(0, |last| header.tick_ms.wrapping_sub(last));
        if (LEAP_MS..u32::MAX / 2).contains(&leap) {
            order = Order::Restarted;
        }
        self.last_tick = Some(header.tick_ms);
        if order == Order::Restarted {
            self.recent.clear();
        }
        self.recent.took(header, frame);
        match order {
            Order::Lost(count) => loss.lost = u32::from(count),
            Order::Restarted => loss.restarts = 1,
            Order::First | Order::Next | Order::Duplicate | Order::Late => {}
        }
        self.losses.add(loss);
        order
    }

    fn frame(&mut self, now: BootMs, received: &Received, out: &mut Vec<Entry>) {
        let header = received.header;
        let order = self.order(header, Some(&received.frame));
        if matches!(order, Order::Duplicate | Order::Late) {
            return;
        }
        self.frames += 1;
        self.losses.add(LinkLoss { frames: 1, ..LinkLoss::default() });
        if let Frame::Hello(hello) = &received.frame
            && (1..=10_000).contains(&hello.period_ms)
        {
            self.period_ms = hello.period_ms;
        }
        let at = if order == Order::Restarted {
            self.restarted(now, header.tick_ms, out)
        } else {
            let at = self.place(now, header.tick_ms);
            let silent = self.heard.is_some_and(|heard| at.since(heard) > SILENCE_MS);
            if silent || self.away {
                self.gap(at, GapReason::BridgeSilent, out);
            }
            at
        };
        self.away = false;
        self.heard = Some(at);
        if !self.said_before(&received.frame) {
            bridge_entries(at, &received.frame, out);
        }
    }

    /// A bridge repeats its Hello for listeners that come late; the log needs each one once.
    fn said_before(&mut self, frame: &Frame) -> bool {
        let Frame::Hello(hello) = frame else { return false };
        self.hello.replace(hello.clone()).as_ref() == Some(hello)
    }

    fn restarted(&mut self, now: BootMs, tick_ms: u32, out: &mut Vec<Entry>) -> BootMs {
        self.restart_clock();
        let at = self.place(now, tick_ms);
        self.gap(at, GapReason::BridgeRestarted, out);
        at
    }

    fn gap(&self, at: BootMs, reason: GapReason, out: &mut Vec<Entry>) {
        let from = self.heard.unwrap_or_default();
        out.push(Entry::Note(at, Note::Gap(Gap { from, reason, dropped: 0 })));
    }

    fn restart_clock(&mut self) {
        match &mut self.clock {
            Clock::Arrival(clock) => clock.restart(),
            Clock::Tick(count) => count.last_tick = None,
        }
    }

    fn place(&mut self, now: BootMs, tick_ms: u32) -> BootMs {
        let at = match &mut self.clock {
            Clock::Arrival(clock) => clock.place(now, tick_ms),
            Clock::Tick(count) => count.place(tick_ms, self.period_ms),
        };
        self.last = self.last.max(at);
        self.last
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use underbrush_protocol::channel::Channel;
    use underbrush_protocol::frame::{Kind, Motion};
    use underbrush_protocol::link::{Encoder, MAX_ON_WIRE, encode_packet};
    use underbrush_protocol::wire_units::SpeedRaw;

    fn motion(speed: i16) -> Frame {
        Frame::Motion(Motion { speed: SpeedRaw(speed), turn_rate: None })
    }

    fn run(
        base: TimeBase,
        feed: impl FnOnce(&mut Intake, &mut Vec<Entry>),
    ) -> (Intake, Vec<Entry>) {
        let mut intake = Intake::new(base);
        let mut out = Vec::new();
        feed(&mut intake, &mut out);
        (intake, out)
    }

    fn speeds(entries: &[Entry]) -> Vec<(u64, i32)> {
        entries
            .iter()
            .filter_map(|e| match e {
                Entry::Reading(r) if r.channel == Channel::SPEED => Some((r.at.0, r.raw)),
                _ => None,
            })
            .collect()
    }

    fn gaps(entries: &[Entry]) -> Vec<(u64, Gap)> {
        entries
            .iter()
            .filter_map(|e| match e {
                Entry::Note(at, Note::Gap(gap)) => Some((at.0, *gap)),
                _ => None,
            })
            .collect()
    }

    #[test]
    fn ticks_make_the_times_of_a_capture() {
        let (intake, out) = run(TimeBase::Tick, |intake, out| {
            let mut encoder = Encoder::default();
            for i in 0..5_u32 {
                let tick = (u32::MAX - 150).wrapping_add(i * 100);
                intake.bytes(BootMs(0), encoder.encode(tick, &motion(i as i16)), out);
            }
        });
        assert_eq!(speeds(&out), [(0, 0), (100, 1), (200, 2), (300, 3), (400, 4)]);
        assert_eq!((intake.frames(), intake.losses().any_loss()), (5, false));
    }

    #[test]
    fn lost_doubled_late_and_unknown_packets_are_counted() {
        let (intake, out) = run(TimeBase::Tick, |intake, out| {
            let mut encoder = Encoder::default();
            let first = encoder.encode(0, &motion(1)).to_vec();
            let second = encoder.encode(100, &motion(2)).to_vec();
            encoder.skip(3);
            let third = encoder.encode(500, &motion(3)).to_vec();
            for packet in [&first, &second, &second, &third, &first] {
                intake.bytes(BootMs(0), packet, out);
            }
            let mut wire = [0; MAX_ON_WIRE];
            let header = Header { kind: Kind(99), sequence: 6, tick_ms: 600 };
            let used = encode_packet(header, &[1, 2, 3], &mut wire);
            intake.bytes(BootMs(0), &wire[..used], out);
            let mut fourth = Encoder::starting_at(7).encode(700, &motion(4)).to_vec();
            intake.bytes(BootMs(0), &fourth, out);
            fourth[3] ^= 1;
            intake.bytes(BootMs(0), &fourth, out);
            intake.bytes(BootMs(0), &[7, 7], out);
            intake.source_ended(out);
        });
        assert_eq!(speeds(&out), [(0, 1), (100, 2), (500, 3), (700, 4)]);
        let expected = LinkLoss {
            frames: 4,
            lost: 3,
            doubled: 2,
            damaged: 2,
            not_understood: 1,
            ..LinkLoss::default()
        };
        assert_eq!(intake.losses(), expected);
        let mut noted = LinkLoss::default();
        for entry in &out {
            if let Entry::Note(_, Note::LinkLoss(loss)) = entry {
                noted.add(loss);
            }
        }
        assert_eq!(noted, expected, "the notes add up to the total");
    }

    #[test]
    fn a_restarted_bridge_goes_on_one_period_later() {
        let (intake, out) = run(TimeBase::Tick, |intake, out| {
            let mut encoder = Encoder::starting_at(100);
            intake.bytes(BootMs(0), encoder.encode(50_000, &motion(1)), out);
            intake.bytes(BootMs(0), encoder.encode(50_100, &motion(2)), out);
            let mut again = Encoder::default();
            intake.bytes(BootMs(0), again.encode(20, &motion(3)), out);
            intake.bytes(BootMs(0), again.encode(120, &motion(4)), out);
        });
        assert_eq!(speeds(&out), [(0, 1), (100, 2), (200, 3), (300, 4)]);
        let gap = Gap { from: BootMs(100), reason: GapReason::BridgeRestarted, dropped: 0 };
        assert_eq!(gaps(&out), [(200, gap)]);
        assert_eq!(intake.losses().restarts, 1);
    }

    #[test]
    fn silence_and_a_lost_port_leave_a_gap() {
        let (intake, out) = run(TimeBase::Arrival, |intake, out| {
            let mut encoder = Encoder::default();
            intake.bytes(BootMs(1_000), encoder.encode(0, &motion(1)), out);
            intake.bytes(BootMs(8_000), encoder.encode(7_000, &motion(2)), out);
            let half = encoder.encode(7_100, &motion(3)).to_vec();
            intake.bytes(BootMs(8_100), &half[..9], out);
            intake.disconnected();
            intake.bytes(BootMs(9_000), encoder.encode(8_000, &motion(4)), out);
        });
        assert_eq!(speeds(&out), [(1_000, 1), (8_000, 2), (9_000, 4)]);
        let silent = |from| Gap { from: BootMs(from), reason: GapReason::BridgeSilent, dropped: 0 };
        assert_eq!(gaps(&out), [(8_000, silent(1_000)), (9_000, silent(8_000))]);
        assert_eq!((intake.losses().disconnects, intake.losses().damaged), (1, 0));
    }

    #[test]
    fn minutes_without_a_bridge_are_one_gap() {
        for unplugged in [false, true] {
            let (intake, out) = run(TimeBase::Arrival, |intake, out| {
                let mut encoder = Encoder::default();
                intake.bytes(BootMs(1_000), encoder.encode(0, &motion(1)), out);
                if unplugged {
                    intake.disconnected();
                }
                for second in 2..600 {
                    intake.tick(BootMs(second * 1_000), out);
                }
                intake.bytes(BootMs(601_000), encoder.encode(600_000, &motion(2)), out);
                intake.bytes(BootMs(601_100), encoder.encode(600_100, &motion(3)), out);
            });
            assert_eq!(speeds(&out), [(1_000, 1), (601_000, 2), (601_100, 3)]);
            let from = BootMs(1_000);
            let gap = Gap { from, reason: GapReason::BridgeSilent, dropped: 0 };
            assert_eq!(gaps(&out), [(601_000, gap)]);
            assert_eq!(intake.losses().disconnects, u32::from(unplugged));
            // One each minute, and one of the loss.
            let noted = out.iter().filter(|e| matches!(e, Entry::Note(_, Note::LinkLoss(_))));
            assert_eq!(noted.count(), 10 + usize::from(unplugged));
        }
    }
}
