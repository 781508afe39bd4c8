//! EDS and DCF files: the dictionary of a `CANopen` node as sections of keys.
//!
//! ```text
//! [1800sub1]  ParameterValue or else DefaultValue: identifier, $NODEID+0x180; bit 31: not sent
//! [1A00sub0]  how many objects are mapped; [1A00sub1]..: index << 16 | sub-index << 8 | bits
//! [1A00Value] 1=..                       the same in the short form (CompactSubObj)
//! [6041], [6041sub0]  DataType: how an object is a number
//! ```
//!
//! A DCF file has `ParameterValue` too, what the node was set to; it goes before. Upper and
//! lower case are the same. Source: `CiA` 306; the reader of the `PyPI` package `canopen`.

use std::collections::HashMap;
use underbrush_protocol::settings::machine::{PdoForm, PdoMap, PdoType};

const NOT_SENT: u32 = 1 << 31;
/// All but bit 31 and bit 30, which asks for no answer: bit 29 of an extended identifier too.
const ID: u32 = 0x3FFF_FFFF;

/// The values of a file.
pub(super) struct Eds {
    /// By section and key, in lower case, with `.` between.
    values: HashMap<String, String>,
}

/// One object of a mapping.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Mapped {
    pub(super) index: u16,
    pub(super) sub: u8,
    pub(super) bits: u8,
}

impl Eds {
    pub(super) fn parse(text: &str) -> Self {
        let mut values = HashMap::new();
        let mut section = String::new();
        for line in text.lines() {
            let line = line.split(';').next().unwrap_or_default().trim();
            if let Some(name) = line.strip_prefix('[').and_then(|rest| rest.split(']').next()) {
                section = name.trim().to_ascii_lowercase();
            } else if let Some((key, value)) = line.split_once('=') {
                let key = format!("{section}.{}", key.trim().to_ascii_lowercase());
                values.insert(key, value.trim().to_owned());
            }
        }
        Self { values }
    }

    /// The objects of the transmit PDO of that number, from 1.
    pub(super) fn mapping(&self, number: u16) -> Result<Vec<Mapped>, String> {
        let index = 0x1A00 + u32::from(number.saturating_sub(1));
        let count = self
            .number(index, 0, 0)
            .ok_or_else(|| format!("it has no mapping of PDO {number} ([{index:04X}sub0])"))?;
        if !(1..=64).contains(&count) {
            return Err(format!(
                "PDO {number} maps {count} objects ([{index:04X}sub0]), not 1 to 64: write the objects into the machine file"
            ));
        }
        let mut mapping = Vec::new();
        let mut bits = 0;
        for sub in 1..=count {
            let entry = self.number(index, sub, 0).ok_or_else(|| {
                format!("the mapping of PDO {number} has no [{index:04X}sub{sub:X}]")
            })?;
            let [len, sub, low, high] = entry.to_le_bytes();
            mapping.push(Mapped { index: u16::from_le_bytes([low, high]), sub, bits: len });
            bits += u32::from(len);
            if len == 0 || bits > PdoMap::BITS_MAX {
                return Err(format!("PDO {number} has {bits} bits or more, not 1 to 64"));
            }
        }
        Ok(mapping)
    }

    /// The identifier of the transmit PDO of that number.
    pub(super) fn cob_id(&self, number: u16, node: u8) -> Result<u16, String> {
        let index = 0x1800 + u32::from(number.saturating_sub(1));
        let id = self.number(index, 1, node).ok_or_else(|| {
            format!("it has no identifier of PDO {number} ([{index:04X}sub1]): give `cob_id`")
        })?;
        if id & NOT_SENT != 0 {
            return Err(format!(
                "PDO {number} is off in it ([{index:04X}sub1]): if the machine has it on, give `cob_id`"
            ));
        }
        match u16::try_from(id & ID) {
            Ok(id @ 1..=0x7FF) => Ok(id),
            _ => Err(format!("the identifier of PDO {number} has not 11 bits")),
        }
    }

    /// How an object is a number, of as many bits as the mapping says. Source: `CiA` 301,
    /// table of data types. What is none of them counts as unsigned.
    pub(super) fn kind(&self, entry: Mapped) -> PdoType {
        let index = u32::from(entry.index);
        let code = self.value(index, u32::from(entry.sub), "datatype");
        let code = code.and_then(|text| integer(text, 0)).unwrap_or(0);
        let form = match (code, entry.bits) {
            (2..=4 | 0x10 | 0x12..=0x15, _) => PdoForm::Signed,
            (8, 32) | (0x11, 64) => PdoForm::Float,
            _ => PdoForm::Unsigned,
        };
        PdoType { form, bits: entry.bits }
    }

