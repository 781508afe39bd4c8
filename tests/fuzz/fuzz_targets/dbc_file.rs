//! Any bytes as a DBC file; what is read of it decodes any payload.
#![no_main]

use libfuzzer_sys::fuzz_target;
use underbrush_agent::decode::dbc::Database;

fuzz_target!(|data: &[u8]| {
    let Ok(database) = Database::parse(data) else { return };
    for message in &database.messages {
        assert!(database.message(&message.name).is_some());
        for place in 0..message.signals.len() {
            for payload in [&[][..], &[0xFF; 8], &[0x5A; 64]] {
                let _ = message.value(place, payload);
            }
        }
    }
});
