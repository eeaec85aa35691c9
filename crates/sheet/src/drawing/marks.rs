//! The draughtsman's marks: lines, dimensions, leaders, hatching, scales.

use super::{Anchor, Drawing, Fill, Item, Label, Line, Of, P, Path, Seg, p};
use crate::font;

/// Text size at which a capital is 2.5 mm high, the smaller of the usual lettering heights (ISO 3098, from
/// memory).
pub const TEXT: f64 = 2.5 / font::CAP_HEIGHT;
/// Lesser text: capitals of 1.8 mm.
pub const SMALL: f64 = 1.8 / font::CAP_HEIGHT;
/// Arrow length and width, mm: about 15 degrees, solid.
const ARROW: (f64, f64) = (2.5, 0.7);
/// How far an extension line runs past its dimension line, and stays off the edge it comes from.
const PAST: f64 = 1.2;
const OFF: f64 = 0.6;

/// A scale of ISO 5455:1979: 1, 2 or 5 times a power of ten.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scale {
    /// Paper over object.
    pub factor: f64,
}

impl Scale {
    /// Natural size.
    pub const FULL: Self = Self { factor: 1.0 };

    /// The largest standard scale at which an object of `w` by `h` goes into a room of `room_w` by `room_h`.
    pub fn largest(w: f64, h: f64, room_w: f64, room_h: f64) -> Self {
        let most = (room_w / w.max(1e-9)).min(room_h / h.max(1e-9));
        let mut best = 0.001;
        for power in -3..=3 {
            for step in [1.0, 2.0, 5.0] {
                let factor = step * 10f64.powi(power);
                if factor <= most * (1.0 + 1e-9) && factor > best {
                    best = factor;
                }
            }
        }
        Self { factor: best }
    }
}

impl std::fmt::Display for Scale {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if self.factor >= 1.0 {
            write!(f, "{}:1", self.factor.round())
        } else {
            write!(f, "1:{}", (1.0 / self.factor).round())
        }
    }
}

/// From object coordinates (mm, y up) to the paper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    /// Where the object's origin lies on the paper.
    pub origin: P,
    /// Paper over object.
    pub scale: f64,
}

impl View {
    /// A point on the paper.
    pub fn at(&self, x: f64, y: f64) -> P {
        p(self.origin.x + x * self.scale, self.origin.y - y * self.scale)
    }
}

/// Points along a path, arcs in steps of at most three degrees.
pub fn flatten(start: P, segs: &[Seg]) -> Vec<P> {
    let mut points = vec![start];
    let mut from = start;
    for seg in segs {
        if let Seg::Arc { centre, to, clockwise } = *seg {
            let turn = super::svg::sweep(from, centre, to, clockwise);
            let pieces = (turn.to_degrees() / 3.0).ceil().max(1.0) as u32;
            let arm = from - centre;
            for i in 1..pieces {
                let a = turn * f64::from(i) / f64::from(pieces) * if clockwise { 1.0 } else { -1.0 };
                let (sin, cos) = a.sin_cos();
                points.push(centre + p(arm.x * cos - arm.y * sin, arm.x * sin + arm.y * cos));
            }
        }
        points.push(seg.end());
        from = seg.end();
    }
    points
}

