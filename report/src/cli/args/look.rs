//! What a sheet looks like: paper, units, language and extra pages.

use super::UsageError;
use super::values::{language, paper, units};
use crate::settings::Site;
use crate::settings::site::{Language, Paper};
use crate::sheet::SheetOptions;
use crate::units::Units;
use lexopt::prelude::*;

/// What was given; the rest is as the site file has it.
#[derive(Clone, Copy, Debug, Default)]
// Each is an option of its own.
#[allow(clippy::struct_excessive_bools)]
pub(in crate::cli) struct Look {
    paper: Option<Paper>,
    pub(super) units: Option<Units>,
    pub(super) language: Option<Language>,
    colour: bool,
    details: bool,
    technician: bool,
}

impl Look {
    /// Takes the option `name`; `false` if it is none of the looks.
    pub(super) fn take(
        &mut self,
        name: &str,
        parser: &mut lexopt::Parser,
    ) -> Result<bool, UsageError> {
        match name {
            "paper" => self.paper = Some(paper(&parser.value()?.string()?)?),
            "units" => self.units = Some(units(&parser.value()?.string()?)?),
            "language" => self.language = Some(language(&parser.value()?.string()?)?),
            "colour" => self.colour = true,
            "details" => self.details = true,
            "technician" => self.technician = true,
            _ => return Ok(false),
        }
        Ok(true)
    }

    /// With what the site file says.
    pub(in crate::cli) fn options(self, site: &Site) -> SheetOptions {
        let usual = SheetOptions::of(site);
        SheetOptions {
            units: self.units.unwrap_or(usual.units),
            paper: self.paper.unwrap_or(usual.paper),
            language: self.language.unwrap_or(usual.language),
            colour: self.colour || usual.colour,
            details: self.details,
            technician: self.technician,
        }
    }
}
