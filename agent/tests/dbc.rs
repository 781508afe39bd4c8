//! DBC decoding against values of others: cantools 45.1.0 (MIT), its test suite, J1939 texts.

use underbrush_agent::decode::CanId;
use underbrush_agent::decode::dbc::{Database, Message, Value};

macro_rules! dbc {
    ($name:literal) => {
        Database::parse(include_bytes!(concat!("../../fixtures/data/dbc/", $name))).unwrap()
    };
}

fn signal(message: &Message, name: &str) -> usize {
    message.signals.iter().position(|s| s.name == name).unwrap()
}

fn value(message: &Message, name: &str, data: &[u8]) -> Value {
    message.value(signal(message, name), data)
}

fn hex(text: &str) -> Vec<u8> {
    let digits: Vec<u8> = text.bytes().filter(u8::is_ascii_hexdigit).collect();
    digits
        .chunks(2)
        .map(|pair| u8::from_str_radix(std::str::from_utf8(pair).unwrap(), 16).unwrap())
        .collect()
}

#[track_caller]
fn assert_values(message: &Message, data: &str, expected: &[(&str, f64)]) {
    for (name, wanted) in expected {
        match value(message, name, &hex(data)) {
            Value::Is(got) if (got - wanted).abs() <= 1e-9 * wanted.abs().max(1.0) => {}
            other => panic!("{name} of {data}: {other:?}, not {wanted}"),
        }
    }
}

// Source: rows made by tests/reference/dbc_values.py with PyPI cantools 45.1.0.
#[test]
fn every_row_of_cantools() {
    let files = [
        ("j1939.dbc", dbc!("j1939.dbc")),
        ("motohawk.dbc", dbc!("motohawk.dbc")),
        ("multiplex.dbc", dbc!("multiplex.dbc")),
        ("own_example.dbc", dbc!("own_example.dbc")),
        ("own_float_mux.dbc", dbc!("own_float_mux.dbc")),
        ("signed.dbc", dbc!("signed.dbc")),
    ];
    let rows = include_str!("../../fixtures/data/dbc/cantools_values.csv");
    let mut compared = 0;
    for row in rows.lines().skip(1) {
        let columns: Vec<&str> = row.split(',').collect();
        let [file, message, payload, name, wanted] = columns[..] else { panic!("{row}") };
        let database = &files.iter().find(|(name, _)| *name == file).unwrap().1;
        let got = value(database.message(message).unwrap(), name, &hex(payload));
        let same = match got {
            Value::NotSelected => wanted.is_empty(),
            Value::Is(got) => {
                let wanted: f64 = wanted.parse().unwrap();
                (got.is_nan() && wanted.is_nan())
                    || got.to_bits() == wanted.to_bits()
                    || (got - wanted).abs() <= 1e-12 * wanted.abs()
            }
            Value::NotAvailable | Value::Indicator | Value::TooShort => false,
        };
        assert!(same, "{row}: got {got:?}");
        compared += 1;
    }
    assert!(compared > 1_000, "{compared} rows");
}

// Source: values computed with cantools 45.1.0 for a DBC file of our own.
#[test]
fn own_example() {
    let database = dbc!("own_example.dbc");
    let drive = database.message("DriveStatus").unwrap();
    for (data, [speed, current, rpm, temperature, on, sequence]) in [
        ("e8 03 18 fc 0c 80 e2 51", [1.0, -100.0, 1600.0, 10.0, 1.0, 5.0]),
        ("58 02 5e 01 01 2c 19 a1", [0.6, 35.0, 150.0, 65.0, 1.0, 10.0]),
        ("ff ff 00 80 ff ff 80 00", [65.535, -3276.8, 32767.5, -88.0, 0.0, 0.0]),
    ] {
        let expected = [
            ("SpeedRaw", speed),
            ("BrushCurrent", current),
            ("BrushRpm", rpm),
            ("MotorTemp", temperature),
            ("BrushOn", on),
            ("Seq", sequence),
        ];
        assert_values(drive, data, &expected);
    }
    let misc = database.message("Misc").unwrap();
    assert_values(misc, "00290a9001000000", &[("BattVolt", 26.01), ("HeadForce", 0.0)]);
    assert_values(misc, "0140e20100000000", &[("TotalHours", 6172.8)]);
    assert_values(misc, "020bff0000000000", &[("S11", -246.5)]);
    assert_values(misc, "0204000000000000", &[("S11", 266.0)]);
    assert_eq!(value(misc, "BattVolt", &hex("0140e20100000000")), Value::NotSelected);
    assert_eq!(value(misc, "TotalHours", &hex("0140e201")), Value::TooShort);
}

