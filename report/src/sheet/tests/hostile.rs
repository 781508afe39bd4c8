//! Findings that no machine makes, and names that no one should give.

use super::sample::{empty, load_event, long, machine, place, site, typical};
use super::written::check_places;
use super::{SI_A4, US_LETTER, sheet, sheet_of};
use crate::findings::*;
use crate::settings::{Band, Phase};
use chrono::{DateTime, Duration, NaiveDate, Utc};
use proptest::prelude::*;
use underbrush_protocol::si::*;

const NAMES: [&str; 6] = [
    "",
    "\u{1B}[2J\u{7}\r\nbell",
    "\u{202E}evil\u{200B}",
    "東京タワー大理石の床",
    "قاعة",
    "Wwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwww",
];

#[test]
fn hostile_names_are_printed_and_announced() {
    for name in NAMES {
        let (mut site, mut machine) = (site(), machine());
        name.clone_into(&mut site.name);
        name.clone_into(&mut machine.name);
        name.clone_into(&mut machine.id);
        for section in &mut site.sections {
            name.clone_into(&mut section.name);
            name.clone_into(&mut section.id);
        }
        for step in &mut site.steps {
            name.clone_into(&mut step.grit);
        }
        let mut f = typical();
        f.remarks = vec![name.repeat(40)];
        f.data.problems =
            vec![Problem { data_lost: true, message: format!("{name} ").repeat(90) }; 30];
        for options in [US_LETTER, SI_A4] {
            let sheet = sheet_of(&f, &site, &machine, options);
            let text = sheet.to_text(100);
            assert!(!text.chars().any(|c| c.is_control() && c != '\n'), "{name:?}");
            assert!(!text.contains(['\u{202E}', '\u{200B}']), "{name:?}");
            let odd = name.chars().any(|c| c.is_control() || c > '\u{5FF}');
            assert_eq!(text.contains("NOTICE  Some names or messages"), odd, "{name:?}");
            sheet.to_pdf().unwrap();
            check_places(&sheet);
        }
    }
}

#[test]
fn every_problem_is_printed() {
    let mut f = empty();
    f.data.problems = (0..300)
        .map(|i| Problem { data_lost: i % 2 == 0, message: format!("Problem with id {i}x.") })
        .collect();
    let text = sheet(&f, US_LETTER).to_text(100);
    for i in 0..300 {
        assert!(text.contains(&format!("id {i}x.")), "{i}");
    }
    check_places(&sheet(&f, US_LETTER));
}

#[test]
fn what_must_not_be_said_is_not_said() {
    for f in [typical(), long(), empty()] {
        let text = sheet(&f, US_LETTER).to_text(200).to_lowercase();
        for word in ["safe", "slip resistance", "gloss", "satin", "danger", "guarantee"] {
            assert!(!text.contains(word), "{word}");
        }
        assert!(text.contains("warning"));
    }
}

fn number() -> impl Strategy<Value = f64> {
    prop_oneof![4 => -10.0..1e5_f64, 1 => any::<f64>(), 1 => Just(0.0), 1 => Just(f64::NAN)]
}

fn moment() -> impl Strategy<Value = DateTime<Utc>> {
    (0..4_000_000_000_i64).prop_map(|s| DateTime::from_timestamp(s, 0).unwrap_or_default())
}

/// Near the shift mostly, its end not always after its begin.
fn span() -> impl Strategy<Value = Span> {
    (-90_000..90_000_i64, -100..20_000_i64).prop_map(|(from, length)| {
        let from = empty().shift.span.from + Duration::seconds(from);
        Span { from, to: from + Duration::seconds(length) }
    })
}

fn place_any() -> impl Strategy<Value = Place> {
    let phase = prop_oneof![
        Just(None),
        (0..9_u8).prop_map(|n| Some(Phase::Step(n))),
        Just(Some(Phase::Maintenance))
    ];
    (proptest::option::of(0..9_usize), phase).prop_map(|(section, phase)| Place {
        section,
        phase,
        source: PlaceSource::Book,
    })
}

fn band() -> impl Strategy<Value = Option<Band>> {
    proptest::option::of(
        (number(), number()).prop_map(|(low, high)| Band {
            low: MetresPerSecond(low),
            high: MetresPerSecond(high),
        }),
    )
}

fn verdict() -> impl Strategy<Value = StepVerdict> {
    prop_oneof![
        proptest::option::of(0..9_u8).prop_map(|next| StepVerdict::Done { next }),
        (0..9_u8, number()).prop_map(|(step, s)| StepVerdict::Open { step, missing: Seconds(s) }),
        Just(StepVerdict::Maintained),
        Just(StepVerdict::Unknown),
    ]
}

fn section_work() -> impl Strategy<Value = SectionWork> {
    let numbers = (number(), number(), number(), number(), number());
    (place_any(), span(), numbers, any::<[bool; 4]>(), verdict()).prop_map(
        |(place, span, (brush, in_band, speed, area, passes), some, verdict)| SectionWork {
            place,
            span,
            brush_time: Seconds(brush),
            in_band: some[0].then_some(Seconds(in_band)),
            mean_speed: some[1].then_some(MetresPerSecond(speed)),
            swept_area: SquareMetres(area),
            passes: some[2].then_some(passes),
            stationary_events: u32::from(some[0]) * 3,
            forbidden: some[3],
            verdict,
            confidence: None,
        },
    )
}

