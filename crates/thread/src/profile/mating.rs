//! How the outlines of a screw and a nut lie to each other in the axial plane.
//!
//! Screw and nut on one axis have the same lead, so the gap between them is the same in every axial half-plane: what
//! holds for the two outlines holds for the two helicoids. (A nut that hangs off the screw's axis is another case.)
//!
//! Outlines are graphs `r(z)` of lines and arcs, so the least gap between them lies at an end of a piece or where the
//! slopes of both are equal, and either is found in closed form: nothing is sampled.

use super::graph::Graph;
use super::{Outline, Point};

/// The gap between a screw and a nut where it is least.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gap {
    /// Radius of the nut less radius of the screw, mm; below zero metal is in metal.
    pub radial: f64,
    /// The place, on the screw.
    pub at: Point,
}

impl Gap {
    /// Below zero by more than arithmetic leaves.
    pub fn interferes(&self) -> bool {
        self.radial < -ARITHMETIC
    }
}

/// What is left of an exact touch by arithmetic, mm.
const ARITHMETIC: f64 = 1e-9;

/// How far a screw can be moved along the axis in its nut.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Play {
    /// Towards −z until something touches, mm, zero or more. On flanks alone the leading ones touch.
    pub leading: f64,
    /// Towards +z until something touches. On flanks alone the following ones touch.
    pub trailing: f64,
}

/// Room along the axis between the walls of a screw and a nut where they stand, mm; below zero metal is in metal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Room {
    /// Between the leading walls, where it is least.
    pub leading: f64,
    /// Between the following walls, where it is least.
    pub trailing: f64,
    /// Radius at which the leading walls are nearest.
    pub leading_at: f64,
    /// Radius at which the following walls are nearest.
    pub trailing_at: f64,
}

impl Room {
    /// How far the screw can be moved from flank to flank; below zero it is so much too wide for the nut's groove.
    pub fn along(&self) -> f64 {
        self.leading + self.trailing
    }
}

/// The least gap between a screw and a nut whose outlines stand where they are, both repeated with the same pitch.
///
/// An overlap narrower than a millionth of a micrometre along the axis does not count: upright flanks that touch are
/// no interference.
pub fn gap(screw: &Outline, nut: &Outline) -> Gap {
    let graphs = |outline: &Outline| -> Vec<Graph> { outline.pieces().filter_map(Graph::of).collect() };
    let (screw, nut) = (graphs(screw), graphs(nut));
    let (Some((first, last)), Some((nut_first, nut_last))) = (ends(&screw), ends(&nut)) else {
        return Gap { radial: f64::INFINITY, at: Point { z: 0.0, r: 0.0 } };
    };
    let pitch = last - first;
    let mut least = Gap { radial: f64::INFINITY, at: Point { z: 0.0, r: 0.0 } };
    // As many pitches of the nut as lie over the one of the screw.
    let from = ((first - nut_last) / pitch).floor() as i64;
    let to = ((last - nut_first) / pitch).ceil() as i64;
    for shift in (from..=to).map(|i| i as f64 * pitch) {
        for nut in &nut {
            let nut = nut.moved(shift);
            for screw in &screw {
                let (lo, hi) = (screw.from.max(nut.from), screw.to.min(nut.to));
                if hi - lo < ARITHMETIC {
                    continue;
                }
                let level = screw.level_with(&nut).filter(|z| (lo..hi).contains(z));
                for z in [Some(lo), Some(hi), level].into_iter().flatten() {
                    let (r, over) = (screw.at(z), nut.at(z));
                    if over - r < least.radial {
                        least = Gap { radial: over - r, at: Point { z, r } };
                    }
                }
            }
        }
    }
    least
}

