//! `SPEC.md` against the code: its hex dumps decode to the values it states, those
//! encode to the same bytes, and its tables hold the numbers in use.

use std::collections::BTreeMap;
use underbrush_protocol::archive::{BLOCK_MS, MAX_ENTRIES, Reader, TRAILER_LEN, Writer};
use underbrush_protocol::channel::Channel;
use underbrush_protocol::frame::{Brush, BrushMotor, Burst, Frame, MAX_BURST_VALUES, Mark};
use underbrush_protocol::journal::{self, BatchWriter, scan};
use underbrush_protocol::link::{
    Decoder, Encoder, MAX_BODY, MAX_ON_WIRE, MAX_PACKET, Packet, REORDER_WINDOW, Received,
};
use underbrush_protocol::log::{Entry, FileKind, Header};
use underbrush_protocol::note::{ClockFix, MAX_SECTION_ID, Note, Told, ToldPhase};
use underbrush_protocol::reading::Reading;
use underbrush_protocol::time::BootMs;
use underbrush_protocol::wire_units::{CurrentRaw, Percent};

const SPEC: &str = include_str!("../SPEC.md");

/// The fenced blocks of a kind: name and text.
fn fenced(kind: &str) -> BTreeMap<&'static str, &'static str> {
    let mut found = BTreeMap::new();
    for part in SPEC.split("\n```").skip(1) {
        let Some((name, text)) = part.strip_prefix(kind).and_then(|p| p.split_once('\n')) else {
            continue;
        };
        let before = found.insert(name.trim(), text);
        assert!(before.is_none(), "two blocks named {name}");
    }
    found
}

/// Each dump whose name begins with `prefix`: name, bytes and stated lines.
fn dumps(prefix: &str) -> Vec<(&'static str, Vec<u8>, Vec<&'static str>)> {
    let values = fenced("values ");
    let hex = fenced("hex ");
    let dump = |(name, text): (&&'static str, &&'static str)| {
        let bytes = text.split_whitespace().map(|b| u8::from_str_radix(b, 16).expect("hex"));
        (*name, bytes.collect(), values[name].lines().collect())
    };
    hex.iter().filter(|(name, _)| name.starts_with(prefix)).map(dump).collect()
}

/// The rows of the table behind a marker, cut into cells, its heading left out.
fn table(marker: &str) -> Vec<Vec<&'static str>> {
    let (_, rest) = SPEC.split_once(marker).expect(marker);
    rest.lines()
        .skip_while(|line| !line.starts_with('|'))
        .take_while(|line| line.starts_with('|'))
        .skip(2)
        .map(|line| line.trim_matches('|').split('|').map(str::trim).collect())
        .collect()
}

fn scaled<T: Into<i32>>(raw: Option<T>, steps_in_one: f64, digits: usize, unit: &str) -> String {
    raw.map_or("none".to_owned(), |raw| {
        let raw = raw.into();
        format!("{raw} ({:.digits$} {unit})", f64::from(raw) / steps_in_one)
    })
}

fn plain<T: ToString>(value: Option<T>) -> String {
    value.map_or("none".to_owned(), |value| value.to_string())
}

