//! What was learnt as a DBC file and as a machine file.
//!
//! Both are drafts: they say so. The DBC file also holds the runners-up, so that a wrong guess is put right by
//! another name in the machine file.

use super::prompts::Quantity;
use super::{Candidate, Field, Learnt, motors};
use crate::decode::CanId;
use std::collections::BTreeMap;
use std::fmt::Write;

/// Below this score nothing is mapped.
const CONVINCING: f64 = 0.5;
/// Runners-up of each quantity in the DBC file.
const RUNNERS_UP: usize = 2;

/// One signal of the draft.
struct Drafted<'a> {
    name: String,
    /// The channel it feeds; `None` for a runner-up.
    channel: Option<String>,
    quantity: Quantity,
    candidate: &'a Candidate,
}

/// The DBC file. `brushes` is the number of brush motors.
pub fn dbc_draft(learnt: &Learnt, brushes: usize) -> String {
    let drafted = drafted(learnt, brushes);
    let mut messages: BTreeMap<(bool, u32), Vec<&Drafted<'_>>> = BTreeMap::new();
    for signal in &drafted {
        messages.entry(number(signal.candidate.id)).or_default().push(signal);
    }
    let mut text = String::from("VERSION \"\"\n\nNS_ :\n\nBS_:\n\nBU_: Learnt Recorder\n");
    let mut comments = String::new();
    for signals in messages.values() {
        let Some(first) = signals.first().map(|signal| signal.candidate) else { continue };
        let (extended, id) = number(first.id);
        let id = if extended { id | 0x8000_0000 } else { id };
        // Writing to a String cannot fail.
        let _ = writeln!(text, "\nBO_ {id} {}: {} Learnt", message(first.id), first.payload_len);
        let mut taken = signals.iter().fold(0, |mask, s| mask | s.candidate.field.mask());
        for signal in signals {
            let candidate = signal.candidate;
            let field = widened(candidate, taken & !candidate.field.mask());
            taken |= field.mask();
            let (least, most) = range(field, candidate);
            let _ = writeln!(
                text,
                " SG_ {} : {}|{}@{}{} ({},{}) [{least}|{most}] \"{}\" Recorder",
                signal.name,
                field.start,
                field.len,
                u8::from(!field.big_endian),
                if field.signed { '-' } else { '+' },
                candidate.scale.factor,
                candidate.scale.offset,
                unit(signal.quantity),
            );
            let _ = writeln!(
                comments,
                "CM_ SG_ {id} {} \"Draft: {}, score {:.2}{}\";",
                signal.name,
                signal.quantity.name(),
                candidate.score,
                factor_words(candidate)
            );
        }
    }
    text + "\n" + &comments
}

/// The machine file: `base` with its signals replaced, or a new one to be filled in.
pub fn machine_draft(learnt: &Learnt, brushes: usize, base: Option<&str>) -> String {
    let mut text = match base {
        Some(base) => without_signals(base),
        None => TEMPLATE.replace("{brushes}", &brushes.to_string()),
    };
    for signal in drafted(learnt, brushes) {
        let Some(channel) = &signal.channel else { continue };
        let _ = write!(
            text,
            "\n# {} of id {}, score {:.2}{}.\n[[signal]]\nchannel = \"{channel}\"\nmessage = \"{}\"\nsignal = \"{}\"\n",
            signal.candidate.field.place(),
            id_words(signal.candidate.id),
            signal.candidate.score,
            factor_words(signal.candidate),
            message(signal.candidate.id),
            signal.name,
        );
    }
    text
}

/// How sure the factor in the DBC file is.
fn factor_words(candidate: &Candidate) -> String {
    match (candidate.scale.interval, candidate.scale.known) {
        (Some(interval), _) => format!("; {}", interval.words()),
        (None, true) => String::new(),
        (None, false) => "; the factor is a guess: calibrate it".to_owned(),
    }
}

/// How people write an identifier.
pub(super) fn id_words(id: CanId) -> String {
    match id {
        CanId::Standard(id) => format!("{id:03X}"),
        CanId::Extended(id) => format!("{id:08X}"),
    }
}

fn message(id: CanId) -> String {
    format!("Id_{}", id_words(id))
}

fn number(id: CanId) -> (bool, u32) {
    match id {
        CanId::Standard(id) => (false, u32::from(id)),
        CanId::Extended(id) => (true, id),
    }
}

