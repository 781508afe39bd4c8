//! Scripts of keys against what they must show, and frames without a terminal.

#[path = "../../../tests/shared/dots.rs"]
mod dots;
mod languages;

use self::dots::dot_at;
use super::lane::{Lane, Shape};
use super::*;
use crate::events::{Event, EventKind, Finding, Measure, Severity};
use crate::findings::{Place, Span};
use crate::settings::site::Language;
use crate::window::{Cell, Line, Quantity, Window};
use chrono::{DateTime, NaiveDate, Utc};
use proptest::prelude::*;
use ratatui_core::buffer::Buffer;
use ratatui_core::layout::Rect;
use underbrush_protocol::si::Seconds;

/// 2026-11-23T22:00:00Z; in New York 17:00.
const BEGIN: i64 = 1_795_471_200_000;
const HOUR: i64 = 3_600_000;
const COLUMNS: usize = 50;

fn at(ms: i64) -> DateTime<Utc> {
    DateTime::from_timestamp_millis(BEGIN + ms).unwrap()
}

fn span(from: i64, to: i64) -> Span {
    Span { from: at(from), to: at(to) }
}

fn event(id: &str, from: i64, to: i64, severity: Severity) -> Event {
    Event {
        id: format!("2026-11-23.{id}"),
        night: NaiveDate::from_ymd_opt(2026, 11, 23).unwrap(),
        machine: 0,
        kind: EventKind::Stall,
        severity,
        span: span(from, to),
        cut_short: false,
        place: Place::default(),
        motor: Some(1),
        peak: None,
        figure: Measure { of: "current", value: 80.0, unit: "A" },
        limit: None,
        longer_than: None,
        finding: Finding::Gap,
    }
}

/// Fourteen hours with three events.
fn scene() -> Scene {
    Scene {
        title: "Test hall · Test machine".to_owned(),
        night: NaiveDate::from_ymd_opt(2026, 11, 23).unwrap(),
        zone: chrono_tz::UTC,
        extent: span(0, 14 * HOUR),
        lanes: Vec::new(),
        events: vec![
            event("1", HOUR, HOUR + 2_000, Severity::Severe),
            event("2", HOUR, HOUR + 700, Severity::Slight),
            event("c1", 5 * HOUR, 5 * HOUR + 600_000, Severity::Inspect),
        ],
        waiting: Waiting::default(),
        empty: false,
        language: Language::English,
    }
}

/// Types keys: letters are themselves, and `<` `>` arrows, `^` up, `v` down, `/` Enter,
/// `!` Escape, `~` the last letter away, `{` `}` begin and end.
fn type_in(state: &mut State, scene: &Scene, keys: &str) -> Effect {
    let mut last = Effect::Stay;
    for letter in keys.chars() {
        let key = match letter {
            '<' => Key::Left,
            '>' => Key::Right,
            '^' => Key::Up,
            'v' => Key::Down,
            '/' => Key::Enter,
            '!' => Key::Escape,
            '~' => Key::Erase,
            '{' => Key::Home,
            '}' => Key::End,
            other => Key::Char(other),
        };
        last = update(state, key, scene, COLUMNS, 3);
    }
    last
}

fn typed(keys: &str) -> (State, Effect) {
    let scene = scene();
    let mut state = State::new(View::whole(scene.extent));
    let effect = type_in(&mut state, &scene, keys);
    (state, effect)
}

/// Where the cursor stands and how much is shown, in ms.
fn place(keys: &str) -> (i64, i64) {
    let (state, _) = typed(keys);
    (state.view.cursor_ms() - BEGIN, state.view.length_ms())
}

#[test]
fn arrows_move_by_a_column_and_scroll_at_the_edge() {
    let column = 14 * HOUR / 50;
    assert_eq!(place(""), (0, 14 * HOUR));
    assert_eq!(place("<<"), (0, 14 * HOUR), "there is nothing before");
    assert_eq!(place(">>>"), (3 * column, 14 * HOUR));
    assert_eq!(place(">>><"), (2 * column, 14 * HOUR));
    assert_eq!(place("}").0, 14 * HOUR - 1);
    // Zoomed to an hour at the begin, 50 columns on: the view has moved on.
    let (state, _) = typed(&format!("------++++{}", ">".repeat(60)));
    let length = state.view.length_ms();
    assert_eq!(length, HOUR);
    assert!(state.view.from_ms() > BEGIN);
    assert_eq!(state.view.cursor_column(COLUMNS), COLUMNS - 1);
}

