//! Everything a bridge and its cable do wrong, at the real binary on a real pseudo terminal.
//!
//! What must come of it is worked out beside each case, or by the judge of
//! `common/numbered.rs`, which decodes nothing. No case waits for a time to pass where
//! the agent can say that it is done: it tells the readings of each sync.

use crate::common::Scene;
use crate::common::boots::{Record, read_boots};
use crate::common::numbered::{Verdict, judge, numbered, raws_of, readings_of, wire};
use crate::common::port::{Agent, Port, pause, serial_scene};
use crate::common::uart::received;
use oorandom::Rand32;
use std::path::PathBuf;
use std::time::{Duration, Instant};
use underbrush_protocol::channel::Channel;
use underbrush_protocol::frame::{Capabilities, Frame, Hello};
use underbrush_protocol::link::Encoder;
use underbrush_protocol::note::{Gap, GapReason, LinkLoss, Note};

/// A scene with a running agent at a port.
struct Line {
    scene: Scene,
    port_path: PathBuf,
    port: Port,
    agent: Agent,
}

impl Line {
    fn open() -> Self {
        let (scene, port_path, config) = serial_scene("sync_every = \"20 ms\"");
        let port = Port::plug(&port_path);
        let agent = Agent::start_with(&config, &["--verbose"]);
        agent.wait_for("port open");
        Self { scene, port_path, port, agent }
    }

    /// Waits until so many readings are on the disk.
    fn wait_for_readings(&self, count: usize) {
        self.agent.wait_for(&format!(" readings={count} "));
    }

    fn end(self) -> Recorded {
        let (status, printed) = self.agent.stop();
        assert_eq!(status.code(), Some(0), "{printed}");
        let mut boots = read_boots(&self.scene.log_dir());
        let boot = boots.remove(&1).unwrap();
        assert!(boots.is_empty());
        let (mut losses, mut gaps) = (LinkLoss::default(), Vec::new());
        for (at, note) in &boot.notes {
            match note {
                Note::LinkLoss(loss) => losses.add(loss),
                Note::Gap(gap) => gaps.push((at.0, *gap)),
                _ => {}
            }
        }
        Recorded { boot, losses, gaps, printed }
    }
}

/// What stands in the log at the end.
struct Recorded {
    boot: Record,
    losses: LinkLoss,
    gaps: Vec<(u64, Gap)>,
    printed: String,
}

impl Recorded {
    fn is(&self, right: &Verdict) {
        assert!(self.has_frames(right.taken.iter().copied()), "not the frames that were sent");
        assert_eq!(self.losses, right.losses(), "{}", self.printed);
        assert_eq!(self.gaps, []);
    }

    fn has_frames(&self, frames: impl Iterator<Item = u32>) -> bool {
        let raws = self.boot.readings.keys().map(|channel| (*channel, self.boot.raws(*channel)));
        raws.collect::<std::collections::BTreeMap<_, _>>() == raws_of(frames, usize::MAX)
    }

    /// Times of the readings, which a numbered frame has one or two of.
    fn times(&self) -> Vec<u64> {
        let mut times: Vec<u64> =
            self.boot.readings.values().flatten().map(|(at, _)| *at).collect();
        times.sort_unstable();
        times.dedup();
        times
    }
}

