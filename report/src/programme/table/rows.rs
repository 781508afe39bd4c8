//! A section and a plan as rows.

use super::{Told, minutes};
use crate::programme::{
    Battery, Due, NightPlan, PlanItem, Reason, SectionRemark, SectionState, State, StepProgress,
    Upkeep,
};
use crate::settings::Site;
use chrono::NaiveDate;
use serde::Serialize;

#[derive(Serialize)]
pub(super) struct SectionRow<'a> {
    pub(super) id: &'a str,
    pub(super) name: &'a str,
    pub(super) group: Option<&'a str>,
    pub(super) surface: &'a str,
    pub(super) area_m2: f64,
    pub(super) state: &'static str,
    pub(super) step: Option<u8>,
    pub(super) missing_min: Option<f64>,
    pub(super) restored: Option<NaiveDate>,
    pub(super) refreshed: Option<NaiveDate>,
    pub(super) refresh_due_since: Option<NaiveDate>,
    pub(super) maintenance: Option<UpkeepRow>,
    pub(super) steps: Vec<StepRow<'a>>,
    pub(super) remarks: Vec<RemarkRow>,
}

#[derive(Serialize)]
pub(super) struct UpkeepRow {
    pub(super) every_days: u16,
    pub(super) last: Option<NaiveDate>,
    pub(super) due_on: NaiveDate,
    pub(super) standing: &'static str,
}

#[derive(Serialize)]
pub(super) struct StepRow<'a> {
    pub(super) number: u8,
    pub(super) required_min: f64,
    pub(super) in_band_min: f64,
    pub(super) assumed_min: f64,
    pub(super) extra_min: f64,
    pub(super) too_early_min: f64,
    pub(super) brush_min: f64,
    pub(super) passes: f64,
    pub(super) mean_speed_m_s: Option<f64>,
    pub(super) first: Option<NaiveDate>,
    pub(super) last: Option<NaiveDate>,
    pub(super) nights: u32,
    pub(super) done: Option<NaiveDate>,
    pub(super) by_hand: bool,
    pub(super) operators: &'a [String],
}

#[derive(Serialize)]
pub(super) struct RemarkRow {
    kind: &'static str,
    step: Option<u8>,
    minutes: Option<f64>,
    share: Option<f64>,
}

#[derive(Serialize)]
pub(super) struct PlanRow<'a> {
    machine: &'a str,
    hours_min: f64,
    battery_min: Option<f64>,
    battery_by: &'static str,
    takes_min: f64,
    brush_min: f64,
    items: Vec<ItemRow<'a>>,
}

#[derive(Serialize)]
struct ItemRow<'a> {
    section: &'a str,
    phase: String,
    grit: Option<&'a str>,
    tool_change: bool,
    begins_min: f64,
    takes_min: f64,
    brush_min: f64,
    in_band_min: Option<f64>,
    whole: bool,
    reason: &'static str,
    since: Option<NaiveDate>,
}

impl<'a> SectionRow<'a> {
    pub(super) fn of(site: &'a Site, state: &'a SectionState) -> Option<Self> {
        let section = site.sections.get(state.section)?;
        let mut row = Self {
            id: &section.id,
            name: &section.name,
            group: section.group.as_deref(),
            surface: &section.surface,
            area_m2: state.area.0,
            state: name(state.state),
            step: None,
            missing_min: None,
            restored: None,
            refreshed: state.refreshed,
            refresh_due_since: None,
            maintenance: state.upkeep.as_ref().map(UpkeepRow::of),
            steps: state.steps.iter().map(StepRow::of).collect(),
            remarks: state.remarks.iter().map(RemarkRow::of).collect(),
        };
        match state.state {
            State::Never => {}
            State::Waiting => row.step = state.steps.first().map(|step| step.number),
            State::InWork { step, missing } => {
                (row.step, row.missing_min) = (Some(step), Some(minutes(missing)));
            }
            State::Restored { on } => row.restored = on,
            State::DueForRefresh { restored, refresh } => {
                row.restored = Some(restored);
                row.refresh_due_since = Some(refresh.since);
                row.missing_min = Some(minutes(refresh.missing));
            }
        }
        Some(row)
    }
}

