//! Process data objects of `CANopen` nodes: packed by another library, and end to end.

mod common;

use common::{Scene, read_log};
use underbrush_agent::decode::canopen::pdo_message;
use underbrush_agent::decode::dbc::Value;
use underbrush_agent::{Config, run_blocking};
use underbrush_protocol::channel::Channel;
use underbrush_protocol::settings::machine::{PdoMap, PdoObject, PdoType};

/// Types in their order, the bytes that canopen 2.4.1 (`PyPI`) packs, and what it packed:
/// `tests/reference/canopen_pdo.py --freeze`.
const PACKED: &[(&str, &str, &str)] = &[
    ("i16 u16 u5 bool u1 u1", "0bf9ffff7f", "-1781.0 65535.0 31.0 1.0 1.0 0.0"),
    ("u6 bool u1 u40 u16", "85000000000024f3", "5.0 0.0 1.0 0.0 62244.0"),
    ("i48 i8 u8", "ffffffffff7f7fff", "140737488355327.0 127.0 255.0"),
    ("u64", "0000000000000000", "0.0"),
    ("u16", "fc8a", "35580.0"),
    (
        "u1 u4 u3 u5 u1 u1 bool i8 i40",
        "7e6056ffffffff7f",
        "0.0 15.0 3.0 0.0 1.0 1.0 0.0 86.0 549755813887.0",
    ),
    ("u5 u3", "a0", "0.0 5.0"),
    ("u4 u3 bool", "3a", "10.0 3.0 0.0"),
    ("u6 u2 u3 bool u4 u40 i8", "160affffffffff7a", "22.0 0.0 2.0 1.0 0.0 1099511627775.0 122.0"),
    ("u32 i24 u8", "ffffffff00008000", "4294967295.0 -8388608.0 0.0"),
    ("u5 bool u2 i40 i16", "b20000000080399b", "18.0 1.0 2.0 -549755813888.0 -25799.0"),
    ("u4 u3 u1 i16", "8aff7f", "10.0 0.0 1.0 32767.0"),
    ("u8 u2 u5 u1 u8 i40", "367fffffffffff7f", "54.0 3.0 31.0 0.0 255.0 549755813887.0"),
    ("u24", "ffffff", "16777215.0"),
    (
        "i32 u5 bool u2 i8 u8 u3 u4 u1",
        "ffffff7f047f00f8",
        "2147483647.0 4.0 0.0 0.0 127.0 0.0 0.0 15.0 1.0",
    ),
    ("i56 i8", "46fb309baf75ff7f", "-152077893305530.0 127.0"),
    ("i40 u24", "f62c9f59b8000000", "-307734041354.0 0.0"),
    ("i8 u1 u4 u3 i48", "80feffffffffff7f", "-128.0 0.0 15.0 7.0 140737488355327.0"),
    ("f32", "810c4b49", "831688.0625"),
    ("i64", "ce627fe116a59f4c", "5.521313185870603e+18"),
    (
        "u2 u6 u4 u3 u1 bool bool u1 u5 i32 i8",
        "8708056dd966f27f",
        "3.0 33.0 8.0 0.0 0.0 1.0 0.0 1.0 0.0 -228140691.0 127.0",
    ),
    ("u4 u4 u2 u5 u1 u2 u6 i40", "0484efffffffff7f", "4.0 0.0 0.0 1.0 1.0 3.0 59.0 549755813887.0"),
    ("i64", "ffffffffffffff7f", "9.223372036854776e+18"),
    ("u3 u2 bool bool bool", "88", "0.0 1.0 0.0 0.0 1.0"),
];

fn objects(types: &str) -> Vec<PdoObject> {
    let object = |(place, word): (usize, &str)| PdoObject {
        index: 0x2000 + place as u16,
        sub: 0,
        kind: Some(PdoType::parse(word).unwrap()),
        channel: None,
        factor: 1.0,
        offset: 0.0,
    };
    types.split(' ').enumerate().map(object).collect()
}

fn values(types: &str, data: &[u8]) -> Vec<Value> {
    let pdo = PdoMap {
        cob_id: Some(0x185),
        node: None,
        number: None,
        eds: None,
        objects: objects(types),
    };
    let message = pdo_message(&pdo).unwrap();
    (0..message.signals.len()).map(|place| message.value(place, data)).collect()
}

