//! Where alarms go: the status, the log of the service, and what the settings name.

use super::buzzer::{BuzzerTalk, sounds};
use super::gpio::Line;
use super::hook::Hook;
use super::kind::{Alarm, Stage};
use super::relay::Relay;
use super::settings::{AlarmSettings, RelaySettings};
use crate::board::Board;
use std::io;
use underbrush_protocol::time::BootMs;

/// A line that failed is tried again after this, in ms.
const RETRY_MS: u64 = 5_000;

/// All outputs of one agent.
pub(crate) struct Outputs {
    board: Board,
    /// The alarms that are on.
    on: Vec<Alarm>,
    buzzer: Option<BuzzerTalk>,
    relay: Option<RelayOut>,
    hook: Option<Hook>,
}

struct RelayOut {
    settings: RelaySettings,
    relay: Relay,
    line: Option<Box<dyn Line>>,
    /// What the line should say, if it could not be told.
    owed: Option<bool>,
    retry: BootMs,
}

impl Outputs {
    /// Opens what the settings name. A line that is not there is tried again.
    pub(crate) fn open(settings: &AlarmSettings, machine: &str, board: &Board) -> io::Result<Self> {
        let hook = settings.command.clone();
        let hook = hook.map(|hook| Hook::start(hook, machine.to_owned(), board.clone()));
        Ok(Self {
            board: board.clone(),
            on: Vec::new(),
            buzzer: settings.bridge_buzzer.then(BuzzerTalk::default),
            relay: settings.relay.clone().map(RelayOut::new),
            hook: hook.transpose()?,
        })
    }

    /// Tells of an alarm that begins or ends.
    pub(crate) fn tell(&mut self, alarm: Alarm, now: BootMs) {
        tracing::info!(began = %alarm.began, "{alarm}");
        self.board.alarm(&alarm);
        let key = |a: &Alarm| (a.kind, a.stage, a.motor);
        self.on.retain(|on| key(on) != key(&alarm));
        if alarm.on {
            self.on.push(alarm);
        }
        if let Some(hook) = &self.hook {
            hook.tell(alarm, now.since(alarm.began));
        }
        if let Some(buzzer) = &mut self.buzzer {
            buzzer.want(sounds(self.on.iter()));
        }
        if let Some(out) = &mut self.relay {
            let switches = |on: &Alarm| out.settings.warnings || on.stage == Stage::Event;
            out.relay.want(self.on.iter().any(switches));
        }
    }

    /// Does what is due by now; bytes for the bridge are appended to `bridge`.
    pub(crate) fn go_on(&mut self, now: BootMs, bridge: &mut Vec<u8>) {
        if let Some(buzzer) = &mut self.buzzer {
            buzzer.speak(now, bridge);
        }
        if let Some(out) = &mut self.relay
            && let Some(error) = out.go_on(now)
        {
            tracing::warn!(chip = %out.settings.chip.display(), line = out.settings.line, %error, "the alarm relay cannot be switched: trying again");
            self.board.relay_failed();
        }
    }

    /// The bridge was lost: what it was told counts no more.
    pub(crate) fn bridge_lost(&mut self) {
        self.buzzer.iter_mut().for_each(BuzzerTalk::forget);
    }

    /// When something is due next.
    pub(crate) fn due(&self) -> Option<BootMs> {
        let buzzer = self.buzzer.as_ref().and_then(BuzzerTalk::due);
        let relay = self.relay.as_ref().and_then(RelayOut::due);
        [buzzer, relay].into_iter().flatten().min()
    }
}

impl RelayOut {
    fn new(settings: RelaySettings) -> Self {
        let relay = Relay::new(settings.hold_ms);
        // The line is off from the start, also one that was left on.
        Self { settings, relay, line: None, owed: Some(false), retry: BootMs(0) }
    }

    fn go_on(&mut self, now: BootMs) -> Option<io::Error> {
        self.owed = self.relay.switch(now).or(self.owed);
        let on = self.owed.filter(|_| now >= self.retry)?;
        let set = match &mut self.line {
            Some(line) => line.set(on),
            None => super::gpio::open(&self.settings, on).map(|line| self.line = Some(line)),
        };
        match set {
            Ok(()) => {
                self.owed = None;
                None
            }
            Err(error) => {
                self.line = None;
                self.retry = now.plus(RETRY_MS);
                Some(error)
            }
        }
    }

    fn due(&self) -> Option<BootMs> {
        let owed = self.owed.map(|_| self.retry);
        [owed, self.relay.due()].into_iter().flatten().min()
    }
}

impl Drop for RelayOut {
    /// No alarm outlives the agent.
    fn drop(&mut self) {
        if let Some(line) = &mut self.line {
            let _ = line.set(false);
        }
    }
}
