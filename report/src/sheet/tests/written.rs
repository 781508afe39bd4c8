//! The PDF, read back with a reader of its own.

use super::sample::{empty, long, typical};
use super::{SHORT, SI_A4, US_LETTER, sheet};
use crate::sheet::layout::{
    self,
    shapes::{Item, Page},
};
use crate::sheet::{Sheet, typeface};
use lopdf::content::Content;
use lopdf::{Document, Object, ObjectId};
use std::collections::BTreeMap;

pub(super) fn read(sheet: &Sheet) -> Document {
    Document::load_mem(&sheet.to_pdf().unwrap()).unwrap()
}

/// Glyph code to text, from a font's `ToUnicode` map.
fn to_unicode(file: &Document, font: ObjectId) -> BTreeMap<u16, String> {
    let font = file.get_dictionary(font).unwrap();
    let map = font.get(b"ToUnicode").unwrap().as_reference().unwrap();
    let map = file.get_object(map).unwrap().as_stream().unwrap();
    let map = String::from_utf8(map.get_plain_content().unwrap()).unwrap();
    let hex = |t: &str| u16::from_str_radix(t.trim_matches(['<', '>']), 16);
    let pairs = map.lines().filter_map(|line| {
        let (code, letter) = line.split_once(' ')?;
        (code.starts_with('<') && letter.len() == 6)
            .then(|| (hex(code).unwrap(), String::from_utf16(&[hex(letter).unwrap()]).unwrap()))
    });
    pairs.collect()
}

/// The texts of a page in the order of drawing.
fn texts(file: &Document, page: ObjectId) -> Vec<String> {
    let (_, resources) = file.get_page_resources(page).unwrap();
    let fonts = file.get_dictionary(resources[0]).unwrap().get(b"Font").unwrap();
    let fonts = file.get_dictionary(fonts.as_reference().unwrap()).unwrap();
    let maps: BTreeMap<Vec<u8>, BTreeMap<u16, String>> = fonts
        .iter()
        .map(|(name, id)| (name.clone(), to_unicode(file, id.as_reference().unwrap())))
        .collect();
    let content = Content::decode(&file.get_page_content(page)).unwrap();
    let mut font = Vec::new();
    let mut out = Vec::new();
    for op in content.operations {
        match (op.operator.as_str(), op.operands.first()) {
            ("Tf", Some(Object::Name(name))) => font.clone_from(name),
            ("Tj", Some(Object::String(bytes, _))) => {
                let codes = bytes.chunks(2).map(|c| u16::from_be_bytes([c[0], c[1]]));
                out.push(codes.map(|c| maps[&font][&c].as_str()).collect());
            }
            _ => {}
        }
    }
    out
}

pub(super) fn all_text(file: &Document) -> String {
    file.get_pages().values().map(|p| texts(file, *p).join("\n")).collect::<Vec<_>>().join("\n")
}

fn catalog_entry<'a>(file: &'a Document, key: &[u8]) -> &'a Object {
    file.catalog().unwrap().get(key).unwrap()
}

#[test]
fn pages_have_the_size_of_the_paper() {
    // Source: ISO 216, A4 is 210 mm x 297 mm, at 72 / 25.4 pt a mm; Letter is 8.5 in x 11 in.
    for (options, width, height) in [(US_LETTER, 612.0, 792.0), (SI_A4, 595.2756, 841.8898)] {
        let file = read(&sheet(&typical(), options));
        assert!((4..=6).contains(&file.get_pages().len()), "{} pages", file.get_pages().len());
        for page in file.get_pages().values() {
            let media = file.get_dictionary(*page).unwrap().get(b"MediaBox").unwrap();
            let sides: Vec<f32> =
                media.as_array().unwrap().iter().map(|v| v.as_float().unwrap()).collect();
            assert_eq!(sides[..2], [0.0, 0.0]);
            assert!((sides[2] - width).abs() < 1e-3 && (sides[3] - height).abs() < 1e-3);
        }
    }
    assert_eq!(read(&sheet(&empty(), US_LETTER)).get_pages().len(), 1);
}

#[test]
fn properties_say_what_it_is() {
    let file = read(&sheet(&typical(), US_LETTER));
    let info = file.trailer.get(b"Info").unwrap().as_reference().unwrap();
    let info = file.get_dictionary(info).unwrap();
    let text = |key: &[u8]| lopdf::decode_text_string(info.get(key).unwrap()).unwrap();
    assert_eq!(text(b"Title"), "Shift sheet, Big scrubber (scrubber-1), Mon 23 Nov 2026");
    assert_eq!(text(b"Author"), "Underbrush");
    assert_eq!(text(b"Subject"), "Work of a floor machine at Example Hall");
    assert_eq!(text(b"CreationDate"), "D:20261124120000Z");
    assert!(!info.has(b"GTS_PDFXVersion"));
    assert_eq!(catalog_entry(&file, b"Lang").as_str().unwrap(), b"en");
    let view = catalog_entry(&file, b"ViewerPreferences").as_dict().unwrap();
    assert!(view.get(b"DisplayDocTitle").unwrap().as_bool().unwrap());
    assert_eq!(catalog_entry(&file, b"PageMode").as_name().unwrap(), b"UseOutlines");
}

