//! What an adapter is told so that its channel opens, and what its refusal means.

use crate::config::{ADAPTER_BITRATES, CanAdapter};
use std::time::Duration;

/// An adapter answers within some ms; one that never does is used all the same.
pub(crate) const ANSWER_WAIT: Duration = Duration::from_millis(500);
/// What was on its way comes within this after the channel was closed.
pub(crate) const QUIET: Duration = Duration::from_millis(100);
/// An end for a command that somebody began, and for frames of a channel left open.
pub(crate) const BEFORE: [&str; 3] = ["", "", "C"];

/// Version, bit rate, times, open; each is answered.
pub(crate) fn commands(adapter: &CanAdapter) -> Vec<String> {
    let rate = ADAPTER_BITRATES.iter().position(|rate| *rate == adapter.bitrate);
    let mut commands = vec!["V".to_owned(), format!("S{}", rate.unwrap_or_default())];
    if adapter.timestamps {
        commands.push("Z1".to_owned());
    }
    commands.push(if adapter.listen_only { "L" } else { "O" }.to_owned());
    commands
}

/// Why the channel stays closed when `command` was refused.
pub(crate) fn refusal(command: &str) -> String {
    match command {
        "L" => "the adapter cannot open the bus to listen only, and is left closed: with another \
                adapter it can; `listen_only = false` only where the machine's maker allows it"
            .to_owned(),
        "O" => "the adapter cannot open the bus".to_owned(),
        _ => "the adapter does not know the `bitrate`".to_owned(),
    }
}
