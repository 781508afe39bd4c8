//! What an offload came to, for a person and as an exit code.

use std::fmt;

/// What was done and what was not.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Offload {
    /// Archives copied and verified.
    pub copied: u32,
    /// Their bytes.
    pub copied_bytes: u64,
    /// Archives that were there already.
    pub already: u32,
    /// Of these, how many were read again and compared.
    pub reread: u32,
    /// Journals that are still written or wait to be sealed, copied as they are.
    pub snapshots: u32,
    /// Copies of journals removed at the destination: their archive is there.
    pub snapshots_removed: u32,
    /// Leavings of an interrupted copy that were removed.
    pub cleaned: u32,
    /// Copies newly written to the machine's list.
    pub confirmed: u32,
    /// Archives that are damaged on the machine; copied all the same.
    pub damaged: Vec<String>,
    /// Archives that another file of the same name is in the way of, and where they are.
    pub conflicts: Vec<(String, String)>,
    /// What was not copied, and why.
    pub left: Vec<(String, String)>,
    /// What else a person should know.
    pub remarks: Vec<String>,
    /// Why it ended early.
    pub stopped: Option<Stop>,
}

/// Why an offload ended early.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Stop {
    /// The destination is full.
    Full,
    /// The destination failed again and again.
    Failed(String),
}

impl Offload {
    /// 0 whole, 2 the destination failed, 3 something is left or damaged.
    pub fn exit_code(&self) -> u8 {
        let lists = [self.left.len(), self.damaged.len(), self.conflicts.len(), self.remarks.len()];
        match &self.stopped {
            Some(Stop::Failed(_)) => 2,
            Some(Stop::Full) => 3,
            None if lists.iter().any(|len| *len > 0) => 3,
            None => 0,
        }
    }
}

/// Lines for one kind of trouble; beyond this they are counted only.
const LINES: usize = 20;

impl fmt::Display for Offload {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let counts = [
            ("archives copied", self.copied),
            ("already there", self.already),
            ("  of these read again", self.reread),
            ("open journals copied", self.snapshots),
            ("journals replaced by archives", self.snapshots_removed),
            ("leavings removed", self.cleaned),
        ];
        for (number, (what, count)) in counts.into_iter().enumerate() {
            if number < 2 || count > 0 {
                writeln!(f, "{what:<30}{count}")?;
            }
        }
        writeln!(f, "{:<30}{}", "bytes copied", self.copied_bytes)?;
        let mut troubles: Vec<String> = Vec::new();
        let damaged = |name| format!("{name}: damaged on the machine; copied as it is");
        troubles.extend(self.damaged.iter().map(damaged));
        troubles.extend(self.conflicts.iter().map(|(name, ours)| {
            format!("{name}: another file of this name is there; the machine's is {ours}")
        }));
        troubles.extend(self.left.iter().map(|(name, why)| format!("{name}: not copied: {why}")));
        troubles.extend(self.remarks.iter().cloned());
        for line in troubles.iter().take(LINES) {
            writeln!(f, "{line}")?;
        }
        if troubles.len() > LINES {
            writeln!(f, "and {} more lines like these", troubles.len() - LINES)?;
        }
        match &self.stopped {
            Some(Stop::Failed(why)) => writeln!(
                f,
                "stopped: the destination fails: {why}\nWhat was copied before is whole. \
                 Put the stick in again, or take another one, and start again."
            ),
            Some(Stop::Full) => writeln!(
                f,
                "stopped: the destination is full. What was copied is whole. Make room or \
                 take another stick, and start again.\nsafe to pull the stick now"
            ),
            None => writeln!(f, "safe to pull the stick now"),
        }
    }
}