#[test]
fn equal_to_another_library() {
    for (types, hex, wanted) in PACKED {
        let byte = |at: usize| u8::from_str_radix(&hex[at..at + 2], 16).unwrap();
        let data: Vec<u8> = (0..hex.len()).step_by(2).map(byte).collect();
        let wanted = wanted.split(' ').map(|value| Value::Is(value.parse().unwrap()));
        let wanted: Vec<Value> = wanted.collect();
        assert_eq!(values(types, &data), wanted, "{types} of {hex}");
        let last = data.len() - 1;
        assert_eq!(values(types, &data[..last]).last(), Some(&Value::TooShort), "{types}");
    }
    // Over the end of a byte, which the library does not pack; CiA 301: lowest bits first.
    assert_eq!(values("u4 i12", &[0xE3, 0xFF]), [Value::Is(3.0), Value::Is(-2.0)]);
    // More bytes than are mapped are left alone.
    assert_eq!(values("u8", &[7, 9, 9]), [Value::Is(7.0)]);
}

const EDS: &str = "[1801sub1]\nDefaultValue=$NODEID+0x280\n[1A01sub0]\nDefaultValue=2\n\
    [1A01sub1]\nDefaultValue=0x20000010\n[1A01sub2]\nDefaultValue=0x20010110\n\
    [2000]\nDataType=0x0006\n[2001sub1]\nDataType=0x0003\n";

const PDOS: &str = "\n[[pdo]]\nnode = 5\nnumber = 1\n[[pdo.object]]\nindex = 0x6041\n\
    type = \"u16\"\n[[pdo.object]]\nindex = 0x606C\ntype = \"i32\"\nchannel = \"speed\"\n\
    factor = 0.001\n[[pdo]]\nnode = 5\nnumber = 2\neds = \"drive.eds\"\n\
    [[pdo.object]]\nindex = 0x2001\nsub = 1\nchannel = \"brush_current_1\"\nfactor = 0.1\n";

fn scene(pdos: &str) -> (Scene, std::path::PathBuf) {
    let scene = Scene::new();
    let machine = include_str!("data/machine.toml").split("[[signal]]").next().unwrap();
    scene.write("machine.toml", format!("{machine}{pdos}").as_bytes());
    scene.write("drive.eds", EDS.as_bytes());
    scene.write(
        "bus.log",
        b"(0.0) can0 185#3702E8030000\n(0.1) can0 285#0000FFFF\n(0.2) can0 185#370218FCFFFF\n\
          (0.3) can0 285#0102E703\n(0.4) can0 285#01\n(0.5) can0 705#05\n",
    );
    let config = scene.config("kind = \"can-capture\"\nfile = \"bus.log\"\n");
    (scene, config)
}

#[test]
fn a_recording_by_machine_file_and_eds_file() {
    let (scene, config) = scene(PDOS);
    let outcome = run_blocking(&Config::read(&config).unwrap(), |_| {}).unwrap();
    let current = Channel::brush_current(0).unwrap();
    let mut wanted = vec![
        (0, Channel::SPEED, 1_000),
        (100, current, -1),
        (200, Channel::SPEED, -1_000),
        (300, current, 999),
    ];
    wanted.sort_unstable();
    assert_eq!(read_log(&scene.log_dir()).readings, wanted);
    assert_eq!((outcome.can.too_short, outcome.can.not_mapped), (1, 1));
}

#[test]
fn what_does_not_fit_is_told_with_its_line() {
    let lines = include_str!("data/machine.toml").split("[[signal]]").next().unwrap();
    let first = lines.lines().count();
    for (from, to, line, wanted) in [
        (
            "index = 0x2001",
            "index = 0x2002",
            15,
            "PDO 2 has no object 2002:01; it has 2000:00, 2001:01",
        ),
        ("number = 2", "number = 3", 15, "no mapping of PDO 3"),
        (
            "number = 2",
            "cob_id = 0x185\nnumber = 2",
            14,
            "frames of PDO 185 are also those of PDO 185",
        ),
        ("sub = 1", "type = \"i32\"\nsub = 1", 15, "object 2001:01 of PDO 2 has 16 bits"),
    ] {
        let (_scene, config) = scene(&PDOS.replacen(from, to, 1));
        let run = Config::read(&config).and_then(|config| run_blocking(&config, |_| {}));
        let told = run.unwrap_err().to_string();
        let place = format!("line {}", first + line + 1);
        assert!(told.contains(wanted) && told.contains(&place), "{told}\n{place} {wanted}");
    }
    let (scene, config) = scene(PDOS);
    std::fs::remove_file(scene.path("drive.eds")).unwrap();
    assert!(Config::read(&config).unwrap_err().to_string().contains("drive.eds"));
}
