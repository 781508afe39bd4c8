//! `underbrush browse --print`: pictures against files in `tests/golden`, drawn dots against
//! the readings, and wrong input.
//!
//! After a wanted change: `UPDATE_GOLDEN=1 cargo test --workspace --test browse`, then read
//! the difference.

mod common;
#[path = "shared/dots.rs"]
mod dots;
#[path = "shared/golden.rs"]
mod golden;

use common::{SITE, eventful, folder, hall, machine};
use dots::dot_at;
use std::path::Path;
use std::process::{Command, Output};
use underbrush_protocol::channel::Channel;
use underbrush_protocol::log::Entry;

fn browse(dir: &Path, args: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_underbrush"));
    command.args(args).arg("--in").arg(dir).output().unwrap()
}

fn printed(dir: &Path, args: &[&str]) -> String {
    let out = browse(dir, args);
    let told = String::from_utf8_lossy(&out.stderr).into_owned();
    // The night has a gap.
    assert_eq!(out.status.code(), Some(3), "{told}");
    assert!(told.contains("underbrush: shift 2026-11-23: "), "{told}");
    String::from_utf8(out.stdout).unwrap()
}

fn kept(name: &str, args: &[&str]) {
    let hall = hall();
    let text = printed(hall.path(), args);
    golden::against(&format!("browse-{name}"), &text);
}

#[test]
fn golden_a_whole_night() {
    kept("night-80x24", &["browse", "--print", "80x24"]);
}

#[test]
fn golden_an_event() {
    kept("event-80x24", &["browse", "1", "--print", "80x24"]);
    kept("event-120x40", &["browse", "2026-11-23.1", "--print", "120x40", "--units", "si"]);
}

#[test]
fn golden_a_gap_in_a_small_window() {
    kept("gap-60x14", &["browse", "--at", "2026-11-23 22:07:15", "--print", "60x14"]);
}

#[test]
fn every_line_fits_and_no_letter_is_wide() {
    let hall = hall();
    for (width, height) in [(60, 14), (80, 24), (97, 31), (200, 60)] {
        let size = format!("{width}x{height}");
        let text = printed(hall.path(), &["browse", "1", "--print", &size]);
        assert_eq!(text.lines().count(), height);
        for line in text.lines() {
            assert!(line.chars().count() <= width, "{line}");
        }
    }
}

/// Readings with the time that each speaks for, in ms after the power-on, in m/s or A.
fn spoken(channel: Channel) -> Vec<(f64, f64, f64)> {
    let gap = machine().longest_gap_ms() as f64;
    let entries = eventful();
    let readings: Vec<(f64, f64)> = entries
        .iter()
        .filter_map(|entry| match entry {
            Entry::Reading(r) if r.channel == channel => {
                Some((r.at.0 as f64, f64::from(r.raw) * channel.resolution()))
            }
            _ => None,
        })
        .collect();
    let pairs = readings.windows(2).filter(|pair| pair[1].0 - pair[0].0 <= gap);
    pairs.map(|pair| (pair[0].0, pair[1].0, pair[1].1)).collect()
}

/// Every dot that is drawn, and every dot that is not, is what the readings say.
#[test]
fn drawn_dots_are_brute_force() {
    let hall = hall();
    let names = ["Speed", "Motor"];
    let current = Channel::brush_current(0).unwrap();
    // Shift and power-on are a minute apart.
    for (args, from_ms, to_ms) in [
        (vec!["browse"], -60_000.0, 8.0 * 3_600_000.0 - 60_000.0),
        (vec!["browse", "--at", "2026-11-23T22:05:03.2"], 213_200.0, 273_200.0),
        (vec!["browse", "--at", "2026-11-23T22:07:15"], 345_000.0, 405_000.0),
        (vec!["browse", "1"], 89_900.0, 152_900.0),
    ] {
        let args = [args, vec!["--print", "100x40", "--units", "si"]].concat();
        let text = printed(hall.path(), &args);
        let mut compared = 0;
        for (name, channel) in names.into_iter().zip([Channel::SPEED, current]) {
            let rows: Vec<Vec<char>> = text
                .lines()
                .skip_while(|line| !line.starts_with(name))
                .enumerate()
                .take_while(|(i, line)| *i == 0 || line.is_empty() || line.starts_with(' '))
                .map(|(_, line)| line.chars().collect())
                .collect();
            let top: f64 = {
                let gutter: String = rows[0].iter().take(21).collect();
                gutter.split_whitespace().last().unwrap().parse().unwrap()
            };
            let dots = rows.len() * 4;
            let columns = 2 * (100 - 22 - 10);
            let edge = |i: usize| from_ms + i as f64 * (to_ms - from_ms) / columns as f64;
            let spoken = spoken(channel);
            for half in 0..columns {
                let here = spoken.iter().filter(|(from, to, _)| {
                    *from < edge(half + 1) - 1e-6 && *to > edge(half) + 1e-6
                });
                let range = here.map(|(_, _, v)| (*v, *v));
                let range = range.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)));
                let dot = |v: f64| (v / top * (dots - 1) as f64).round() as usize;
                let wanted: Vec<usize> =
                    range.map_or(Vec::new(), |(low, high)| (dot(low)..=dot(high)).collect());
                let drawn: Vec<usize> = (0..dots).filter(|dot| dot_at(&rows, half, *dot)).collect();
                assert_eq!(drawn, wanted, "{name}, half column {half} of {args:?}\n{text}");
                compared += drawn.len();
            }
        }
        assert!(compared > 4, "{compared} dots");
    }
}

