//! Where bytes come from. Only bytes and times pass from here to the intake.

pub mod candump;
mod capture;
mod live;
mod serial;
#[cfg(all(feature = "socketcan", target_os = "linux"))]
mod socketcan;
mod threads;

pub(crate) use capture::replay_file;
pub(crate) use live::{Live, LiveEnd};
pub(crate) use serial::serial;
#[cfg(all(feature = "socketcan", target_os = "linux"))]
pub(crate) use socketcan::interface;
