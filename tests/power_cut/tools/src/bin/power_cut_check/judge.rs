//! The log beside what was sent and what was promised.

use crate::bridge::{Frame, frame};
use crate::log_dir::{BootLog, LogDir};
use std::collections::BTreeMap;
use std::fmt;

/// What the agent said is safe of one boot.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Promise {
    pub(crate) boot: u32,
    /// Number of the bridge's first frame in this boot.
    pub(crate) first: u32,
    pub(crate) readings: u64,
    pub(crate) notes: u64,
}

impl Promise {
    /// Reads `boot:first:readings:notes,...`.
    pub(crate) fn list(text: &str) -> Option<Vec<Self>> {
        text.split(',')
            .map(|one| {
                let mut numbers = one.split(':');
                let mut number = || numbers.next()?.parse::<u64>().ok();
                Some(Self {
                    boot: u32::try_from(number()?).ok()?,
                    first: u32::try_from(number()?).ok()?,
                    readings: number()?,
                    notes: number()?,
                })
            })
            .collect()
    }
}

/// What came out.
#[derive(Default)]
pub(crate) struct Judged {
    boots: usize,
    files: usize,
    unfinished: usize,
    headless: usize,
    torn_bytes: usize,
    readings: u64,
    promised: u64,
    /// Readings and notes that were promised and are not there.
    pub(crate) lost: u64,
    /// Values that are not those sent, or not in order, or of no known boot.
    pub(crate) wrong: u64,
    pub(crate) problems: Vec<String>,
}

impl Judged {
    pub(crate) fn is_good(&self) -> bool {
        self.lost == 0 && self.wrong == 0 && self.problems.is_empty()
    }
}

impl fmt::Display for Judged {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self {
            boots,
            files,
            unfinished,
            headless,
            torn_bytes,
            readings,
            promised,
            lost,
            wrong,
            ..
        } = self;
        write!(
            f,
            "boots={boots} files={files} unfinished={unfinished} headless={headless} torn_bytes={torn_bytes} \
             readings={readings} promised={promised} lost={lost} wrong={wrong}"
        )
    }
}

/// Judges every boot.
pub(crate) fn judge(log: &LogDir, promises: &[Promise]) -> Judged {
    let mut judged = Judged {
        boots: log.boots.len(),
        files: log.files,
        unfinished: log.unfinished,
        headless: log.headless,
        torn_bytes: log.torn_bytes,
        problems: log.damage.clone(),
        ..Judged::default()
    };
    for promise in promises {
        let empty = BootLog::default();
        let boot = log.boots.get(&promise.boot).unwrap_or(&empty);
        judged.readings += boot.readings();
        judged.promised += promise.readings;
        judged.boot(boot, *promise);
    }
    for boot in log.boots.keys().filter(|boot| !promises.iter().any(|p| p.boot == **boot)) {
        judged.wrong += 1;
        judged.problems.push(format!("boot {boot} never was"));
    }
    judged
}

impl Judged {
    fn boot(&mut self, log: &BootLog, promise: Promise) {
        let Promise { boot, first, readings, notes } = promise;
        let found = log.readings();
        let sent = sent(first, found.max(readings));
        let mut whole = 0;
        for (channel, values) in &log.channels {
            let expected = sent.channels.get(channel).map_or(&[][..], Vec::as_slice);
            let same = values.iter().zip(expected).take_while(|((_, raw), sent)| raw == *sent);
            let same = same.count();
            whole += same as u64;
            if same < values.len() {
                self.wrong += (values.len() - same) as u64;
                let (at, raw) = values[same];
                self.problems.push(format!(
                    "boot {boot}, channel {channel}, {at} ms: {raw} instead of {:?}",
                    expected.get(same)
                ));
            }
            if values.is_sorted_by_key(|(at, _)| *at) {
                continue;
            }
            self.wrong += 1;
            self.problems.push(format!("boot {boot}, channel {channel}: times run back"));
        }
        if whole < readings || log.notes < notes {
            self.lost += readings.saturating_sub(whole) + notes.saturating_sub(log.notes);
            self.problems.push(format!(
                "boot {boot}: {whole} of {readings} readings and {} of {notes} notes",
                log.notes
            ));
        }
        // A mark at the very end may be there without the readings behind it, or not yet.
        let tags = &log.tags;
        if !sent.tags.starts_with(tags) || tags.len() + 1 < sent.tags_before_end {
            self.wrong += 1;
            self.problems.push(format!("boot {boot}: {} marks, not those sent", tags.len()));
        }
    }
}

/// What the bridge sent, up to a number of readings and a frame more.
struct Sent {
    channels: BTreeMap<u8, Vec<i32>>,
    /// With the next one that could be there.
    tags: Vec<u64>,
    tags_before_end: usize,
}

fn sent(first: u32, readings: u64) -> Sent {
    let mut sent = Sent { channels: BTreeMap::new(), tags: Vec::new(), tags_before_end: 0 };
    let mut count = 0;
    let mut n = first;
    // 100 frames more, so that one mark behind the end is among them.
    let mut more = 100;
    while more > 0 {
        let before_end = count < readings;
        match frame(n) {
            Frame::Mark(tag) => {
                sent.tags.push(tag);
                sent.tags_before_end += usize::from(before_end);
            }
            Frame::Readings(pair) if before_end => {
                for (channel, raw) in pair {
                    // The last promised reading may be the first of its frame.
                    if count < readings {
                        sent.channels.entry(channel).or_default().push(raw);
                        count += 1;
                    }
                }
            }
            Frame::Readings(_) => {}
        }
        more -= u32::from(!before_end);
        n += 1;
    }
    sent
}

#[cfg(test)]
mod tests {
    use super::*;

    fn log(first: u32, readings: u64) -> LogDir {
        let mut boot = BootLog::default();
        let sent = sent(first, readings);
        for (channel, values) in &sent.channels {
            boot.channels.insert(*channel, values.iter().map(|raw| (0, *raw)).collect());
        }
        boot.tags = sent.tags[..sent.tags_before_end].to_vec();
        boot.notes = 9;
        LogDir { boots: BTreeMap::from([(1, boot)]), ..LogDir::default() }
    }

    fn promise(readings: u64) -> Promise {
        Promise { boot: 1, first: 5, readings, notes: 9 }
    }

    #[test]
    fn what_was_sent_is_good() {
        assert!(judge(&log(5, 1000), &[promise(1000)]).is_good());
        assert!(judge(&log(5, 1000), &[promise(900)]).is_good());
    }

    #[test]
    fn anything_else_is_not() {
        let told = |log: &LogDir| judge(log, &[promise(1000)]).problems.join("; ");
        assert_eq!(told(&log(5, 999)), "boot 1: 999 of 1000 readings and 9 of 9 notes");
        assert!(told(&log(6, 1000)).contains("channel 1, 0 ms: 6 instead of Some(5)"));
        let mut doubled = log(5, 1000);
        let speeds = doubled.boots.get_mut(&1).unwrap().channels.get_mut(&1).unwrap();
        speeds.insert(3, speeds[3]);
        assert!(told(&doubled).contains("channel 1, 0 ms: 9 instead of"), "{}", told(&doubled));
        let mut unmarked = log(5, 1000);
        unmarked.boots.get_mut(&1).unwrap().tags.remove(2);
        assert!(told(&unmarked).contains("marks, not those sent"));
        let mut other = log(5, 1000);
        other.boots.insert(2, BootLog::default());
        assert_eq!(told(&other), "boot 2 never was");
        assert!(told(&LogDir::default()).contains("boot 1: 0 of 1000"));
    }
}
