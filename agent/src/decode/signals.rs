//! The machine file's signal map: which CAN signals and `CANopen` objects feed which channels.

use super::can::{CanFrame, CanId};
use super::can_intake::CanCounts;
use super::canopen::{self, PdoMessage};
use super::dbc::{Database, Message, Plan, Value};
use super::long::LongMessage;
use std::collections::HashMap;
use underbrush_protocol::channel::Channel;
use underbrush_protocol::settings::SettingsError;
use underbrush_protocol::settings::machine::{Machine, PdoMap, SignalMap};

/// Turns the data of CAN frames into channels.
///
/// A frame belongs to the message of exactly its identifier. If there is none,
/// a 29-bit frame belongs to a message that the DBC file marks as SAE J1939 and
/// that has the same parameter group, whatever priority and addresses it carries.
#[derive(Clone, Debug)]
pub struct SignalReader {
    messages: Vec<Mapped>,
    by_id: HashMap<CanId, usize>,
    by_group: HashMap<u32, usize>,
}

#[derive(Clone, Debug)]
struct Mapped {
    message: Message,
    /// Decodes what `feeds` take, in their order.
    plan: Plan,
    feeds: Vec<Feed>,
}

#[derive(Clone, Debug)]
struct Feed {
    signal: usize,
    channel: Channel,
    factor: f64,
    offset: f64,
}

impl SignalReader {
    /// Looks the machine file's signals up in `database`. `file` and `text` are those
    /// of the machine file and `dbc` is the other's name, for messages.
    pub fn new(
        database: &Database,
        dbc: &str,
        machine: &Machine,
        file: &str,
        text: &str,
    ) -> Result<Self, SettingsError> {
        let mut reader =
            Self { messages: Vec::new(), by_id: HashMap::new(), by_group: HashMap::new() };
        if machine.signals.is_empty() && machine.pdos.is_empty() {
            return Err(SettingsError {
                file: file.to_owned(),
                line: None,
                key: Some("signal".to_owned()),
                message: format!(
                    "no [[signal]] table says which signals of {dbc} to record, and no [[pdo]] \
                     what CANopen nodes send"
                ),
            });
        }
        for (number, map) in machine.signals.iter().enumerate() {
            reader.add(database, dbc, map).map_err(|(key, message)| SettingsError {
                file: file.to_owned(),
                line: line_of_signal(text, number, key),
                key: Some(format!("signal.{key}")),
                message,
            })?;
        }
        for (entry, pdo) in machine.pdos.iter().enumerate() {
            reader.add_pdo(pdo).map_err(|message| canopen::error(file, text, entry, message))?;
        }
        for mapped in &mut reader.messages {
            mapped.plan = Plan::new(&mapped.message, mapped.feeds.iter().map(|feed| feed.signal));
        }
        Ok(reader)
    }

    fn add(
        &mut self,
        database: &Database,
        dbc: &str,
        map: &SignalMap,
    ) -> Result<(), (&'static str, String)> {
        let Some(message) = database.message(&map.message) else {
            let names = list(database.messages.iter().map(|m| m.name.as_str()));
            return Err((
                "message",
                format!("{dbc} has no message `{}`; it has {names}", map.message),
            ));
        };
        let Some(signal) = message.signals.iter().position(|s| s.name == map.signal) else {
            let names = list(message.signals.iter().map(|s| s.name.as_str()));
            let what = format!(
                "message `{}` has no signal `{}`; it has {names}",
                message.name, map.signal
            );
            return Err(("signal", what));
        };
        let same = message.signals.iter().filter(|s| s.name == map.signal).count();
        if same > 1 {
            let what = format!(
                "message `{}` has {same} signals `{}`: give them names of their own in {dbc}",
                message.name, map.signal
            );
            return Err(("signal", what));
        }
        if !message.signals[signal].decodable() {
            let what =
                format!("`{}` in {dbc} is not 1 to 64 bits in the first 1785 bytes", map.signal);
            return Err(("signal", what));
        }
        let Some(channel) = Channel::by_name(&map.channel) else {
            return Err(("channel", format!("no channel `{}`", map.channel)));
        };
        if !(map.factor.is_finite() && map.factor != 0.0) {
            return Err(("factor", "must be a number other than 0".to_owned()));
        }
        if !map.offset.is_finite() {
            return Err(("offset", "must be a number".to_owned()));
        }
        let place = *self.by_id.entry(message.id).or_insert_with(|| {
            let plan = Plan::new(message, std::iter::empty());
            self.messages.push(Mapped { message: message.clone(), plan, feeds: Vec::new() });
            self.messages.len() - 1
        });
        if let Some(group) = message.id.pgn().filter(|_| message.j1939) {
            self.by_group.entry(group).or_insert(place);
        }
        let feed = Feed { signal, channel, factor: map.factor, offset: map.offset };
        self.messages[place].feeds.push(feed);
        Ok(())
    }