fn fields(frame: &Frame) -> Vec<String> {
    match frame {
        Frame::Hello(h) => vec![
            format!("kind = 1 Hello|bridge_id = {}", h.bridge_id),
            format!("firmware = {}.{}.{}", h.firmware.0, h.firmware.1, h.firmware.2),
            format!("capabilities = {:#010x}", h.capabilities.0),
            format!("brush_motors = {}", h.brush_motors),
            format!("period_ms = {}", h.period_ms),
        ],
        Frame::Motion(m) => vec![
            format!("kind = 2 Motion|speed = {}", scaled(Some(m.speed.0), 1e3, 3, "m/s")),
            format!("turn_rate = {}", scaled(m.turn_rate.map(|t| t.0), 1e3, 3, "rad/s")),
        ],
        Frame::Brush(b) => {
            let mut lines = vec![
                format!("kind = 3 Brush|command_on = {}", b.command_on),
                format!("motors = {}", b.motors.len()),
            ];
            for (number, motor) in (1..).zip(&b.motors) {
                let current = scaled(Some(motor.current.0), 10.0, 1, "A");
                let rotation = scaled(motor.rotation.map(|r| r.0), 10.0, 1, "r/min");
                lines.push(format!("motor {number} current = {current}"));
                lines.push(format!("motor {number} rotation = {rotation}"));
            }
            lines.push(format!(
                "pressure_setting = {}",
                plain(b.pressure_setting.map(Percent::get))
            ));
            lines
        }
        Frame::Runtime(r) => vec![
            format!("kind = 4 Runtime|key_on = {}", plain(r.key_on.map(|m| m.0))),
            format!("brush_on = {}", plain(r.brush_on.map(|m| m.0))),
            format!("traction = {}", plain(r.traction.map(|m| m.0))),
        ],
        Frame::Power(p) => vec![
            format!("kind = 5 Power|voltage = {}", scaled(Some(p.voltage.0), 100.0, 2, "V")),
            format!("current = {}", scaled(p.current.map(|c| c.0), 10.0, 1, "A")),
        ],
        Frame::Controls(c) => vec![
            format!("kind = 6 Controls|head_down = {}", plain(c.head_down)),
            format!("vacuum_on = {}", plain(c.vacuum_on)),
            format!("solution_flow = {}", plain(c.solution_flow.map(Percent::get))),
        ],
        Frame::Mark(Mark::Button(number)) => vec![format!("kind = 7 Mark|button = {number}")],
        Frame::Mark(Mark::Tag(number)) => vec![format!("kind = 7 Mark|tag = {number}")],
        Frame::Fault(f) => vec![
            format!("kind = 8 Fault|controller = {}", f.controller),
            format!("code = {}", f.code),
            format!("active = {}", f.active),
        ],
        Frame::Burst(b) => burst_fields(b),
    }
}

fn burst_fields(burst: &Burst) -> Vec<String> {
    let mut lines = vec![
        format!("kind = 9 Burst|spacing_ms = {}", burst.spacing_ms()),
        format!("motors = {}", burst.motors()),
    ];
    let samples: Vec<_> = burst.samples().collect();
    for sample in samples.chunks(usize::from(burst.motors())) {
        let raw = sample.iter().map(|s| s.current.0.to_string()).collect::<Vec<_>>().join(" ");
        let amperes = sample.iter().map(|s| format!("{:.1} A", f64::from(s.current.0) / 10.0));
        let amperes = amperes.collect::<Vec<_>>().join(", ");
        lines.push(format!("{} ms before: {raw} ({amperes})", sample[0].before_ms));
    }
    lines
}

fn packet_lines(received: &Received) -> Vec<String> {
    let header = received.header;
    let rest = fields(&received.frame).join("|");
    let (kind, rest) = rest.split_once('|').expect("the kind comes first");
    let head = format!("{kind}|sequence = {}|tick_ms = {}", header.sequence, header.tick_ms);
    format!("{head}|{rest}").split('|').map(str::to_owned).collect()
}

#[test]
fn packets() {
    let dumps = dumps("packet-");
    let mut kinds = std::collections::BTreeSet::new();
    for (name, wire, stated) in &dumps {
        let mut decoder = Decoder::default();
        let packets: Vec<_> = wire.iter().filter_map(|byte| decoder.push(*byte)).collect();
        let [Packet::Frame(received)] = packets.as_slice() else {
            panic!("{name}: {packets:?}");
        };
        assert_eq!(packet_lines(received), *stated, "{name}");
        let mut encoder = Encoder::starting_at(received.header.sequence);
        assert_eq!(encoder.encode(received.header.tick_ms, &received.frame), wire, "{name}");
        kinds.insert(received.header.kind.0);
    }
    assert_eq!(kinds.into_iter().collect::<Vec<_>>(), (1..=9).collect::<Vec<_>>());
}

fn fix_text(fix: &ClockFix) -> String {
    let (utc, source) = (fix.utc.0, fix.source as u8);
    format!("ClockFix utc_ms {utc} source {source} uncertainty_ms {}", fix.uncertainty_ms)
}

fn note_line(at: BootMs, note: &Note) -> String {
    let text = match note {
        Note::Started => "Started".to_owned(),
        Note::Stopped => "Stopped".to_owned(),
        Note::ClockFix(fix) => fix_text(fix),
        Note::Gap(gap) => {
            let (from, reason) = (gap.from.0, gap.reason as u8);
            format!("Gap from_ms {from} reason {reason} dropped {}", gap.dropped)
        }
        other => panic!("the page has no line for {other:?}"),
    };
    format!("{} ms: {text}", at.0)
}

