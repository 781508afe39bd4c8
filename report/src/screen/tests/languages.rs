//! The screen in every language: the same frame, nothing cut without a sign of it, nothing
//! left in English.

use super::*;
use crate::kept;
use crate::screen::draw::fit::width;
use crate::screen::lane::lanes;
use crate::settings::Site;
use crate::units::Units;
use std::collections::BTreeSet;
use underbrush_protocol::settings::Machine;

const SITE: &str = include_str!("../../../../fixtures/scenario/site.toml");
const MACHINE: &str = include_str!("../../../../fixtures/scenario/machine.toml");
const SMALLEST: (u16, u16) = LEAST;
const SIZES: [(u16, u16); 3] = [SMALLEST, (80, 24), (132, 60)];

/// All there can be: everything was read, every detector acted.
fn all_lanes(language: Language, units: Units) -> Vec<Lane> {
    let site = Site::parse("site.toml", SITE).unwrap();
    let machine = Machine::parse("machine.toml", MACHINE).unwrap();
    lanes(&machine, &site, (units, language), |_| Some((0.0, 60.0)))
}

/// An event of every kind, all within the same minutes, with the longest of ids.
fn every_event() -> Vec<Event> {
    let severities = Severity::ALL.into_iter().cycle();
    let made = EventKind::ALL.into_iter().zip(severities).enumerate();
    let of = |(i, (kind, severity)): (usize, (EventKind, Severity))| {
        let from = HOUR + i as i64 * 100;
        let id = format!("fh-scrubber-1.{}{}", kind.family().letter(), i + 1);
        Event { kind, ..event(&id, from, from + 754_000, severity) }
    };
    made.map(of).collect()
}

fn scene_in(language: Language) -> Scene {
    let lanes = all_lanes(language, Units::Us);
    let zone = chrono_tz::America::Chicago;
    Scene { language, lanes, events: every_event(), zone, ..scene() }
}

/// Gaps, both, between, on and off, over and over.
fn full(state: &State, width: u16) -> Window {
    let cells = 2 * plot_columns(width);
    let cell = |i: usize| {
        let range = [(0.0, 1.0), (0.25, 0.75), (0.5, 0.5), (1.0, 1.0), (0.0, 0.0)][i % 5];
        Cell { range: (!i.is_multiple_of(7)).then_some(range), seen: Seconds(1.0) }
    };
    let line = |quantity| Line { quantity, cells: (0..cells).map(cell).collect() };
    Window { span: state.view.span(), cells, lines: shown().into_iter().map(line).collect() }
}

/// Something that the screen can show, with what it is.
struct Shown {
    what: String,
    size: (u16, u16),
    scene: Scene,
    picture: Buffer,
}

impl Shown {
    fn lines(&self) -> Vec<String> {
        text(&self.picture).lines().map(str::to_owned).collect()
    }
}

/// Every state of the screen in one language, always in the same order.
fn all_shown(language: Language) -> Vec<Shown> {
    let mut all = Vec::new();
    let mut keep = |what: &str, scene: &Scene, state: &State| {
        for size in SIZES {
            let picture = picture(scene, state, &full(state, size.0), size);
            all.push(Shown { what: what.to_owned(), size, scene: scene.clone(), picture });
        }
    };
    let scene = scene_in(language);
    let whole = || State::new(View::whole(scene.extent));
    for number in 0..scene.events.len() {
        let mut state = whole();
        state.event = Some(number);
        state.view.centre_on(scene.events[number].span.from.timestamp_millis());
        keep(&format!("event {number}"), &scene, &state);
    }
    for keys in [
        "",
        "?",
        "g",
        "g2026-11-24 03:00:00",
        "gsome time that is much too long for it/",
        "g12:00:00.123/",
        "nnnnnnnnnnnnnnnnnnnnnnnnn",
        "p",
        "++++++++++++++++++++++++++++++++++++++++",
        "n+++++++++++++++++++++++++++++++++++++++++++",
    ] {
        let mut state = whole();
        type_in(&mut state, &scene, keys);
        keep(keys, &scene, &state);
        for first_lane in (4..scene.lanes.len()).step_by(4) {
            state.first_lane = first_lane;
            keep(&format!("{keys}, lane {first_lane}"), &scene, &state);
        }
    }
    let waiting = Waiting { overview: true, events: true };
    let waiting = Scene { waiting, events: Vec::new(), ..scene.clone() };
    for keys in ["", "n", "?"] {
        let mut state = whole();
        type_in(&mut state, &waiting, keys);
        keep(&format!("waiting {keys}"), &waiting, &state);
    }
    let empty = Scene { empty: true, events: Vec::new(), ..scene.clone() };
    keep("empty", &empty, &whole());
    all
}

