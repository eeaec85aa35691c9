//! Lays words, tables and drawings out on A4 pages. A page is a [`Drawing`] of the paper's size, so that sheets
//! are written, measured and tested as drawings are.

mod lines;
mod table;

pub use lines::{Run, Words, fitted, plain};
pub use table::{Align, Cell, Grid};

use crate::drawing::{Anchor, Drawing, Fill, Line, Of, P, p};
use crate::font;
use lines::set;

/// A4 (ISO 216), upright.
const PAPER: (f64, f64) = (210.0, 297.0);
/// Left and right margins; the left one leaves room for a punch.
const LEFT: f64 = 18.0;
const RIGHT: f64 = 12.0;
const TOP: f64 = 20.0;
const BOTTOM: f64 = 18.0;
/// Text width.
pub const WIDTH: f64 = PAPER.0 - LEFT - RIGHT;
/// Size of running text, mm: about 9.5 points.
pub const BODY: f64 = 3.35;
/// Size of lesser text.
pub const LESSER: f64 = 2.85;
/// Distance of lines as a multiple of the size.
const LEADING: f64 = 1.38;

/// A sheet being laid out.
pub struct Paper {
    pages: Vec<Drawing>,
    /// Upper edge of what comes next.
    y: f64,
    /// Nothing placed on this page yet.
    fresh: bool,
    head: Head,
}

/// What stands on every page.
#[derive(Clone, Debug, Default)]
pub struct Head {
    /// Stable key of the sheet: pages are `key-1`, `key-2`, ….
    pub key: String,
    /// At the top left.
    pub title: String,
    /// At the bottom left.
    pub foot: String,
    /// A boxed word at the top right, such as the mark of an invented example.
    pub stamp: Option<String>,
}

impl Paper {
    /// An empty sheet.
    pub fn new(head: Head) -> Self {
        let mut paper = Self { pages: Vec::new(), y: TOP, fresh: true, head };
        paper.page();
        paper
    }

    /// Starts a page.
    pub fn page(&mut self) {
        if self.fresh && !self.pages.is_empty() {
            return;
        }
        let n = self.pages.len() + 1;
        let (w, h) = PAPER;
        self.pages.push(Drawing::new(format!("{}-{n}", self.head.key), self.head.title.clone(), w, h));
        self.y = TOP;
        self.fresh = true;
    }

    /// Room left on the page.
    pub fn room(&self) -> f64 {
        PAPER.1 - BOTTOM - self.y
    }

    /// Starts a page unless `height` still fits.
    pub fn keep(&mut self, height: f64) {
        if self.room() < height {
            self.page();
        }
    }

    /// Leaves a gap, except at the top of a page.
    pub fn gap(&mut self, height: f64) {
        if !self.fresh {
            self.y += height;
        }
    }

    /// Where the next thing goes: upper left corner.
    pub fn here(&self) -> P {
        p(LEFT, self.y)
    }

    /// The page being filled. After drawing on it, [`Paper::take`] the height used.
    pub fn ink(&mut self) -> &mut Drawing {
        self.fresh = false;
        let last = self.pages.len() - 1;
        &mut self.pages[last]
    }

    /// Moves down.
    pub fn take(&mut self, height: f64) {
        self.y += height;
        self.fresh = false;
    }

    /// A heading over the text width; stays with at least `with` mm of what follows.
    pub fn heading(&mut self, text: &str, with: f64) {
        self.gap(5.0);
        self.keep(9.0 + with);
        let at = self.here();
        let d = self.ink();
        d.line(at, at + p(WIDTH, 0.0), Line::Heavy, Of::Part);
        d.text(at + p(0.0, 5.8), Anchor::Start, 4.6, true, Of::Part, text);
        self.take(8.4);
    }

    /// A lesser heading.
    pub fn subheading(&mut self, text: &str, with: f64) {
        self.gap(2.0);
        let set = set(&[Run::bold(text)], BODY, WIDTH);
        self.keep(set.height() + with + 1.5);
        self.put(&set, 0.0);
        self.take(0.8);
    }

    /// A paragraph.
    pub fn paragraph(&mut self, runs: &[Run], size: f64) {
        self.paragraph_in(runs, size, 0.0, WIDTH);
        self.take(1.2);
    }

    /// A paragraph between `left` and `left + width`, without a gap after it. It may run over pages.
    pub fn paragraph_in(&mut self, runs: &[Run], size: f64, left: f64, width: f64) {
        for line in set(runs, size, width).split() {
            self.keep(line.height());
            self.put(&line, left);
        }
    }

    /// Numbered or marked text: `mark` hangs to the left of the words.
    pub fn item(&mut self, mark: &str, runs: &[Run], size: f64) {
        let indent = 7.0;
        let words = set(runs, size, WIDTH - indent);
        self.keep(words.height().min(30.0));
        let at = self.here();
        let base = at + p(0.0, base_line(size));
        self.ink().text(base, Anchor::Start, size, true, Of::Note, mark);
        self.paragraph_in(runs, size, indent, WIDTH - indent);
        self.take(1.0);
    }

