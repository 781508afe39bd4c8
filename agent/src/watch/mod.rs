//! Alarms while it happens: the report's detectors on the live stream.
//!
//! ```text
//! entries -> Watch (LiveSteps, what is possible, detectors) -> Alarm -> Outputs (relay, bridge, command)
//! ```
//!
//! Each alarm has two stages. A *warning* comes as soon as the condition has held for the
//! kind's warning time, so that a person can act before harm is done; the *event* comes when
//! the detector's own limit is passed, and is the event that the report will tell of. Both
//! judge the same intervals, made by the same code.
//!
//! Most short stops end before they are events, so that most warnings are false: for the bridge
//! a warning is one short sound, and of each kind only a few false ones in a row are heard (see
//! [`Hush`]). The alarm of an event sounds as long as it lasts.
//!
//! Not told live, since the report knows more: heavy and light load, uneven load and dry
//! running (what is normal is learned from past nights), near-stalls (told from a stall only
//! when they are over), heat (how warm the motors were at the power-on follows from the
//! nights before), forbidden floors (the site file says which they are).

mod buzzer;
mod gpio;
mod hook;
mod hush;
mod judge;
mod kind;
mod outputs;
mod relay;
mod settings;

pub use hook::{HookCounts, HookSettings};
pub use hush::Hush;
pub use judge::Watch;
pub use kind::{Alarm, AlarmKind, Stage};
pub(crate) use outputs::Outputs;
pub use settings::{AlarmSettings, RelaySettings};
