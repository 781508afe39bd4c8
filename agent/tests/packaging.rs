//! The settings that the package installs are ones that the agent takes.

use std::path::Path;
use underbrush_agent::Config;
use underbrush_agent::config::{Journal, Source};

fn packaged() -> Config {
    let dir = Path::new(env!("CARGO_MANIFEST_DIR")).join("packaging");
    Config::read(&dir.join("agent.toml")).unwrap_or_else(|error| panic!("{error}"))
}

/// The paths are those of the unit (`StateDirectory=`) and of the udev rule (`SYMLINK+=`).
#[test]
fn installed_settings_use_the_units_folders_and_the_rules_port() {
    let config = packaged();
    assert_eq!(config.log_dir, Path::new("/var/lib/underbrush/log"));
    let port = "/dev/underbrush-bridge".to_owned();
    assert_eq!(config.source, Source::Serial { port, baud: 115_200 });
    assert_eq!(config.journal, Journal::default());
    let of = |name: &str| {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("packaging").join(name);
        std::fs::read_to_string(path).unwrap()
    };
    let unit = of("underbrush-agent.service");
    assert!(unit.contains("\nStateDirectory=underbrush\n"));
    assert!(
        unit.contains(
            "ExecStart=/usr/bin/underbrush-agent run --config /etc/underbrush/agent.toml\n"
        )
    );
    assert!(of("70-underbrush-bridge.rules").contains("SYMLINK+=\"underbrush-bridge\""));
}

/// What stands there commented out is right too: each example is tried in place.
#[test]
fn commented_examples_are_right() {
    let dir = Path::new(env!("CARGO_MANIFEST_DIR")).join("packaging");
    let text = std::fs::read_to_string(dir.join("agent.toml")).unwrap();
    // A line `# key = value` or `# [table]` becomes what it says; the second [source] is left out.
    let shown: String = text
        .replace("# baud", "baud")
        .replace("# [journal]", "[journal]")
        .replace("# sync_every", "sync_every")
        .replace("# seal_after", "seal_after")
        .replace("# [retention]", "[retention]")
        .replace("# keep = ", "keep = ")
        .replace("# max_size", "max_size")
        .replace("# min_free", "min_free")
        .replace("# wait_for_copy", "wait_for_copy");
    // The relay needs a feature.
    let (shown, _) = shown.split_once("# A line of a GPIO chip").unwrap();
    let (before, alarms) = shown.split_once("# [alarm]").unwrap();
    let alarms = alarms.lines().map(|line| {
        let setting = line.starts_with("# [") || line.contains(" = ");
        if setting { line.strip_prefix("# ").unwrap_or(line) } else { line }
    });
    let shown = alarms.fold(format!("{before}[alarm]"), |text, line| text + line + "\n");
    assert!(shown.contains("\nleast_between = ") && shown.contains("\n[alarm.warn]"));
    assert!(shown.contains("\nwait_for_copy") && shown.contains("\nkeep"));
    Config::check_text("agent.toml", &shown).unwrap_or_else(|error| panic!("{error}"));
    assert_ne!(shown, text);

    let machine = std::fs::read_to_string(dir.join("machine.toml")).unwrap();
    let example = |line: &str| line.starts_with("# [") || line.contains(" = ");
    let shown: String = machine
        .lines()
        .map(|line| if example(line) { line.strip_prefix("# ").unwrap_or(line) } else { line })
        .flat_map(|line| [line, "\n"])
        .collect();
    let machine = underbrush_protocol::settings::Machine::parse("machine.toml", &shown);
    let machine = machine.unwrap_or_else(|error| panic!("{error}"));
    assert_eq!(machine.signals.len(), 1);
    assert!(machine.limits.stall_current.is_some());
}