#[test]
fn unplugged_and_plugged_again_and_again() {
    const UNPLUGGED: u32 = 12;
    let mut line = Line::open();
    let mut encoder = Encoder::default();
    let (mut next, begin) = (0, Instant::now());
    for round in 0..=UNPLUGGED {
        if round > 0 {
            // A packet that breaks off with the port is dropped: it is no damage of the line.
            let half = encoder.encode(begin.elapsed().as_millis() as u32, &numbered(0)).to_vec();
            line.port.send(&half[..half.len() / 2]);
            pause(20);
            line.port = Port::plug(&line.port_path);
            line.agent.wait_for("port lost");
            line.agent.wait_for("port open");
        }
        for _ in 0..20 {
            let tick = begin.elapsed().as_millis() as u32;
            line.port.send(encoder.encode(tick, &numbered(next)));
            next += 1;
            pause(4);
        }
        line.wait_for_readings(readings_of(0..next));
    }
    let found = line.end();
    assert!(found.has_frames(0..next));
    let losses = LinkLoss { frames: next, disconnects: UNPLUGGED, ..LinkLoss::default() };
    assert_eq!(found.losses, losses);
    // Each gap goes from the last frame before it to the first one behind it.
    assert_eq!(found.gaps.len() as u32, UNPLUGGED);
    let times = found.times();
    for (at, gap) in &found.gaps {
        assert_eq!((gap.reason, gap.dropped), (GapReason::BridgeSilent, 0));
        assert!(!times.iter().any(|t| gap.from.0 < *t && t < at), "{gap:?} to {at}");
        assert!(times.contains(&gap.from.0) && times.contains(at), "{gap:?} to {at}");
    }
}

/// Bytes of a stream as they come over a bad line, by name.
fn bad_lines(sent: &[Vec<u8>]) -> Vec<(&'static str, Vec<u8>)> {
    let flat = |packets: &[Vec<u8>]| packets.concat();
    let (before, during, after) = (&sent[..200], &sent[200..400], &sent[400..]);
    let at_wrong_baud = |sender: f64, receiver: f64| {
        [flat(before), received(&flat(during), sender, receiver), flat(after)].concat()
    };
    let mut chance = Rand32::new(11);
    let mut halves = Vec::new();
    for packet in sent {
        // One in four breaks off, half of those with a zero behind it.
        let cut = chance.rand_range(0..packet.len() as u32) as usize;
        match chance.rand_range(0..8) {
            0 => halves.extend_from_slice(&packet[..cut]),
            1 => halves.extend([&packet[..cut], &[0]].concat()),
            _ => halves.extend_from_slice(packet),
        }
    }
    halves.extend(flat(&sent[sent.len() - 2..]));
    let mut places: Vec<(u32, usize)> = Vec::new();
    for n in 0..sent.len() as u32 - 50 {
        // One in five twice; one in four of all by up to 39 places later.
        for _ in 0..=chance.rand_range(0..5) / 4 {
            places.push((n + chance.rand_range(0..4) / 3 * chance.rand_range(0..40), n as usize));
        }
    }
    places.sort_unstable();
    let mut shuffled: Vec<u8> = places.iter().flat_map(|(_, n)| sent[*n].clone()).collect();
    shuffled.extend(flat(&sent[sent.len() - 50..]));
    vec![
        ("sent at an eighth of the speed", at_wrong_baud(115_200.0, 921_600.0)),
        ("sent at eight times the speed", at_wrong_baud(921_600.0, 115_200.0)),
        ("sent at half the speed", at_wrong_baud(57_600.0, 115_200.0)),
        ("sent 7 % too fast", at_wrong_baud(123_264.0, 115_200.0)),
        ("sent 2 % too fast, which is near enough", at_wrong_baud(117_504.0, 115_200.0)),
        ("half frames", halves),
        ("doubled and out of order", shuffled),
    ]
}

#[test]
fn a_wrong_speed_half_frames_and_frames_out_of_order_cost_only_themselves() {
    let sent = wire(600, 10);
    let cases: Vec<_> = bad_lines(&sent)
        .into_iter()
        .map(|(name, stream)| {
            let right = judge(&sent, &stream);
            std::thread::spawn(move || {
                let mut line = Line::open();
                line.port.send(&stream);
                line.wait_for_readings(readings_of(right.taken.iter().copied()));
                println!("{name}: {} taken, {} lost", right.taken.len(), right.lost);
                line.end().is(&right);
                (name, right)
            })
        })
        .collect();
    for case in cases {
        let (name, right) = case.join().expect("one of the lines");
        // What the judge says is itself what the case is about.
        let Verdict { taken, lost, damaged, doubled } = right;
        assert_eq!(taken.last(), Some(&599), "{name}");
        match name {
            // Besides the 200 at the wrong speed at most the one whose begin the rubbish eats.
            "sent 2 % too fast, which is near enough" => assert_eq!((lost, damaged), (0, 0)),
            "half frames" => assert!(lost > 75 && damaged > 75 && doubled == 2, "{lost} {damaged}"),
            "doubled and out of order" => assert!(damaged == 0 && lost > 50 && doubled > 150),
            _ => assert!((200..=201).contains(&lost) && damaged > 0, "{name}: {lost} {damaged}"),
        }
    }
}

