//! The PDF, read back.

use super::sample::{empty, long, typical};
use super::{SI_A4, US_LETTER, sheet};

#[test]
fn write_out() {
    let dir = std::env::var("SHEET_OUT").unwrap_or_else(|_| "/tmp/sheets".into());
    std::fs::create_dir_all(&dir).unwrap();
    for (name, f) in [("typical", typical()), ("empty", empty()), ("long", long())] {
        for (o, on) in [(US_LETTER, "us"), (SI_A4, "si")] {
            let s = sheet(&f, o);
            let pdf = s.to_pdf().unwrap();
            std::fs::write(format!("{dir}/{name}-{on}.pdf"), pdf).unwrap();
            std::fs::write(format!("{dir}/{name}-{on}.txt"), s.to_text(100)).unwrap();
        }
    }
}
