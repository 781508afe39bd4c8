//! Boots against each other: which of their clocks can be believed, and what to say of the rest.
//!
//! Words: boots are *in order* when their begins by the clock follow their numbers, which
//! the board counts up; [`LOOSE_MS`] of disorder is let pass, for clocks that nobody set.
//!
//! * Of all boots the largest number that is in order is believed, better clocks first:
//!   a board that was never set does not outweigh one boot that the network told. The
//!   others are undated: they are shown on the sheets of their neighbours' nights and on
//!   that of their own claim, on which their data then are not.
//! * What contradicts nothing cannot be found out. So a leap of the date of more than
//!   [`LONG_MS`] from one boot to the next is shown, and so is a boot some of whose fixes,
//!   as good as those used, would put it on this sheet.

use super::catalogue::BootLog;
use super::clock_map::BEST_RANK;
use crate::duration;
use crate::findings::{Problem, Span};
use chrono::DateTime;
use underbrush_protocol::time::UtcMs;

/// Disorder up to this keeps a boot on the sheet of its night; it is told. Our own choice.
const LOOSE_MS: i64 = 3_600_000;
/// A machine that stood longer than this, or a wrong clock. Our own choice.
const LONG_MS: i64 = 30 * 86_400_000;

/// Why the times of a boot are not known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Undated {
    /// It never learned the time.
    NeverLearned,
    /// It learned a time before 2025 or after 2100 only: this.
    Impossible(UtcMs),
    /// By its clock it was from the first to the second time, which the boots around it rule out.
    OutOfOrder(UtcMs, UtcMs),
}

/// Boots in order, of each rank: those a person dated, then from the best clock down.
type Score = [u32; BEST_RANK as usize + 2];

/// The best chain of boots that ends at or before some begin.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
struct Chain {
    score: Score,
    /// Place of its last boot among the dated ones, from 1; 0: none. The later of equals.
    last: usize,
}

/// Takes the dates from boots that are out of order; what else is to be told of the order.
pub(super) fn believe(boots: &mut [BootLog]) -> Vec<(u32, Problem)> {
    let dated: Vec<usize> = (0..boots.len()).filter(|i| boots[*i].utc_span().is_some()).collect();
    let begins: Vec<i64> =
        dated.iter().filter_map(|i| boots[*i].utc_span()).map(|(begin, _)| begin.0).collect();
    if begins.is_sorted() {
        return Vec::new();
    }
    let ranks: Vec<u8> = dated.iter().map(|i| boots[*i].trust()).collect();
    let kept = longest_in_order(&begins, &ranks);
    let mut left = kept.iter().peekable();
    for (place, boot) in dated.iter().enumerate() {
        if left.next_if_eq(&&place).is_none() {
            boots[*boot].disbelieve();
        }
    }
    let told = kept.windows(2).filter(|pair| begins[pair[1]] < begins[pair[0]]).map(|pair| {
        let [earlier, later] = [pair[0], pair[1]].map(|place| boots[dated[place]].boot);
        let by = duration::in_words(begins[pair[0]].abs_diff(begins[pair[1]]));
        let message = format!(
            "Power-on {later} began {by} before power-on {earlier} by their clocks: one of them is wrong by that or more."
        );
        (later, Problem { data_lost: false, message })
    });
    told.collect()
}

/// Places of the best chain, rising. The work is n log n: boots are many in a year.
fn longest_in_order(begins: &[i64], ranks: &[u8]) -> Vec<usize> {
    let mut sorted = begins.to_vec();
    sorted.sort_unstable();
    // A tree of greatest values of beginnings (P. Fenwick, 1994; from memory).
    let mut tree = vec![Chain::default(); sorted.len() + 1];
    let mut before = vec![0; begins.len()];
    let mut best = Chain::default();
    for (place, (begin, rank)) in begins.iter().zip(ranks).enumerate() {
        let limit = begin.saturating_add(LOOSE_MS);
        let mut node = sorted.partition_point(|other| *other <= limit);
        let mut chain = Chain::default();
        while node > 0 {
            chain = chain.max(tree[node]);
            node &= node - 1;
        }
        before[place] = chain.last;
        chain.score[usize::from(BEST_RANK + 1 - rank)] += 1;
        chain.last = place + 1;
        best = best.max(chain);
        node = sorted.partition_point(|other| other < begin) + 1;
        while node < tree.len() {
            tree[node] = tree[node].max(chain);
            node += node & node.wrapping_neg();
        }
    }
    let mut kept = Vec::new();
    while let Some(place) = best.last.checked_sub(1) {
        kept.push(place);
        best.last = before[place];
    }
    kept.reverse();
    kept
}

