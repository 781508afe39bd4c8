//! What `tests/bench` times of the screen (`underbrush browse`), inside one process.
//!
//! ```text
//! bench_screen year LOG_DIR MACHINE UTC_MS... a night for each start, seven nights in turn
//! bench_screen open LOG_DIR SITE MACHINE N    opens N seconds of the log, each anew
//! bench_screen scroll LOG_DIR SITE MACHINE    records 14 h and draws them again and again
//! ```
//! Answers are `name value` lines, times in ms. The year is seven simulated nights (plan
//! demo, seeds 1 to 7) recorded again under other dates: to open a second costs what the
//! files around it and their number cost, not how different the nights are.

use chrono::{DateTime, Duration, NaiveDate, Utc};
use std::collections::BTreeMap;
use std::error::Error;
use std::fs;
use std::path::Path;
use std::process::ExitCode;
use std::time::Instant;
use underbrush_agent::record_chunks;
use underbrush_fixtures::{PlanItem, ShiftPlan, Simulation};
use underbrush_protocol::settings::Machine;
use underbrush_protocol::time::{BootMs, UtcMs};
use underbrush_report::findings::{Inputs, Span};
use underbrush_report::logset::{BootLog, LogSet, OpenSettings};
use underbrush_report::screen::{
    Colours, Key, Lane, Nights, Opening, Scene, Show, Told, Waiting, lanes, shown, text,
};
use underbrush_report::settings::site::Language;
use underbrush_report::settings::{Book, Site};
use underbrush_report::timeline::ShiftError;
use underbrush_report::units::Units;
use underbrush_report::window::{Overview, Quantity, Window, read};

type Done = Result<(), Box<dyn Error>>;

/// A large terminal.
const SIZE: (u16, u16) = (200, 60);
const SCROLL_H: i64 = 14;

fn main() -> ExitCode {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = args.iter().map(String::as_str).collect();
    let done = match words.as_slice() {
        ["year", log, machine, starts @ ..] => year(Path::new(log), machine, starts),
        ["open", log, site, machine, count] => open(log, site, machine, count),
        ["scroll", log, site, machine] => scroll(log, site, machine),
        _ => Err("wrong use: the commands stand at the top of bench_screen.rs".into()),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("bench_screen: {error}");
            ExitCode::from(2)
        }
    }
}

fn year(log: &Path, machine: &str, starts: &[&str]) -> Done {
    let machine = Machine::parse(machine, &fs::read_to_string(machine)?)?;
    let mut nights: BTreeMap<u64, Vec<(BootMs, Vec<u8>)>> = BTreeMap::new();
    for (number, start) in (0..).zip(starts) {
        let seed = number % 7 + 1;
        let chunks = nights.entry(seed).or_insert_with(|| night(ShiftPlan::demo(seed), seed));
        record(log, &machine.id, start.parse()?, chunks)?;
    }
    println!("nights {}", starts.len());
    println!("files {}", fs::read_dir(log)?.count());
    Ok(())
}

fn night(plan: ShiftPlan, seed: u64) -> Vec<(BootMs, Vec<u8>)> {
    Simulation::new(plan, seed).map(|chunk| (BootMs(chunk.arrival_ms), chunk.bytes)).collect()
}

fn record(log: &Path, machine: &str, start: i64, chunks: &[(BootMs, Vec<u8>)]) -> Done {
    let outcome = record_chunks(log, machine, UtcMs(start), chunks.iter().cloned())?;
    if outcome.dropped > 0 || outcome.readings == 0 {
        return Err(format!("not all was recorded:\n{outcome}").into());
    }
    Ok(())
}

/// Settings without their logs.
struct Settings {
    site: Site,
    machine: Machine,
    book: Book,
}

impl Settings {
    fn read(site: &str, machine: &str) -> Result<Self, Box<dyn Error>> {
        let machine_text = fs::read_to_string(machine)?;
        Ok(Self {
            site: Site::parse(site, &fs::read_to_string(site)?)?,
            machine: Machine::parse(machine, &machine_text)?,
            book: Book::default(),
        })
    }

    fn logs(&self, log: &str) -> Result<LogSet, Box<dyn Error>> {
        let machine = self.machine.id.clone();
        let settings = OpenSettings { machine, ..OpenSettings::default() };
        Ok(LogSet::open(Path::new(log), &settings)?)
    }
}

/// The screen's view of a log.
struct Opened<'a> {
    settings: &'a Settings,
    logs: LogSet,
    extent: Span,
}

impl Opened<'_> {
    fn inputs(&self) -> Inputs<'_> {
        let Settings { site, machine, book } = self.settings;
        Inputs { logs: &self.logs, machine, site, book }
    }
}

/// What the trait asks for lives as long as the process.
struct Shared(&'static Opened<'static>);

impl Nights for Shared {
    fn scene(&self, night: NaiveDate) -> Result<Scene, ShiftError> {
        Ok(Scene {
            title: "Fernhollow Hall".to_owned(),
            night,
            zone: self.0.settings.site.zone,
            extent: self.0.extent,
            lanes: Vec::new(),
            events: Vec::new(),
            waiting: Waiting::default(),
            empty: false,
            language: Language::English,
        })
    }

    fn night_of(&self, at: DateTime<Utc>) -> NaiveDate {
        self.0.settings.site.shift_date(at)
    }

