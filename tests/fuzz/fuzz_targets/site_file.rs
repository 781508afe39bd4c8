//! Any text as a site file and as a shift book: an error names the file.
#![no_main]

use libfuzzer_sys::fuzz_target;
use std::sync::LazyLock;
use underbrush_report::settings::{Book, Site};

const SITE: &str = include_str!("../../../fixtures/scenario/site.toml");

static DEMO: LazyLock<Site> =
    LazyLock::new(|| Site::parse("site.toml", SITE).expect("the demo's site file"));

fuzz_target!(|text: &str| {
    match Site::parse("site.toml", text) {
        Ok(site) => {
            for section in &site.sections {
                assert!(site.section_by_id(&section.id).is_some());
            }
        }
        Err(error) => assert!(error.to_string().starts_with("site.toml")),
    }
    match Book::parse("book.toml", text) {
        Ok(book) => {
            let _ = book.against(&DEMO, &[]).len();
        }
        Err(error) => assert!(error.to_string().starts_with("book.toml")),
    }
});
