//! Which readings a figure rests on: how many of each channel, in which files,
//! and the readings themselves around an event.

use crate::duration;
use crate::findings::{Case, Known, Span};
use crate::logset::{Chunks, ClockMap, LogSet};
use chrono::DateTime;
use chrono_tz::Tz;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use underbrush_protocol::channel::Channel;
use underbrush_protocol::time::BootMs;

/// Readings shown this much before and after each end of an event, in ms.
const AROUND_MS: i64 = 350;
/// The clock map's slope is near 1, so this margin makes up for its inverse.
const MARGIN_MS: i64 = 60_000;

/// One reading in wall time.
struct Seen {
    utc_ms: i64,
    channel: Channel,
    raw: i32,
}

/// Gives each reading of a span; returns the files it was found in.
fn each(logs: &LogSet, span: Span, mut take: impl FnMut(Seen)) -> BTreeSet<String> {
    let (from, to) = (span.from.timestamp_millis(), span.to.timestamp_millis());
    let mut files = BTreeSet::new();
    for boot in &logs.boots {
        let (Some((first, last)), Some(clock)) = (boot.utc_span(), boot.clock()) else { continue };
        if first.0 > to || last.0 < from {
            continue;
        }
        let (begin, end) = (near(clock, from - MARGIN_MS), near(clock, to + MARGIN_MS));
        files.extend(boot.files_between(begin, end));
        for chunk in Chunks::new(boot, begin, end) {
            for column in &chunk.block.columns {
                for (at, raw) in column.at.iter().zip(&column.raw) {
                    let utc_ms = clock.utc(BootMs(chunk.base.0 + *at as u64)).0;
                    if (from..=to).contains(&utc_ms) {
                        take(Seen { utc_ms, channel: column.channel, raw: *raw });
                    }
                }
            }
        }
    }
    files
}

/// About when the board's clock was at `utc_ms`.
fn near(clock: &ClockMap, utc_ms: i64) -> BootMs {
    BootMs((utc_ms - clock.utc(BootMs(0)).0).max(0) as u64)
}

/// How many readings of which channels, from where, and what was not seen.
pub(super) fn census(
    logs: &LogSet,
    span: Span,
    channels: &[&str],
    known: &Known<'_>,
) -> Vec<String> {
    let mut counts: BTreeMap<Channel, u64> = BTreeMap::new();
    let files = each(logs, span, |seen| *counts.entry(seen.channel).or_default() += 1);
    let count = |name: &&str| {
        let channel = Channel::by_name(name)?;
        let count = counts.get(&channel).copied().unwrap_or(0);
        Some(format!("{name} {count}"))
    };
    let counted: Vec<String> = channels.iter().filter_map(count).collect();
    let mut out = vec![format!("readings in the shift: {}", counted.join(", "))];
    let data = &known.findings.data;
    let ms =
        |t: underbrush_protocol::si::Seconds| duration::in_words((t.0.max(0.0) * 1000.0) as u64);
    out.push(format!(
        "speed and brush were both known for {} of {} recorded; gaps {}, frames lost {}, damaged {}",
        ms(data.observed),
        ms(data.recorded),
        data.gaps.len(),
        data.link.lost,
        data.link.damaged
    ));
    let uncertain = data.clock_uncertainty.map_or("not known".to_owned(), |t| format!("{} s", t.0));
    out.push(format!("uncertainty of the clock: {uncertain}"));
    let most = 6;
    let names: Vec<&str> = files.iter().map(String::as_str).take(most).collect();
    let more = files.len().saturating_sub(most);
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    out.push(format!("files: {}{more}", names.join(", ")));
    out
}

/// The readings at both ends of an event, one line for each instant.
pub(super) fn around(logs: &LogSet, case: &Case, zone: Tz, channels: &[&str]) -> String {
    let Some(span) = case.span else { return String::new() };
    let wanted: Vec<Channel> = channels.iter().filter_map(|n| Channel::by_name(n)).collect();
    let ends = [span.from, span.to].map(|at| at.timestamp_millis());
    let margin = chrono::TimeDelta::milliseconds(AROUND_MS);
    let wide = Span { from: span.from - margin, to: span.to + margin };
    let mut rows: BTreeMap<i64, BTreeMap<Channel, i32>> = BTreeMap::new();
    each(logs, wide, |seen| {
        let near = ends.iter().any(|end| (seen.utc_ms - end).abs() <= AROUND_MS);
        if near && wanted.contains(&seen.channel) {
            rows.entry(seen.utc_ms).or_default().insert(seen.channel, seen.raw);
        }
    });
    let there: Vec<Channel> =
        wanted.into_iter().filter(|c| rows.values().any(|row| row.contains_key(c))).collect();
    let mut out = format!("  {}: readings at its begin and end\n    {:12}", case.title, "");
    for channel in &there {
        // Writing to a string cannot fail.
        let _ = write!(out, "  {:>16}", channel.name());
    }
    out.push('\n');
    let mut last = None;
    for (at, row) in &rows {
        if last.is_some_and(|last: i64| at - last > 2 * AROUND_MS) {
            out.push_str("    ...\n");
        }
        last = Some(*at);
        let local = DateTime::from_timestamp_millis(*at).unwrap_or_default().with_timezone(&zone);
        let _ = write!(out, "    {}", local.format("%H:%M:%S%.3f"));
        for channel in &there {
            let value = row.get(channel).map_or(String::new(), |raw| value(*channel, *raw));
            let _ = write!(out, "  {value:>16}");
        }
        out.push('\n');
    }
    out
}

/// A raw reading in SI (or r/min, percent, 0 or 1).
fn value(channel: Channel, raw: i32) -> String {
    let unit = match channel.name() {
        "speed" => " m/s",
        "turn_rate" => " rad/s",
        "battery_voltage" => " V",
        name if name.contains("current") => " A",
        name if name.starts_with("brush_rotation") => " r/min",
        "solution_flow" | "pressure_setting" => " %",
        _ => "",
    };
    let resolution = channel.resolution();
    let decimals = (-resolution.log10()).ceil().clamp(0.0, 4.0) as usize;
    format!("{:.decimals$}{unit}", f64::from(raw) * resolution)
}