impl Drawing {
    /// Adds a path.
    pub fn path(&mut self, start: P, segs: Vec<Seg>, closed: bool, line: Option<Line>, fill: Fill, of: Of) {
        self.items.push(Item::Path(Path { start, segs, closed, line, fill, of }));
    }
    /// Adds a straight line.
    pub fn line(&mut self, a: P, b: P, line: Line, of: Of) {
        self.path(a, vec![Seg::To(b)], false, Some(line), Fill::None, of);
    }
    /// Adds an open run of straight lines.
    pub fn polyline(&mut self, points: &[P], line: Line, of: Of) {
        if let [first, rest @ ..] = points {
            self.path(*first, rest.iter().map(|q| Seg::To(*q)).collect(), false, Some(line), Fill::None, of);
        }
    }
    /// Adds a closed polygon.
    pub fn polygon(&mut self, points: &[P], line: Option<Line>, fill: Fill, of: Of) {
        if let [first, rest @ ..] = points {
            self.path(*first, rest.iter().map(|q| Seg::To(*q)).collect(), true, line, fill, of);
        }
    }
    /// Adds a rectangle by its upper left and lower right corner.
    pub fn rect(&mut self, a: P, b: P, line: Option<Line>, fill: Fill, of: Of) {
        self.polygon(&[a, p(b.x, a.y), b, p(a.x, b.y)], line, fill, of);
    }
    /// Adds a circle.
    pub fn circle(&mut self, centre: P, radius: f64, line: Option<Line>, fill: Fill, of: Of) {
        let (left, right) = (centre - p(radius, 0.0), centre + p(radius, 0.0));
        let segs = vec![
            Seg::Arc { centre, to: right, clockwise: true },
            Seg::Arc { centre, to: left, clockwise: true },
        ];
        self.path(left, segs, true, line, fill, of);
    }
    /// A slot with round ends along the points of its centre line, two or more, `width` wide.
    pub fn slot(&mut self, line: &[P], width: f64) {
        let r = width / 2.0;
        let [a, a_next, ..] = *line else { return };
        let [.., b_before, b] = *line else { return };
        let along = |from: P, to: P| (to - from) * (1.0 / (to - from).norm().max(f64::EPSILON));
        let last = line.len() - 1;
        for side in [1.0, -1.0] {
            let edge: Vec<P> = (0..=last)
                .map(|i| {
                    let on = along(line[i.saturating_sub(1)], line[(i + 1).min(last)]);
                    line[i] + p(-on.y, on.x) * (r * side)
                })
                .collect();
            self.polyline(&edge, Line::Narrow, Of::Tool);
        }
        // Each end as half a circle, in chords.
        for (end, out) in [(a, along(a_next, a) * r), (b, along(b_before, b) * r)] {
            let beside = p(-out.y, out.x);
            let round: Vec<P> = (0..=12)
                .map(|i| {
                    let t = std::f64::consts::PI * (f64::from(i) / 12.0 - 0.5);
                    end + out * t.cos() + beside * t.sin()
                })
                .collect();
            self.polyline(&round, Line::Narrow, Of::Tool);
        }
    }
    /// Adds an upright text.
    pub fn text(&mut self, at: P, anchor: Anchor, size: f64, bold: bool, of: Of, text: impl Into<String>) {
        self.items.push(Item::Label(Label { at, text: text.into(), size, bold, anchor, turn: 0.0, of }));
    }

    /// A solid arrow head with its tip at `tip`, pointing along `dir`.
    pub fn arrow(&mut self, tip: P, dir: P, of: Of) {
        let n = dir.norm();
        if n == 0.0 {
            return;
        }
        let d = dir * (1.0 / n);
        let back = tip - d * ARROW.0;
        let side = p(-d.y, d.x) * (ARROW.1 / 2.0);
        self.polygon(&[tip, back + side, back - side], None, Fill::Solid, of);
    }

    /// Dimension of the horizontal distance between `a` and `b`, its line at height `y` (ISO 129-1).
    pub fn dim_h(&mut self, a: P, b: P, y: f64, text: impl Into<String>) {
        let (a, b) = if a.x <= b.x { (a, b) } else { (b, a) };
        for q in [a, b] {
            let s = (y - q.y).signum();
            if (y - q.y).abs() > OFF {
                self.line(p(q.x, q.y + s * OFF), p(q.x, y + s * PAST), Line::Narrow, Of::Note);
            }
        }
        let text = text.into();
        let w = font::width(&text, false, TEXT);
        let gap = b.x - a.x;
        let base = y - 0.9;
        if gap > 2.0 * ARROW.0 + 1.0 {
            self.line(p(a.x, y), p(b.x, y), Line::Narrow, Of::Note);
            self.arrow(p(a.x, y), p(-1.0, 0.0), Of::Note);
            self.arrow(p(b.x, y), p(1.0, 0.0), Of::Note);
        } else {
            let tail = if w < gap { 5.0 } else { 5.0 + w };
            self.line(p(a.x - 5.0, y), p(b.x + tail, y), Line::Narrow, Of::Note);
            self.arrow(p(a.x, y), p(1.0, 0.0), Of::Note);
            self.arrow(p(b.x, y), p(-1.0, 0.0), Of::Note);
        }
        if w < gap - 0.5 {
            self.text(p((a.x + b.x) / 2.0, base), Anchor::Middle, TEXT, false, Of::Note, text);
        } else if gap > 2.0 * ARROW.0 + 1.0 {
            // Room for the arrows but not for the words: they stand beyond the right end, on a longer line.
            self.line(p(b.x, y), p(b.x + 3.0 + w, y), Line::Narrow, Of::Note);
            self.text(p(b.x + 2.5, base), Anchor::Start, TEXT, false, Of::Note, text);
        } else {
            self.text(p(b.x + 4.0, base), Anchor::Start, TEXT, false, Of::Note, text);
        }
    }

