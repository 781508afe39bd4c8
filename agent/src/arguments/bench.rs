//! Arguments of the commands that set a machine right: `calibrate`.

use std::path::PathBuf;
use underbrush_agent::calibrate::{Calibration, Pair};

const MOTORS: usize = 4;

/// What was given after `calibrate`.
#[derive(Default)]
pub(super) struct CalibrateArguments {
    what: Option<String>,
    motor: Option<usize>,
    pairs: Vec<Pair>,
}

impl CalibrateArguments {
    /// The word behind the command: whether it is taken.
    pub(super) fn word(&mut self, word: &str) -> bool {
        let known = self.what.is_none() && word == "current";
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
            _ => Err("say what to calibrate: `calibrate current`".into()),
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
