//! MCAP: a message in JSON for each row, with the schema of its table.
//!
//! A topic is the table and the machine, of readings also the channel: `readings/M1/speed`.
//! A message's time is the first instant of its row; of a reading without a date, its
//! milliseconds since power-on; of a row with a date only, midnight UTC. Chunks are not
//! compressed.

use super::jsonl::JsonRows;
use super::{Head, Sink};
use crate::export::batch::{Batch, NO_WORD, Values};
use crate::export::column::Kind;
use crate::export::tables::Table;
use crate::export::{ExportError, dictionary};
use mcap::records::MessageHeader;
use mcap::write::NoSeek;
use mcap::{McapError, WriteOptions, Writer};
use std::collections::{BTreeMap, HashMap};
use std::io::Write;

const DAY_NS: u64 = 86_400_000_000_000;

pub(super) struct McapSink<W: Write> {
    writer: Writer<NoSeek<W>>,
    rows: JsonRows,
    table: Table,
    schema: u16,
    /// Which columns name the topic.
    topic: Vec<usize>,
    /// Which columns tell the time, the best first.
    time: Vec<usize>,
    channels: HashMap<Vec<u32>, u16>,
    sequence: u32,
}

impl From<McapError> for ExportError {
    fn from(error: McapError) -> Self {
        match error {
            McapError::Io(io) => Self::Io(io),
            other => Self::Encoder(other.to_string()),
        }
    }
}

impl<W: Write> McapSink<W> {
    pub(super) fn new(head: &Head<'_>, out: W) -> Result<Self, ExportError> {
        let options =
            WriteOptions::new().compression(None).disable_seeking(true).library(head.told.program);
        let mut writer = options.create(NoSeek::new(out))?;
        let schema = dictionary::json_schema(head.table, head.units).to_string();
        let name = format!("underbrush.{}", head.table.name());
        let schema = writer.add_schema(&name, "jsonschema", schema.as_bytes())?;
        let columns = head.table.columns();
        let places = |names: &[&str]| -> Vec<usize> {
            let place = |name: &&str| columns.iter().position(|c| c.name(head.units) == *name);
            names.iter().filter_map(place).collect()
        };
        let kind = |kind: Kind| columns.iter().position(move |column| column.kind == kind);
        let mut time: Vec<usize> = kind(Kind::Time).into_iter().collect();
        time.extend(places(&["boot_ms"]));
        time.extend(kind(Kind::Date));
        Ok(Self {
            writer,
            rows: JsonRows::new(head),
            table: head.table,
            schema,
            topic: places(&["machine", "channel"]),
            time,
            channels: HashMap::new(),
            sequence: 0,
        })
    }

    fn channel(&mut self, batch: &Batch, row: usize) -> Result<u16, ExportError> {
        let word = |place: &usize| match batch.columns.get(*place) {
            Some(Values::Text(list)) => list.get(row).copied().unwrap_or(NO_WORD),
            _ => NO_WORD,
        };
        let key: Vec<u32> = self.topic.iter().map(word).collect();
        if let Some(channel) = self.channels.get(&key) {
            return Ok(*channel);
        }
        let mut topic = self.table.name().to_owned();
        for (place, word) in self.topic.iter().zip(&key) {
            let words = batch.words.get(*place).map_or(&[][..], |words| words.list());
            if let Some(text) = words.get(*word as usize) {
                topic.push('/');
                topic.push_str(text);
            }
        }
        let channel = self.writer.add_channel(self.schema, &topic, "json", &BTreeMap::new())?;
        self.channels.insert(key, channel);
        Ok(channel)
    }
}

/// When the row was, in ns since 1970; 0 where nothing says so.
fn time_ns(batch: &Batch, places: &[usize], row: usize) -> u64 {
    let at = |place: &usize| match batch.columns.get(*place)? {
        Values::Time(list) | Values::Whole(list) => {
            u64::try_from(*list.get(row)?).ok()?.checked_mul(1_000_000)
        }
        Values::Date(list) => u64::try_from(*list.get(row)?).ok()?.checked_mul(DAY_NS),
        _ => None,
    };
    places.iter().find_map(at).unwrap_or(0)
}

impl<W: Write> Sink for McapSink<W> {
    fn rows(&mut self, batch: &Batch) -> Result<(), ExportError> {
        self.rows.follow(batch);
        let mut message = Vec::new();
        for row in 0..batch.rows() {
            let channel_id = self.channel(batch, row)?;
            message.clear();
            self.rows.write(batch, row, &mut message);
            let log_time = time_ns(batch, &self.time, row);
            let sequence = self.sequence;
            self.sequence = self.sequence.wrapping_add(1);
            let header = MessageHeader { channel_id, sequence, log_time, publish_time: log_time };
            self.writer.write_to_known_channel(&header, &message)?;
        }
        Ok(())
    }

    fn finish(mut self: Box<Self>) -> Result<(), ExportError> {
        self.writer.finish()?;
        // Dropping it would flush too, but tell nobody of an error.
        let mut out = self.writer.into_inner().into_inner();
        Ok(out.flush()?)
    }
}