    /// Dimension of the vertical distance between `a` and `b`, its line at `x`; reads from the right.
    pub fn dim_v(&mut self, a: P, b: P, x: f64, text: impl Into<String>) {
        let (a, b) = if a.y <= b.y { (a, b) } else { (b, a) };
        for q in [a, b] {
            let s = (x - q.x).signum();
            if (x - q.x).abs() > OFF {
                self.line(p(q.x + s * OFF, q.y), p(x + s * PAST, q.y), Line::Narrow, Of::Note);
            }
        }
        let text = text.into();
        let w = font::width(&text, false, TEXT);
        let gap = b.y - a.y;
        let roomy = gap > 2.0 * ARROW.0 + 1.0;
        let (up, down) = if roomy { (0.0, 0.0) } else { (5.0, 5.0) };
        self.line(p(x, a.y - up), p(x, b.y + down), Line::Narrow, Of::Note);
        self.arrow(p(x, a.y), p(0.0, if roomy { -1.0 } else { 1.0 }), Of::Note);
        self.arrow(p(x, b.y), p(0.0, if roomy { 1.0 } else { -1.0 }), Of::Note);
        if w < gap - 0.5 {
            let at = p(x - 0.9, (a.y + b.y) / 2.0);
            let label = Label {
                at,
                text,
                size: TEXT,
                bold: false,
                anchor: Anchor::Middle,
                turn: -90.0,
                of: Of::Note,
            };
            self.items.push(Item::Label(label));
        } else {
            // Too short for words along it: they stand level beside its middle.
            let at = p(x + 1.2, (a.y + b.y) / 2.0 + 0.9);
            self.text(at, Anchor::Start, TEXT, false, Of::Note, text);
        }
    }

    /// Dimension of the angle between two rays from `centre` (degrees, clockwise on the paper from the right),
    /// its arc at `radius`, the words beyond it.
    pub fn dim_angle(&mut self, centre: P, radius: f64, from: f64, to: f64, text: impl Into<String>) {
        let ray = |deg: f64| p(deg.to_radians().cos(), deg.to_radians().sin());
        let (a, b) = (centre + ray(from) * radius, centre + ray(to) * radius);
        self.path(
            a,
            vec![Seg::Arc { centre, to: b, clockwise: true }],
            false,
            Some(Line::Narrow),
            Fill::None,
            Of::Note,
        );
        // An arrow head is straight: it is laid along the chord of its own length.
        let lean = (ARROW.0 / radius).to_degrees() / 2.0;
        self.arrow(a, ray(from - 90.0 + lean), Of::Note);
        self.arrow(b, ray(to + 90.0 - lean), Of::Note);
        let mid = ray((from + to) / 2.0);
        let at = centre + mid * (radius + 1.2);
        let anchor = if mid.x.abs() < 0.35 {
            Anchor::Middle
        } else if mid.x > 0.0 {
            Anchor::Start
        } else {
            Anchor::End
        };
        let base = if mid.y < -0.35 {
            at.y - 0.3
        } else if mid.y > 0.35 {
            at.y + font::CAP_HEIGHT * TEXT
        } else {
            at.y + font::CAP_HEIGHT * TEXT / 2.0
        };
        self.text(p(at.x, base), anchor, TEXT, false, Of::Note, text);
    }

