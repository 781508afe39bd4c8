//! Made-up shifts for the tests.

use crate::findings::*;
use crate::settings::{Band, Phase, Site};
use chrono::{DateTime, Duration, NaiveDate, Utc};
use underbrush_protocol::note::LinkLoss;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::si::*;

pub(super) const SITE: &str = r#"
name = "Example Hall"
time_zone = "America/Chicago"
[shift]
start = "22:00"
end = "06:00"
[[step]]
number = 1
grit = "100"
minutes = 45
[[step]]
number = 2
grit = "200"
minutes = 30
[[step]]
number = 3
grit = "400"
minutes = 30
[maintenance]
grit = "3000"
[[section]]
id = "A-12"
name = "Atrium north"
area = "640 sq ft"
[[section]]
id = "A-13"
name = "Atrium south"
area = "580 sq ft"
[[section]]
id = "B-01"
name = "Corridor"
area = "2400 sq ft"
[[section]]
id = "L-1"
name = "Lobby mosaic"
area = "300 sq ft"
polish = false
"#;

pub(super) const MACHINE: &str = r#"
id = "scrubber-1"
name = "Big scrubber"
[deck]
brushes = 2
path_width = "28 in"
contact_length = "13 in"
[motor]
torque_constant = "0.08 N.m/A"
resistance = "0.05 ohm"
no_load_current = "4 A"
gear_ratio = 12
rated_current = "30 A"
[battery]
nominal_voltage = "36 V"
"#;

pub(super) fn site() -> Site {
    Site::parse("site.toml", SITE).unwrap()
}

pub(super) fn machine() -> Machine {
    Machine::parse("machine.toml", MACHINE).unwrap()
}

pub(super) fn mph(v: f64) -> MetresPerSecond {
    MetresPerSecond(v * 0.447_04)
}

pub(super) fn at(text: &str) -> DateTime<Utc> {
    text.parse().unwrap()
}

fn span(from: DateTime<Utc>, seconds: i64) -> Span {
    Span { from, to: from + Duration::seconds(seconds) }
}

/// Nothing in it: 22:00 to 06:00 in Chicago.
pub(super) fn empty() -> Findings {
    Findings {
        shift: Shift {
            date: NaiveDate::from_ymd_opt(2026, 11, 23).unwrap(),
            span: Span { from: at("2026-11-24T04:00:00Z"), to: at("2026-11-24T12:00:00Z") },
            zone: chrono_tz::America::Chicago,
        },
        data: Completeness::default(),
        speed: SpeedFinding::default(),
        stationary: Vec::new(),
        standing: Standing::default(),
        care: CareFinding::default(),
        battery: BatteryFinding::default(),
        quality: QualityFinding::default(),
        load: LoadFinding::default(),
        area: AreaFinding::default(),
        sections: Vec::new(),
        checks: crate::consumables::CheckList::default(),
        wear: WearFinding { reorder_length: Metres(0.25 * 0.0254), ..WearFinding::default() },
        ribbon: Ribbon::default(),
        blocks: Vec::new(),
        coverage: CoverageFinding::default(),
        remarks: Vec::new(),
    }
}

const RESTORATION: (f64, f64) = (1.0, 1.5);
const MAINTENANCE: (f64, f64) = (2.0, 3.0);

fn band((low, high): (f64, f64)) -> Band {
    Band { low: mph(low), high: mph(high) }
}

pub(super) fn place(section: usize, phase: Phase) -> Place {
    Place { section: Some(section), phase: Some(phase), source: PlaceSource::Machine }
}

/// A number from 0 to 1 that looks random and is not.
fn noise(i: usize) -> f64 {
    let x = (i as f64 * 12.9898).sin() * 43_758.547;
    x - x.floor()
}

