//! The programme that the report counts up, against the truth of the simulated nights.
//!
//! Ten days of both machines of Fernhollow Hall, from bridge bytes through agent, log and
//! ledger: minutes in band of each section and step, and the nights in which sections
//! became restored. Goals: minutes within 1 %, dates equal.

use chrono::NaiveDate;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;
use tempfile::TempDir;
use underbrush_fixtures::programme::{Marks, NightTruth, Programme as Plan};
use underbrush_protocol::settings::Machine;
use underbrush_report::findings::Inputs;
use underbrush_report::ledger::{Building, Ledger};
use underbrush_report::logset::{LogSet, OpenSettings};
use underbrush_report::programme::{Programme, ProgrammeCase, Recorded, State};
use underbrush_report::settings::{Book, Site};
use underbrush_tests::programme::make;

const DAYS: u64 = 10;
/// Of the minutes of a section and phase in a night.
const SHARE: f64 = 0.01;
/// A mark is known to some seconds: its frames come one after the other, then the brushes start.
const MARK_MIN: f64 = 0.05;

/// All files of the folder.
struct Folder {
    site: Site,
    book: Book,
    machines: Vec<(Machine, LogSet, Book)>,
}

impl Folder {
    fn open(dir: &Path) -> Self {
        let read = |name: &str| fs::read_to_string(dir.join(name)).unwrap();
        let site = Site::parse("site.toml", &read("site.toml")).unwrap();
        let book = Book::parse("book.toml", &read("book.toml")).unwrap();
        let machine = |name| Machine::parse(name, &read(name)).unwrap();
        let machines = ["machine-1.toml", "machine-2.toml"].map(machine);
        let others: Vec<String> = machines.iter().map(|m| m.id.clone()).collect();
        let with_logs = machines.into_iter().map(|machine| {
            let settings = OpenSettings {
                machine: machine.id.clone(),
                others: others.clone(),
                ..OpenSettings::default()
            };
            let logs = LogSet::open(&dir.join("log"), &settings).unwrap();
            let own = book.for_machine(&machine.id);
            (machine, logs, own)
        });
        let machines = with_logs.collect();
        Self { site, book, machines }
    }

    fn inputs(&self) -> Vec<Inputs<'_>> {
        let inputs = |(machine, logs, book)| Inputs { logs, machine, site: &self.site, book };
        self.machines.iter().map(|(m, l, b)| inputs((m, l, b))).collect()
    }
}

/// Minutes in band by date, machine, section and phase.
type Minutes = BTreeMap<(NaiveDate, usize, String, String), f64>;

fn true_minutes(nights: &[NightTruth], marks: &[Marks]) -> Minutes {
    let mut minutes = Minutes::new();
    for night in nights.iter().filter(|n| n.recorded && marks.contains(&n.marks)) {
        for work in &night.works {
            let key = (night.date, night.machine, work.section.clone(), work.phase.to_string());
            *minutes.entry(key).or_default() += work.observed_in_band_s / 60.0;
        }
    }
    minutes
}

fn found_minutes(ledger: &Ledger, site: &Site) -> Minutes {
    let mut minutes = Minutes::new();
    for record in &ledger.records {
        let place = record.work.place;
        let (Some(section), Some(phase)) = (place.section, place.phase) else { continue };
        let key =
            (record.date, record.machine, site.sections[section].id.clone(), phase.to_string());
        *minutes.entry(key).or_default() += record.work.in_band.map_or(0.0, |t| t.0 / 60.0);
    }
    minutes
}

#[test]
fn ten_days_are_counted_up_as_they_were_worked() {
    let dir = TempDir::new().unwrap();
    let plan = Plan::fernhollow(Some(DAYS)).unwrap();
    let truths = make(&plan, dir.path(), || ()).unwrap();
    let folder = Folder::open(dir.path());
    let last = truths.last().unwrap().date;
    let inputs = folder.inputs();
    let building = Building::new(&folder.site, &folder.book, &inputs);
    let ledger = Ledger::read(&building, last);

    let told = true_minutes(&truths, &[Marks::Machine]);
    let found = found_minutes(&ledger, &folder.site);
    assert!(told.len() > 50, "{} stays: too few to tell", told.len());
    for (key, want) in &told {
        let got = found.get(key).copied().unwrap_or(0.0);
        assert!((got - want).abs() <= SHARE * want + MARK_MIN, "{key:?}: {got} of {want} min");
    }
    // Nothing is found where nothing was, in nights with marks.
    let marked: BTreeSet<(NaiveDate, usize)> = told.keys().map(|key| (key.0, key.1)).collect();
    for (key, got) in &found {
        let known = told.contains_key(key) || !marked.contains(&(key.0, key.1));
        assert!(known || *got < MARK_MIN, "{key:?}: {got} min, but nothing was done there");
    }

    let machines: Vec<&Machine> = folder.machines.iter().map(|(machine, ..)| machine).collect();
    let nights: Vec<Recorded> = (0..machines.len())
        .flat_map(|number| ledger.nights(number).map(move |night| Recorded::of(number, night)))
        .collect();
    let programme = Programme::judge(&ProgrammeCase {
        site: &folder.site,
        book: &folder.book,
        machines: &machines,
        records: &ledger.records,
        nights: &nights,
        date: last,
    });
    let restored: BTreeMap<String, NaiveDate> = programme
        .sections
        .iter()
        .filter(|section| matches!(section.state, State::Restored { .. }))
        .filter_map(|section| {
            let last = section.steps.last()?.done?;
            (!last.by_hand).then(|| (folder.site.sections[section.section].id.clone(), last.on))
        })
        .collect();
    let want = plan.restored(&truths);
    assert!(want.len() >= 5, "{want:?}");
    assert_eq!(restored, want);
}
