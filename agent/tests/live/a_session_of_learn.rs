//! A whole session of the real program: it listens at a pseudo terminal to a simulated
//! machine behind a CAN adapter, whose driver reads its prompts.

use crate::common::port::{Port, pause};
use crate::common::{Scene, read_log};
use crate::simulated::bus::{Bus, Sender, Truth, is_near};
use crate::simulated::dice::Dice;
use crate::simulated::layout::{Layout, layouts};
use crate::simulated::machine::{Machine, Order, STEP_S};
use crate::simulated::signal::Kind;
use std::collections::VecDeque;
use std::fmt::Write as _;
use std::io::{BufRead, BufReader, Read};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::time::{Duration, Instant};
use underbrush_agent::decode::CanId;
use underbrush_agent::learn::{
    Heard, LearnOptions, LearnOutcome, Quantity, Recording, Task, learn_command, parse_prompts,
};
use underbrush_protocol::channel::Channel;

/// Layouts of the frozen table, by their places in it.
const LAYOUT: usize = 4;
const OTHER_LAYOUT: usize = 12;

/// The driver and what becomes of the machine.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Story {
    /// Each prompt is obeyed.
    Obeys,
    /// The prompts are obeyed from the last to the first.
    Backwards,
    /// No frame ever comes; the adapter tells errors of the bus.
    Silent,
    /// The key is turned off after this many prompts.
    KeyOff(usize),
    /// The adapter is pulled then.
    Pulled(usize),
}

/// What came of it.
struct Seen {
    scene: Scene,
    out: PathBuf,
    code: Option<i32>,
    said: String,
    told: String,
    bus: Bus,
    /// True speed of each hundredth of a second since the bus was open.
    speeds: Vec<f64>,
    /// What the adapter was told.
    commands: Vec<String>,
}

/// What a person makes of a prompt.
fn read_prompt(line: &str) -> Option<Task> {
    let words = line.strip_prefix("> NOW: ")?;
    let all = [
        ("STOP", Task::Stand),
        ("DRIVE slowly and evenly", Task::DriveSlow),
        ("DRIVE faster", Task::DriveFast),
        ("BRUSHES ON with the head lifted", Task::BrushLifted),
        ("DRIVE slowly, and only while it moves lower the head", Task::BrushLow),
        ("KEEP DRIVING with the brushes on", Task::BrushHigh),
    ];
    let found = all.into_iter().find(|(begin, _)| words.starts_with(begin));
    Some(found.unwrap_or_else(|| panic!("nobody knows what to do: {line}")).1)
}

/// The machine behind its adapter.
struct Bench {
    port: Port,
    dice: Dice,
    machine: Machine,
    senders: Vec<Sender>,
    bus: Bus,
    speeds: Vec<f64>,
    commands: Vec<String>,
    begun: String,
    /// First payload of each message.
    first: Vec<Option<u64>>,
    /// Bytes that the port did not take yet.
    waiting: VecDeque<u8>,
    open: bool,
}

impl Bench {
    fn new(port: Port, layout: &Layout, seed: u64) -> Self {
        port.never_wait();
        let mut dice = Dice::new(seed);
        let mut machine = Machine::new(&mut dice);
        machine.ramp = 0.9;
        let mut brush = 0;
        let senders: Vec<Sender> = (0..layout.messages.len())
            .map(|number| Sender::new(layout, number, &mut brush, &mut dice))
            .collect();
        let truths = senders.iter().flat_map(|sender| {
            sender.signals.iter().map(|signal| Truth {
                id: sender.id,
                place: signal.place.clone(),
                kind: signal.kind,
                moved: 0,
                trace: Vec::new(),
            })
        });
        let first = vec![None; senders.len()];
        let bus = Bus { recording: Recording::default(), truths: truths.collect() };
        Self {
            port,
            dice,
            machine,
            senders,
            bus,
            speeds: Vec::new(),
            commands: Vec::new(),
            begun: String::new(),
            first,
            waiting: VecDeque::new(),
            open: false,
        }
    }

    /// Reads commands and answers them as an adapter does.
    fn answer(&mut self) {
        for byte in self.port.heard() {
            if byte != b'\r' {
                self.begun.push(char::from(byte));
                continue;
            }
            let command = std::mem::take(&mut self.begun);
            let answer: &[u8] = match command.as_str() {
                "" | "C" => b"\x07",
                "V" => b"V1013\r",
                _ => b"\r",
            };
            self.waiting.extend(answer);
            self.open = command == "L" || (self.open && command != "C");
            self.commands.push(command);
        }
        let taken = self.port.offer(self.waiting.make_contiguous());
        self.waiting.drain(..taken);
    }

