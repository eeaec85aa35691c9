//! Taking a pass: what it cuts, what it leaves uncut, and what the dials show.

use super::{Course, Place, Setting};
use crate::cut::device;
use crate::cut::feed::{Feed, compound_travel};
use crate::cut::force::{self, Load};
use crate::cut::{Pass, PassKind};
use crate::setup::surface_at;
use crate::tool::bar;
use flankwise_thread::{Hand, Length};

impl Course<'_> {
    /// Where these passes leave the tool.
    pub(super) fn after(&self, mut place: Place, settings: &[Setting]) -> Place {
        for s in settings {
            self.take(&mut place, *s);
        }
        place
    }

    /// The place as a tool of this tip finds it: a wider tip seats less deep. Its slides are called anew there, so that its
    /// shift and swing count from the groove as it finds it.
    pub fn seated(&self, place: Place, tip: Length) -> Place {
        if (tip - place.tip).abs() < Length::um(1.0) {
            return place;
        }
        let depth = self.groove(tip).seat(place.tip + place.side.abs(), place.depth);
        Place { tip, depth, side: Length::ZERO, left: Length::ZERO, springs: 0, swing: Length::ZERO, ..place }
    }

    /// What a pass done at these settings was.
    pub fn kind_of(&self, place: &Place, depth: Length, side: Length, tip: Length) -> PassKind {
        let here = self.seated(*place, tip);
        if place.taken == 0 && depth <= self.scratch * 2.0 {
            PassKind::Scratch
        } else if depth > here.depth + self.near() {
            PassKind::Cutting
        } else if (side - here.side).abs() > Length::um(0.5) {
            PassKind::Widening
        } else if depth < here.depth - self.near() {
            PassKind::Idle
        } else {
            PassKind::Spring
        }
    }

    /// Where the tool that takes over in these passes finds the groove; none where one tool takes all.
    pub fn seat_at_change(&self, passes: &[Pass]) -> Option<Place> {
        let mut place = self.start();
        for p in passes {
            if place.taken > 0 && (p.tip - place.tip).abs() > Length::um(1.0) {
                return Some(self.seated(place, p.tip));
            }
            self.take(&mut place, Setting::of(p));
        }
        None
    }

    /// Takes a pass: what it cuts, and where it leaves the tool.
    pub fn take(&self, place: &mut Place, set: Setting) -> Pass {
        let before = self.seated(*place, set.tip);
        let groove = self.groove(set.tip);
        let k = self.tool.stiffness_n_per_mm;
        let deeper = (set.depth - before.depth).max(Length::ZERO);
        let idle = set.kind == PassKind::Idle;
        let wider = if idle { Length::ZERO } else { (set.side - before.side).abs() };
        let (mut area, mut load, mut deflection) = (0.0, Load::default(), Length::ZERO);
        let mut after = Place {
            taken: before.taken + 1,
            depth: before.depth.max(set.depth),
            side: if idle { before.side } else { set.side },
            springs: match set.kind {
                PassKind::Spring => before.springs + 1,
                PassKind::Idle => before.springs,
                _ => 0,
            },
            ..before
        };
        if deeper > Length::ZERO || set.kind == PassKind::Spring {
            after.left = force::left_uncut(deeper + before.left, k, |h| {
                self.load(set.tip, set.depth - h, set.depth).radial
            });
            deflection = after.left;
            let from = set.depth - (if deeper > Length::ZERO { deeper } else { before.left - after.left });
            area += groove.area_mm2(set.depth) - groove.area_mm2(from);
            load = self.load(set.tip, from, set.depth);
        }
        if wider > Length::ZERO {
            // Outward and ahead is one side in a right-hand thread fed by the compound, and in a left-hand one.
            let away = set.side >= before.side;
            let flank = if away == (self.leading() > 0.0) { self.flanks.ahead } else { self.flanks.behind };
            let depth = after.depth;
            let side = force::widening(self.kienzle, depth, flank, wider);
            area += wider.to_mm() * depth.to_mm();
            load.cutting += side.cutting;
            if deeper <= Length::ZERO {
                deflection = bar::deflection(side.radial, k);
            }
        }
        if let Feed::Alternating(lean) = self.feed
            && deeper > Length::ZERO
        {
            let swing = before.swing + deeper * (lean.tan() * before.next_lean);
            after.swing = self.within_flanks(swing, set.depth + before.offset);
            after.next_lean = -before.next_lean;
        }
        *place = after;
        let (readout, compound) = self.shows(set.depth, set.side);
        let diameter = self.bottom_at(self.set_by(readout, compound, set.depth) + before.offset);
        Pass {
            number: after.taken,
            kind: set.kind,
            tip: set.tip,
            step: deeper,
            depth: set.depth,
            side: set.side,
            diameter,
            readout,
            compound,
            axial_shift: self.axial_shift(&Place { depth: set.depth, ..after }),
            area_mm2: area,
            force: load.cutting,
            power_kw: force::spindle_kw(load.cutting, surface_at(self.rpm, diameter), force::DRIVE),
            deflection,
            left: after.left,
        }
    }

    /// A swing of an alternating infeed as the compound can set it, no farther than the flanks of the finished groove
    /// leave room for: none at the full depth, where the tool stands as it touched on.
    fn within_flanks(&self, swing: Length, real: Length) -> Length {
        let room = (self.full - real - self.near()).max(Length::ZERO);
        let (chuck, tailstock) = match self.fit.thread.hand {
            Hand::Right => (self.flanks.ahead, self.flanks.behind),
            Hand::Left => (self.flanks.behind, self.flanks.ahead),
        };
        let (least, most) = (room * -chuck, room * tailstock);
        match self.compound {
            // To the nearest division, but never beyond a flank.
            Some(d) => d * (swing / d).round().min((most / d).floor()).max((least / d).ceil()),
            None => swing.max(least).min(most),
        }
    }

    /// Shift of the tool along the axis against straight infeed, as the compound is set or makes by itself.
    pub fn axial_shift(&self, at: &Place) -> Length {
        at.side
            + match self.feed {
                Feed::Straight => Length::ZERO,
                Feed::Swung(lean) | Feed::Shifted(lean) => at.depth * (lean.tan() * self.leading()),
                Feed::Alternating(_) => at.swing,
            }
    }

    /// What the cross-slide and a feeding compound show.
    pub fn shows(&self, depth: Length, side: Length) -> (Length, Length) {
        let slide = |l: Length| self.device.map_or(l, |d| d.shows(l));
        match self.feed {
            Feed::Swung(lean) => {
                // On along the compound, back by as much radially: the difference is axial.
                let on = side.abs() * (1.0 / lean.sin());
                let back = slide(on * lean.cos());
                let back = self.device.map_or(back, |d| device::round_to(back, d.division));
                let compound = compound_travel(depth, lean) + on;
                let compound = match self.compound {
                    Some(d) if side != Length::ZERO => device::round_to(compound, d),
                    _ => compound,
                };
                (-back, compound)
            }
            _ => (slide(depth), Length::ZERO),
        }
    }

    /// The radial depth that these dial numbers set; `depth` where the cross-slide alone sets it.
    fn set_by(&self, readout: Length, compound: Length, depth: Length) -> Length {
        match self.feed {
            Feed::Swung(lean) if readout != Length::ZERO => {
                compound * lean.cos() + self.device.map_or(readout, |d| d.travel(readout))
            }
            _ => depth,
        }
    }
}
