//! A machine made by hand at the agent's port: what its bridge says, and what it hears.

use super::port::{Agent, Port, serial_scene};
use super::{Scene, motion};
use std::path::PathBuf;
use std::time::{Duration, Instant};
use underbrush_protocol::frame::{Brush, BrushMotor, Controls, Frame};
use underbrush_protocol::link::Encoder;
use underbrush_protocol::reply::{Buzzer, Reply};
use underbrush_protocol::wire_units::{CurrentRaw, Percent, RotationRaw};

/// Time between two frames of a kind.
pub(crate) const PERIOD: Duration = Duration::from_millis(100);

/// What the machine does.
#[derive(Clone, Copy)]
pub(crate) struct Doing {
    pub(crate) speed_mm_s: i16,
    /// Of both motors.
    pub(crate) current_da: i16,
    pub(crate) rotation_drpm: u16,
    pub(crate) vacuum_on: bool,
    pub(crate) flow: u8,
}

/// At work, and nothing is wrong.
pub(crate) const WORK: Doing =
    Doing { speed_mm_s: 600, current_da: 180, rotation_drpm: 2_000, vacuum_on: true, flow: 60 };

impl Doing {
    pub(crate) fn frames(self) -> [Frame; 3] {
        let motor = BrushMotor {
            current: CurrentRaw(self.current_da),
            rotation: Some(RotationRaw(self.rotation_drpm)),
        };
        let motors = heapless::Vec::from_slice(&[motor, motor]).unwrap();
        [
            Frame::Controls(Controls {
                head_down: Some(true),
                vacuum_on: Some(self.vacuum_on),
                solution_flow: Percent::new(self.flow),
            }),
            motion(self.speed_mm_s),
            Frame::Brush(Brush { command_on: true, motors, pressure_setting: Percent::new(100) }),
        ]
    }
}

/// The machine, its bridge and the running agent.
pub(crate) struct Bench {
    pub(crate) scene: Scene,
    pub(crate) config: PathBuf,
    pub(crate) port: Port,
    pub(crate) agent: Agent,
    /// Motion frames sent.
    pub(crate) sent: usize,
    /// What the bridge heard, and when.
    pub(crate) heard: Vec<(Instant, Buzzer)>,
    encoder: Encoder,
    began: Instant,
    due: Instant,
    /// Bytes of a reply that is not whole yet.
    rest: Vec<u8>,
}

impl Bench {
    /// With this table `[alarm]`, and care that is judged after a second.
    pub(crate) fn new(alarm: &str) -> Self {
        let (scene, path, config) = serial_scene(&format!("sync_every = \"200 ms\"\n{alarm}"));
        let care = "\n[care]\nvacuum_time = \"1 s\"\nwater_time = \"1 s\"\njoin_time = \"0.2 s\"\n";
        let machine = include_str!("../data/machine.toml").to_owned() + care;
        scene.write("machine.toml", machine.as_bytes());
        let port = Port::plug(&path);
        port.never_wait();
        let agent = Agent::start(&config);
        let now = Instant::now();
        Self {
            scene,
            config,
            port,
            agent,
            sent: 0,
            heard: Vec::new(),
            encoder: Encoder::default(),
            began: now,
            due: now,
            rest: Vec::new(),
        }
    }

    /// The machine does this for so long, or until the bridge has heard what it should; when
    /// the first frame of it was sent.
    pub(crate) fn run(
        &mut self,
        doing: Doing,
        ms: u64,
        enough: impl Fn(&[(Instant, Buzzer)]) -> bool,
    ) -> Instant {
        let from = Instant::now();
        self.due = from;
        while from.elapsed() < Duration::from_millis(ms) && !enough(&self.heard) {
            if Instant::now() >= self.due {
                self.send(doing);
                self.due += PERIOD;
            }
            self.listen();
            std::thread::sleep(Duration::from_millis(5));
        }
        from
    }

    /// The same, to the end.
    pub(crate) fn run_for(&mut self, doing: Doing, ms: u64) -> Instant {
        self.run(doing, ms, |_| false)
    }

    fn send(&mut self, doing: Doing) {
        let tick = self.began.elapsed().as_millis() as u32;
        for frame in doing.frames() {
            let wire = self.encoder.encode(tick, &frame);
            assert_eq!(self.port.offer(wire), wire.len(), "the agent does not read");
        }
        self.sent += 1;
    }

    fn listen(&mut self) {
        let now = Instant::now();
        self.rest.extend(self.port.heard());
        while let Some(end) = self.rest.iter().position(|byte| *byte == 0) {
            let coded: Vec<u8> = self.rest.drain(..=end).collect();
            let coded = &coded[..end];
            if !coded.is_empty() {
                let (_, Reply::Buzzer(buzzer)) = Reply::decode(coded).unwrap().unwrap();
                self.heard.push((now, buzzer));
            }
        }
    }

    /// When the bridge first heard this level about this, from `from` on.
    pub(crate) fn first(&self, from: Instant, level: u8, about: u8) -> Option<Instant> {
        let is = |(at, b): &&(Instant, Buzzer)| *at >= from && (b.level, b.about) == (level, about);
        self.heard.iter().find(is).map(|(at, _)| *at)
    }
}