    /// A hundredth of a second.
    fn step(&mut self, order: &Order, frames: bool) {
        let at = self.speeds.len() as f64 * STEP_S;
        let now = self.machine.step(order, at, &mut self.dice);
        self.speeds.push(now.speed);
        let mut truths = self.bus.truths.iter_mut();
        for (sender, first) in self.senders.iter_mut().zip(&mut self.first) {
            let due = sender.due_s <= at;
            let word = if due { sender.word(&now, at, &mut self.dice) } else { 0 };
            if due {
                sender.next(&mut self.dice);
            }
            if due && frames {
                let mut line = match sender.id {
                    CanId::Standard(id) => format!("t{id:03X}"),
                    CanId::Extended(id) => format!("T{id:08X}"),
                };
                write!(line, "{}", sender.len).unwrap();
                for byte in word.to_le_bytes().iter().take(sender.len) {
                    write!(line, "{byte:02X}").unwrap();
                }
                self.waiting.extend(line.bytes());
                self.waiting.push_back(b'\r');
            }
            for truth in truths.by_ref().take(sender.signals.len()) {
                let cells = (at * 5.0) as usize + 1;
                let before = truth.trace.last().copied().unwrap_or(0.0);
                truth.trace.resize(cells, before);
                if due {
                    truth.moved |= (word ^ *first.get_or_insert(word)) & truth.place.mask();
                    truth.trace[cells - 1] = truth.place.read(word);
                }
            }
        }
    }

    /// Lives through the story until the program's output ends.
    fn live(&mut self, story: Story, lines: &Receiver<String>) -> String {
        let mut said = String::new();
        let mut order = Order::of(Task::Stand, 0.0, &mut self.dice);
        let mut next: Option<(Instant, Task)> = None;
        let (mut prompts, mut began, mut frames) = (0, None, story != Story::Silent);
        loop {
            match lines.try_recv() {
                Ok(line) => {
                    if let Some(asked) = read_prompt(&line) {
                        let task = match story {
                            Story::Backwards => Task::ROUND[Task::ROUND.len() - 1 - prompts].0,
                            _ => asked,
                        };
                        let reaction_ms = self.dice.between(400.0, 900.0) as u64;
                        let at = Instant::now() + Duration::from_millis(reaction_ms);
                        next = Some((at, task));
                        prompts += 1;
                        frames &= story != Story::KeyOff(prompts);
                        if story == Story::Pulled(prompts) {
                            return said;
                        }
                    }
                    said += &line;
                    continue;
                }
                Err(TryRecvError::Disconnected) => {
                    self.answer();
                    return said;
                }
                Err(TryRecvError::Empty) => {}
            }
            self.answer();
            if let Some((at, task)) = next.filter(|(at, _)| *at <= Instant::now()) {
                order = Order::of(task, at.elapsed().as_secs_f64(), &mut self.dice);
                next = None;
            }
            if self.open {
                let began = *began.get_or_insert_with(Instant::now);
                while (self.speeds.len() as f64) * STEP_S < began.elapsed().as_secs_f64() {
                    self.step(&order, frames);
                    if story == Story::Silent && self.speeds.len().is_multiple_of(100) {
                        self.waiting.extend(b"e1b\r");
                    }
                }
            }
            pause(5);
        }
    }
}

fn session(story: Story, layout: usize, seed: u64) -> Seen {
    let scene = Scene::new();
    let port = Port::plug(&scene.path("port"));
    let mut bench = Bench::new(port, &layouts()[layout], seed);
    let out = scene.path("learnt");
    let mut child = Command::new(env!("CARGO_BIN_EXE_underbrush-agent"))
        .args(["learn", "--bitrate", "250000", "--seconds-per-prompt", "5", "--port"])
        .arg(scene.path("port"))
        .arg("--out")
        .arg(&out)
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let (send, lines) = channel();
    let mut stdout = BufReader::new(child.stdout.take().unwrap());
    let reader = std::thread::spawn(move || {
        let mut line = String::new();
        while stdout.read_line(&mut line).is_ok_and(|len| len > 0) {
            let _ = send.send(std::mem::take(&mut line));
        }
    });
    let mut said = bench.live(story, &lines);
    let Bench { bus, speeds, commands, port, .. } = bench;
    drop(port);
    reader.join().unwrap();
    said.extend(lines.try_iter());
    let mut told = String::new();
    child.stderr.take().unwrap().read_to_string(&mut told).unwrap();
    let code = child.wait().unwrap().code();
    Seen { scene, out, code, said, told, bus, speeds, commands }
}

/// The same judgement again, from the files that the session left, for the fields themselves.
fn judged_again(seen: &Seen) -> LearnOutcome {
    let options = LearnOptions {
        heard: Heard::Capture(seen.out.join("capture.log")),
        prompts: Some(seen.out.join("prompts.toml")),
        known: Vec::new(),
        currents: Vec::new(),
        machine: None,
        out: seen.scene.path("again"),
        rounds: 1,
        prompt_s: None,
    };
    learn_command(&options).unwrap()
}

