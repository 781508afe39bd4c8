//! Dates and times as spreadsheets rewrite them.
//!
//! The rule, the same for every row: `2026-11-23` (also with `/` or `.`) is year, month,
//! day. `23.11.2026` with dots is day, month, year, the only order in use with dots
//! (common practice). With `/` or `-` and the year last, the number over 12 is the day;
//! `11/12/2026` may be either and is refused; `11/11/2026` may not. Years have four digits.

use chrono::{NaiveDate, NaiveTime};

/// The date, or what is wrong with it.
pub(super) fn date(text: &str) -> Result<NaiveDate, String> {
    let text = text.trim();
    let no_date = || format!("`{text}` is not a date; write it like 2026-11-23");
    let sign = text.chars().find(|c| !c.is_ascii_digit()).ok_or_else(|| {
        format!("`{text}` is not a date: if the cell shows one, set its format to 2026-11-23")
    })?;
    if !matches!(sign, '-' | '/' | '.') {
        return Err(no_date());
    }
    let parts: Vec<&str> = text.split(sign).map(str::trim).collect();
    let [first, second, third] = parts[..] else { return Err(no_date()) };
    let number = |part: &str| part.parse::<u32>().map_err(|_| no_date());
    let (a, b, c) = (number(first)?, number(second)?, number(third)?);
    if first.len() == 4 {
        return NaiveDate::from_ymd_opt(a as i32, b, c).ok_or_else(no_date);
    }
    if third.len() != 4 {
        return Err(format!("`{text}`: write the year with four digits, best like 2026-11-23"));
    }
    let (day, month) = match (sign, a, b) {
        ('.', day, month) => (day, month),
        (_, day, month) if day > 12 => (day, month),
        (_, month, day) if day > 12 || day == month => (day, month),
        _ => {
            return Err(format!(
                "`{text}` may be day and month or month and day; write it like 2026-11-23"
            ));
        }
    };
    NaiveDate::from_ymd_opt(c as i32, month, day).ok_or_else(no_date)
}

/// The time of day, or what is wrong with it.
pub(super) fn time(text: &str) -> Result<NaiveTime, String> {
    let plain = text.trim().to_uppercase().replace('\u{202f}', " ");
    ["%H:%M", "%H:%M:%S", "%I:%M %p", "%I:%M:%S %p", "%I:%M%p"]
        .iter()
        .find_map(|form| NaiveTime::parse_from_str(&plain, form).ok())
        .ok_or_else(|| format!("`{text}` is not a time; write it like 22:05"))
}
