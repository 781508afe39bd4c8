//! The command `learn`: hears, judges, writes the drafts.

use super::adapter::adapter;
use super::draft::id_words;
use super::listen::{Listen, interface};
use super::session::Session;
use super::{Hints, KnownCurrent, KnownSpeed, Learnt, Prompt, Quantity, Recording};
use super::{dbc_draft, learn, live, machine_draft, parse_prompts, prompts_text, report, svg};
use crate::config::CanAdapter;
use crate::decode::CanFrame;
use crate::error::AgentError;
use crate::source::capture::frames;
use std::fmt::Write;
use std::path::{Path, PathBuf};
use underbrush_protocol::settings::Machine;

/// Candidates of each quantity that are drawn.
const DRAWN: usize = 3;
/// Without a machine file.
const USUAL_BRUSHES: usize = 2;
const NOT_FOUND: u8 = 3;

/// Where the frames come from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Heard {
    /// A recorded capture.
    Capture(PathBuf),
    /// A CAN interface, while the technician follows the prompts.
    Interface(String),
    /// A CAN adapter at a serial port, the same way.
    Adapter(CanAdapter),
}

/// What to learn from.
#[derive(Clone, Debug, PartialEq)]
pub struct LearnOptions {
    /// The frames.
    pub heard: Heard,
    /// Times of the prompts of a capture.
    pub prompts: Option<PathBuf>,
    /// Speeds known from elsewhere.
    pub known: Vec<KnownSpeed>,
    /// Currents that a clamp meter showed.
    pub currents: Vec<KnownCurrent>,
    /// A machine file whose signals are to be replaced.
    pub machine: Option<PathBuf>,
    /// Where the drafts go.
    pub out: PathBuf,
    /// Times the live prompts are gone through.
    pub rounds: usize,
    /// Length of each live prompt in s; without it each has its own.
    pub prompt_s: Option<f64>,
}

/// What came of it.
#[derive(Clone, Debug, PartialEq)]
pub struct LearnOutcome {
    /// The report.
    pub text: String,
    /// What was found.
    pub learnt: Learnt,
    /// 3 if the ground speed is not sure, lines were malformed or the bus was lost, else 0.
    pub exit_code: u8,
}

/// Does what the options say.
pub fn learn_command(options: &LearnOptions) -> Result<LearnOutcome, AgentError> {
    let (base, machine) = match &options.machine {
        Some(path) => {
            let text = read(path)?;
            let machine = Machine::parse(&path.display().to_string(), &text)?;
            (Some(text), Some(machine))
        }
        None => (None, None),
    };
    let mut prompts = match &options.prompts {
        Some(path) => parse_prompts(&path.display().to_string(), &read(path)?)?,
        None => Vec::new(),
    };
    // The folder is made before a session of many minutes, which must not be in vain.
    std::fs::create_dir_all(&options.out).map_err(|e| unwritable(&options.out, e))?;
    let mut malformed = 0;
    let mut trouble = None;
    let recording = match &options.heard {
        Heard::Capture(path) => {
            let mut recording = Recording::default();
            malformed = frames(path, |stamped| {
                if let CanFrame::Data { id, data } = stamped.frame {
                    recording.push(stamped.at_us, id, data);
                }
                Ok(())
            })?
            .damaged;
            recording
        }
        Heard::Interface(name) => {
            let mut bus = interface(name)?;
            session(bus.as_mut(), name, options, &mut prompts, &mut trouble)?
        }
        Heard::Adapter(settings) => {
            let mut bus = adapter(settings)?;
            session(bus.as_mut(), &settings.port, options, &mut prompts, &mut trouble)?
        }
    };
    let hints = Hints {
        battery_v: machine.as_ref().map(|m| m.battery.nominal_voltage.0),
        rated_a: machine.as_ref().map(|m| m.motor.rated_current.0),
        known: options.known.clone(),
        currents: options.currents.clone(),
        prompts,
    };
    let learnt = learn(&recording, &hints);
    let brushes = machine.as_ref().map_or(USUAL_BRUSHES, |m| usize::from(m.deck.brushes));
    let mut text = report(&learnt, &hints.prompts);
    if malformed > 0 {
        // Writing to a String cannot fail.
        let _ = writeln!(
            text,
            "\n{malformed} lines or objects of the capture are damaged and were left out"
        );
    }
    if recording.cut > 0 {
        let _ =
            writeln!(text, "\nof {} long frames only the first 8 bytes were judged", recording.cut);
    }
    if recording.not_kept > 0 {
        let _ =
            writeln!(text, "\n{} frames at the end were not judged: too many", recording.not_kept);
    }
    text += &drafts(&learnt, &hints.prompts, brushes, base.as_deref(), &options.out)?;
    if let Some(trouble) = &trouble {
        let _ = writeln!(text, "\n{trouble}");
    }
    let found = learnt.of(Quantity::Speed).first().is_some_and(|best| best.sure);
    if !found {
        text +=
            "\nnot sure of the ground speed: see the lines with ? under it for what to do next\n";
    }
    let exit_code = if found && malformed == 0 && trouble.is_none() { 0 } else { NOT_FOUND };
    Ok(LearnOutcome { text, learnt, exit_code })
}

