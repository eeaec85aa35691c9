//! The thread in the axial plane: the part at its aims, over the mate as measured.

use super::{WIDTH, profile, shop, sizes_in};
use crate::drawing::{Anchor, Drawing, Fill, Line, Of, P, Path, Scale, Seg, TEXT, View, flatten, p};
use crate::font;
use flankwise_bench::evidence::Evidence;
use flankwise_bench::fit::Fit;
use flankwise_bench::report::{Fine, Value, show};
use flankwise_thread::profile::{Basic, Outline};
use flankwise_thread::{Element, Length, Thread, Unit};

const HEIGHT: f64 = 92.0;
/// Room at the left and right for the names of the diameters.
const SIDE: f64 = 40.0;
/// Metal shown beyond the grooves, mm of paper.
const METAL: f64 = 13.0;
const TOP: f64 = 16.0;
/// From line to line of a heading, mm.
const HEAD_LINE: f64 = TEXT * 1.25;

/// One of the two threads of a section: its sizes, its outline at them, what it is drawn as, and its heading.
struct Half<'a> {
    sizes: &'a Basic,
    outline: &'a Outline,
    of: Of,
    head: &'a str,
}

/// Where a section came to lie.
struct Placed {
    view: View,
    /// Level below which the screw's metal is cut off.
    floor: f64,
    count: usize,
}

/// Draws nut over screw, several pitches long, with names of the diameters, the pitch and the included angle. None where
/// the diameters do not follow each other as those of a thread do: no picture is better than a picture of nonsense.
fn halves(
    d: &mut Drawing,
    nut: &Half<'_>,
    screw: &Half<'_>,
    pitch_words: String,
    unit: Unit,
) -> Option<Placed> {
    let ordered = |a, b, c| Length::ZERO < a && a < b && b < c;
    let (n, s) = (nut.sizes, screw.sizes);
    if !ordered(n.d1_internal, n.d2, n.d4_internal) || !ordered(s.d3, s.d2, s.d) {
        return None;
    }
    let pitch = nut.sizes.p.to_mm();
    let (low, high) = (screw.sizes.d3.to_mm() / 2.0, nut.sizes.d4_internal.to_mm() / 2.0);
    let room_w = WIDTH - 2.0 * SIDE;
    let scale = Scale::largest(2.0 * pitch, high - low, room_w, HEIGHT - TOP - 2.0 * METAL - 10.0);
    let count = ((room_w / (pitch * scale.factor)).floor() as usize).clamp(2, 5);
    let shown = pitch * scale.factor * count as f64;
    let left = (WIDTH - shown) / 2.0;
    let right = left + shown;
    let base = TOP + METAL + high * scale.factor;
    let view = View { origin: p(left, base), scale: scale.factor };
    let title = d.title.clone();
    d.caption(&title, &format!("scale {scale}, {}", sizes_in(unit)));

    // The nut's grooves are centred at the ends of each pitch; the screw's lie half a pitch on.
    // Where the flanks are unlike, an outline does not begin there by itself.
    let nut_line = profile::run(&nut.outline.between(0.0, pitch), pitch, 0.0, count, &view);
    let screw_line = profile::run(screw.outline, pitch, -pitch / 2.0, count + 1, &view);
    let screw_line = cropped(&screw_line, left, right);
    body(d, &nut_line, TOP, 45.0, nut.of);
    let floor = view.at(0.0, low).y + METAL * 0.75;
    body(d, &screw_line, floor, 135.0, screw.of);

    // The mate's pitch line over the part's.
    for half in if nut.of == Of::Part { [nut, screw] } else { [screw, nut] } {
        let y = view.at(0.0, half.sizes.d2.to_mm() / 2.0).y;
        d.line(p(left - 2.0, y), p(right + 2.0, y), Line::Centre, half.of);
    }

    let named = |x: f64, of: Of, names: [(&str, Length); 3]| {
        names
            .map(|(symbol, dia)| {
                let at = p(x, view.at(0.0, dia.to_mm() / 2.0).y);
                (at, of, format!("{symbol} {}", shop(dia, unit)))
            })
            .to_vec()
    };
    let names = [("D4", n.d4_internal), ("D2", n.d2), ("D1", n.d1_internal)];
    d.levels(right + 9.0, named(right + 1.0, nut.of, names));
    d.levels(left - 9.0, named(left - 1.0, screw.of, [("d", s.d), ("d2", s.d2), ("d3", s.d3)]));
    let lines = head_lines(nut.head, WIDTH - right - 9.0);
    for (i, line) in lines.iter().enumerate() {
        let y = TOP + 3.0 + HEAD_LINE * i as f64;
        d.text(p(right + 9.0, y), Anchor::Start, TEXT, true, nut.of, *line);
    }
    let lines = head_lines(screw.head, left - 9.0);
    for (i, line) in lines.iter().rev().enumerate() {
        // Clear of the names above: a second line goes as far below the metal.
        let y = floor - 1.0 + HEAD_LINE * (0.6 * (lines.len() - 1) as f64 - i as f64);
        d.text(p(left - 9.0, y), Anchor::End, TEXT, true, screw.of, *line);
    }

    let groove = |i: f64| view.at(pitch * i, high);
    let middle = (count / 2) as f64;
    d.dim_h(groove(middle - 1.0), groove(middle), TOP - 4.0, pitch_words);
    angle(d, nut.sizes, pitch * middle + pitch / 2.0, &view);
    Some(Placed { view, floor, count })
}

