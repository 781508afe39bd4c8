//! How the link format may change.
//!
//! * A new frame kind needs no new version: older agents skip and count it.
//! * A field may be appended to a body: older agents ignore the bytes behind
//!   the fields they know. A newer agent must accept the shorter body too.
//! * Nothing else changes a version's bytes. A change of header, checksum or
//!   of an existing field takes a new version number; the agent then reads
//!   every version from [`MIN`] to [`CURRENT`].
//! * `tests/frozen_v1.rs` holds the bytes of version 1 for good.

/// Oldest version this code reads.
pub const MIN: u8 = 1;
/// Version this code writes.
pub const CURRENT: u8 = 1;
