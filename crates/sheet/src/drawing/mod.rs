//! A finished drawing: paths and text on paper, in millimetres, x to the right and y down.
//!
//! Style is given by role (what a line is, whose it is), never by colour: each writer has its own palette, and a
//! page may restyle the SVG. Sheets are drawings too, one a page, so both go through the same writers and tests.

mod marks;
mod pdf;
mod svg;

pub use marks::{SMALL, Scale, TEXT, View, flatten};
pub use pdf::{PdfInfo, pdf};
pub use svg::{SvgOptions, style, svg};

use crate::font;

/// A point on the paper, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct P {
    /// To the right.
    pub x: f64,
    /// Down.
    pub y: f64,
}

/// Short for [`P`].
pub const fn p(x: f64, y: f64) -> P {
    P { x, y }
}

impl std::ops::Add for P {
    type Output = Self;
    fn add(self, o: Self) -> Self {
        p(self.x + o.x, self.y + o.y)
    }
}
impl std::ops::Sub for P {
    type Output = Self;
    fn sub(self, o: Self) -> Self {
        p(self.x - o.x, self.y - o.y)
    }
}
impl std::ops::Mul<f64> for P {
    type Output = Self;
    fn mul(self, k: f64) -> Self {
        p(self.x * k, self.y * k)
    }
}
impl P {
    /// Distance from the origin.
    pub fn norm(self) -> f64 {
        self.x.hypot(self.y)
    }
}

/// What a line is, with its type by ISO 128-2:2020 (numbers from memory of the standard).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Line {
    /// Visible edge: continuous wide, 01.2.
    Wide,
    /// Dimension, leader, hatching, root of a thread seen from the side: continuous narrow, 01.1.
    Narrow,
    /// Hidden edge: dashed narrow, 02.1.
    Hidden,
    /// Axis, pitch line: long-dashed dotted narrow, 04.1.
    Centre,
    /// Adjacent part, other position of a moving part: long-dashed double-dotted narrow, 05.1.
    Phantom,
    /// Hairline of a table or a grid; no line of ISO 128.
    Hair,
    /// Rule of a sheet, a box around an answer; no line of ISO 128.
    Heavy,
}

impl Line {
    /// All.
    pub const ALL: [Self; 7] =
        [Self::Wide, Self::Narrow, Self::Hidden, Self::Centre, Self::Phantom, Self::Hair, Self::Heavy];
    /// Width in mm; wide and narrow in the ratio 2:1 (ISO 128-2:2020, from memory).
    pub const fn width(self) -> f64 {
        match self {
            Self::Wide => 0.5,
            Self::Narrow | Self::Hidden | Self::Centre | Self::Phantom => 0.25,
            Self::Hair => 0.12,
            Self::Heavy => 0.8,
        }
    }
    /// Dashes and gaps in mm, empty for a continuous line. Dash 12 d, long dash 24 d, gap 3 d, dot half a d
    /// (ISO 128-2:2020, from memory), d being the line's width.
    pub const fn dashes(self) -> &'static [f64] {
        match self {
            Self::Hidden => &[3.0, 0.75],
            Self::Centre => &[6.0, 0.75, 0.25, 0.75],
            Self::Phantom => &[6.0, 0.75, 0.25, 0.75, 0.25, 0.75],
            _ => &[],
        }
    }
    /// Class name.
    pub const fn class(self) -> &'static str {
        match self {
            Self::Wide => "l-wide",
            Self::Narrow => "l-narrow",
            Self::Hidden => "l-hidden",
            Self::Centre => "l-centre",
            Self::Phantom => "l-phantom",
            Self::Hair => "l-hair",
            Self::Heavy => "l-heavy",
        }
    }
}

/// Whose a line or a text is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Of {
    /// The part that is made.
    Part,
    /// Its mate, as measured.
    Mate,
    /// The tool.
    Tool,
    /// The book's limits, a rival thread: what is compared with.
    Book,
    /// Dimensions and words.
    Note,
    /// Lesser words, grids.
    Faint,
    /// Something that cannot be done, or can hurt.
    Warn,
}

