//! Tests of the whole sheet: words, pages and file.

mod golden;
mod hostile;
mod sample;
mod segments;
mod steps;
mod written;

use super::{Sheet, SheetOptions};
use crate::findings::Findings;
use crate::settings::site::Paper;
use crate::units::Units;

const US_LETTER: SheetOptions = SheetOptions { units: Units::Us, paper: Paper::Letter };
const SI_A4: SheetOptions = SheetOptions { units: Units::Si, paper: Paper::A4 };

fn sheet(findings: &Findings, options: SheetOptions) -> Sheet {
    Sheet::build(findings, &sample::site(), &sample::machine(), &options)
}