#[test]
fn names_of_lanes_fit_the_smallest_terminal() {
    let room = usize::from(SMALLEST.0) - plot_columns(SMALLEST.0) - 10 - 1;
    assert_eq!(room, 18);
    for language in Language::ALL {
        for units in [Units::Us, Units::Si] {
            let lanes = all_lanes(language, units);
            let names: BTreeSet<&str> = lanes.iter().map(|lane| lane.name.as_str()).collect();
            assert_eq!(names.len(), lanes.len(), "{}: two of one name", language.tag());
            assert!(lanes.len() > 30, "{}", lanes.len());
            for name in names {
                assert!(width(name) <= room, "{}: {name}", language.tag());
            }
        }
        let seen: BTreeSet<String> = all_shown(language)
            .iter()
            .filter(|shown| shown.size == SMALLEST)
            .flat_map(Shown::lines)
            .map(|line| line.chars().take(room).collect::<String>())
            .collect();
        for lane in all_lanes(language, Units::Us) {
            let whole = |line: &String| {
                line.strip_prefix(&lane.name)
                    .is_some_and(|rest| rest.is_empty() || rest.starts_with(' '))
            };
            assert!(seen.iter().any(whole), "{}: {} in {seen:?}", language.tag(), lane.name);
        }
    }
}

/// Readings stand at the same place in all languages, and no line is longer than the terminal.
#[test]
fn every_language_has_the_same_frame() {
    let english = all_shown(Language::English);
    for language in [Language::Spanish, Language::German] {
        let other = all_shown(language);
        assert_eq!(english.len(), other.len());
        let mut compared = 0;
        for (english, other) in english.iter().zip(&other) {
            assert_eq!((&english.what, english.size), (&other.what, other.size));
            let (columns, rows) = other.size;
            assert_eq!(other.lines().len(), usize::from(rows));
            for line in other.lines() {
                assert!(width(&line) <= usize::from(columns), "{}: {line}", other.what);
            }
            if other.what.starts_with('?') || other.what.ends_with('?') {
                continue;
            }
            // All rows but status and keys, from where the lanes begin to where values do.
            let left = columns - plot_columns(columns) as u16 - 10;
            for row in 1..rows - 2 {
                for column in left..columns - 10 {
                    let at = |shown: &Shown| shown.picture[(column, row)].symbol().to_owned();
                    let (a, b) = (at(english), at(other));
                    assert_eq!(a, b, "{} {:?}, {column} {row}", other.what, other.size);
                    compared += 1;
                }
            }
        }
        assert!(compared > 100_000, "{compared}");
    }
}

