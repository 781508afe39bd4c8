//! Slow changes on the page and on terminals: the same numbers as the JSON, in every language.

use super::sample::{machine, site};
use super::written::{all_text, check_places, read};
use super::{SHORT, SI_A4, Sheet, SheetOptions};
use crate::settings::site::Language;
use crate::sheet::TrendsInput;
use crate::trends::{MachineTrends, Series, Sign, TrendLimits, Verdict, judge, to_json, to_text};
use chrono::{Days, NaiveDate};
use std::collections::BTreeSet;
use std::path::Path;
use underbrush_protocol::settings::Machine;

const NIGHTS: u64 = 40;

fn first() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 10, 1).unwrap()
}

/// A series as a machine gives it: a value for each night, with some scatter.
fn series(machine: &Machine, sign: Sign, value: impl Fn(u64) -> f64) -> Series {
    let point = |night: u64| {
        let scatter = 1.0 + 0.004 * ((night * 7 % 11) as f64 - 5.0) / 5.0;
        (first() + Days::new(night), value(night) * scatter)
    };
    let points: Vec<(NaiveDate, f64)> = (0..NIGHTS).map(point).collect();
    let limits = TrendLimits { share: sign.told_from(machine), bad: sign.bad(), nights: 8 };
    let trend = judge(&points, limits);
    Series { sign, points, trend }
}

/// A bearing that runs heavier, a battery terminal that came loose, a repair, a steady sign,
/// and one of which too little is known.
fn trends(machine: &Machine) -> MachineTrends {
    let grows = |from: f64, by: f64| move |night: u64| from * (1.0 + by * night as f64 / 39.0);
    let mut few = series(machine, Sign::Winding(0), |_| 0.3);
    few.points.truncate(4);
    few.trend =
        judge(&few.points, TrendLimits { share: 0.25, bad: Sign::Winding(0).bad(), nights: 8 });
    let series = vec![
        series(machine, Sign::NoLoad(0), grows(3.0, 0.8)),
        series(machine, Sign::NoLoad(1), |night| if night < 15 { 5.0 } else { 3.1 }),
        series(machine, Sign::RunDown(0), grows(1.5, -0.4)),
        series(machine, Sign::RunDown(1), grows(1.5, -0.2)),
        few,
        series(machine, Sign::Battery, |night| if night < 20 { 0.020 } else { 0.032 }),
        series(machine, Sign::DriveMaintaining, grows(25.0, 0.0)),
    ];
    let dates = (first(), first() + Days::new(NIGHTS - 1));
    MachineTrends { machine: 0, dates, nights: NIGHTS as usize, series }
}

fn page(trends: &MachineTrends, options: SheetOptions) -> String {
    let (site, machine) = (site(), machine());
    let input =
        TrendsInput { site: &site, machines: &[&machine], trends: std::slice::from_ref(trends) };
    let sheet = Sheet::of_trends(&input, &options);
    // To look at it.
    if let Some(folder) = std::env::var_os("SHEETS_TO") {
        let name = format!("trends-{}.pdf", options.language.tag());
        std::fs::write(Path::new(&folder).join(name), sheet.to_pdf().unwrap()).unwrap();
    }
    check_places(&sheet);
    let file = read(&sheet);
    // Lines break anywhere between words.
    one_line(&all_text(&file))
}

fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The same for a terminal.
fn printed(trends: &MachineTrends, language: Language, width: usize) -> String {
    let options = SheetOptions { language, ..SHORT };
    let text = to_text(std::slice::from_ref(trends), &[&machine()], &options, width);
    // To look at it.
    if let Some(folder) = std::env::var_os("SHEETS_TO") {
        let name = format!("trends-{}-{width}.txt", language.tag());
        std::fs::write(Path::new(&folder).join(name), &text).unwrap();
    }
    text
}

/// As a person writes it: our own rounding, apart from the page's.
fn percent(share: f64) -> String {
    let whole = format!("{:.0}", (share * 100.0).abs());
    let sign = if whole == "0" {
        ""
    } else if share < 0.0 {
        "–"
    } else {
        "+"
    };
    format!("{sign}{whole} %")
}

fn amount(unit: &str, value: f64, comma: bool) -> String {
    let text = match unit {
        "ohm" => format!("{:.1} mΩ", 1000.0 * value),
        "s" => format!("{value:.2} s"),
        "1" => format!("{:.1} %", 100.0 * value),
        _ => format!("{value:.1} A"),
    };
    if comma { text.replace('.', ",") } else { text }
}

