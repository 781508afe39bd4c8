//! Checks of machine and consumables that come round every few days.
//!
//! The list below is common practice, no published source; the machine's manual
//! comes first. A site file with `[[check]]` of its own replaces it as a whole,
//! `check = []` switches it off.

use super::Wrong;
use serde::Deserialize;

/// One check.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Check {
    /// Short id, unique on the site: the shift book answers by it.
    pub id: String,
    /// What to do, as people say it.
    pub name: String,
    /// Days from one to the next: 1 is every shift.
    pub every: u16,
}

/// The list where the site file has none.
pub(super) fn usual() -> Vec<Check> {
    [
        ("squeegee", "Squeegee blades wiped, turned or changed", 1),
        ("tank", "Recovery tank emptied and rinsed", 1),
        ("filter", "Vacuum filter and float cleaned", 1),
        ("battery", "Battery water level, plugs and cables looked at", 7),
    ]
    .into_iter()
    .map(|(id, name, every)| Check { id: id.to_owned(), name: name.to_owned(), every })
    .collect()
}

/// What is wrong with the list.
pub(super) fn faults(checks: &[Check]) -> Vec<Wrong> {
    let mut wrong = Vec::new();
    for (at, check) in checks.iter().enumerate() {
        let mut say = |key, message: String| wrong.push(Wrong::entry(key, at, message));
        if check.id.trim().is_empty() {
            say("check.id", format!("check number {} has an empty id", at + 1));
        } else if checks.iter().take(at).any(|other| other.id == check.id) {
            say("check.id", format!("check {} is given twice", check.id));
        }
        if check.every == 0 {
            say("check.every", "days: at least 1".to_owned());
        }
    }
    wrong
}
