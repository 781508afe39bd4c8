//! The floor: sections, the groups they belong to, and surfaces that are never polished.

use super::Wrong;
use serde::Deserialize;
use std::collections::BTreeMap;
use underbrush_protocol::si::SquareMetres;

/// A piece of floor that is worked as one.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// Short id, unique on the site.
    pub id: String,
    /// What people call it.
    pub name: String,
    /// Floor area.
    pub area: SquareMetres,
    /// What the floor is.
    pub surface: String,
    /// `false`: never to be polished, by its own entry or by its surface.
    pub polish: bool,
    /// Number of the floor tag that the bridge reads.
    pub tag: Option<u64>,
    /// Id of its group.
    pub group: Option<String>,
    /// Days from one maintenance run to the next, where it differs from the group's.
    pub maintain_every: Option<u16>,
}

/// Sections that see the same traffic.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Group {
    /// Short id, unique on the site.
    pub id: String,
    /// What people call it.
    #[serde(default)]
    pub name: String,
    /// Days from one maintenance run to the next; else those of `[maintenance]`.
    #[serde(default)]
    pub maintain_every: Option<u16>,
    /// Days after which traffic has used up a restored floor; left out: never.
    #[serde(default)]
    pub refresh_after: Option<u16>,
}

/// `[[section]]` as written.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct SectionEntry {
    id: String,
    #[serde(default)]
    name: String,
    area: SquareMetres,
    #[serde(default)]
    surface: String,
    polish: Option<bool>,
    tag: Option<u64>,
    group: Option<String>,
    maintain_every: Option<u16>,
}

/// The sections, and what is wrong with them.
pub(super) fn sections(
    entries: Vec<SectionEntry>,
    groups: &[Group],
    never_polish: &[String],
) -> (Vec<Section>, Vec<Wrong>) {
    let mut wrong = Vec::new();
    let (mut ids, mut tags) = (BTreeMap::new(), BTreeMap::new());
    for (at, entry) in entries.iter().enumerate() {
        let id = &entry.id;
        let mut say = |key, message: String| wrong.push(Wrong::entry(key, at, message));
        if id.trim().is_empty() {
            say("section.id", format!("section number {} has an empty id", at + 1));
        } else if ids.insert(id.clone(), at).is_some() {
            say("section.id", format!("section {id} is given twice"));
        }
        if !(entry.area.0 > 0.0 && entry.area.0.is_finite()) {
            say("section.area", format!("section {id}: `area` must be more than 0"));
        }
        if let Some(other) = entry.tag.and_then(|tag| tags.insert(tag, id.clone())) {
            say("section.tag", format!("sections {other} and {id} have the same tag"));
        }
        if let Some(group) = &entry.group
            && !groups.iter().any(|g| g.id == *group)
        {
            let known = groups.iter().map(|g| g.id.as_str());
            say("section.group", super::unknown("group", group, "in the site file", known));
        }
        if entry.maintain_every == Some(0) {
            say("section.maintain_every", "days: at least 1".to_owned());
        }
        if entry.polish == Some(true) && never(never_polish, &entry.surface) {
            let message = format!(
                "section {id}: `polish = true`, but never_polish lists {}; take one of them out",
                entry.surface
            );
            say("section.polish", message);
        }
    }
    (entries.into_iter().map(|entry| entry.into_section(never_polish)).collect(), wrong)
}

/// What is wrong with groups.
pub(super) fn check_groups(groups: &[Group]) -> Vec<Wrong> {
    let mut wrong = Vec::new();
    for (at, group) in groups.iter().enumerate() {
        let mut say = |key, message: String| wrong.push(Wrong::entry(key, at, message));
        if group.id.trim().is_empty() {
            say("group.id", format!("group number {} has an empty id", at + 1));
        } else if groups.iter().take(at).any(|other| other.id == group.id) {
            say("group.id", format!("group {} is given twice", group.id));
        }
        if group.maintain_every == Some(0) {
            say("group.maintain_every", "days: at least 1".to_owned());
        }
        if group.refresh_after == Some(0) {
            say("group.refresh_after", "days: at least 1; leave it out for never".to_owned());
        }
    }
    wrong
}

fn never(surfaces: &[String], surface: &str) -> bool {
    surfaces.iter().any(|s| s.trim().to_lowercase() == surface.trim().to_lowercase())
}

impl SectionEntry {
    fn into_section(self, never_polish: &[String]) -> Section {
        let polish = self.polish.unwrap_or(true) && !never(never_polish, &self.surface);
        Section {
            id: self.id,
            name: self.name,
            area: self.area,
            surface: self.surface,
            polish,
            tag: self.tag,
            group: self.group,
            maintain_every: self.maintain_every,
        }
    }
}
