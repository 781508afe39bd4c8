//! Code and catalogues name the same messages, in every language alike.

use super::{Words, catalogue};
use crate::settings::site::Language;
use crate::sheet::figures::Figures;
use crate::units::Units;
use fluent_bundle::FluentResource;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// Ids with their variables, read from the text of a catalogue.
fn messages(language: Language) -> BTreeMap<String, BTreeSet<String>> {
    let mut found: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    let mut id = String::new();
    for line in catalogue(language).lines().filter(|line| !line.starts_with('#')) {
        if line.starts_with(|c: char| c.is_ascii_lowercase()) {
            let (name, _) = line.split_once('=').unwrap();
            name.trim().clone_into(&mut id);
            assert!(
                found.insert(id.clone(), BTreeSet::new()).is_none(),
                "{}: {id} is defined twice",
                language.tag()
            );
        }
        for part in line.split('$').skip(1) {
            let name = part.split(|c: char| !(c.is_ascii_alphanumeric() || c == '-')).next();
            found.get_mut(&id).unwrap().insert(name.unwrap().to_owned());
        }
    }
    found
}

fn is_id(text: &str) -> bool {
    let word =
        |w: &str| !w.is_empty() && w.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit());
    text.contains('-')
        && text.starts_with(|c: char| c.is_ascii_lowercase())
        && text.split('-').all(word)
}

/// Literals of the form of an id in a source file, tests left out.
fn ids_in(text: &str) -> Vec<String> {
    let code = text.split("#[cfg(test)]\nmod tests {").next().unwrap_or_default();
    code.lines()
        .filter(|line| !line.trim_start().starts_with("//"))
        .flat_map(|line| line.split('"').skip(1).step_by(2))
        .filter(|literal| is_id(literal))
        .map(str::to_owned)
        .collect()
}

fn sources(dir: &Path, found: &mut Vec<(String, String)>) {
    for entry in std::fs::read_dir(dir).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        if path.is_dir() {
            if name != "tests" {
                sources(&path, found);
            }
        } else if path.extension().is_some_and(|e| e == "rs") && name != "tests.rs" {
            found.push((path.display().to_string(), std::fs::read_to_string(&path).unwrap()));
        }
    }
}

fn all_sources() -> Vec<(String, String)> {
    let mut found = Vec::new();
    sources(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), &mut found);
    assert!(found.len() > 50);
    found
}

#[test]
fn every_catalogue_can_be_read() {
    for language in Language::ALL {
        let read = FluentResource::try_new(catalogue(language).to_owned());
        assert!(read.is_ok(), "{}: {:?}", language.tag(), read.err().map(|e| e.1));
    }
}

#[test]
fn all_languages_have_the_same_messages_and_variables() {
    let english = messages(Language::English);
    assert!(english.len() > 200);
    for language in [Language::Spanish, Language::German] {
        let other = messages(language);
        for (id, variables) in &english {
            assert_eq!(other.get(id), Some(variables), "{}: {id}", language.tag());
        }
        for id in other.keys() {
            assert!(english.contains_key(id), "{}: {id} is not in English", language.tag());
        }
    }
}

/// Where every literal of the form of an id is one: all that puts words before people in
/// their language.
const IN_WORDS: [&str; 4] = ["/sheet/", "/screen/", "/trends/points_to", "/trends/table"];

#[test]
fn every_message_is_used_and_none_is_missing() {
    let defined = messages(Language::English);
    let mut used = BTreeSet::new();
    for (path, text) in all_sources() {
        let words = IN_WORDS.iter().any(|place| path.contains(place));
        for id in ids_in(&text) {
            assert!(!words || defined.contains_key(&id), "{path}: {id} is in no catalogue");
            used.insert(id);
        }
        // Elsewhere `say` prints what it is given.
        for part in text.split(".say(\"").skip(1).filter(|_| words) {
            let id = part.split('"').next().unwrap();
            assert!(defined.contains_key(id), "{path}: {id} is in no catalogue");
            used.insert(id.to_owned());
        }
    }
    for id in defined.keys() {
        assert!(used.contains(id), "{id} is in the catalogues, but no code uses it");
    }
}

