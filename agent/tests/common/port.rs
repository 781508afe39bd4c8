//! A pseudo terminal in place of the bridge's port, and the real agent reading it.

use super::Scene;
use rustix::fs::{OFlags, fcntl_setfl};
use rustix::pty::{OpenptFlags, grantpt, openpt, ptsname, unlockpt};
use rustix::termios::{OptionalActions, tcgetattr, tcsetattr};
use std::fs::File;
use std::io::{BufRead, BufReader, ErrorKind, Read, Write};
use std::os::unix::fs::symlink;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, ExitStatus, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

pub(crate) const PATIENCE: Duration = Duration::from_secs(30);

/// A pseudo terminal whose agent's side is found at a path of ours.
pub(crate) struct Port {
    bridge: File,
    /// Held open, so that bytes are kept until the agent opens it.
    _agent_side: File,
}

impl Port {
    pub(crate) fn plug(at: &Path) -> Self {
        // Agents of other tests must not inherit it: it is unplugged by closing it.
        let bridge =
            openpt(OpenptFlags::RDWR | OpenptFlags::NOCTTY | OpenptFlags::CLOEXEC).unwrap();
        grantpt(&bridge).unwrap();
        unlockpt(&bridge).unwrap();
        let name = ptsname(&bridge, Vec::new()).unwrap().into_string().unwrap();
        let agent_side = File::options().read(true).write(true).open(&name).unwrap();
        let mut raw = tcgetattr(&agent_side).unwrap();
        raw.make_raw();
        tcsetattr(&agent_side, OptionalActions::Now, &raw).unwrap();
        let _ = std::fs::remove_file(at);
        symlink(&name, at).unwrap();
        Self { bridge: File::from(bridge), _agent_side: agent_side }
    }

    /// Sends all of `bytes`, and waits where the port takes no more.
    pub(crate) fn send(&mut self, bytes: &[u8]) {
        self.bridge.write_all(bytes).unwrap();
    }

    /// The same port again, to read what the agent sends.
    pub(crate) fn again(&self) -> File {
        self.bridge.try_clone().unwrap()
    }

    /// What the agent sent and is here by now; use [`Self::never_wait`] before.
    pub(crate) fn heard(&mut self) -> Vec<u8> {
        let mut heard = vec![0; 4096];
        match self.bridge.read(&mut heard) {
            Ok(len) => heard.truncate(len),
            Err(error) if error.kind() == ErrorKind::WouldBlock => heard.clear(),
            Err(error) => panic!("{error}"),
        }
        heard
    }

    /// From here on [`Self::offer`] can be used, which never waits.
    pub(crate) fn never_wait(&self) {
        fcntl_setfl(&self.bridge, OFlags::NONBLOCK).unwrap();
    }

    /// Sends what the port takes at once; how much that was.
    pub(crate) fn offer(&mut self, bytes: &[u8]) -> usize {
        match self.bridge.write(bytes) {
            Ok(taken) => taken,
            Err(error) if error.kind() == ErrorKind::WouldBlock => 0,
            Err(error) => panic!("{error}"),
        }
    }
}

/// The two sides of a terminal for a program to draw on: ours, and the program's.
pub(crate) fn screen() -> (File, File) {
    let ours = openpt(OpenptFlags::RDWR | OpenptFlags::NOCTTY | OpenptFlags::CLOEXEC).unwrap();
    grantpt(&ours).unwrap();
    unlockpt(&ours).unwrap();
    let name = ptsname(&ours, Vec::new()).unwrap().into_string().unwrap();
    let theirs = File::options().read(true).write(true).open(name).unwrap();
    (File::from(ours), theirs)
}

/// A running agent and what it tells.
pub(crate) struct Agent {
    pub(crate) child: Child,
    notes: Receiver<String>,
}

impl Agent {
    pub(crate) fn start(config: &Path) -> Self {
        Self::start_with(config, &[])
    }

    pub(crate) fn start_with(config: &Path, more: &[&str]) -> Self {
        let mut child = Command::new(env!("CARGO_BIN_EXE_underbrush-agent"))
            .args(["run", "--config"])
            .arg(config)
            .args(more)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let (told, notes) = channel();
        let mut stderr = BufReader::new(child.stderr.take().unwrap());
        std::thread::spawn(move || {
            let mut line = String::new();
            // A line that a kill cut short is none.
            while stderr.read_line(&mut line).is_ok() && line.ends_with('\n') {
                let _ = told.send(std::mem::take(&mut line));
            }
        });
        Self { child, notes }
    }

    /// Waits until it says `what`; that line.
    pub(crate) fn wait_for(&self, what: &str) -> String {
        let end = Instant::now() + PATIENCE;
        let mut heard = String::new();
        while let Ok(line) = self.notes.recv_timeout(end.saturating_duration_since(Instant::now()))
        {
            if line.contains(what) {
                return line;
            }
            heard.push_str(&line);
        }
        panic!("the agent did not say `{what}`, but:\n{heard}");
    }

    fn process(&self) -> rustix::process::Pid {
        rustix::process::Pid::from_child(&self.child)
    }

    /// Ends it by SIGTERM; its exit status and what it printed.
    pub(crate) fn stop(mut self) -> (ExitStatus, String) {
        rustix::process::kill_process(self.process(), rustix::process::Signal::TERM).unwrap();
        let status = self.child.wait().unwrap();
        let mut printed = String::new();
        self.child.stdout.take().unwrap().read_to_string(&mut printed).unwrap();
        (status, printed)
    }

    /// Ends it by SIGKILL; all lines that it said and nobody waited for.
    pub(crate) fn kill(mut self) -> Vec<String> {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
        // The listening thread ends with the pipe.
        self.notes.iter().collect()
    }
}

impl Drop for Agent {
    fn drop(&mut self) {
        // A failed test must not leave it running.
        let _ = self.child.kill();
    }
}

/// A scene whose agent reads the port at the first path by the settings at the second.
pub(crate) fn serial_scene(journal: &str) -> (Scene, PathBuf, PathBuf) {
    let scene = Scene::new();
    let port = scene.path("port");
    let source = format!("kind = \"serial\"\nport = \"{}\"\nbaud = 921600\n", port.display());
    let config = scene.config(&format!("{source}\n[journal]\n{journal}\n"));
    (scene, port, config)
}

pub(crate) fn pause(ms: u64) {
    std::thread::sleep(Duration::from_millis(ms));
}