#[test]
fn zooming_goes_from_the_whole_night_to_a_second_and_back() {
    assert_eq!(place("+").1, 8 * HOUR);
    assert_eq!(place(&"+".repeat(40)).1, 1_000);
    assert_eq!(place(&format!("{}{}", "+".repeat(40), "-".repeat(40))), (0, 14 * HOUR));
    assert_eq!(place("+++0").1, 14 * HOUR);
    // The cursor keeps its place on the screen.
    let scene = scene();
    let mut state = State::new(View::whole(scene.extent));
    type_in(&mut state, &scene, &">".repeat(25));
    let (cursor, column) = (state.view.cursor_ms(), state.view.cursor_column(COLUMNS));
    for _ in 0..14 {
        type_in(&mut state, &scene, "+");
        assert_eq!(state.view.cursor_ms(), cursor);
        assert!(state.view.cursor_column(COLUMNS).abs_diff(column) <= 1);
    }
    assert_eq!(state.view.length_ms(), 1_000);
}

#[test]
fn n_and_p_go_through_all_events_also_those_of_one_begin() {
    let ids = |keys: &str| {
        let (state, _) = typed(keys);
        (state.event, state.view.cursor_ms() - BEGIN)
    };
    assert_eq!(ids("n"), (Some(0), HOUR));
    assert_eq!(ids("nn"), (Some(1), HOUR));
    assert_eq!(ids("nnn"), (Some(2), 5 * HOUR));
    let (state, _) = typed("nnnn");
    assert_eq!((state.event, state.said.as_deref()), (Some(2), Some("no event after this")));
    assert_eq!(ids("nnnp"), (Some(1), HOUR));
    assert_eq!(ids("}p"), (Some(2), 5 * HOUR));
    // A step away, the event is no longer the one at hand.
    assert_eq!(ids("n>").0, None);
    assert_eq!(ids("n><").0, None);
    // An event of ten minutes is shown whole, however far one has zoomed in.
    let (state, _) = typed(&format!("{}nnn", "+".repeat(40)));
    assert_eq!(state.view.length_ms(), 660_000);
}

#[test]
fn g_goes_to_a_time_a_day_or_an_event() {
    assert_eq!(place("g23:30/").0, HOUR + HOUR / 2);
    assert_eq!(place("g1:02:03.5/").0, 3 * HOUR + 123_500, "after midnight is the next day");
    assert_eq!(place("gx~c1/").0, 5 * HOUR);
    assert_eq!(place("g2026-11-24 03:00/").0, 5 * HOUR);
    let (state, _) = typed("g21:00/");
    assert!(state.said.as_deref().is_some_and(|said| said.contains("not in this night")));
    let (state, _) = typed("gsoon/");
    assert!(state.said.as_deref().is_some_and(|said| said.starts_with("soon: write a time")));
    assert_eq!(state.mode, Mode::Look);
    let (_, effect) = typed("g2026-12-01 03:00/");
    assert_eq!(effect, Effect::Instant(BEGIN + (7 * 24 + 5) * HOUR));
    // Given up, nothing has moved; an n was typed, not pressed.
    assert_eq!(place("gn!").0, 0);
    assert_eq!(typed("g/").0.mode, Mode::Look);
    assert_eq!(typed("gq").0.mode, Mode::Ask("q".to_owned()));
}

