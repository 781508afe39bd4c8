//! The body encoding against the published postcard wire format.
//!
//! Sources: `spec/src/wire-format.md` and `source/postcard/tests/loopback.rs` of
//! the postcard repository (jamesmunns/postcard, commit bee7f0f); PC-06 computed
//! by an independent encoder in Python.

use serde::ser::{SerializeMap, Serializer};
use serde::{Deserialize, Serialize};
use std::fmt::Debug;

fn bytes<T: Serialize>(value: &T) -> Vec<u8> {
    let mut buffer = [0; 64];
    postcard::to_slice(value, &mut buffer).expect("64 bytes are enough").to_vec()
}

fn both_ways<T>(value: &T, expected: &[u8])
where
    T: Serialize + for<'a> Deserialize<'a> + PartialEq + Debug,
{
    assert_eq!(bytes(value), expected, "{value:?}");
    assert_eq!(postcard::from_bytes::<T>(expected).as_ref(), Ok(value));
}

// PC-01, from the page's table of u16.
#[test]
fn varint() {
    both_ways(&0_u16, &[0x00]);
    both_ways(&127_u16, &[0x7F]);
    both_ways(&128_u16, &[0x80, 0x01]);
    both_ways(&16_383_u16, &[0xFF, 0x7F]);
    both_ways(&16_384_u16, &[0x80, 0x80, 0x01]);
    both_ways(&16_385_u16, &[0x81, 0x80, 0x01]);
    both_ways(&65_535_u16, &[0xFF, 0xFF, 0x03]);
}

// PC-02, from the page's table of i16.
#[test]
fn zigzag() {
    both_ways(&0_i16, &[0x00]);
    both_ways(&-1_i16, &[0x01]);
    both_ways(&1_i16, &[0x02]);
    both_ways(&63_i16, &[0x7E]);
    both_ways(&-64_i16, &[0x7F]);
    both_ways(&64_i16, &[0x80, 0x01]);
    both_ways(&-65_i16, &[0x81, 0x01]);
    both_ways(&32_767_i16, &[0xFE, 0xFF, 0x03]);
    both_ways(&-32_768_i16, &[0xFF, 0xFF, 0x03]);
}

// PC-03, PC-04, from the page's examples.
#[test]
fn floats_are_little_endian() {
    both_ways(&(-32.005_859_375_f64 as f32), &[0x00, 0x06, 0x00, 0xC2]);
    both_ways(&-32.005_859_375_f64, &[0x00, 0x00, 0x00, 0x00, 0xC0, 0x00, 0x40, 0xC0]);
}

// PC-05: ceil(8 x size / 7) bytes at most.
#[test]
fn longest_varints() {
    assert_eq!(bytes(&u16::MAX).len(), 3);
    assert_eq!(bytes(&u32::MAX).len(), 5);
    assert_eq!(bytes(&u64::MAX).len(), 10);
    assert_eq!(bytes(&u128::MAX).len(), 19);
}

#[derive(Debug, PartialEq, Serialize, Deserialize)]
enum Choice {
    A,
    B(u8),
    C { a: u8, b: i32 },
}

#[derive(Debug, PartialEq, Serialize, Deserialize)]
struct Mixed<'a> {
    wide: u32,
    narrow: u16,
    signed: i16,
    maybe: Option<u8>,
    text: &'a str,
    choice: Choice,
}

