//! Segments to order, of all machines, by the day on which to order at the latest.

use crate::findings::{DayRange, WearFinding};
use chrono::NaiveDate;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::si::Metres;

/// One set of segments to order.
#[derive(Clone, Debug, PartialEq)]
pub struct Order {
    /// Id of the machine.
    pub machine: String,
    /// Grit as printed on the tool.
    pub grit: String,
    /// Brushes that need new segments.
    pub brushes: u8,
    /// The last day to order, as the wear forecast has it.
    pub order_by: NaiveDate,
    /// Bonded abrasive left, best value.
    pub left: Metres,
    /// The day on which the reorder length is reached.
    pub reached: DayRange,
}

/// What is to be ordered within `days` of `today`, the most urgent first. One line for each
/// machine and grit: a tool that is off the machine does not wear and is not listed.
pub fn orders(wear: &[(&Machine, &WearFinding)], today: NaiveDate, days: i64) -> Vec<Order> {
    let mut list: Vec<Order> = wear
        .iter()
        .filter_map(|(machine, wear)| {
            Some(Order {
                machine: machine.id.clone(),
                grit: wear.grit.clone()?,
                brushes: machine.deck.brushes,
                order_by: wear.order_by?,
                left: wear.left?.best,
                reached: wear.reorder_day?,
            })
        })
        .filter(|order| (order.order_by - today).num_days() <= days)
        .collect();
    list.sort_by(|a, b| (a.order_by, &a.machine).cmp(&(b.order_by, &b.machine)));
    list
}
