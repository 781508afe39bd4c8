//! The sheet before it has positions: words, numbers and chart data in order.
//!
//! Everything here is already rounded, in people's units, and printable. Both
//! the page layout and the terminal text are made from it, so that they agree.

use super::figures::DASH;
use super::words::Words;
use crate::settings::site::Paper;
use chrono::{DateTime, Utc};

/// The whole sheet.
#[derive(Clone, Debug)]
pub(super) struct Document {
    /// One line that names machine and shift.
    pub(super) title: String,
    /// One line for the file's properties.
    pub(super) subject: String,
    /// The end of the shift: the only time that the file itself carries.
    pub(super) dated: DateTime<Utc>,
    /// Language of all words, also of those that layout adds.
    pub(super) words: Words,
    /// Paper to print on.
    pub(super) paper: Paper,
    /// Marks also in colour.
    pub(super) colour: bool,
    /// Top of the first page.
    pub(super) header: Header,
    /// Foot of each page, left; the page number stands right.
    pub(super) footer: String,
    /// The rest, in reading order.
    pub(super) blocks: Vec<Block>,
}

/// Top of the first page.
#[derive(Clone, Debug)]
pub(super) struct Header {
    /// What this is and when.
    pub(super) heading: String,
    /// Site, machine and hours.
    pub(super) facts: Vec<String>,
}

/// A part of the sheet that stands by itself.
#[derive(Clone, Debug)]
pub(super) enum Block {
    /// Begins a part; also a bookmark.
    Heading(String),
    /// Questions and answers.
    Answers(Vec<Answer>),
    /// Things to do, each with a square to tick.
    Ticks(Vec<String>),
    /// The shift over time.
    Ribbon(Box<RibbonChart>),
    /// Brush time against the band.
    Bars(Box<SpeedBars>),
    /// Time by speed.
    Speeds(Box<SpeedsChart>),
    /// A quantity per night.
    Trend(Box<Trend>),
    /// A sign of the machine over the nights.
    Change(Box<ChangeChart>),
    /// Readings around an event.
    Trace(Box<TraceChart>),
    /// Worked floors, seen from above.
    Maps(Vec<FloorMap>),
    /// A table.
    Table(Table),
    /// Names and values.
    Facts(Vec<(String, String)>),
    /// Plain paragraphs.
    Text(Vec<String>),
    /// A sentence that begins with a signal word.
    Signal(Signal, String),
    /// Lines to sign on.
    Signatures(Vec<String>),
    /// Two columns that begin at the same height, and what follows on the same page.
    Beside {
        /// Left column.
        left: Vec<Block>,
        /// Right column.
        right: Vec<Block>,
        /// Below both, over the full width.
        below: Vec<Block>,
    },
    /// What follows begins on a page of its own, or on one that holds little of what is before.
    NewPage,
    /// What follows begins on a page of its own in any case.
    OwnPage,
}

/// Signal words, as ANSI Z535.4-2007, 4.14 defines them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Signal {
    /// Could result in death or serious injury.
    Warning,
    /// Not related to personal injury.
    Notice,
}

impl Signal {
    pub(super) fn word(self, words: &Words) -> String {
        words.say(match self {
            Self::Warning => "signal-warning",
            Self::Notice => "signal-notice",
        })
    }
}

/// One question of the lead, answered.
#[derive(Clone, Debug)]
pub(super) struct Answer {
    /// The question, in a few words.
    pub(super) question: String,
    /// The answer in one line.
    pub(super) line: String,
    /// What backs it.
    pub(super) detail: String,
    /// Something should be done about it: marked in the margin.
    pub(super) act: bool,
}

/// How a column is set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Align {
    /// Words, wrapped.
    Words,
    /// Numbers, aligned on the decimal point.
    Decimal,
}

/// A column of a table.
#[derive(Clone, Debug)]
pub(super) struct Column {
    pub(super) head: String,
    /// Unit of all its numbers; printed once, in the head.
    pub(super) unit: String,
    pub(super) align: Align,
    /// Share of the table's width.
    pub(super) share: f64,
}

impl Column {
    pub(super) fn words(head: impl Into<String>, share: f64) -> Self {
        Self { head: head.into(), unit: String::new(), align: Align::Words, share }
    }

    pub(super) fn decimal(head: impl Into<String>, unit: impl Into<String>, share: f64) -> Self {
        Self { head: head.into(), unit: unit.into(), align: Align::Decimal, share }
    }
}

