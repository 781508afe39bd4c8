//! What a changed sign may mean, and what to check first.
//!
//! Common practice of machine upkeep, no published source. The machine's manual and
//! whoever is licensed to work on it come first.

use super::{Series, Sign};

/// What a sign points to, as ids of messages.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Part {
    /// What it may be, likeliest first.
    pub may_be: &'static str,
    /// What to check, cheapest and safest first.
    pub check: &'static [&'static str],
}

/// What a told sign points to, seen together with the others of the same machine.
pub fn points_to(series: &Series, all: &[Series]) -> Part {
    let told = |sign: Sign| all.iter().any(|s| s.sign == sign && s.trend.verdict.is_told());
    match series.sign {
        Sign::NoLoad(motor) if told(Sign::RunDown(motor)) => Part {
            may_be: "trend-may-heavy",
            check: &[
                "trend-check-wound",
                "trend-check-turn-play",
                "trend-check-oil",
                "trend-check-bearing",
            ],
        },
        Sign::NoLoad(_) => Part {
            may_be: "trend-may-air",
            check: &[
                "trend-check-clears",
                "trend-check-wound",
                "trend-check-turn",
                "trend-check-clamp",
            ],
        },
        Sign::RunDown(_) => Part {
            may_be: "trend-may-stops",
            check: &["trend-check-wound", "trend-check-skirt", "trend-check-turn-play"],
        },
        Sign::Winding(_) => Part {
            may_be: "trend-may-winding",
            check: &["trend-check-plugs", "trend-check-carbon", "trend-check-commutator"],
        },
        Sign::Battery => Part {
            may_be: "trend-may-battery",
            check: &[
                "trend-check-terminals",
                "trend-check-water",
                "trend-check-charged",
                "trend-check-cells",
            ],
        },
        Sign::DriveRestoring | Sign::DriveMaintaining => Part {
            may_be: "trend-may-drive",
            check: &[
                "trend-check-squeegee",
                "trend-check-wheels",
                "trend-check-brake",
                "trend-check-hose",
            ],
        },
        Sign::Way => Part {
            may_be: way(series),
            check: &["trend-check-sensor-wheel", "trend-check-distance", "trend-check-same-way"],
        },
    }
}

fn way(series: &Series) -> &'static str {
    let change = series.trend.change.map_or(0.0, |(best, _, _)| best);
    if change > 0.0 { "trend-may-longer" } else { "trend-may-shorter" }
}