fn drafted(learnt: &Learnt, brushes: usize) -> Vec<Drafted<'_>> {
    let mut all: Vec<Drafted<'_>> = Vec::new();
    for (quantity, candidates) in &learnt.found {
        let (name, channel) = names(*quantity);
        let chosen = match quantity {
            Quantity::BrushCurrent => motors(candidates, brushes),
            _ => candidates.iter().take(1).collect(),
        };
        let chosen: Vec<_> = chosen.into_iter().filter(|c| c.score >= CONVINCING).collect();
        let others = candidates.iter().filter(|c| !chosen.iter().any(|d| std::ptr::eq(*c, *d)));
        for (i, candidate) in chosen.iter().enumerate() {
            let many = *quantity == Quantity::BrushCurrent;
            let numbered = |name: &str, gap: &str| {
                if many { format!("{name}{gap}{}", i + 1) } else { name.to_owned() }
            };
            all.push(Drafted {
                name: numbered(name, ""),
                channel: Some(numbered(channel, "_")),
                quantity: *quantity,
                candidate,
            });
        }
        for (i, candidate) in others.take(RUNNERS_UP).enumerate() {
            let name = format!("{name}Or{}", i + 1);
            all.push(Drafted { name, channel: None, quantity: *quantity, candidate });
        }
    }
    // No bit twice: readers of DBC files refuse that. What feeds a channel comes first.
    all.sort_by_key(|signal| signal.channel.is_none());
    let mut taken: BTreeMap<(bool, u32), u64> = BTreeMap::new();
    all.retain(|signal| {
        let mask = signal.candidate.field.mask();
        let taken = taken.entry(number(signal.candidate.id)).or_default();
        let free = *taken & mask == 0;
        *taken |= if free { mask } else { 0 };
        free
    });
    all
}

fn names(quantity: Quantity) -> (&'static str, &'static str) {
    match quantity {
        Quantity::Speed => ("Speed", "speed"),
        Quantity::BrushCurrent => ("BrushCurrent", "brush_current"),
        Quantity::BrushCommand => ("BrushesOn", "brush_command"),
        Quantity::HeadDown => ("HeadDown", "head_down"),
        Quantity::Pressure => ("DownPressure", "pressure_setting"),
        Quantity::Voltage => ("BatteryVoltage", "battery_voltage"),
    }
}

fn unit(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::Speed => "m/s",
        Quantity::BrushCurrent => "A",
        Quantity::Voltage => "V",
        Quantity::Pressure => "%",
        Quantity::BrushCommand | Quantity::HeadDown => "",
    }
}

/// The field with the bits above it that never were anything but 0, up to the end of their
/// byte, and of a second byte for more than 8 bits: a higher speed may need them.
fn widened(candidate: &Candidate, taken: u64) -> Field {
    let field = candidate.field;
    if field.signed || field.len < 3 {
        return field;
    }
    let used = candidate.moving | candidate.last | taken;
    let free = |bit: u8| bit < candidate.payload_len * 8 && used >> bit & 1 == 0;
    let wanted = if field.len <= 8 { 8 } else { field.len.next_multiple_of(16).min(32) };
    let mut wide = field;
    while wide.len < wanted {
        let (bit, next) = if wide.big_endian {
            let place = super::field::dbc_bit(wide.start);
            let Some(above) = place.checked_sub(1) else { break };
            (super::field::dbc_bit(above), Field::big(above, wide.len + 1))
        } else {
            let above = wide.start + wide.len;
            (above, Field::little(wide.start, wide.len + 1))
        };
        // A field of one byte stays in it.
        if !free(bit) || (field.len <= 8 && bit / 8 != wide.start / 8) {
            break;
        }
        wide = next;
    }
    wide
}

fn range(field: Field, candidate: &Candidate) -> (f64, f64) {
    let span = (1_u64 << field.len) as f64;
    let (low, high) =
        if field.signed { (-span / 2.0, span / 2.0 - 1.0) } else { (0.0, span - 1.0) };
    let value = |raw: f64| raw * candidate.scale.factor + candidate.scale.offset;
    (value(low), value(high))
}

/// The text of a machine file less its `[[signal]]` tables.
fn without_signals(text: &str) -> String {
    let mut kept = String::new();
    let mut inside = false;
    for line in text.lines() {
        let line_start = line.trim_start();
        if line_start.starts_with('[') {
            let name = line_start.trim_start_matches('[').split(']').next().unwrap_or("");
            inside = line_start.starts_with("[[") && name.trim() == "signal";
        }
        if !inside {
            kept += line;
            kept.push('\n');
        }
    }
    kept.truncate(kept.trim_end().len());
    kept + "\n"
}

/// Numbers of no machine; each has to be put right.
const TEMPLATE: &str = "\
# Draft of a machine file. The signals below were learnt from the bus; every other number is
# a placeholder: take it from the machine's manual and its motor plates.
id = \"machine-1\"
name = \"Machine 1\"

[deck]
brushes = {brushes}
path_width = \"28 in\"      # placeholder
contact_length = \"14 in\"  # placeholder

[motor]
torque_constant = \"0.12 N.m/A\" # placeholder
resistance = \"0.3 ohm\"         # placeholder
no_load_current = \"3 A\"        # placeholder
gear_ratio = 14.0              # placeholder
rated_current = \"30 A\"         # placeholder

[battery]
nominal_voltage = \"36 V\" # placeholder
";
