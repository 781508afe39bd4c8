//! What the checks of CAN decoding by other people's programs need of the workspace.
//!
//! ```text
//! can_kit decode < ASKED      values of signals: one line for each line asked
//! can_kit long < FRAMES       long messages of SAE J1939, one line each, and their counts
//! can_kit pdo MACHINE < FRAMES   objects of PDOs, `name=value` each, one line for each frame
//! can_kit adapter < BYTES     what a CAN adapter said, one line each
//! can_kit bench DBC FRAMES    times the decoder: seconds, signals, sums of all values
//!                             and of those of every tenth frame
//! ```
//! ASKED has `file PATH` (answers `refused WHY` or nothing, `unread LINE WHAT` or `remark LINE WHAT` for each,
//! `whole yes` if the crate can-dbc reads the file in one piece, `no` if not), `message NAME`, and payloads in hex digits, `-` for none (answer
//! `values` and a number for each signal of the message in file order, `-` not selected,
//! `short`, `none` not available, `code` error indicator). FRAMES has a line `ID HEX` each, 29-bit identifiers
//! with bit 31. For `long` it is `TIME_US ID HEX`, all of 29 bits, or `group ID`.

use std::error::Error;
use std::fmt::Write as _;
use std::fs;
use std::hint::black_box;
use std::io::{self, BufRead, BufWriter, Read, Write};
use std::path::Path;
use std::process::ExitCode;
use std::time::Instant;
use underbrush_agent::decode::dbc::{Database, Decoder, Message, Value};
use underbrush_agent::decode::long::Assembler;
use underbrush_agent::decode::{CanFrame, CanId, canopen};
use underbrush_agent::source::adapter::{AdapterReader, AdapterSaid};
use underbrush_protocol::settings::Machine;

type Done = Result<(), Box<dyn Error>>;

fn main() -> ExitCode {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let args: Vec<&str> = args.iter().map(String::as_str).collect();
    let done = match args[..] {
        ["decode"] => decode(),
        ["long"] => long(),
        ["pdo", machine] => pdo(machine.as_ref()),
        ["adapter"] => adapter(),
        ["bench", dbc, frames] => bench(dbc, frames),
        _ => Err("usage: see the head of can_kit.rs".into()),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("can_kit: {error}");
            ExitCode::from(2)
        }
    }
}

/// The message that is asked about, in a database of its own: two may share an identifier.
struct Asked {
    message: Message,
    decoder: Decoder,
}

fn decode() -> Done {
    let mut out = BufWriter::new(io::stdout().lock());
    let mut database = Database::default();
    let mut asked: Option<Asked> = None;
    let mut found = Vec::new();
    for line in io::stdin().lock().lines() {
        let line = line?;
        match line.split_once(' ') {
            Some(("file", path)) => {
                asked = None;
                database = match Database::parse(&fs::read(path)?) {
                    Ok(database) => database,
                    Err(why) => {
                        writeln!(out, "refused {why}")?;
                        Database::default()
                    }
                };
                for remark in &database.remarks {
                    let kind = if remark.lost { "unread" } else { "remark" };
                    writeln!(out, "{kind} {} {}", remark.line, remark.what)?;
                }
                let text = String::from_utf8_lossy(&fs::read(path)?).into_owned();
                let whole = can_dbc::Dbc::try_from(text.as_str()).is_ok();
                writeln!(out, "whole {}", if whole { "yes" } else { "no" })?;
            }
            Some(("message", name)) => {
                asked = database.message(name).map(|message| {
                    let message = message.clone();
                    let messages = vec![message.clone()];
                    let decoder = Database { messages, remarks: Vec::new() }.decoder();
                    Asked { message, decoder }
                });
                let signals = asked.as_ref().map(|asked| asked.message.signals.iter());
                let names: Vec<&str> = signals.into_iter().flatten().map(|s| &*s.name).collect();
                writeln!(out, "message {}", names.join(" "))?;
            }
            _ => match &asked {
                Some(asked) => writeln!(out, "values{}", values(asked, &line, &mut found)?)?,
                None => writeln!(out, "values")?,
            },
        }
    }
    out.flush()?;
    Ok(())
}

/// Both decoders must say the same; the fast one's answer is printed.
fn values(
    asked: &Asked,
    payload: &str,
    found: &mut Vec<(usize, usize, Value)>,
) -> Result<String, Box<dyn Error>> {
    let data = bytes(payload.trim_start_matches('-'))?;
    found.clear();
    asked.decoder.decode(asked.message.id, &data, found);
    let mut text = String::new();
    let mut carried = found.iter().peekable();
    for place in 0..asked.message.signals.len() {
        let fast = carried.next_if(|(_, signal, _)| *signal == place);
        let fast = fast.map_or(Value::NotSelected, |(_, _, value)| *value);
        let plain = asked.message.value(place, &data);
        let same = match (fast, plain) {
            (Value::Is(fast), Value::Is(plain)) => fast.to_bits() == plain.to_bits(),
            _ => fast == plain,
        };
        if !same {
            let name = &asked.message.signals[place].name;
            return Err(format!("{name} of {payload}: {fast:?} and {plain:?}").into());
        }
        match fast {
            Value::Is(value) => write!(text, " {value:?}")?,
            Value::NotSelected => text.push_str(" -"),
            Value::NotAvailable => text.push_str(" none"),
            Value::Indicator => text.push_str(" code"),
            Value::TooShort => text.push_str(" short"),
        }
    }
    Ok(text)
}