/// How far the screw can be moved either way along the axis, half a pitch at most, until it touches the nut; `None`
/// where the two interfere as they stand.
///
/// Walls that face the same way meet: on the way to −z the screw's rising ones and the nut's. Their axial distance is
/// least at an end of a piece or where both have the same slope, as for [`gap`].
pub fn play(screw: &Outline, nut: &Outline) -> Option<Play> {
    if gap(screw, nut).interferes() {
        return None;
    }
    let pitch = screw.end().z - screw.start.z;
    let (screw, nut) = (Walls::of(screw), Walls::of(nut));
    Some(Play {
        leading: free(&screw.rising, &nut.rising, pitch, 1.0),
        trailing: free(&screw.falling, &nut.falling, pitch, -1.0),
    })
}

/// Room between the walls of screw and nut at the radii that both have, which need not clear each other: neither at the
/// walls nor at crests and roots, which are not looked at. A wall is held against the nearest of its mate's, so that what
/// is out by more than half a pitch is not told. `None` where no radius is common to both.
pub fn room(screw: &Outline, nut: &Outline) -> Option<Room> {
    let pitch = screw.end().z - screw.start.z;
    let (screw, nut) = (Walls::of(screw), Walls::of(nut));
    let leading = nearest(&screw.rising, &nut.rising, pitch, (1.0, 0.5))?;
    let trailing = nearest(&screw.falling, &nut.falling, pitch, (-1.0, 0.5))?;
    Some(Room { leading: leading.0, trailing: trailing.0, leading_at: leading.1, trailing_at: trailing.1 })
}

/// Walls of an outline as functions of the radius.
struct Walls {
    rising: Vec<Graph>,
    falling: Vec<Graph>,
}

impl Walls {
    fn of(outline: &Outline) -> Self {
        let mut walls = Self { rising: Vec::new(), falling: Vec::new() };
        for piece in outline.pieces() {
            let (from, to) = (piece.0.r, piece.1.end().r);
            if to > from { &mut walls.rising } else { &mut walls.falling }.extend(Graph::over_radius(piece));
        }
        walls
    }
}

/// The least axial distance of walls that meet when the screw moves against z (`way` 1) or with it (−1).
fn free(screw: &[Graph], nut: &[Graph], pitch: f64, way: f64) -> f64 {
    // What arithmetic puts a touch beyond zero by is far less than the ridges between it and the next.
    let least = nearest(screw, nut, pitch, (way, 0.25)).map_or(f64::INFINITY, |(apart, _)| apart);
    least.clamp(0.0, pitch / 2.0)
}

/// The least axial distance of walls that meet when the screw moves against z (`way` 1) or with it (−1), with its radius.
/// Of the nut's walls, one of every pitch, the one counts that lies at most `behind` pitches beyond the screw's.
fn nearest(screw: &[Graph], nut: &[Graph], pitch: f64, (way, behind): (f64, f64)) -> Option<(f64, f64)> {
    let mut least: Option<(f64, f64)> = None;
    for screw in screw {
        for nut in nut {
            let (lo, hi) = (screw.from.max(nut.from), screw.to.min(nut.to));
            if hi < lo {
                continue;
            }
            let level = screw.level_with(nut).filter(|r| (lo..hi).contains(r));
            let apart = |r: f64| (way * (screw.at(r) - nut.at(r)), r);
            let at = [Some(lo), Some(hi), level].into_iter().flatten().map(apart);
            let Some((apart, r)) = at.min_by(|a, b| a.0.total_cmp(&b.0)) else { continue };
            let apart = apart - (apart / pitch + behind).floor() * pitch;
            if least.is_none_or(|(before, _)| apart < before) {
                least = Some((apart, r));
            }
        }
    }
    least
}

