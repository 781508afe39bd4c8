//! Where alarms go: the status, the log of the service, and what the settings name.

use super::buzzer::BuzzerTalk;
use super::gpio::Line;
use super::hook::Hook;
use super::hush::Hush;
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
    /// The alarms that are on and were heard.
    on: Vec<Alarm>,
    hush: Hush,
    buzzer: Option<BuzzerTalk>,
    relay: Option<RelayOut>,
    hook: Option<Hook>,
}

/// Asks for the line that the settings name and gives it its first value.
type OpenLine = fn(&RelaySettings, bool) -> io::Result<Box<dyn Line>>;

struct RelayOut {
    settings: RelaySettings,
    open: OpenLine,
    relay: Relay,
    line: Option<Box<dyn Line>>,
    /// What the line should say, if it could not be told.
    owed: Option<bool>,
    retry: BootMs,
}

impl Outputs {
    /// Opens what the settings name. A line that is not there is tried again.
    pub(crate) fn open(settings: &AlarmSettings, machine: &str, board: &Board) -> io::Result<Self> {
        Self::open_by(super::gpio::open, settings, machine, board)
    }

    fn open_by(
        open_line: OpenLine,
        settings: &AlarmSettings,
        machine: &str,
        board: &Board,
    ) -> io::Result<Self> {
        let hook = settings.command.clone();
        let hook = hook.map(|hook| Hook::start(hook, machine.to_owned(), board.clone()));
        Ok(Self {
            board: board.clone(),
            on: Vec::new(),
            hush: Hush::new(settings.warnings_in_a_row, settings.warning_rest_ms),
            buzzer: settings.bridge_buzzer.then(BuzzerTalk::default),
            relay: settings.relay.clone().map(|relay| RelayOut::new(relay, open_line)),
            hook: hook.transpose()?,
        })
    }