impl Of {
    /// All.
    pub const ALL: [Self; 7] =
        [Self::Part, Self::Mate, Self::Tool, Self::Book, Self::Note, Self::Faint, Self::Warn];
    /// Class name.
    pub const fn class(self) -> &'static str {
        match self {
            Self::Part => "of-part",
            Self::Mate => "of-mate",
            Self::Tool => "of-tool",
            Self::Book => "of-book",
            Self::Note => "of-note",
            Self::Faint => "of-faint",
            Self::Warn => "of-warn",
        }
    }
    /// Red, green, blue on white paper. All of them keep 4.5:1 against white, so that a grey printer shows them.
    pub const fn rgb(self) -> (u8, u8, u8) {
        match self {
            Self::Part => (0x11, 0x14, 0x18),
            Self::Mate => (0x14, 0x5a, 0x96),
            Self::Tool => (0x8a, 0x4b, 0x08),
            Self::Book => (0x6b, 0x3f, 0x8f),
            Self::Note => (0x22, 0x26, 0x2b),
            Self::Faint => (0x66, 0x6c, 0x74),
            Self::Warn => (0xb0, 0x1e, 0x1e),
        }
    }
}

/// How an area is filled.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Fill {
    /// Not at all.
    #[default]
    None,
    /// With its owner's colour: arrow heads.
    Solid,
    /// With a light tint of it.
    Tint,
    /// With the paper's colour, to cover what lies below.
    Paper,
}

impl Fill {
    /// Class name; empty for none.
    pub const fn class(self) -> &'static str {
        match self {
            Self::None => "",
            Self::Solid => "f-solid",
            Self::Tint => "f-tint",
            Self::Paper => "f-paper",
        }
    }
}

/// A piece of a path.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Seg {
    /// Straight to.
    To(P),
    /// Circular to `to` about `centre`; clockwise as seen on the paper.
    Arc {
        /// Centre.
        centre: P,
        /// End.
        to: P,
        /// Clockwise on the paper (y down).
        clockwise: bool,
    },
}

impl Seg {
    /// End point.
    pub const fn end(&self) -> P {
        match self {
            Self::To(to) | Self::Arc { to, .. } => *to,
        }
    }
}

/// A path.
#[derive(Clone, Debug, PartialEq)]
pub struct Path {
    /// First point.
    pub start: P,
    /// Pieces.
    pub segs: Vec<Seg>,
    /// Closed back to the start.
    pub closed: bool,
    /// Line it is stroked with, if any.
    pub line: Option<Line>,
    /// Fill.
    pub fill: Fill,
    /// Whose.
    pub of: Of,
}

/// Which point of a text stands at its place.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Anchor {
    /// Left end.
    #[default]
    Start,
    /// Middle.
    Middle,
    /// Right end.
    End,
}

/// A line of text.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    /// Place on the line of writing.
    pub at: P,
    /// Words.
    pub text: String,
    /// Size, mm.
    pub size: f64,
    /// Bold.
    pub bold: bool,
    /// Which point stands at `at`.
    pub anchor: Anchor,
    /// Degrees clockwise about `at`; dimensions read from the bottom or the right of the sheet (ISO 129-1).
    pub turn: f64,
    /// Whose.
    pub of: Of,
}

/// Anything on a drawing.
#[derive(Clone, Debug, PartialEq)]
pub enum Item {
    /// A path.
    Path(Path),
    /// A text.
    Label(Label),
}

/// A finished drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    /// Stable key: file name, id in a page.
    pub key: String,
    /// Title.
    pub title: String,
    /// What is to be seen, for those who cannot see it.
    pub about: String,
    /// Width, mm.
    pub width: f64,
    /// Height, mm.
    pub height: f64,
    /// Items, back to front.
    pub items: Vec<Item>,
}

/// A rectangle on the paper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounds {
    /// Left.
    pub x0: f64,
    /// Top.
    pub y0: f64,
    /// Right.
    pub x1: f64,
    /// Bottom.
    pub y1: f64,
}

