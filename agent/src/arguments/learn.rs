//! Arguments of the command `learn`.

use std::ops::RangeInclusive;
use std::path::PathBuf;
use underbrush_agent::config::{ADAPTER_BITRATES, CanAdapter};
use underbrush_agent::learn::{Heard, KnownCurrent, KnownSpeed, LearnOptions};
use underbrush_protocol::settings::parse_quantity;

const BAUDS: RangeInclusive<u32> = 50..=20_000_000;
const USUAL_BAUD: u32 = 115_200;
/// Shorter ones nobody can follow.
const PROMPT_S: RangeInclusive<f64> = 5.0..=120.0;

/// What was given after `learn`.
#[derive(Default)]
pub(super) struct LearnArguments {
    heard: Option<Heard>,
    prompts: Option<PathBuf>,
    machine: Option<PathBuf>,
    out: Option<PathBuf>,
    rounds: Option<usize>,
    prompt_s: Option<f64>,
    port: Option<String>,
    baud: Option<u32>,
    bitrate: Option<u32>,
    known: Vec<KnownSpeed>,
    currents: Vec<KnownCurrent>,
}

impl LearnArguments {
    pub(super) fn take(
        &mut self,
        name: &str,
        value: std::ffi::OsString,
    ) -> Result<(), lexopt::Error> {
        let text = value.to_string_lossy().into_owned();
        match name {
            "capture" => self.heard = Some(Heard::Capture(value.into())),
            "interface" => self.heard = Some(Heard::Interface(text)),
            "port" => self.port = Some(text),
            "baud" => {
                let baud = text.parse().ok().filter(|baud| BAUDS.contains(baud));
                self.baud = Some(baud.ok_or("--baud takes 50 to 20000000 bits a second")?);
            }
            "bitrate" => {
                let rate = text.parse().ok().filter(|rate| ADAPTER_BITRATES.contains(rate));
                let all = ADAPTER_BITRATES.map(|rate| rate.to_string()).join(", ");
                self.bitrate = Some(rate.ok_or(format!("--bitrate takes {all}"))?);
            }
            "seconds-per-prompt" => {
                let seconds = text.parse().ok().filter(|s: &f64| PROMPT_S.contains(s));
                self.prompt_s = Some(seconds.ok_or("--seconds-per-prompt takes 5 to 120")?);
            }
            "prompts" => self.prompts = Some(value.into()),
            "machine" => self.machine = Some(value.into()),
            "out" => self.out = Some(value.into()),
            "rounds" => {
                let rounds = text.parse().ok().filter(|n| (1..=10).contains(n));
                self.rounds = Some(rounds.ok_or("--rounds takes a number from 1 to 10")?);
            }
            "speed-at" => self.known.push(known_speed(&text)?),
            "current-at" => self.currents.push(known_current(&text)?),
            _ => return Err(format!("`learn` has no option `--{name}`").into()),
        }
        Ok(())
    }

    pub(super) fn options(self) -> Result<LearnOptions, lexopt::Error> {
        let heard = match (self.heard, self.port, self.bitrate) {
            (Some(heard), None, None) => heard,
            (None, Some(port), Some(bitrate)) => Heard::Adapter(CanAdapter {
                port,
                baud: self.baud.unwrap_or(USUAL_BAUD),
                bitrate,
                listen_only: true,
                timestamps: false,
            }),
            (None, Some(_), None) => {
                return Err("--port needs the bit rate of the bus: `--bitrate 250000`".into());
            }
            (None, None, _) => {
                return Err("say what to learn from: `--capture`, `--interface` or `--port`".into());
            }
            _ => return Err("--capture, --interface and --port: give one of them".into()),
        };
        let live = !matches!(heard, Heard::Capture(_));
        if self.baud.is_some() && !matches!(heard, Heard::Adapter(_)) {
            return Err("--baud goes with --port".into());
        }
        if self.prompts.is_some() && live {
            return Err("--prompts goes with --capture: a live session asks by itself".into());
        }
        if (self.prompt_s.is_some() || self.rounds.is_some()) && !live {
            return Err(
                "--rounds and --seconds-per-prompt go with --interface or --port: nobody is asked \
                 anything in a capture"
                    .into(),
            );
        }
        Ok(LearnOptions {
            heard,
            prompts: self.prompts,
            known: self.known,
            currents: self.currents,
            machine: self.machine,
            out: self.out.unwrap_or_else(|| "learnt".into()),
            rounds: self.rounds.unwrap_or(1),
            prompt_s: self.prompt_s,
        })
    }
}

