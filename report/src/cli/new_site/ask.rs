//! Questions in the terminal.

use std::io::{BufRead, Write};

/// Longest answer, in bytes.
const LONGEST: usize = 1000;
/// So many wrong answers to one question: nobody is there who can answer.
const MOST_TRIES: u32 = 20;

/// Why a question has no answer.
#[derive(Debug, thiserror::Error)]
pub(super) enum AskError {
    #[error("the answers ended at \"{0}\"; nothing was written")]
    Ended(&'static str),
    #[error("no usable answer to \"{0}\"; nothing was written")]
    NoAnswer(&'static str),
    #[error("the terminal cannot be read or written: {0}; nothing was written")]
    Io(#[from] std::io::Error),
}

pub(super) struct Asker<R, W> {
    input: R,
    output: W,
    echo: bool,
}

impl<R: BufRead, W: Write> Asker<R, W> {
    pub(super) fn new(input: R, output: W, echo: bool) -> Self {
        Self { input, output, echo }
    }

    pub(super) fn say(&mut self, text: &str) -> Result<(), AskError> {
        writeln!(self.output, "{text}")?;
        Ok(())
    }

    /// Asks until `read` takes the answer; Enter alone is `default`.
    pub(super) fn ask<T>(
        &mut self,
        question: &'static str,
        default: &str,
        read: impl Fn(&str) -> Result<T, String>,
    ) -> Result<T, AskError> {
        for _ in 0..MOST_TRIES {
            write!(self.output, "{question} [{default}]: ")?;
            self.output.flush()?;
            let Some(answer) = self.line()? else {
                writeln!(self.output)?;
                return Err(AskError::Ended(question));
            };
            if self.echo {
                writeln!(self.output, "{answer}")?;
            }
            let answer = answer.trim();
            match read(if answer.is_empty() { default } else { answer }) {
                Ok(value) => return Ok(value),
                Err(why) => writeln!(self.output, "  {why}")?,
            }
        }
        Err(AskError::NoAnswer(question))
    }

    /// One line; `None` at the end of the input. What is no UTF-8 is replaced.
    fn line(&mut self) -> Result<Option<String>, AskError> {
        let mut bytes = Vec::new();
        loop {
            let (taken, ended) = {
                let buffer = self.input.fill_buf()?;
                if buffer.is_empty() {
                    (0, true)
                } else {
                    let end = buffer.iter().position(|b| *b == b'\n');
                    let part = buffer.get(..end.unwrap_or(buffer.len())).unwrap_or_default();
                    let room = LONGEST.saturating_sub(bytes.len());
                    bytes.extend(part.iter().take(room));
                    (end.map_or(part.len(), |end| end + 1), end.is_some())
                }
            };
            self.input.consume(taken);
            if taken == 0 && bytes.is_empty() {
                return Ok(None);
            }
            if ended {
                return Ok(Some(String::from_utf8_lossy(&bytes).into_owned()));
            }
        }
    }
}
