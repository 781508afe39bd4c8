//! Arguments of the commands at the machine: `calibrate` and `check`.

use super::USUAL_CONFIG;
use std::path::PathBuf;
use underbrush_agent::calibrate::{Calibration, LEAST_M, MOST_M, MOST_RUNS, Pair};
use underbrush_agent::check::{CheckOptions, USUAL_MS};
use underbrush_protocol::settings::parse_quantity;

const MOTORS: usize = 4;
const USUAL_RUNS: usize = 3;
const LONGEST_MS: f64 = 3_600_000.0;

/// What was given after `calibrate`.
#[derive(Default)]
pub(super) struct CalibrateArguments {
    what: Option<String>,
    motor: Option<usize>,
    pairs: Vec<Pair>,
    distance_m: Option<f64>,
    runs: Option<usize>,
}

impl CalibrateArguments {
    /// The word behind the command: whether it is taken.
    pub(super) fn word(&mut self, word: &str) -> bool {
        let known = self.what.is_none() && matches!(word, "current" | "wheel");
        if known {
            self.what = Some(word.to_owned());
        }
        known
    }

    pub(super) fn take(
        &mut self,
        name: &str,
        value: &std::ffi::OsStr,
    ) -> Result<(), lexopt::Error> {
        let text = value.to_string_lossy().into_owned();
        match (self.what.as_deref(), name) {
            (Some("current"), "motor") => {
                let motor = text.parse().ok().filter(|m| (1..=MOTORS).contains(m));
                self.motor = Some(motor.ok_or("--motor takes a number from 1 to 4")?);
            }
            (Some("wheel"), "distance") => self.distance_m = Some(distance(&text)?),
            (Some("wheel"), "runs") => {
                let runs = text.parse().ok().filter(|n| (1..=MOST_RUNS).contains(n));
                self.runs = Some(runs.ok_or("--runs takes a number from 1 to 10")?);
            }
            (Some("current"), "pair") => self.pairs.push(pair(&text)?),
            _ => return Err(format!("`calibrate` has no option `--{name}` here").into()),
        }
        Ok(())
    }

    pub(super) fn done(self, config: Option<PathBuf>) -> Result<Calibration, lexopt::Error> {
        match self.what.as_deref() {
            Some("current") => {
                let motor = self.motor.ok_or("say which motor: `--motor 1`")?;
                if self.pairs.is_empty() {
                    return Err(
                        "give what agent and clamp meter show: `--pair \"37.2=38.5\"`".into()
                    );
                }
                Ok(Calibration::Current { motor, pairs: self.pairs, config })
            }
            Some("wheel") => {
                let distance_m =
                    self.distance_m.ok_or("say how far it is driven: `--distance \"10 m\"`")?;
                let runs = self.runs.unwrap_or(USUAL_RUNS);
                let config = config.unwrap_or_else(|| USUAL_CONFIG.into());
                Ok(Calibration::Wheel { distance_m, runs, config })
            }
            _ => Err("say what to calibrate: `calibrate current` or `calibrate wheel`".into()),
        }
    }
}

fn pair(text: &str) -> Result<Pair, String> {
    let wrong = || format!("--pair `{text}`: write agent's and clamp's amperes like \"37.2=38.5\"");
    let (read, shown) = text.split_once('=').ok_or_else(wrong)?;
    let number = |text: &str| -> Option<f64> {
        let text = text.trim();
        let text = text.strip_suffix('A').unwrap_or(text).trim();
        text.parse().ok().filter(|n: &f64| n.is_finite())
    };
    let (read, shown) = (number(read).ok_or_else(wrong)?, number(shown).ok_or_else(wrong)?);
    Ok(Pair { read, shown })
}

fn distance(text: &str) -> Result<f64, String> {
    const UNITS: [(&str, f64); 3] = [("m", 1.0), ("ft", 0.304_8), ("yd", 0.914_4)];
    let distance_m = parse_quantity(text, &UNITS).map_err(|e| format!("--distance: {e}"))?;
    if !(LEAST_M..=MOST_M).contains(&distance_m) {
        return Err(format!("--distance `{text}`: must be {LEAST_M} m to {MOST_M} m"));
    }
    Ok(distance_m)
}

/// What was given after `check`.
#[derive(Default)]
pub(super) struct CheckArguments {
    pub(super) once: bool,
    pub(super) json: bool,
    for_ms: Option<u64>,
}

impl CheckArguments {
    pub(super) fn time(&mut self, value: &std::ffi::OsStr) -> Result<(), lexopt::Error> {
        const UNITS: [(&str, f64); 2] = [("s", 1e3), ("min", 6e4)];
        let ms = parse_quantity(&value.to_string_lossy(), &UNITS)
            .map_err(|error| format!("--for: {error}"))?;
        if !(1e3..=LONGEST_MS).contains(&ms) {
            return Err("--for takes 1 s to 60 min".into());
        }
        self.for_ms = Some(ms as u64);
        Ok(())
    }

    pub(super) fn done(self, config: PathBuf) -> CheckOptions {
        let Self { once, json, for_ms } = self;
        CheckOptions { config, once, json, for_ms: for_ms.unwrap_or(USUAL_MS) }
    }
}