fn cell() -> impl Strategy<Value = RibbonCell> {
    let pair = || proptest::option::of((number(), number()));
    let means = (proptest::option::of(number()), proptest::option::of(number()));
    (pair(), pair(), means, proptest::option::of(any::<f32>()), band()).prop_map(
        |(speed, current, means, brush_on, band)| RibbonCell {
            speed: speed.map(|(a, b)| (MetresPerSecond(a), MetresPerSecond(b))),
            speed_mean: means.0.map(MetresPerSecond),
            current: current.map(|(a, b)| (Amperes(a), Amperes(b))),
            current_mean: means.1.map(Amperes),
            brush_on,
            band,
        },
    )
}

fn any_load_event() -> impl Strategy<Value = LoadFindingEvent> {
    (span(), any::<bool>(), 0..99_usize, number(), place_any()).prop_map(
        |(span, cut_short, motor, peak, place)| LoadFindingEvent {
            cut_short,
            ratio: Some(peak),
            rise: Some(Seconds(peak)),
            ..load_event(LoadKind::Light, span, motor, peak, place)
        },
    )
}

fn stationary() -> impl Strategy<Value = StationaryFinding> {
    (span(), any::<bool>(), place_any(), number(), proptest::option::of(number())).prop_map(
        |(span, cut_short, place, passes, energy)| StationaryFinding {
            span,
            cut_short,
            place,
            equivalent_passes: passes,
            step_passes: 20.0,
            brushes: [None; 4],
            friction_energy: energy.map(Joules),
            severity: if cut_short { Severity::Slight } else { Severity::Severe },
        },
    )
}

fn several<S: Strategy>(one: S, most: usize) -> impl Strategy<Value = Vec<S::Value>> {
    proptest::collection::vec(one, 0..most)
}

fn findings() -> impl Strategy<Value = Findings> {
    let lists = (
        several(stationary(), 12),
        several(any_load_event(), 8),
        several(section_work(), 12),
        several(cell(), 60),
        several(span(), 30),
    );
    let speeds = several((number(), 0..5_000_u64), 30);
    let phases = several((band(), number(), number(), number()), 4);
    (lists, speeds, phases, [number(), number(), number(), number()], moment(), ".{0,80}").prop_map(
        |((stationary, load, sections, cells, gaps), speeds, phases, n, at, words)| {
            let mut f = empty();
            f.stationary = stationary;
            f.load.stalls.clone_from(&load);
            f.load.others.clone_from(&load);
            f.load.over_pressure = load;
            let all = Amperes(n[0]);
            f.load.motors = vec![MotorLoad {
                mean: all,
                median: all,
                p95: all,
                max: Amperes(n[1]),
                ..MotorLoad::default()
            }];
            f.sections = sections;
            f.ribbon.cells = cells;
            f.data.gaps = gaps;
            f.data.recorded = Seconds(n[2]);
            f.data.observed = Seconds(n[3]);
            for (speed, ms) in speeds {
                f.speed.histogram.add(MetresPerSecond(speed), ms);
            }
            f.speed.by_phase = phases
                .into_iter()
                .map(|(band, below, within, above)| PhaseSpeed {
                    phase: Some(Phase::Step(1)),
                    band,
                    below: Seconds(below),
                    within: Seconds(within),
                    above: Seconds(above),
                    ..PhaseSpeed::default()
                })
                .collect();
            let day = at.date_naive();
            let length = |v| Metres(v);
            f.wear.left =
                Some(Estimate { best: length(n[0]), low: length(n[1]), high: length(n[2]) });
            f.wear.reorder_day = Some(DayRange { best: day, early: day, late: None });
            f.wear.order_by = Some(NaiveDate::MAX);
            f.wear.measured = Some((NaiveDate::MIN, length(n[3])));
            f.wear.grit = Some(words.clone());
            f.wear.remarks = vec![WearRemark::Damaged { places: u32::MAX }];
            f.remarks = vec![words];
            f
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 96,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn no_findings_break_the_sheet(f in findings(), width in 0..300_usize) {
        let sheet = sheet(&f, US_LETTER);
        let text = sheet.to_text(width);
        prop_assert!(!text.contains("NaN") && !text.contains("inf "));
        let pdf = lopdf::Document::load_mem(&sheet.to_pdf().unwrap()).unwrap();
        prop_assert!(!pdf.get_pages().is_empty());
        check_places(&sheet);
    }
}

#[test]
fn a_place_that_the_site_does_not_have_is_named_so() {
    let mut f = typical();
    f.stationary[0].place = place(77, Phase::Step(1));
    let text = sheet(&f, US_LETTER).to_text(100);
    assert!(text.replace('\n', " ").contains("section number 78"), "{text}");
}