/// A table. Each row has as many cells as there are columns.
#[derive(Clone, Debug)]
pub(super) struct Table {
    pub(super) columns: Vec<Column>,
    pub(super) rows: Vec<Vec<String>>,
    /// Small print below.
    pub(super) notes: Vec<String>,
    /// Sign before the fraction of numbers.
    pub(super) point: char,
}

impl Table {
    /// A column of numbers has no room for words: what is not known is a dash
    /// there, and a note says what the dash means.
    pub(super) fn new(
        words: &Words,
        columns: Vec<Column>,
        mut rows: Vec<Vec<String>>,
        notes: Vec<String>,
    ) -> Self {
        let not_known = words.say("not-known");
        let point = words.numbers().point;
        let mut table = Self { columns, rows: Vec::new(), notes, point };
        let mut unknown = false;
        for row in &mut rows {
            for (cell, column) in row.iter_mut().zip(&table.columns) {
                if column.align == Align::Decimal && *cell == not_known {
                    DASH.clone_into(cell);
                    unknown = true;
                }
            }
        }
        if unknown && !table.notes.iter().any(|n| n.starts_with(DASH)) {
            table.notes.push(format!("{DASH} {not_known}."));
        }
        table.rows = rows;
        table
    }
}

/// A value axis from zero.
#[derive(Clone, Debug)]
pub(super) struct Axis {
    /// Quantity and unit.
    pub(super) label: String,
    /// Value at the top.
    pub(super) top: f64,
    /// Values with their text.
    pub(super) ticks: Vec<(f64, String)>,
}

/// A quantity per night.
#[derive(Clone, Debug)]
pub(super) struct Trend {
    /// Quantity and unit, and the values.
    pub(super) axis: Axis,
    pub(super) shape: TrendShape,
    /// One for each night.
    pub(super) points: Vec<TrendPoint>,
    /// Nights with the text of their date.
    pub(super) dates: Vec<(usize, String)>,
}

/// How the values are drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum TrendShape {
    /// A bar each.
    Bars,
    /// Dots joined by a line.
    Dots,
}

/// One night of a trend.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum TrendPoint {
    /// In the unit of the axis.
    Known(f64),
    /// Nothing is known of the night: slanted lines.
    Gap,
    /// The quantity is none of that night.
    Blank,
}

/// A sign of the machine over the nights. Places along it are shares of its length, 0 to 1;
/// values are in the unit of the axis.
#[derive(Clone, Debug)]
pub(super) struct ChangeChart {
    /// Value at the bottom.
    pub(super) base: f64,
    pub(super) axis: Axis,
    /// A dot for each night with a value.
    pub(super) points: Vec<(f64, f64)>,
    /// What it was judged by: one line, or the levels before and after a step.
    pub(super) lines: Vec<((f64, f64), (f64, f64))>,
    /// Place, lowest and highest end of the line.
    pub(super) interval: Option<(f64, f64, f64)>,
    /// Where it is told, with what that is.
    pub(super) limits: Vec<(f64, String)>,
    /// The night of a step, with its date.
    pub(super) step: Option<(f64, String)>,
    /// Places with their dates.
    pub(super) dates: Vec<(f64, String)>,
}

/// Readings around an event. Places along it are shares of its length, 0 to 1.
#[derive(Clone, Debug)]
pub(super) struct TraceChart {
    /// Begin and end of the event.
    pub(super) event: (f64, f64),
    /// Place and time since the event's begin.
    pub(super) times: Vec<(f64, String)>,
    /// What these times are, with the local time of the event's begin.
    pub(super) time_label: String,
    pub(super) lanes: Vec<TraceLane>,
    /// What the signs mean.
    pub(super) legend: String,
}

/// One quantity around an event.
#[derive(Clone, Debug)]
pub(super) struct TraceLane {
    /// Its name and unit.
    pub(super) name: String,
    pub(super) shape: TraceShape,
    /// Smallest and largest in each of so many equal parts; `None`: not observed. A
    /// switch is 1 where it is on.
    pub(super) cells: Vec<Option<(f64, f64)>>,
    /// Stretches that were not observed, or for the most part not.
    pub(super) unseen: Vec<(f64, f64)>,
}

/// How a quantity around an event is drawn.
#[derive(Clone, Debug)]
pub(super) enum TraceShape {
    /// A line over an axis that begins at `base`.
    Curve {
        base: f64,
        axis: Axis,
        /// Values with their names.
        limits: Vec<(f64, String)>,
    },
    /// A low lane from 0 to 100.
    Level,
    /// A bar where it is on; a low bar where it is half on.
    Switch,
}

