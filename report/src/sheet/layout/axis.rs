//! The room of a chart of nights: its name above, numbers at the left, dates below.

use super::grid::{BASE, HALF, LINE};
use super::shapes::Area;
use super::{Flow, LABEL};
use crate::sheet::document::Axis;

/// Room for the numbers of the axis.
const NUMBERS: f64 = 34.0;

/// Takes it over the column's width, and sets the name; what is left to draw in.
pub(super) fn frame(flow: &mut Flow, axis: &Axis, height: f64) -> Area {
    flow.begin(height + 3.0 * LINE);
    flow.push(LABEL.left((flow.left, flow.y + BASE), axis.label.clone()));
    let top = flow.y + LINE + HALF;
    flow.y += height + 3.0 * LINE;
    Area { left: flow.left + NUMBERS, right: flow.right, top, bottom: top + height }
}
