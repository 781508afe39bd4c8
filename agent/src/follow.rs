//! `status --follow`: what the running agent says, as it changes.
//!
//! In a terminal the status stands in place and is drawn anew; elsewhere each change of disk,
//! source, clock or alarms is a line, with `--json` the whole status. An agent that goes away is
//! told once, and followed again when it is back. Ctrl-C or a closed reader ends it.

use crate::control::ask_status;
use crate::error::AgentError;
use crate::status::Status;
use chrono::{DateTime, SecondsFormat, Utc};
use std::fmt::Write as _;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};
use tokio::signal::unix::{SignalKind, signal};

/// An alarm is shown within this, and the way of the answer.
const LOOK_EVERY: Duration = Duration::from_millis(200);

/// How it is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FollowForm {
    /// Drawn anew in place.
    Screen,
    /// A line for each change.
    Lines,
    /// The status as JSON for each change.
    Json,
}

/// Follows the agent at `control` until Ctrl-C.
///
/// # Errors
/// If the system refuses the signal handlers.
pub fn follow(control: &Path, form: FollowForm, out: &mut impl Write) -> Result<(), AgentError> {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build();
    let runtime = runtime.map_err(AgentError::System)?;
    let done = runtime.block_on(follow_in(control.to_owned(), form, out));
    // A question that hangs must not hold the end up.
    runtime.shutdown_background();
    done
}

async fn follow_in(
    control: PathBuf,
    form: FollowForm,
    out: &mut impl Write,
) -> Result<(), AgentError> {
    let mut interrupt = signal(SignalKind::interrupt()).map_err(AgentError::System)?;
    let mut terminate = signal(SignalKind::terminate()).map_err(AgentError::System)?;
    let mut shown = Shown::new(form);
    loop {
        let path = control.clone();
        let asked = tokio::task::spawn_blocking(move || ask_status(&path));
        let answer = tokio::select! {
            answer = asked => answer.ok().and_then(Result::ok),
            _ = interrupt.recv() => return Ok(()),
            _ = terminate.recv() => return Ok(()),
        };
        if shown.show(answer.as_ref(), SystemTime::now().into(), out).is_err() {
            // Nobody reads any more.
            return Ok(());
        }
        tokio::select! {
            () = tokio::time::sleep(LOOK_EVERY) => {}
            _ = interrupt.recv() => return Ok(()),
            _ = terminate.recv() => return Ok(()),
        }
    }
}

/// What stands there.
struct Shown {
    form: FollowForm,
    said: Option<String>,
    /// Lines that stand on the screen.
    lines: usize,
}

impl Shown {
    fn new(form: FollowForm) -> Self {
        Self { form, said: None, lines: 0 }
    }

    fn show(
        &mut self,
        status: Option<&Status>,
        now: DateTime<Utc>,
        out: &mut impl Write,
    ) -> io::Result<()> {
        if self.form == FollowForm::Screen {
            let text = status.map_or("no agent answers: waiting for it\n".to_owned(), |status| {
                status.to_string()
            });
            let back = if self.lines > 0 { format!("\x1b[{}A", self.lines) } else { String::new() };
            self.lines = text.lines().count();
            write!(out, "{back}\r\x1b[J{text}")?;
            return out.flush();
        }
        let says = says(status);
        if self.said.as_ref() == Some(&says) {
            return Ok(());
        }
        let at = now.to_rfc3339_opts(SecondsFormat::Millis, true);
        match (self.form, status) {
            (FollowForm::Json, Some(status)) => out.write_all(status.json().as_bytes())?,
            (FollowForm::Json, None) => writeln!(out, "null")?,
            _ => writeln!(out, "{at}  {says}")?,
        }
        self.said = Some(says);
        out.flush()
    }
}

/// What counts as a change, in one line.
fn says(status: Option<&Status>) -> String {
    let Some(status) = status else { return "no agent answers: waiting for it".to_owned() };
    let Status { disk, source, clock, .. } = status;
    let mut line = format!("disk {disk}; source {source}; clock {clock}");
    if status.alarms.is_empty() {
        return line + "; no alarm";
    }
    for on in &status.alarms {
        // Writing to a string cannot fail.
        let _ = write!(line, "; {on}");
    }
    line
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::status::AlarmOn;
    use crate::watch::{AlarmKind, Stage};

    fn shown(form: FollowForm, states: &[Option<Status>]) -> String {
        let mut shown = Shown::new(form);
        let mut out = Vec::new();
        for state in states {
            shown.show(state.as_ref(), DateTime::UNIX_EPOCH, &mut out).unwrap();
        }
        String::from_utf8(out).unwrap()
    }

    fn states() -> [Option<Status>; 6] {
        let alarm = AlarmOn {
            kind: AlarmKind::Stall,
            stage: Stage::Event,
            motor: Some(1),
            since_ms: 4_200,
        };
        let (well, more) = (Status::default(), Status { frames: 7, ..Status::default() });
        let held = Status { alarms: vec![alarm], ..Status::default() };
        [Some(well.clone()), Some(more), Some(held), None, None, Some(well)]
    }

    #[test]
    fn a_line_for_each_change() {
        let head = "1970-01-01T00:00:00.000Z  ";
        let state = "disk working; source waiting; clock unset";
        assert_eq!(
            shown(FollowForm::Lines, &states()),
            format!(
                "{head}{state}; no alarm\n\
                 {head}{state}; alarm: brush motor held (motor 2) since 4.2 s after the start\n\
                 {head}no agent answers: waiting for it\n\
                 {head}{state}; no alarm\n"
            )
        );
        let json = shown(FollowForm::Json, &states());
        assert_eq!(json.lines().count(), 4);
        assert!(json.lines().nth(1).unwrap().contains("\"alarms\":[{\"kind\":\"stall\""), "{json}");
    }

    #[test]
    fn the_screen_is_drawn_in_place() {
        let drawn = shown(FollowForm::Screen, &states()[2..]);
        let lines = states()[2].as_ref().unwrap().to_string().lines().count();
        let back: Vec<&str> =
            drawn.split('\r').map(|part| part.rsplit('\n').next().unwrap()).collect();
        let up = format!("\x1b[{lines}A");
        assert_eq!(back, ["", &up, "\x1b[1A", "\x1b[1A", ""]);
    }
}