/// A live session; what was heard and asked is kept in files before it is judged.
fn session(
    bus: &mut dyn Listen,
    name: &str,
    options: &LearnOptions,
    prompts: &mut Vec<Prompt>,
    trouble: &mut Option<String>,
) -> Result<Recording, AgentError> {
    let session = Session::new(options.rounds, options.prompt_s, 0.0);
    let held = live::hold(bus, name, session, &live::keys())?;
    let interface = name.rsplit('/').next().unwrap_or(name);
    write(&options.out, "capture.log", &candump(&held.recording, interface))?;
    write(&options.out, "prompts.toml", &prompts_text(&held.prompts))?;
    *prompts = held.prompts;
    *trouble = held.trouble;
    Ok(held.recording)
}

/// Writes the drafts and the plots; gives what to say of them.
fn drafts(
    learnt: &Learnt,
    prompts: &[Prompt],
    brushes: usize,
    base: Option<&str>,
    out: &Path,
) -> Result<String, AgentError> {
    write(out, "learnt.dbc", &dbc_draft(learnt, brushes))?;
    write(out, "machine.toml", &machine_draft(learnt, brushes, base))?;
    let mut plots = 0;
    for (quantity, candidates) in &learnt.found {
        for (place, candidate) in candidates.iter().take(DRAWN).enumerate() {
            let name = quantity.name().replace(' ', "-");
            let file = format!("{name}-{}-{}.svg", place + 1, id_words(candidate.id));
            write(out, &file, &svg(*quantity, candidate, prompts))?;
            plots += 1;
        }
    }
    let out = out.display();
    Ok(format!(
        "\ndrafts: {out}/learnt.dbc, {out}/machine.toml, and {plots} plots beside them\n\
         next: fill in the machine file, record a drive with both drafts, and compare its speed and\n\
         current with what you measured: a factor without an interval is a guess until then\n"
    ))
}

/// A recording in the text of `candump -L`, to be learnt from again.
fn candump(recording: &Recording, interface: &str) -> String {
    let mut text = String::with_capacity(recording.frames.len() * 48);
    for frame in &recording.frames {
        let (seconds, micros) = (frame.at_us / 1_000_000, frame.at_us % 1_000_000);
        let _ = write!(text, "({seconds:010}.{micros:06}) {interface} {}#", id_words(frame.id));
        for byte in frame.data.iter().take(usize::from(frame.len)) {
            let _ = write!(text, "{byte:02X}");
        }
        text.push('\n');
    }
    text
}

fn read(path: &Path) -> Result<String, AgentError> {
    std::fs::read_to_string(path).map_err(|source| AgentError::Read { path: path.into(), source })
}

fn write(dir: &Path, name: &str, text: &str) -> Result<(), AgentError> {
    let path = dir.join(name);
    std::fs::write(&path, text).map_err(|source| unwritable(&path, source))
}

fn unwritable(path: &Path, source: std::io::Error) -> AgentError {
    AgentError::Write { path: path.to_owned(), source }
}
