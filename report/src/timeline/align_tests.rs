//! The aligner against its definition, taken literally, on random columns.

use super::STATE_HOLDS_MS;
use super::align::Aligner;
use crate::logset::Chunk;
use proptest::prelude::*;
use underbrush_protocol::archive::Block;
use underbrush_protocol::channel::Channel;
use underbrush_protocol::detect::{Interval, LiveSteps};
use underbrush_protocol::log::Entry;
use underbrush_protocol::reading::Reading;
use underbrush_protocol::time::BootMs;

const GAP_MS: u64 = 300;
const MOTION: [Channel; 2] = [Channel::SPEED, Channel::TURN_RATE];
const BRUSH: [Channel; 4] = [Channel::BRUSH_COMMAND, Channel(8), Channel(9), Channel(12)];
const STATES: [Channel; 2] = [Channel::HEAD_DOWN, Channel::BRUSH_ON_METER];

/// One tick of a bridge and what arrived of it.
#[allow(clippy::struct_excessive_bools, reason = "each is one frame that came or not")]
#[derive(Clone, Debug)]
struct Tick {
    after_ms: u64,
    motion: bool,
    brush: bool,
    /// The brush frame comes this much later.
    late_ms: u64,
    states: bool,
    raw: i32,
    chunk_ends: bool,
}

fn tick() -> impl Strategy<Value = Tick> {
    let after = prop_oneof![
        20 => Just(100_u64), 3 => 0_u64..320, 1 => 250_u64..2_000, 1 => Just(STATE_HOLDS_MS)
    ];
    let late = prop_oneof![12 => Just(0_u64), 1 => 1_u64..150];
    let flags = (prop::bool::weighted(0.9), prop::bool::weighted(0.9), prop::bool::weighted(0.1));
    (after, flags, late, 0..3_i32, prop::bool::weighted(0.1)).prop_map(
        |(after_ms, (motion, brush, states), late_ms, raw, chunk_ends)| Tick {
            after_ms,
            motion,
            brush,
            late_ms,
            states,
            raw,
            chunk_ends,
        },
    )
}

/// Readings in order of time, as chunks.
fn chunks(ticks: &[Tick]) -> Vec<Vec<Reading>> {
    let mut chunks = vec![Vec::new()];
    let mut now = 1_000;
    for tick in ticks {
        now += tick.after_ms;
        let Some(open) = chunks.last_mut() else { continue };
        let mut push = |channels: &[Channel], at: u64| {
            let reading = |(i, channel): (usize, &Channel)| Reading {
                at: BootMs(at),
                channel: *channel,
                raw: tick.raw + i as i32,
            };
            open.extend(channels.iter().enumerate().map(reading));
        };
        if tick.states {
            push(&STATES, now);
        }
        if tick.motion {
            push(&MOTION, now);
        }
        if tick.brush {
            push(&BRUSH, now + tick.late_ms);
            now += tick.late_ms;
        }
        if tick.chunk_ends {
            chunks.push(Vec::new());
        }
    }
    chunks.retain(|chunk| !chunk.is_empty());
    chunks
}

/// The steps by definition: for each two borders a search through all readings.
fn by_definition(readings: &[Reading]) -> Vec<Interval> {
    let of = |channel: Channel| readings.iter().filter(move |r| r.channel == channel);
    let mut borders: Vec<u64> =
        readings.iter().filter(|r| !STATES.contains(&r.channel)).map(|r| r.at.0).collect();
    borders.dedup();
    let step = |pair: &[u64]| {
        let (from, to) = (pair[0], pair[1]);
        let rate = |channel: Channel| {
            let value = of(channel).find(|r| r.at.0 >= to)?;
            let before = of(channel).take_while(|r| r.at.0 < to).last()?;
            (value.at.0 - before.at.0 <= GAP_MS).then_some(value.raw)
        };
        let scaled = |channel: Channel| {
            rate(channel).map(|raw| (f64::from(raw) * channel.resolution()) as f32)
        };
        let held = |channel: Channel| {
            let last = of(channel).take_while(|r| r.at.0 <= to).last()?;
            (to - last.at.0 <= STATE_HOLDS_MS).then_some(last.raw)
        };
        let mut interval = Interval {
            from: BootMs(from),
            to: BootMs(to),
            speed_m_s: scaled(Channel::SPEED),
            command_on: rate(Channel::BRUSH_COMMAND).map(|raw| raw != 0),
            turn_rad_s: scaled(Channel::TURN_RATE),
            ..Interval::default()
        };
        interval.states.head_down = held(Channel::HEAD_DOWN).map(|raw| raw != 0);
        interval.states.brush_meter_s = held(Channel::BRUSH_ON_METER).map(|raw| raw as u32);
        for motor in 0..2 {
            let current_a = scaled(Channel(8 + motor));
            let rotation_rpm = scaled(Channel(12 + motor));
            let state = underbrush_protocol::detect::MotorState { current_a, rotation_rpm };
            if current_a.is_some() || rotation_rpm.is_some() {
                interval.motors.push(state).unwrap();
            }
        }
        interval
    };
    borders.windows(2).map(step).collect()
}

