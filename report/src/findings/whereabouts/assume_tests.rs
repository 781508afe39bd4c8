//! When the plan is held against what somebody told.

use super::super::blocks::{Rest, Told};
use super::*;
use crate::findings::Span;
use crate::settings::Phase;
use chrono::DateTime;
use underbrush_protocol::si::{MetresPerSecond, Seconds, SquareMetres};

const STEP: Phase = Phase::Step(1);

/// Six aisles alike.
fn site() -> Site {
    let mut text = "name = \"Hall\"\ntime_zone = \"UTC\"\n[shift]\nstart = \"22:00\"\n\
                    end = \"06:00\"\n[[step]]\nnumber = 1\ngrit = \"100\"\nminutes = 45\n"
        .to_owned();
    for id in ["A", "B", "C", "D", "E", "F"] {
        text += "[[section]]\narea = \"600 sq ft\"\n";
        text += &["id = \"", id, "\"\nname = \"", id, "\"\n"].concat();
    }
    Site::parse("site.toml", &text).unwrap()
}

/// 45 minutes at 1.2 mph, which the machine was told to be on the last aisle.
fn block() -> WorkBlock {
    let at = |minute: i64| DateTime::from_timestamp(1_800_000_000 + 60 * minute, 0).unwrap();
    let place = Place { section: Some(5), phase: Some(STEP), source: PlaceSource::Machine };
    WorkBlock {
        span: Span { from: at(0), to: at(46) },
        brush_time: Seconds(45.0 * 60.0),
        swept_area: SquareMetres(1_000.0),
        typical_speed: Some(MetresPerSecond(0.53)),
        before: Rest::default(),
        told: Some(Told { place, here: true }),
    }
}

/// Marks by a plan of these sections, with minutes.
fn by_plan(entries: &[(usize, f64)]) -> Vec<AssumedMark> {
    let planned = entries.iter().map(|(section, minutes)| Planned {
        section: *section,
        phase: STEP,
        expected: Seconds(minutes * 60.0),
    });
    assume(&site(), &[block()], &planned.collect::<Vec<_>>())
}

#[test]
fn a_word_is_doubted_only_where_the_plan_is_likelier_than_not() {
    let sure = by_plan(&[(0, 45.0)]);
    assert_eq!(sure.len(), 1);
    assert_eq!(sure[0].against.and_then(|told| told.section), Some(5));
    assert!(sure[0].confidence > 0.5, "{sure:?}");
    // The first is short for this work, the others come late: none is likely enough.
    let plan = [(0, 34.0), (1, 45.0), (2, 46.0), (3, 45.0), (4, 46.0)];
    assert_eq!(by_plan(&plan), []);
}