impl Bounds {
    fn around(points: impl IntoIterator<Item = P>) -> Self {
        let start =
            Self { x0: f64::INFINITY, y0: f64::INFINITY, x1: f64::NEG_INFINITY, y1: f64::NEG_INFINITY };
        points.into_iter().fold(start, |b, q| Self {
            x0: b.x0.min(q.x),
            y0: b.y0.min(q.y),
            x1: b.x1.max(q.x),
            y1: b.y1.max(q.y),
        })
    }
    /// Whether both share an area; a twentieth of a millimetre of touching is none.
    pub fn overlaps(&self, o: &Self) -> bool {
        let slack = 0.05;
        self.x0 + slack < o.x1 && o.x0 + slack < self.x1 && self.y0 + slack < o.y1 && o.y0 + slack < self.y1
    }
    /// Whether `o` lies within, up to `slack`.
    pub fn holds(&self, o: &Self, slack: f64) -> bool {
        o.x0 >= self.x0 - slack
            && o.y0 >= self.y0 - slack
            && o.x1 <= self.x1 + slack
            && o.y1 <= self.y1 + slack
    }
}

impl Label {
    /// Width of the words, mm.
    pub fn width(&self) -> f64 {
        font::width(&self.text, self.bold, self.size)
    }
    /// Box around the words as turned.
    pub fn bounds(&self) -> Bounds {
        let w = self.width();
        let left = match self.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => -w / 2.0,
            Anchor::End => -w,
        };
        let (top, bottom) = (-font::CAP_HEIGHT * self.size, 0.2 * self.size);
        let (sin, cos) = self.turn.to_radians().sin_cos();
        Bounds::around(
            [p(left, top), p(left + w, top), p(left + w, bottom), p(left, bottom)]
                .map(|q| self.at + p(q.x * cos - q.y * sin, q.x * sin + q.y * cos)),
        )
    }
}

impl Path {
    /// Box around the path, arcs included.
    pub fn bounds(&self) -> Bounds {
        Bounds::around(flatten(self.start, &self.segs))
    }
}

impl Item {
    /// Box around the item.
    pub fn bounds(&self) -> Bounds {
        match self {
            Self::Path(path) => path.bounds(),
            Self::Label(label) => label.bounds(),
        }
    }
    /// The item, moved.
    #[must_use]
    pub fn moved(&self, by: P) -> Self {
        match self {
            Self::Path(path) => {
                let segs = path
                    .segs
                    .iter()
                    .map(|seg| match *seg {
                        Seg::To(to) => Seg::To(to + by),
                        Seg::Arc { centre, to, clockwise } => {
                            Seg::Arc { centre: centre + by, to: to + by, clockwise }
                        }
                    })
                    .collect();
                Self::Path(Path { start: path.start + by, segs, ..path.clone() })
            }
            Self::Label(label) => Self::Label(Label { at: label.at + by, ..label.clone() }),
        }
    }
}

impl Drawing {
    /// An empty drawing.
    pub fn new(key: impl Into<String>, title: impl Into<String>, width: f64, height: f64) -> Self {
        Self { key: key.into(), title: title.into(), about: String::new(), width, height, items: Vec::new() }
    }
    /// Puts another drawing's items on this one, moved.
    pub fn place(&mut self, other: &Self, at: P) {
        self.items.extend(other.items.iter().map(|item| item.moved(at)));
    }
    /// All texts.
    pub fn labels(&self) -> impl Iterator<Item = &Label> {
        self.items.iter().filter_map(|item| match item {
            Item::Label(label) => Some(label),
            Item::Path(_) => None,
        })
    }
    /// What is wrong with it, in words: numbers that are none, items off the paper, texts over each other.
    /// Empty for a sound drawing. Tests call it on every drawing there is.
    pub fn faults(&self) -> Vec<String> {
        let paper = Bounds { x0: 0.0, y0: 0.0, x1: self.width, y1: self.height };
        let mut faults = Vec::new();
        for item in &self.items {
            let b = item.bounds();
            let what = match item {
                Item::Path(path) => format!("path from {:?}", path.start),
                Item::Label(label) => format!("text {:?}", label.text),
            };
            if ![b.x0, b.y0, b.x1, b.y1].iter().all(|v| v.is_finite()) {
                faults.push(format!("{}: {what} has no finite place", self.key));
            } else if !paper.holds(&b, 0.5) {
                faults.push(format!("{}: {what} leaves the paper: {b:?}", self.key));
            }
        }
        let boxes: Vec<_> = self.labels().map(|l| (l, l.bounds())).collect();
        for (i, (a, box_a)) in boxes.iter().enumerate() {
            for (b, box_b) in &boxes[i + 1..] {
                if box_a.overlaps(box_b) {
                    faults.push(format!("{}: text {:?} lies over {:?}", self.key, a.text, b.text));
                }
            }
        }
        faults
    }
}
