//! Prints the frames of a recording, one a line: `us bus kind id data`, and counts at the end.
//! `tests/reference/captures.py` compares them with another reader.

use std::io::{BufWriter, Write, stdout};
use std::path::Path;
use std::process::ExitCode;
use underbrush_agent::decode::{CanFrame, CanId};
use underbrush_agent::source::capture::frames;

fn main() -> ExitCode {
    let Some(path) = std::env::args().nth(1) else {
        eprintln!("usage: capture_frames FILE");
        return ExitCode::from(1);
    };
    let mut out = BufWriter::new(stdout().lock());
    let counts = frames(Path::new(&path), |stamped| {
        // A closed reader changes nothing.
        let _ = write!(out, "{} {} ", stamped.at_us, stamped.bus);
        let _ = match stamped.frame {
            CanFrame::Data { id, data } => {
                let _ = match id {
                    CanId::Standard(id) => write!(out, "data {id:03X} "),
                    CanId::Extended(id) => write!(out, "data {id:08X} "),
                };
                for byte in data {
                    let _ = write!(out, "{byte:02X}");
                }
                writeln!(out)
            }
            CanFrame::Remote => writeln!(out, "remote"),
            CanFrame::Error => writeln!(out, "error"),
        };
        Ok(())
    });
    match counts {
        Ok(counts) => {
            let _ =
                writeln!(out, "counts {} {} {}", counts.frames, counts.damaged, counts.backward);
            for damage in &counts.damage {
                eprintln!("{}: {}", damage.place, damage.reason);
            }
            ExitCode::SUCCESS
        }
        Err(error) => {
            eprintln!("capture_frames: {error}");
            ExitCode::from(2)
        }
    }
}
