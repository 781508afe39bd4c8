//! Any text as a machine file: an error names the file, a machine has limits to judge by.
#![no_main]

use libfuzzer_sys::fuzz_target;
use underbrush_protocol::settings::Machine;

fuzz_target!(|text: &str| {
    match Machine::parse("machine.toml", text) {
        Ok(machine) => {
            let limits = machine.limits();
            let all = [
                limits.turning.rotation_rpm,
                limits.turning.current_a,
                limits.standing_m_s,
                limits.moving_m_s,
                limits.over_pressure_a,
                limits.stall_a,
            ];
            assert!(all.iter().all(|limit| limit.is_finite()), "{limits:?}");
            let _ = machine.longest_gap_ms();
        }
        Err(error) => assert!(error.to_string().starts_with("machine.toml")),
    }
});