    fn add_pdo(&mut self, pdo: &PdoMap) -> Result<(), String> {
        let PdoMessage { message, feeds: wanted } = canopen::message(pdo)?;
        if let Some(other) = self.by_id.get(&message.id).and_then(|place| self.messages.get(*place))
        {
            let (own, other) = (&message.name, &other.message.name);
            return Err(format!("the frames of {own} are also those of {other}"));
        }
        let mut feeds = Vec::new();
        for (signal, object) in wanted {
            let name = object.channel.as_deref().unwrap_or_default();
            let channel = Channel::by_name(name).ok_or_else(|| format!("no channel `{name}`"))?;
            feeds.push(Feed { signal, channel, factor: object.factor, offset: object.offset });
        }
        self.by_id.insert(message.id, self.messages.len());
        let plan = Plan::new(&message, std::iter::empty());
        self.messages.push(Mapped { message, plan, feeds });
        Ok(())
    }

    /// Gives `each` the channels that `frame` feeds, as raw values, and counts the rest.
    pub fn read(
        &self,
        frame: &CanFrame<'_>,
        counts: &mut CanCounts,
        mut each: impl FnMut(Channel, i32),
    ) {
        let (id, data) = match frame {
            CanFrame::Data { id, data } => (id, data),
            CanFrame::Remote => return counts.remote += 1,
            CanFrame::Error => return counts.error_frames += 1,
        };
        let place = self.by_id.get(id).or_else(|| self.by_group.get(&id.pgn()?));
        let Some(mapped) = place.and_then(|p| self.messages.get(*p)) else {
            counts.not_mapped += 1;
            return;
        };
        counts.mapped += 1;
        mapped.take(data, counts, &mut each);
    }

    /// The same for a message of the transport protocol.
    pub fn read_long(
        &self,
        message: &LongMessage<'_>,
        counts: &mut CanCounts,
        mut each: impl FnMut(Channel, i32),
    ) {
        let place = self.by_group.get(&message.pgn);
        if let Some(mapped) = place.and_then(|p| self.messages.get(*p)) {
            counts.long_messages += 1;
            mapped.take(message.data, counts, &mut each);
        }
    }

    /// Whether messages of the transport protocol can be among those mapped, and frames
    /// of this identifier are not themselves mapped.
    pub(super) fn wants_transport(&self, id: CanId) -> bool {
        !self.by_group.is_empty() && !self.by_id.contains_key(&id)
    }
}

impl Mapped {
    fn take(&self, data: &[u8], counts: &mut CanCounts, each: &mut impl FnMut(Channel, i32)) {
        let mut short = false;
        self.plan.each(data, |number, value| {
            let Some(feed) = self.feeds.get(number) else { return };
            match value {
                Value::Is(value) => match feed.raw(value) {
                    Some(raw) => each(feed.channel, raw),
                    None => counts.out_of_range += 1,
                },
                Value::NotAvailable => counts.not_available += 1,
                Value::Indicator => counts.indicators += 1,
                Value::NotSelected => {}
                Value::TooShort => short = true,
            }
        });
        counts.too_short += u64::from(short);
    }
}

impl Feed {
    /// The nearest raw value of the channel, or `None` outside its range.
    fn raw(&self, value: f64) -> Option<i32> {
        let steps = ((value * self.factor + self.offset) / self.channel.resolution()).round();
        let (least, most) = self.channel.raw_range();
        (f64::from(least)..=f64::from(most)).contains(&steps).then_some(steps as i32)
    }
}

/// The first names, for a message of bearable length.
fn list<'a>(names: impl Iterator<Item = &'a str>) -> String {
    const MOST: usize = 12;
    let mut names: Vec<&str> = names.take(MOST + 1).collect();
    if names.len() > MOST {
        names[MOST] = "others";
    }
    if names.is_empty() { "none".to_owned() } else { names.join(", ") }
}

