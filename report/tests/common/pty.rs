//! A program on a pseudo-terminal that a test reads and types into.
#![allow(dead_code, unreachable_pub)]

use rustix::io::Errno;
use rustix::process::{Pid, Signal, kill_process};
use rustix::pty::{OpenptFlags, grantpt, openpt, ptsname, unlockpt};
use rustix::termios::{Termios, Winsize, tcgetattr, tcsetwinsize};
use std::fs::{File, OpenOptions};
use std::os::fd::OwnedFd;
use std::process::{Child, Command, ExitStatus};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

/// Everything is much faster than this; a machine under load is slow.
const PATIENCE: Duration = Duration::from_secs(60);

pub struct OnTerminal {
    child: Child,
    controller: Arc<OwnedFd>,
    /// Kept open, so that its settings can be read when the program has ended.
    user: File,
    before: Termios,
    said: Arc<Mutex<Vec<u8>>>,
}

impl OnTerminal {
    /// Starts a program on a terminal of so many columns and rows.
    pub fn start(command: &mut Command, columns: u16, rows: u16) -> Self {
        let controller = openpt(OpenptFlags::RDWR | OpenptFlags::NOCTTY).unwrap();
        grantpt(&controller).unwrap();
        unlockpt(&controller).unwrap();
        let path = ptsname(&controller, Vec::new()).unwrap().to_string_lossy().into_owned();
        let user = OpenOptions::new().read(true).write(true).open(&path).unwrap();
        let controller = Arc::new(controller);
        set_size(&controller, columns, rows);
        let before = tcgetattr(&user).unwrap();
        let end = || user.try_clone().unwrap();
        command.stdin(end()).stdout(end()).stderr(end());
        command.env("TERM", "xterm-256color").env_remove("COLUMNS").env_remove("NO_COLOR");
        let child = command.spawn().unwrap();
        let said = Arc::new(Mutex::new(Vec::new()));
        let (from, to) = (Arc::clone(&controller), Arc::clone(&said));
        std::thread::spawn(move || {
            let mut buffer = [0; 4096];
            loop {
                match rustix::io::read(&*from, &mut buffer) {
                    Ok(0) => return,
                    Ok(count) => to.lock().unwrap().extend_from_slice(&buffer[..count]),
                    Err(Errno::INTR) => {}
                    Err(_) => return,
                }
            }
        });
        Self { child, controller, user, before, said }
    }

    /// All that came to the terminal so far.
    pub fn said(&self) -> String {
        String::from_utf8_lossy(&self.said.lock().unwrap()).into_owned()
    }

    /// Waits until the terminal shows this.
    pub fn wait_for(&self, what: &str) {
        self.wait_until(what, |lines| lines.iter().any(|line| line.contains(what)));
    }

    /// Waits until the lines that the terminal shows are as `wanted`.
    pub fn wait_until(&self, why: &str, wanted: impl Fn(&[String]) -> bool) {
        let until = Instant::now() + PATIENCE;
        loop {
            let shown = shown(&self.said());
            if wanted(&shown) {
                return;
            }
            assert!(Instant::now() < until, "not {why}: {shown:#?}");
            std::thread::sleep(Duration::from_millis(10));
        }
    }

    /// Types.
    pub fn type_in(&self, keys: &str) {
        rustix::io::write(&*self.controller, keys.as_bytes()).unwrap();
    }

    pub fn signal(&self, signal: Signal) {
        kill_process(Pid::from_child(&self.child), signal).unwrap();
    }

    /// Makes the terminal another size and tells the program.
    pub fn resize(&self, columns: u16, rows: u16) {
        set_size(&self.controller, columns, rows);
        self.signal(Signal::WINCH);
    }

    /// Whether the terminal passes keys on at once, as a screen wants it.
    pub fn is_raw(&self) -> bool {
        modes(&tcgetattr(&self.user).unwrap()) != modes(&self.before)
    }

    /// Waits for the end, then says whether the terminal is as it was before.
    pub fn end(mut self) -> (ExitStatus, String) {
        let until = Instant::now() + PATIENCE;
        let status = loop {
            if let Some(status) = self.child.try_wait().unwrap() {
                break status;
            }
            assert!(Instant::now() < until, "it does not end: {:?}", self.said());
            std::thread::sleep(Duration::from_millis(10));
        };
        // What was written last is on its way.
        std::thread::sleep(Duration::from_millis(100));
        let said = self.said();
        assert!(!self.is_raw(), "the terminal is still raw after {said:?}");
        (status, said)
    }
}

impl Drop for OnTerminal {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn set_size(controller: &OwnedFd, columns: u16, rows: u16) {
    let size = Winsize { ws_row: rows, ws_col: columns, ws_xpixel: 0, ws_ypixel: 0 };
    tcsetwinsize(controller, size).unwrap();
}

fn modes(of: &Termios) -> (u64, u64, u64, u64) {
    (
        of.input_modes.bits().into(),
        of.output_modes.bits().into(),
        of.control_modes.bits().into(),
        of.local_modes.bits().into(),
    )
}

/// The lines that stand on a terminal which was told this: of ECMA-48 only the cursor's
/// position (CUP) and the clearing of the whole page (ED 2) move anything here.
pub fn shown(said: &str) -> Vec<String> {
    let mut page: Vec<Vec<char>> = Vec::new();
    let (mut row, mut column) = (0, 0);
    let mut letters = said.chars();
    while let Some(letter) = letters.next() {
        match letter {
            '\x1b' if letters.as_str().starts_with('[') => {
                let rest = &letters.as_str()[1..];
                let end = rest.find(|c: char| c.is_ascii_alphabetic()).unwrap_or(rest.len());
                let numbers = &rest[..end];
                match rest[end..].chars().next() {
                    Some('H') => {
                        let number = |text: Option<&str>| text.and_then(|t| t.parse().ok());
                        let mut parts = numbers.split(';');
                        row = number(parts.next()).unwrap_or(1_usize) - 1;
                        column = number(parts.next()).unwrap_or(1_usize) - 1;
                    }
                    Some('J') if numbers == "2" => page.clear(),
                    _ => {}
                }
                letters = rest.get(end + 1..).unwrap_or_default().chars();
            }
            '\r' => column = 0,
            '\n' => row += 1,
            letter if !letter.is_control() => {
                page.resize(page.len().max(row + 1), Vec::new());
                let line = &mut page[row];
                line.resize(line.len().max(column + 1), ' ');
                line[column] = letter;
                column += 1;
            }
            _ => {}
        }
    }
    page.into_iter().map(String::from_iter).collect()
}

/// The screen was entered, and left for good: the usual page and the cursor are back.
pub fn given_back(said: &str) -> bool {
    let last = |what: &str| said.rfind(what);
    let entered = last("\x1b[?1049h");
    entered.is_some() && last("\x1b[?1049l") > entered && last("\x1b[?25h") > last("\x1b[?25l")
}
