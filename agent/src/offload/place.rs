//! Where the copies of a machine go: a folder of its own, with the list of what is in it.

use super::copy::UNFINISHED;
use crate::record::{FileUse, ListFile, Listed, LogName, PlainFiles};
use std::collections::BTreeMap;
use std::io;
use underbrush_protocol::checksum::log_crc;

/// The list of what is in the folder.
pub(super) const LIST: &str = "offload.list";
const LONGEST_NAME: usize = 40;

/// The machine's id as a name that every file system takes.
///
/// Plain ids stay as they are. Others get their checksum behind what can be kept, so that
/// two of them do not meet in one folder.
pub(super) fn folder_name(machine: &str) -> String {
    let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_');
    let kept: String =
        machine.chars().map(|c| if plain(c) { c } else { '_' }).take(LONGEST_NAME).collect();
    // Names that mean devices to other systems.
    let device = matches!(
        kept.to_ascii_uppercase().trim_end_matches(|c: char| c.is_ascii_digit()),
        "CON" | "PRN" | "AUX" | "NUL" | "COM" | "LPT"
    );
    if kept == machine && !device && !kept.is_empty() {
        kept
    } else {
        format!("{kept}-{:08x}", log_crc(&[machine.as_bytes()]))
    }
}

/// A machine's folder and what its list says.
pub(super) struct Place {
    /// The number by which the machine knows it.
    pub(super) number: u64,
    /// What is in it by its own list; not believed without a look.
    pub(super) listed: BTreeMap<LogName, Listed>,
    /// The list is to be written.
    pub(super) changed: bool,
    machine: String,
}

impl Place {
    /// Reads the list. The error is a message for a person.
    pub(super) fn read(
        files: &impl PlainFiles,
        machine: &str,
        fresh_number: u64,
    ) -> Result<Self, String> {
        let list = ListFile::read(files, LIST).map_err(|error| format!("{LIST}: {error}"))?;
        let remark = |key: &str| list.remarks.iter().find_map(|r| r.strip_prefix(key));
        // Two ids that differ in case only meet on a stick that does not know case.
        let machine = machine.escape_debug().to_string();
        if let Some(other) = remark("machine ").filter(|other| *other != machine) {
            return Err(format!(
                "this folder holds the log of machine `{other}`: take another stick for `{machine}`"
            ));
        }
        let number = remark("place ").and_then(|hex| u64::from_str_radix(hex, 16).ok());
        let listed = list.lines.iter().map(|line| (line.name, *line)).collect();
        let changed = number.is_none();
        Ok(Self { number: number.unwrap_or(fresh_number), listed, changed, machine })
    }

    pub(super) fn add(&mut self, line: Listed) {
        if self.listed.insert(line.name, line) != Some(line) {
            self.changed = true;
        }
    }

    /// Writes the list if it has changed.
    pub(super) fn write(&mut self, files: &impl PlainFiles) -> io::Result<()> {
        if self.changed {
            let remarks =
                vec![format!("machine {}", self.machine), format!("place {:016x}", self.number)];
            let lines = self.listed.values().copied().collect();
            ListFile { remarks, lines, bad_lines: 0 }.write(files, LIST)?;
            self.changed = false;
        }
        Ok(())
    }
}

/// Whether a name is of a file that an interrupted run left unfinished.
pub(super) fn is_leaving(name: &str) -> bool {
    name.strip_suffix(UNFINISHED).is_some_and(|name| {
        let stem = name.split_once(".conflict-").map_or(name, |(stem, _)| stem);
        name == LIST || LogName::parse(stem).is_some_and(|n| n.kind != FileUse::Unfinished)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn machines_get_folders_of_their_own() {
        assert_eq!(folder_name("S-7"), "S-7");
        let strange =
            ["", ".", "..", "a/b", "a_b/", "a:b", "con", "COM1", "Bürste 3", "S 7", "x\0y"];
        let long = ["x".repeat(64), "x".repeat(63)];
        let names: std::collections::BTreeSet<String> = strange
            .iter()
            .copied()
            .chain(long.iter().map(String::as_str))
            .map(folder_name)
            .collect();
        assert_eq!(names.len(), strange.len() + long.len(), "{names:?}");
        for name in &names {
            let fits = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_');
            assert!(name.chars().all(fits) && (9..=49).contains(&name.len()), "{name}");
        }
    }

    #[test]
    fn only_our_own_leavings_are_removed() {
        for ours in [
            "boot-00000001.part-0001.archive.part",
            "boot-00000001.part-0001.journal.part",
            "boot-00000001.part-0001.archive.conflict-0123abcd.part",
            "offload.list.part",
        ] {
            assert!(is_leaving(ours), "{ours}");
        }
        for other in ["film.part", "boot-00000001.part-0001.archive", "boot-1.part-1.archive.part"]
        {
            assert!(!is_leaving(other), "{other}");
        }
    }
}
