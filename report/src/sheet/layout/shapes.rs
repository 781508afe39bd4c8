//! What a page is made of: letters, lines and filled shapes at given places.
//!
//! Points (1/72 in) from the upper left corner, y downwards.

use crate::sheet::typeface::Weight;

/// A place on the page.
pub(in crate::sheet) type Point = (f64, f64);

/// How light: 0 is black, 1 white.
pub(in crate::sheet) type Grey = f64;

/// Black.
pub(in crate::sheet) const BLACK: Grey = 0.0;

/// A colour that says again what shape or pattern say already.
///
/// Source: Okabe & Ito, "Color Universal Design" (2008): vermillion and bluish green,
/// told apart by readers of all kinds of colour vision.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::sheet) enum Tint {
    /// As it should be.
    Good,
    /// Something to do, or wrong.
    Wrong,
}

impl Tint {
    /// Red, green and blue, 0 to 1.
    pub(in crate::sheet) fn rgb(self) -> [f64; 3] {
        let bytes: [u8; 3] = match self {
            Self::Good => [0, 158, 115],
            Self::Wrong => [213, 94, 0],
        };
        bytes.map(|byte| f64::from(byte) / 255.0)
    }
}

/// One thing on a page.
#[derive(Clone, Debug)]
pub(in crate::sheet) enum Item {
    /// Text whose baseline begins at `at`.
    Text { at: Point, size: f64, weight: Weight, text: String },
    /// Strokes that belong together; each is two or more points.
    Strokes { lines: Vec<Vec<Point>>, width: f64, grey: Grey, dashed: bool },
    /// A filled outline.
    Filled { outline: Vec<Point>, grey: Grey },
    /// The same in colour, where colour is wanted.
    Tinted(Tint, Box<Item>),
}

/// A finished page.
#[derive(Clone, Debug, Default)]
pub(in crate::sheet) struct Page {
    /// Width and height.
    pub(in crate::sheet) size: Point,
    /// In order of drawing.
    pub(in crate::sheet) items: Vec<Item>,
    /// Headings and the height of each on the page.
    pub(in crate::sheet) bookmarks: Vec<(String, f64)>,
}

/// A rectangle.
#[derive(Clone, Copy, Debug)]
pub(super) struct Area {
    pub(super) left: f64,
    pub(super) top: f64,
    pub(super) right: f64,
    pub(super) bottom: f64,
}

impl Area {
    pub(super) fn width(self) -> f64 {
        self.right - self.left
    }

    pub(super) fn height(self) -> f64 {
        self.bottom - self.top
    }

    fn outline(self) -> Vec<Point> {
        vec![
            (self.left, self.top),
            (self.right, self.top),
            (self.right, self.bottom),
            (self.left, self.bottom),
        ]
    }

    pub(super) fn filled(self, grey: Grey) -> Item {
        Item::Filled { outline: self.outline(), grey }
    }

    pub(super) fn outlined(self, width: f64) -> Item {
        let mut line = self.outline();
        line.push((self.left, self.top));
        Item::Strokes { lines: vec![line], width, grey: BLACK, dashed: false }
    }

    /// Lying lines that fill the rectangle.
    pub(super) fn ruled(self, apart: f64) -> Item {
        let count = (self.height() / apart).floor() as usize;
        let y = |i: usize| self.top + i as f64 * apart;
        let lines = (1..=count).map(|i| vec![(self.left, y(i)), (self.right, y(i))]).collect();
        Item::Strokes { lines, width: 0.6, grey: BLACK, dashed: false }
    }

    /// Standing lines that fill the rectangle, on one raster for all.
    pub(super) fn barred(self, apart: f64) -> Item {
        let first = (self.left / apart).ceil() as i64;
        let last = (self.right / apart).floor() as i64;
        let x = |i: i64| i as f64 * apart;
        let lines = (first..=last).map(|i| vec![(x(i), self.top), (x(i), self.bottom)]).collect();
        Item::Strokes { lines, width: 0.6, grey: BLACK, dashed: false }
    }

    /// Slanted lines that fill the rectangle: the sign for "not observed".
    ///
    /// Each line follows x + y = c; its ends are cut at the rectangle's sides. All
    /// rectangles share one raster, so that neighbours fit together.
    pub(super) fn hatched(self, apart: f64) -> Item {
        let first = ((self.left + self.top) / apart).ceil() as i64;
        let last = ((self.right + self.bottom) / apart).floor() as i64;
        let lines = (first..=last)
            .map(|i| {
                let c = i as f64 * apart;
                let from_x = self.left.max(c - self.bottom);
                let to_x = self.right.min(c - self.top);
                vec![(from_x, c - from_x), (to_x, c - to_x)]
            })
            .collect();
        Item::Strokes { lines, width: 0.35, grey: 0.45, dashed: false }
    }
}

/// A straight line.
pub(super) fn rule(from: Point, to: Point, width: f64, grey: Grey) -> Item {
    Item::Strokes { lines: vec![vec![from, to]], width, grey, dashed: false }
}

/// A dashed straight line.
pub(super) fn dashes(from: Point, to: Point, width: f64) -> Item {
    Item::Strokes { lines: vec![vec![from, to]], width, grey: BLACK, dashed: true }
}