    fn window(&self, span: Span, cells: usize, wanted: &[Quantity]) -> Window {
        read(&self.0.inputs(), span, cells, wanted)
    }

    fn overview(&self, extent: Span, wanted: &[Quantity]) -> Overview {
        Overview::read(&self.0.inputs(), extent, wanted)
    }

    fn events(&self, _: NaiveDate) -> Result<Told, ShiftError> {
        Ok(Told { recorded: true, ..Told::default() })
    }

    fn lanes(&self, range: &dyn Fn(Quantity) -> Option<(f32, f32)>) -> Vec<Lane> {
        lanes(
            &self.0.settings.machine,
            &self.0.settings.site,
            (Units::Si, Language::English),
            range,
        )
    }
}

fn ms(since: Instant) -> f64 {
    since.elapsed().as_secs_f64() * 1e3
}

fn told(name: &str, mut times: Vec<f64>) {
    times.sort_by(f64::total_cmp);
    println!("{name}_median_ms {:.2}", times.get(times.len() / 2).copied().unwrap_or(f64::NAN));
    println!("{name}_worst_ms {:.2}", times.last().copied().unwrap_or(f64::NAN));
}

/// From nothing to the first picture, for seconds all over the recorded nights.
fn open(log: &str, site: &str, machine: &str, count: &str) -> Done {
    let settings: &'static Settings = Box::leak(Box::new(Settings::read(site, machine)?));
    let spans: Vec<(UtcMs, UtcMs)> =
        settings.logs(log)?.boots.iter().filter_map(BootLog::utc_span).collect();
    let count: u64 = count.parse()?;
    let (mut logs_ms, mut all_ms, mut drawn) = (Vec::new(), Vec::new(), 0);
    for number in 0..count {
        // Spread without order: a prime step through the nights and another through their ms.
        let Some((first, last)) = spans.get((number as usize * 7919 + 13) % spans.len()) else {
            return Err("no night is dated".into());
        };
        let length = (last.0 - first.0).max(1) as u64;
        let at = first.0 + (number.wrapping_mul(2_654_435_761) % length) as i64;
        let start = Instant::now();
        let logs = settings.logs(log)?;
        logs_ms.push(ms(start));
        let from = DateTime::from_timestamp_millis(at).unwrap_or_default();
        let extent = Span { from: from - Duration::hours(4), to: from + Duration::hours(4) };
        let opened: &'static Opened<'static> =
            Box::leak(Box::new(Opened { settings, logs, extent }));
        let nights = Shared(opened);
        let mut show = Show::open(&nights, Opening::Instant(at))?;
        let picture = show.picture(&nights, SIZE, Colours::Sixteen);
        all_ms.push(ms(start));
        drawn += usize::from(dots(&text(&picture)) > 0);
    }
    println!("drawn {drawn}");
    told("logs", logs_ms);
    told("picture", all_ms);
    Ok(())
}

/// How many letters of a picture are dots of a curve.
fn dots(picture: &str) -> usize {
    picture.chars().filter(|c| ('\u{2801}'..='\u{28ff}').contains(c)).count()
}

/// Pictures a second while scrolling through 14 h at every zoom, after they were read once.
fn scroll(log: &str, site: &str, machine: &str) -> Done {
    let mut plan = ShiftPlan::bench();
    plan.minutes = SCROLL_H as u32 * 60;
    for item in &mut plan.items {
        if let PlanItem::Work(work) = item {
            work.minutes = SCROLL_H as f64 * 60.0;
        }
    }
    let start_utc_ms = plan.start_utc_ms;
    let settings: &'static Settings = Box::leak(Box::new(Settings::read(site, machine)?));
    record(Path::new(log), &settings.machine.id, start_utc_ms, &night(plan, 1))?;
    let from = DateTime::from_timestamp_millis(start_utc_ms).unwrap_or_default();
    let extent = Span { from, to: from + Duration::hours(SCROLL_H) };
    let logs = settings.logs(log)?;
    let opened: &'static Opened<'static> = Box::leak(Box::new(Opened { settings, logs, extent }));
    let nights = Shared(opened);
    let mut show = Show::open(&nights, Opening::Instant(start_utc_ms))?;
    let start = Instant::now();
    let overview = nights.overview(extent, &shown());
    println!("overview_ms {:.1}", ms(start));
    show.take_overview(&nights, overview);
    show.take_events(nights.events(show.scene.night)?);
    let keys = [Key::Home, Key::Char('0')];
    for key in keys {
        show.key(key, SIZE.0);
    }
    let (mut times, mut all_dots) = (Vec::new(), 0);
    for _zoom in 0..15 {
        for _page in 0..40 {
            let start = Instant::now();
            show.key(Key::PageOn, SIZE.0);
            show.key(Key::Right, SIZE.0);
            let picture = show.picture(&nights, SIZE, Colours::Sixteen);
            times.push(ms(start));
            all_dots += dots(&text(&picture));
        }
        show.key(Key::Home, SIZE.0);
        show.key(Key::Char('+'), SIZE.0);
    }
    let mean_ms = times.iter().sum::<f64>() / times.len() as f64;
    println!("dots {}", all_dots / times.len());
    println!("frames {}", times.len());
    println!("frames_a_second {:.0}", 1e3 / mean_ms);
    let worst = times.iter().copied().fold(0.0, f64::max);
    println!("frames_a_second_worst {:.0}", 1e3 / worst);
    Ok(())
}