    /// Tells of an alarm that begins or ends.
    pub(crate) fn tell(&mut self, alarm: Alarm, now: BootMs) {
        tracing::info!(began = %alarm.began, "{alarm}");
        self.board.alarm(&alarm);
        if !self.hush.hears(&alarm, now) {
            self.board.warning_hushed(&alarm);
            return;
        }
        let key = |a: &Alarm| (a.kind, a.stage, a.motor);
        self.on.retain(|on| key(on) != key(&alarm));
        if alarm.on {
            self.on.push(alarm);
        }
        if let Some(hook) = &self.hook {
            hook.tell(alarm, now.since(alarm.began));
        }
        if let Some(buzzer) = &mut self.buzzer {
            buzzer.tell(&alarm, &self.on, now);
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
    fn new(settings: RelaySettings, open: OpenLine) -> Self {
        let relay = Relay::new(settings.hold_ms);
        // The line is off from the start, also one that was left on.
        Self { settings, open, relay, line: None, owed: Some(false), retry: BootMs(0) }
    }

    fn go_on(&mut self, now: BootMs) -> Option<io::Error> {
        self.owed = self.relay.switch(now).or(self.owed);
        let on = self.owed.filter(|_| now >= self.retry)?;
        let set = match &mut self.line {
            Some(line) => line.set(on),
            None => (self.open)(&self.settings, on).map(|line| self.line = Some(line)),
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::watch::AlarmKind;
    use std::fs;
    use std::path::{Path, PathBuf};

    /// In place of a GPIO line, which no test machine is sure to have: the file that the
    /// settings name as the chip gets a digit for each value that is set.
    struct FileLine(PathBuf);

    impl Line for FileLine {
        fn set(&mut self, on: bool) -> io::Result<()> {
            let mut said = fs::read_to_string(&self.0)?;
            said.push(if on { '1' } else { '0' });
            fs::write(&self.0, said)
        }
    }

    fn open_file(settings: &RelaySettings, on: bool) -> io::Result<Box<dyn Line>> {
        let mut line = FileLine(settings.chip.clone());
        line.set(on)?;
        Ok(Box::new(line))
    }

    fn outputs(chip: &Path, warnings: bool) -> (Outputs, Board) {
        let relay = RelaySettings {
            chip: chip.to_owned(),
            line: 4,
            active_low: false,
            hold_ms: 1_000,
            warnings,
        };
        let settings = AlarmSettings { relay: Some(relay), ..AlarmSettings::default() };
        let board = Board::new("T1", "port");
        (Outputs::open_by(open_file, &settings, "T1", &board).unwrap(), board)
    }

    fn alarm(stage: Stage, on: bool) -> Alarm {
        let (at, began) = (BootMs(900), BootMs(400));
        Alarm { at, kind: AlarmKind::Stationary, stage, motor: None, began, on }
    }

    /// Goes on every 10 ms up to `end`; the time of each change of the line, and its value.
    fn changes(
        outputs: &mut Outputs,
        chip: &Path,
        alarms: &[(u64, Alarm)],
        end: u64,
    ) -> Vec<(u64, char)> {
        let mut changes = Vec::new();
        for now in (0..=end).step_by(10) {
            let before = fs::read_to_string(chip).unwrap_or_default().len();
            for (_, alarm) in alarms.iter().filter(|(at, _)| *at == now) {
                outputs.tell(*alarm, BootMs(now));
            }
            outputs.go_on(BootMs(now), &mut Vec::new());
            let said = fs::read_to_string(chip).unwrap_or_default();
            changes.extend(said.get(before..).unwrap_or_default().chars().map(|c| (now, c)));
        }
        changes
    }

    #[test]
    fn the_line_follows_the_alarms_and_none_outlives_the_agent() {
        let dir = tempfile::tempdir().unwrap();
        let chip = dir.path().join("line");
        fs::write(&chip, "").unwrap();
        let (mut out, _) = outputs(&chip, true);
        let short = [
            (1_000, alarm(Stage::Warning, true)),
            (1_200, alarm(Stage::Warning, false)),
            (5_000, alarm(Stage::Event, true)),
        ];
        let seen = changes(&mut out, &chip, &short, 9_000);
        assert_eq!(seen, [(0, '0'), (1_000, '1'), (2_000, '0'), (5_000, '1')]);
        drop(out);
        assert_eq!(fs::read_to_string(&chip).unwrap(), "01010");
    }

    #[test]
    fn warnings_leave_it_alone_where_the_settings_say_so() {
        let dir = tempfile::tempdir().unwrap();
        let chip = dir.path().join("line");
        fs::write(&chip, "").unwrap();
        let (mut out, _) = outputs(&chip, false);
        let both = [(1_000, alarm(Stage::Warning, true)), (2_500, alarm(Stage::Event, true))];
        assert_eq!(changes(&mut out, &chip, &both, 4_000), [(0, '0'), (2_500, '1')]);
    }

    #[test]
    fn what_is_not_heard_switches_nothing() {
        let dir = tempfile::tempdir().unwrap();
        let chip = dir.path().join("line");
        fs::write(&chip, "").unwrap();
        let (mut out, board) = outputs(&chip, true);
        // Usual settings: three false warnings in a row, and then none for a while.
        let mut short = Vec::new();
        for at in [1_000, 3_000, 5_000, 7_000, 9_000] {
            short.push((at, alarm(Stage::Warning, true)));
            short.push((at + 100, alarm(Stage::Warning, false)));
        }
        let seen = changes(&mut out, &chip, &short, 10_500);
        let on: Vec<u64> = seen.iter().filter(|(_, to)| *to == '1').map(|(at, _)| *at).collect();
        assert_eq!(on, [1_000, 3_000, 5_000]);
        assert_eq!(board.status().warnings_hushed, 2);
        let event = [(10_510, alarm(Stage::Event, true))];
        assert_eq!(changes(&mut out, &chip, &event, 10_600).last(), Some(&(10_510, '1')));
    }

    #[test]
    fn a_line_that_is_away_is_tried_every_5_s_and_counted() {
        let dir = tempfile::tempdir().unwrap();
        let chip = dir.path().join("line");
        let (mut out, board) = outputs(&chip, true);
        let held = [(1_000, alarm(Stage::Event, true))];
        assert_eq!(changes(&mut out, &chip, &held, 7_000), []);
        assert_eq!(board.status().relay_failures, 2, "at 0 and 5 s");
        fs::write(&chip, "").unwrap();
        let mut bridge = Vec::new();
        out.go_on(BootMs(9_990), &mut bridge);
        assert_eq!(fs::read_to_string(&chip).unwrap(), "");
        out.go_on(BootMs(10_000), &mut bridge);
        assert_eq!(fs::read_to_string(&chip).unwrap(), "1");
        assert_eq!(board.status().relay_failures, 2);
    }
}