    fn number(&self, index: u32, sub: u32, node: u8) -> Option<u32> {
        let given = self
            .value(index, sub, "parametervalue")
            .filter(|text| !text.is_empty())
            .or_else(|| self.value(index, sub, "defaultvalue").filter(|text| !text.is_empty()))
            .or_else(|| self.values.get(&format!("{index:04x}value.{sub}")).map(String::as_str))?;
        integer(given, node)
    }

    fn value(&self, index: u32, sub: u32, key: &str) -> Option<&str> {
        let of_sub = self.values.get(&format!("{index:04x}sub{sub:x}.{key}"));
        let of_object = || self.values.get(&format!("{index:04x}.{key}")).filter(|_| sub == 0);
        of_sub.or_else(of_object).map(String::as_str)
    }
}

/// `0x181`, `385`, `$NODEID+0x180`.
fn integer(text: &str, node: u8) -> Option<u32> {
    let mut sum = 0_u32;
    for part in text.split('+') {
        let part = part.trim();
        let value = if part.eq_ignore_ascii_case("$NODEID") {
            u32::from(node)
        } else if let Some(digits) = part.strip_prefix("0x").or_else(|| part.strip_prefix("0X")) {
            u32::from_str_radix(digits, 16).ok()?
        } else {
            part.parse().ok()?
        };
        sum = sum.checked_add(value)?;
    }
    Some(sum)
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "[FileInfo]\nFileName=x ; a comment\n[1800sub1]\nDefaultValue=$NODEID+0x180\n\
        [1801SUB1]\nDefaultValue=0x80000281\n[1802sub1]\nDefaultValue=0x20000281\n\
        [1A00sub0]\nDefaultValue=2\n[1A00sub1]\nDefaultValue=0x60410010\n\
        [1a00sub2]\nDefaultValue=0x60410010\nParameterValue=0x606C0020\n\
        [1A01]\nCompactSubObj=1\n[1A01Value]\n0=1\n1=0x20000108\n\
        [1A02sub0]\nDefaultValue=0\n[1A03sub0]\nDefaultValue=3\n[1A03sub1]\nDefaultValue=0x60410040\n\
        [1A03sub2]\nDefaultValue=0x60410001\n[1A04sub0]\nDefaultValue=9999999999\n\
        [6041]\nDataType=0x0006\n[606C]\nDataType=0x0004 ; signed\n[2000sub1]\nDataType=2\n\
        [2001]\nDataType=8\n[2002]\nDataType=0x11\n[2003]\nDataType=0x10\n";

    #[test]
    fn mappings_identifiers_and_types() {
        let eds = Eds::parse(TEXT);
        let mapping = eds.mapping(1).unwrap();
        let entry = |index, sub, bits| Mapped { index, sub, bits };
        assert_eq!(mapping, [entry(0x6041, 0, 16), entry(0x606C, 0, 32)]);
        assert_eq!(eds.mapping(2).unwrap(), [entry(0x2000, 1, 8)]);
        assert_eq!((eds.cob_id(1, 5), eds.kind(mapping[0]).form), (Ok(0x185), PdoForm::Unsigned));
        assert_eq!(eds.kind(mapping[1]), PdoType { form: PdoForm::Signed, bits: 32 });
        assert_eq!(eds.kind(entry(0x2000, 1, 8)).form, PdoForm::Signed);
        // REAL32 and REAL64, only as long as they are; INTEGER24.
        let form = |index, bits| eds.kind(entry(index, 0, bits)).form;
        assert_eq!([form(0x2001, 32), form(0x2002, 64)], [PdoForm::Float; 2]);
        assert_eq!([form(0x2001, 16), form(0x2002, 32)], [PdoForm::Unsigned; 2]);
        assert_eq!(form(0x2003, 24), PdoForm::Signed);
        for (number, why) in [(3, "maps 0"), (4, "65 bits"), (5, "no mapping"), (6, "no mapping")] {
            let told = eds.mapping(number).unwrap_err();
            assert!(told.contains(why), "{number}: {told}");
        }
        assert!(eds.cob_id(2, 5).unwrap_err().contains("off"));
        assert!(eds.cob_id(3, 5).unwrap_err().contains("11 bits"));
        assert!(eds.cob_id(4, 5).unwrap_err().contains("no identifier"));
    }
}
