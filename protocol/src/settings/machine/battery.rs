//! The battery: its nominal voltage, and where it counts as full, low or empty.
//!
//! The defaults are for lead-acid, wet or sealed, near room temperature: volts
//! per cell of nominal 2 V. The usual table of open-circuit voltages of a rested
//! wet battery of six cells at 27 °C is 12.65 V full, 12.45 V at 75 %, 12.24 V at
//! 50 %, 12.06 V at 25 %, 11.89 V discharged (trade association's table as in
//! the public page studylib.net/doc/18054160, "State of charge measurement"):
//! 2.108 to 1.982 V per cell. A battery at work never rests for hours: its
//! voltage, also with the drop over its resistance added back, stays some 0.05 V
//! per cell below that table, so that low is set at 1.96 V (about a fifth left)
//! and deep at 1.90 V. Common practice, no published source; makers differ. A
//! lithium battery needs limits of its own, from its manual.

use crate::si::Volts;
use serde::Deserialize;

/// Nominal voltage of a lead-acid cell.
const CELL_V: f64 = 2.0;
/// A charged cell rests at 2.10 to 2.13 V.
const FULL_V: f64 = 2.10;
/// A cell with about a fifth of its charge left rests near this.
const LOW_V: f64 = 1.96;
/// A cell with nothing to spare: deeper discharge shortens its life.
const DEEP_V: f64 = 1.90;
/// The usual final voltage of a discharge, under load.
const UNDER_LOAD_V: f64 = 1.75;

/// The table `[battery]`.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Battery {
    /// Nominal voltage.
    pub nominal_voltage: Volts,
    /// Resting below this it was not full; 2.10 V per cell if not given.
    #[serde(default)]
    pub full_voltage: Option<Volts>,
    /// Resting below this it is low: charge soon; 1.96 V per cell if not given.
    #[serde(default)]
    pub low_voltage: Option<Volts>,
    /// Resting below this it is discharged too deep; 1.90 V per cell if not given.
    #[serde(default)]
    pub deep_voltage: Option<Volts>,
    /// Below this under load it is empty; 1.75 V per cell if not given. It judges alone where
    /// the battery's current is not measured.
    #[serde(default)]
    pub under_load_voltage: Option<Volts>,
    /// Brush time on one charge below this share of its usual is reported; 0.8 if not given.
    #[serde(default)]
    pub weak_share: Option<f64>,
}

/// The limits in force.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BatteryLimits {
    /// Not full below, at rest.
    pub full: Volts,
    /// Low below, at rest.
    pub low: Volts,
    /// Too deep below, at rest.
    pub deep: Volts,
    /// Empty below, under load.
    pub under_load: Volts,
    /// Share of the usual brush time on one charge.
    pub weak_share: f64,
}

impl Battery {
    /// The file's limits, or else the defaults.
    pub fn limits(&self) -> BatteryLimits {
        let cells = self.nominal_voltage.0 / CELL_V;
        let or = |given: Option<Volts>, cell: f64| given.unwrap_or(Volts(cells * cell));
        BatteryLimits {
            full: or(self.full_voltage, FULL_V),
            low: or(self.low_voltage, LOW_V),
            deep: or(self.deep_voltage, DEEP_V),
            under_load: or(self.under_load_voltage, UNDER_LOAD_V),
            weak_share: self.weak_share.unwrap_or(0.8),
        }
    }

    /// Key and value of each number, all of which must be more than 0.
    pub(super) fn numbers(&self) -> [(&'static str, f64); 6] {
        let limits = self.limits();
        [
            ("battery.nominal_voltage", self.nominal_voltage.0),
            ("battery.full_voltage", limits.full.0),
            ("battery.low_voltage", limits.low.0),
            ("battery.deep_voltage", limits.deep.0),
            ("battery.under_load_voltage", limits.under_load.0),
            ("battery.weak_share", limits.weak_share),
        ]
    }

    /// Limits in an order that no battery can have.
    pub(super) fn impossible(&self) -> Option<(&'static str, &'static str)> {
        let limits = self.limits();
        if limits.low >= limits.full {
            Some(("battery.low_voltage", "must be less than battery.full_voltage"))
        } else if limits.deep >= limits.low {
            Some(("battery.deep_voltage", "must be less than battery.low_voltage"))
        } else if limits.weak_share > 1.0 {
            Some(("battery.weak_share", "is a share of the usual: must not be more than 1"))
        } else {
            None
        }
    }
}