/// The shift over time. Places along it are shares of its length, 0 to 1.
#[derive(Clone, Debug)]
pub(super) struct RibbonChart {
    /// Place and local time.
    pub(super) times: Vec<(f64, String)>,
    pub(super) speed_axis: Axis,
    pub(super) current_axis: Axis,
    /// One per step of time, all of the same length.
    pub(super) cells: Vec<ChartCell>,
    /// Means over a few minutes, in order; stretches without readings are left out.
    pub(super) speed_means: Vec<Level>,
    pub(super) current_means: Vec<Level>,
    pub(super) bands: Vec<BandStretch>,
    pub(super) unseen_speed: Vec<Unseen>,
    pub(super) unseen_current: Vec<Unseen>,
    pub(super) marks: Vec<Mark>,
    /// What the signs mean.
    pub(super) legend: Vec<String>,
}

/// A value that holds for a while, in the unit of its axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Level {
    pub(super) from: f64,
    pub(super) to: f64,
    pub(super) value: f64,
}

/// Smallest and largest in one step of the ribbon, in the units of the axes;
/// `None`: not observed.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct ChartCell {
    pub(super) speed: Option<(f64, f64)>,
    pub(super) current: Option<(f64, f64)>,
    pub(super) brush_on: Option<f64>,
}

/// A speed band in force for a while.
#[derive(Clone, Debug)]
pub(super) struct BandStretch {
    pub(super) from: f64,
    pub(super) to: f64,
    pub(super) low: f64,
    pub(super) high: f64,
    pub(super) label: String,
}

/// A stretch without readings.
#[derive(Clone, Debug)]
pub(super) struct Unseen {
    pub(super) from: f64,
    pub(super) to: f64,
    pub(super) label: String,
}

/// What kind of event a mark stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum MarkKind {
    Stationary,
    Stall,
    OverPressure,
    /// Anything else in the table of events.
    Other,
}

/// An event on the ribbon.
#[derive(Clone, Copy, Debug)]
pub(super) struct Mark {
    pub(super) at: f64,
    pub(super) kind: MarkKind,
    /// Its number in the table of events.
    pub(super) number: usize,
}

/// A part of the brush time, as the speed band sees it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Fill {
    Below,
    Within,
    Above,
    /// There is no band to judge by.
    NoBand,
}

/// Brush time against the band, a bar for each kind of work.
#[derive(Clone, Debug)]
pub(super) struct SpeedBars {
    /// The times in numbers.
    pub(super) table: Table,
    /// One list for each row: shares of the longest bar, from the left.
    pub(super) parts: Vec<Vec<(Fill, f64)>>,
    /// What the patterns mean.
    pub(super) legend: Vec<(Fill, String)>,
    /// Said in place of an empty table.
    pub(super) nothing: String,
}

/// Time by speed.
#[derive(Clone, Debug)]
pub(super) struct SpeedsChart {
    /// Speed axis: label and edges of the bars with their text, where there is one.
    pub(super) label: String,
    pub(super) edges: Vec<(f64, Option<String>)>,
    /// Minutes in each bar; one fewer than edges.
    pub(super) minutes: Vec<f64>,
    /// The number above each bar; empty for none.
    pub(super) captions: Vec<String>,
    pub(super) minutes_axis: Axis,
    /// Bands in force in the shift: low, high, name.
    pub(super) bands: Vec<(f64, f64, String)>,
    /// The last bar holds all that is faster.
    pub(super) open_end: bool,
    pub(super) legend: String,
}

/// How often a square of floor was brushed, as shades that print without colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Shade {
    /// Not brushed and not between lanes: left white.
    Outside,
    /// Less often than usual.
    Few,
    Usual,
    /// More often than usual.
    More,
    /// Between lanes and not brushed: black.
    Missed,
}

/// A worked floor from above, lanes from left to right.
#[derive(Clone, Debug)]
pub(super) struct FloorMap {
    pub(super) title: String,
    /// Squares in a row.
    pub(super) columns: usize,
    /// Row by row from the top.
    pub(super) squares: Vec<Shade>,
    /// Length of the scale bar as a share of the map's width, and what it says.
    pub(super) scale: (f64, String),
    /// What the shades mean.
    pub(super) legend: Vec<(Shade, String)>,
    pub(super) caption: String,
}

impl FloorMap {
    /// Squares in a column.
    pub(super) fn rows(&self) -> usize {
        self.squares.len().checked_div(self.columns).unwrap_or(0)
    }
}
