//! The real agent at a pseudo terminal, in real time: it mostly waits, and so do the tests.
//!
//! They stand in one program so that they wait beside each other; in what needs the
//! processor for long they would miss their times, so that is elsewhere. Tests start in the
//! order of their names: the longest comes first.
#![cfg(target_os = "linux")]

#[path = "../common/mod.rs"]
mod common;
#[path = "../learn_bench/simulated/mod.rs"]
mod simulated;

mod a_session_of_learn;
mod alarms;
mod bridge_faults;
mod can_adapter;
mod check;
mod follow;
mod full_rate;
mod serial;
mod status;
mod wheel;
