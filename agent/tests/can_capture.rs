//! Recordings of CAN buses in each format, end to end.

mod common;

use common::{Scene, read_log};
use underbrush_agent::{AgentError, Config, Outcome, run_blocking};
use underbrush_protocol::channel::Channel;
use underbrush_protocol::note::{ClockSource, Note};
use underbrush_protocol::settings::Machine;

const ASC: &str = "date Mon Nov 23 22:00:00.000 2026\nbase hex  timestamps absolute\n\
    0.500 1 180 Rx d 4 64 00 00 00\n0.750 1 180 Rx d 4 C8 00 00 00\n";
const TRC: &str = ";$FILEVERSION=1.1\n;$STARTTIME=46349.916667\n\
    1) 500.0 Rx 0180 4 64 00 00 00\n2) 750.0 Rx 0180 4 C8 00 00 00\n";
const CANDUMP: &str = "(0.500000) can0 180#64000000\n(0.750000) can0 180#C8000000\n";

fn blf() -> Vec<u8> {
    let mut file = b"LOGG".to_vec();
    file.extend(144_u32.to_le_bytes());
    file.resize(144, 0);
    for (time_ns, low) in [(500_000_000_u64, 0x64), (750_000_000, 0xC8)] {
        let head = [32_u16, 1].map(u16::to_le_bytes).concat();
        let sizes = [48_u32, 1, 2, 0].map(u32::to_le_bytes).concat();
        let body = [1, 0, 0, 4, 0x80, 1, 0, 0, low, 0, 0, 0, 0, 0, 0, 0];
        file.extend(
            [b"LOBJ".to_vec(), head, sizes, time_ns.to_le_bytes().to_vec(), body.to_vec()].concat(),
        );
    }
    file
}

fn import(scene: &Scene, file: &[u8], more: &str) -> Result<Outcome, AgentError> {
    scene.write("bus.rec", file);
    let keys = format!("kind = \"can-capture\"\nfile = \"bus.rec\"\ndbc = \"bus.dbc\"\n{more}");
    run_blocking(&Config::read(&scene.config(&keys))?, |_| {})
}

#[test]
fn each_format_with_the_start_that_a_person_knows() {
    for file in [ASC.as_bytes(), TRC.as_bytes(), CANDUMP.as_bytes(), &blf()] {
        let scene = Scene::new();
        let outcome = import(&scene, file, "start = 2026-11-23T22:00:00-06:00\n").unwrap();
        assert_eq!((outcome.frames, outcome.exit_code()), (2, 0));
        let log = read_log(&scene.log_dir());
        // Exact by definition: 1 km/h and 2 km/h.
        assert_eq!(log.readings, [(0, Channel::SPEED, 278), (250, Channel::SPEED, 556)]);
        let fixes: Vec<_> = log
            .notes
            .iter()
            .filter_map(|(at, n)| {
                if let Note::ClockFix(f) = n { Some((at.0, f.utc.0, f.source)) } else { None }
            })
            .collect();
        // `date -u -d 2026-11-23T22:00:00-06:00 +%s`
        assert_eq!(fixes, [(0, 1_795_492_800_000, ClockSource::Operator)]);
    }
}

#[test]
fn without_it_the_log_is_undated() {
    for file in [ASC.as_bytes(), TRC.as_bytes(), CANDUMP.as_bytes(), &blf()] {
        let scene = Scene::new();
        import(&scene, file, "").unwrap();
        let log = read_log(&scene.log_dir());
        assert_eq!(log.readings.len(), 2);
        assert!(!log.notes.iter().any(|(_, n)| matches!(n, Note::ClockFix(_))));
    }
}

#[test]
fn what_is_no_recording_is_told_before_the_log_is_touched() {
    let scene = Scene::new();
    let wrong = import(&scene, b"a letter to somebody\n", "").unwrap_err();
    assert!(matches!(wrong, AgentError::NotACapture(_)), "{wrong}");
    assert_eq!(wrong.exit_code(), 1);
    assert!(!scene.log_dir().exists());
    let no_map = scene.config("kind = \"can-capture\"\nfile = \"bus.rec\"\n");
    let told = Config::read(&no_map).unwrap_err().to_string();
    assert!(told.contains("line 5, key `source.kind`: the key `dbc` is missing"), "{told}");
}

/// The examples of SOURCES.md are settings that the agent takes.
#[test]
fn examples_of_the_documents() {
    let text = include_str!("../SOURCES.md");
    let machine = include_str!("data/machine.toml").split("[[signal]]").next().unwrap();
    let (mut sources, mut maps) = (0, 0);
    for block in text.split("```toml\n").skip(1).map(|rest| rest.split("```").next().unwrap()) {
        let told = if block.starts_with("[source]") {
            sources += 1;
            let text = format!("log_dir = \"log\"\nmachine = \"machine.toml\"\n{block}");
            Config::check_text("SOURCES.md", &text).map_err(|error| error.to_string())
        } else {
            maps += 1;
            let text = format!("{machine}{block}");
            Machine::parse("SOURCES.md", &text).map(drop).map_err(|error| error.to_string())
        };
        match told {
            Err(told) if !told.contains("built without CAN interfaces") => {
                panic!("{told}\n{block}")
            }
            _ => {}
        }
    }
    assert_eq!((sources, maps), (3, 3));
}