fn ribbon(minutes: usize) -> Ribbon {
    let cell = |i: usize| {
        let minute = i / 2;
        if !(12..445).contains(&minute)
            || (201..212).contains(&minute)
            || (300..318).contains(&minute)
        {
            return RibbonCell::default();
        }
        let rest = (90..97).contains(&minute) || (183..188).contains(&minute);
        let daily = minute >= 330;
        let (low, high) = if daily { MAINTENANCE } else { RESTORATION };
        if rest {
            let still = (MetresPerSecond(0.0), MetresPerSecond(0.0));
            let current = Some((Amperes(0.1), Amperes(0.2)));
            return RibbonCell {
                speed: Some(still),
                speed_mean: Some(still.0),
                current,
                current_mean: Some(Amperes(0.15)),
                brush_on: Some(0.0),
                band: Some(band((low, high))),
            };
        }
        let turn = noise(i) < 0.5;
        let fast = high - 0.25 * (high - low) + 0.5 * (high - low) * noise(i + 7);
        let slow = if turn { 0.15 } else { low - 0.1 + 0.2 * noise(i + 3) };
        RibbonCell {
            speed: Some((mph(slow), mph(fast))),
            speed_mean: Some(mph(if turn { 0.55 * slow + 0.45 * fast } else { 0.85 * fast })),
            current: Some((Amperes(19.0 + 4.0 * noise(i)), Amperes(27.0 + 9.0 * noise(i + 1)))),
            current_mean: Some(Amperes(23.0 + 2.0 * noise(i + 5))),
            brush_on: Some(if noise(i + 9) < 0.05 { 0.7 } else { 1.0 }),
            band: Some(band((low, high))),
        }
    };
    Ribbon { cells: (0..minutes * 2).map(cell).collect() }
}

fn histogram() -> SpeedHistogram {
    let mut h = SpeedHistogram::default();
    for i in 0..12_000 {
        h.add(mph(0.9 + 0.75 * noise(i)), 1000);
    }
    for i in 0..7_000 {
        h.add(mph(1.9 + 1.0 * noise(i + 1)), 1000);
    }
    h.add(mph(0.05), 380_000);
    h.add(mph(0.4), 900_000);
    h
}

#[allow(clippy::too_many_arguments)]
fn work(
    place: Place,
    from: DateTime<Utc>,
    minutes: i64,
    in_band: i64,
    speed: f64,
    area: f64,
    passes: f64,
    verdict: StepVerdict,
) -> SectionWork {
    SectionWork {
        place,
        span: span(from, minutes * 60 + 240),
        brush_time: Seconds(minutes as f64 * 60.0),
        in_band: Some(Seconds(in_band as f64 * 60.0)),
        mean_speed: Some(mph(speed)),
        swept_area: SquareMetres(area * 0.092_903_04),
        passes: Some(passes),
        stationary_events: 0,
        forbidden: false,
        verdict,
        confidence: None,
    }
}

/// A floor of lanes with a missed strip, and one whose path was lost.
fn coverage() -> CoverageFinding {
    let square = |row: usize, column: usize| match (row, column) {
        (11, 20..70) => Square::Missed,
        (0 | 25, _) | (_, 0 | 79) => Square::Brushed(4),
        (_, 40..60) if row < 9 => Square::Brushed(30),
        _ if row + column < 9 => Square::Outside,
        _ => Square::Brushed(16),
    };
    let squares = (0..26 * 80).map(|i| square(i / 80, i % 80)).collect();
    let visit = Visit {
        place: place(0, Phase::Step(1)),
        span: span(at("2026-11-24T04:14:00Z"), 3540),
        swept: SquareMetres(1_356.0),
        distinct: SquareMetres(54.1),
        distinct_bound: SquareMetres(2.2),
        drift: Metres(0.18),
        missed: SquareMetres(0.61),
        longest_missed: Metres(5.0),
        least_strip: Metres(0.05),
        lanes: (210, 1),
        sides_seen: 21,
        cut_short: false,
        goes_on: false,
        map: Some(CoverageMap { square: Metres(0.12), columns: 80, squares }),
    };
    let lost = Visit {
        place: place(1, Phase::Step(1)),
        span: span(at("2026-11-24T07:33:00Z"), 2400),
        swept: SquareMetres(905.0),
        distinct_bound: SquareMetres(31.0),
        goes_on: true,
        map: None,
        ..visit.clone()
    };
    CoverageFinding {
        observed: Observed { seen: Seconds(5_900.0), of: Seconds(19_640.0) },
        visits: vec![visit, lost],
        swept_way: Metres(3_180.0),
        pathless_way: Metres(9_770.0),
    }
}