    /// A leader: arrow at `tip`, bend at `elbow`, the words level with the bend, away from the tip.
    pub fn leader(&mut self, tip: P, elbow: P, of: Of, text: impl Into<String>) {
        let right = elbow.x >= tip.x;
        let shelf = if right { p(elbow.x + 2.0, elbow.y) } else { p(elbow.x - 2.0, elbow.y) };
        self.polyline(&[tip, elbow, shelf], Line::Narrow, of);
        self.arrow(tip, tip - elbow, of);
        let at = p(shelf.x + if right { 0.8 } else { -0.8 }, shelf.y + font::CAP_HEIGHT * TEXT / 2.0);
        self.text(at, if right { Anchor::Start } else { Anchor::End }, TEXT, false, of, text);
    }

    /// Names places at the side: from each a line, level and then bent, to the words at `x_text`, spread so that
    /// no two texts touch. The words run away from the places.
    pub fn levels(&mut self, x_text: f64, mut entries: Vec<(P, Of, String)>) {
        let step = TEXT * 1.25;
        entries.sort_by(|a, b| a.0.y.total_cmp(&b.0.y));
        let places = spread(&entries.iter().map(|e| e.0.y).collect::<Vec<_>>(), step);
        for ((from, of, text), place) in entries.into_iter().zip(places) {
            let s = (x_text - from.x).signum();
            let bend = p(x_text - s * 4.0, from.y);
            self.polyline(&[from, bend, p(x_text - s * 1.0, place)], Line::Narrow, of);
            let anchor = if s > 0.0 { Anchor::Start } else { Anchor::End };
            self.text(p(x_text, place + font::CAP_HEIGHT * TEXT / 2.0), anchor, TEXT, false, of, text);
        }
    }

    /// Points at places from the side: arrow at each tip, a slanting line, the words at `x_text` as near as can be to
    /// the height wanted for them.
    pub fn callouts(&mut self, x_text: f64, mut entries: Vec<(P, f64, Of, String)>) {
        entries.sort_by(|a, b| a.1.total_cmp(&b.1));
        let places = spread(&entries.iter().map(|e| e.1).collect::<Vec<_>>(), TEXT * 1.35);
        for ((tip, _, of, text), place) in entries.into_iter().zip(places) {
            let elbow = p(x_text - 3.0, place);
            self.polyline(&[tip, elbow, p(x_text - 0.8, place)], Line::Narrow, of);
            self.arrow(tip, tip - elbow, of);
            self.text(p(x_text, place + font::CAP_HEIGHT * TEXT / 2.0), Anchor::Start, TEXT, false, of, text);
        }
    }

    /// Cuts the paper below the lowest item.
    pub fn trim(&mut self) {
        let low = self.items.iter().map(|i| i.bounds().y1).filter(|y| y.is_finite()).fold(0.0, f64::max);
        self.height = (low + 1.5).ceil();
    }

    /// Hatching of a closed outline: parallel narrow lines `spacing` apart at `angle` degrees (45 or 135 by use,
    /// ISO 128-3), inside by the even-odd rule.
    pub fn hatch(&mut self, outline: &[P], angle: f64, spacing: f64, of: Of) {
        let (sin, cos) = angle.to_radians().sin_cos();
        // Turned so that the hatch lies level: u along it, v across.
        let turned: Vec<P> =
            outline.iter().map(|q| p(q.x * cos + q.y * sin, -q.x * sin + q.y * cos)).collect();
        let back = |u: f64, v: f64| p(u * cos - v * sin, u * sin + v * cos);
        let lo = turned.iter().map(|q| q.y).fold(f64::INFINITY, f64::min);
        let hi = turned.iter().map(|q| q.y).fold(f64::NEG_INFINITY, f64::max);
        if !(lo.is_finite() && hi.is_finite()) || spacing <= 0.0 {
            return;
        }
        let mut v = (lo / spacing).ceil() * spacing;
        while v < hi {
            let mut cuts: Vec<f64> = Vec::new();
            for (a, b) in turned.iter().zip(turned.iter().cycle().skip(1)) {
                if (a.y <= v) != (b.y <= v) {
                    cuts.push(a.x + (v - a.y) / (b.y - a.y) * (b.x - a.x));
                }
            }
            cuts.sort_by(f64::total_cmp);
            for pair in cuts.chunks_exact(2) {
                if pair[1] - pair[0] > 0.3 {
                    self.line(back(pair[0], v), back(pair[1], v), Line::Hair, of);
                }
            }
            v += spacing;
        }
    }

