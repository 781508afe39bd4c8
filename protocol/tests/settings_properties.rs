//! What must hold for any text given as a machine file.

use proptest::prelude::*;
use underbrush_protocol::settings::Machine;

const GOOD: &str = r#"id = "S-7"
name = "Demo 28"

[deck]
brushes = 2
path_width = "28 in"
contact_length = "0.3 m"

[motor]
torque_constant = "0.11 N.m/A"
resistance = "90 mohm"
no_load_current = "3 A"
gear_ratio = 12.5
rated_current = "35 A"

[blade]
new_length = "1 in"
wear_rate_uncertainty = 0.4

[battery]
nominal_voltage = "24 V"

[limits]
standing_speed = "0.1 mph"
standing_time = "2 s"
turning_rpm = 20.0
longest_gap = "1 s"

[[signal]]
channel = "speed"
message = "Drive"
signal = "Speed"
factor = 0.5
"#;

fn error(text: &str) -> String {
    Machine::parse("hall/machine.toml", text).expect_err("wrong").to_string()
}

#[test]
fn the_good_one_is_good() {
    let machine = Machine::parse("machine.toml", GOOD).expect("good");
    assert_eq!((machine.deck.brushes, machine.signals.len()), (2, 1));
    assert_eq!(machine.longest_gap_ms(), 1_000);
}

/// `GOOD` with the value of one line replaced.
fn with(key: &str, value: &str) -> String {
    assert_eq!(GOOD.matches(&format!("\n{key} = ")).count(), 1, "{key}");
    let line = |line: &str| match line.split_once(" = ") {
        Some((name, _)) if name == key => format!("{key} = {value}\n"),
        _ => format!("{line}\n"),
    };
    GOOD.lines().map(line).collect()
}

// A limit that is not a number would switch a detector off without a word.
#[test]
fn values_that_cannot_be_are_refused_with_file_line_and_key() {
    let huge = format!("\"{} mph\"", "9".repeat(400));
    let cases = [
        ("turning_rpm", "nan", "line 26, key `limits.turning_rpm`"),
        ("turning_rpm", "inf", "line 26, key `limits.turning_rpm`"),
        ("turning_rpm", "-1.0", "line 26, key `limits.turning_rpm`"),
        ("standing_speed", "\"-1 mph\"", "line 24, key `limits.standing_speed`"),
        ("standing_speed", huge.as_str(), "line 24, key `limits.standing_speed`"),
        ("standing_time", "\"-2 s\"", "line 25, key `limits.standing_time`"),
        ("longest_gap", "\"0 s\"", "line 27, key `limits.longest_gap`"),
        ("gear_ratio", "nan", "line 13, key `motor.gear_ratio`"),
        ("no_load_current", "\"-3 A\"", "line 12, key `motor.no_load_current`"),
        ("wear_rate_uncertainty", "nan", "line 18, key `blade.wear_rate_uncertainty`"),
        ("new_length", "\"0.2 in\"", "line 16, key `blade.reorder_length`"),
        ("new_length", "\"1 in\"\nend_length = \"0.3 in\"", "line 18, key `blade.end_length`"),
        (
            "new_length",
            "\"1 in\"\nnew_length_tolerance = \"-1 mm\"",
            "line 18, key `blade.new_length_tolerance`",
        ),
        ("factor", "inf", "line 33, key `signal.factor`"),
        ("brushes", "5", "line 5, key `deck.brushes`"),
        ("path_width", "28", "line 6, key `deck.path_width`"),
        ("channel", "\"sped\"", "line 30, key `signal.channel`"),
    ];
    for (key, value, place) in cases {
        let message = error(&with(key, value));
        // Where the file leaves a key out, the line is that of its table.
        let expected = format!("hall/machine.toml, {place}: ");
        assert!(message.starts_with(&expected), "{message}\nshould begin with\n{expected}");
    }
}

proptest! {
    #[test]
    fn any_text_is_read_or_refused(text in any::<String>()) {
        if let Err(error) = Machine::parse("m.toml", &text) {
            prop_assert!(error.to_string().starts_with("m.toml"));
        }
    }

    #[test]
    fn any_toml_like_text_is_read_or_refused(text in "([a-z\\[\\]\"'=.{}, 0-9#\\\\\r\n-]|deck|motor|id = |signal|\"\"\"|é){0,60}") {
        if let Err(error) = Machine::parse("m.toml", &text) {
            prop_assert!(error.to_string().starts_with("m.toml"));
        }
    }

    #[test]
    fn any_change_of_a_good_file_is_read_or_refused(at in any::<prop::sample::Index>(), len in 0_usize..30, put in "\\PC{0,12}") {
        let at = at.index(GOOD.len());
        let end = (at + len).min(GOOD.len());
        let text = format!("{}{put}{}", &GOOD[..at], &GOOD[end..]);
        match Machine::parse("m.toml", &text) {
            Ok(machine) => {
                let limits = machine.limits();
                prop_assert!(limits.standing_m_s > 0.0 && limits.standing_m_s.is_finite());
                prop_assert!(limits.moving_m_s >= limits.standing_m_s);
            }
            Err(error) => prop_assert!(error.to_string().starts_with("m.toml")),
        }
    }
}