    /// Words beside a thick bar with a word in front: cautions, warnings, what cannot be done.
    pub fn notice(&mut self, word: &str, runs: &[Run], of: Of, indent: f64) {
        let pad = 2.0;
        let size = BODY;
        let mut all = vec![Run { text: format!("{word}  "), bold: true, of }];
        all.extend_from_slice(runs);
        let words = set(&all, size, WIDTH - indent - 2.0 * pad - 1.5);
        let height = words.height() + 2.0 * pad * 0.7;
        self.keep(height);
        let at = self.here() + p(indent, 0.0);
        let d = self.ink();
        d.rect(at, at + p(WIDTH - indent, height), None, Fill::Tint, of);
        d.rect(at, at + p(1.4, height), None, Fill::Solid, of);
        self.take(pad * 0.7);
        self.put(&words, indent + 1.5 + pad);
        self.take(pad * 0.7 + 1.4);
    }

    /// A drawing, at the left margin, at its own size: it is never scaled.
    pub fn figure(&mut self, drawing: &Drawing) {
        self.gap(3.0);
        self.keep(drawing.height);
        let at = self.here();
        self.ink().place(drawing, at);
        self.take(drawing.height + 2.0);
    }

    /// Whether a drawing still fits on this page.
    pub fn takes(&self, drawing: &Drawing) -> bool {
        let gap = if self.fresh { 0.0 } else { 3.0 };
        self.room() >= gap + drawing.height
    }

    /// A table; its head is repeated on each page.
    pub fn grid(&mut self, grid: &Grid) {
        table::lay(self, grid);
        self.take(2.0);
    }

    fn put(&mut self, words: &Words, left: f64) {
        let at = self.here() + p(left, 0.0);
        words.draw(self.ink(), at);
        self.take(words.height());
    }

    /// A label with a rule to write on.
    pub fn blank_line(&mut self, label: &str) {
        let words = format!("{label}: ");
        let long = font::width(&words, true, BODY);
        self.keep(7.0);
        let at = self.here() + p(0.0, 5.0);
        let d = self.ink();
        d.text(at, Anchor::Start, BODY, true, Of::Note, words);
        d.line(at + p(long + 1.0, 0.6), at + p(WIDTH * 0.7, 0.6), Line::Narrow, Of::Note);
        self.take(7.0);
    }

    /// Lines to sign on, side by side.
    pub fn signatures(&mut self, names: &[String]) {
        self.gap(4.0);
        self.keep(20.0);
        let at = self.here();
        let w = (WIDTH - 8.0 * (names.len() as f64 - 1.0)) / names.len().max(1) as f64;
        let d = self.ink();
        for (i, name) in names.iter().enumerate() {
            let x = at.x + (w + 8.0) * i as f64;
            d.line(p(x, at.y + 12.0), p(x + w, at.y + 12.0), Line::Narrow, Of::Note);
            let name = fitted(name, false, LESSER, w);
            d.text(p(x, at.y + 16.0), Anchor::Start, LESSER, false, Of::Note, name);
        }
        self.take(19.0);
    }

    /// The pages, with heads, feet and `page n of m`.
    pub fn finish(mut self) -> Vec<Drawing> {
        if self.fresh && self.pages.len() > 1 {
            self.pages.pop();
        }
        let total = self.pages.len();
        for (i, page) in self.pages.iter_mut().enumerate() {
            let right = PAPER.0 - RIGHT;
            let mut room = WIDTH;
            if let Some(stamp) = &self.head.stamp {
                let w = font::width(stamp, true, LESSER);
                let (a, b) = (p(right - w - 4.0, 7.5), p(right, 13.0));
                page.rect(a, b, Some(Line::Wide), Fill::None, Of::Warn);
                page.text(p(right - 2.0, 11.3), Anchor::End, LESSER, true, Of::Warn, stamp.as_str());
                room -= w + 6.0;
            }
            let foot_y = PAPER.1 - 9.0;
            let number = format!("page {} of {total}", i + 1);
            let foot_room = WIDTH - font::width(&number, false, LESSER) - 4.0;
            let title = fitted(&self.head.title, false, LESSER, room);
            let foot = fitted(&self.head.foot, false, LESSER, foot_room);
            page.text(p(LEFT, 11.3), Anchor::Start, LESSER, false, Of::Faint, title);
            page.line(p(LEFT, foot_y - 4.2), p(right, foot_y - 4.2), Line::Hair, Of::Faint);
            page.text(p(LEFT, foot_y), Anchor::Start, LESSER, false, Of::Faint, foot);
            page.text(p(right, foot_y), Anchor::End, LESSER, false, Of::Faint, number);
            page.about = format!("{}, page {} of {total}", self.head.title, i + 1);
        }
        self.pages
    }
}

/// From the upper edge of a line to its line of writing.
fn base_line(size: f64) -> f64 {
    size * (LEADING / 2.0 + font::CAP_HEIGHT / 2.0)
}
