//! Names of the files in a log directory: `boot-00000012.part-0001.journal`.

use std::fmt;

/// What a file of the log is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FileUse {
    /// The live file.
    Journal,
    /// The sealed file.
    Archive,
    /// A sealed file that is not whole yet.
    Unfinished,
    /// A journal in which nothing can be read, kept for whoever wants to look.
    Unread,
}

impl FileUse {
    const ALL: [Self; 4] = [Self::Journal, Self::Archive, Self::Unfinished, Self::Unread];

    fn ending(self) -> &'static str {
        match self {
            Self::Journal => ".journal",
            Self::Archive => ".archive",
            Self::Unfinished => ".archive.tmp",
            Self::Unread => ".journal.unread",
        }
    }
}

/// One file of the log. The names sort like the log: widths are fixed as far as
/// a board lives (99,999,999 starts, 9,999 parts); longer ones are read all the same.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct LogName {
    /// Start of the agent, from 1.
    pub boot: u32,
    /// Part of that boot, from 1.
    pub part: u32,
    /// What it is.
    pub kind: FileUse,
}

impl LogName {
    /// The same part in another use.
    #[must_use]
    pub fn with(self, kind: FileUse) -> Self {
        Self { kind, ..self }
    }

    /// Reads a name; `None` for a file that is not ours.
    pub fn parse(name: &str) -> Option<Self> {
        let rest = name.strip_prefix("boot-")?;
        let (boot, rest) = rest.split_once(".part-")?;
        let (part, _) = rest.split_once('.')?;
        let kind = FileUse::ALL.into_iter().find(|k| &rest[part.len()..] == k.ending())?;
        let parsed = Self { boot: boot.parse().ok()?, part: part.parse().ok()?, kind };
        // Signs, missing zeros and the like: not written by us.
        (parsed.to_string() == name).then_some(parsed)
    }
}

impl fmt::Display for LogName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "boot-{:08}.part-{:04}{}", self.boot, self.part, self.kind.ending())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn built_names_parse_and_others_do_not() {
        for (boot, part) in [(1, 1), (12, 34), (u32::MAX, 123_456)] {
            for kind in FileUse::ALL {
                let name = LogName { boot, part, kind };
                assert_eq!(LogName::parse(&name.to_string()), Some(name));
            }
        }
        let name = LogName { boot: 12, part: 1, kind: FileUse::Journal };
        assert_eq!(name.to_string(), "boot-00000012.part-0001.journal");
        for other in [
            "",
            "agent.lock",
            "boot-12.part-1.journal",
            "boot-+0000012.part-0001.journal",
            "boot-00000012.part-0001.journal.bak",
            "boot-00000012.part-0001",
            "boot-99999999999.part-0001.archive",
        ] {
            assert_eq!(LogName::parse(other), None, "{other}");
        }
    }
}
