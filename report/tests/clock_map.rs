//! The clock map against the truth of made-up boots, by chance.
//!
//! The truth: UTC at the power-on and a crystal off by up to 100 ppm. Each time fix is
//! made from it and has a label: right within its uncertainty, or wrong and how. What the
//! map must give follows from the labels; no fix is ever compared with another here.
//!
//! A satellite receiver sends the week in 10 bits (IS-GPS-200, word 3 of subframe 1), so
//! that its date may be exactly 1024 weeks = 7168 days old.

use proptest::prelude::*;
use underbrush_protocol::note::{ClockFix, ClockSource};
use underbrush_protocol::time::{BootMs, UtcMs};
use underbrush_report::logset::ClockMap;

const MINUTE: i64 = 60_000;
const DAY: i64 = 86_400_000;
const ROLLOVER: i64 = 1024 * 7 * DAY;
/// 2025-01-01 and 2100-01-01, by `date -u -d ... +%s` (GNU coreutils).
const BELIEVABLE: std::ops::Range<i64> = 1_735_689_600_000..4_102_444_800_000;

#[derive(Clone, Copy, Debug, PartialEq)]
enum Label {
    /// Off by this share of its uncertainty, -1 to 1.
    Right(f64),
    /// Off by so many ms.
    Off(i64),
    RolledOver,
    /// A clock that counts from 1970.
    NeverSet,
}

#[derive(Clone, Debug)]
struct Fix {
    at: u64,
    source: ClockSource,
    label: Label,
}

fn uncertainty_ms(source: ClockSource) -> u32 {
    match source {
        ClockSource::Satellite => 50,
        ClockSource::Network => 100,
        ClockSource::Capture => 1_000,
        ClockSource::RealTimeClock => 2_000,
        ClockSource::Operator | ClockSource::System => 60_000,
    }
}

/// Network and satellites; what somebody set; what nobody set.
fn class(source: ClockSource) -> u8 {
    match source {
        ClockSource::Network | ClockSource::Satellite => 2,
        ClockSource::System => 0,
        _ => 1,
    }
}

/// A boot as it really was.
#[derive(Clone, Debug)]
struct Boot {
    begin: i64,
    ppm: f64,
    length_ms: u64,
    fixes: Vec<Fix>,
}

impl Boot {
    fn truth(&self, at: u64) -> f64 {
        self.begin as f64 + at as f64 * (1.0 + self.ppm * 1e-6)
    }

    fn told(&self, fix: &Fix) -> (BootMs, ClockFix) {
        let uncertainty_ms = uncertainty_ms(fix.source);
        let truth = self.truth(fix.at) as i64;
        let utc = match fix.label {
            Label::Right(share) => truth + (share * f64::from(uncertainty_ms)) as i64,
            Label::Off(ms) => truth + ms,
            Label::RolledOver => truth - ROLLOVER,
            Label::NeverSet => fix.at as i64,
        };
        (BootMs(fix.at), ClockFix { utc: UtcMs(utc), source: fix.source, uncertainty_ms })
    }
}

fn source() -> impl Strategy<Value = ClockSource> {
    prop::sample::select(vec![
        ClockSource::System,
        ClockSource::System,
        ClockSource::Operator,
        ClockSource::RealTimeClock,
        ClockSource::Capture,
        ClockSource::Network,
        ClockSource::Network,
        ClockSource::Satellite,
    ])
}

/// From 15 min, far beyond what any two uncertainties explain, to 12 years; either way.
fn far() -> impl Strategy<Value = i64> {
    let years = 12 * 366 * DAY;
    (15 * MINUTE..years, 0.0..1.0_f64, any::<bool>()).prop_map(|(most, share, back)| {
        let ms = 15 * MINUTE + ((most - 15 * MINUTE) as f64 * share.powi(8)) as i64;
        if back { -ms } else { ms }
    })
}

fn label() -> impl Strategy<Value = Label> {
    prop_oneof![
        6 => (-1.0..1.0_f64).prop_map(Label::Right),
        2 => far().prop_map(Label::Off),
        1 => Just(Label::RolledOver),
        1 => Just(Label::NeverSet),
    ]
}

fn boot() -> impl Strategy<Value = Boot> {
    let length_ms = 1_000..14 * 3_600_000_u64;
    // 2026-07 to 2031.
    let begin = 1_783_000_000_000..1_925_000_000_000_i64;
    let fix = (0.0..1.0_f64, source(), label());
    let step = proptest::option::of((0.0..1.0_f64, far()));
    (begin, -100.0..100.0_f64, length_ms, prop::collection::vec(fix, 0..25), step).prop_map(
        |(begin, ppm, length_ms, fixes, step)| {
            let mut fixes: Vec<Fix> = fixes
                .into_iter()
                .map(|(share, source, label)| {
                    // From a moment on the board's clock has stepped, for good.
                    let label = match (label, step) {
                        (Label::Right(_), Some((from, by))) if share > from => Label::Off(by),
                        _ => label,
                    };
                    Fix { at: (share * length_ms as f64) as u64, source, label }
                })
                .collect();
            fixes.sort_by_key(|fix| fix.at);
            Boot { begin, ppm, length_ms, fixes }
        },
    )
}

