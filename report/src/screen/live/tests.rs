//! The terminal comes back after a panic, in whichever thread. The rest of what ends a
//! screen is tested with the real program (`report/tests/browse_terminal.rs`).

#[path = "../../../tests/common/pty.rs"]
mod pty;

use super::*;
use crate::findings::Span;
use crate::screen::{Lane, Scene, Waiting};
use crate::settings::site::Language;
use crate::window::{Quantity, Window};
use chrono::{DateTime, NaiveDate, Utc};
use pty::{OnTerminal, given_back};
use std::process::Command;

/// Tells the test that it is the program on the terminal, and what has to fail.
const CHILD: &str = "UNDERBRUSH_TEST_PANICS_IN";

struct Failing {
    place: String,
}

impl Failing {
    fn fail_in(&self, place: &str) {
        assert!(self.place != place, "on purpose, in {place}");
    }
}

impl Nights for Failing {
    fn scene(&self, night: NaiveDate) -> Result<Scene, ShiftError> {
        let from: DateTime<Utc> = "2026-11-23T22:00:00Z".parse().unwrap();
        Ok(Scene {
            title: "Test hall".to_owned(),
            night,
            zone: chrono_tz::UTC,
            extent: Span { from, to: from + chrono::Duration::hours(8) },
            lanes: Vec::new(),
            events: Vec::new(),
            waiting: Waiting::default(),
            empty: false,
            language: Language::English,
        })
    }

    fn night_of(&self, at: DateTime<Utc>) -> NaiveDate {
        at.date_naive()
    }

    fn window(&self, span: Span, cells: usize, _: &[Quantity]) -> Window {
        Window { span, cells, lines: Vec::new() }
    }

    fn overview(&self, extent: Span, _: &[Quantity]) -> Overview {
        self.fail_in("thread");
        Overview::empty(extent)
    }

    fn events(&self, _: NaiveDate) -> Result<Told, ShiftError> {
        if self.place == "signal" {
            thread::sleep(Duration::from_secs(3600));
        }
        Ok(Told::default())
    }

    fn lanes(&self, _: &dyn Fn(Quantity) -> Option<(f32, f32)>) -> Vec<Lane> {
        self.fail_in("picture");
        Vec::new()
    }
}

/// Does nothing unless a test below starts it as a program of its own.
#[test]
fn on_the_terminal() {
    let Ok(place) = std::env::var(CHILD) else { return };
    let nights: Arc<dyn Nights> = Arc::new(Failing { place });
    let night = NaiveDate::from_ymd_opt(2026, 11, 23).unwrap();
    let ended = run(&nights, Opening::Night(night), Colours::Sixteen);
    println!("ended: {ended:?}");
}

fn start(place: &str) -> OnTerminal {
    let mut command = Command::new(std::env::current_exe().unwrap());
    command.args(["screen::live::tests::on_the_terminal", "--exact", "--nocapture"]);
    OnTerminal::start(command.env(CHILD, place), 80, 24)
}

#[test]
fn a_panic_while_drawing_gives_the_terminal_back_and_is_told() {
    let (status, said) = start("picture").end();
    assert!(!status.success());
    assert!(given_back(&said), "{said:?}");
    let told = said.rfind("on purpose, in picture");
    assert!(told > said.rfind("\x1b[?1049l"), "told on the page that is left: {said:?}");
}

#[test]
fn a_panic_of_a_thread_ends_the_screen() {
    let (_, said) = start("thread").end();
    assert!(given_back(&said), "{said:?}");
    let told = said.rfind("on purpose, in thread");
    assert!(told > said.rfind("\x1b[?1049l"), "{said:?}");
    assert!(said.contains("ended: Err("), "{said:?}");
}

/// Nobody waits for threads that still read.
#[test]
fn leaving_does_not_wait_for_what_is_still_read() {
    let screen = start("signal");
    screen.wait_for("Events (reading)");
    assert!(screen.is_raw());
    screen.type_in("q");
    let (status, said) = screen.end();
    assert!(status.success(), "{said:?}");
    assert!(given_back(&said) && said.contains("ended: Ok("), "{said:?}");
}