// IANA zone America/New_York: 2026-11-01 06:00 UTC the clock goes from 02:00 back to 01:00.
#[test]
fn a_time_that_comes_twice_is_the_first() {
    let mut scene = scene();
    scene.zone = chrono_tz::America::New_York;
    scene.night = NaiveDate::from_ymd_opt(2026, 10, 31).unwrap();
    let begin: DateTime<Utc> = "2026-11-01T02:00:00Z".parse().unwrap();
    scene.extent = Span { from: begin, to: begin + chrono::Duration::hours(9) };
    let mut state = State::new(View::whole(scene.extent));
    type_in(&mut state, &scene, "g1:30/");
    assert_eq!(state.view.cursor_ms(), begin.timestamp_millis() + 7 * HOUR / 2);
    // With half an hour more to go it is shown by its zone.
    state.view.show(
        begin.timestamp_millis() + 3 * HOUR,
        begin.timestamp_millis() + 5 * HOUR,
        begin.timestamp_millis() + 3 * HOUR,
    );
    let picture = picture(&scene, &state, &empty(&state), (80, 24));
    assert!(text(&picture).contains("01:00:00 EDT"), "{}", text(&picture));
}

#[test]
fn help_leave_and_other_nights() {
    assert_eq!(typed("?").0.mode, Mode::Help);
    assert_eq!(typed("?q"), (State::new(View::whole(scene().extent)), Effect::Stay));
    assert_eq!(typed("q").1, Effect::Leave);
    assert_eq!(typed("[").1, Effect::Night(NaiveDate::from_ymd_opt(2026, 11, 22).unwrap()));
    assert_eq!(typed("]").1, Effect::Night(NaiveDate::from_ymd_opt(2026, 11, 24).unwrap()));
    for before in ["", "?", "g12"] {
        let (mut state, _) = typed(before);
        assert_eq!(update(&mut state, Key::Interrupt, &scene(), COLUMNS, 0), Effect::Leave);
    }
    assert_eq!(typed("vvvvvv").0.first_lane, 3, "no further than what is hidden");
    assert_eq!(typed("vv^").0.first_lane, 1);
}

fn empty(state: &State) -> Window {
    Window { span: state.view.span(), cells: 0, lines: Vec::new() }
}

fn picture(scene: &Scene, state: &State, window: &Window, (width, height): (u16, u16)) -> Buffer {
    let mut buffer = Buffer::empty(Rect::new(0, 0, width, height));
    draw(scene, state, window, Colours::None, &mut buffer);
    buffer
}

proptest! {
    /// Whatever is typed on whatever screen: the cursor is in the view, the view in the
    /// night, and a picture comes of it.
    #[test]
    fn any_keys_on_any_screen(
        keys in "[-+0npg\\[\\]<>^v/!~{}? 1:2c.]{0,60}",
        size in (1_u16..140, 1_u16..50),
        waiting in any::<bool>(),
    ) {
        let mut scene = scene();
        scene.waiting.events = waiting;
        scene.lanes = lanes_of_three();
        let mut state = State::new(View::whole(scene.extent));
        type_in(&mut state, &scene, &keys);
        let view = &state.view;
        let (from, to) = (view.from_ms(), view.from_ms() + view.length_ms());
        prop_assert!((from..to).contains(&view.cursor_ms()));
        prop_assert!(from >= BEGIN && to <= BEGIN + 14 * HOUR && to - from >= 1_000);
        let columns = plot_columns(size.0);
        let (begin, end) = view.column(view.cursor_column(columns), columns);
        prop_assert!(begin <= view.cursor_ms() + 1 && view.cursor_ms() < end.max(begin + 1));
        picture(&scene, &state, &empty(&state), size);
    }

    /// Every dot of a curve is one between the smallest and the largest of its half column,
    /// and each of those is a dot.
    #[test]
    fn dots_are_the_smallest_to_the_largest(
        cells in proptest::collection::vec(
            proptest::option::of((0.0_f32..100.0, 0.0_f32..100.0)), 2 * COLUMNS),
        height in 14_u16..40,
    ) {
        let mut scene = scene();
        scene.lanes = lanes_of_three();
        let state = State::new(View::whole(scene.extent));
        let width = 80;
        prop_assert_eq!(plot_columns(width) + 2, COLUMNS);
        let ordered = |(a, b): (f32, f32)| (a.min(b), a.max(b));
        let cells: Vec<Cell> = cells
            .iter()
            .take(2 * plot_columns(width))
            .map(|range| Cell { range: range.map(ordered), seen: Seconds(1.0) })
            .collect();
        let line = Line { quantity: Quantity::Pressure, cells: cells.clone() };
        let window = Window { span: state.view.span(), cells: cells.len(), lines: vec![line] };
        let picture = text(&picture(&scene, &state, &window, (width, height)));
        let rows: Vec<Vec<char>> = picture
            .lines()
            .skip_while(|line| !line.starts_with("Level"))
            .take_while(|line| line.starts_with("Level") || line.starts_with(' '))
            .map(|line| line.chars().collect())
            .collect();
        let dots = rows.len() * 4;
        for (number, cell) in cells.iter().enumerate() {
            let drawn: Vec<usize> = (0..dots).filter(|dot| dot_at(&rows, number, *dot)).collect();
            let wanted: Vec<usize> = match cell.range {
                None => Vec::new(),
                Some((low, high)) => {
                    let dot = |v: f32| (f64::from(v) / 100.0 * (dots - 1) as f64).round() as usize;
                    (dot(low)..=dot(high)).collect()
                }
            };
            prop_assert_eq!(drawn, wanted, "half column {}", number);
        }
    }
}