/// Whoever writes words into the code of the screen or of the trends has them in one language
/// only: a literal there is an id, a sign, a format or a form of a time.
#[test]
fn the_screen_has_no_words_of_its_own() {
    let mut looked = 0;
    for (path, text) in all_sources() {
        let within = path.contains("/screen/draw/") || path.ends_with("/trends/table.rs");
        let within = within
            || ["keys", "goto", "lane"]
                .iter()
                .any(|file| path.ends_with(&format!("/screen/{file}.rs")));
        if !within {
            continue;
        }
        let code = text.split("#[cfg(test)]\nmod tests {").next().unwrap();
        let code = code.lines().filter(|line| !line.trim_start().starts_with("//"));
        for literal in code.flat_map(|line| line.split('"').skip(1).step_by(2)) {
            looked += 1;
            // What stands between braces or after a percent sign is no word.
            let mut bare = String::new();
            let mut braces = 0_u32;
            let mut before = ' ';
            for c in literal.chars() {
                match c {
                    '{' => braces += 1,
                    '}' => braces = braces.saturating_sub(1),
                    c if braces == 0 && !"%.\\".contains(before) => bare.push(c),
                    _ => {}
                }
                before = c;
            }
            let word = bare.split(|c: char| !c.is_alphabetic()).find(|w| w.chars().count() > 3);
            let values = ["typed", "motor", "columns", "rows", "count", "unit", "date", "change"];
            let value = word.is_some_and(|word| values.contains(&word) || literal == "high");
            assert!(is_id(literal) || word.is_none() || value, "{path}: {literal:?} is a word");
        }
    }
    assert!(looked > 60, "{looked}");
}

#[test]
fn a_missing_message_shows_its_id() {
    let words = Words::new(Language::German);
    assert_eq!(words.say("no-such-message"), "[no-such-message]");
    assert!(words.say("sheet-heading").contains("{$date}"));
}

#[test]
fn counts_choose_their_plural_and_their_separators() {
    let say = |language, count: usize| {
        Words::new(language).with("count-times", &[("count", count.into())])
    };
    assert_eq!(say(Language::English, 1), "1 time");
    assert_eq!(say(Language::English, 12_345), "12,345 times");
    assert_eq!(say(Language::Spanish, 1), "1 vez");
    assert_eq!(say(Language::Spanish, 0), "0 veces");
    assert_eq!(say(Language::German, 1234), "1.234 Mal");
}

// Signs by Unicode CLDR (numbers.json of en, es, de; from memory of the published tables):
// es groups from five digits on.
#[test]
fn numbers_and_dates_follow_the_language() {
    let of = |language| Figures::new(Units::Us, language);
    let (en, es, de) = (of(Language::English), of(Language::Spanish), of(Language::German));
    assert_eq!([&en, &es, &de].map(|f| f.grouped(1080)), ["1,080", "1080", "1.080"]);
    assert_eq!([&en, &es, &de].map(|f| f.grouped(13_200)), ["13,200", "13.200", "13.200"]);
    assert_eq!([&en, &es, &de].map(|f| f.limit(1.5)), ["1.5", "1,5", "1,5"]);
    let day = chrono::NaiveDate::from_ymd_opt(2026, 11, 23).unwrap();
    let dates = [&en, &es, &de].map(|f| f.date(day));
    assert_eq!(dates, ["Mon 23 Nov 2026", "lun, 23 nov 2026", "Mo. 23. Nov. 2026"]);
}

// ANSI Z535.6 and ISO 3864-2 name the levels; these are their usual words.
#[test]
fn every_caution_has_its_signal_word() {
    let words = |id: &str| Language::ALL.map(|language| Words::new(language).say(id));
    assert_eq!(words("signal-warning"), ["WARNING", "ADVERTENCIA", "WARNUNG"]);
    assert_eq!(words("signal-notice"), ["NOTICE", "AVISO", "HINWEIS"]);
}