/// A usual night: two sections ground, one run daily, three spots, one over-pressure.
pub(super) fn typical() -> Findings {
    let mut f = empty();
    let start = f.shift.span.from;
    let minute = |m: i64| start + Duration::minutes(m);
    f.ribbon = ribbon(480);
    f.speed.histogram = histogram();
    f.data = completeness(start);
    let phase = |phase, limits, below, within, above| PhaseSpeed {
        phase,
        band: limits,
        below: Seconds(below),
        within: Seconds(within),
        above: Seconds(above),
        ..PhaseSpeed::default()
    };
    f.speed.by_phase = vec![
        phase(Some(Phase::Step(1)), Some(band(RESTORATION)), 810.0, 5_430.0, 420.0),
        phase(Some(Phase::Step(2)), Some(band(RESTORATION)), 640.0, 4_100.0, 300.0),
        phase(Some(Phase::Maintenance), Some(band(MAINTENANCE)), 500.0, 6_200.0, 0.0),
        phase(None, None, 1_240.0, 0.0, 0.0),
    ];
    f.stationary = stationary(start);
    let events = |at: i64, seconds: i64, motor, peak: f64, place| {
        load_event(LoadKind::OverPressure, span(minute(at), seconds), motor, peak, place)
    };
    f.load = LoadFinding {
        motors: vec![
            MotorLoad {
                mean: Amperes(23.4),
                median: Amperes(23.1),
                p95: Amperes(30.8),
                max: Amperes(44.2),
                ..MotorLoad::default()
            },
            MotorLoad {
                mean: Amperes(22.8),
                median: Amperes(22.6),
                p95: Amperes(29.9),
                max: Amperes(41.0),
                ..MotorLoad::default()
            },
        ],
        stalls: Vec::new(),
        over_pressure: vec![
            events(142, 14, 0, 44.2, place(0, Phase::Step(2))),
            events(255, 9, 0, 41.7, place(1, Phase::Step(1))),
        ],
        ..LoadFinding::default()
    };
    f.coverage = coverage();
    f.area = AreaFinding {
        distance: Metres(14_800.0),
        swept_distance: Metres(12_950.0),
        swept_area: SquareMetres(9_210.0),
        brush_time: Seconds(19_640.0),
        brush_meter: Some(Seconds(19_800.0)),
        area_per_hour: Some(SquareMetres(1_688.0)),
        overlap: Overlap::Assumed(0.1),
    };
    let done = |next| StepVerdict::Done { next };
    f.sections = vec![
        work(place(0, Phase::Step(1)), minute(14), 55, 46, 1.22, 14_600.0, 22.8, done(Some(2))),
        work(place(0, Phase::Step(2)), minute(98), 84, 68, 1.26, 21_900.0, 34.2, done(Some(3))),
        work(
            place(1, Phase::Step(1)),
            minute(213),
            56,
            33,
            1.08,
            13_200.0,
            22.7,
            StepVerdict::Open { step: 1, missing: Seconds(720.0) },
        ),
        SectionWork {
            place: Place::default(),
            in_band: None,
            passes: None,
            verdict: StepVerdict::Unknown,
            confidence: None,
            ..work(Place::default(), minute(272), 20, 0, 1.31, 5_800.0, 0.0, StepVerdict::Unknown)
        },
        work(
            Place { source: PlaceSource::Book, ..place(2, Phase::Maintenance) },
            minute(330),
            111,
            103,
            2.44,
            43_700.0,
            18.2,
            StepVerdict::Maintained,
        ),
    ];
    f.sections[0].stationary_events = 1;
    f.sections[1].stationary_events = 1;
    f.wear = wear();
    f.care = care(start);
    f.battery = battery(start);
    f.quality = quality(start);
    f.remarks = vec!["Squeegee rubber turned at midnight.".to_owned()];
    f
}

