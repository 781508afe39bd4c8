//! Tests of the whole sheet: words, pages and file.

mod bindings;
mod golden;
mod hostile;
mod lane_frames;
mod sample;
mod scenarios;
mod segments;
mod steps;
mod technician;
mod trends;
mod written;

use super::{Sheet, SheetInput, SheetOptions};
use crate::findings::Findings;
use crate::settings::Site;
use crate::settings::site::{Language, Paper};
use crate::units::Units;
use underbrush_protocol::settings::Machine;

const US_LETTER: SheetOptions = SheetOptions {
    units: Units::Us,
    paper: Paper::Letter,
    language: Language::English,
    colour: false,
    technician: false,
    details: true,
};
/// Without the pages behind.
const SHORT: SheetOptions = SheetOptions { details: false, ..US_LETTER };
const SI_A4: SheetOptions = SheetOptions { units: Units::Si, paper: Paper::A4, ..US_LETTER };

fn sheet(findings: &Findings, options: SheetOptions) -> Sheet {
    sheet_of(findings, &sample::site(), &sample::machine(), options)
}

fn sheet_of(findings: &Findings, site: &Site, machine: &Machine, options: SheetOptions) -> Sheet {
    Sheet::build(
        &SheetInput { site, nights: &[(machine, findings)], programme: None, closeups: &[] },
        &options,
    )
}
