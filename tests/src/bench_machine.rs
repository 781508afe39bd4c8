//! The simulated machine on a pseudo-terminal, in real time.

use crate::program;
use std::io::{BufRead, BufReader};
use std::process::{Child, Stdio};

/// A program that ends when the test does, also when the test fails.
#[derive(Debug)]
pub struct Running(pub Child);

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// Starts a machine at work; the path is that of its port.
///
/// # Panics
/// If the simulator does not start or does not tell its port.
pub fn start_machine() -> (Running, String) {
    let mut simulate = program("simulate");
    simulate.args(["--plan", "bench", "--pty"]).stdout(Stdio::piped()).stderr(Stdio::null());
    let mut machine = Running(simulate.spawn().expect("the simulator starts"));
    let out = machine.0.stdout.take().expect("its output is a pipe");
    let mut lines = BufReader::new(out).lines();
    let port = lines
        .by_ref()
        .map_while(Result::ok)
        .find_map(|line| {
            line.split_whitespace().find(|word| word.starts_with("/dev/")).map(str::to_owned)
        })
        .expect("the simulator prints its port");
    std::thread::spawn(move || lines.for_each(drop));
    (machine, port)
}
