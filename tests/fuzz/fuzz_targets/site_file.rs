//! Any text as a site file and as a shift book: an error names the file.
#![no_main]

use libfuzzer_sys::fuzz_target;
use underbrush_report::settings::{Book, Site};

const SITE: &str = include_str!("../../../fixtures/scenario/site.toml");

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
            let site = Site::parse("site.toml", SITE).expect("the demo's site file");
            let _ = book.unknown_sections(&site).count();
        }
        Err(error) => assert!(error.to_string().starts_with("book.toml")),
    }
});
