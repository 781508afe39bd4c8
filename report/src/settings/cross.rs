//! The shift book against the site file and the machines: names that are not there.
//!
//! None of these stops a sheet: it goes on without the entry and says so.

use super::book::Book;
use super::entries::Entry;
use super::phase::Phase;
use super::site::Site;
use super::unknown;
use underbrush_protocol::settings::SettingsError;
use underbrush_protocol::settings::machine::Machine;

impl Site {
    /// Says that there is no section of this id, and which was probably meant.
    pub fn no_section(&self, id: &str) -> String {
        unknown("section", id, "in the site file", self.sections.iter().map(|s| s.id.as_str()))
    }

    /// Says why a phase is none of this site; `None`: it is one.
    pub fn no_phase(&self, phase: Phase) -> Option<String> {
        match phase {
            Phase::Step(n) if self.step(n).is_none() => {
                let steps = self.steps.len();
                Some(format!("step {n} is not in the site file, which has {steps}"))
            }
            _ => None,
        }
    }

    /// Whether tools of this grit have work here.
    fn has_grit(&self, grit: &str) -> bool {
        self.grits().any(|known| known == grit)
    }

    fn grits(&self) -> impl Iterator<Item = &str> {
        let last = self.maintenance.iter().map(|m| m.grit.as_str());
        self.steps.iter().map(|s| s.grit.as_str()).chain(last)
    }
}

impl Book {
    /// What the entries name that neither the site nor the machines have, in order of lines.
    pub fn against(&self, site: &Site, machines: &[&Machine]) -> Vec<SettingsError> {
        let mut wrong = Vec::new();
        self.check_machines(machines, &mut wrong);
        let begun = self.begun.iter().map(|b| ("begun", b.line, &b.section, b.phase));
        let done = self.done.iter().map(|d| ("done", d.line, &d.section, d.phase));
        let plan = self.plan.iter().map(|p| ("plan", p.line, &p.section, p.phase));
        for (table, line, section, phase) in begun.chain(done).chain(plan) {
            if site.section_by_id(section).is_none() {
                let message = site.no_section(section);
                wrong.push(self.wrong(line, &format!("{table}.section"), message));
            }
            if let Some(message) = site.no_phase(phase) {
                wrong.push(self.wrong(line, &format!("{table}.phase"), message));
            }
        }
        for tool in self.tool.iter().filter(|tool| !site.has_grit(&tool.grit)) {
            let message = unknown("grit", &tool.grit, "in the site file", site.grits());
            wrong.push(self.wrong(tool.line, "tool.grit", message));
        }
        for entry in &self.check {
            if !site.checks.iter().any(|check| check.id == entry.what) {
                let known = site.checks.iter().map(|check| check.id.as_str());
                let message = unknown("check", &entry.what, "in the site file", known);
                wrong.push(self.wrong(entry.line, "check.what", message));
            }
        }
        self.check_names(site, &mut wrong);
        self.check_sets(&mut wrong);
        wrong.sort_by_key(|error| error.line);
        wrong
    }

    fn check_machines(&self, machines: &[&Machine], wrong: &mut Vec<SettingsError>) {
        fn of<T: Entry>(entries: &[T]) -> impl Iterator<Item = (&'static str, usize, &str)> {
            entries.iter().filter_map(|e| Some((T::TABLE, e.line(), e.machine()?)))
        }
        let all = of(&self.tool)
            .chain(of(&self.measured))
            .chain(of(&self.begun))
            .chain(of(&self.done))
            .chain(of(&self.plan))
            .chain(of(&self.crew))
            .chain(of(&self.check))
            .chain(of(&self.remark));
        for (table, line, id) in all {
            if !machines.iter().any(|machine| machine.id == id) {
                let known = machines.iter().map(|machine| machine.id.as_str());
                let message = unknown("machine", id, "the id of a machine file", known);
                wrong.push(self.wrong(line, &format!("{table}.machine"), message));
            }
        }
        let brushes = machines.iter().map(|machine| usize::from(machine.deck.brushes)).max();
        for entry in &self.measured {
            let counted = entry.last_brush();
            let own = machines.iter().find(|m| entry.machine.as_ref() == Some(&m.id));
            let there = own.map(|m| usize::from(m.deck.brushes)).or(brushes);
            if let Some(there) = there.filter(|there| counted > *there) {
                let message = format!("brush {counted} was measured; the machine has {there}");
                wrong.push(self.wrong(entry.line, "measured", message));
            }
        }
    }

