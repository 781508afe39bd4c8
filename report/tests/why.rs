//! `underbrush why`: each figure is described by names that exist, and explains itself.

mod common;

use common::{MACHINE, SITE, drive, fix, judge_dir, reading, shift, write_archive};
use std::collections::BTreeSet;
use tempfile::TempDir;
use underbrush_protocol::channel::Channel;
use underbrush_protocol::frame::Mark;
use underbrush_protocol::log::Entry;
use underbrush_protocol::note::Note;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::time::BootMs;
use underbrush_report::findings::{Known, figures};
use underbrush_report::logset::{LogSet, OpenSettings};
use underbrush_report::settings::{Book, Site};
use underbrush_report::units::Units;
use underbrush_report::why::{SettingsText, Source, WhyError, explain, list};

/// Works for 10 min, stands 14 s with the brush on, and works for a minute.
fn night() -> Vec<Entry> {
    let mut entries = vec![fix(3_600_000)];
    entries.push(Entry::Note(BootMs(10), Note::Mark(Mark::Tag(1))));
    entries.push(Entry::Note(BootMs(20), Note::Mark(Mark::Button(1))));
    entries.push(reading(30, Channel::HEAD_DOWN, 1));
    entries.extend(drive(100, 600, 600, 20));
    entries.extend(drive(600_200, 14, 0, 20));
    entries.extend(drive(614_300, 60, 600, 20));
    entries.sort_by_key(Entry::at);
    entries
}

fn with_source<T>(task: impl FnOnce(&Source<'_>) -> T) -> T {
    let dir = TempDir::new().unwrap();
    write_archive(dir.path(), 1, 1, &night());
    let (machine, site, book) = (common::machine(), common::site(), Book::default());
    let findings = judge_dir(dir.path(), &machine, &site, &book);
    let settings = OpenSettings { machine: machine.id.clone(), ..OpenSettings::default() };
    let logs = LogSet::open(dir.path(), &settings).unwrap();
    let known = Known { findings: &findings, machine: &machine, site: &site, book: &book };
    let texts =
        SettingsText { machine: ("machine.toml", MACHINE), site: ("site.toml", SITE), book: None };
    task(&Source { known, logs: &logs, texts, units: Units::Si })
}

#[test]
fn descriptions_name_what_exists() {
    let ids: BTreeSet<_> = figures().map(|f| f.id).collect();
    assert_eq!(ids.len(), figures().count(), "two figures share a name");
    for figure in figures() {
        for channel in figure.channels {
            assert!(Channel::by_name(channel).is_some(), "{}: channel {channel}", figure.id);
        }
        for setting in figure.settings {
            assert!(key_exists(setting), "{}: no setting {setting}", figure.id);
        }
        for text in [figure.says, figure.formula, figure.source] {
            assert!(!text.is_empty(), "{}", figure.id);
        }
        assert!(list().contains(figure.id));
    }
    assert!(!key_exists("machine:limits.nonsense"), "the check itself must be able to fail");
    assert!(!key_exists("site:nonsense"));
}

/// A key that a file may have is refused for its type only, never as unknown.
fn key_exists(setting: &str) -> bool {
    let (file, key) = setting.split_once(':').unwrap();
    let text = match key.rsplit_once('.') {
        Some((table, name)) => format!("[{table}]\n{name} = [[]]\n"),
        None => format!("{key} = 12345\n"),
    };
    let error = match file {
        "machine" => Machine::parse("f", &text).err().map(|e| e.to_string()),
        "site" => Site::parse("f", &text).err().map(|e| e.to_string()),
        "book" => Book::parse("f", &text).err().map(|e| e.to_string()),
        _ => None,
    };
    error.is_some_and(|e| !e.contains("unknown key"))
}

#[test]
fn every_figure_explains_itself() {
    with_source(|source| {
        for figure in figures() {
            let text = explain(source, figure.id).unwrap();
            for part in ["How\n", "Source: ", "Numbers\n", "Settings\n", "Read\n", "files: boot-"] {
                assert!(text.contains(part), "{}: no {part:?} in\n{text}", figure.id);
            }
            assert!(text.lines().all(|l| l.chars().count() <= 160), "{}", figure.id);
        }
    });
}

#[test]
fn an_event_is_led_back_to_its_readings_and_lines() {
    with_source(|source| {
        let text = explain(source, "stationary.1").unwrap();
        let event = &source.known.findings.stationary[0];
        let passes = format!("{:.2}", event.equivalent_passes);
        let line = text.lines().find(|l| l.contains("= equivalent passes")).unwrap();
        assert!(line.ends_with(&passes), "{line} is not {passes}");
        // The seventh line of the machine file, as written.
        assert!(text.contains("machine.toml, line 7: contact_length = \"0.35 m\""), "{text}");
        assert!(text.contains("machine.toml: `limits.standing_time` is not set"), "{text}");
        // It stood from 23:10:00.1 on: the reading before it still says 0.600 m/s.
        let rows: Vec<_> = text.lines().filter(|l| l.trim().starts_with("23:10:")).collect();
        assert!(rows[0].contains("0.600 m/s") && rows[0].contains("20.0 A"), "{rows:?}");
        assert!(rows.iter().any(|l| l.contains("0.000 m/s")), "{rows:?}");
        assert_eq!(source.known.findings.shift.date, shift().date);
    });
}

#[test]
fn what_is_not_there_is_said() {
    with_source(|source| {
        assert_eq!(explain(source, "speeed"), Err(WhyError::Unknown("speeed".to_owned())));
        let missing = explain(source, "stationary.2").unwrap_err().to_string();
        assert_eq!(missing, "stationary has 1 cases in this shift, so there is no number 2");
        assert!(explain(source, "stationary.0").is_err());
        assert!(explain(source, "speed").unwrap().contains("speed.slip:"));
    });
}