/// The kind of what is said first of a quantity, and whether that is said to be sure.
fn first(seen: &Seen, outcome: &LearnOutcome, quantity: Quantity) -> (Option<Kind>, bool) {
    let best = &outcome.learnt.of(quantity)[0];
    // A busy computer brings frames late, and the program's clock begins a little later.
    (is_near(&seen.bus, best, 3).map(|truth| truth.kind), best.sure)
}

fn prompts_kept(out: &Path) -> Vec<underbrush_agent::learn::Prompt> {
    let text = std::fs::read_to_string(out.join("prompts.toml")).unwrap();
    parse_prompts("prompts.toml", &text).unwrap()
}

/// Speeds of the log that the agent itself makes of the capture by these drafts: time in ms
/// and m/s.
fn decoded(seen: &Seen, drafts: &str) -> Vec<(u64, f64)> {
    let scene = &seen.scene;
    let text = format!(
        "log_dir = \"log-{drafts}\"\nmachine = \"{drafts}/machine.toml\"\n\n[source]\n\
         kind = \"can-capture\"\nfile = \"learnt/capture.log\"\ndbc = \"{drafts}/learnt.dbc\"\n"
    );
    scene.write("replay.toml", text.as_bytes());
    let done = Command::new(env!("CARGO_BIN_EXE_underbrush-agent"))
        .args(["run", "--config"])
        .arg(scene.path("replay.toml"))
        .output()
        .unwrap();
    let printed = String::from_utf8_lossy(&done.stdout);
    assert!(done.status.success(), "{:?} {printed}", done.status.code());
    let log = read_log(&scene.path(&format!("log-{drafts}")));
    let speeds = log.readings.into_iter().filter(|r| r.1 == Channel::SPEED);
    let all: Vec<(u64, f64)> = speeds.map(|r| (r.0, f64::from(r.2) / 1000.0)).collect();
    let from = all[0].0;
    all.into_iter().map(|(at, speed)| (at - from, speed)).collect()
}

/// Of the decoded speeds, the share that is the true one to 0.05 m/s and 5 %, 50 ms around.
fn right(seen: &Seen, decoded: &[(u64, f64)], factor: f64) -> f64 {
    let near = |at_ms: u64, speed: f64| {
        let at = (at_ms / 10) as usize;
        let part = &seen.speeds[at.saturating_sub(5)..(at + 6).min(seen.speeds.len())];
        part.iter().any(|truth| (factor * speed - truth).abs() < 0.05 + 0.05 * truth)
    };
    let count = decoded.iter().filter(|(at, speed)| near(*at, *speed)).count();
    count as f64 / decoded.len() as f64
}

/// Beside each other: each waits for as long as a real driver would need.
#[test]
fn sessions_at_a_pseudo_terminal() {
    let all: [fn(); 5] = [
        prompts_of_the_real_program_obeyed,
        prompts_obeyed_in_the_wrong_order_make_no_wrong_field_sure,
        a_silent_bus_is_told_with_what_to_check,
        || a_bus_that_falls_silent_half_way_is_judged_to_there(Story::KeyOff(5)),
        || a_bus_that_falls_silent_half_way_is_judged_to_there(Story::Pulled(5)),
    ];
    let threads = all.map(std::thread::spawn);
    // Each has printed why it failed.
    let failed = threads.into_iter().filter_map(|thread| thread.join().err()).count();
    assert_eq!(failed, 0, "sessions failed, see above");
}