#[test]
fn bookmarks_name_the_headings() {
    let file = read(&sheet(&typical(), US_LETTER));
    let root = catalog_entry(&file, b"Outlines").as_reference().unwrap();
    let root = file.get_dictionary(root).unwrap();
    let mut next = root.get(b"First").ok().cloned();
    let mut titles = Vec::new();
    while let Some(id) = next {
        let entry = file.get_dictionary(id.as_reference().unwrap()).unwrap();
        titles.push(lopdf::decode_text_string(entry.get(b"Title").unwrap()).unwrap());
        next = entry.get(b"Next").ok().cloned();
    }
    assert_eq!(titles.first().unwrap(), "At a glance");
    assert_eq!(titles.last().unwrap(), "Data");
    for title in ["Events", "Sections", "Brush motors", "Segments", "Data"] {
        assert!(titles.iter().any(|t| t == title), "{titles:?}");
    }
    assert_eq!(root.get(b"Count").unwrap().as_i64().unwrap(), titles.len() as i64);
}

#[test]
fn fonts_are_embedded_and_small() {
    let bytes = sheet(&typical(), US_LETTER).to_pdf().unwrap();
    assert!(bytes.len() < 80_000, "{} bytes", bytes.len());
    assert!(sheet(&long(), US_LETTER).to_pdf().unwrap().len() < 200_000);
    let file = Document::load_mem(&bytes).unwrap();
    let programs = file
        .objects
        .values()
        .filter_map(|o| o.as_dict().ok())
        .filter(|d| d.get(b"Type").is_ok_and(|t| t.as_name().is_ok_and(|n| n == b"FontDescriptor")))
        .map(|d| {
            let name = d.get(b"FontName").unwrap().as_name().unwrap();
            assert_eq!(name[6], b'+', "{}", String::from_utf8_lossy(name));
            let program = d.get(b"FontFile2").unwrap().as_reference().unwrap();
            let program = file.get_object(program).unwrap().as_stream().unwrap();
            assert_eq!(program.get_plain_content().unwrap()[..4], [0, 1, 0, 0]);
        });
    assert_eq!(programs.count(), 2);
}

#[test]
fn numbers_of_the_text_stand_on_the_pages() {
    for (findings, options) in
        [(typical(), US_LETTER), (typical(), SI_A4), (long(), US_LETTER), (empty(), SI_A4)]
    {
        let sheet = sheet(&findings, options);
        let pdf = all_text(&read(&sheet));
        let mut checked = 0;
        for line in sheet.to_text(100).lines() {
            // The bars name every edge there, and every second one on paper.
            let drawn = |c: char| "#=-+.".contains(c);
            if line.ends_with(drawn) && line.contains("  ") || line.get(4..7) == Some("–") {
                continue;
            }
            for number in line.split(|c: char| !(c.is_ascii_digit() || ".,:".contains(c))) {
                let number = number.trim_matches(['.', ',', ':']);
                if !number.is_empty() {
                    assert!(pdf.contains(number), "{number:?} of {line:?} is not in the PDF");
                    checked += 1;
                }
            }
        }
        assert!(checked > 5);
    }
}

#[test]
fn text_comes_in_reading_order() {
    let file = read(&sheet(&typical(), US_LETTER));
    let text = all_text(&file);
    let pages = file.get_pages().len();
    let (first, last) = (format!("Page 1 of {pages}"), format!("Page {pages} of {pages}"));
    let mut from = 0;
    for part in [
        "Shift sheet, Mon 23 Nov 2026",
        "At a glance",
        "Brush turned while standing?",
        "Yes: 3 times, 66 s in all",
        "To do this morning",
        "WARNING",
        "The shift over time",
        &first,
        "Events",
        "Sections",
        "Checks by hand",
        "Brush motors",
        &last,
    ] {
        let at = text[from..].find(part).unwrap_or_else(|| panic!("{part} not after {from}"));
        from += at;
    }
    assert!(text.contains("Inspect A-12 (22:41, stood 14 s): look for a ring."));
}

#[test]
fn same_findings_same_bytes() {
    let first = sheet(&typical(), US_LETTER).to_pdf().unwrap();
    let threads: Vec<_> = (0..4)
        .map(|_| std::thread::spawn(|| sheet(&typical(), US_LETTER).to_pdf().unwrap()))
        .collect();
    for thread in threads {
        assert!(thread.join().unwrap() == first);
    }
    let mut other = typical();
    other.remarks.push("One more.".to_owned());
    assert!(sheet(&other, US_LETTER).to_pdf().unwrap() != first);
}