/// Lines of a heading in this much room: at its comma where it is too long for one.
fn head_lines(head: &str, room: f64) -> Vec<&str> {
    match head.split_once(", ").filter(|_| font::width(head, true, TEXT) > room - 1.0) {
        Some((first, rest)) => vec![first, rest],
        None => vec![head],
    }
}

/// Section through both threads where the play is least, to scale, several pitches long. None where the sizes do
/// not follow each other as those of a thread do (a thread chosen against the readings).
pub fn thread_section(fit: &Fit, evidence: Option<&Evidence>, unit: Unit) -> Option<Drawing> {
    let part = profile::of_part(fit);
    let (mate, mate_element) = profile::of_mate(fit, evidence);
    let (nut, screw) = match fit.part {
        Element::Internal => (part, mate),
        Element::External => (mate, part),
    };
    let (nut_of, screw_of) = match fit.part {
        Element::Internal => (Of::Part, Of::Mate),
        Element::External => (Of::Mate, Of::Part),
    };
    let mut d = Drawing::new("thread-section", format!("{} in section", fit.thread), WIDTH, HEIGHT);
    let known = !fit.stations.is_empty();
    let head = |element: Element| match (element == fit.part, element) {
        (true, Element::Internal) => "Nut, to make",
        (true, Element::External) => "Screw, to make",
        (false, Element::Internal) if known => "Nut, as it is",
        (false, Element::External) if known => "Screw, as it is",
        (false, Element::Internal) => "Nut, by the book",
        (false, Element::External) => "Screw, by the book",
    };
    debug_assert_eq!(mate_element == Element::Internal, fit.part == Element::External);
    let placed = halves(
        &mut d,
        &Half {
            sizes: &nut,
            outline: &nut.outline(Element::Internal),
            of: nut_of,
            head: head(Element::Internal),
        },
        &Half {
            sizes: &screw,
            outline: &screw.outline(Element::External),
            of: screw_of,
            head: head(Element::External),
        },
        format!("P {}", fit.thread.pitch),
        unit,
    )?;
    let where_ = if known { "at the place of least play" } else { "its flanks by the book" };
    d.about = format!(
        "Section in the axial plane through {} pitches: the {} above, the {} below, {where_}.",
        placed.count,
        word(Element::Internal, fit.part),
        word(Element::External, fit.part)
    );
    if let Some(station) = fit.thickest() {
        let words =
            format!("play along the axis {}", show::value(&Value::Length(station.play, Fine::Shop), unit));
        play(&mut d, &screw, part.p.to_mm(), &placed.view, placed.floor, words);
    }
    d.trim();
    Some(d)
}

/// A thread's nut and screw at basic sizes, several pitches long. None where the diameters do not follow each other as
/// those of a thread do (a pitch much too coarse or fine for the form).
pub fn basic_section(thread: &Thread, unit: Unit) -> Option<Drawing> {
    let sizes = thread.basic();
    let mut d = Drawing::new("basic-section", format!("{thread} at basic sizes"), WIDTH, HEIGHT);
    let placed = halves(
        &mut d,
        &Half { sizes: &sizes, outline: &thread.outline(Element::Internal), of: Of::Mate, head: "Nut" },
        &Half { sizes: &sizes, outline: &thread.outline(Element::External), of: Of::Part, head: "Screw" },
        format!("P {}", thread.pitch),
        unit,
    )?;
    d.about = format!(
        "Section in the axial plane through {} pitches of {thread} at basic sizes: the nut above, the screw below.",
        placed.count
    );
    d.trim();
    Some(d)
}

fn word(element: Element, made: Element) -> &'static str {
    match (element, element == made) {
        (Element::Internal, true) => "nut to be made",
        (Element::Internal, false) => "nut as it is",
        (Element::External, true) => "screw to be made",
        (Element::External, false) => "screw as it is",
    }
}