fn stationary(start: DateTime<Utc>) -> Vec<StationaryFinding> {
    let event = |at: i64, seconds: i64, place, passes, energy, severity| StationaryFinding {
        span: span(start + Duration::minutes(at), seconds),
        cut_short: false,
        place,
        equivalent_passes: passes,
        step_passes: 20.0,
        brushes: [None; 4],
        friction_energy: energy,
        severity,
    };
    let step = |n| Phase::Step(n);
    vec![
        event(41, 14, place(0, step(1)), 23.7, Some(Joules(15_800.0)), Severity::Inspect),
        event(163, 5, place(0, step(2)), 8.4, Some(Joules(5_300.0)), Severity::Slight),
        StationaryFinding {
            cut_short: true,
            ..event(299, 47, Place::default(), 79.5, None, Severity::Severe)
        },
    ]
}

/// Slurry left in two sections, water off once, a pressure knob not at its end.
fn care(start: DateTime<Utc>) -> CareFinding {
    let event = |rule, at: i64, places: &[(Place, f64)]| CareEvent {
        rule,
        span: span(start + Duration::minutes(at), places.iter().map(|p| p.1).sum::<f64>() as i64),
        cut_short: at > 400,
        place: places[0].0,
        places: places.iter().map(|(place, s)| (*place, Seconds(*s))).collect(),
    };
    let (a, b) = (place(0, Phase::Step(2)), place(1, Phase::Step(1)));
    let all = Observed { seen: Seconds(19_500.0), of: Seconds(19_640.0) };
    let few = Observed { seen: Seconds(7_900.0), of: Seconds(19_640.0) };
    CareFinding {
        events: vec![
            event(CareRule::Vacuum, 120, &[(a, 40.0)]),
            event(CareRule::Water, 231, &[(b, 25.0)]),
            event(CareRule::Pressure, 240, &[(b, 310.0), (Place::default(), 12.0)]),
            event(CareRule::Head, 440, &[(Place::default(), 6.2)]),
        ],
        observed: [all, all, few, all, all],
    }
}

/// Low in the morning.
fn battery(start: DateTime<Utc>) -> BatteryFinding {
    let trough = |voltage, at: i64| {
        Some(Trough { voltage: Volts(voltage), at: start + Duration::minutes(at) })
    };
    BatteryFinding {
        run: BatteryRun {
            observed: Observed { seen: Seconds(25_900.0), of: Seconds(26_000.0) },
            current_read: true,
            resistance: Some(Resistance {
                best: Ohms(0.0214),
                low: Ohms(0.0205),
                high: Ohms(0.0224),
                pairs: 96,
            }),
            start: Some(Volts(37.2)),
            end: Some(Volts(35.1)),
            lowest: trough(35.0, 436),
            lowest_loaded: trough(33.2, 431),
            below: [Some(start + Duration::minutes(430)), None],
            brush_time: Seconds(19_640.0),
            charged_within: false,
        },
        state: BatteryState::Low,
        not_full: Some(Volts(37.2)),
        charge: Some(Seconds(23_500.0)),
        usual: Some(Charge { median: Seconds(26_300.0), deviation: Seconds(900.0), charges: 9 }),
        weak: false,
    }
}

/// The right motor's current sensor is off, and the speed sensor once said the same for long.
fn quality(start: DateTime<Utc>) -> QualityFinding {
    QualityFinding {
        doubts: vec![SensorDoubt {
            sensor: Sensor::Speed,
            doubt: Doubt::Stuck,
            span: span(start + Duration::minutes(170), 95),
            time: Seconds(95.0),
            value: 0.58,
        }],
        offsets: vec![
            Some(Offset {
                offset: Amperes(0.1),
                drift: Some(Amperes(0.0)),
                stays: 11,
                exceeds: false,
                load_share: Some(0.005),
            }),
            Some(Offset {
                offset: Amperes(0.9),
                drift: Some(Amperes(0.6)),
                stays: 11,
                exceeds: true,
                load_share: Some(0.047),
            }),
        ],
    }
}

fn completeness(start: DateTime<Utc>) -> Completeness {
    Completeness {
        recorded: Seconds(26_000.0),
        observed: Seconds(24_250.0),
        gaps: vec![
            span(start + Duration::minutes(201), 660),
            span(start + Duration::minutes(300), 1_080),
        ],
        link: LinkLoss {
            frames: 604_800,
            lost: 212,
            damaged: 3,
            restarts: 1,
            ..LinkLoss::default()
        },
        readings: 598_113,
        clock_uncertainty: Some(Seconds(0.35)),
        boots: 4,
        problems: vec![
            Problem {
                data_lost: true,
                message:
                    "scrubber-1-0007.log: 412 bytes from byte 81,920 are damaged; about 9 s of \
                          readings are lost. Keep the card and copy it again."
                        .to_owned(),
            },
            Problem {
                data_lost: false,
                message:
                    "shift-book.toml, line 31: section `A-21` is not in the site file; the mark \
                          was left out. Correct the id or add the section."
                        .to_owned(),
            },
        ],
    }
}

