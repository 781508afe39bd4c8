//! The statistics against certified and published values.

mod intervals;
mod nist;
