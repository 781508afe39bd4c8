//! Process data objects (PDO) of `CANopen` nodes as messages.
//!
//! Which objects stand in a PDO is said by the machine file, or by the node's EDS or DCF
//! file. The first object takes the lowest bits of the frame, each next one those above it;
//! numbers are little-endian. A frame may have more bytes than are mapped, not fewer.
//! Source: `CiA` 301 (mapping parameter, transfer syntax).

mod eds;

use super::bits::{Field, Form, Order};
use super::can::CanId;
use super::dbc::{Message, Presence, Signal};
use crate::error::AgentError;
use eds::Eds;
use std::path::Path;
use underbrush_protocol::settings::machine::{Machine, PdoForm, PdoMap, PdoObject, PdoType};
use underbrush_protocol::settings::{SettingsError, error_at_entry};

/// An EDS file of a large drive has some 500 KB.
const EDS_MAX: u64 = 8 << 20;

/// Puts what the EDS files say into the PDOs that name one. `file` and `text` are those of
/// the machine file, beside which they are looked for.
pub fn read_eds_files(machine: &mut Machine, file: &Path, text: &str) -> Result<(), AgentError> {
    for (entry, pdo) in machine.pdos.iter_mut().enumerate() {
        let Some(name) = &pdo.eds else { continue };
        let path = file.parent().unwrap_or(Path::new("")).join(name);
        let unreadable = |source| AgentError::Read { path: path.clone(), source };
        if std::fs::metadata(&path).map_err(unreadable)?.len() > EDS_MAX {
            let source = std::io::Error::other("it is longer than any EDS file");
            return Err(AgentError::Read { path, source });
        }
        let bytes = std::fs::read(&path).map_err(unreadable)?;
        let eds = Eds::parse(&String::from_utf8_lossy(&bytes));
        *pdo = with_eds(pdo, &eds).map_err(|message| {
            let message = format!("{}: {message}", path.display());
            error_at_entry(&file.display().to_string(), text, "pdo.eds", entry, message)
        })?;
    }
    Ok(())
}

/// The same PDO with all its objects, in their order.
fn with_eds(pdo: &PdoMap, eds: &Eds) -> Result<PdoMap, String> {
    let (node, number) = (pdo.node.unwrap_or(0), pdo.number.unwrap_or(0));
    let mapping = eds.mapping(number)?;
    let mut objects: Vec<PdoObject> = mapping
        .iter()
        .map(|entry| PdoObject {
            index: entry.index,
            sub: entry.sub,
            kind: Some(eds.kind(*entry)),
            channel: None,
            factor: 1.0,
            offset: 0.0,
        })
        .collect();
    for wanted in &pdo.objects {
        let name = object_name(wanted);
        let found = objects.iter_mut().find(|o| (o.index, o.sub) == (wanted.index, wanted.sub));
        let Some(found) = found else {
            let has: Vec<String> =
                mapping.iter().map(|e| format!("{:04X}:{:02X}", e.index, e.sub)).collect();
            let has = has.join(", ");
            return Err(format!("PDO {number} has no object {name}; it has {has}"));
        };
        let kind = found.kind.zip(wanted.kind);
        if let Some((theirs, _)) = kind.filter(|(theirs, ours)| theirs.bits != ours.bits) {
            return Err(format!("object {name} of PDO {number} has {} bits", theirs.bits));
        }
        *found = PdoObject { kind: wanted.kind.or(found.kind), ..wanted.clone() };
    }
    let cob_id = match pdo.cob_id {
        Some(id) => id,
        None => eds.cob_id(number, node)?,
    };
    Ok(PdoMap { cob_id: Some(cob_id), eds: None, objects, ..pdo.clone() })
}

/// A PDO as a message whose signals are its objects, by names such as `606C:00`. An error
/// says what keeps it from being one.
pub fn pdo_message(pdo: &PdoMap) -> Result<Message, String> {
    message(pdo).map(|pdo| pdo.message)
}

/// A PDO as a message.
pub(super) struct PdoMessage<'a> {
    pub(super) message: Message,
    /// Places of signals, and the objects whose channels they feed.
    pub(super) feeds: Vec<(usize, &'a PdoObject)>,
}

pub(super) fn message(pdo: &PdoMap) -> Result<PdoMessage<'_>, String> {
    let id = pdo.id().ok_or("it has no `cob_id`")?;
    let (mut signals, mut feeds, mut start) = (Vec::new(), Vec::new(), 0_u32);
    for object in &pdo.objects {
        let kind = object.kind.ok_or_else(|| format!("{} has no type", object_name(object)))?;
        let form = match kind {
            PdoType { form: PdoForm::Unsigned, .. } => Form::Unsigned,
            PdoType { form: PdoForm::Signed, .. } => Form::Signed,
            PdoType { form: PdoForm::Float, bits: 32 } => Form::Float32,
            PdoType { form: PdoForm::Float, .. } => Form::Float64,
        };
        if object.channel.is_some() {
            feeds.push((signals.len(), object));
        }
        let field = Field { start: start as u16, len: kind.bits, order: Order::Little, form };
        start += u32::from(kind.bits);
        if start > PdoMap::BITS_MAX {
            return Err(format!("its objects have {start} bits or more, a PDO has 64 at most"));
        }
        signals.push(Signal {
            name: object_name(object),
            factor: 1.0,
            offset: 0.0,
            unit: String::new(),
            range: None,
            field: Some(field),
            presence: Presence::Always,
        });
    }
    let name = format!("PDO {id:03X}");
    let size = start.div_ceil(8);
    let message = Message { id: CanId::Standard(id), name, j1939: false, size, signals };
    Ok(PdoMessage { message, feeds })
}

fn object_name(object: &PdoObject) -> String {
    format!("{:04X}:{:02X}", object.index, object.sub)
}

/// Adds its place in the machine file to what is wrong with a PDO.
pub(super) fn error(file: &str, text: &str, entry: usize, message: String) -> SettingsError {
    error_at_entry(file, text, "pdo.cob_id", entry, message)
}
