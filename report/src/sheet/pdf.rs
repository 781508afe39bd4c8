//! Pages to drawing operations of a PDF.
//!
//! `printpdf` writes fonts and pages; each typeface is first cut down to the
//! letters in use. What it leaves open or random is settled in `finish`.

use super::SheetError;
use super::document::Document;
use super::finish;
use super::layout::shapes::{Item, Page, Point, Tint};
use super::typeface::{self, Face, Weight};
use printpdf::{
    Color, FontId, Greyscale, Line, LineDashPattern, LinePoint, Op, PaintMode, ParsedFont,
    PdfDocument, PdfFont, PdfFontHandle, PdfPage, PdfSaveOptions, Polygon, PolygonRing, Pt, Rect,
    Rgb, TextItem, WindingOrder,
};
use std::collections::{BTreeMap, BTreeSet};

/// Writes the file.
pub(super) fn write(document: &Document, pages: &[Page]) -> Result<Vec<u8>, SheetError> {
    let mut pdf = PdfDocument::new(&document.title);
    for (weight, id) in [(Weight::Regular, "R"), (Weight::Bold, "B")] {
        let letters = letters(pages, weight);
        let font = cut(weight, &letters)?;
        pdf.resources.fonts.map.insert(FontId(id.to_owned()), PdfFont::new(font));
    }
    pdf.pages = pages.iter().map(|p| page(p, document.colour)).collect();
    let mut warnings = Vec::new();
    let file = printpdf::to_lopdf_doc(&pdf, &PdfSaveOptions::default(), &mut warnings);
    finish::file(file, document, pages)
}

/// Letters in use, which become glyphs 1, 2, 3 … in this order.
fn letters(pages: &[Page], weight: Weight) -> BTreeSet<char> {
    let texts = pages.iter().flat_map(|p| &p.items).filter_map(|item| match item {
        Item::Text { text, weight: w, .. } if *w == weight => Some(text),
        _ => None,
    });
    // The space is always there, so that a weight without text is still a font.
    texts.flat_map(|t| t.chars()).chain([' ']).collect()
}

/// The typeface with only these letters.
fn cut(weight: Weight, letters: &BTreeSet<char>) -> Result<ParsedFont, SheetError> {
    let name = match weight {
        Weight::Regular => "Noto Sans",
        Weight::Bold => "Noto Sans Bold",
    };
    let face: &Face = typeface::face(weight).ok_or(SheetError::Typeface(name))?;
    let mut mapper = subsetter::GlyphRemapper::new();
    let mut glyphs = BTreeMap::new();
    let mut widths = BTreeMap::new();
    for c in letters {
        let Some(glyph) = face.glyph(*c) else { continue };
        let id = mapper.remap(glyph.id);
        glyphs.insert(u32::from(*c), id);
        widths.insert(id, glyph.advance);
    }
    let bytes =
        subsetter::subset(face.bytes, 0, &mapper).map_err(|_| SheetError::Typeface(name))?;
    Ok(ParsedFont {
        original_bytes: bytes,
        codepoint_to_glyph: glyphs,
        glyph_widths: widths,
        // A PDF wants a tag of six letters before the name of a cut font.
        font_name: Some(format!("{}+{}", tag(letters), face.name)),
        ..face.parsed.clone()
    })
}

/// Six letters that depend on the glyphs alone.
fn tag(letters: &BTreeSet<char>) -> String {
    let bytes: Vec<u8> = letters.iter().flat_map(|c| u32::from(*c).to_le_bytes()).collect();
    let mut hash = finish::fnv1a(&bytes);
    let mut out = String::new();
    for _ in 0..6 {
        out.push(char::from(b'A' + (hash % 26) as u8));
        hash /= 26;
    }
    out
}

fn page(page: &Page, colour: bool) -> PdfPage {
    let (width, height) = page.size;
    let rect = Rect {
        x: Pt(0.0),
        y: Pt(0.0),
        width: Pt(width as f32),
        height: Pt(height as f32),
        mode: None,
        winding_order: None,
    };
    let mut pen = Pen { height, colour, ..Pen::default() };
    for item in &page.items {
        pen.draw(item);
    }
    PdfPage { media_box: rect.clone(), trim_box: rect.clone(), crop_box: rect, ops: pen.ops }
}

/// Draws, and says what changes only when it changes.
#[derive(Default)]
struct Pen {
    ops: Vec<Op>,
    height: f64,
    /// Whether marks are drawn in colour.
    colour: bool,
    /// Colour of what is drawn, in place of its grey.
    tint: Option<Tint>,
    fill: Option<Ink>,
    stroke: Option<Ink>,
    width: Option<f64>,
    dashed: Option<bool>,
}

