//! What was probably meant by a name that is not there.
//!
//! Two names are *alike* if they are equal without case, spaces, hyphens and
//! leading zeros: `A12`, `a 12` and `A-012` all mean `A-12`. Only where nothing is
//! alike, names are compared by edit distance (insert, delete, replace, swap
//! neighbours). A third of the letters may differ, our own choice, at least one;
//! more than three names equally near are no help and are not named.

use std::fmt::Write as _;

/// More names than this are no suggestion.
const MOST: usize = 3;
/// A name longer than this is no slip of the finger, and comparing it would take long.
const LONGEST: usize = 64;

/// `; did you mean A-12?`, or nothing where no known name is near.
pub fn did_you_mean<'a>(asked: &str, known: impl Iterator<Item = &'a str>) -> String {
    let found = nearest(asked, known);
    let Some((last, before)) = found.split_last() else { return String::new() };
    let mut text = String::from("; did you mean ");
    if !before.is_empty() {
        let _ = write!(text, "{} or ", before.join(", "));
    }
    let _ = write!(text, "{last}?");
    text
}

fn nearest<'a>(asked: &str, known: impl Iterator<Item = &'a str>) -> Vec<&'a str> {
    if asked.len() > LONGEST {
        return Vec::new();
    }
    let plain_asked = plain(asked);
    let most = (plain_asked.chars().count() / 3).max(1);
    let mut best = (most, Vec::new());
    for name in known.filter(|name| name.len() <= LONGEST) {
        let plain_name = plain(name);
        let distance = if plain_name == plain_asked {
            0
        } else {
            strsim::osa_distance(&plain_asked, &plain_name).max(1)
        };
        if distance < best.0 {
            best = (distance, vec![name]);
        } else if distance == best.0 && !best.1.contains(&name) {
            best.1.push(name);
        }
    }
    // A name of one letter is one step away from all others.
    let too_short = best.0 > 0 && plain_asked.chars().count() <= best.0;
    if best.1.len() > MOST || too_short { Vec::new() } else { best.1 }
}

/// Without case, signs and leading zeros of numbers.
fn plain(name: &str) -> String {
    let mut out = String::new();
    let mut in_number = false;
    let letters: Vec<char> = name.to_lowercase().chars().filter(|c| c.is_alphanumeric()).collect();
    for (at, c) in letters.iter().enumerate() {
        let number_goes_on = letters.get(at + 1).is_some_and(char::is_ascii_digit);
        if *c == '0' && !in_number && number_goes_on {
            continue;
        }
        in_number = c.is_ascii_digit();
        out.push(*c);
    }
    out
}

/// A message of the TOML reader in our words: unknown keys come with a suggestion.
pub(super) fn friendly(message: &str) -> String {
    let message = message.replace('\n', " ");
    let named = |text: &str| -> Vec<String> {
        text.split('`').skip(1).step_by(2).map(str::to_owned).collect()
    };
    for (begin, kind) in [("unknown field ", "key"), ("unknown variant ", "word")] {
        let Some(rest) = message.strip_prefix(begin) else { continue };
        let names = named(rest);
        let Some((asked, known)) = names.split_first() else { continue };
        let quoted: Vec<String> = known.iter().map(|name| format!("`{name}`")).collect();
        let meant = match nearest(asked, known.iter().map(String::as_str)).as_slice() {
            [one] => format!("; did you mean `{one}`?"),
            _ if quoted.is_empty() => String::new(),
            _ => format!("; there are {}", quoted.join(", ")),
        };
        return format!("unknown {kind} `{asked}`{meant}");
    }
    if let Some(rest) = message.strip_prefix("missing field ") {
        return format!("the key {rest} is missing");
    }
    message
}

#[cfg(test)]
mod tests {
    use super::*;

    fn meant(asked: &str, known: &[&str]) -> String {
        did_you_mean(asked, known.iter().copied())
    }

    #[test]
    fn alike_comes_before_near() {
        let sections = ["A-02", "A-12", "A-13", "B-12"];
        for asked in ["A12", "a 12", "A_012", " a-12"] {
            assert_eq!(meant(asked, &sections), "; did you mean A-12?", "{asked}");
        }
        assert_eq!(meant("A2", &sections), "; did you mean A-02?");
        assert_eq!(meant("A-100", &sections), "", "zeros at the end count");
    }

    #[test]
    fn near_names_and_far_ones() {
        let names = ["squeegee", "tank", "filter", "battery"];
        assert_eq!(meant("sqeegee", &names), "; did you mean squeegee?");
        assert_eq!(meant("batt", &names), "");
        assert_eq!(meant("xyz", &names), "");
        assert_eq!(meant("tnak", &names), "; did you mean tank?", "neighbours swapped");
        assert_eq!(meant("C-1", &["A-1", "B-1"]), "; did you mean A-1 or B-1?");
        assert_eq!(meant("E-1", &["A-1", "B-1", "C-1", "D-1"]), "", "four are no help");
        assert_eq!(meant("Z", &["A", "B"]), "");
        assert_eq!(meant("", &["A", "B"]), "");
        assert_eq!(meant(&"x".repeat(100_000), &["x"]), "");
    }

    #[test]
    fn words_of_the_reader() {
        let said = friendly("unknown field `lenght`, expected one of `date`, `length`, `brush`");
        assert_eq!(said, "unknown key `lenght`; did you mean `length`?");
        let said = friendly("unknown field `zzz`, expected `low` or `high`");
        assert_eq!(said, "unknown key `zzz`; there are `low`, `high`");
        assert_eq!(
            friendly("unknown variant `sl`, expected `us` or `si`"),
            "unknown word `sl`; did you mean `si`?"
        );
        assert_eq!(friendly("missing field `name`"), "the key `name` is missing");
        assert_eq!(friendly("something\nelse"), "something else");
    }
}