/// Metal between an outline and the level `edge`, hatched; the cut edges are left open.
fn body(d: &mut Drawing, line: &(P, Vec<Seg>), edge: f64, angle: f64, of: Of) {
    let mut outline = flatten(line.0, &line.1);
    let (first, last) = (outline[0], outline[outline.len() - 1]);
    outline.extend([p(last.x, edge), p(first.x, edge)]);
    d.polygon(&outline, None, Fill::Paper, of);
    d.hatch(&outline, angle, 2.2, of);
    d.items.push(crate::drawing::Item::Path(Path {
        start: line.0,
        segs: line.1.clone(),
        closed: false,
        line: Some(Line::Wide),
        fill: Fill::None,
        of,
    }));
}

/// The part of an outline between two places across the paper, as straight pieces.
fn cropped(line: &(P, Vec<Seg>), x0: f64, x1: f64) -> (P, Vec<Seg>) {
    let points = flatten(line.0, &line.1);
    let mut kept: Vec<P> = Vec::new();
    for pair in points.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        let cut = |x: f64| p(x, a.y + (b.y - a.y) * (x - a.x) / (b.x - a.x));
        if b.x < x0 || a.x > x1 {
            continue;
        }
        if kept.is_empty() {
            kept.push(if a.x < x0 && b.x > a.x { cut(x0) } else { a });
        }
        kept.push(if b.x > x1 && b.x > a.x { cut(x1) } else { b });
    }
    let first = kept.first().copied().unwrap_or(line.0);
    (first, kept.iter().skip(1).map(|q| Seg::To(*q)).collect())
}

/// The included angle, on the nut's ridge at `z`, its flanks drawn on into the metal.
fn angle(d: &mut Drawing, nut: &Basic, z: f64, view: &View) {
    // A nut's leading flank faces +z, to the right here.
    let (left, right) = (nut.flank_trailing, nut.flank_leading);
    let slope = left.tan() + right.tan();
    if slope < 0.02 {
        return;
    }
    // The flanks meet toward the axis, half a pitch of width below the pitch line.
    let below = nut.p.to_mm() / 2.0 / slope;
    let vertex_r = nut.d2.to_mm() / 2.0 - below;
    let vertex_z = z + nut.p.to_mm() / 4.0 - below * right.tan();
    let root = nut.d4_internal.to_mm() / 2.0;
    let vertex = view.at(vertex_z, vertex_r);
    let reach = (root - vertex_r) * view.scale + 3.0;
    for (a, s) in [(left, -1.0), (right, 1.0)] {
        let start = (nut.d2.to_mm() / 2.0 + nut.d4_internal.to_mm() / 2.0) / 2.0 - vertex_r;
        let along = |up: f64| vertex + p(s * a.tan() * up, -up);
        d.line(along(start * view.scale), along(reach * 1.06), Line::Narrow, Of::Note);
    }
    let included = left + right;
    let words = show::value(&Value::Angle(included, show::places_of_angle(included)), Unit::Mm);
    let w = font::width(&words, false, TEXT);
    // Under the words, which stand over the middle of the arc.
    let middle = (right - left) * 0.5;
    let (x, top) = (vertex.x + (reach + 1.2) * middle.sin(), vertex.y - (reach + 1.2) * middle.cos() - 0.3);
    d.rect(
        p(x - w / 2.0 - 0.6, top - font::CAP_HEIGHT * TEXT - 0.5),
        p(x + w / 2.0 + 0.6, top + 0.7),
        None,
        Fill::Paper,
        Of::Note,
    );
    d.dim_angle(vertex, reach, -90.0 - left.to_deg(), -90.0 + right.to_deg(), words);
}

/// Points at the gap on both sides of the screw's ridge, the words below the drawing.
fn play(d: &mut Drawing, screw: &Basic, pitch: f64, view: &View, floor: f64, words: String) {
    let ridge = pitch;
    let half = pitch / 4.0;
    let tip = view.at(ridge + half, screw.d2.to_mm() / 2.0);
    // From the lower left, across the flank rather than along it.
    let elbow = p(tip.x - 14.0, floor + 5.0);
    d.leader(tip, elbow, Of::Note, words);
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The room at the left of three pitches is 31 mm, and a long heading must not run off the paper.
    #[test]
    fn a_heading_keeps_to_its_room() {
        for head in ["Screw, by the book", "Nut, by the book", "Screw, to make", "Nut"] {
            for room in [25.0, 31.0, 60.0] {
                let lines = head_lines(head, room);
                assert!(lines.iter().all(|l| font::width(l, true, TEXT) < room), "{head}: {lines:?}");
            }
        }
        assert_eq!(head_lines("Screw, by the book", 60.0).len(), 1);
    }
}