// Source: the test suite of cantools (MIT), `tests/test_database.py`.
#[test]
fn cantools_own_tests() {
    let motohawk = dbc!("motohawk.dbc");
    let example = motohawk.message("ExampleMessage").unwrap();
    assert_eq!(example.id, CanId::Standard(496));
    for (data, [temperature, radius, enable]) in
        [("c006e00000000000", [250.55, 3.2, 1.0]), ("0100200000000000", [229.53, 0.0, 0.0])]
    {
        let expected =
            [("Temperature", temperature), ("AverageRadius", radius), ("Enable", enable)];
        assert_values(example, data, &expected);
    }
    let multiplex = dbc!("multiplex.dbc");
    let message = &multiplex.messages[0];
    for (data, selected) in
        [("20008c0100000000", 8.0), ("40008c0100000000", 16.0), ("60008c35c3000000", 24.0)]
    {
        assert_values(message, data, &[("Multiplexor", selected)]);
    }
    let signed = dbc!("signed.dbc");
    assert_values(
        signed.message("Message378910").unwrap(),
        "b0b44a55870181f7",
        &[
            ("s7", -40.0),
            ("s8big", 90.0),
            ("s9", 165.0),
            ("s8", -43.0),
            ("s3big", -4.0),
            ("s3", 1.0),
            ("s10big", -253.0),
            ("s7big", -9.0),
        ],
    );
}

/// Three messages of SAE J1939 and ISO 11783-7, marked as such.
const J1939: &[u8] = br#"VERSION ""
NS_ :
BS_:
BU_: ECU
BO_ 2566844672 CCVS: 8 ECU
 SG_ WheelSpeed : 8|16@1+ (0.00390625,0) [0|250.996] "km/h" Vector__XXX
BO_ 2364539904 EEC1: 8 ECU
 SG_ EngineSpeed : 24|16@1+ (0.125,0) [0|8031.875] "rpm" Vector__XXX
BO_ 2365474885 WBSD: 8 ECU
 SG_ Speed : 0|16@1+ (0.001,0) [0|64.255] "m/s" Vector__XXX
 SG_ Distance : 16|32@1+ (0.001,0) [0|4211081.215] "m" Vector__XXX
 SG_ MaxTime : 48|8@1+ (1,0) [0|250] "min" Vector__XXX
 SG_ Direction : 56|2@1+ (1,0) [0|3] "" Vector__XXX
 SG_ KeySwitch : 58|2@1+ (1,0) [0|3] "" Vector__XXX
 SG_ StartStop : 60|2@1+ (1,0) [0|3] "" Vector__XXX
 SG_ Reversed : 62|2@1+ (1,0) [0|3] "" Vector__XXX
BA_DEF_ "ProtocolType" STRING ;
BA_DEF_DEF_ "ProtocolType" "";
BA_ "ProtocolType" "J1939";
"#;

#[test]
fn j1939_messages() {
    let database = Database::parse(J1939).unwrap();
    // SPN 84, source: scaling as pretty_j1939 has it (1/256 km/h), values by cantools 45.1.0.
    let ccvs = database.message("CCVS").unwrap();
    assert_eq!((ccvs.id, ccvs.j1939), (CanId::Extended(0x18FE_F100), true));
    for (data, km_h) in [
        ("FF0005FFFFFFFFFF", 5.0),
        ("FFC800FFFFFFFFFF", 0.781_25),
        ("FFFFFAFFFFFFFFFF", 250.996_093_75),
        ("FF0100FFFFFFFFFF", 0.003_906_25),
    ] {
        assert_values(ccvs, data, &[("WheelSpeed", km_h)]);
    }
    // Source: a real frame without a speed, README of pretty_j1939.
    assert_eq!(value(ccvs, "WheelSpeed", &hex("F7FFFF07CCFFFFFF")), Value::NotAvailable);
    assert_eq!(database.message("WBSD").unwrap().id, CanId::Extended(0x0CFE_4845));
    // SPN 190, source: the READMEs of j1939decode and pretty_j1939.
    let eec1 = database.message("EEC1").unwrap();
    assert_values(eec1, "F07D83831700FF83", &[("EngineSpeed", 752.375)]);
    assert_values(eec1, "207D87481400F087", &[("EngineSpeed", 649.0)]);
    // Source: AgIsoStack++ `test/speed_distance_message_tests.cpp`, layout of ISO 11783-7.
    let wbsd = database.message("WBSD").unwrap();
    let expected = [
        ("Speed", 9.876),
        ("Distance", 5.0),
        ("MaxTime", 3.0),
        ("Direction", 0.0),
        ("KeySwitch", 1.0),
        ("StartStop", 1.0),
        ("Reversed", 0.0),
    ];
    assert_values(wbsd, "9426881300000314", &expected);
}

#[test]
fn unmarked_files_know_no_special_values() {
    let unmarked = String::from_utf8(J1939.to_vec()).unwrap();
    let unmarked = unmarked.replace("BA_ \"ProtocolType\" \"J1939\";\n", "");
    let database = Database::parse(unmarked.as_bytes()).unwrap();
    let ccvs = database.message("CCVS").unwrap();
    assert!(!ccvs.j1939);
    assert_values(ccvs, "F7FFFF07CCFFFFFF", &[("WheelSpeed", 65_535.0 / 256.0)]);
}

#[test]
fn text_that_is_no_dbc_is_refused_in_one_line() {
    for text in [&b"hello"[..], b"BO_ x", b"\xFF\xFE\x00", b"VERSION \"\"\nBO_ 1 M: 8 E\n SG_ ?"] {
        let told = Database::parse(text).unwrap_err();
        assert!(!told.is_empty() && !told.contains('\n'), "{told}");
    }
}
