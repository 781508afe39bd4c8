//! A time as somebody types it: `1:23`, `01:23:45.5`, with or without a date before it.

use super::Scene;
use super::draw::fit::cut;
use crate::timeline::utc_of;
use chrono::{Days, NaiveDate, NaiveTime};

/// Where to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Place {
    /// An instant of this night, in UTC ms.
    At(i64),
    /// An event of this night.
    Event(usize),
    /// An instant of another day, in UTC ms.
    Elsewhere(i64),
}

/// Letters of what was typed that an answer repeats.
const REPEATED: usize = 16;

/// Reads what was typed; an error says how to write it.
pub(super) fn read(text: &str, scene: &Scene) -> Result<Place, String> {
    let text = text.trim();
    if let Some(event) = event(text, scene) {
        return Ok(Place::Event(event));
    }
    let (begin, end) = (scene.extent.from.timestamp_millis(), scene.extent.to.timestamp_millis());
    let typed = || [("typed", cut(text, REPEATED).into())];
    let wrong = || scene.words().with("screen-how-to-go", &typed());
    let (date, time) = match text.split_once([' ', 'T']) {
        Some((date, time)) => (Some(date.parse::<NaiveDate>().map_err(|_| wrong())?), time),
        None => (None, text),
    };
    let time = self::time(time).ok_or_else(wrong)?;
    let utc = |date: NaiveDate| {
        utc_of(scene.zone, date.and_time(time), false).map(|at| at.timestamp_millis())
    };
    if let Some(date) = date {
        let at = utc(date).ok_or_else(wrong)?;
        return Ok(if (begin..end).contains(&at) { Place::At(at) } else { Place::Elsewhere(at) });
    }
    // Of the days that the night touches the first that has it.
    let days = [0, 1, 2].map(|days| scene.night.checked_add_days(Days::new(days)));
    let found = days.into_iter().flatten().filter_map(utc).find(|at| (begin..end).contains(at));
    found.map(Place::At).ok_or_else(|| scene.words().with("screen-not-this-night", &typed()))
}

/// The last part of an event's id, or all of it.
fn event(text: &str, scene: &Scene) -> Option<usize> {
    let is_it = |id: &str| {
        let tail = id.rsplit('.').next().unwrap_or(id);
        id.eq_ignore_ascii_case(text) || tail.eq_ignore_ascii_case(text)
    };
    scene.events.iter().position(|event| is_it(&event.id))
}

/// With a point or a comma before parts of a second.
fn time(text: &str) -> Option<NaiveTime> {
    let text = text.trim().replace(',', ".");
    let forms = ["%H:%M", "%H:%M:%S", "%H:%M:%S%.f"];
    forms.iter().find_map(|form| NaiveTime::parse_from_str(&text, form).ok())
}