#[test]
fn wrong_input_is_told() {
    let hall = hall();
    let told = |args: &[&str], code: i32| {
        let out = browse(hall.path(), args);
        let told = String::from_utf8_lossy(&out.stderr).into_owned();
        assert_eq!(out.status.code(), Some(code), "{args:?}: {told}");
        assert!(told.starts_with("underbrush: ") && told.lines().count() == 1, "{told}");
        assert!(out.stdout.is_empty(), "{args:?}");
        told
    };
    assert!(told(&["browse", "7", "--print", "80x24"], 1).contains("no event 7 in the night"));
    assert!(told(&["browse", "so", "--print", "80x24"], 1).contains("`so` names no event"));
    assert!(told(&["browse"], 1).contains("browse needs a terminal; --print"));
    assert!(told(&["trace", "1", "--screen"], 1).contains("browse needs a terminal"));
    assert!(told(&["browse", "--print", "20x5"], 1).contains("from 60x14 to 1000x1000"));
    assert!(told(&["browse", "--print", "wide"], 1).contains("--print wide: give columns"));
    assert!(told(&["browse", "--at", "soon", "--print", "80x24"], 1).contains("write it like"));
    assert!(told(&["browse", "1", "--shift", "2026-11-23"], 1).contains("give one of EVENT"));
    assert!(told(&["browse", "--machine", "T2", "--print", "80x24"], 1).contains("`T2`"));
    assert!(told(&["trace", "1", "--screen", "--json"], 1).contains("--screen stands alone"));
    std::fs::remove_dir_all(hall.path().join("log")).unwrap();
    std::fs::create_dir(hall.path().join("log")).unwrap();
    assert!(told(&["browse", "--print", "80x24"], 1).contains("no .journal or .archive file"));
}

#[test]
fn a_night_without_readings_is_told() {
    let hall = hall();
    let out = browse(hall.path(), &["browse", "--shift", "2026-11-20", "--print", "80x24"]);
    assert_eq!(out.status.code(), Some(3));
    let told = String::from_utf8_lossy(&out.stderr).into_owned();
    assert!(told.contains("nothing was recorded in this night"), "{told}");
    let text = String::from_utf8(out.stdout).unwrap();
    assert!(text.contains("nothing was recorded in this night"), "{text}");
    assert!(text.contains("Speed") && text.contains("/////"), "{text}");
}

/// In all languages the same readings at the same places.
#[test]
fn golden_in_other_languages() {
    kept("event-es-80x24", &["browse", "1", "--print", "80x24", "--language", "es"]);
    let german = ["browse", "1", "--print", "60x14", "--language", "de", "--units", "si"];
    kept("event-de-60x14", &german);
}

#[test]
fn the_language_is_the_site_files_where_nobody_says() {
    let dir = folder(&format!("language = \"de\"\n{SITE}"), eventful());
    let text = printed(dir.path(), &["browse", "1", "--print", "100x40"]);
    assert!(text.contains("Motor blockiert") && text.contains("? Hilfe"), "{text}");
    let text = printed(dir.path(), &["browse", "1", "--print", "100x40", "--language", "en"]);
    assert!(text.contains("Motor stalled") && text.contains("? help"), "{text}");
    // What is wrong with the data or the call is told in English, as everywhere.
    let out = browse(dir.path(), &["browse", "--language", "fr", "--print", "80x24"]);
    let told = String::from_utf8_lossy(&out.stderr).into_owned();
    assert!(told.contains("--language fr: use en, es or de"), "{told}");
    assert_eq!(out.status.code(), Some(1));
    let trends = |args: &[&str]| {
        let out = browse(dir.path(), args);
        String::from_utf8(out.stdout).unwrap()
    };
    assert!(trends(&["trends"]).contains("Langsame Änderungen"), "{}", trends(&["trends"]));
    assert!(trends(&["trends", "--language", "es"]).contains("Cambios lentos"));
}