#[test]
fn the_receiver_at_a_wrong_speed() {
    let all: Vec<u8> = (0..=255).collect();
    // Half a bit in the ten of a byte is 5 %: both sides of it.
    for baud in [115_200.0, 115_200.0 * 1.04, 115_200.0 * 0.96] {
        assert_eq!(received(&all, 115_200.0, baud), all, "{baud}");
    }
    for baud in [57_600.0, 115_200.0 * 1.08, 115_200.0 * 0.92, 230_400.0] {
        assert_ne!(received(&all, 115_200.0, baud), all, "{baud}");
    }
    // By hand: 0x55 is 0 1010 1010 1 on the line. At twice the speed each bit is seen twice:
    // half of the start bit, then as data 0 11 00 11 0, which is 0x66.
    assert_eq!(received(&[0x55], 1.0, 2.0)[0], 0x66);
}

/// What the system counts of a process.
struct Usage {
    cpu_s: f64,
    peak_kib: u64,
}

impl Usage {
    /// proc(5): `stat`, fields utime and stime, 11 and 12 behind the state; `status`, `VmHWM`.
    fn of(process: u32) -> Self {
        let file = |name| std::fs::read_to_string(format!("/proc/{process}/{name}")).unwrap();
        let (stat, status) = (file("stat"), file("status"));
        let (_, fields) = stat.rsplit_once(") ").unwrap();
        let ticks: f64 =
            fields.split(' ').skip(11).take(2).map(|ticks| ticks.parse::<f64>().unwrap()).sum();
        let peak = status.lines().find_map(|line| line.strip_prefix("VmHWM:")).unwrap();
        Self {
            cpu_s: ticks / rustix::param::clock_ticks_per_second() as f64,
            peak_kib: peak.trim().trim_end_matches(" kB").parse().unwrap(),
        }
    }
}

#[test]
fn nothing_but_noise_is_counted_and_costs_little() {
    const SECONDS: u64 = 6;
    let mut line = Line::open();
    let (mut chance, mut stream, begin) = (Rand32::new(3), Vec::new(), Instant::now());
    // The second half of the frames comes when the noise is over, and says so by its ticks.
    let mut encoder = Encoder::default();
    let tick = |n: u32| 1_000 + n * 10 + n / 50 * SECONDS as u32 * 1_000;
    let sent: Vec<_> = (0..100).map(|n| encoder.encode(tick(n), &numbered(n)).to_vec()).collect();
    line.port.send(&sent[..50].concat());
    stream.extend(sent[..50].concat());
    line.wait_for_readings(readings_of(0..50));
    let before = Usage::of(line.agent.child.id());
    let from = stream.len();
    while begin.elapsed().as_secs() < SECONDS {
        // What a line of 921,600 bits a second carries.
        let due = from as u64 + begin.elapsed().as_millis() as u64 * 92;
        let noise: Vec<u8> = (stream.len() as u64..due).map(|_| chance.rand_u32() as u8).collect();
        line.port.send(&noise);
        stream.extend(noise);
        pause(3);
    }
    let after = Usage::of(line.agent.child.id());
    let end = [vec![0], sent[50..].concat()].concat();
    line.port.send(&end);
    stream.extend(end);
    line.wait_for_readings(readings_of(0..100));
    let right = judge(&sent, &stream);
    assert_eq!((right.taken.len(), right.lost), (100, 0));
    let found = line.end();
    let notes = found.boot.notes.len();
    println!(
        "noise: {} packets of it, {:.1} % of a processor, peak {} KiB (before it {}), {notes} notes",
        right.damaged,
        (after.cpu_s - before.cpu_s) / SECONDS as f64 * 100.0,
        after.peak_kib,
        before.peak_kib,
    );
    assert!(right.damaged > 1_000, "{right:?}");
    // No frame for more than 5 s is a silence, whatever else came.
    let silent: Vec<_> = found.gaps.iter().map(|(_, gap)| gap.reason).collect();
    assert_eq!(silent, [GapReason::BridgeSilent]);
    Recorded { gaps: Vec::new(), ..found }.is(&right);
    // Started, the clock, the gap, Stopped, and the losses at most once a second and at the end.
    assert!(notes as u64 <= 4 + SECONDS + 3, "{notes} notes");
    assert!(after.peak_kib < before.peak_kib + 1_024, "it grew to {} KiB", after.peak_kib);
    assert!(after.peak_kib < 16 * 1_024, "{} KiB", after.peak_kib);
    // Measured: 0.5 %. Time without a processor does not count, so a busy machine is no failure.
    assert!(after.cpu_s - before.cpu_s < 0.25 * SECONDS as f64, "{}", after.cpu_s - before.cpu_s);
}

