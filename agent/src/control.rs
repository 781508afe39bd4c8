//! The agent's local socket: a line asks, a line answers.
//!
//! A Unix stream socket. The asker sends `status` and a line feed; the agent answers with
//! one line of JSON, a [`Status`], and closes. Any other line is answered with
//! `error: ` and what is wrong. An asker has two seconds and 64 bytes.

use crate::board::Board;
use crate::error::AgentError;
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
const LONGEST_REQUEST: u64 = 64;
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
                let _ = timeout(PATIENCE, answer(&mut stream, board)).await;
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
    BufReader::new(read.take(LONGEST_REQUEST)).read_line(&mut request).await?;
    let line = match request.trim_end() {
        "status" => board.status().json(),
        other => format!("error: `{}` is no request: send `status`\n", other.escape_debug()),
    };
    write.write_all(line.as_bytes()).await
}

/// Asks the agent at `path` how it is.
pub fn ask_status(path: &Path) -> Result<Status, AgentError> {
    let failed = |source| AgentError::NoAnswer { path: path.to_owned(), source };
    let mut stream = BlockingStream::connect(path).map_err(failed)?;
    let asked = stream
        .set_read_timeout(Some(PATIENCE * 2))
        .and_then(|()| stream.write_all(b"status\n"))
        .and_then(|()| {
            let mut answer = String::new();
            stream.take(LONGEST_ANSWER).read_to_string(&mut answer).map(|_| answer)
        });
    let answer = asked.map_err(failed)?;
    serde_json::from_str(&answer).map_err(|error| failed(error.into()))
}
