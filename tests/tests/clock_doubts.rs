//! What the real program's sheet says of nights whose boots have no time, or a wrong one.

use std::path::Path;
use std::process::Output;
use tempfile::TempDir;
use underbrush_protocol::archive::Writer;
use underbrush_protocol::channel::Channel;
use underbrush_protocol::log::{Entry, Identity};
use underbrush_protocol::note::{ClockFix, ClockSource, Note};
use underbrush_protocol::reading::Reading;
use underbrush_protocol::time::{BootMs, UtcMs};
use underbrush_tests::{program, scenario};

/// 2026-11-23T22:30 in Chicago, by `date -d 'TZ="America/Chicago" 2026-11-23 22:30' +%s`.
const NIGHT: i64 = 1_795_494_600_000;
/// The week of a satellite receiver has 10 bits (IS-GPS-200): 1024 weeks.
const ROLLOVER: i64 = 1024 * 7 * 86_400_000;

/// Twenty minutes of driving with this fix at its begin.
fn write_boot(log: &Path, boot: u32, fix: Option<(i64, ClockSource)>) {
    let identity =
        Identity { machine: "fh-scrubber-1".into(), boot, segment: 1, agent: "test".into() };
    let mut writer = Writer::new(&identity).unwrap();
    if let Some((utc, source)) = fix {
        let fix = ClockFix { utc: UtcMs(utc), source, uncertainty_ms: 100 };
        writer.push(Entry::Note(BootMs(0), Note::ClockFix(fix)));
    }
    for i in 0..12_000 {
        let at = BootMs(i * 100);
        for (channel, raw) in [(Channel::SPEED, 500), (Channel::BRUSH_COMMAND, 1)] {
            writer.push(Entry::Reading(Reading { at, channel, raw }));
        }
    }
    writer.finish();
    let name = format!("boot-{boot:08}.part-0001.archive");
    std::fs::write(log.join(name), writer.take_bytes()).unwrap();
}

fn sheet(log: &Path, more: &[&str]) -> Output {
    program("underbrush")
        .args(["sheet", "--shift", "2026-11-23", "--text", "--details", "--log"])
        .arg(log)
        .arg("--site")
        .arg(scenario("site.toml"))
        .arg("--machine")
        .arg(scenario("machine.toml"))
        .args(more)
        .output()
        .unwrap()
}

/// The text of a sheet as one line, and what was said besides.
fn said(output: &Output) -> (String, String) {
    let text = String::from_utf8_lossy(&output.stdout);
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    (text, String::from_utf8_lossy(&output.stderr).into_owned())
}

fn a_night_without(fix: Option<(i64, ClockSource)>, reason: &str) {
    let dir = TempDir::new().unwrap();
    let network = |hours: i64| Some((NIGHT + hours * 3_600_000, ClockSource::Network));
    write_boot(dir.path(), 1, network(0));
    write_boot(dir.path(), 2, fix);
    write_boot(dir.path(), 3, network(2));
    let output = sheet(dir.path(), &[]);
    let (text, errors) = said(&output);
    assert_eq!(output.status.code(), Some(3), "data are missing: {errors}");
    for said in [&text, &errors] {
        assert!(said.contains("Power-on 2 (19 min of readings)"), "{said}");
        assert!(said.contains(reason), "{said}");
    }
    assert!(text.contains("Recorded 40 min"), "two of three boots:\n{text}");

    // A person knows when the key was turned on, and gives it.
    let placed = sheet(dir.path(), &["--boot", "2=2026-11-23T23:30"]);
    let (text, errors) = said(&placed);
    assert!(!errors.contains("Power-on 2"), "{errors}");
    assert!(text.contains("Recorded 1 h 00 min"), "{text}");
}

#[test]
fn a_boot_that_never_learned_the_time() {
    a_night_without(None, "never learned the time and is not on this sheet");
}

#[test]
fn a_boot_whose_receiver_is_1024_weeks_behind() {
    // 2026-11-24T05:30Z less 7168 days, by `date -u -d '2026-11-24 05:30 UTC 7168 days ago'`.
    let fix = Some((NIGHT + 3_600_000 - ROLLOVER, ClockSource::Satellite));
    a_night_without(fix, "learned no time but 2007-04-10 05:30 UTC, which cannot be,");
}

#[test]
fn a_boot_a_year_behind() {
    let fix = Some((NIGHT + 3_600_000 - 365 * 86_400_000, ClockSource::System));
    a_night_without(fix, "was on 2025-11-24 05:30 UTC by its clock, which the power-ons before");
}