fn header_lines(header: &Header) -> Vec<String> {
    let identity = &header.identity;
    let [a, b, c, d] = header.salt;
    vec![
        format!("machine = {}", identity.machine),
        format!("boot = {}", identity.boot),
        format!("part = {}", identity.segment),
        format!("agent = {}", identity.agent),
        format!("salt = {a:02x} {b:02x} {c:02x} {d:02x}"),
    ]
}

#[test]
fn told_note() {
    let dumps = dumps("note-told");
    let [(_, bytes, stated)] = dumps.as_slice() else { panic!("one dump of a Told note") };
    let note: Note = postcard::from_bytes(bytes).expect("a note");
    let Note::Told(Told { section: Some(section), phase: Some(ToldPhase::Step(step)) }) = &note
    else {
        panic!("{note:?}")
    };
    assert_eq!(*stated, [format!("section = {section}"), format!("phase = step {step}")]);
    assert_eq!(postcard::to_allocvec(&note).as_ref(), Ok(bytes));
    let row = table("### Notes").into_iter().find(|row| row[0] == "10").expect("variant 10");
    assert!(row[1].starts_with("Told"), "{row:?}");
    assert!(row[2].contains(&format!("at most {MAX_SECTION_ID} bytes")), "{row:?}");
}

#[test]
fn journal_file() {
    let dumps = dumps("file-journal");
    let [(_, file, stated)] = dumps.as_slice() else { panic!("one journal") };
    let header = Header::read(FileKind::Journal, file).expect("a header");
    let mut entries = Vec::new();
    let found = scan(file, header.len, header.salt, |entry| entries.push(entry));
    let mut lines = header_lines(&header);
    lines.push(format!("batches = {}", found.batches));
    lines.extend(entries.iter().map(|entry| match entry {
        Entry::Note(at, note) => note_line(*at, note),
        Entry::Reading(r) => format!("{} ms: channel {} = {}", r.at.0, r.channel.0, r.raw),
    }));
    assert_eq!(lines, *stated);

    let mut written = Header::write(FileKind::Journal, &header.identity);
    let mut writer = BatchWriter::new(header.salt);
    for entry in &entries {
        match entry {
            Entry::Reading(reading) => writer.reading(*reading),
            Entry::Note(at, note) => writer.note(*at, note),
        }
    }
    writer.close(&mut written);
    assert_eq!(&written, file);
}

#[test]
fn archive_file() {
    let dumps = dumps("file-archive");
    let [(_, file, stated)] = dumps.as_slice() else { panic!("one archive") };
    let reader = Reader::open(file).expect("an archive");
    assert!(!reader.damage().index_rebuilt);
    let mut lines = header_lines(reader.header());
    let mut entries = Vec::new();
    for at in &reader.index().blocks {
        let (first, last) = (at.first.0, at.last.0);
        let place = format!("block at {} of {} bytes", at.offset, at.len);
        lines.push(format!("{place}, {first} to {last} ms, {} readings", at.rows));
        let block = reader.block(at).expect("whole");
        for (time, note) in &block.notes {
            lines.push(note_line(*time, note));
            entries.push(Entry::Note(*time, note.clone()));
        }
        for column in &block.columns {
            let row = |values: &[i32]| {
                values.iter().map(ToString::to_string).collect::<Vec<_>>().join(" ")
            };
            let channel = column.channel;
            lines.push(format!("channel {} times = {}", channel.0, row(&column.at)));
            lines.push(format!("channel {} values = {}", channel.0, row(&column.raw)));
            entries.extend(column.at.iter().zip(&column.raw).map(|(ms, raw)| {
                let time = at.first.plus(u64::from(ms.unsigned_abs()));
                Entry::Reading(Reading { at: time, channel, raw: *raw })
            }));
        }
    }
    for (at, fix) in &reader.index().clock_fixes {
        lines.push(format!("index clock fix at {} ms: {}", at.0, fix_text(fix)));
    }
    assert_eq!(lines, *stated);

    entries.sort_by_key(Entry::at);
    let mut writer = Writer::new(&reader.header().identity).expect("a header");
    for entry in entries {
        writer.push(entry);
    }
    writer.finish();
    assert_eq!(&writer.take_bytes(), file);
}

#[test]
fn channel_table() {
    let rows = table("## Channels");
    for row in &rows {
        let [number, name, value, range] = row[..] else { panic!("{row:?}") };
        let channel = Channel(number.parse().expect("a number"));
        assert_eq!(channel.name(), name.trim_matches('`'));
        let step = match value.split(' ').next() {
            Some(first) if value.contains("off") || value.contains("up") || first == "1" => 1.0,
            Some(first) => first.parse().expect("a step"),
            None => panic!("{row:?}"),
        };
        assert!((channel.resolution() - step).abs() < f64::EPSILON, "{row:?}");
        let (low, high) = channel.raw_range();
        assert_eq!(range, format!("{low}..={high}"), "{row:?}");
    }
    assert_eq!(rows.len(), Channel::names().count());
}