#[test]
fn a_bridge_that_restarts_again_and_again_loses_nothing() {
    let mut line = Line::open();
    // Lives of 1 to 100 frames, 10 ms apart: most end before the first second.
    let (mut chance, mut next, lives) = (Rand32::new(5), 0, 60);
    let mut begins = Vec::new();
    for _ in 0..lives {
        let mut encoder = Encoder::default();
        begins.push(next);
        for i in 0..chance.rand_range(1..100) {
            line.port.send(encoder.encode(12 + i * 10, &numbered(next)));
            next += 1;
        }
    }
    line.wait_for_readings(readings_of(0..next));
    let found = line.end();
    assert!(found.has_frames(0..next));
    let losses = LinkLoss { frames: next, restarts: lives - 1, ..LinkLoss::default() };
    assert_eq!(found.losses, losses);
    assert_eq!(found.gaps.len() as u32, lives - 1);
    assert!(found.gaps.iter().all(|(_, gap)| gap.reason == GapReason::BridgeRestarted));
}

/// Ten times the 1,000 frames a second that the agent is made for.
#[test]
fn a_flood_of_10_000_frames_a_second_loses_nothing() {
    let mut line = Line::open();
    let (mut encoder, begin, mut next) = (Encoder::default(), Instant::now(), 0_u32);
    let mut piece = Vec::new();
    while next < 40_000 {
        piece.clear();
        while u128::from(next) < begin.elapsed().as_millis() * 10 && next < 40_000 {
            piece.extend_from_slice(encoder.encode(next / 10, &numbered(next)));
            next += 1;
        }
        line.port.send(&piece);
        pause(2);
    }
    // A port that is full holds the bridge up; a busy machine does that for a while too.
    let held_up = begin.elapsed().saturating_sub(Duration::from_secs(4));
    println!("40,000 frames in 4 s, held up {held_up:?}");
    assert!(held_up < Duration::from_secs(2), "{held_up:?}");
    line.wait_for_readings(readings_of(0..next));
    line.end().is(&Verdict { taken: (0..next).collect(), ..Verdict::default() });
}

/// A bridge that makes far more than its port takes has to leave frames out; each one counts.
#[test]
fn what_a_flood_leaves_out_is_counted_to_the_frame() {
    let mut line = Line::open();
    line.port.never_wait();
    let (mut encoder, begin, mut next) = (Encoder::default(), Instant::now(), 0_u32);
    let (mut waiting, mut sent) = (Vec::new(), Vec::new());
    while next < 400_000 {
        let due = (begin.elapsed().as_millis() as u32 * 200).min(400_000);
        while next < due {
            let taken = line.port.offer(&waiting);
            waiting.drain(..taken);
            if waiting.is_empty() {
                waiting.extend_from_slice(encoder.encode(next / 200, &numbered(next)));
                sent.push(next);
            } else {
                encoder.skip(1);
            }
            next += 1;
        }
        pause(1);
    }
    for _ in 0..20 {
        let taken = line.port.offer(&waiting);
        waiting.drain(..taken);
        pause(5);
    }
    waiting.extend_from_slice(encoder.encode(next / 200, &numbered(next)));
    sent.push(next);
    assert_eq!(line.port.offer(&waiting), waiting.len());
    let right = readings_of(sent.iter().copied());
    line.wait_for_readings(right);
    let lost = next + 1 - sent.len() as u32;
    println!("{} frames through the port, {lost} left out by the bridge", sent.len());
    assert!(lost > 10_000 && sent.len() > 10_000, "{lost} of {next}");
    line.end().is(&Verdict { taken: sent, lost, ..Verdict::default() });
}

