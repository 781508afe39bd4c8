//! The wheel against a measured distance, in words.

use super::interval::{Mean, mean};
use super::runs::{RunEnd, Runs, STILL_MS};
use crate::config::Config;
use crate::direct::{Link, Listener, is_file, listen};
use crate::error::AgentError;
use std::fmt;
use std::fmt::Write as _;
use std::io::Write;
use underbrush_protocol::log::Entry;
use underbrush_protocol::time::BootMs;

/// Runs that differ by more, largest to smallest, are not of one wheel and one distance. Marks
/// are hit to 5 cm at either end: 1 % of 10 m. Common practice, no published source.
const MOST_SPREAD: f64 = 0.03;
/// A factor further from 1 than this is told as doubtful.
const DOUBTFUL: f64 = 1.25;
/// Shorter distances make more of the marks than of the wheel, in m.
pub const LEAST_M: f64 = 3.0;
/// The longest distance that anybody measures, in m.
pub const MOST_M: f64 = 1_000.0;

const SAFETY: &str = "\
Before you drive: brushes off and head up, the way clear of people and things, a spotter where
you cannot see. The machine's own manual comes first. Nothing is sent to the machine.
";

/// Why the runs give no factor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NoFactor {
    /// There is no run.
    NoRun,
    /// They disagree by this share; the smallest and largest factor.
    Disagree(f64, f64, f64),
}

impl fmt::Display for NoFactor {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoRun => f.write_str(
                "no run of that distance was seen: stand, drive it in one go, stand again for 2 s",
            ),
            Self::Disagree(spread, least, most) => write!(
                f,
                "the runs disagree by {:.1} %, factors from {least:.4} to {most:.4}, and should \
                 by {:.0} % at most: drive straight from mark to mark, without wheel spin, and \
                 measure anew",
                spread * 100.0,
                MOST_SPREAD * 100.0
            ),
        }
    }
}

/// The factor of these ways by the signal, all of the same true distance, in m.
pub fn wheel_factor(distance_m: f64, signal_m: &[f64]) -> Result<Mean, NoFactor> {
    let factors: Vec<f64> = signal_m.iter().map(|signal_m| distance_m / signal_m).collect();
    let found = mean(&factors).ok_or(NoFactor::NoRun)?;
    if found.spread > MOST_SPREAD {
        let least = factors.iter().copied().fold(f64::INFINITY, f64::min);
        let most = factors.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        return Err(NoFactor::Disagree(found.spread, least, most));
    }
    Ok(found)
}

/// Hears the runs, says each, and what all come to.
pub(super) fn wheel(config: &Config, distance_m: f64, runs: usize) -> Result<String, AgentError> {
    let moving_m_s = f64::from(config.machine.limits().moving_m_s);
    let live = !is_file(config);
    let hear = Hear {
        runs: Runs::new(distance_m, moving_m_s, config.machine.longest_gap_ms()),
        driven: Vec::new(),
        wanted: runs,
        distance_m,
        out: std::io::stdout(),
    };
    if live {
        say(
            &mut std::io::stdout(),
            &format!(
                "{SAFETY}\nStand on the first mark; drive the {distance_m:.2} m to the second in one \
                 go; stand for {:.0} s. Then back, or from the first mark again: {runs} runs in \
                 all. Ctrl-C ends it with the runs so far.\n",
                (STILL_MS as f64 / 1e3).ceil()
            ),
        );
    }
    let mut heard = listen(config, hear)?;
    if let Some(end) = heard.runs.finish() {
        heard.ended(end);
    }
    let present = config.machine.speed.wheel_factor;
    report(distance_m, &heard.driven, present).map_err(|no| AgentError::Calibration(no.to_string()))
}

struct Hear<W> {
    runs: Runs,
    driven: Vec<f64>,
    wanted: usize,
    distance_m: f64,
    out: W,
}

impl<W: Write> Hear<W> {
    fn ended(&mut self, end: RunEnd) {
        let line = match end {
            RunEnd::Driven(signal_m) if self.driven.len() < self.wanted => {
                self.driven.push(signal_m);
                let factor = self.distance_m / signal_m;
                let number = self.driven.len();
                format!("run {number}: {signal_m:.3} m by the signal, factor {factor:.4}")
            }
            RunEnd::Driven(_) => "a run more than was asked for: left out".to_owned(),
            RunEnd::Back => "a run forth and back: left out".to_owned(),
            RunEnd::OtherWay(signal_m) => format!(
                "a run of {signal_m:.3} m by the signal, too far from {:.2} m: left out",
                self.distance_m
            ),
            RunEnd::Hole(ms) => {
                format!("a run with {:.1} s without readings: left out", ms as f64 / 1e3)
            }
            RunEnd::Unfinished => "a run that had not ended: left out".to_owned(),
        };
        say(&mut self.out, &(line + "\n"));
    }
}

