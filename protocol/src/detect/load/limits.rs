//! From where on a brush motor's load is an event.

/// Limits of the load detectors that compare with the expected current, and of
/// short events. Meaning and source of each: `settings::machine::LoadSettings`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoadLimits {
    /// Current that turns motor and gear with the brush in the air, in A.
    pub no_load_a: f32,
    /// Pressure setting that counts as full, in percent.
    pub full_pressure: u8,
    /// Light contact below this share of the expected current.
    pub light_share: f32,
    /// Light contact longer than this, in ms.
    pub light_ms: u64,
    /// Heavy load above this share of the expected current.
    pub heavy_share: f32,
    /// Heavy load longer than this, in ms.
    pub heavy_ms: u64,
    /// Uneven load above this ratio of the largest to the smallest current.
    pub uneven_ratio: f32,
    /// Uneven load longer than this, in ms.
    pub uneven_ms: u64,
    /// Breaks up to this do not end light, heavy and uneven load, in ms.
    pub bridge_ms: u64,
    /// Near-stall from this current, in A.
    pub near_stall_a: f32,
    /// Near-stall of at least this, in ms.
    pub near_stall_ms: u64,
    /// A motor starts for this long, in ms.
    pub start_ms: u64,
    /// A breaker takes the current away within this, in ms.
    pub trip_ms: u64,
    /// A tripped motor stays without current for at least this, in ms.
    pub trip_dead_ms: u64,
    /// A rise within this is an obstacle, in ms.
    pub obstacle_ms: u64,
    /// Dry running suspected above this ratio of current to expected current.
    pub dry_ratio: f32,
    /// Dry running suspected longer than this, in ms.
    pub dry_ms: u64,
}

impl Default for LoadLimits {
    fn default() -> Self {
        Self {
            no_load_a: 3.0,
            full_pressure: 100,
            light_share: 0.6,
            light_ms: 5_000,
            heavy_share: 1.4,
            heavy_ms: 10_000,
            uneven_ratio: 1.25,
            uneven_ms: 20_000,
            bridge_ms: 2_000,
            near_stall_a: 72.0,
            near_stall_ms: 100,
            start_ms: 2_000,
            trip_ms: 300,
            trip_dead_ms: 1_000,
            obstacle_ms: 900,
            dry_ratio: 1.08,
            dry_ms: 120_000,
        }
    }
}
