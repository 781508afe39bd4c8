//! What is to be ordered for all machines of the building, the most urgent first.

use super::{Source, heading};
use crate::consumables::{Order, orders};
use crate::sheet::document::{Block, Column, Table};

/// Orders that are due within so many days are listed: delivery and a month to plan.
const LISTED_DAYS: i64 = 45;

/// The list; nothing where nothing is due.
pub(super) fn blocks(sources: &[&Source]) -> Vec<Block> {
    let Some(first) = sources.first() else { return Vec::new() };
    let shift = &first.findings.shift;
    let today = shift.span.to.with_timezone(&shift.zone).date_naive();
    let wear: Vec<_> = sources.iter().map(|s| (s.machine, &s.findings.wear)).collect();
    let due = orders(&wear, today, LISTED_DAYS);
    if due.is_empty() {
        return Vec::new();
    }
    let (say, figures) = (|id| first.say(id), &first.figures);
    let columns = vec![
        Column::words(say("orders-by"), 0.22),
        Column::words(say("orders-machine"), 0.2),
        Column::words(say("orders-grit"), 0.12),
        Column::decimal(say("orders-brushes"), "", 0.1),
        Column::decimal(say("orders-left"), figures.length_unit(), 0.1),
        Column::words(say("segments-column-order"), 0.26),
    ];
    let row = |order: &Order| {
        vec![
            figures.date(order.order_by),
            first.clean.name(&order.machine),
            first.clean.name(&order.grit),
            figures.grouped(u64::from(order.brushes)),
            figures.length(order.left),
            figures.date(order.reached.best),
        ]
    };
    let rows = due.iter().map(row).collect();
    let notes = vec![say("orders-note")];
    vec![
        heading(first, "heading-orders"),
        Block::Table(Table::new(first.words(), columns, rows, notes)),
    ]
}