fn prompts_of_the_real_program_obeyed() {
    let seen = session(Story::Obeys, LAYOUT, 1);
    let outcome = judged_again(&seen);
    assert_eq!(seen.code, Some(0), "{}\n{}", seen.said, seen.told);
    assert_eq!(prompts_kept(&seen.out).len(), Task::ROUND.len());
    let (speed, sure) = first(&seen, &outcome, Quantity::Speed);
    assert!(speed == Some(Kind::Speed) && sure, "{speed:?} {sure}: {}", seen.said);
    let (current, sure) = first(&seen, &outcome, Quantity::BrushCurrent);
    assert!(matches!(current, Some(Kind::Brush(_))) && sure, "{current:?} {sure}: {}", seen.said);
    assert!(seen.said.matches("SURE").count() == outcome.text.matches("SURE").count());
    // It told the adapter to listen only, left the bus, and never sent.
    assert_eq!(seen.commands[..6], ["", "", "C", "V", "S5", "L"]);
    assert!(!seen.commands.iter().any(|c| c.starts_with(|c| "tTrRdDbBO".contains(c))));

    // The drafts give the speed, up to the factor, which they call a guess...
    let drafted = decoded(&seen, "learnt");
    let most = |speeds: &mut dyn Iterator<Item = f64>| speeds.fold(0.0, f64::max);
    let truth = most(&mut seen.speeds.iter().copied());
    let factor = truth / most(&mut drafted.iter().map(|d| d.1));
    let share = right(&seen, &drafted, factor);
    assert!(share > 0.97, "{share} with factor {factor}");
    let dbc = std::fs::read_to_string(seen.out.join("learnt.dbc")).unwrap();
    assert!(dbc.contains("the factor is a guess"), "{dbc}");

    // ...and in m/s once the technician's notes of the speed are given.
    let mut command = Command::new(env!("CARGO_BIN_EXE_underbrush-agent"));
    command.args(["learn", "--capture"]).arg(seen.out.join("capture.log"));
    command.arg("--prompts").arg(seen.out.join("prompts.toml"));
    command.arg("--out").arg(seen.scene.path("noted"));
    for prompt in prompts_kept(&seen.out) {
        if matches!(
            prompt.task,
            Task::DriveSlow | Task::DriveFast | Task::BrushLow | Task::BrushHigh
        ) {
            let at = prompt.to_s - 1.0;
            let speed = seen.speeds[(at * 100.0) as usize];
            command.arg("--speed-at").arg(format!("{at:.1} s={speed:.2} m/s"));
        }
        if prompt.task == Task::BrushHigh {
            command.arg("--current-at").arg(format!("{:.1} s=17.8 A", prompt.to_s - 1.0));
        }
    }
    let noted = command.output().unwrap();
    assert!(noted.status.success(), "{}", String::from_utf8_lossy(&noted.stdout));
    let share = right(&seen, &decoded(&seen, "noted"), 1.0);
    let said = String::from_utf8_lossy(&noted.stdout);
    assert!(share > 0.97, "{share}: {said}");
    // Five notes and the standstill; one clamp reading and no current.
    for (words, machine) in [("(95 % interval, 6 points)", 1), ("any two of 2 points", 1)] {
        let read = |name| std::fs::read_to_string(seen.scene.path("noted").join(name)).unwrap();
        assert!(said.contains(words) && read("learnt.dbc").contains(words), "{words}: {said}");
        assert!(read("machine.toml").matches(words).count() >= machine, "{words}");
    }
}

fn prompts_obeyed_in_the_wrong_order_make_no_wrong_field_sure() {
    let seen = session(Story::Backwards, OTHER_LAYOUT, 2);
    let outcome = judged_again(&seen);
    assert_eq!(prompts_kept(&seen.out).len(), Task::ROUND.len());
    assert!(seen.said.matches("SURE").count() == outcome.text.matches("SURE").count());
    for (quantity, wanted) in [(Quantity::Speed, "Speed"), (Quantity::BrushCurrent, "Brush(")] {
        let (kind, sure) = first(&seen, &outcome, quantity);
        let right = format!("{kind:?}").contains(wanted) && kind != Some(Kind::BrushSpeed);
        assert!(right || !sure, "{quantity:?} is sure to be {kind:?}:\n{}", seen.said);
    }
    let (_, speed_sure) = first(&seen, &outcome, Quantity::Speed);
    assert_eq!(seen.code, Some(if speed_sure { 0 } else { 3 }), "{}", seen.said);
}

fn a_silent_bus_is_told_with_what_to_check() {
    let seen = session(Story::Silent, LAYOUT, 3);
    assert_eq!(seen.code, Some(1), "{}", seen.said);
    for word in ["no frame in 10 s", "key on", "bit rate", "CAN-H, CAN-L", "60 ohm", "errors of"] {
        assert!(seen.told.contains(word), "{word}: {}", seen.told);
    }
    assert!(!seen.out.join("learnt.dbc").exists(), "nothing was heard, so nothing is drafted");
    assert_eq!(seen.commands.last().unwrap(), "C", "it leaves the bus");
}

fn a_bus_that_falls_silent_half_way_is_judged_to_there(story: Story) {
    let seen = session(story, LAYOUT, 4);
    assert_eq!(seen.code, Some(3), "{story:?}: {}\n{}", seen.said, seen.told);
    let why = if story == Story::KeyOff(5) { "fell silent at" } else { "was lost at" };
    let told = seen.said.lines().find(|line| line.contains(why));
    let told = told.unwrap_or_else(|| panic!("{story:?}: {}", seen.said));
    assert!(told.contains("key still on") && told.contains("until then"), "{told}");
    // Four prompts of 5 s with 2.5 s before each were obeyed; the fifth was under way.
    assert_eq!(prompts_kept(&seen.out).len(), 4, "{story:?}");
    let outcome = judged_again(&seen);
    let heard_s = outcome.learnt.length_s;
    assert!((31.5..35.5).contains(&heard_s), "{story:?}: {heard_s}");
    assert!(seen.said.contains("GROUND SPEED") && seen.out.join("learnt.dbc").exists());
}
