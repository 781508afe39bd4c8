//! Lengths that were measured.

use super::dates::date;
use chrono::NaiveDate;
use serde::Deserialize;
use underbrush_protocol::si::Metres;

/// Lengths that one brush is measured at: four, a quarter turn apart.
pub const QUADRANTS: usize = 4;

/// The segments were measured.
///
/// `length` alone is the shortest of all brushes; with `brush = 1` (1: left) that of
/// one brush; `lengths` are those of all brushes from left to right; `quadrants` are
/// four of each brush, of which the shortest counts.
#[derive(Clone, Debug, Deserialize)]
#[serde(try_from = "MeasuredEntry")]
pub struct Measured {
    /// Local date.
    pub date: NaiveDate,
    /// Bonded abrasive found.
    pub found: Lengths,
    /// All four lengths of each brush, left to right, where they were noted.
    pub quadrants: Vec<[Metres; QUADRANTS]>,
    /// The set that was measured; left out: the one on the machine.
    pub set: Option<String>,
    /// The machine; left out: any.
    pub machine: Option<String>,
    /// Who noted it.
    pub by: Option<String>,
    /// Its line in the book.
    pub line: usize,
}

/// Which brushes were measured.
#[derive(Clone, Debug, PartialEq)]
pub enum Lengths {
    /// The shortest segment of all brushes.
    Shortest(Metres),
    /// The shortest segment of one brush, from 0, left to right.
    Brush(usize, Metres),
    /// The shortest segment of each brush, left to right.
    Each(Vec<Metres>),
}

impl Measured {
    /// What is known of one brush, from 0; `None` where only the shortest of all is known.
    pub fn of_brush(&self, brush: usize) -> Option<Metres> {
        match &self.found {
            Lengths::Brush(number, length) => (*number == brush).then_some(*length),
            Lengths::Each(lengths) => lengths.get(brush).copied(),
            Lengths::Shortest(_) => None,
        }
    }

    /// The last brush it names, from 1.
    pub fn last_brush(&self) -> usize {
        match &self.found {
            Lengths::Each(lengths) => lengths.len(),
            Lengths::Brush(brush, _) => brush + 1,
            Lengths::Shortest(_) => 1,
        }
    }

    /// The shortest length of the entry.
    pub fn shortest(&self) -> Metres {
        match &self.found {
            Lengths::Shortest(length) | Lengths::Brush(_, length) => *length,
            Lengths::Each(lengths) => shortest(lengths),
        }
    }
}

/// The shortest of a list; not a number where it is empty.
fn shortest(lengths: &[Metres]) -> Metres {
    Metres(lengths.iter().map(|length| length.0).reduce(f64::min).unwrap_or(f64::NAN))
}

/// The keys of `[[measured]]`.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct MeasuredEntry {
    #[serde(deserialize_with = "date")]
    date: NaiveDate,
    length: Option<Metres>,
    lengths: Option<Vec<Metres>>,
    quadrants: Option<Vec<Vec<Metres>>>,
    brush: Option<usize>,
    set: Option<String>,
    machine: Option<String>,
    by: Option<String>,
}

impl TryFrom<MeasuredEntry> for Measured {
    type Error = String;