/// On the smallest terminal all is said in whole words; of names of buildings and machines
/// and of what was typed alone a part may be missing, with a sign of it.
#[test]
fn nothing_is_cut_on_the_smallest_terminal() {
    for language in Language::ALL {
        let words = Scene { language, ..scene() }.words();
        let (mut keys, mut looked) = (0, 0);
        for shown in all_shown(language) {
            let lines = shown.lines();
            for line in lines.iter().skip(1) {
                let line = line.replace("some time that…", "");
                assert!(!line.contains('…'), "{} {:?}: {line}", shown.what, shown.size);
            }
            let last = lines.last().unwrap();
            if last.contains("q ") {
                assert!(last.contains(&format!("? {}", words.say("screen-help"))), "{last}");
                let leave = format!("q {}", words.say("screen-leave"));
                assert!(last.contains(&leave), "{last}");
                keys += 1;
            }
            // The event under the cursor is told with its number and kind.
            if let Some(number) = shown.what.strip_prefix("event ") {
                let event = &shown.scene.events[number.parse::<usize>().unwrap()];
                let tail = event.id.rsplit('.').next().unwrap();
                let told = format!("{tail} {}", words.say(crate::sheet::kind_id(event.kind)));
                let status = &lines[lines.len() - 2];
                assert!(status.contains(&told), "{}: no {told} in {status}", language.tag());
                looked += 1;
            }
        }
        assert!(keys > 50 && looked == SIZES.len() * EventKind::ALL.len(), "{keys} {looked}");
    }
}

/// Words of three letters and more on all pictures.
fn words_of(language: Language) -> BTreeSet<String> {
    let lines = all_shown(language).into_iter().flat_map(|shown| shown.lines());
    let mut found = BTreeSet::new();
    for line in lines {
        for word in line.split(|c: char| !c.is_alphabetic()).filter(|w| w.chars().count() > 2) {
            found.insert(word.to_lowercase());
        }
    }
    found
}

/// A word that is the same in English is a name, a unit, or one of these.
#[test]
fn nothing_is_left_in_english() {
    let english = words_of(Language::English);
    assert!(english.len() > 100, "{}", english.len());
    let typed = ["some", "time", "that", "much"];
    let names = ["test", "hall", "machine", "mach", "mac", "cst", "mph", "min", "scrubber"];
    for (language, same) in [
        (Language::Spanish, &["motor", "zoom", "cursor", "detector", "ctrl", "sensor"][..]),
        (Language::German, &["motor", "zoom", "cursor", "sensor"][..]),
    ] {
        let known = |word: &&String| {
            typed.iter().chain(&names).chain(same).any(|same| same == &word.as_str())
        };
        let own = words_of(language);
        let left: Vec<&String> = own.intersection(&english).filter(|w| !known(w)).collect();
        assert!(left.is_empty(), "{}: {left:?}", language.tag());
        assert!(own.len() > 100, "{}", own.len());
        assert!(own.iter().any(|word| !word.is_ascii()), "accents and umlauts are there");
    }
}

#[test]
fn numbers_have_the_sign_of_the_language() {
    let count = |language: Language, part: &str| {
        let lines = all_shown(language).into_iter().flat_map(|shown| shown.lines());
        lines.filter(|line| line.contains(part)).count()
    };
    assert!(count(Language::English, "0.11") > 10 && count(Language::English, "0,11") == 0);
    assert!(count(Language::German, "0,11") > 10 && count(Language::German, "0.11") == 0);
    assert!(count(Language::Spanish, "0,11") > 10 && count(Language::Spanish, "0.11") == 0);
}

/// Also as a person of those languages writes it.
#[test]
fn a_comma_before_parts_of_a_second_is_read() {
    assert_eq!(place("g1:02:03,5/"), place("g1:02:03.5/"));
}

#[test]
fn too_small_a_window_says_so_in_its_language() {
    for (language, words) in [
        (Language::Spanish, "al menos 60 x 14 letras, por favor"),
        (Language::German, "bitte mindestens 60 x 14 Zeichen"),
    ] {
        let scene = Scene { language, ..scene() };
        let state = State::new(View::whole(scene.extent));
        let told = text(&picture(&scene, &state, &empty(&state), (59, 24)));
        assert!(told.contains(words), "{told}");
    }
}

/// The page of keys, as people see it on the smallest terminal.
#[test]
fn golden_keys() {
    let mut pages = String::new();
    for language in Language::ALL {
        let scene = scene_in(language);
        let mut state = State::new(View::whole(scene.extent));
        type_in(&mut state, &scene, "?");
        pages += &text(&picture(&scene, &state, &empty(&state), SMALLEST));
        pages.push('\n');
    }
    kept::against("browse-keys-60x14", &pages);
}