fn bytes(hex: &str) -> Result<Vec<u8>, Box<dyn Error>> {
    (0..hex.len() / 2)
        .map(|at| Ok(u8::from_str_radix(hex.get(2 * at..2 * at + 2).ok_or("not hex")?, 16)?))
        .collect()
}

fn long() -> Done {
    let mut assembler = Assembler::default();
    for line in io::stdin().lock().lines() {
        let line = line?;
        let words: Vec<&str> = line.split_whitespace().collect();
        match words[..] {
            ["group", id] => {
                println!("group {}", CanId::Extended(id.parse()?).pgn().ok_or("no group")?);
            }
            [at_us, id, hex] => {
                let (id, data) = (CanId::Extended(id.parse()?), bytes(hex)?);
                if let Some(m) = assembler.push(at_us.parse()?, id, &data) {
                    print!("long {} {} {} ", m.pgn, m.source, m.destination);
                    for byte in m.data {
                        print!("{byte:02x}");
                    }
                    println!();
                }
            }
            _ => {}
        }
    }
    println!("{:?}", assembler.counts());
    Ok(())
}

/// The machine file's PDOs, those of EDS files too.
fn pdo(file: &Path) -> Done {
    let text = fs::read_to_string(file)?;
    let mut machine = Machine::parse(&file.display().to_string(), &text)?;
    canopen::read_eds_files(&mut machine, file, &text)?;
    let messages = machine.pdos.iter().map(canopen::pdo_message).collect::<Result<Vec<_>, _>>()?;
    for line in io::stdin().lock().lines() {
        let line = line?;
        let (id, hex) = line.split_once(' ').ok_or("no frame")?;
        let (id, data) = (CanId::Standard(id.parse()?), bytes(hex)?);
        let message = messages.iter().find(|message| message.id == id);
        let message = message.ok_or_else(|| format!("no PDO {id:?}"))?;
        let values = message.signals.iter().enumerate().map(|(place, signal)| {
            match message.value(place, &data) {
                Value::Is(value) => format!("{}={value:?}", signal.name),
                other => format!("{}={other:?}", signal.name),
            }
        });
        println!("{}", values.collect::<Vec<_>>().join(" "));
    }
    Ok(())
}

fn adapter() -> Done {
    let mut bytes = Vec::new();
    io::stdin().lock().read_to_end(&mut bytes)?;
    AdapterReader::default().push(&bytes, &mut |said| match said {
        AdapterSaid::Frame { frame: CanFrame::Data { id, data }, stamp_ms } => {
            let id = match id {
                CanId::Standard(id) => format!("{id:03X}"),
                CanId::Extended(id) => format!("{id:08X}"),
            };
            let hex = data.iter().fold(String::new(), |hex, byte| hex + &format!("{byte:02X}"));
            println!("data {id} {hex}- {stamp_ms:?}");
        }
        AdapterSaid::Frame { .. } => println!("remote"),
        other => println!("{other:?}"),
    });
    Ok(())
}

/// Best of five. The sum of all values shows that the peer decoded the same.
fn bench(dbc: &str, frames: &str) -> Done {
    let database = Database::parse(&fs::read(dbc)?)?;
    let mut all = Vec::new();
    for line in fs::read_to_string(frames)?.lines() {
        let (id, hex) = line.split_once(' ').ok_or("no frame")?;
        let id: u32 = id.parse()?;
        let id = match u16::try_from(id) {
            Ok(id) if id <= 0x7FF => CanId::Standard(id),
            _ => CanId::Extended(id & 0x1FFF_FFFF),
        };
        all.push((id, bytes(hex)?));
    }
    let decoder = database.decoder();
    let mut out = Vec::new();
    let (mut best_s, mut signals, mut sum) = (f64::INFINITY, 0, 0.0);
    let mut tenth = 0.0;
    for (id, data) in all.iter().step_by(10) {
        out.clear();
        decoder.decode(*id, data, &mut out);
        let values = out.iter().map(|(_, _, v)| if let Value::Is(v) = v { *v } else { 0.0 });
        tenth += values.sum::<f64>();
    }
    for _ in 0..5 {
        (signals, sum) = (0, 0.0);
        let start = Instant::now();
        for (id, data) in &all {
            out.clear();
            decoder.decode(*id, data, &mut out);
            for (_, _, value) in black_box(&out) {
                if let Value::Is(value) = value {
                    signals += 1;
                    sum += value;
                }
            }
        }
        best_s = best_s.min(start.elapsed().as_secs_f64());
    }
    println!("seconds {best_s}\nsignals {signals}\nsum {sum:?}\ntenth {tenth:?}");
    Ok(())
}
