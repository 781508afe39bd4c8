//! A page as PNG, from the same drawing as the PDF.
//!
//! Letters are the outlines of the shipped typeface, set by the same widths. All is grey:
//! colour only says again what shape or pattern say.

use super::SheetError;
use super::layout::shapes::{Item, Page, Point};
use super::typeface::{self, Weight};
use tiny_skia::{
    Color, FillRule, LineCap, Paint, Path, PathBuilder, Pixmap, Stroke, StrokeDash, Transform,
};
use ttf_parser::{GlyphId, OutlineBuilder};

/// Dots to a point: 200 to the inch, of which an inch has 72.
const SCALE: f32 = 200.0 / 72.0;
/// A picture higher than this is no page, in dots.
const MOST_DOTS: f32 = 20_000.0;

/// The page as a PNG file.
pub(super) fn write(page: &Page) -> Result<Vec<u8>, SheetError> {
    let failed = |why: &str| SheetError::Picture(why.to_owned());
    let dots = |points: f64| (points as f32 * SCALE).ceil().clamp(1.0, MOST_DOTS) as u32;
    let pixmap = Pixmap::new(dots(page.size.0), dots(page.size.1));
    let mut pixmap = pixmap.ok_or_else(|| failed("there is not enough memory"))?;
    pixmap.fill(Color::WHITE);
    let letters = Letters::read()?;
    for item in &page.items {
        draw(&mut pixmap, item, &letters);
    }
    pixmap.encode_png().map_err(|error| failed(&error.to_string()))
}

/// Both weights of the typeface.
struct Letters {
    regular: ttf_parser::Face<'static>,
    bold: ttf_parser::Face<'static>,
}

impl Letters {
    fn read() -> Result<Self, SheetError> {
        let face = |weight, name| {
            let bytes = typeface::face(weight).map(|face| face.bytes);
            bytes
                .and_then(|bytes| ttf_parser::Face::parse(bytes, 0).ok())
                .ok_or(SheetError::Typeface(name))
        };
        Ok(Self {
            regular: face(Weight::Regular, "Noto Sans")?,
            bold: face(Weight::Bold, "Noto Sans Bold")?,
        })
    }

    fn of(&self, weight: Weight) -> &ttf_parser::Face<'static> {
        match weight {
            Weight::Regular => &self.regular,
            Weight::Bold => &self.bold,
        }
    }
}

fn draw(pixmap: &mut Pixmap, item: &Item, letters: &Letters) {
    let transform = Transform::from_scale(SCALE, SCALE);
    match item {
        Item::Text { at, size, weight, text } => {
            if let Some(path) = outlines(*at, *size, *weight, text, letters) {
                pixmap.fill_path(&path, &paint(0.0), FillRule::Winding, transform, None);
            }
        }
        Item::Strokes { lines, width, grey, dashed } => {
            let dash = if *dashed { StrokeDash::new(vec![4.0, 2.5], 0.0) } else { None };
            let stroke =
                Stroke { width: *width as f32, line_cap: LineCap::Butt, dash, ..Stroke::default() };
            if let Some(path) = path(lines, false) {
                pixmap.stroke_path(&path, &paint(*grey), &stroke, transform, None);
            }
        }
        Item::Filled { outline, grey } => {
            if let Some(path) = path(std::slice::from_ref(outline), true) {
                pixmap.fill_path(&path, &paint(*grey), FillRule::Winding, transform, None);
            }
        }
        Item::Tinted(_, item) => draw(pixmap, item, letters),
    }
}

fn paint(grey: f64) -> Paint<'static> {
    let level = (grey.clamp(0.0, 1.0) * 255.0).round() as u8;
    let mut paint = Paint { anti_alias: true, ..Paint::default() };
    paint.set_color_rgba8(level, level, level, 255);
    paint
}

fn path(lines: &[Vec<Point>], closed: bool) -> Option<Path> {
    let mut builder = PathBuilder::new();
    for line in lines {
        let mut points = line.iter().map(|(x, y)| (*x as f32, *y as f32));
        let Some((x, y)) = points.next() else { continue };
        builder.move_to(x, y);
        points.for_each(|(x, y)| builder.line_to(x, y));
        if closed {
            builder.close();
        }
    }
    builder.finish()
}

fn outlines(at: Point, size: f64, weight: Weight, text: &str, letters: &Letters) -> Option<Path> {
    let (face, widths) = (letters.of(weight), typeface::face(weight)?);
    let scale = (size / 1000.0) as f32;
    let mut outline =
        Outline { builder: PathBuilder::new(), x: at.0 as f32, y: at.1 as f32, scale };
    for glyph in text.chars().filter_map(|c| widths.glyph(c)) {
        face.outline_glyph(GlyphId(glyph.id), &mut outline);
        outline.x += f32::from(glyph.advance) * scale;
    }
    outline.builder.finish()
}

/// Takes a letter's outline, whose y goes up, to its place on the page.
struct Outline {
    builder: PathBuilder,
    x: f32,
    y: f32,
    scale: f32,
}

impl Outline {
    fn place(&self, x: f32, y: f32) -> (f32, f32) {
        (self.x + x * self.scale, self.y - y * self.scale)
    }
}

impl OutlineBuilder for Outline {
    fn move_to(&mut self, x: f32, y: f32) {
        let (x, y) = self.place(x, y);
        self.builder.move_to(x, y);
    }

    fn line_to(&mut self, x: f32, y: f32) {
        let (x, y) = self.place(x, y);
        self.builder.line_to(x, y);
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        let ((x1, y1), (x, y)) = (self.place(x1, y1), self.place(x, y));
        self.builder.quad_to(x1, y1, x, y);
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        let ((x1, y1), (x2, y2), (x, y)) =
            (self.place(x1, y1), self.place(x2, y2), self.place(x, y));
        self.builder.cubic_to(x1, y1, x2, y2, x, y);
    }

    fn close(&mut self) {
        self.builder.close();
    }
}
