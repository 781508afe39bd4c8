//! The disk: a server of the network block device protocol for one client at a time.
//!
//! Only what qemu needs: fixed newstyle handshake without TLS, simple replies. Source:
//! `doc/proto.md` of the NetworkBlockDevice/nbd project.

use crate::Outcome;
use crate::recording::{Kind, Recording};
use std::io::{self, BufRead, BufReader, Read, Write};
use std::os::unix::net::{UnixListener, UnixStream};
use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;

const SERVER_MAGIC: &[u8] = b"NBDMAGICIHAVEOPT";
const FIXED_NEWSTYLE: u16 = 1;
const OPTION_REPLY_MAGIC: u64 = 0x0003_e889_0455_65a9;
const SIMPLE_REPLY_MAGIC: u32 = 0x6744_6698;
/// `HAS_FLAGS`, `SEND_FLUSH` and `SEND_FUA`.
const TRANSMISSION_FLAGS: u16 = 1 | 1 << 2 | 1 << 3;
const FUA: u16 = 1;
const EINVAL: u32 = 22;

const OPTION_EXPORT_NAME: u32 = 1;
const OPTION_ABORT: u32 = 2;
const OPTION_GO: u32 = 7;
const REPLY_ACK: u32 = 1;
const REPLY_INFO: u32 = 3;
const REPLY_UNSUPPORTED: u32 = 0x8000_0001;

const COMMAND_READ: u16 = 0;
const COMMAND_WRITE: u16 = 1;
const COMMAND_DISCONNECT: u16 = 2;
const COMMAND_FLUSH: u16 = 3;

type Shared = Arc<Mutex<Recording>>;

/// One event, in the order of the lock.
fn add(recording: &Shared, kind: Kind, offset: u64, bytes: &[u8]) -> io::Result<()> {
    recording.lock().unwrap_or_else(PoisonError::into_inner).add(kind, offset, bytes)
}

/// Serves the disk and the console until standard input ends.
pub(crate) fn record(image: &Path, recording: &Path, nbd: &Path, console: &Path) -> Outcome<()> {
    let disk = std::fs::read(image)?;
    let recording = Arc::new(Mutex::new(Recording::create(recording)?));
    let disks = UnixListener::bind(nbd)?;
    let consoles = UnixListener::bind(console)?;
    thread::spawn({
        let recording = Arc::clone(&recording);
        move || report(&consoles.incoming().try_for_each(|line| lines(line?, &recording)))
    });
    thread::spawn({
        let recording = Arc::clone(&recording);
        move || report(&serve_all(&disks, disk, &recording))
    });
    io::copy(&mut io::stdin(), &mut io::sink())?;
    let mut recording = recording.lock().unwrap_or_else(PoisonError::into_inner);
    Ok(recording.flush()?)
}

/// A thread of the server that fails leaves a recording without its end.
fn report(ended: &io::Result<()>) {
    if let Err(error) = ended {
        eprintln!("power-cut-disk: {error}");
        std::process::exit(2);
    }
}

/// Notes and prints the lines of one console.
fn lines(console: UnixStream, recording: &Shared) -> io::Result<()> {
    let mut console = BufReader::new(console);
    let mut line = Vec::new();
    // A killed machine ends its console in an error or in the middle of a line.
    while console.read_until(b'\n', &mut line).unwrap_or(0) > 0 && line.ends_with(b"\n") {
        add(recording, Kind::Console, 0, line.trim_ascii_end())?;
        let mut out = io::stdout().lock();
        out.write_all(&line)?;
        out.flush()?;
        line.clear();
    }
    Ok(())
}

fn serve_all(disks: &UnixListener, mut disk: Vec<u8>, recording: &Shared) -> io::Result<()> {
    for stream in disks.incoming() {
        // The client is killed, so that any error here is only its end.
        let _ = serve(&mut stream?, &mut disk, recording);
        add(recording, Kind::Killed, 0, &[])?;
    }
    Ok(())
}

