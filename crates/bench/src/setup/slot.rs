//! The slot of a banjo's arm, and where pins stand in it so that their gears mesh.
//!
//! On the arm: the lead screw's centre at the origin, the first axis along the slot (for an arc along its chord), the
//! second towards the stud. All distances in one unit, whichever.

use crate::job::Banjo;
use flankwise_thread::Length;

/// A point on the arm.
pub(super) type Point = [f64; 2];

/// Points in which an arc is drawn.
const CHORDS: u32 = 24;

/// The slot's centre line.
#[derive(Clone, Copy, Debug)]
pub(super) struct Slot {
    /// Its ends along the first axis.
    ends: (f64, f64),
    /// The straight slot, or the arc's chord, beside the lead screw's centre.
    offset: f64,
    arc: Option<Arc>,
}

#[derive(Clone, Copy, Debug)]
struct Arc {
    centre: Point,
    radius: f64,
    /// +1 where it bulges towards the stud.
    bulges: f64,
}

/// Pins in the slot.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pins {
    /// The one at the lead screw.
    pub near: Point,
    /// The one at the stud; the same where there is but one.
    pub far: Point,
    /// What is left from the slot's near end to the first; negative where it stands before it.
    pub spare_near: f64,
    /// What is left from the last to the far end.
    pub spare_far: f64,
}

impl Slot {
    /// Of a banjo, in units of `unit`; none where nothing is said of its slot.
    pub fn of(banjo: &Banjo, unit: Length) -> Option<Self> {
        let (near, far) = (banjo.slot_min.map(|l| l / unit), banjo.slot_max.map(|l| l / unit));
        if near.is_none() && far.is_none() {
            return None;
        }
        let offset = banjo.slot_offset / unit;
        // Both are measured from the lead screw's centre.
        let along = |reach: f64| (reach * reach - offset * offset).max(0.0).sqrt();
        let ends = (near.map_or(0.0, along), far.map_or(f64::INFINITY, along));
        let arc = banjo.slot_radius.filter(|_| ends.1.is_finite()).map(|radius| {
            let (radius, bulges) = ((radius / unit).abs(), (radius / unit).signum());
            let half = 0.5 * (ends.1 - ends.0);
            let below = (radius * radius - half * half).max(0.0).sqrt();
            Arc { centre: [f64::midpoint(ends.0, ends.1), offset - bulges * below], radius, bulges }
        });
        Some(Self { ends, offset, arc })
    }

    /// The far end's distance from the lead screw.
    pub fn reach(&self) -> f64 {
        self.ends.1.hypot(self.offset)
    }

    fn at(&self, along: f64) -> Point {
        let up = |arc: Arc| {
            let from = along - arc.centre[0];
            arc.centre[1] + arc.bulges * (arc.radius * arc.radius - from * from).max(0.0).sqrt()
        };
        [along, self.arc.map_or(self.offset, up)]
    }

    /// Place along the slot, from `from` on, at which a pin is `distance` from `point`.
    fn away(&self, point: Point, distance: f64, from: f64) -> f64 {
        if self.arc.is_none() {
            let beside = self.offset - point[1];
            return point[0] + (distance * distance - beside * beside).max(0.0).sqrt();
        }
        let (mut low, mut high) = (from, self.ends.1);
        for _ in 0..50 {
            let middle = f64::midpoint(low, high);
            if apart(self.at(middle), point) < distance { low = middle } else { high = middle }
        }
        high
    }

    /// Pins whose gears stand `last` from the lead screw and `middle` from each other; zero for a single pin.
    pub fn pins(&self, last: f64, middle: f64) -> Pins {
        let first = self.away([0.0, 0.0], last, self.ends.0);
        let near = self.at(first);
        let second = if middle > 0.0 { self.away(near, middle, first) } else { first };
        let spare_far = match self.arc {
            None => self.ends.1 - second,
            Some(_) => {
                let end = self.at(self.ends.1);
                if middle > 0.0 { apart(end, near) - middle } else { apart(end, [0.0, 0.0]) - last }
            }
        };
        Pins {
            near,
            far: self.at(second),
            spare_near: last - apart(self.at(self.ends.0), [0.0, 0.0]),
            spare_far,
        }
    }

