//! A brush motor's current against a clamp meter, in words.

use super::interval::t_975;
use super::line::{Line, NoLine, Pair, line};
use std::fmt::Write as _;
use underbrush_protocol::channel::Channel;
use underbrush_protocol::settings::machine::Machine;

/// A factor further from 1 than this is told as doubtful.
const DOUBTFUL: f64 = 1.25;

/// What the pairs of `motor`, counted from 1, come to. With a machine file, its present
/// factor and offset are taken in.
pub fn current_report(
    motor: usize,
    pairs: &[Pair],
    machine: Option<&Machine>,
) -> Result<String, NoLine> {
    let found = line(pairs)?;
    let mut text = format!("current of brush motor {motor}, {} of readings\n\n", pairs_of(pairs));
    let _ = writeln!(text, "{:>12} {:>12} {:>14}", "agent, A", "clamp, A", "off line, A");
    for (pair, residual) in pairs.iter().zip(&found.residuals) {
        // No "-0.00".
        let residual = if residual.abs() < 0.005 { 0.0 } else { *residual };
        let _ = writeln!(text, "{:>12.2} {:>12.2} {residual:>+14.2}", pair.read, pair.shown);
    }
    say_line(&mut text, &found, pairs.len());
    say_machine_file(&mut text, &found, motor, machine);
    Ok(text)
}

fn pairs_of(pairs: &[Pair]) -> String {
    match pairs.len() {
        1 => "1 pair".to_owned(),
        count => format!("{count} pairs"),
    }
}

fn say_line(text: &mut String, found: &Line, pairs: usize) {
    match (found.errors, pairs) {
        (Some(errors), _) => {
            let half = errors.factor * t_975(pairs.saturating_sub(2)).unwrap_or(f64::INFINITY);
            let _ = writeln!(
                text,
                "\nfactor {:.4}, standard error {:.4}, 95 % interval {:.4} to {:.4}\noffset {:+.3} A, standard error {:.3} A\n\
                 the pairs lie {:.2} A (standard deviation) off the line",
                found.factor,
                errors.factor,
                found.factor - half,
                found.factor + half,
                found.offset,
                errors.offset,
                errors.residual
            );
            if found.offset.abs() < 2.0 * errors.offset {
                text.push_str("the offset is less than two standard errors: it may as well be 0\n");
            }
        }
        (None, 1) => {
            let _ = writeln!(
                text,
                "\nfactor {:.4}\none pair gives the factor only: the offset is taken as 0, and \
                 nothing says how sure this is. Three pairs or more at different loads do.",
                found.factor
            );
        }
        (None, _) => {
            let _ = writeln!(
                text,
                "\nfactor {:.4}\noffset {:+.3} A\ntwo pairs make an exact line: nothing says how \
                 sure it is. A third pair at another load does.",
                found.factor, found.offset
            );
        }
    }
    if found.factor > DOUBTFUL || found.factor < 1.0 / DOUBTFUL {
        text.push_str(
            "doubtful: sensors are seldom that far off. Was the clamp at zero before, around one \
             lead of this motor only, and set to direct current?\n",
        );
    }
}

fn say_machine_file(text: &mut String, found: &Line, motor: usize, machine: Option<&Machine>) {
    let (factor, offset) = (found.factor, found.offset);
    let channel = motor.checked_sub(1).and_then(Channel::brush_current).map_or("", Channel::name);
    let Some(machine) = machine else {
        let _ = writeln!(
            text,
            "\nmachine with CAN signals: in the [[signal]] table with channel = \"{channel}\" write\n  \
             factor = its present factor (1 if not given) x {factor:.6}\n  \
             offset = its present offset (0 if not given) x {factor:.6} {offset:+.6}\n\
             with --config FILE both are worked out."
        );
        say_bridge(text);
        return;
    };
    let maps: Vec<_> = machine.signals.iter().filter(|map| map.channel == channel).collect();
    if maps.is_empty() {
        let _ = writeln!(text, "\nthe machine file has no [[signal]] table for {channel}.");
        say_bridge(text);
    }
    for map in maps {
        let _ = writeln!(
            text,
            "\nwrite into the machine file:\n\n[[signal]]\nchannel = \"{channel}\"\n\
             message = \"{}\"\nsignal = \"{}\"\nfactor = {:.6} # was {}\noffset = {:.6} # was {}",
            map.message,
            map.signal,
            map.factor * factor,
            map.factor,
            map.offset * factor + offset,
            map.offset
        );
    }
}

fn say_bridge(text: &mut String) {
    text.push_str(
        "machine with a bridge: the machine file has no place for this. The bridge sends amperes: \
         set its own scale by the factor and the offset.\n",
    );
}

#[cfg(test)]
mod tests {
    use super::*;

    const MACHINE: &str = include_str!("../../tests/data/machine.toml");
    const PAIRS: [Pair; 3] = [
        Pair { read: 10.0, shown: 12.0 },
        Pair { read: 20.0, shown: 21.0 },
        Pair { read: 30.0, shown: 33.0 },
    ];

    #[test]
    fn the_present_factor_and_offset_are_taken_in() {
        let signal = "signal = \"BrushCurrentRight\"";
        let given = MACHINE.replace(signal, &format!("{signal}\nfactor = 2.0\noffset = -4.0"));
        let machine = Machine::parse("machine.toml", &given).unwrap();
        let text = current_report(2, &PAIRS, Some(&machine)).unwrap();
        // 1.05 x (2 v - 4) + 1 = 2.1 v - 3.2, the line itself being that of `line`'s test.
        assert!(text.contains("factor = 2.100000 # was 2\noffset = -3.200000 # was -4"), "{text}");
        let written = format!("{signal}\nfactor = 2.1\noffset = -3.2");
        Machine::parse("machine.toml", &MACHINE.replace(signal, &written)).unwrap();
    }

    #[test]
    fn what_is_not_known_is_said() {
        let three = current_report(1, &PAIRS, None).unwrap();
        assert!(three.contains("standard error 0.0866"), "{three}");
        // By SciPy 1.17.1: `tests/reference/learn_line.py`.
        assert!(three.contains("95 % interval -0.0504 to 2.1504"), "{three}");
        assert!(three.contains("may as well be 0"), "{three}");
        let two = current_report(1, &PAIRS[..2], None).unwrap();
        assert!(two.contains("exact line") && !two.contains("standard error"), "{two}");
        let one = current_report(1, &PAIRS[..1], None).unwrap();
        assert!(one.contains("factor only"), "{one}");
        let machine = Machine::parse("machine.toml", MACHINE).unwrap();
        let bridge = current_report(3, &PAIRS, Some(&machine)).unwrap();
        assert!(bridge.contains("no place for this"), "{bridge}");
        let far = [Pair { read: 10.0, shown: 20.0 }];
        assert!(current_report(1, &far, None).unwrap().contains("doubtful"));
    }
}
