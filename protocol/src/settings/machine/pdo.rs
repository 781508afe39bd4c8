//! Process data objects (PDO) of a `CANopen` machine: what stands in which frame.
//!
//! A PDO is one frame of up to 8 bytes into which a node packs objects of its dictionary,
//! the first one in the lowest bits. Source: `CiA` 301, mapping parameter (index 1600h, 1A00h:
//! an entry is index, sub-index and number of bits) and predefined connection set.

use crate::channel::Channel;
use crate::settings::{SettingsError, did_you_mean, error_at_entry};
use serde::Deserialize;
use serde::de::{Deserializer, Error};

/// One PDO.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PdoMap {
    /// Identifier of its frames, 11 bits.
    pub cob_id: Option<u16>,
    /// Node that sends it, 1 to 127.
    pub node: Option<u8>,
    /// Which of the node's transmit PDOs, from 1; 1 to 4 have identifiers by default.
    pub number: Option<u16>,
    /// EDS or DCF file (`CiA` 306) of the node, beside the machine file: it says what stands in
    /// the PDO, and `objects` only what of it is recorded.
    pub eds: Option<String>,
    /// What stands in it, in order, also what is not recorded.
    #[serde(default, rename = "object")]
    pub objects: Vec<PdoObject>,
}

/// One object of a PDO.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PdoObject {
    /// Index in the node's dictionary.
    pub index: u16,
    /// Sub-index.
    #[serde(default)]
    pub sub: u8,
    /// Number form and length; with `eds` the file knows it.
    #[serde(rename = "type")]
    pub kind: Option<PdoType>,
    /// Channel name; without it the object only takes its place.
    pub channel: Option<String>,
    /// SI value (r/min, percent, 0/1) = number x `factor` + `offset`.
    #[serde(default = "super::one")]
    pub factor: f64,
    /// See `factor`.
    #[serde(default)]
    pub offset: f64,
}

/// How the bits of an object are a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PdoType {
    /// Unsigned, two's complement, or IEEE 754.
    pub form: PdoForm,
    /// Length in bits, 1 to 64; of IEEE 754 32 or 64.
    pub bits: u8,
}

/// The number form of an object.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PdoForm {
    /// `u8`, `bool` and the like.
    Unsigned,
    /// `i16` and the like.
    Signed,
    /// `f32` or `f64`.
    Float,
}

impl PdoType {
    /// Reads `u16`, `i32`, `f32`, `bool`; any length from 1 to 64.
    pub fn parse(word: &str) -> Option<Self> {
        if word == "bool" {
            return Some(Self { form: PdoForm::Unsigned, bits: 1 });
        }
        let (letter, digits) = word.split_at_checked(1)?;
        let form = match letter {
            "u" => PdoForm::Unsigned,
            "i" => PdoForm::Signed,
            "f" => PdoForm::Float,
            _ => return None,
        };
        let plain = digits.bytes().all(|b| b.is_ascii_digit()) && !digits.starts_with('0');
        let bits = digits.parse().ok().filter(|_| plain)?;
        let fits = match form {
            PdoForm::Float => matches!(bits, 32 | 64),
            PdoForm::Unsigned | PdoForm::Signed => (1..=64).contains(&bits),
        };
        fits.then_some(Self { form, bits })
    }
}

impl<'de> Deserialize<'de> for PdoType {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        let word = String::deserialize(d)?;
        Self::parse(&word).ok_or_else(|| {
            D::Error::custom(format!(
                "`{word}` is no type: write bool, u1 to u64, i1 to i64, f32 or f64"
            ))
        })
    }
}

impl PdoMap {
    /// Most bits of a frame.
    pub const BITS_MAX: u32 = 64;

    /// The identifier of its frames: as given, or that of the predefined connection set.
    pub fn id(&self) -> Option<u16> {
        match (self.cob_id, self.node, self.number) {
            (Some(id), ..) => Some(id),
            (None, Some(node), Some(number @ 1..=4)) => {
                Some(0x080 + 0x100 * number + u16::from(node))
            }
            _ => None,
        }
    }