#[test]
fn page_and_text_have_the_numbers_of_the_json() {
    let machine = machine();
    let trends = trends(&machine);
    let verdicts: Vec<Verdict> = trends.series.iter().map(|s| s.trend.verdict).collect();
    assert!(verdicts.contains(&Verdict::Drifted) && verdicts.contains(&Verdict::Steady));
    assert!(verdicts.contains(&Verdict::TooFew), "{verdicts:?}");
    assert!(verdicts.iter().any(|v| matches!(v, Verdict::Stepped(_))), "{verdicts:?}");
    assert!(verdicts.iter().any(|v| matches!(v, Verdict::Coming(_))), "{verdicts:?}");
    let json: serde_json::Value =
        serde_json::from_str(&to_json(std::slice::from_ref(&trends), &[&machine])).unwrap();
    let languages =
        [(Language::English, false), (Language::Spanish, true), (Language::German, true)];
    for ((language, comma), drawn) in languages.into_iter().flat_map(|l| [(l, true), (l, false)]) {
        let text = if drawn {
            page(&trends, SheetOptions { language, ..SHORT })
        } else {
            one_line(&printed(&trends, language, 400))
        };
        let mut found = 0;
        for sign in json["machines"][0]["signs"].as_array().unwrap() {
            let unit = sign["unit"].as_str().unwrap();
            let mut has = |words: String| {
                assert!(text.contains(&words), "{language:?} {sign}: no {words:?} in\n{text}");
                found += 1;
            };
            let told =
                ["drifted", "coming", "stepped"].contains(&sign["verdict"].as_str().unwrap());
            for key in ["first_level", "last_level", "stepped_from", "stepped_to"] {
                if let Some(value) = sign[key].as_f64() {
                    has(amount(unit, value, comma));
                }
            }
            for key in ["change_share", "change_low", "change_high"] {
                if let Some(share) = sign[key].as_f64() {
                    has(percent(share));
                }
            }
            if told {
                has(percent(sign["told_from_share"].as_f64().unwrap()).replace('+', ""));
            }
            // The limit is drawn where it lies: at the first level and its share.
            let begin = sign["stepped_from"].as_f64().or(sign["first_level"].as_f64());
            if let Some(begin) = begin.filter(|_| drawn) {
                let way = if sign["sign"] == "run_down_time" { -1.0 } else { 1.0 };
                let share = sign["told_from_share"].as_f64().unwrap();
                has(amount(unit, begin * (1.0 + way * share), comma));
            }
            if language == Language::English && told {
                has(sign["may_be"].as_str().unwrap().to_owned());
                for check in sign["check"].as_array().unwrap() {
                    has(check.as_str().unwrap().to_owned());
                }
            }
        }
        assert!(found > 35, "{language:?}: {found}");
    }
}

/// Each dot, the line and the limit lie at their values.
#[test]
fn every_night_has_its_dot() {
    let (site, machine) = (site(), machine());
    let trends = trends(&machine);
    let input =
        TrendsInput { site: &site, machines: &[&machine], trends: std::slice::from_ref(&trends) };
    let document = crate::sheet::wording::trends::document(&input, SI_A4);
    let mut charts = Vec::new();
    for block in &document.blocks {
        if let crate::sheet::document::Block::Beside { left, .. } = block {
            charts.extend(left.iter().filter_map(|block| match block {
                crate::sheet::document::Block::Change(chart) => Some(chart),
                _ => None,
            }));
        }
    }
    assert_eq!(charts.len(), trends.series.len());
    let (mut dots, mut lines) = (0, 0);
    for chart in &charts {
        assert!(chart.axis.top > chart.base, "{chart:?}");
        let inside = |value: f64| (chart.base..=chart.axis.top).contains(&value);
        for (place, value) in &chart.points {
            assert!((0.0..=1.0).contains(place) && inside(*value), "{place} {value} {chart:?}");
            dots += 1;
        }
        lines += chart.lines.len();
        assert!(chart.limits.iter().all(|limit| inside(limit.0)), "{chart:?}");
    }
    assert_eq!(dots, 6 * NIGHTS as usize + 4);
    assert_eq!(lines, 5 + 2, "one line each, two levels of the step, none of too few");
}

#[test]
fn nothing_seen_is_said() {
    let nothing =
        MachineTrends { machine: 0, dates: (first(), first()), nights: 0, series: Vec::new() };
    let text = page(&nothing, SHORT);
    assert!(text.contains("No sign was seen in these nights."), "{text}");
    assert!(!text.contains("NaN") && !text.contains("inf"), "{text}");
}

/// All that has to be told stands there at every width, and no line is longer.
#[test]
fn the_text_fits_every_width() {
    let machine = machine();
    let trends = trends(&machine);
    for language in Language::ALL {
        let whole = one_line(&printed(&trends, language, 400));
        let words = crate::sheet::words::Words::new(language);
        for width in [40, 60, 72, 80, 100, 140, 400] {
            let text = printed(&trends, language, width);
            for line in text.lines() {
                assert!(line.chars().count() <= width, "{}, {width}: {line}", language.tag());
            }
            let joined = one_line(&text);
            let told = trends.told().count();
            assert_eq!(told, 4);
            for said in ["trend-may-heavy", "trend-may-stops", "trend-may-battery"]
                .into_iter()
                .chain(["safety-key", "caution-battery", "safety-manual"])
            {
                assert!(joined.contains(&words.say(said)), "{}, {width}: {text}", language.tag());
                assert!(whole.contains(&words.say(said)));
            }
            // Words of verdicts are wrapped within their column, but none goes.
            let drifted = words.say("trend-short-drifted");
            for word in drifted.split_whitespace() {
                assert!(joined.contains(word), "{}, {width}: {word} in {text}", language.tag());
            }
        }
    }
}

#[test]
fn the_text_leaves_nothing_in_english() {
    let machine = machine();
    let trends = trends(&machine);
    let words = |language| -> BTreeSet<String> {
        let text = printed(&trends, language, 400);
        let words = text.split(|c: char| !c.is_alphabetic()).filter(|w| w.chars().count() > 2);
        words.map(str::to_lowercase).collect()
    };
    let english = words(Language::English);
    assert!(english.len() > 100, "{}", english.len());
    // The machine's name, and words that are the same.
    let same = ["big", "scrubber", "motor", "oct", "nov", "manual", "hand", "last", "warm"];
    for language in [Language::Spanish, Language::German] {
        let own = words(language);
        let left: Vec<&String> =
            own.intersection(&english).filter(|word| !same.contains(&word.as_str())).collect();
        assert!(left.is_empty(), "{}: {left:?}", language.tag());
        assert!(own.len() > 100, "{}", own.len());
    }
}
