//! How wide the terminal is.

/// Width of text where no terminal tells one.
const USUAL_WIDTH: usize = 100;

/// Columns of the terminal on standard output; a shell may say so, too.
pub(super) fn width_of_output() -> usize {
    let told = std::env::var("COLUMNS").ok().and_then(|columns| columns.parse().ok());
    told.or_else(columns_of_output).unwrap_or(USUAL_WIDTH)
}

#[cfg(unix)]
fn columns_of_output() -> Option<usize> {
    let size = rustix::termios::tcgetwinsize(std::io::stdout()).ok()?;
    (size.ws_col > 0).then_some(usize::from(size.ws_col))
}

#[cfg(not(unix))]
fn columns_of_output() -> Option<usize> {
    None
}
