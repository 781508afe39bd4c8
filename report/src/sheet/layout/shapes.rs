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

/// One thing on a page.
#[derive(Clone, Debug)]
pub(in crate::sheet) enum Item {
    /// Text whose baseline begins at `at`.
    Text { at: Point, size: f64, weight: Weight, text: String },
    /// Strokes that belong together; each is two or more points.
    Strokes { lines: Vec<Vec<Point>>, width: f64, grey: Grey, dashed: bool },
    /// A filled outline.
    Filled { outline: Vec<Point>, grey: Grey },
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
