//! Simulated machines on buses of published layouts.
#![allow(dead_code)] // The bench and the session at a pseudo terminal each use their own part.

pub(crate) mod bus;
pub(crate) mod dice;
pub(crate) mod layout;
pub(crate) mod machine;
pub(crate) mod signal;