    /// What is wrong with it, with the key it concerns and, of `objects`, which one.
    fn faults(&self) -> Vec<(Option<usize>, &'static str, String)> {
        let mut wrong = Vec::new();
        let mut own = |key, message: &str| wrong.push((None, key, message.to_owned()));
        if self.cob_id.is_some_and(|id| !(1..=0x7FF).contains(&id)) {
            own("pdo.cob_id", "an identifier of a PDO is 0x001 to 0x7FF");
        }
        if self.node.is_some_and(|node| !(1..=127).contains(&node)) {
            own("pdo.node", "a node is 1 to 127");
        }
        if self.number.is_some_and(|number| !(1..=512).contains(&number)) {
            own("pdo.number", "a PDO is number 1 to 512");
        }
        if self.eds.is_some() && (self.node.is_none() || self.number.is_none()) {
            own("pdo.eds", "give `node` and `number` too: the file has the PDOs of any such node");
        } else if self.eds.is_none() && self.id().is_none() {
            own("pdo.cob_id", "give `cob_id`, or `node` and `number` from 1 to 4");
        }
        if self.objects.iter().all(|object| object.channel.is_none()) {
            own("pdo.object", "no [[pdo.object]] of it has a `channel`: nothing would be recorded");
        }
        let mut bits = 0;
        for (place, object) in self.objects.iter().enumerate() {
            let mut its = |key, message: String| wrong.push((Some(place), key, message));
            bits += object.kind.map_or(0, |kind| u32::from(kind.bits));
            if object.kind.is_none() && self.eds.is_none() {
                its("pdo.object.type", "give the `type`, such as u16, or an `eds` file".to_owned());
            }
            if let Some(channel) =
                object.channel.as_deref().filter(|c| Channel::by_name(c).is_none())
            {
                let names = Channel::names().collect::<Vec<_>>().join(", ");
                let meant = did_you_mean(channel, Channel::names());
                its(
                    "pdo.object.channel",
                    format!("no channel `{channel}`; there are {names}{meant}"),
                );
            }
            if !((object.factor as f32).is_finite() && object.factor != 0.0) {
                its("pdo.object.factor", "must be a number other than 0".to_owned());
            }
            if !(object.offset as f32).is_finite() {
                its("pdo.object.offset", "must be a number".to_owned());
            }
        }
        if bits > Self::BITS_MAX && self.eds.is_none() {
            let message = format!("its objects have {bits} bits, a PDO has 64 at most");
            wrong.push((None, "pdo.object", message));
        }
        wrong
    }

    /// What is wrong with the PDOs of a file, with its lines.
    pub(super) fn all_faults(pdos: &[Self], file: &str, text: &str) -> Vec<SettingsError> {
        let mut wrong = Vec::new();
        let mut objects_before = 0;
        for (entry, pdo) in pdos.iter().enumerate() {
            for (object, key, message) in pdo.faults() {
                let entry = object.map_or(entry, |object| objects_before + object);
                wrong.push(error_at_entry(file, text, key, entry, message));
            }
            objects_before += pdo.objects.len();
        }
        wrong
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[derive(Deserialize)]
    struct File {
        pdo: Vec<PdoMap>,
    }

    fn told(text: &str) -> Vec<String> {
        let file: File = crate::settings::parse("m.toml", text).unwrap();
        let faults = PdoMap::all_faults(&file.pdo, "m.toml", text);
        faults.iter().map(ToString::to_string).collect()
    }

    // Source: CiA 301, predefined connection set: TPDO 1 of node 1 is 181h, TPDO 4 of 127 4FFh.
    #[test]
    fn identifiers() {
        let file: File = crate::settings::parse(
            "m.toml",
            "[[pdo]]\nnode = 1\nnumber = 1\n[[pdo]]\nnode = 127\nnumber = 4\n\
             [[pdo]]\ncob_id = 0x3A0\n[[pdo]]\nnode = 1\nnumber = 5\n",
        )
        .unwrap();
        let ids: Vec<_> = file.pdo.iter().map(PdoMap::id).collect();
        assert_eq!(ids, [Some(0x181), Some(0x4FF), Some(0x3A0), None]);
    }

    #[test]
    fn faults_have_their_line() {
        let good = "[[pdo]]\nnode = 5\nnumber = 1\n[[pdo.object]]\nindex = 0x6041\ntype = \"u16\"\n\
                    [[pdo.object]]\nindex = 0x606C\ntype = \"i32\"\nchannel = \"speed\"\n";
        assert_eq!(told(good), [""; 0]);
        for (from, to, wanted) in [
            ("node = 5", "node = 128", "line 2, key `pdo.node`: a node is 1 to 127"),
            ("number = 1", "number = 9", "line 1, key `pdo.cob_id`: give `cob_id`, or"),
            ("type = \"u16\"", "", "line 4, key `pdo.object.type`: give the `type`"),
            ("i32", "u49", "line 1, key `pdo.object`: its objects have 65 bits"),
            ("\"speed\"", "\"sped\"", "line 10, key `pdo.object.channel`: no channel `sped`"),
            ("channel", "factor = 0\n#", "line 10, key `pdo.object.factor`: must be"),
        ] {
            let all = told(&good.replacen(from, to, 1));
            assert!(all.iter().any(|t| t.contains(wanted)), "{to}: {all:?}");
        }
        assert!(
            told("[[pdo]]\ncob_id = 2048\n[[pdo.object]]\nindex = 1\ntype = \"u8\"\n").len() == 2
        );
    }

    #[test]
    fn types() {
        let kind = |form, bits| Some(PdoType { form, bits });
        assert_eq!(PdoType::parse("bool"), kind(PdoForm::Unsigned, 1));
        assert_eq!(PdoType::parse("i24"), kind(PdoForm::Signed, 24));
        assert_eq!(PdoType::parse("f64"), kind(PdoForm::Float, 64));
        for wrong in ["", "u", "u0", "u65", "f16", "i+8", "u08", "x8", "\u{e9}8", "8"] {
            assert_eq!(PdoType::parse(wrong), None, "{wrong}");
        }
    }
}