    fn try_from(entry: MeasuredEntry) -> Result<Self, String> {
        let date = entry.date;
        let quadrants = quadrants(date, entry.quadrants.as_deref().unwrap_or_default())?;
        let lengths = match (entry.lengths, entry.quadrants) {
            (Some(_), Some(_)) => {
                return Err(format!("measured on {date}: `lengths` or `quadrants`, not both"));
            }
            (None, Some(_)) => Some(quadrants.iter().map(|q| shortest(q)).collect()),
            (lengths, None) => lengths,
        };
        let found = match (entry.length, lengths, entry.brush) {
            (Some(length), None, None) => Lengths::Shortest(length),
            (Some(length), None, Some(brush @ 1..=4)) => Lengths::Brush(brush - 1, length),
            (Some(_), None, Some(brush)) => {
                return Err(format!(
                    "measured on {date}: brush {brush} is none; 1 is the left one"
                ));
            }
            (None, Some(lengths), None) if !lengths.is_empty() => Lengths::Each(lengths),
            _ => {
                return Err(format!(
                    "measured on {date}: give `length` (shortest of all), `length` with `brush`, \
                     `lengths` (one of each brush, left to right) or `quadrants` (four of each)"
                ));
            }
        };
        let (set, machine, by) = (entry.set, entry.machine, entry.by);
        let measured = Self { date, found, quadrants, set, machine, by, line: 0 };
        let length = measured.shortest().0;
        if length >= 0.0 && length.is_finite() {
            Ok(measured)
        } else {
            Err(format!("measured on {date}: a length must not be less than 0"))
        }
    }
}

fn quadrants(date: NaiveDate, given: &[Vec<Metres>]) -> Result<Vec<[Metres; QUADRANTS]>, String> {
    let four = |(brush, lengths): (usize, &Vec<Metres>)| {
        <[Metres; QUADRANTS]>::try_from(lengths.as_slice()).map_err(|_| {
            format!(
                "measured on {date}: `quadrants` of brush {} has {} lengths; give {QUADRANTS}, \
                 a quarter turn apart",
                brush + 1,
                lengths.len()
            )
        })
    };
    given.iter().enumerate().map(four).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::Book;

    fn measured(entry: &str) -> Result<Measured, String> {
        let text = format!("[[measured]]\ndate = 2026-11-20\n{entry}\n");
        let book = Book::parse("book.toml", &text).map_err(|e| e.to_string())?;
        Ok(book.measured[0].clone())
    }

    #[test]
    fn lengths_of_all_or_of_one_brush() {
        let inch = Metres(0.0254);
        assert_eq!(measured("length = \"1 in\"").unwrap().found, Lengths::Shortest(inch));
        let right = measured("brush = 2\nlength = \"1 in\"").unwrap();
        assert_eq!((right.of_brush(0), right.of_brush(1)), (None, Some(inch)));
        let both = measured("lengths = [\"1.5 in\", \"1 in\"]").unwrap();
        assert_eq!((both.of_brush(1), both.of_brush(2)), (Some(inch), None));
        assert_eq!(both.shortest(), inch);
    }

    #[test]
    fn of_four_quadrants_the_shortest_counts() {
        let text = "quadrants = [[\"3 cm\", \"2 cm\", \"4 cm\", \"5 cm\"], \
                    [\"3 cm\", \"9 cm\", \"1 cm\", \"5 cm\"]]";
        let found = measured(text).unwrap();
        assert_eq!(found.found, Lengths::Each(vec![Metres(0.02), Metres(0.01)]));
        assert_eq!(found.quadrants[1][1], Metres(0.09));
        let said = measured("quadrants = [[\"3 cm\", \"2 cm\"]]").unwrap_err();
        assert!(said.contains("brush 1 has 2 lengths"), "{said}");
    }

    #[test]
    fn unclear_lengths_are_refused_with_their_line() {
        for entry in [
            "",
            "brush = 1",
            "lengths = []",
            "quadrants = []",
            "quadrants = [[\"1 in\", \"1 in\", \"1 in\", \"-1 in\"]]",
            "quadrants = [[\"1 in\", \"1 in\", \"1 in\", \"1 in\"]]\nlengths = [\"1 in\"]",
            "length = \"1 in\"\nlengths = [\"1 in\"]",
            "lengths = [\"1 in\"]\nbrush = 1",
            "length = \"1 in\"\nbrush = 0",
            "length = \"1 in\"\nbrush = 5",
            "length = \"-1 in\"",
            "length = \"1 in\"\nwidth = 3",
        ] {
            let said = measured(entry).expect_err(entry);
            assert!(said.starts_with("book.toml, line "), "{said}");
        }
    }
}