impl<W: Write> Listener for Hear<W> {
    fn take(&mut self, entries: &[Entry]) {
        for entry in entries {
            if let Entry::Reading(reading) = entry
                && let Some(end) = self.runs.take(*reading)
            {
                self.ended(end);
            }
        }
    }

    fn passes(&mut self, _: BootMs, _: Link) -> bool {
        self.driven.len() < self.wanted
    }
}

/// The terminal may be gone; what was driven is not.
fn say(out: &mut impl Write, text: &str) {
    let _ = out.write_all(text.as_bytes()).and_then(|()| out.flush());
}

fn report(distance_m: f64, signal_m: &[f64], present: f64) -> Result<String, NoFactor> {
    let Mean { mean, deviation, half_width, spread } = wheel_factor(distance_m, signal_m)?;
    let mut text = format!("\nwheel factor {mean:.4}");
    // Writing to a string cannot fail.
    let _ = match deviation.zip(half_width) {
        Some((deviation, half_width)) => writeln!(
            text,
            ", 95 % interval {:.4} to {:.4}\n{} runs, standard deviation {deviation:.4}, largest \
             to smallest {:.1} %; an error of the measured distance comes on top",
            mean - half_width,
            mean + half_width,
            signal_m.len(),
            spread * 100.0
        ),
        None => writeln!(
            text,
            "\none run: nothing says how sure it is. Three runs or more do (--runs)."
        ),
    };
    if !(1.0 / DOUBTFUL..=DOUBTFUL).contains(&mean) {
        text.push_str(
            "doubtful: wheels are seldom that far off. Is it the right distance, the right signal, \
             the right unit?\n",
        );
    }
    let _ = writeln!(
        text,
        "\nwrite into the machine file:\n\n[speed]\nwheel_factor = {mean:.4} # was {present}"
    );
    Ok(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_factor_is_true_over_signal() {
        let text = report(10.0, &[9.8, 9.75, 9.85], 1.0).unwrap();
        // By hand: 1.020408, 1.025641, 1.015228; mean 1.020426, deviation 0.005207, half
        // width 4.3027 x 0.005207 / sqrt(3) = 0.012934.
        assert!(text.contains("wheel factor 1.0204, 95 % interval 1.0075 to 1.0334"), "{text}");
        assert!(text.contains("deviation 0.0052, largest to smallest 1.0 %"), "{text}");
        assert!(text.contains("[speed]\nwheel_factor = 1.0204 # was 1\n"), "{text}");
        let one = report(10.0, &[9.8], 1.1).unwrap();
        assert!(one.contains("one run") && one.contains("# was 1.1"), "{one}");
        assert!(!one.contains("interval") && !one.contains("doubtful"), "{one}");
        assert!(report(10.0, &[7.0], 1.0).unwrap().contains("doubtful"));
    }

    #[test]
    fn runs_that_disagree_are_refused() {
        assert_eq!(wheel_factor(10.0, &[]), Err(NoFactor::NoRun));
        assert!(wheel_factor(10.0, &[10.0, 10.29]).is_ok());
        let no = wheel_factor(10.0, &[10.0, 10.35, 10.1]).unwrap_err();
        assert!(matches!(no, NoFactor::Disagree(..)));
        assert!(no.to_string().starts_with("the runs disagree by 3.4 %"), "{no}");
    }

    /// What is written is what the machine file takes.
    #[test]
    fn the_line_is_one_of_the_machine_file() {
        use underbrush_protocol::settings::Machine;
        let text = report(10.0, &[9.8, 9.75], 1.0).unwrap();
        let (_, lines) = text.split_once("machine file:\n\n").unwrap();
        let file = include_str!("../../tests/data/machine.toml").to_owned() + "\n" + lines;
        let machine = Machine::parse("machine.toml", &file).unwrap();
        assert!((machine.speed.wheel_factor - 1.023).abs() < 1e-9);
    }
}