/// Silent with the port there, and gone with its port: both for longer than 5 s, at which a
/// silence is a gap. `intake.rs` tries the same with minutes, where time is a number.
#[test]
fn a_bridge_that_is_away_leaves_a_gap() {
    let away = |unplugged: bool| {
        let mut line = Line::open();
        let (mut encoder, begin) = (Encoder::default(), Instant::now());
        let mut send = |line: &mut Line, numbers: std::ops::Range<u32>| {
            let last = numbers.end;
            for n in numbers {
                let tick = begin.elapsed().as_millis() as u32;
                line.port.send(encoder.encode(tick, &numbered(n)));
                pause(10);
            }
            line.wait_for_readings(readings_of(0..last));
        };
        send(&mut line, 0..30);
        if unplugged {
            std::fs::remove_file(&line.port_path).unwrap();
            line.port = Port::plug(&line.port_path.with_extension("other"));
            line.agent.wait_for("port lost");
            pause(6_000);
            line.port = Port::plug(&line.port_path);
            line.agent.wait_for("port open");
        } else {
            pause(6_000);
        }
        send(&mut line, 30..60);
        let found = line.end();
        assert!(found.has_frames(0..60));
        let disconnects = u32::from(unplugged);
        assert_eq!(found.losses, LinkLoss { frames: 60, disconnects, ..LinkLoss::default() });
        let [(at, gap)] = found.gaps[..] else { panic!("{:?}", found.gaps) };
        assert_eq!((gap.reason, gap.dropped), (GapReason::BridgeSilent, 0));
        assert!(at - gap.from.0 >= 5_900, "{gap:?} to {at}");
        let times = found.times();
        assert!(!times.iter().any(|t| gap.from.0 < *t && *t < at));
    };
    let unplugged = std::thread::spawn(move || away(true));
    away(false);
    unplugged.join().unwrap();
}

/// A Hello is believed in nothing that readings hang on.
#[test]
fn a_hello_that_lies_changes_no_reading() {
    let mut line = Line::open();
    let (mut encoder, mut hellos) = (Encoder::default(), Vec::new());
    for n in 0..300 {
        if n % 10 == 0 {
            let hello = Hello {
                bridge_id: [0, u32::MAX, 7][n as usize / 10 % 3],
                firmware: (255, 0, n as u8),
                capabilities: Capabilities(u32::MAX),
                brush_motors: [0, 4, 255][n as usize / 10 % 3],
                period_ms: [0, 1, u16::MAX][n as usize / 10 % 3],
            };
            // Said twice: the log needs it once.
            line.port.send(encoder.encode(n * 10, &Frame::Hello(hello.clone())));
            line.port.send(encoder.encode(n * 10, &Frame::Hello(hello.clone())));
            hellos.push(hello);
        }
        line.port.send(encoder.encode(n * 10, &numbered(n)));
    }
    line.wait_for_readings(readings_of(0..300));
    let found = line.end();
    assert!(found.has_frames(0..300));
    assert_eq!(found.losses, LinkLoss { frames: 360, ..LinkLoss::default() });
    let said: Vec<_> = found
        .boot
        .notes
        .iter()
        .filter_map(|(_, note)| if let Note::Hello(hello) = note { Some(hello) } else { None })
        .collect();
    assert_eq!(said, hellos.iter().collect::<Vec<_>>());
    let steps = found.boot.readings[&Channel::KEY_ON_METER].windows(2);
    assert!(steps.map(|pair| pair[1].0 - pair[0].0).all(|step| step <= 20), "times jump");
}
