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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::findings::Estimate;

    fn machine(id: &str) -> Machine {
        let text = include_str!("../../../fixtures/scenario/machine.toml");
        let machine = Machine::parse("machine.toml", text).unwrap();
        Machine { id: id.to_owned(), ..machine }
    }

    fn wear(order_by: Option<&str>) -> WearFinding {
        let day = |text: &str| text.parse::<NaiveDate>().unwrap();
        let reached = day("2026-12-24");
        WearFinding {
            grit: Some("1500".to_owned()),
            left: Some(Estimate { best: Metres(0.01), low: Metres(0.009), high: Metres(0.011) }),
            reorder_day: Some(DayRange { best: reached, early: reached, late: None }),
            order_by: order_by.map(day),
            ..WearFinding::default()
        }
    }

    // By hand: 45 days from 23 November are 7 January.
    #[test]
    fn what_is_due_comes_by_its_day_and_what_is_not_known_is_left_out() {
        let machines = ["a", "b", "c", "d", "e"].map(machine);
        let days = [Some("2027-01-07"), Some("2027-01-08"), None, Some("2026-11-20"), None];
        let found = days.map(wear);
        let all: Vec<_> = machines.iter().zip(&found).collect();
        let list = orders(&all, "2026-11-23".parse().unwrap(), 45);
        let ids: Vec<&str> = list.iter().map(|order| order.machine.as_str()).collect();
        assert_eq!(ids, ["d", "a"], "overdue first; b is a day too late, c and e have no day");
        assert_eq!(list[0].brushes, machines[3].deck.brushes);
    }
}