    /// Names of people are checked only where the site lists its crew.
    fn check_names(&self, site: &Site, wrong: &mut Vec<SettingsError>) {
        for entry in self.crew.iter().filter(|_| !site.crew.is_empty()) {
            if !site.crew.contains(&entry.name) {
                let known = site.crew.iter().map(String::as_str);
                let message = unknown("name", &entry.name, "in the crew of the site file", known);
                wrong.push(self.wrong(entry.line, "crew.name", message));
            }
        }
    }

    /// A measured set must have been fitted by then; a length of fitting is that of the first time.
    fn check_sets(&self, wrong: &mut Vec<SettingsError>) {
        for tool in self.tool.iter().filter(|tool| tool.set.is_some() && tool.length.is_some()) {
            if self.first_fitting(tool).line != tool.line {
                let message = "the set was on before, so this length does not count: note it as \
                               [[measured]] of that day, with its `set`";
                wrong.push(self.wrong(tool.line, "tool.length", message.to_owned()));
            }
        }
        for entry in &self.measured {
            let Some(set) = &entry.set else { continue };
            let fitted = || self.tool.iter().filter(|tool| tool.set.as_ref() == Some(set));
            if fitted().next().is_none() {
                let known = self.tool.iter().filter_map(|tool| tool.set.as_deref());
                let message = unknown("set", set, "that of a fitted tool", known);
                wrong.push(self.wrong(entry.line, "measured.set", message));
            } else if fitted().all(|tool| tool.on > entry.date) {
                let message = format!("set {set} was measured before it was fitted");
                wrong.push(self.wrong(entry.line, "measured.set", message));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SITE: &str = "
name = \"Hall\"
time_zone = \"America/Chicago\"
crew = [\"Anna\", \"Ben\"]
[shift]
start = \"22:00\"
end = \"06:00\"
[[step]]
number = 1
grit = \"1500\"
minutes = 45
[[section]]
id = \"A-12\"
area = \"500 sq ft\"
";
    const BOOK: &str = "
[[plan]]
date = 2026-11-23
section = \"A12\"
phase = \"step 2\"
[[tool]]
fitted = 2026-11-02
grit = \"150\"
machine = \"one\"
set = \"1500-B\"
[[check]]
date = 2026-11-23
what = \"sqeegee\"
[[crew]]
date = 2026-11-23
name = \"ana\"
[[measured]]
date = 2026-11-01
length = \"1 in\"
set = \"1500-B\"
";

    #[test]
    fn names_that_are_not_there_come_with_line_and_suggestion() {
        let site = Site::parse("site.toml", SITE).unwrap();
        let book = Book::parse("book.toml", BOOK).unwrap();
        let told: Vec<String> = book.against(&site, &[]).iter().map(ToString::to_string).collect();
        let expected = [
            "book.toml, line 2, key `plan.section`: section A12 is not in the site file; did you mean A-12?",
            "book.toml, line 2, key `plan.phase`: step 2 is not in the site file, which has 1",
            "book.toml, line 6, key `tool.machine`: machine one is not the id of a machine file",
            "book.toml, line 6, key `tool.grit`: grit 150 is not in the site file; did you mean 1500?",
            "book.toml, line 11, key `check.what`: check sqeegee is not in the site file; did you mean squeegee?",
            "book.toml, line 14, key `crew.name`: name ana is not in the crew of the site file; did you mean Anna?",
            "book.toml, line 17, key `measured.set`: set 1500-B was measured before it was fitted",
        ];
        assert_eq!(told, expected);
    }

    #[test]
    fn a_site_tells_all_its_errors() {
        let text = SITE
            .replace("America/Chicago", "America/Chicagoo")
            .replace("1500\"", "1500\"\ngrti = 3")
            + "group = \"aisle\"\n[[section]]\nid = \"A-12\"\narea = \"0 sq ft\"\nmaintain_every = -2\n[[group]]\nid = \"aisles\"\n";
        let (site, told) = Site::check("site.toml", &text);
        assert!(site.is_some());
        let told: Vec<String> = told.iter().map(ToString::to_string).collect();
        for part in [
            "line 3, key `time_zone`: time zone America/Chicagoo is not in the IANA list; did you mean America/Chicago?",
            "key `step.grti`: unknown key `grti`; did you mean `grit`?",
            "key `section.group`: group aisle is not in the site file; did you mean aisles?",
            "key `section.maintain_every`: ",
        ] {
            assert!(told.iter().any(|line| line.contains(part)), "{part}: {told:#?}");
        }
        assert_eq!(told.len(), 6, "{told:#?}");
        assert!(Site::parse("site.toml", &text).is_err());
    }
}
