//! What a changed sign may mean, and what to check first.
//!
//! Common practice of machine upkeep, no published source. The machine's manual and
//! whoever is licensed to work on it come first.

use super::{Direction, Series, Sign};

/// What a sign points to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Part {
    /// What it may be, likeliest first.
    pub may_be: &'static str,
    /// What to check, cheapest and safest first.
    pub check: &'static [&'static str],
}

/// Said before any check: common practice; the manual governs.
pub(super) const SAFETY: &str = "Before any check: key off and out, battery disconnected as the \
    machine's manual says, brushes at rest, gloves against slurry and edges. No flame or spark \
    near a charging battery. The manual, local codes and licensed practice come first.";

/// What a told sign points to, seen together with the others of the same machine.
pub fn points_to(series: &Series, all: &[Series]) -> Part {
    let told = |sign: Sign| all.iter().any(|s| s.sign == sign && s.trend.verdict.is_told());
    match series.sign {
        Sign::NoLoad(motor) if told(Sign::RunDown(motor)) => Part {
            may_be: "motor or gear runs heavy: it draws more in the air and stops sooner; a \
                     bearing, the gear's oil or something wound round the shaft",
            check: &[
                "string, strapping or wire round the brush shaft",
                "turn the brush by hand: rough, tight, or play",
                "gear oil, leaks, and heat after a shift",
                "bearing noise; have the bearing changed before it seizes",
            ],
        },
        Sign::NoLoad(_) => Part {
            may_be: "motor or gear runs heavier in the air; the head may also not lift clear of \
                     the floor",
            check: &[
                "the brush clears the floor with the head up",
                "string, strapping or wire round the brush shaft",
                "turn the brush by hand: rough or tight",
                "the current sensor against a clamp meter",
            ],
        },
        Sign::RunDown(_) => Part {
            may_be: "the brush stops sooner without power: bearing or gear runs heavy, or \
                     something rubs",
            check: &[
                "string, strapping or wire round the brush shaft",
                "skirt or splash guard rubbing on the brush",
                "turn the brush by hand: rough, tight, or play",
            ],
        },
        Sign::Winding(_) => Part {
            may_be: "the motor's circuit has more resistance: carbon brushes short or stuck, \
                     commutator dirty, a plug or lead that warms up",
            check: &[
                "plugs and leads of this motor: discoloured, loose, warm after work",
                "length and spring of its carbon brushes",
                "commutator: dark, grooved, dusty",
            ],
        },
        Sign::Battery => Part {
            may_be: "the battery sags more under the same load: aged or dry cells, a loose or \
                     corroded terminal",
            check: &[
                "terminals and cable lugs: clean, tight, not warm after work",
                "water level of wet cells, with eye protection and in fresh air",
                "charged to the end each night; the charger's own lamp",
                "voltage of each cell or block under load",
            ],
        },
        Sign::DriveRestoring | Sign::DriveMaintaining => Part {
            may_be: "driving draws more: squeegee pressed too hard or worn, a brake that drags, \
                     flat or wound wheels, or the vacuum motor",
            check: &[
                "squeegee blade and its height and tilt",
                "something wound round a wheel; tyre pressure where it has air",
                "parking brake frees fully",
                "vacuum hose and filter: a blocked one changes the motor's current",
            ],
        },
        Sign::Way => Part {
            may_be: way(series),
            check: &[
                "wear and slip of the wheel that the speed sensor sits on",
                "drive a measured distance, and set `speed.wheel_factor` by it",
                "whether the section is still driven the same way, and its marks are",
            ],
        },
    }
}

fn way(series: &Series) -> &'static str {
    let change = series.trend.change.map_or(0.0, |(best, _, _)| best);
    if series.sign.bad() == Direction::Either && change > 0.0 {
        "the same upkeep counts as a longer way: a worn wheel turns more often, or the \
         section is driven otherwise"
    } else {
        "the same upkeep counts as a shorter way: pulses of the speed sensor are lost, or the \
         section is driven otherwise"
    }
}