/// Any number, and those at which signs and widths turn over.
fn number() -> impl Strategy<Value = u64> {
    prop_oneof![
        any::<u64>(),
        0..100_u64,
        (1_u64 << 63) - 50..(1 << 63) + 50,
        u64::MAX - 50..=u64::MAX
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 4_000, ..ProptestConfig::default() })]

    #[test]
    fn the_map_is_right_where_most_of_the_best_fixes_are(boot in boot()) {
        let told: Vec<_> = boot.fixes.iter().map(|fix| boot.told(fix)).collect();
        let verdict = ClockMap::from_fixes(&told);
        let believable: Vec<&Fix> = boot
            .fixes
            .iter()
            .filter(|fix| BELIEVABLE.contains(&boot.told(fix).1.utc.0))
            .collect();
        prop_assert_eq!(verdict.impossible, boot.fixes.len() - believable.len());
        prop_assert_eq!(verdict.map.is_some(), !believable.is_empty());
        let Some(map) = verdict.map else { return Ok(()) };

        let best = believable.iter().map(|fix| class(fix.source)).max().unwrap();
        let of_best: Vec<_> = believable.iter().filter(|f| class(f.source) == best).collect();
        let is_right = |fix: &Fix| matches!(fix.label, Label::Right(_));
        let right: Vec<_> = of_best.iter().filter(|fix| is_right(fix)).collect();
        if right.len() * 2 > of_best.len() {
            let uncertain = right.iter().map(|fix| uncertainty_ms(fix.source)).max().unwrap();
            // The crystal runs unwatched for at most the whole boot; 2 s is the map's own slack.
            let drift = boot.length_ms as f64 * boot.ppm.abs() * 1e-6;
            let allowed = f64::from(uncertain) + 2_000.0 + drift + 2.0;
            for tenth in 0..=10 {
                let at = boot.length_ms * tenth / 10;
                let error = map.utc(BootMs(at)).0 as f64 - boot.truth(at);
                prop_assert!(error.abs() <= allowed, "{error} ms at {at}, {allowed} allowed");
            }
            let wrong: Vec<_> = believable.iter().filter(|fix| !is_right(fix)).collect();
            let count = verdict.contradicting.map_or(0, |(count, _)| count);
            prop_assert_eq!(count, wrong.len(), "each wrong fix is counted");
            // As good as those used are only the wrong ones of the best class.
            let rivals = of_best.len() > right.len();
            prop_assert_eq!(!verdict.rivals.is_empty(), rivals);
        } else if !right.is_empty() && right.len() < of_best.len() {
            // Nobody can know which; that they differ is told.
            prop_assert!(verdict.contradicting.is_some() && !verdict.rivals.is_empty());
        }
        let uncertain = of_best.iter().map(|fix| uncertainty_ms(fix.source));
        prop_assert!(uncertain.min().unwrap() <= map.uncertainty_ms());
        // It never runs back, and never stretches the time.
        for tenth in 0..10 {
            let (from, to) = (boot.length_ms * tenth / 10, boot.length_ms * (tenth + 1) / 10);
            let step = map.utc(BootMs(to)).0 - map.utc(BootMs(from)).0;
            prop_assert!((step - (to - from) as i64).abs() <= 8_000 + (to - from) as i64 / 1_000);
        }
    }

    /// Any numbers at all, as a damaged or hostile log may hold them.
    #[test]
    fn no_numbers_break_it(
        fixes in prop::collection::vec((number(), any::<i64>(), source(), any::<u32>()), 0..20),
        more in prop::collection::vec((number(), BELIEVABLE, source(), any::<u32>()), 0..20),
        asked in prop::collection::vec(number(), 1..10),
    ) {
        let told: Vec<_> = fixes
            .into_iter()
            .chain(more)
            .map(|(at, utc, source, uncertainty_ms)| {
                (BootMs(at), ClockFix { utc: UtcMs(utc), source, uncertainty_ms })
            })
            .collect();
        let Some(map) = ClockMap::from_fixes(&told).map else { return Ok(()) };
        let mut asked = asked;
        asked.sort_unstable();
        let utc: Vec<i64> = asked.iter().map(|at| map.utc(BootMs(*at)).0).collect();
        prop_assert!(utc.is_sorted(), "{asked:?} gave {utc:?}");
    }
}

/// A board whose clock somebody or something steps by a little, forward and back.
#[test]
fn steps_of_seconds_are_told_and_the_majority_used() {
    for step in [-3_600, -60, -5, 5, 60, 3_600_i64] {
        let begin = 1_795_471_200_000;
        let boot = Boot { begin, ppm: 0.0, length_ms: 7_200_000, fixes: Vec::new() };
        let fix = |i: u64| {
            let label = if i == 7 { Label::Off(step * 1_000) } else { Label::Right(0.0) };
            boot.told(&Fix { at: i * 600_000, source: ClockSource::Network, label })
        };
        let verdict = ClockMap::from_fixes(&(0..12).map(fix).collect::<Vec<_>>());
        assert_eq!(verdict.contradicting, Some((1, step * 1_000)));
        let map = verdict.map.unwrap();
        assert_eq!(map.utc(BootMs(4_200_000)), UtcMs(begin + 4_200_000), "a step of {step} s");
    }
}

/// One receiver that lost its epoch does not outweigh the network, also not where its date
/// is one that could be: in 2046, 1024 weeks ago is 2026.
#[test]
fn a_rollover_into_a_believable_year_is_outvoted_and_told() {
    let begin = 2_400_000_000_000;
    let boot = Boot { begin, ppm: 0.0, length_ms: 3_600_000, fixes: Vec::new() };
    let fix = |at, source, label| boot.told(&Fix { at, source, label });
    let satellite = fix(0, ClockSource::Satellite, Label::RolledOver);
    assert!(BELIEVABLE.contains(&satellite.1.utc.0));
    let network = [600_000, 1_200_000].map(|at| fix(at, ClockSource::Network, Label::Right(0.0)));
    let verdict = ClockMap::from_fixes(&[satellite, network[0], network[1]]);
    assert_eq!(verdict.map.unwrap().utc(BootMs(0)), UtcMs(begin));
    assert_eq!((verdict.contradicting, verdict.rivals.len()), (Some((1, -ROLLOVER)), 1));
}
