//! The readings of a night on a terminal: scroll, zoom, and the value under a cursor.
//!
//! Words: the *extent* is all the time that can be looked at, a night of one machine; the
//! *view* the part of it that is shown; a *lane* one row of drawing with its name at the left
//! and the value under the *cursor* at the right. A *scene* is what there is to show, a
//! *state* what the person at the keys made of it. [`update`] and [`draw()`] are pure: no
//! terminal, no clock, no file; `live` alone touches those.
//!
//! Every dot of a curve stands for the smallest to the largest of all readings in its
//! column (see [`crate::window`]), so no spike vanishes at any zoom. Nothing is told by
//! colour alone.

mod draw;
mod goto;
mod keys;
mod lane;
mod live;
mod scene;
mod show;
mod state;
#[cfg(test)]
mod tests;
mod view;

pub use draw::{LEAST, draw, plot_columns, text};
pub use keys::{Key, update};
pub use lane::{Lane, Limit, Shape, lanes, shown};
pub use live::{Ended, run};
pub use scene::{Colours, Scene, Waiting};
pub use show::{Nights, Opening, Show, Told};
pub use state::{Effect, Mode, State};
pub use view::View;
