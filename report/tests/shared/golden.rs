//! Texts that are kept.

/// Holds a text against the kept one, by the first line that differs. `UPDATE_GOLDEN=1`
/// writes it anew.
pub(crate) fn against(name: &str, text: &str) {
    let path = format!("{}/tests/golden/{name}.txt", env!("CARGO_MANIFEST_DIR"));
    if std::env::var_os("UPDATE_GOLDEN").is_some() {
        std::fs::write(&path, text).unwrap();
    }
    let golden = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}"));
    for (i, (new, old)) in text.lines().zip(golden.lines()).enumerate() {
        assert_eq!(new, old, "{path}, line {}", i + 1);
    }
    assert_eq!(text, golden, "{path}");
}
