//! Twelve sheets that a lead may get, from a night without logs to one of sixty events.

use super::sample::{empty, load_event, long, machine, place, site, typical};
use super::{SHORT, Sheet, SheetInput, SheetOptions};
use crate::findings::*;
use crate::settings::site::{Language, Paper};
use crate::settings::{Phase, Site};
use crate::units::Units;
use chrono::Duration;
use underbrush_protocol::si::*;

const SI: SheetOptions = SheetOptions { units: Units::Si, paper: Paper::A4, ..SHORT };

/// Name and sheet of each.
pub(super) fn all() -> Vec<(&'static str, Sheet)> {
    let one = |f: &Findings, options: SheetOptions| {
        Sheet::build(
            &SheetInput {
                site: &site(),
                nights: &[(&machine(), f)],
                programme: None,
                closeups: &[],
            },
            &options,
        )
    };
    let german = SheetOptions { language: Language::German, ..SI };
    vec![
        ("empty", one(&empty(), SHORT)),
        ("usual-letter", one(&typical(), SHORT)),
        ("usual-a4", one(&typical(), SI)),
        ("fourteen-hours", one(&long(), SHORT)),
        ("sixty-events", one(&sixty_events(), SHORT)),
        ("eighty-sections", eighty_sections()),
        ("long-names", long_names()),
        ("two-machines", two_machines(SHORT)),
        ("missing-data", one(&missing_data(), SHORT)),
        ("german", one(&typical(), german)),
        (
            "technician",
            super::technician::with_traces(&typical(), SheetOptions { technician: true, ..SHORT }),
        ),
        ("details", one(&typical(), SheetOptions { details: true, colour: true, ..SI })),
    ]
}

pub(super) fn sixty_events() -> Findings {
    let mut f = typical();
    let start = f.shift.span.from;
    let span = |i: i64| {
        let from = start + Duration::seconds(900 + i * 430);
        Span { from, to: from + Duration::seconds(3 + i % 40) }
    };
    let first = f.stationary[0];
    f.stationary.clear();
    for i in 0..30 {
        let mut event = first;
        event.span = span(2 * i);
        event.equivalent_passes = 2.0 + 1.7 * i as f64;
        event.severity = if i % 3 == 0 { Severity::Severe } else { Severity::Slight };
        f.stationary.push(event);
    }
    let kinds = [LoadKind::OverPressure, LoadKind::Stall, LoadKind::Heavy];
    for i in 0..30 {
        let kind = kinds[i as usize % 3];
        let place = place(i as usize % 3, Phase::Step(1));
        let event = load_event(kind, span(2 * i + 1), i as usize % 2, 40.0 + i as f64, place);
        match kind {
            LoadKind::OverPressure => f.load.over_pressure.push(event),
            LoadKind::Stall => f.load.stalls.push(event),
            _ => f.load.others.push(event),
        }
    }
    f
}

fn eighty_sections() -> Sheet {
    let (mut site, mut f) = (site(), typical());
    let section = site.sections[0].clone();
    let work = f.sections[0].clone();
    site.sections = (0..80)
        .map(|i| crate::settings::Section {
            id: format!("{}-{:02}", char::from(b'A' + (i / 20) as u8), i % 20 + 1),
            name: format!("Bay {}", i + 1),
            ..section.clone()
        })
        .collect();
    f.sections = (0..80)
        .map(|i| SectionWork {
            place: place(i, Phase::Maintenance),
            span: Span {
                from: f.shift.span.from + Duration::seconds(i as i64 * 340),
                to: f.shift.span.from + Duration::seconds((i as i64 + 1) * 340),
            },
            brush_time: Seconds(310.0),
            in_band: Some(Seconds(250.0 + (i % 7) as f64 * 10.0)),
            verdict: StepVerdict::Maintained,
            ..work.clone()
        })
        .collect();
    Sheet::build(
        &SheetInput { site: &site, nights: &[(&machine(), &f)], programme: None, closeups: &[] },
        &SHORT,
    )
}

fn long_names() -> Sheet {
    let (mut site, mut machine) = (site(), machine());
    "Выставочный павильон «Северное сияние», главный корпус".clone_into(&mut site.name);
    "Μεγάλη μηχανή δαπέδου του ανατολικού τμήματος".clone_into(&mut machine.name);
    let names = [
        "Главный проход между залами второго этажа",
        "Αίθουσα υποδοχής επισκεπτών και παραλαβής",
        "Donaudampfschifffahrtsgesellschaftskapitänssaal",
        "東京展示場",
    ];
    for (section, name) in site.sections.iter_mut().zip(names) {
        name.clone_into(&mut section.name);
    }
    "ЗАЛ-12".clone_into(&mut site.sections[0].id);
    Sheet::build(
        &SheetInput {
            site: &site,
            nights: &[(&machine, &typical())],
            programme: None,
            closeups: &[],
        },
        &SI,
    )
}

pub(super) fn two_machines(options: SheetOptions) -> Sheet {
    let (site, first, mut second): (Site, _, _) = (site(), machine(), machine());
    "scrubber-2".clone_into(&mut second.id);
    "Small scrubber".clone_into(&mut second.name);
    let mut quiet = typical();
    quiet.stationary.clear();
    quiet.load.over_pressure.clear();
    quiet.care = CareFinding::default();
    quiet.battery = BatteryFinding::default();
    quiet.quality = QualityFinding::default();
    quiet.data.problems.clear();
    let nights = [(&first, &typical()), (&second, &quiet)];
    Sheet::build(
        &SheetInput { site: &site, nights: &nights, programme: None, closeups: &[] },
        &options,
    )
}

/// Speed was lost for most of the night, and no motor current came.
pub(super) fn missing_data() -> Findings {
    let mut f = typical();
    f.data.observed = Seconds(f.data.recorded.0 * 0.3);
    f.speed.observed = Observed { seen: Seconds(4_000.0), of: Seconds(19_640.0) };
    f.standing.observed = f.speed.observed;
    f.load = LoadFinding::default();
    f.wear.left = None;
    f.wear.order_by = None;
    f.wear.remarks = vec![WearRemark::NothingNoted];
    for cell in f.ribbon.cells.iter_mut().skip(300) {
        *cell = RibbonCell::default();
    }
    for cell in &mut f.ribbon.cells {
        (cell.current, cell.current_mean) = (None, None);
    }
    f
}

/// Writes the files into the folder that `SHEETS_TO` names, to look at or to compare.
#[test]
fn every_scenario_becomes_a_file() {
    let folder = std::env::var_os("SHEETS_TO").map(std::path::PathBuf::from);
    let sheets = all();
    assert_eq!(sheets.len(), 12);
    for (name, sheet) in sheets {
        let bytes = sheet.to_pdf().unwrap();
        assert!(bytes.len() < 200_000, "{name}: {} bytes", bytes.len());
        if let Some(folder) = &folder {
            std::fs::create_dir_all(folder).unwrap();
            std::fs::write(folder.join(format!("{name}.pdf")), bytes).unwrap();
        }
        super::written::check_places(&sheet);
    }
}