fn ends(pieces: &[Graph]) -> Option<(f64, f64)> {
    Some((pieces.first()?.from, pieces.last()?.to))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::profile::Segment;

    fn point(z: f64, r: f64) -> Point {
        Point { z, r }
    }

    /// A flat at `level` with a half circle of radius 1 standing on it (`out` 1) or sunk into it (`out` −1).
    fn bump(level: f64, out: f64) -> Outline {
        Outline {
            start: point(0.0, level),
            segments: vec![
                Segment::Line { to: point(4.0, level) },
                Segment::Arc { to: point(6.0, level), centre: point(5.0, level), ccw: out < 0.0 },
                Segment::Line { to: point(10.0, level) },
            ],
        }
    }

    #[test]
    fn gap_of_half_circles_is_that_between_their_tops() {
        let (screw, nut) = (bump(10.0, 1.0), bump(13.0, -1.0));
        // Top against bottom: 13 − 1 − (10 + 1).
        assert!((gap(&screw, &nut).radial - 1.0).abs() < 1e-12);
        // Half moved aside, the least is where both arcs are level with each other: at the middle of their centres,
        // 3 − 2 √(1 − 0.25²).
        let aside = gap(&screw.moved(0.5), &nut);
        assert!((aside.radial - (3.0 - 2.0 * (1.0_f64 - 0.0625).sqrt())).abs() < 1e-12);
        assert!((aside.at.z - 5.25).abs() < 1e-12);
        // A whole number of pitches away is the same place.
        assert!((gap(&screw.moved(30.5), &nut).radial - aside.radial).abs() < 1e-12);
    }

    #[test]
    fn ridge_in_a_groove_of_its_own_form_has_the_play_of_its_clearance() {
        let ridge = |half: f64, level: f64, top: f64| Outline {
            start: point(0.0, level),
            segments: vec![
                Segment::Line { to: point(5.0 - half, level) },
                Segment::Line { to: point(5.0 - half, top) },
                Segment::Line { to: point(5.0 + half, top) },
                Segment::Line { to: point(5.0 + half, level) },
                Segment::Line { to: point(10.0, level) },
            ],
        };
        let (screw, nut) = (ridge(2.0, 10.0, 12.0), ridge(2.3, 10.1, 12.1));
        let free = play(&screw, &nut).expect("no interference");
        assert!((free.leading - 0.3).abs() < 1e-8 && (free.trailing - 0.3).abs() < 1e-8);
        assert!(play(&ridge(2.4, 10.0, 12.0), &nut).is_none());
        // Touching upright flanks do not interfere.
        let touching = play(&ridge(2.3, 10.0, 12.0), &nut).expect("a touch only");
        assert!(touching.leading < 1e-8 && touching.trailing < 1e-8);
        // Too wide by 0.1 on either wall, and too high besides, which is no matter of the walls.
        let wide = room(&ridge(2.4, 10.0, 12.5), &nut).expect("common radii");
        assert!((wide.along() + 0.2).abs() < 1e-8 && (wide.leading + 0.1).abs() < 1e-8, "{wide:?}");
        assert!(room(&ridge(2.0, 8.0, 9.0), &nut).is_none());
    }

    /// A square ridge of half a pitch in the groove of a 29° trapezoid: room falls by 2 tan 14.5° a unit of radius towards the
    /// screw's crest, where it is least (plain trigonometry).
    #[test]
    fn unlike_flanks_are_nearest_at_an_end_of_their_depth() {
        let outline = |designation: &str, element| {
            designation.parse::<crate::Thread>().expect("a thread").outline(element)
        };
        let (square, acme) = ("1 1/4-4 square", "1 1/4-4 ACME");
        let (screw, nut) = (crate::Element::External, crate::Element::Internal);
        let half_pitch = 25.4 / 8.0;
        let moved = |screw: Outline| screw.moved(half_pitch);
        let expected = -2.0 * (half_pitch / 2.0) * 14.5_f64.to_radians().tan();
        let at_crest = room(&moved(outline(square, screw)), &outline(acme, nut)).expect("common radii");
        assert!((at_crest.along() - expected).abs() < 1e-6, "{at_crest:?} {expected}");
        assert!((at_crest.leading_at - 25.4 * 1.25 / 2.0).abs() < 1e-9);
        let at_bore = room(&moved(outline(acme, screw)), &outline(square, nut)).expect("common radii");
        assert!((at_bore.along() - expected).abs() < 1e-6, "{at_bore:?} {expected}");
        assert!((at_bore.leading_at - 25.4 / 2.0).abs() < 1e-9);
    }
}