    /// A title line at the top left: the title in bold, then lesser words such as the scale, below it where the paper is
    /// too narrow for both.
    pub fn caption(&mut self, title: &str, rest: &str) {
        self.text(p(1.0, 4.0), Anchor::Start, TEXT, true, Of::Note, title);
        let (x, size) = (1.0 + font::width(title, true, TEXT) + 3.0, SMALL * 1.1);
        let fits = x + font::width(rest, false, size) <= self.width;
        let at = if fits { p(x, 4.0) } else { p(1.0, 8.0) };
        self.text(at, Anchor::Start, size, false, Of::Faint, rest);
    }
}

/// Moves sorted heights apart until neighbours stand at least `step` away, each as near to its own as can be.
fn spread(wanted: &[f64], step: f64) -> Vec<f64> {
    // Clusters of touching entries, each with its members' middle; merged until none touch.
    let mut clusters: Vec<(f64, usize)> = Vec::new();
    for &y in wanted {
        clusters.push((y, 1));
        while let [.., (m0, n0), (m1, n1)] = clusters[..] {
            let need = step * (n0 + n1) as f64 / 2.0;
            if m1 - m0 >= need - 1e-9 {
                break;
            }
            // Least squares: members' offsets within the cluster are fixed, so only the middle is free.
            let (a, b) = (n0 as f64, n1 as f64);
            let shift0 = -step * b / 2.0;
            let shift1 = step * a / 2.0;
            let middle = (a * (m0 - shift0) + b * (m1 - shift1)) / (a + b);
            clusters.pop();
            clusters.pop();
            clusters.push((middle, n0 + n1));
        }
    }
    let mut places = Vec::with_capacity(wanted.len());
    for (middle, n) in clusters {
        let first = middle - step * (n as f64 - 1.0) / 2.0;
        places.extend((0..n).map(|i| first + step * i as f64));
    }
    places
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn takes_the_largest_standard_scale() {
        assert_eq!(Scale::largest(15.0, 6.0, 120.0, 70.0).to_string(), "5:1");
        assert_eq!(Scale::largest(300.0, 55.0, 170.0, 70.0).to_string(), "1:2");
        assert_eq!(Scale::largest(52.0, 55.0, 120.0, 60.0).to_string(), "1:1");
    }

    #[test]
    fn spreads_labels_apart_and_keeps_their_order() {
        let places = spread(&[10.0, 10.2, 10.4, 30.0], 4.0);
        assert_eq!(places.len(), 4);
        for pair in places.windows(2) {
            assert!(pair[1] - pair[0] >= 4.0 - 1e-9, "{places:?}");
        }
        assert!((places[1] - 10.2).abs() < 1e-9 && places[3] == 30.0, "{places:?}");
    }

    #[test]
    fn hatching_stays_inside_a_square() {
        let mut d = Drawing::new("h", "h", 20.0, 20.0);
        d.hatch(&[p(5.0, 5.0), p(15.0, 5.0), p(15.0, 15.0), p(5.0, 15.0)], 45.0, 2.0, Of::Part);
        assert!(d.items.len() > 4);
        let square = super::super::Bounds { x0: 5.0, y0: 5.0, x1: 15.0, y1: 15.0 };
        assert!(d.items.iter().all(|i| square.holds(&i.bounds(), 1e-9)));
    }

    #[test]
    fn an_arc_flattens_onto_its_circle() {
        let points =
            flatten(p(10.0, 0.0), &[Seg::Arc { centre: p(0.0, 0.0), to: p(0.0, 10.0), clockwise: true }]);
        assert!(points.iter().all(|q| (q.norm() - 10.0).abs() < 1e-9 && q.x > -1e-9 && q.y > -1e-9));
    }
}