// PC-06.
#[test]
fn a_struct_of_everything() {
    let value = Mixed {
        wide: 1_000_000,
        narrow: 1200,
        signed: -350,
        maybe: Some(5),
        text: "S1",
        choice: Choice::C { a: 2, b: -70_000 },
    };
    let expected = [
        0xC0, 0x84, 0x3D, 0xB0, 0x09, 0xBB, 0x05, 0x01, 0x05, 0x02, 0x53, 0x31, 0x02, 0x02, 0xDF,
        0xC5, 0x08,
    ];
    assert_eq!(bytes(&value), expected);
    assert_eq!(postcard::from_bytes::<Mixed<'_>>(&expected), Ok(value));
    both_ways(&Choice::A, &[0]);
    both_ways(&Choice::B(7), &[1, 7]);
}

// PC-07.
#[test]
fn single_bytes_and_largest_numbers() {
    both_ways(&255_u8, &[0xFF]);
    both_ways(&-1_i8, &[0xFF]);
    both_ways(&u32::MAX, &[0xFF, 0xFF, 0xFF, 0xFF, 0x0F]);
    both_ways(&u64::MAX, &[0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0x01]);
    both_ways(&i32::MIN, &[0xFF, 0xFF, 0xFF, 0xFF, 0x0F]);
}

// PC-08.
#[test]
fn options() {
    both_ways(&None::<u8>, &[0x00]);
    both_ways(&Some(0_u8), &[0x01, 0x00]);
    both_ways(&Some(300_u16), &[0x01, 0xAC, 0x02]);
}

#[derive(Debug, PartialEq, Serialize, Deserialize)]
enum Bare {
    First,
    Second,
}

#[derive(Debug, PartialEq, Serialize, Deserialize)]
struct Pair {
    eight: u8,
    sixteen: u16,
}

#[derive(Debug, PartialEq, Serialize, Deserialize)]
enum Data {
    Number(u16),
    Wide(u64),
    Other(u8),
    Inside(Pair),
    Named { a: u8, b: u32 },
    Tuple(u16, u8),
}

// PC-09: names and numbers as in `loopback.rs`, the types named by what they hold.
#[test]
fn enums() {
    both_ways(&Bare::First, &[0x00]);
    both_ways(&Bare::Second, &[0x01]);
    both_ways(&Data::Number(u16::MAX), &[0x00, 0xFF, 0xFF, 0x03]);
    let inside = Data::Inside(Pair { eight: 0xF0, sixteen: 0xACAC });
    both_ways(&inside, &[0x03, 0xF0, 0xAC, 0xD9, 0x02]);
    let named = Data::Named { a: 0x0F, b: 0xC7C7_C7C7 };
    both_ways(&named, &[0x04, 0x0F, 0xC7, 0x8F, 0x9F, 0xBE, 0x0C]);
    both_ways(&Data::Tuple(0x6969, 0x07), &[0x05, 0xE9, 0xD2, 0x01, 0x07]);
    both_ways(&Data::Wide(1), &[0x01, 0x01]);
    both_ways(&Data::Other(9), &[0x02, 0x09]);
}

struct Map([(u8, u8); 4]);

impl Serialize for Map {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let mut map = to.serialize_map(Some(self.0.len()))?;
        for (key, value) in &self.0 {
            map.serialize_entry(key, value)?;
        }
        map.end()
    }
}

// PC-10.
#[test]
fn texts_and_rows() {
    let text = [0x06, 0x68, 0x65, 0x6C, 0x4C, 0x4F, 0x21];
    assert_eq!(bytes(&"helLO!"), text);
    assert_eq!(postcard::from_bytes::<&str>(&text), Ok("helLO!"));
    both_ways(&'z', &[0x01, 0x7A]);
    let row = heapless::Vec::<u8, 8>::from_slice(&[1, 2, 3, 4]).expect("four fit into eight");
    both_ways(&row, &[0x04, 0x01, 0x02, 0x03, 0x04]);
    both_ways(&[1_u8, 2, 3], &[0x01, 0x02, 0x03]);
    both_ways(&(0x12_u8, 0xC7A5_u16), &[0x12, 0xA5, 0x8F, 0x03]);
    let map = Map([(1, 5), (2, 6), (3, 7), (4, 8)]);
    assert_eq!(bytes(&map), [0x04, 0x01, 0x05, 0x02, 0x06, 0x03, 0x07, 0x04, 0x08]);
}

#[derive(Debug, PartialEq, Serialize, Deserialize)]
struct Basic {
    st: u16,
    ei: u8,
    sf: u64,
    tt: u32,
}

// PC-11.
#[test]
fn a_struct_is_its_fields() {
    let value = Basic { st: 0xABCD, ei: 0xFE, sf: 0x1234_4321_ABCD_DCBA, tt: 0xACAC_ACAC };
    let expected = [
        0xCD, 0xD7, 0x02, 0xFE, 0xBA, 0xB9, 0xB7, 0xDE, 0x9A, 0xE4, 0x90, 0x9A, 0x12, 0xAC, 0xD9,
        0xB2, 0xE5, 0x0A,
    ];
    both_ways(&value, &expected);
}

// PC-12, from the page's section on canonical form.
#[test]
fn padded_varints() {
    let read = postcard::from_bytes::<u16>;
    for padded in [&[0x00][..], &[0x80, 0x00], &[0x80, 0x80, 0x00]] {
        assert_eq!(read(padded), Ok(0), "{padded:02x?}");
    }
    let too_long: [&[u8]; 3] =
        [&[0x80, 0x80, 0x80, 0x00], &[0xFF, 0xFF, 0x07], &[0xFF, 0xFF, 0x83, 0x00]];
    for refused in too_long {
        assert!(read(refused).is_err(), "{refused:02x?}");
    }
    assert_eq!(postcard::from_bytes::<bool>(&[1]), Ok(true));
    assert!(postcard::from_bytes::<bool>(&[2]).is_err());
}