fn wear() -> WearFinding {
    let day = |m, d| NaiveDate::from_ymd_opt(2026, m, d).unwrap();
    let inch = |v: f64| Metres(v * 0.0254);
    WearFinding {
        grit: Some("200".to_owned()),
        energy_shift: Some(Joules(9.4e6)),
        measured: Some((day(11, 18), inch(0.47))),
        energy_since: Some(Joules(41.2e6)),
        shifts_since: 5,
        left: Some(Estimate { best: inch(0.438), low: inch(0.415), high: inch(0.462) }),
        reorder_day: Some(DayRange {
            best: day(12, 20),
            early: day(12, 11),
            late: Some(day(12, 31)),
        }),
        order_by: Some(day(11, 27)),
        reorder_length: inch(0.25),
        fitted: Some(day(10, 26)),
        counted_from: Some(day(10, 26)),
        energy_fitted: Some(Joules(186e6)),
        rate: Some(RateEstimate {
            best: MetresPerJoule(7.9e-11),
            low: MetresPerJoule(7.1e-11),
            high: MetresPerJoule(8.8e-11),
            measurements: 3,
        }),
        end_day: Some(DayRange { best: day(12, 30), early: day(12, 19), late: None }),
        end_length: inch(0.0625),
        remarks: vec![WearRemark::MeasureDue { last: day(11, 18) }],
        ..WearFinding::default()
    }
}

/// 14 hours with 60 events and 80 pieces of work.
pub(super) fn long() -> Findings {
    let mut f = typical();
    f.shift.span.to = f.shift.span.from + Duration::hours(14);
    f.ribbon = ribbon(14 * 60);
    let start = f.shift.span.from;
    f.stationary = (0..40)
        .map(|i| StationaryFinding {
            span: span(start + Duration::seconds(900 + 1_100 * i), 4 + i % 23),
            cut_short: i % 11 == 0,
            place: if i % 5 == 0 {
                Place::default()
            } else {
                place(i as usize % 4, Phase::Step(1))
            },
            equivalent_passes: 0.7 * i as f64,
            step_passes: 20.0,
            brushes: [None; 4],
            friction_energy: (i % 7 != 0).then_some(Joules(700.0 * i as f64)),
            severity: [Severity::Slight, Severity::Inspect, Severity::Severe][i as usize % 3],
        })
        .collect();
    let load = |kind, i: i64| {
        let span = span(start + Duration::seconds(1_300 + 2_300 * i), 3 + i);
        let place = place(i as usize % 4, Phase::Step(2));
        load_event(kind, span, i as usize % 2, 39.0 + 2.0 * i as f64, place)
    };
    f.load.over_pressure = (0..15).map(|i| load(LoadKind::OverPressure, i)).collect();
    f.load.stalls = (15..20).map(|i| load(LoadKind::Stall, i)).collect();
    let works = f.sections.clone();
    f.sections = (0..80).map(|i| works[i % works.len()].clone()).collect();
    f.sections[7] = SectionWork { forbidden: true, ..f.sections[0].clone() };
    f.sections[7].place.section = Some(3);
    f.data.gaps = (0..55).map(|i| span(start + Duration::seconds(800 * i), 3 + 7 * i)).collect();
    f
}

/// A load event without anything that only some kinds have.
pub(super) fn load_event(
    kind: LoadKind,
    span: Span,
    motor: usize,
    peak: f64,
    place: Place,
) -> LoadFindingEvent {
    LoadFindingEvent {
        kind,
        span,
        cut_short: false,
        motor,
        peak: Amperes(peak),
        mean: Amperes(0.9 * peak),
        ratio: None,
        rise: None,
        onset: None,
        cause: None,
        place,
    }
}