/// What a pen draws with.
#[derive(Clone, Copy, PartialEq)]
enum Ink {
    Grey(f64),
    Colour(Tint),
}

impl Ink {
    fn color(self) -> Color {
        match self {
            Self::Grey(grey) => Color::Greyscale(Greyscale::new(grey as f32, None)),
            Self::Colour(tint) => {
                let [r, g, b] = tint.rgb().map(|part| part as f32);
                Color::Rgb(Rgb::new(r, g, b, None))
            }
        }
    }
}

/// A hundredth of a point is finer than any printer.
fn round(v: f64) -> Pt {
    Pt(((v * 100.0).round() / 100.0) as f32)
}

impl Pen {
    fn draw(&mut self, item: &Item) {
        match item {
            Item::Text { at, size, weight, text } => self.text(*at, *size, *weight, text),
            Item::Strokes { lines, width, grey, dashed } => {
                self.stroke_with(*width, *grey, *dashed);
                self.strokes(lines, *dashed);
            }
            Item::Filled { outline, grey } => {
                self.fill_with(*grey);
                let polygon = self.polygon(std::slice::from_ref(outline), PaintMode::Fill);
                self.ops.push(Op::DrawPolygon { polygon });
            }
            Item::Tinted(tint, item) => {
                self.tint = self.colour.then_some(*tint);
                self.draw(item);
                self.tint = None;
            }
        }
    }

    fn ink(&self, grey: f64) -> Ink {
        self.tint.map_or(Ink::Grey(grey), Ink::Colour)
    }

    fn point(&self, (x, y): Point) -> printpdf::Point {
        printpdf::Point { x: round(x), y: round(self.height - y) }
    }

    fn points(&self, line: &[Point]) -> Vec<LinePoint> {
        line.iter().map(|p| LinePoint { p: self.point(*p), bezier: false }).collect()
    }

    fn polygon(&self, rings: &[Vec<Point>], mode: PaintMode) -> Polygon {
        Polygon {
            rings: rings.iter().map(|r| PolygonRing { points: self.points(r) }).collect(),
            mode,
            winding_order: WindingOrder::NonZero,
        }
    }

    fn text(&mut self, at: Point, size: f64, weight: Weight, text: &str) {
        if text.is_empty() {
            return;
        }
        self.fill_with(0.0);
        let id = match weight {
            Weight::Regular => "R",
            Weight::Bold => "B",
        };
        let font = PdfFontHandle::External(FontId(id.to_owned()));
        let pos = self.point(at);
        self.ops.extend([
            Op::StartTextSection,
            Op::SetFont { font, size: Pt(size as f32) },
            Op::SetTextCursor { pos },
            Op::ShowText { items: vec![TextItem::Text(text.to_owned())] },
            Op::EndTextSection,
        ]);
    }

    fn strokes(&mut self, lines: &[Vec<Point>], dashed: bool) {
        // Many straight lines are one path; closing a path of two points draws nothing new,
        // but for dashes: the way back would fill their gaps.
        if !dashed && lines.iter().all(|l| l.len() == 2) && !lines.is_empty() {
            let polygon = self.polygon(lines, PaintMode::Stroke);
            self.ops.push(Op::DrawPolygon { polygon });
            return;
        }
        for line in lines {
            let line = Line { points: self.points(line), is_closed: false };
            self.ops.push(Op::DrawLine { line });
        }
    }

    fn fill_with(&mut self, level: f64) {
        let ink = self.ink(level);
        if self.fill != Some(ink) {
            self.fill = Some(ink);
            self.ops.push(Op::SetFillColor { col: ink.color() });
        }
    }

    fn stroke_with(&mut self, width: f64, level: f64, dashed: bool) {
        let ink = self.ink(level);
        if self.stroke != Some(ink) {
            self.stroke = Some(ink);
            self.ops.push(Op::SetOutlineColor { col: ink.color() });
        }
        if self.width != Some(width) {
            self.width = Some(width);
            self.ops.push(Op::SetOutlineThickness { pt: Pt(width as f32) });
        }
        if self.dashed != Some(dashed) {
            self.dashed = Some(dashed);
            let pattern: &[f32] = if dashed { &[4.0, 2.5] } else { &[] };
            self.ops.push(Op::SetLineDashPattern { dash: LineDashPattern::new(0.0, pattern) });
        }
    }
}
