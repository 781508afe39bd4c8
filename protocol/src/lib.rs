//! Everything the bridge, the agent and the report must agree on.
//!
//! Bytes flow one way: a bridge packs [`frame::Frame`]s into [`link`] packets,
//! the agent turns them into [`reading::Reading`]s and stores them as
//! [`journal`] batches and [`archive`] blocks; the live alarm and the report
//! judge them by the same [`detect`]ors. `SPEC.md` beside this crate gives the
//! byte tables.
//!
//! The crate does no I/O, reads no clock and starts no thread. Without
//! features it is `no_std` and allocates nothing, so bridge firmware can use it.
#![cfg_attr(not(any(feature = "archive", feature = "settings", test)), no_std)]
#![forbid(unsafe_code)]

#[cfg(feature = "alloc")]
extern crate alloc;

#[cfg(feature = "archive")]
pub mod archive;
pub mod channel;
pub mod checksum;
pub mod detect;
pub mod frame;
#[cfg(feature = "alloc")]
pub mod journal;
pub mod link;
#[cfg(feature = "alloc")]
pub mod log;
pub mod note;
pub mod reading;
pub mod reply;
#[cfg(feature = "settings")]
pub mod settings;
pub mod si;
pub mod time;
pub mod wire_units;
