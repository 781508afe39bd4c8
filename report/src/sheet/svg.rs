//! A page as SVG, from the same drawing as the PDF.
//!
//! Units are points. Text stays text: `textLength` keeps its width where the typeface is
//! another one.

use super::layout::shapes::{Item, Page, Point};
use super::typeface::{Weight, width};
use std::fmt::Write as _;

/// The page as an SVG file.
pub(super) fn write(page: &Page) -> String {
    let (wide, high) = page.size;
    let mut out = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" \
         width=\"{wide}pt\" height=\"{high}pt\" viewBox=\"0 0 {wide} {high}\" \
         font-family=\"Noto Sans, sans-serif\">\n\
         <rect width=\"{wide}\" height=\"{high}\" fill=\"#fff\"/>\n"
    );
    for item in &page.items {
        draw(&mut out, item);
    }
    out.push_str("</svg>\n");
    out
}

fn draw(out: &mut String, item: &Item) {
    match item {
        Item::Text { at, size, weight, text } => {
            if text.is_empty() {
                return;
            }
            let bold = if *weight == Weight::Bold { " font-weight=\"bold\"" } else { "" };
            let (x, y, long) = (round(at.0), round(at.1), round(width(text, *weight, *size)));
            let text = escaped(text);
            let _ = writeln!(
                out,
                "<text x=\"{x}\" y=\"{y}\" font-size=\"{size}\"{bold} textLength=\"{long}\">{text}</text>"
            );
        }
        Item::Strokes { lines, width, grey, dashed } => {
            let dash = if *dashed { " stroke-dasharray=\"4 2.5\"" } else { "" };
            let path: String = lines.iter().map(|line| path(line)).collect();
            let grey = shade(*grey);
            let _ = writeln!(
                out,
                "<path d=\"{path}\" fill=\"none\" stroke=\"{grey}\" stroke-width=\"{width}\"{dash}/>"
            );
        }
        Item::Filled { outline, grey } => {
            let _ = writeln!(out, "<path d=\"{}Z\" fill=\"{}\"/>", path(outline), shade(*grey));
        }
        // Colour only says again what shape or pattern say.
        Item::Tinted(_, item) => draw(out, item),
    }
}

fn path(line: &[Point]) -> String {
    let mut out = String::new();
    for (i, (x, y)) in line.iter().enumerate() {
        let _ = write!(out, "{}{} {}", if i == 0 { "M" } else { "L" }, round(*x), round(*y));
    }
    out
}

/// A hundredth of a point is finer than any printer.
fn round(v: f64) -> f64 {
    (v * 100.0).round() / 100.0
}

fn shade(grey: f64) -> String {
    let level = (grey.clamp(0.0, 1.0) * 255.0).round() as u8;
    format!("#{level:02x}{level:02x}{level:02x}")
}

fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            // XML 1.0 has no other control characters.
            c if c.is_control() => out.push('\u{FFFD}'),
            c => out.push(c),
        }
    }
    out
}