/// The box of ink of a text: left, top, right, bottom.
fn ink(item: &Item) -> Option<([f64; 4], &str)> {
    let Item::Text { at: (x, y), size, weight, text } = item else { return None };
    let right = x + typeface::width(text, *weight, *size);
    // Capitals of the typeface are 0.714 high (its OS/2 table).
    Some(([*x, y - 0.714 * size, right, *y], text))
}

pub(super) fn check_places(sheet: &Sheet) {
    for (n, page) in layout::pages(&sheet.document).iter().enumerate() {
        check_page(n + 1, page);
    }
}

pub(super) fn check_page(number: usize, page: &Page) {
    let inks: Vec<_> = page.items.iter().filter_map(ink).collect();
    for (i, (a, text)) in inks.iter().enumerate() {
        let inside =
            a[0] > 30.0 && a[1] > 20.0 && a[2] < page.size.0 - 30.0 && a[3] < page.size.1 - 20.0;
        assert!(inside, "page {number}: {text:?} at {a:?}");
        for (b, other) in &inks[i + 1..] {
            let apart = a[2] <= b[0] + 0.1 || b[2] <= a[0] + 0.1 || a[3] <= b[1] || b[3] <= a[1];
            assert!(apart, "page {number}: {text:?} at {a:?} over {other:?} at {b:?}");
        }
    }
}

#[test]
fn no_text_lies_over_another_or_off_the_page() {
    for options in [US_LETTER, SI_A4] {
        for findings in [typical(), long(), empty()] {
            check_places(&sheet(&findings, options));
        }
    }
}

#[test]
fn text_stands_on_the_grid() {
    // Below the top margin of 30 pt every baseline of a half-line grid of 6 pt is 9 pt
    // below a multiple; charts and the foot of the page have places of their own.
    for options in [SHORT, SI_A4] {
        let pages = layout::pages(&sheet(&typical(), options).document);
        let (mut on, mut all) = (0, 0);
        for item in pages.iter().flat_map(|page| &page.items) {
            let Item::Text { at: (_, y), size, .. } = item else { continue };
            assert!(*size >= 9.0, "{item:?}");
            let off = (y - 30.0 - 9.0).rem_euclid(6.0);
            all += 1;
            on += usize::from(!(0.01..5.99).contains(&off));
        }
        assert!(on * 10 > all * 8, "{on} of {all} texts");
    }
}

#[test]
fn the_usual_night_takes_three_pages() {
    for paper in [crate::settings::site::Paper::Letter, crate::settings::site::Paper::A4] {
        let options = crate::sheet::SheetOptions { paper, ..SHORT };
        let pages = layout::pages(&sheet(&typical(), options).document);
        let begins = |n: usize, title: &str| pages[n].bookmarks.iter().any(|b| b.0 == title);
        assert_eq!(pages.len(), 3);
        assert!(begins(0, "The shift over time") && begins(1, "Sections"));
        assert!(begins(2, "Segments") && begins(2, "Checks by hand"));
    }
}

#[test]
fn the_first_page_holds_the_charts() {
    for options in [US_LETTER, SI_A4] {
        let mut phases = typical();
        // Four grits, the daily run and work without a mark.
        let two = phases.speed.by_phase[..2].to_vec();
        phases.speed.by_phase.extend(two);
        for findings in [typical(), long(), phases] {
            let pages = layout::pages(&sheet(&findings, options).document);
            let titles: Vec<&str> = pages[0].bookmarks.iter().map(|b| b.0.as_str()).collect();
            let wanted = [
                "At a glance",
                "To do this morning",
                "To do tonight",
                "Brush time by speed",
                "The shift over time",
            ];
            assert_eq!(titles, wanted);
        }
    }
}

/// A path that is closed goes back over itself, and its gaps are gone.
#[test]
fn dashes_stay_dashes() {
    let f = typical();
    let file = read(&sheet(&f, US_LETTER));
    let mut dashed = 0;
    for page in file.get_pages().values() {
        let content = Content::decode(&file.get_page_content(*page)).unwrap();
        let (mut dashes, mut closed) = (false, false);
        for operation in &content.operations {
            match operation.operator.as_str() {
                "d" => dashes = !operation.operands[0].as_array().unwrap().is_empty(),
                "m" => closed = false,
                "h" => closed = true,
                "S" if dashes => {
                    assert!(!closed, "a dashed path is closed");
                    dashed += 1;
                }
                _ => {}
            }
        }
    }
    assert!(dashed > 0, "nothing is dashed on this sheet");
}