// The sum under "Why CRC-32", done again.
#[test]
fn undetected_frames_in_ten_years() {
    const FRAMES_PER_S: f64 = 50.0;
    let rows = table("<!-- sum -->");
    assert_eq!(rows.len(), 4);
    for row in rows {
        let number = |at: usize| row[at].parse::<f64>().expect("a number");
        let hours = number(0) * 365.0 * 10.0;
        let frames = hours * 3600.0 * FRAMES_PER_S;
        let damaged = frames * number(3);
        assert_eq!(row[1], format!("{hours:.0}"));
        assert_eq!(row[2], format!("{frames:.0}"));
        assert_eq!(row[4], format!("{damaged:.0}"));
        assert_eq!(row[5], format!("{:.1}", damaged / 65_536.0));
        assert_eq!(row[6], format!("{:.4}", damaged / 4_294_967_296.0));
    }
    let worst = 15_768_000_000.0 * 0.01 / 4_294_967_296.0_f64;
    assert!(SPEC.contains(&format!("one frame in {:.0} machines", 1.0 / worst)));
}

// The bytes under "Kind 9, Burst", by encoding such frames.
#[test]
fn bytes_of_full_rate() {
    let on_wire = |frame: &Frame| Encoder::starting_at(257).encode(0x0101_0101, frame).len();
    for row in table("<!-- burst -->") {
        let number = |at: usize| row[at].parse::<usize>().expect("a number");
        let motors = number(0);
        assert_eq!(number(1), Burst::most_samples(motors as u8));
        for (column, swing) in [(2, 1), (4, 16_000)] {
            let value = |place: usize| {
                CurrentRaw(if (place / motors).is_multiple_of(2) { swing } else { -swing })
            };
            let values: [_; MAX_BURST_VALUES] = core::array::from_fn(value);
            let burst = Burst::new(1, motors as u8, &values).expect("whole samples");
            let bytes = on_wire(&Frame::Burst(burst));
            let per_s = bytes as f64 * 1000.0 / number(1) as f64;
            assert_eq!(row[column], format!("{per_s:.0}"), "{row:?}");
            assert_eq!(row[column + 1], format!("{:.0}", per_s * 10.0), "{row:?}");
        }
    }
    let motor = BrushMotor { current: CurrentRaw(i16::MIN), rotation: None };
    let motors = heapless::Vec::from_array([motor; 2]);
    let brush = Brush { command_on: true, motors, pressure_setting: None };
    let bytes = on_wire(&Frame::Brush(brush));
    assert!(SPEC.contains(&format!("one takes {bytes} bytes on the wire at most")), "{bytes}");
}

// Numbers in running text, each as the sentence that holds it.
#[test]
fn limits_in_the_text() {
    let flat = SPEC.split_whitespace().collect::<Vec<_>>().join(" ");
    let sentences = [
        format!("| `8..n` | body, 0 to {MAX_BODY} bytes"),
        format!("the longest {MAX_PACKET}."),
        format!("no more than {MAX_ON_WIRE} bytes are on the wire"),
        format!("`behind` <= {REORDER_WINDOW}"),
        format!("length *L* of the body, u32, at most {} |", journal::MAX_BODY),
        "A block holds at most 240,000 ms and 65,536 entries.".to_owned(),
        "a set of more than 65,536 rows".to_owned(),
        format!("the last {TRAILER_LEN} of the file"),
    ];
    for sentence in sentences {
        assert!(flat.contains(&sentence), "{sentence}");
    }
    assert_eq!((BLOCK_MS, MAX_ENTRIES), (240_000, 65_536));
    for (entries, blocks) in [(65_536, 1), (65_537, 2)] {
        let identity = Header::read(FileKind::Journal, &dumps("file-journal")[0].1);
        let mut writer = Writer::new(&identity.expect("a header").identity).expect("a header");
        for raw in 0..entries {
            let channel = Channel::SPEED;
            writer.push(Entry::Reading(Reading { at: BootMs(5), channel, raw }));
        }
        assert_eq!(writer.finish().blocks, blocks, "{entries} entries");
    }
}
