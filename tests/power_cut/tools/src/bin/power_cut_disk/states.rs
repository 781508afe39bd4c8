//! From one recording to the many disks that a power cut could have left.

use crate::Outcome;
use crate::recording::{Acknowledged, Event, Kind, read};
use oorandom::Rand32;
use std::fmt::Write;
use std::fs::File;
use std::os::unix::fs::FileExt;
use std::path::Path;

/// A disk writes no less than this at once.
const SECTOR: usize = 512;
/// Images are written in such pieces; those of zeros are left out.
const PIECE: usize = 4096;

/// What of the writes in the cache is on the disk.
#[derive(Clone, Copy, Debug)]
enum Kept {
    None,
    All,
    /// The first ones.
    Prefix,
    /// Any, in any order.
    Subset,
    /// Any, in any order, some of them torn.
    Torn,
}

impl Kept {
    const ALL: [Self; 5] = [Self::None, Self::All, Self::Prefix, Self::Subset, Self::Torn];
}

/// Makes `count` images from cuts at random events after the first sync.
pub(crate) fn write(
    image: &Path,
    recording: &Path,
    folder: &Path,
    [count, seed, batch]: [&str; 3],
) -> Outcome<()> {
    let (count, batch): (usize, usize) = (count.parse()?, batch.parse()?);
    let mut random = Rand32::new(seed.parse()?);
    let mut events = read(recording)?;
    let safe = std::fs::read(image)?;
    let first = events
        .iter()
        .position(|e| e.kind == Kind::Console && Acknowledged::default().line(&e.bytes))
        .ok_or("nothing was synced in this recording")?;
    let last = events.len() as u32;
    let mut cuts: Vec<usize> =
        (0..count).map(|_| random.rand_range(first as u32 + 1..last) as usize).collect();
    cuts.sort_unstable();
    events.truncate(cuts.last().map_or(0, |cut| cut + 1));

    std::fs::create_dir_all(folder)?;
    let mut disk = Disk { safe, cached: Vec::new(), acknowledged: Acknowledged::default() };
    let mut list = String::new();
    let mut cuts = cuts.into_iter().enumerate().peekable();
    let mut file = None;
    for (place, event) in events.iter().enumerate() {
        // The power goes just before this event.
        while let Some((number, _)) = cuts.next_if(|(_, cut)| *cut == place) {
            let name = format!("batch-{:03}.img", number / batch);
            let at = number % batch;
            if at == 0 {
                let rest = batch.min(count - number);
                let whole = File::create(folder.join(&name))?;
                whole.set_len((rest * disk.safe.len()) as u64)?;
                file = Some(whole);
            }
            let (left, kept, how) = disk.cut(&mut random);
            if let Some(file) = &file {
                write_sparse(file, at * left.len(), &left)?;
            }
            let cached = disk.cached.len();
            let synced = disk.acknowledged.text();
            writeln!(list, "{name} {at} {place} {how:?} {cached} {kept} {synced}")?;
        }
        disk.take(event);
    }
    std::fs::write(folder.join("states.txt"), list)?;
    Ok(())
}

struct Disk<'a> {
    safe: Vec<u8>,
    /// Writes that no flush has made safe yet.
    cached: Vec<&'a Event>,
    acknowledged: Acknowledged,
}

impl<'a> Disk<'a> {
    fn take(&mut self, event: &'a Event) {
        match event.kind {
            Kind::Write => self.cached.push(event),
            Kind::SafeWrite => put(&mut self.safe, event.offset, &event.bytes),
            // A killed machine loses nothing of its disk.
            Kind::Flush | Kind::Killed => {
                for write in self.cached.drain(..) {
                    put(&mut self.safe, write.offset, &write.bytes);
                }
            }
            Kind::Console => {
                self.acknowledged.line(&event.bytes);
            }
        }
    }

    /// One disk that a cut here can leave, and how many cached writes are on it.
    fn cut(&self, random: &mut Rand32) -> (Vec<u8>, usize, Kept) {
        let mut left = self.safe.clone();
        let how = Kept::ALL[random.rand_range(0..Kept::ALL.len() as u32) as usize];
        let mut writes = self.cached.clone();
        let prefix = random.rand_range(0..writes.len() as u32 + 1) as usize;
        if matches!(how, Kept::Subset | Kept::Torn) {
            shuffle(&mut writes, random);
        }
        let mut kept = 0;
        for (place, write) in writes.into_iter().enumerate() {
            let keep = match how {
                Kept::None => false,
                Kept::All => true,
                Kept::Prefix => place < prefix,
                Kept::Subset | Kept::Torn => random.rand_range(0..2) == 0,
            };
            if !keep {
                continue;
            }
            kept += 1;
            if matches!(how, Kept::Torn) && random.rand_range(0..2) == 0 {
                for (sector, bytes) in write.bytes.chunks(SECTOR).enumerate() {
                    if random.rand_range(0..2) == 0 {
                        put(&mut left, write.offset + sector * SECTOR, bytes);
                    }
                }
            } else {
                put(&mut left, write.offset, &write.bytes);
            }
        }
        (left, kept, how)
    }
}

fn shuffle<T>(items: &mut [T], random: &mut Rand32) {
    for place in (1..items.len()).rev() {
        items.swap(place, random.rand_range(0..place as u32 + 1) as usize);
    }
}

fn put(disk: &mut [u8], offset: usize, bytes: &[u8]) {
    // The server took no write beyond the disk's end.
    if let Some(part) = disk.get_mut(offset..offset + bytes.len()) {
        part.copy_from_slice(bytes);
    }
}

fn write_sparse(file: &File, from: usize, bytes: &[u8]) -> std::io::Result<()> {
    for (place, piece) in bytes.chunks(PIECE).enumerate() {
        if piece.iter().any(|byte| *byte != 0) {
            file.write_all_at(piece, (from + place * PIECE) as u64)?;
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn event(kind: Kind, offset: usize, fill: u8) -> Event {
        Event { kind, offset, at_us: 0, bytes: vec![fill; 2 * SECTOR] }
    }

    /// Flushed writes are on every disk; cached ones on some, on some not, on some torn.
    #[test]
    fn a_cut_takes_only_what_was_not_flushed() {
        let events = [
            event(Kind::Write, 0, 1),
            event(Kind::Flush, 0, 0),
            event(Kind::SafeWrite, 1024, 2),
            event(Kind::Write, 2048, 3),
        ];
        let mut disk =
            Disk { safe: vec![0; 4096], cached: Vec::new(), acknowledged: Acknowledged::default() };
        for event in &events {
            disk.take(event);
        }
        let mut random = Rand32::new(1);
        let (mut whole, mut none, mut torn) = (0, 0, 0);
        for _ in 0..1000 {
            let (left, _, _) = disk.cut(&mut random);
            assert!(left[..1024].iter().all(|b| *b == 1), "flushed");
            assert!(left[1024..2048].iter().all(|b| *b == 2), "safe by itself");
            match (left[2048], left[2048 + SECTOR]) {
                (3, 3) => whole += 1,
                (0, 0) => none += 1,
                _ => torn += 1,
            }
        }
        assert!(whole > 100 && none > 100 && torn > 20, "{whole} {none} {torn}");
    }
}