    /// Points of its centre line from end to end; none where the far end is not known.
    pub fn line(&self) -> Vec<Point> {
        let chords = match self.arc {
            Some(_) => CHORDS,
            None => 1,
        };
        let along = |i: u32| self.ends.0 + (self.ends.1 - self.ends.0) * f64::from(i) / f64::from(chords);
        if self.ends.1.is_finite() { (0..=chords).map(|i| self.at(along(i))).collect() } else { Vec::new() }
    }
}

/// Distance of two points.
pub(super) fn apart(a: Point, b: Point) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}

/// A point turned about the origin.
pub(super) fn turned(point: Point, by: f64) -> Point {
    let (sin, cos) = by.sin_cos();
    [point[0] * cos - point[1] * sin, point[0] * sin + point[1] * cos]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn slot(near: f64, far: f64, offset: f64, radius: Option<f64>) -> Slot {
        let banjo = Banjo {
            module: Length::mm(1.0),
            centres_min: Length::mm(120.0),
            centres_max: Length::mm(120.0),
            slot_min: Some(Length::mm(near)),
            slot_max: Some(Length::mm(far)),
            slot_offset: Length::mm(offset),
            slot_radius: radius.map(Length::mm),
            pins: 2,
            largest_gear: None,
            stud: Length::mm(20.0),
        };
        Slot::of(&banjo, Length::mm(1.0)).expect("a slot")
    }

    /// By hand: a slot 30 beside the centre, a pin 50 from the centre stands 40 along it (3-4-5), the next 25 further on.
    #[test]
    fn pins_on_a_slot_beside_the_centre() {
        let pins = slot(34.0, 78.0, 30.0, None).pins(50.0, 25.0);
        assert!((pins.near[0] - 40.0).abs() < 1e-9 && (pins.far[0] - 65.0).abs() < 1e-9);
        assert!((pins.far[1] - 30.0).abs() < 1e-12);
        // The far end stands √(78² − 30²) = 72 along.
        assert!((pins.spare_far - 7.0).abs() < 1e-9 && (pins.spare_near - 16.0).abs() < 1e-9);
        assert!(slot(34.0, 78.0, 30.0, None).pins(50.0, 40.0).spare_far < 0.0);
        assert!(slot(34.0, 78.0, 30.0, None).pins(32.0, 0.0).spare_near < 0.0);
    }

    /// On an arc both pins lie on its circle at the distances asked, and a very large circle is the straight slot.
    #[test]
    fn pins_on_an_arc() {
        for radius in [45.0, 60.0, -45.0] {
            let arc = slot(30.0, 110.0, 8.0, Some(radius));
            let pins = arc.pins(52.0, 33.0);
            assert!((apart(pins.near, [0.0, 0.0]) - 52.0).abs() < 1e-9, "{radius}");
            assert!((apart(pins.near, pins.far) - 33.0).abs() < 1e-9, "{radius}");
            let line = arc.line();
            let (first, last) = (line[0], line[line.len() - 1]);
            assert!((apart(first, [0.0, 0.0]) - 30.0).abs() < 1e-9);
            assert!((apart(last, [0.0, 0.0]) - 110.0).abs() < 1e-9);
            // Three points on it, their circle by the product of the sides over four times the area.
            let [a, b, c] = [first, pins.near, pins.far];
            let area = 0.5 * ((b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1]));
            let circle = apart(a, b) * apart(b, c) * apart(c, a) / (4.0 * area.abs());
            assert!((circle - radius.abs()).abs() < 1e-6, "{circle} {radius}");
            assert_eq!(area < 0.0, radius > 0.0, "it bulges to the side that is asked");
        }
        let (flat, straight) = (slot(30.0, 110.0, 8.0, Some(1e7)), slot(30.0, 110.0, 8.0, None));
        let (a, b) = (flat.pins(52.0, 33.0), straight.pins(52.0, 33.0));
        assert!(apart(a.far, b.far) < 1e-3 && (a.spare_far - b.spare_far).abs() < 1e-3);
    }
}
