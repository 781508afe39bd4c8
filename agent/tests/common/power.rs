//! What a power cut leaves on the disk.
//!
//! Certain is what was synced. Of the rest anything may be there: nothing, all, the first
//! part, or any sectors in any order; a sector may be torn; a file may have its new
//! length but not its new bytes, and then shows zeros or what stood in the blocks before.

use super::dice::Dice;
use super::disk::{Disk, File, State, place};
use std::sync::{Arc, Mutex};

const SECTOR: usize = 512;

/// How much of what was not synced is kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kept {
    Nothing,
    All,
    /// The first so many bytes of each file, and changes of names in their order.
    Bytes(usize),
    /// The first writes and changes, the last of them in part.
    First,
    /// Any sectors and changes.
    Any,
    /// Any sectors, some of them torn.
    Torn,
}

impl Disk {
    /// The most that one file has of bytes without a sync.
    pub(crate) fn unsynced_bytes(&self) -> usize {
        let unsynced = |file: &File| file.waiting.iter().map(|(_, new)| new.len()).sum();
        self.state().files.iter().map(unsynced).max().unwrap_or(0)
    }

    /// The disk as the next start finds it.
    pub(crate) fn after_power_cut(&self, kept: Kept, dice: &mut Dice) -> Self {
        let old = self.state();
        let mut names = old.safe_names.clone();
        let limit = dice.below(old.waiting.len() + 1);
        for (number, change) in old.waiting.iter().enumerate() {
            let stays = match kept {
                Kept::Nothing => false,
                Kept::All | Kept::Bytes(_) => true,
                Kept::First => number < limit,
                Kept::Any | Kept::Torn => dice.coin(),
            };
            if stays {
                change.apply(&mut names);
            }
        }
        let files = old.files.iter().map(|file| file.after_power_cut(kept, dice)).collect();
        let state = State { safe_names: names.clone(), names, files, ..State::default() };
        Self(Arc::new(Mutex::new(state)))
    }
}

impl File {
    fn after_power_cut(&self, kept: Kept, dice: &mut Dice) -> Self {
        let mut bytes = self.safe.clone();
        let whole = self.waiting.iter().map(|(offset, new)| offset + new.len()).max();
        let unsynced: usize = self.waiting.iter().map(|(_, new)| new.len()).sum();
        let mut left = match kept {
            Kept::Nothing => 0,
            Kept::All | Kept::Any | Kept::Torn => unsynced,
            Kept::Bytes(count) => count,
            Kept::First => dice.below(unsynced + 1),
        };
        for (offset, new) in &self.waiting {
            if matches!(kept, Kept::Any | Kept::Torn) {
                place_some(&mut bytes, *offset, new, kept == Kept::Torn, dice);
            } else {
                let part = left.min(new.len());
                place(&mut bytes, *offset, &new[..part]);
                left -= part;
                if left == 0 {
                    break;
                }
            }
        }
        // The length is kept apart from the bytes.
        if let Some(whole) = whole.filter(|whole| *whole > bytes.len())
            && matches!(kept, Kept::Any | Kept::Torn)
            && dice.coin()
        {
            let stale = dice.coin();
            while bytes.len() < whole {
                bytes.push(if stale { dice.next() as u8 } else { 0 });
            }
        }
        Self { safe: bytes.clone(), bytes, waiting: Vec::new() }
    }
}

/// Writes those sectors of `new` that chance keeps.
fn place_some(bytes: &mut Vec<u8>, offset: usize, new: &[u8], torn: bool, dice: &mut Dice) {
    let mut at = offset;
    let end = offset + new.len();
    while at < end {
        let sector_end = ((at / SECTOR + 1) * SECTOR).min(end);
        if dice.coin() {
            let upto = if torn && dice.below(3) == 0 {
                at + dice.below(sector_end - at)
            } else {
                sector_end
            };
            place(bytes, at, &new[at - offset..upto - offset]);
        }
        at = sector_end;
    }
}
