//! `measurements`: segment lengths as the shift book has them.

use crate::export::Dates;
use crate::export::batch::Cell;
use crate::export::column::{Column, Kind, Unit};
use crate::export::pen::Pen;
use crate::settings::book::{Book, Lengths, Measured};
use underbrush_protocol::si::Metres;

pub(super) const COLUMNS: &[Column] = &[
    Column::new("machine", Kind::Text, Unit::None)
        .says("Id of the machine")
        .missing("the book does not say")
        .from("shift book, `[[measured]]`"),
    Column::new("date", Kind::Date, Unit::None).says("Local date").from("the same"),
    Column::new("set", Kind::Text, Unit::None)
        .says("Name of the set that was measured")
        .missing("the one on the machine")
        .from("the same"),
    Column::new("brush", Kind::Whole, Unit::None)
        .range("1 to 4, from the left")
        .says("Which brush")
        .missing("only the shortest of all was noted")
        .from("the same"),
    Column::new("quadrant", Kind::Whole, Unit::None)
        .range("1 to 4, a quarter turn apart")
        .says("Which quarter of the brush")
        .missing("only the shortest of the brush was noted")
        .from("the same"),
    Column::new("length", Kind::Double, Unit::Length)
        .range("0 or more")
        .says("Bonded abrasive that was found")
        .from("the same"),
    Column::new("by", Kind::Text, Unit::None)
        .says("Who noted it")
        .missing("nobody is named")
        .from("the same"),
];

pub(super) fn write(book: &Book, wanted: &Dates, pen: &mut Pen<'_>) {
    for measured in book.measured.iter().filter(|measured| wanted.holds(measured.date)) {
        let of_wanted = |machine: &String| wanted.machines.iter().any(|wanted| wanted == machine);
        if measured.machine.as_ref().is_some_and(|machine| !of_wanted(machine)) {
            continue;
        }
        for (brush, quadrant, length) in lengths(measured) {
            write_length(measured, brush, quadrant, length, pen);
        }
    }
}

fn lengths(measured: &Measured) -> Vec<(Option<usize>, Option<usize>, Metres)> {
    if !measured.quadrants.is_empty() {
        let brushes = measured.quadrants.iter().enumerate();
        let each = |(brush, four): (usize, &[Metres; 4])| {
            let each = four.iter().enumerate();
            each.map(|(place, length)| (Some(brush), Some(place), *length)).collect::<Vec<_>>()
        };
        return brushes.flat_map(each).collect();
    }
    match &measured.found {
        Lengths::Shortest(length) => vec![(None, None, *length)],
        Lengths::Brush(brush, length) => vec![(Some(*brush), None, *length)],
        Lengths::Each(each) => {
            each.iter().enumerate().map(|(brush, length)| (Some(brush), None, *length)).collect()
        }
    }
}

fn write_length(
    measured: &Measured,
    brush: Option<usize>,
    quadrant: Option<usize>,
    length: Metres,
    pen: &mut Pen<'_>,
) {
    let number = |place: usize| Cell::Whole(place as i64 + 1);
    for cell in [
        Cell::of(measured.machine.as_deref(), Cell::Text),
        Cell::Date(measured.date),
        Cell::of(measured.set.as_deref(), Cell::Text),
        Cell::of(brush, number),
        Cell::of(quadrant, number),
        Cell::Double(length.0),
        Cell::of(measured.by.as_deref(), Cell::Text),
    ] {
        pen.put(cell);
    }
}