fn serve(stream: &mut UnixStream, disk: &mut [u8], recording: &Shared) -> io::Result<()> {
    if !handshake(stream, disk.len() as u64)? {
        return Ok(());
    }
    loop {
        let head: [u8; 28] = take(stream)?;
        let [
            _,
            _,
            _,
            _,
            f0,
            f1,
            c0,
            c1,
            handle @ ..,
            o0,
            o1,
            o2,
            o3,
            o4,
            o5,
            o6,
            o7,
            l0,
            l1,
            l2,
            l3,
        ] = head;
        let flags = u16::from_be_bytes([f0, f1]);
        let offset = u64::from_be_bytes([o0, o1, o2, o3, o4, o5, o6, o7]);
        let len = u32::from_be_bytes([l0, l1, l2, l3]) as usize;
        let place = usize::try_from(offset).unwrap_or(usize::MAX);
        let part = disk.get_mut(place..place.saturating_add(len));
        let mut read: &[u8] = &[];
        let mut error = 0;
        match (u16::from_be_bytes([c0, c1]), part) {
            (COMMAND_READ, Some(part)) => read = part,
            (COMMAND_WRITE, Some(part)) => {
                stream.read_exact(part)?;
                let kind = if flags & FUA == 0 { Kind::Write } else { Kind::SafeWrite };
                add(recording, kind, offset, part)?;
            }
            (COMMAND_FLUSH, _) => add(recording, Kind::Flush, 0, &[])?,
            (COMMAND_DISCONNECT, _) => return Ok(()),
            _ => error = EINVAL,
        }
        let mut reply = SIMPLE_REPLY_MAGIC.to_be_bytes().to_vec();
        reply.extend(error.to_be_bytes());
        reply.extend(handle);
        reply.extend(read);
        stream.write_all(&reply)?;
    }
}

/// Agrees on the one disk there is; `false` if the client goes away.
fn handshake(stream: &mut UnixStream, size: u64) -> io::Result<bool> {
    stream.write_all(SERVER_MAGIC)?;
    stream.write_all(&FIXED_NEWSTYLE.to_be_bytes())?;
    let _client_flags: [u8; 4] = take(stream)?;
    loop {
        let _magic: [u8; 8] = take(stream)?;
        let option = u32::from_be_bytes(take(stream)?);
        let len = u32::from_be_bytes(take(stream)?);
        io::copy(&mut stream.take(u64::from(len)), &mut io::sink())?;
        match option {
            OPTION_EXPORT_NAME => {
                stream.write_all(&size.to_be_bytes())?;
                stream.write_all(&TRANSMISSION_FLAGS.to_be_bytes())?;
                stream.write_all(&[0; 124])?;
                return Ok(true);
            }
            OPTION_GO => {
                let mut info = vec![0, 0];
                info.extend(size.to_be_bytes());
                info.extend(TRANSMISSION_FLAGS.to_be_bytes());
                reply(stream, option, REPLY_INFO, &info)?;
                reply(stream, option, REPLY_ACK, &[])?;
                return Ok(true);
            }
            OPTION_ABORT => {
                reply(stream, option, REPLY_ACK, &[])?;
                return Ok(false);
            }
            _ => reply(stream, option, REPLY_UNSUPPORTED, &[])?,
        }
    }
}

fn reply(stream: &mut UnixStream, option: u32, kind: u32, bytes: &[u8]) -> io::Result<()> {
    let mut reply = OPTION_REPLY_MAGIC.to_be_bytes().to_vec();
    reply.extend(option.to_be_bytes());
    reply.extend(kind.to_be_bytes());
    reply.extend((bytes.len() as u32).to_be_bytes());
    reply.extend(bytes);
    stream.write_all(&reply)
}

fn take<const N: usize>(stream: &mut UnixStream) -> io::Result<[u8; N]> {
    let mut bytes = [0; N];
    stream.read_exact(&mut bytes)?;
    Ok(bytes)
}
