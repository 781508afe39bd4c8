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

/// Hears the bus through all prompts. `keys` brings what a person types.
pub(super) fn hold(
    bus: &mut dyn Listen,
    name: &str,
    rounds: usize,
    keys: &Receiver<Key>,
) -> Result<(Recording, Vec<Prompt>), AgentError> {
    let lost = |source| AgentError::Read { path: name.into(), source };
    let mut out = std::io::stdout();
    let in_place = out.is_terminal();
    let mut recording = Recording::default();
    let began = Instant::now();
    let mut session = Session::new(rounds, 0.0);
    print(
        &mut out,
        &format!("{SAFETY}This takes about {:.0} minutes.\n", session.length_s() / 60.0),
    );
    let mut looked = began;
    while !session.ended() {
        if let Some((id, data)) = bus.next(LOOK_EVERY).map_err(lost)? {
            recording.push(began.elapsed().as_micros() as u64, id, &data);
        }
        if recording.frames.is_empty() && began.elapsed() > SILENCE {
            let message =
                "no frame in 10 s: is the machine on, the bit rate right, the bus connected?";
            return Err(lost(std::io::Error::new(std::io::ErrorKind::TimedOut, message)));
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
    Ok((recording, session.prompts()))
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
