//! The event that a command is asked about, with the night it is of.

use super::CliError;
use super::loaded::Loaded;
use crate::events::{Context, Event, Reference, night, of_findings};
use crate::findings::{Findings, Inputs};
use crate::ledger::Building;
use chrono::NaiveDate;
use underbrush_protocol::settings::Machine;

/// An event, and what belongs to it.
pub(super) struct AskedEvent<'a> {
    pub(super) event: &'a Event,
    /// Its machine, by its place among the building's.
    pub(super) number: usize,
    /// The night it is of.
    pub(super) date: NaiveDate,
    pub(super) machine: &'a Inputs<'a>,
    pub(super) findings: &'a Findings,
    pub(super) building: &'a Building<'a>,
    pub(super) context: Context<'a>,
}

/// Reads the night of the event called `name`, and gives both to `with`.
pub(super) fn with_event<T>(
    name: &str,
    loaded: &Loaded,
    with: impl FnOnce(&AskedEvent<'_>) -> Result<T, CliError>,
) -> Result<T, CliError> {
    let asked = Reference::parse(name)?;
    let inputs = loaded.inputs();
    let machines: Vec<&Machine> = inputs.iter().map(|inputs| inputs.machine).collect();
    let number = asked.machine(&machines)?;
    let date = asked.night.map_or_else(|| loaded.last_night(), Ok)?;
    let building = loaded.building(&inputs);
    let machine = inputs.get(number).ok_or(CliError::WhichMachine(inputs.len()))?;
    let findings = night(&building, number, date)?.ok_or(CliError::WhichMachine(inputs.len()))?;
    let tonight = of_findings(&machines, number, &findings);
    let event = asked.find(date, &tonight.events)?;
    let context = Context { site: &loaded.site, machines: &machines };
    with(&AskedEvent {
        event,
        number,
        date,
        machine,
        findings: &findings,
        building: &building,
        context,
    })
}