fn name(state: State) -> &'static str {
    match state {
        State::Never => "never polish",
        State::Waiting => "waiting",
        State::InWork { .. } => "in work",
        State::Restored { .. } => "restored",
        State::DueForRefresh { .. } => "due for refresh",
    }
}

impl UpkeepRow {
    fn of(upkeep: &Upkeep) -> Self {
        let standing = match upkeep.standing {
            Due::Later => "later",
            Due::Tonight => "tonight",
            Due::Missed { .. } => "missed",
            Due::NotKnown => "not known",
        };
        Self { every_days: upkeep.every, last: upkeep.last, due_on: upkeep.due_on, standing }
    }
}

impl<'a> StepRow<'a> {
    fn of(step: &'a StepProgress) -> Self {
        Self {
            number: step.number,
            required_min: minutes(step.required),
            in_band_min: minutes(step.in_band),
            assumed_min: minutes(step.assumed),
            extra_min: minutes(step.extra),
            too_early_min: minutes(step.too_early),
            brush_min: minutes(step.brush_time),
            passes: step.passes,
            mean_speed_m_s: step.mean_speed.map(|speed| speed.0),
            first: step.first,
            last: step.last,
            nights: step.nights,
            done: step.done.map(|done| done.on),
            by_hand: step.done.is_some_and(|done| done.by_hand),
            operators: &step.operators,
        }
    }
}

impl RemarkRow {
    fn of(remark: &SectionRemark) -> Self {
        let row = |kind, step, time| Self { kind, step, minutes: Some(minutes(time)), share: None };
        match *remark {
            SectionRemark::Forbidden { brush_time } => row("forbidden", None, brush_time),
            SectionRemark::TooEarly { step, time } => row("too early", Some(step), time),
            SectionRemark::WorkedAgain { step, time } => row("worked again", Some(step), time),
            SectionRemark::Assumed { share } => {
                Self { kind: "assumed", step: None, minutes: None, share: Some(share) }
            }
            SectionRemark::NotRestoredYet { brush_time } => {
                row("not restored yet", None, brush_time)
            }
            SectionRemark::NoSuchStep { brush_time } => row("no such step", None, brush_time),
        }
    }
}

impl<'a> PlanRow<'a> {
    pub(super) fn of(told: Told<'a>, plan: &'a NightPlan) -> Option<Self> {
        let battery_by = match plan.battery {
            Battery::Given(_) => "site file",
            Battery::Learned { .. } => "learned",
            Battery::Unknown => "not known",
        };
        Some(Self {
            machine: &told.machines.get(plan.machine)?.id,
            hours_min: minutes(plan.hours),
            battery_min: plan.battery.time().map(minutes),
            battery_by,
            takes_min: minutes(plan.takes),
            brush_min: minutes(plan.brush_time),
            items: plan.items.iter().filter_map(|item| ItemRow::of(told.site, item)).collect(),
        })
    }
}

impl<'a> ItemRow<'a> {
    fn of(site: &'a Site, item: &'a PlanItem) -> Option<Self> {
        let (reason, since) = match item.reason {
            Reason::Overdue { since, known: true } => ("missed", Some(since)),
            Reason::Overdue { since, known: false } => ("may be missed", Some(since)),
            Reason::Due => ("due", None),
            Reason::GoOn => ("go on", None),
            Reason::NextStep => ("next step", None),
            Reason::Refresh { since } => ("refresh", Some(since)),
            Reason::Begin => ("begin", None),
            Reason::Book => ("shift book", None),
        };
        Some(Self {
            section: &site.sections.get(item.section)?.id,
            phase: item.phase.to_string(),
            grit: item.grit.as_deref(),
            tool_change: item.change,
            begins_min: minutes(item.begins),
            takes_min: minutes(item.takes),
            brush_min: minutes(item.brush_time),
            in_band_min: item.in_band.map(minutes),
            whole: item.whole,
            reason,
            since,
        })
    }
}