fn known_speed(text: &str) -> Result<KnownSpeed, String> {
    const SPEEDS: [(&str, f64); 3] = [("m/s", 1.0), ("mph", 0.447_04), ("km/h", 1.0 / 3.6)];
    let says = "--speed-at is a time and a speed: '65 s=2.5 mph'";
    let (at_s, speed_m_s) = noted(text, &SPEEDS, says)?;
    Ok(KnownSpeed { at_s, speed_m_s })
}

fn known_current(text: &str) -> Result<KnownCurrent, String> {
    let says = "--current-at is a time and a current: '120 s=38.5 A'";
    let (at_s, current_a) = noted(text, &[("A", 1.0)], says)?;
    Ok(KnownCurrent { at_s, current_a })
}

/// A time in s, and what was read then; `says` how that is written.
fn noted(text: &str, units: &[(&str, f64)], says: &str) -> Result<(f64, f64), String> {
    let (at, value) = text.split_once('=').ok_or(says)?;
    let read = |text, units: &[(&str, f64)]| parse_quantity(text, units).map_err(|e| e.to_string());
    Ok((read(at, &[("s", 1.0), ("min", 60.0)])?, read(value, units)?))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(words: &[&str]) -> Result<LearnOptions, String> {
        let mut learn = LearnArguments::default();
        for pair in words.chunks(2) {
            learn.take(pair[0], pair[1].into()).map_err(|e| e.to_string())?;
        }
        learn.options().map_err(|e| e.to_string())
    }

    #[test]
    fn one_thing_to_listen_to() {
        let port = ["port", "/dev/ttyACM0", "bitrate", "250000"];
        let Heard::Adapter(adapter) = read(&port).unwrap().heard else { panic!() };
        assert!(adapter.listen_only && adapter.bitrate == 250_000);
        assert_eq!((adapter.port.as_str(), adapter.baud), ("/dev/ttyACM0", USUAL_BAUD));
        let each = read(&["interface", "can0", "seconds-per-prompt", "12"]).unwrap();
        assert_eq!(each.prompt_s, Some(12.0));
        let clamp = read(&["capture", "a.log", "current-at", "2 min=38.5 A"]).unwrap();
        assert_eq!(clamp.currents, [KnownCurrent { at_s: 120.0, current_a: 38.5 }]);
        let needs = "learn from: `--capture`, `--interface` or `--port`";
        for (wrong, told) in [
            (&["capture", "a.log", "current-at", "38.5 A"][..], "'120 s=38.5 A'"),
            (&["capture", "a.log", "speed-at", "2.5 mph"], "'65 s=2.5 mph'"),
            (&port[..2], "needs the bit rate"),
            (&port[2..], needs),
            (&["port", "/dev/ttyACM0", "bitrate", "250"], "--bitrate takes 10000, "),
            (&["port", "p", "bitrate", "250000", "capture", "a.log"], "give one of them"),
            (&["port", "p", "bitrate", "250000", "baud", "1"], "--baud takes 50 to 20000000"),
            (&["interface", "can0", "baud", "115200"], "--baud goes with --port"),
            (&["interface", "can0", "prompts", "a.toml"], "--prompts goes with --capture"),
            (&["interface", "can0", "seconds-per-prompt", "4"], "takes 5 to 120"),
            (&["interface", "can0", "seconds-per-prompt", "NaN"], "takes 5 to 120"),
            (&["interface", "can0", "rounds", "0"], "a number from 1 to 10"),
            (&["interface", "can0", "rounds", "11"], "a number from 1 to 10"),
            (&["capture", "a.log", "seconds-per-prompt", "10"], "nobody is asked"),
            (&["capture", "a.log", "rounds", "2"], "nobody is asked"),
            (&["capture", "a.log", "bus", "can0"], "no option `--bus`"),
            (&[], needs),
        ] {
            let error = read(wrong).unwrap_err();
            assert!(error.contains(told), "{wrong:?}: {error}");
        }
    }
}
