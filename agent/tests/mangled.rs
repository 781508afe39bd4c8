//! Whatever happens to packets on the way: what is recorded was sent, in order, none twice.
//!
//! The judge decodes nothing (`common/numbered.rs`). It holds because a packet that noise
//! has changed passes the CRC-32 once in 2^32.

mod common;

use common::numbered::{judge, numbered, raws_of, readings_of, wire};
use proptest::prelude::*;
use std::collections::BTreeMap;
use underbrush_agent::intake::{Intake, TimeBase};
use underbrush_protocol::channel::Channel;
use underbrush_protocol::link::Encoder;
use underbrush_protocol::log::Entry;
use underbrush_protocol::note::{GapReason, LinkLoss, Note};
use underbrush_protocol::time::BootMs;

const FRAMES: u32 = 300;
/// Packets are put out of order by at most this and 1 s: by SPEC.md, "Sequence number and
/// tick", what is older is of a bridge that restarted.
const FARTHEST: usize = 60;

/// What happens to one packet on the way.
#[derive(Clone, Debug)]
enum Fate {
    Whole,
    Gone,
    Flipped(prop::sample::Index, u8),
    Cut(prop::sample::Index),
    CutAndEnded(prop::sample::Index),
    Later(usize),
    Again(usize),
    AfterNoise(Vec<u8>),
}

fn fate() -> impl Strategy<Value = Fate> {
    let at = any::<prop::sample::Index>;
    prop_oneof![
        20 => Just(Fate::Whole),
        2 => Just(Fate::Gone),
        2 => (at(), 1..=255_u8).prop_map(|(at, bits)| Fate::Flipped(at, bits)),
        1 => at().prop_map(Fate::Cut),
        1 => at().prop_map(Fate::CutAndEnded),
        2 => (1..FARTHEST).prop_map(Fate::Later),
        2 => (0..FARTHEST).prop_map(Fate::Again),
        1 => proptest::collection::vec(any::<u8>(), 0..300).prop_map(Fate::AfterNoise),
    ]
}

fn mangle(sent: &[Vec<u8>], fates: &[Fate], period_ms: u32) -> Vec<u8> {
    let farthest = 1_000 / period_ms.max(1) as usize;
    let mut pieces: Vec<(usize, Vec<u8>)> = Vec::new();
    for (place, (packet, fate)) in sent.iter().zip(fates).enumerate() {
        let mut packet = packet.clone();
        let mut due = place;
        match fate {
            Fate::Whole => {}
            Fate::Gone => continue,
            Fate::Flipped(at, bits) => {
                let at = at.index(packet.len());
                packet[at] ^= bits;
            }
            Fate::Cut(at) => packet.truncate(at.index(packet.len())),
            Fate::CutAndEnded(at) => {
                packet.truncate(at.index(packet.len()));
                packet.push(0);
            }
            Fate::Later(by) => due += by.min(&farthest),
            Fate::Again(after) => pieces.push((place + after.min(&farthest), packet.clone())),
            Fate::AfterNoise(noise) => packet.splice(0..0, noise.iter().copied()).for_each(drop),
        }
        pieces.push((due, packet));
    }
    pieces.sort_by_key(|(due, _)| *due);
    pieces.into_iter().flat_map(|(_, packet)| packet).collect()
}

struct Heard {
    raws: BTreeMap<Channel, Vec<i32>>,
    losses: LinkLoss,
    restarts: usize,
}

fn hear(base: TimeBase, pieces: &[(u64, &[u8])]) -> Heard {
    let (mut intake, mut out) = (Intake::new(base), Vec::new());
    for (now, bytes) in pieces {
        intake.bytes(BootMs(*now), bytes, &mut out);
    }
    let mut raws: BTreeMap<Channel, Vec<i32>> = BTreeMap::new();
    let mut restarts = 0;
    for entry in &out {
        match entry {
            Entry::Reading(reading) => raws.entry(reading.channel).or_default().push(reading.raw),
            Entry::Note(_, Note::Gap(gap)) => {
                restarts += usize::from(gap.reason == GapReason::BridgeRestarted);
            }
            Entry::Note(..) => {}
        }
    }
    assert!(out.windows(2).all(|pair| pair[0].at() <= pair[1].at()));
    Heard { raws, losses: intake.losses(), restarts }
}

