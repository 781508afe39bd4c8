//! The agent's local socket: a line asks, a line answers.
//!
//! A Unix stream socket. The asker sends a line and a line feed; the agent answers with one
//! line and closes.
//!
//! - `status`: one line of JSON, a [`Status`].
//! - `mark section A-12 step 2`, `mark maintenance`, ... (see `mark`): `ok: ` and what was
//!   stored, once it is synced to the disk, so that no power cut takes it any more; in
//!   general within a tenth of a second, with a silent source within a second. `error: `
//!   and what to do, where it cannot be stored.
//! - Anything else: `error: ` and what is wrong.
//!
//! An asker has two seconds and 128 bytes for its line, and is served alone. Who may ask
//! and mark is whoever may write to the socket file: by the packaged unit the agent's own
//! user and root, as its folder is the service's.

use crate::board::Board;
use crate::error::AgentError;
use crate::mark;
use crate::status::Status;
use std::io::{self, ErrorKind, Read, Write};
use std::os::unix::net::UnixStream as BlockingStream;
use std::path::{Path, PathBuf};
use std::time::Duration;
use tokio::io::{AsyncBufReadExt, AsyncReadExt, AsyncWriteExt, BufReader};
use tokio::net::{UnixListener, UnixStream};
use tokio::time::{sleep, timeout};

const PATIENCE: Duration = Duration::from_secs(2);
const RETRY: Duration = Duration::from_secs(5);
const LONGEST_REQUEST: u64 = 128;
/// A mark that is not stored by then is told as not stored.
const STORED_WITHIN: Duration = Duration::from_secs(3);
const LOOK_EVERY: Duration = Duration::from_millis(20);
/// A status takes about one kilobyte.
const LONGEST_ANSWER: u64 = 65_536;

/// Answers for as long as the agent runs. A socket that cannot be had is tried again.
pub(crate) async fn serve(path: PathBuf, board: Board) {
    let mut told = false;
    loop {
        match bind(&path) {
            Ok(listener) => {
                told = false;
                let _file = SocketFile(&path);
                answer_all(&listener, &path, &board).await;
            }
            Err(error) if !told => {
                let socket = path.display();
                tracing::warn!(%error, %socket, "no status can be asked for: trying again");
                told = true;
            }
            Err(_) => {}
        }
        sleep(RETRY).await;
    }
}

/// Goes with the listener, also when the agent ends.
struct SocketFile<'a>(&'a Path);

impl Drop for SocketFile<'_> {
    fn drop(&mut self) {
        let _ = std::fs::remove_file(self.0);
    }
}

/// A socket file is left by an agent that was killed; one that answers is not ours to take.
fn bind(path: &Path) -> io::Result<UnixListener> {
    match UnixListener::bind(path) {
        Err(error) if error.kind() == ErrorKind::AddrInUse => {
            if BlockingStream::connect(path).is_ok() {
                return Err(error);
            }
            std::fs::remove_file(path)?;
            UnixListener::bind(path)
        }
        other => other,
    }
}

/// Until the socket fails, or its file is gone: nobody could ask any more.
async fn answer_all(listener: &UnixListener, path: &Path, board: &Board) {
    while path.exists() {
        match timeout(RETRY, listener.accept()).await {
            Ok(Ok((mut stream, _))) => {
                // One at a time: an asker that is slow is cut off.
                let _ = timeout(PATIENCE + STORED_WITHIN, answer(&mut stream, board)).await;
            }
            Ok(Err(error)) => {
                tracing::warn!(%error, "the status socket failed");
                return;
            }
            Err(_) => {}
        }
    }
}

async fn answer(stream: &mut UnixStream, board: &Board) -> io::Result<()> {
    let (read, mut write) = stream.split();
    let mut request = String::new();
    let mut reader = BufReader::new(read.take(LONGEST_REQUEST));
    match timeout(PATIENCE, reader.read_line(&mut request)).await {
        Ok(read) => read?,
        Err(_) => return Ok(()),
    };
    let line = match request.strip_suffix('\n').map(str::trim_end) {
        None => format!("error: a request is one line of less than {LONGEST_REQUEST} bytes\n"),
        Some("status") => board.status().json(),
        Some(line) => match line.strip_prefix("mark") {
            Some(mark) if mark.is_empty() || mark.starts_with(' ') => store(mark, board).await,
            _ => format!(
                "error: `{}` is no request: send `status` or `mark ...`\n",
                line.escape_debug()
            ),
        },
    };
    write.write_all(line.as_bytes()).await
}

/// Answers only when the mark is safe from a power cut, or cannot be made so.
async fn store(words: &str, board: &Board) -> String {
    let told = match mark::read(words) {
        Ok(told) => told,
        Err(message) => return format!("error: {message}\n"),
    };
    let said = mark::said(&told);
    let Some(number) = board.tell(told) else {
        return "error: too many marks wait for the disk: ask `underbrush-agent status`, and tell \
                it again when the disk works\n"
            .to_owned();
    };
    let end = tokio::time::Instant::now() + STORED_WITHIN;
    while tokio::time::Instant::now() < end {
        match board.told_safe(number) {
            Some(true) => return format!("ok: {said}\n"),
            Some(false) => break,
            None => sleep(LOOK_EVERY).await,
        }
    }
    format!(
        "error: {said}: not safe on the disk, and lost if the power goes: ask `underbrush-agent \
         status`, and tell it again when the disk works\n"
    )
}

/// Asks the agent at `path` how it is.
pub fn ask_status(path: &Path) -> Result<Status, AgentError> {
    let answer = ask(path, "status\n")?;
    serde_json::from_str(&answer)
        .map_err(|error| AgentError::NoAnswer { path: path.to_owned(), source: error.into() })
}

/// Tells the agent at `path` where the machine is, in the words of `mark::read`; what it
/// stored, once that is safe from a power cut.
pub fn tell_mark(path: &Path, words: &str) -> Result<String, AgentError> {
    mark::read(words).map_err(AgentError::Mark)?;
    let answer = ask(path, &format!("mark {}\n", words.trim()))?;
    let answer = answer.trim_end();
    if let Some(said) = answer.strip_prefix("ok: ") {
        return Ok(said.to_owned());
    }
    let why = answer.strip_prefix("error: ").unwrap_or(answer);
    // An agent that knows no marks says what it takes; one that dies says nothing.
    Err(if why.is_empty() {
        let source = io::ErrorKind::UnexpectedEof.into();
        AgentError::NoAnswer { path: path.to_owned(), source }
    } else {
        AgentError::NotStored(why.to_owned())
    })
}

fn ask(path: &Path, request: &str) -> Result<String, AgentError> {
    let failed = |source| AgentError::NoAnswer { path: path.to_owned(), source };
    let mut stream = BlockingStream::connect(path).map_err(failed)?;
    stream
        .set_read_timeout(Some(PATIENCE + STORED_WITHIN))
        .and_then(|()| stream.write_all(request.as_bytes()))
        .and_then(|()| {
            let mut answer = String::new();
            stream.take(LONGEST_ANSWER).read_to_string(&mut answer).map(|_| answer)
        })
        .map_err(failed)
}