/// The steps of the aligner, and the length of its longest piece.
fn by_aligner(chunks: &[Vec<Reading>]) -> (Vec<Interval>, usize) {
    let mut aligner = Aligner::new(GAP_MS, 1.0);
    let (mut steps, mut longest) = (Vec::new(), 0);
    for (number, chunk) in chunks.iter().enumerate() {
        let base = chunk[0].at;
        let entries: Vec<Entry> = chunk.iter().map(|r| Entry::Reading(*r)).collect();
        // Through the format, so that columns share times as they do in a log.
        let mut block = Block::from_entries(base, &entries);
        share_times(&mut block);
        aligner.append(Chunk { base, block });
        while let Some(piece) = aligner.piece(number + 1 == chunks.len()) {
            let before = steps.len();
            steps.extend(piece.steps());
            longest = longest.max(steps.len() - before);
        }
    }
    (steps, longest)
}

fn share_times(block: &mut Block) {
    for i in 1..block.columns.len() {
        let (before, rest) = block.columns.split_at_mut(i);
        if let Some(same) = before.iter().find(|c| c.at == rest[0].at) {
            rest[0].at = same.at.clone();
        }
    }
}

/// The steps of the live watch, reading by reading, and how long after its end the latest of
/// them was given, in ms; those at the end of the data left out.
fn by_live_steps(readings: &[Reading]) -> (Vec<Interval>, u64) {
    let mut live = LiveSteps::new(GAP_MS, 1.0);
    let (mut steps, mut behind) = (Vec::new(), 0);
    for reading in readings {
        live.take(*reading, |step| {
            behind = behind.max(reading.at.since(step.to));
            steps.push(step.clone());
        });
    }
    live.finish(|step| steps.push(step.clone()));
    assert_eq!(live.forced(), 0);
    (steps, behind)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]

    #[test]
    fn live_steps_are_those_of_the_log(ticks in prop::collection::vec(tick(), 1..120)) {
        let all: Vec<Reading> = chunks(&ticks).concat();
        let (steps, _) = by_live_steps(&all);
        prop_assert_eq!(steps, by_definition(&all));
    }

    #[test]
    fn steps_are_as_defined(ticks in prop::collection::vec(tick(), 1..120)) {
        let chunks = chunks(&ticks);
        let all: Vec<Reading> = chunks.concat();
        let (steps, _) = by_aligner(&chunks);
        prop_assert_eq!(steps, by_definition(&all));
    }
}

/// Without a loss the pieces are long: else the property above would say nothing of them.
#[test]
fn a_regular_log_makes_long_pieces() {
    let plain = Tick {
        after_ms: 100,
        motion: true,
        brush: true,
        late_ms: 0,
        states: false,
        raw: 1,
        chunk_ends: false,
    };
    let mut ticks = vec![plain; 400];
    ticks[150].motion = false;
    ticks[200].chunk_ends = true;
    let chunks = chunks(&ticks);
    let (steps, longest) = by_aligner(&chunks);
    assert_eq!(steps, by_definition(&chunks.concat()));
    // The last step of the first chunk waits for the second, and is the first of its piece.
    assert_eq!((steps.len(), longest), (399, 200));
}

/// With nothing lost an interval is given with the first reading behind its end; a channel that
/// falls silent holds the others up for the longest gap, once.
#[test]
fn live_steps_are_one_period_late() {
    let plain = Tick {
        after_ms: 100,
        motion: true,
        brush: true,
        late_ms: 0,
        states: true,
        raw: 1,
        chunk_ends: false,
    };
    let mut ticks = vec![plain; 100];
    let all = chunks(&ticks).concat();
    assert_eq!(by_live_steps(&all), (by_definition(&all), 100));
    for tick in &mut ticks[40..] {
        tick.brush = false;
    }
    let all = chunks(&ticks).concat();
    assert_eq!(by_live_steps(&all), (by_definition(&all), GAP_MS));
}

/// Thousands of ends wait for a channel that is silent for a long gap: memory is bounded, and
/// it is told that some were given early.
#[test]
fn too_many_that_wait_are_given_and_counted() {
    let mut live = LiveSteps::new(5_000, 1.0);
    let mut steps = 0;
    for at in 0..2_000 {
        let reading = |channel| Reading { at: BootMs(at), channel, raw: 0 };
        live.take(reading(Channel::SPEED), |_| steps += 1);
        if at == 0 {
            live.take(reading(Channel::BRUSH_COMMAND), |_| steps += 1);
        }
    }
    assert!(live.forced() > 1_000, "{}", live.forced());
    live.finish(|_| steps += 1);
    assert_eq!(steps, 1_999);
}
