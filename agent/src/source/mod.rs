//! Where bytes come from. Only bytes and times pass from here to the intake.

pub mod adapter;
pub mod capture;
mod live;
mod replay;
mod serial;
#[cfg(all(feature = "socketcan", target_os = "linux"))]
mod socketcan;
mod threads;

pub(crate) use adapter::can_adapter;
pub(crate) use live::{Live, LiveEnd};
pub(crate) use replay::replay_file;
pub(crate) use serial::serial;
#[cfg(all(feature = "socketcan", target_os = "linux"))]
pub(crate) use socketcan::interface;
