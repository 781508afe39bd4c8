//! Durations in words, for messages.

/// `35 s`, `48 min`, `2 h 05 min` or `3 days`.
pub(crate) fn in_words(ms: u64) -> String {
    match ms {
        0..120_000 => format!("{} s", ms / 1000),
        120_000..7_200_000 => format!("{} min", ms / 60_000),
        7_200_000..172_800_000 => format!("{} h {:02} min", ms / 3_600_000, ms / 60_000 % 60),
        _ => format!("{} days", ms / 86_400_000),
    }
}
