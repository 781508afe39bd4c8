//! Any text as the agent's settings file: an error names the file.
#![no_main]

use libfuzzer_sys::fuzz_target;
use underbrush_agent::Config;

fuzz_target!(|text: &str| {
    if let Err(error) = Config::check_text("agent.toml", text) {
        assert!(error.to_string().starts_with("agent.toml"));
    }
});