/// What of other boots may belong to the span, or may not be where it is.
pub(super) fn doubts(boots: &[BootLog], span: Span) -> Vec<Problem> {
    let (from, to) = (span.from.timestamp_millis(), span.to.timestamp_millis());
    let touches = |begin: UtcMs, end: UtcMs| begin.0 < to && end.0 > from;
    let mut found = Vec::new();
    for boot in boots.iter().filter(|boot| boot.length_ms() > 0) {
        let number = boot.boot;
        let message = match (boot.utc_span(), boot.undated()) {
            (Some((begin, end)), _) => {
                let mut rivals = boot.rival_spans();
                let rival = rivals.any(|(begin, end)| touches(begin, end));
                (rival && !touches(begin, end)).then(|| format!(
                    "Power-on {number} is not on this sheet: it was dated {}. Other time fixes of it, as good, would put it here. If you know when the key was turned on, add: --boot {number}=YYYY-MM-DDTHH:MM",
                    date(begin)
                ))
            }
            (None, Some(Undated::OutOfOrder(begin, end))) if touches(begin, end) => {
                Some(undated(boot))
            }
            (None, _) => neighbours_allow(boots, number, from, to).then(|| undated(boot)),
        };
        found.extend(message.map(|message| Problem { data_lost: true, message }));
    }
    let mut dated = boots.iter().filter_map(|b| Some((b.boot, b.utc_span()?)));
    let Some(mut earlier) = dated.next() else { return found };
    for later in dated {
        let (end, begin) = (earlier.1.1, later.1.0);
        if begin.0.saturating_sub(end.0) > LONG_MS && touches(earlier.1.0, later.1.1) {
            let message = format!(
                "By their clocks power-on {} began {} after the end of power-on {}, on {}. If the machine did not stand that long, one of them is wrong: place it by --boot.",
                later.0,
                duration::in_words(begin.0.abs_diff(end.0)),
                earlier.0,
                date(begin)
            );
            found.push(Problem { data_lost: false, message });
        }
        earlier = later;
    }
    found
}

/// Whether the dated boots before and after do not rule out that this one was in the span.
fn neighbours_allow(boots: &[BootLog], number: u32, from: i64, to: i64) -> bool {
    let before = boots.iter().rev().filter(|b| b.boot < number).find_map(BootLog::utc_span);
    let after = boots.iter().filter(|b| b.boot > number).find_map(BootLog::utc_span);
    before.is_none_or(|(_, end)| end.0 < to) && after.is_none_or(|(begin, _)| begin.0 > from)
}

fn undated(boot: &BootLog) -> String {
    let why = match boot.undated() {
        Some(Undated::Impossible(utc)) => {
            format!("learned no time but {}, which cannot be,", date(utc))
        }
        Some(Undated::OutOfOrder(begin, _)) => format!(
            "was on {} by its clock, which the power-ons before and after it rule out,",
            date(begin)
        ),
        Some(Undated::NeverLearned) | None => "never learned the time".to_owned(),
    };
    format!(
        "Power-on {0} ({1} of readings) {why} and is not on this sheet. If you know when the key was turned on, add: --boot {0}=YYYY-MM-DDTHH:MM",
        boot.boot,
        duration::in_words(boot.length_ms())
    )
}

fn date(utc: UtcMs) -> String {
    DateTime::from_timestamp_millis(utc.0).map_or_else(
        || "a date beyond the calendar".to_owned(),
        |utc| utc.format("%Y-%m-%d %H:%M UTC").to_string(),
    )
}