/// The line of `key` in the `number`th `[[signal]]` table, or of the table itself.
fn line_of_signal(text: &str, number: usize, key: &str) -> Option<usize> {
    let is_table = |line: &str| line.trim_start().starts_with('[');
    let is_signal = |line: &str| {
        let name = line.trim().strip_prefix("[[").and_then(|rest| rest.split("]]").next());
        name.is_some_and(|name| name.trim() == "signal")
    };
    let lines = || text.lines().enumerate();
    let (table, _) = lines().filter(|(_, line)| is_signal(line)).nth(number)?;
    let found = lines()
        .skip(table + 1)
        .take_while(|(_, line)| !is_table(line))
        .find(|(_, line)| line.split('=').next().is_some_and(|k| k.trim() == key));
    Some(found.map_or(table, |(at, _)| at) + 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    const MACHINE: &str = include_str!("../../tests/data/machine.toml");
    const DBC: &[u8] = include_bytes!("../../tests/data/bus.dbc");

    fn reader(machine: &str) -> Result<SignalReader, SettingsError> {
        let database = Database::parse(DBC).unwrap();
        let parsed = Machine::parse("machine.toml", machine).unwrap();
        SignalReader::new(&database, "bus.dbc", &parsed, "machine.toml", machine)
    }

    #[test]
    fn unknown_names_are_told_with_file_line_and_key() {
        let wrong = MACHINE.replace("signal = \"BrushCurrentLeft\"", "signal = \"BrushCurent\"");
        let line = wrong.lines().position(|l| l.contains("BrushCurent")).unwrap() + 1;
        let error = reader(&wrong).unwrap_err().to_string();
        let start =
            format!("machine.toml, line {line}, key `signal.signal`: message `Brushes` has");
        assert!(error.starts_with(&start), "{error}");
        assert!(error.contains("BrushCurrentLeft, "), "{error}");
        let wrong = MACHINE.replace("message = \"Drive\"", "message = \"Drives\"");
        let error = reader(&wrong).unwrap_err().to_string();
        assert!(error.contains("key `signal.message`: bus.dbc has no message `Drives`"), "{error}");
        let none = MACHINE.split("[[signal]]").next().unwrap();
        assert!(reader(none).unwrap_err().to_string().contains("[[signal]]"));
    }

    #[test]
    fn values_are_scaled_and_ranged() {
        let reader = reader(MACHINE).unwrap();
        let mut counts = CanCounts::default();
        let mut got = Vec::new();
        let mut feed = |id, data: &[u8]| {
            let frame = CanFrame::Data { id, data };
            got.clear();
            reader.read(&frame, &mut counts, |channel, raw| got.push((channel.name(), raw)));
            got.clone()
        };
        // 100 x 0.01 km/h = 1 km/h = 0.2778 m/s.
        let drive = CanId::Standard(0x180);
        assert_eq!(feed(drive, &[100, 0, 0, 0]), [("speed", 278)]);
        // 130 km/h is 36.1 m/s, beyond what the channel holds.
        assert_eq!(feed(drive, &[0xC8, 0x32, 0, 0]), []);
        assert_eq!(feed(drive, &[100]), []);
        assert_eq!(feed(CanId::Standard(0x181), &[0; 8]), []);
        let brushes = CanId::Standard(0x210);
        // Motorola: 0x00FA x 0.1 A.
        let all = feed(brushes, &[0x01, 0x00, 0xFA, 0xFF, 0x9C]);
        assert_eq!(
            all,
            [("brush_command", 1), ("brush_current_1", 250), ("brush_current_2", -100)]
        );
        // The group of the battery message, sent by another address at another priority.
        let battery = CanId::Extended(0x0CFF_1055);
        assert_eq!(feed(battery, &[0xD0, 0x09, 0, 0]), [("battery_voltage", 2_512)]);
        assert_eq!(feed(battery, &[0xFF, 0xFF, 0, 0]), []);
        assert_eq!(feed(battery, &[0x00, 0xFF, 0, 0]), []);
        assert_eq!(feed(battery, &[0x00, 0xFE, 0, 0]), []);
        assert_eq!(feed(battery, &[0x00, 0xFB, 0, 0]), []);
        let expected = CanCounts {
            mapped: 9,
            not_mapped: 1,
            too_short: 1,
            out_of_range: 1,
            not_available: 2,
            indicators: 2,
            ..CanCounts::default()
        };
        assert_eq!(counts, expected);
    }
}