/// Packets of several lives of a bridge, each numbered and ticked from the start again.
fn lives(lengths: &[u32], ticks: &[(u32, u32)], numbers: impl Fn(u32) -> u32) -> Vec<Vec<u8>> {
    let mut next = 0;
    let mut packets = Vec::new();
    for (length, (first_tick, period_ms)) in lengths.iter().zip(ticks) {
        let mut encoder = Encoder::default();
        for i in 0..*length {
            let tick = first_tick + i * period_ms;
            packets.push(encoder.encode(tick, &numbered(numbers(next))).to_vec());
            next += 1;
        }
    }
    packets
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2_000, ..ProptestConfig::default() })]

    #[test]
    fn all_that_is_recorded_was_sent_once(
        fates in proptest::collection::vec(fate(), FRAMES as usize),
        period_ms in 0..200_u32,
        cuts in proptest::collection::vec(1..400_usize, 1..50),
    ) {
        let sent = wire(FRAMES, period_ms);
        let stream = mangle(&sent, &fates, period_ms);
        let right = judge(&sent, &stream);
        // Bytes arrive in pieces that know nothing of packets.
        let (mut pieces, mut rest, mut now) = (Vec::new(), stream.as_slice(), 0);
        for cut in cuts.iter().cycle() {
            if rest.is_empty() {
                break;
            }
            let (piece, behind) = rest.split_at(rest.len().min(*cut));
            pieces.push((now, piece));
            rest = behind;
            now += 7;
        }
        for base in [TimeBase::Arrival, TimeBase::Tick] {
            let heard = hear(base, &pieces);
            prop_assert_eq!(&heard.raws, &raws_of(right.taken.iter().copied(), usize::MAX));
            prop_assert_eq!(heard.losses, right.losses());
        }
    }

    /// Also where a life is shorter than a second, and begins with the same number and tick.
    #[test]
    fn a_bridge_that_restarts_loses_nothing(
        lengths in proptest::collection::vec(1..120_u32, 2..8),
        ticks in proptest::collection::vec((0..3_u32, 1..12_u32), 8),
    ) {
        let packets = lives(&lengths, &ticks, |n| n);
        let total: u32 = lengths.iter().sum();
        let pieces: Vec<_> = (0..).step_by(5).zip(packets.iter().map(Vec::as_slice)).collect();
        for base in [TimeBase::Arrival, TimeBase::Tick] {
            let heard = hear(base, &pieces);
            prop_assert_eq!(heard.raws, raws_of(0..total, usize::MAX));
            prop_assert_eq!((heard.losses.doubled, heard.losses.damaged), (0, 0));
            // A life that ends before the next one's first tick has come cannot be told from a loss.
            let told = packets_fall_back(&lengths, &ticks);
            prop_assert_eq!((heard.losses.restarts as usize, heard.restarts), (told, told));
        }
    }

    /// Packets the same to the last bit as those before may pass for doubled ones; those count.
    #[test]
    fn a_restart_that_says_the_same_again_is_counted(
        lengths in proptest::collection::vec(1..80_u32, 2..6),
    ) {
        let packets = lives(&lengths, &[(12, 10); 6], |_| 1);
        let pieces: Vec<_> = (0..).step_by(10).zip(packets.iter().map(Vec::as_slice)).collect();
        let heard = hear(TimeBase::Arrival, &pieces);
        prop_assert_eq!(heard.losses.frames + heard.losses.doubled, packets.len() as u32);
        prop_assert_eq!(heard.raws[&Channel::SPEED].len() as u32, heard.losses.frames);
    }
}

/// Lives whose first packet has a lower tick than the last of the life before, or the same
/// tick and another frame.
fn packets_fall_back(lengths: &[u32], ticks: &[(u32, u32)]) -> usize {
    let ends = lengths.iter().zip(ticks).map(|(n, (first, period))| first + (n - 1) * period);
    ends.zip(&ticks[1..]).take(lengths.len() - 1).filter(|(end, (first, _))| first <= end).count()
}

#[test]
fn the_judge_counts_by_hand() {
    let sent = wire(6, 10);
    let mut bad = sent[4].clone();
    bad[3] ^= 1;
    let stream = [&sent[0], &sent[2], &sent[1], &sent[2], &bad, &sent[5], &sent[3][..5].to_vec()];
    let verdict = judge(&sent, &stream.map(Vec::as_slice).concat());
    assert_eq!((verdict.taken, verdict.lost), (vec![0, 2, 5], 3));
    assert_eq!((verdict.damaged, verdict.doubled), (1, 2));
    assert_eq!(readings_of(0..6), 9);
}
