//! What runs out or must be looked after: the checks that come round, and what to order.

mod checks;
mod orders;

pub use checks::{CheckItem, CheckList, CheckState, LastCheck};
pub use orders::{Order, orders};