/// A lane without a limit, a switch and a detector.
fn lanes_of_three() -> Vec<Lane> {
    let curve = Shape::Curve { base: 0.0, top: 100.0, limits: Vec::new(), decimals: 0 };
    vec![
        Lane::of("Level, %", Quantity::Pressure, curve, (2, 6)),
        Lane::of("Switch", Quantity::Command, Shape::Switch, (1, 1)),
        Lane::of("? stalled", Quantity::Vacuum, Shape::Detector, (1, 1)),
    ]
}

#[test]
fn switches_and_detectors_tell_all_that_was_in_a_column() {
    let mut scene = scene();
    scene.lanes = lanes_of_three();
    let state = State::new(View::whole(scene.extent));
    let cells = |of: fn(usize) -> Option<(f32, f32)>| -> Vec<Cell> {
        (0..96).map(|i| Cell { range: of(i), seen: Seconds(1.0) }).collect()
    };
    let command = cells(|i| match i {
        0..20 => Some((0.0, 0.0)),
        21 => Some((0.0, 1.0)),
        20..50 => Some((1.0, 1.0)),
        _ => None,
    });
    let detector = cells(|i| match i {
        33 => Some((0.0, 1.0)),
        35 => Some((0.0, 0.5)),
        _ => Some((0.0, 0.0)),
    });
    let lines = vec![
        Line { quantity: Quantity::Command, cells: command },
        Line { quantity: Quantity::Vacuum, cells: detector },
    ];
    let window = Window { span: state.view.span(), cells: 96, lines };
    let picture = text(&picture(&scene, &state, &window, (80, 16)));
    let row = |name: &str| {
        let line = picture.lines().find(|line| line.starts_with(name)).unwrap().to_owned();
        line.chars().skip(22).take(48).collect::<String>()
    };
    let switch = format!("{}▌{}{}", "─".repeat(10), "█".repeat(14), "/".repeat(23));
    assert_eq!(row("Switch"), switch);
    let detector = format!("{}█░{}", "·".repeat(16), "·".repeat(30));
    assert_eq!(row("? stalled"), detector);
}

/// Marks of events stand where they begin; a worse one is not hidden by a slighter one.
#[test]
fn events_are_marked_where_they_begin() {
    let scene = scene();
    let state = State::new(View::whole(scene.extent));
    let picture = text(&picture(&scene, &state, &empty(&state), (80, 24)));
    let row: Vec<char> = picture.lines().nth(1).unwrap().chars().skip(22).collect();
    let column = |ms: i64| (ms * 48 / (14 * HOUR)) as usize;
    assert_eq!(row[column(HOUR)], '▼');
    assert_eq!(row[column(5 * HOUR)], '▲');
    assert_eq!(row.iter().filter(|c| **c != ' ').count(), 2);
}

#[test]
fn too_small_a_window_says_so() {
    let scene = scene();
    let state = State::new(View::whole(scene.extent));
    let told = text(&picture(&scene, &state, &empty(&state), (59, 24)));
    assert!(told.contains("at least 60 x 14"), "{told}");
    let told = text(&picture(&scene, &state, &empty(&state), (60, 14)));
    assert!(told.contains("Test hall"), "{told}");
}
