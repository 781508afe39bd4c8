//! A session at the machine: prompts in the terminal while the bus is heard.

use super::listen::Listen;
use super::prompts::Prompt;
use super::recording::Recording;
use super::session::{Key, SAFETY, Say, Session};
use crate::error::AgentError;
use std::io::{BufRead, IsTerminal, Write};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

const LOOK_EVERY: Duration = Duration::from_millis(50);
/// A bus that says nothing for this long is the wrong one, or the machine is off.
const SILENCE: Duration = Duration::from_secs(10);
/// What to check when a bus is silent, in this order.
const CHECK: &str = "check in this order: is the machine's key on; is the bit rate that of its bus \
                     (often 250000 or 500000); CAN-H, CAN-L and ground connected, H and L not \
                     swapped; 60 ohm between CAN-H and CAN-L with the battery off, which are the \
                     machine's own two terminators and none of yours";

/// What a session brought.
#[derive(Debug)]
pub(super) struct Held {
    pub(super) recording: Recording,
    /// The prompts while the bus was heard.
    pub(super) prompts: Vec<Prompt>,
    /// Why it ended before its end.
    pub(super) trouble: Option<String>,
}

/// Hears the bus through all prompts. `keys` brings what a person types.
pub(super) fn hold(
    bus: &mut dyn Listen,
    name: &str,
    mut session: Session,
    keys: &Receiver<Key>,
) -> Result<Held, AgentError> {
    let lost = |source| AgentError::Read { path: name.into(), source };
    let mut out = std::io::stdout();
    let in_place = out.is_terminal();
    let mut recording = Recording::default();
    let mut trouble = None;
    let began = Instant::now();
    print(&mut out, &format!("{SAFETY}This takes about {:.1} min.\n", session.length_s() / 60.0));
    let (mut looked, mut heard) = (began, began);
    while !session.ended() {
        match bus.next(LOOK_EVERY) {
            Ok(Some((id, data))) => {
                heard = Instant::now();
                recording.push(began.elapsed().as_micros() as u64, id, &data);
            }
            Ok(None) => {}
            Err(error) if recording.frames.is_empty() => return Err(lost(error)),
            Err(error) => {
                trouble =
                    Some(format!("the bus was lost at {:.0} s ({error})", recording.length_s()));
                break;
            }
        }
        if heard.elapsed() > SILENCE {
            let at_s = recording.length_s();
            trouble = Some(format!("the bus fell silent at {at_s:.0} s"));
            break;
        }
        if looked.elapsed() < LOOK_EVERY {
            continue;
        }
        looked = Instant::now();
        match session.tick(began.elapsed().as_secs_f64(), keys.try_recv().ok()) {
            // A terminal shows the countdown in one line; a file gets each whole line only.
            Some(Say::Again(line)) if in_place => print(&mut out, &format!("\r\x1b[K{line}")),
            Some(Say::Again(_)) | None => {}
            Some(Say::Line(line)) if in_place => print(&mut out, &format!("\r\x1b[K{line}\n")),
            Some(Say::Line(line)) => print(&mut out, &format!("{line}\n")),
        }
    }
    if recording.frames.is_empty() {
        let also = bus.also_heard().map_or(String::new(), |also| format!("; {also}"));
        let message = format!("no frame in {:.0} s{also}; {CHECK}", began.elapsed().as_secs_f64());
        return Err(lost(std::io::Error::new(std::io::ErrorKind::TimedOut, message)));
    }
    let trouble = trouble.map(|why| {
        let also = bus.also_heard().map_or(String::new(), |also| format!("; {also}"));
        format!(
            "{why}: only what was heard until then was judged, without the prompts after it. Is \
             the key still on, and each plug tight?{also}"
        )
    });
    let until_s = recording.length_s() + LOOK_EVERY.as_secs_f64();
    let mut prompts = session.prompts();
    if trouble.is_some() {
        prompts.retain(|prompt| prompt.to_s <= until_s);
    }
    // A key that is turned on late: what was asked before the first frame was not heard.
    let first_s = recording.begin_at_first() as f64 / 1e6;
    for prompt in &mut prompts {
        (prompt.from_s, prompt.to_s) = (prompt.from_s - first_s, prompt.to_s - first_s);
    }
    prompts.retain(|prompt| prompt.from_s >= 0.0);
    Ok(Held { recording, prompts, trouble })
}

/// The terminal may be gone; what is heard is not.
fn print(out: &mut impl Write, text: &str) {
    let _ = out.write_all(text.as_bytes());
    let _ = out.flush();
}

/// Reads what a person types. The thread ends with the program: a read of a terminal cannot
/// be called off.
pub(super) fn keys() -> Receiver<Key> {
    let (send, receive) = channel();
    std::thread::spawn(move || {
        for line in std::io::stdin().lock().lines().map_while(Result::ok) {
            let key = match line.trim() {
                "s" => Key::Skip,
                "q" => Key::Quit,
                _ => continue,
            };
            if send.send(key).is_err() {
                break;
            }
        }
    });
    receive
}
