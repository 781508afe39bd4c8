//! `underbrush verify`.

use super::{CliError, Outcome, say};
use crate::duration;
use crate::logset::{FileState, Hole, verify};
use std::path::Path;

pub(super) fn run(directory: &Path) -> Result<Outcome, CliError> {
    let files = verify(directory)?;
    for file in &files {
        say(&format!("{}\n", line(file)))?;
        for Hole { bytes: range, time } in &file.damaged {
            let time = time.map_or("time not known".to_owned(), |(from, to)| {
                format!("{from} to {to}, {}", duration::in_words(to.since(from)))
            });
            say(&format!("    bytes {} to {} damaged: {time}\n", range.start, range.end))?;
        }
    }
    let bad = files.iter().filter(|file| !file.is_whole()).count();
    say(&format!("{} files, {bad} of them damaged\n", files.len()))?;
    Ok(if bad == 0 { Outcome::Whole } else { Outcome::WithLoss })
}

fn line(file: &FileState) -> String {
    let name = file.path.file_name().unwrap_or_default().to_string_lossy();
    if let Some(why) = &file.unreadable {
        return format!("{name}: unreadable: {why}");
    }
    let state = if file.is_whole() { "whole" } else { "DAMAGED" };
    let span = file.span.map_or("no time".to_owned(), |(first, last)| {
        format!("{first} to {last}, {}", duration::in_words(last.since(first)))
    });
    let index = if file.index_missing { "; index missing, blocks found by searching" } else { "" };
    let torn = match file.torn_bytes {
        0 => String::new(),
        bytes => format!("; ends in {bytes} bytes cut by the power"),
    };
    let fine = match file.fine {
        0 => String::new(),
        count => format!(" ({count} at full rate)"),
    };
    format!("{name}: {state}: {} readings{fine}, {span}{index}{torn}", file.readings)
}
