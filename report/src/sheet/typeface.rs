//! The sheet's typeface: Noto Sans, regular and bold, read once.
//!
//! Made by `assets/subset_fonts.sh`; licence in `assets/OFL.txt`. Its digits all
//! have the same width, so columns of numbers stand straight. Of `printpdf`, only
//! its reader of font files is used here.

use printpdf::ParsedFont;
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// A weight of the typeface.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Weight {
    Regular,
    Bold,
}

/// One weight, read.
#[derive(Debug)]
pub(super) struct Face {
    /// The font file.
    pub(super) bytes: &'static [u8],
    /// Its name in a PDF.
    pub(super) name: &'static str,
    /// What the font descriptor needs.
    pub(super) parsed: ParsedFont,
    glyphs: BTreeMap<char, Glyph>,
}

/// One letter.
#[derive(Clone, Copy, Debug)]
pub(super) struct Glyph {
    /// Its number in the font file.
    pub(super) id: u16,
    /// Advance in thousandths of the size.
    pub(super) advance: u16,
}

impl Face {
    fn read(name: &'static str, bytes: &'static [u8]) -> Option<Self> {
        let mut parsed = ParsedFont::from_bytes(bytes, 0, &mut Vec::new())?;
        // The advances below are taken as thousandths.
        if parsed.units_per_em != 1000 {
            return None;
        }
        let glyphs = parsed
            .codepoint_to_glyph
            .iter()
            .filter_map(|(code, id)| {
                let advance = parsed.get_glyph_width(*id)?;
                Some((char::from_u32(*code)?, Glyph { id: *id, advance }))
            })
            .collect();
        parsed.original_bytes.clear();
        parsed.codepoint_to_glyph.clear();
        parsed.glyph_widths.clear();
        Some(Self { bytes, name, parsed, glyphs })
    }

    /// The glyph of a letter.
    pub(super) fn glyph(&self, c: char) -> Option<Glyph> {
        self.glyphs.get(&c).copied()
    }
}

static REGULAR: &[u8] = include_bytes!("../../assets/NotoSans-Regular.ttf");
static BOLD: &[u8] = include_bytes!("../../assets/NotoSans-Bold.ttf");

/// A weight of the typeface; `None` only if the files in the program are broken.
pub(super) fn face(weight: Weight) -> Option<&'static Face> {
    static FACES: [OnceLock<Option<Face>>; 2] = [OnceLock::new(), OnceLock::new()];
    match weight {
        Weight::Regular => FACES[0].get_or_init(|| Face::read("NotoSans", REGULAR)).as_ref(),
        Weight::Bold => FACES[1].get_or_init(|| Face::read("NotoSans-Bold", BOLD)).as_ref(),
    }
}

/// Whether both weights have this letter.
pub(super) fn has_glyph(c: char) -> bool {
    [Weight::Regular, Weight::Bold].iter().all(|w| face(*w).is_some_and(|f| f.glyph(c).is_some()))
}

/// Width of a text in points.
pub(super) fn width(text: &str, weight: Weight, size: f64) -> f64 {
    let Some(face) = face(weight) else { return 0.0 };
    let thousandths: f64 =
        text.chars().filter_map(|c| face.glyph(c)).map(|g| f64::from(g.advance)).sum();
    thousandths * size / 1000.0
}
