//! Which passes are planned: from touch-on, and from any place that the tool has reached.

use super::{Course, Place, Setting, WIDEN_LEAST};
use crate::cut::PassKind;
use crate::cut::device;
use crate::cut::dial::Dial;
use crate::cut::feed::{self, Feed};
use crate::cut::force::Load;
use crate::cut::growth::Growth;
use crate::cut::plan::{self, Alike, Rule};
use crate::report::{Note, Text, Value};
use flankwise_thread::{Force, Length, Source};

/// Chip of a pass that widens, at most.
const WIDEN_STEP: Length = Length::mm(0.1);
/// What a roughing tool leaves at the bottom and, measured the same way, at the flanks. Chosen here.
pub(in crate::cut) const ROUGH_LEAVES: Length = Length::mm(0.15);
/// Depth of a pass that takes what roughing has left, at most. Chosen here.
const FINISH_STEP: Length = Length::mm(0.05);
/// Spring passes go on until less than this is left.
pub(in crate::cut) const SPRING_TARGET: Length = Length::mm(0.005);
/// Most spring passes that the count proposes: more only rub.
const MOST_SPRING: u32 = 6;
/// A re-plan may load a pass by so much more than the plan's hardest, or rounding to the dial would add a pass.
const QUOTA_SLACK: f64 = 1.05;

/// Why there are so many passes.
pub(in crate::cut) struct Basis {
    /// Words for the figure.
    pub words: String,
    /// So many passes by that.
    pub count: usize,
    pub source: Source,
}

impl Course<'_> {
    /// What the rule keeps alike.
    fn alike(&self, tip: Length) -> Alike {
        let growth = |of: fn(Load) -> Force| {
            Alike::Force(Growth::of(self.kienzle, |from, to| of(self.load(tip, from, to))))
        };
        match self.rule {
            Rule::Root | Rule::EqualArea => Alike::Area(self.groove(tip)),
            Rule::EqualForce => growth(|load| load.cutting),
            Rule::EqualDeflection => growth(|load| load.radial),
        }
    }

    /// Most passes that the smallest depth allows.
    fn most(&self, from: Length, to: Length) -> u32 {
        ((to - from) / self.least).floor().clamp(1.0, 1000.0) as u32
    }

    /// Cumulative depths of `n` passes.
    fn shares(&self, tip: Length, from: Length, to: Length, n: u32) -> Vec<Length> {
        let by_rule = match self.rule {
            // The root rule counts from the surface.
            Rule::Root if from <= self.scratch => (1..=n).map(|x| plan::root_rule_depth(to, n, x)).collect(),
            _ => self.alike(tip).equal(from, to, n),
        };
        plan::no_thinner(&by_rule, from, to, self.least)
    }

    /// Cumulative depths after the scratch, and why so many.
    pub fn depths_from_scratch(&self, notes: &mut Vec<Note>) -> (Vec<Length>, Basis) {
        let cutting = &self.job.cutting;
        let tip = self.rough.unwrap_or(self.tip);
        let (from, to) = (self.scratch, self.bulk_depth());
        let limit = cutting.force;
        let first = self.first.max(from + self.least);
        let within = |depths: &[Length]| {
            let mut at = from;
            depths.iter().enumerate().all(|(i, &next)| {
                let load = self.load(tip, at, next).cutting;
                at = next;
                (i > 0 || next <= first) && limit.is_none_or(|l| load <= l)
            })
        };
        let (low, high, source) = plan::table_passes(self.shape, self.fit.thread.pitch.length);
        let factor = if self.tool.carbide { 1.0 } else { plan::HSS_FACTOR };
        let from_table = (f64::from(high) * factor).ceil() as u32;
        let given = limit.is_some() || cutting.first.is_some();
        let most = self.most(from, to);
        let start = match (given, self.rule) {
            (false, _) => from_table,
            // Fewer than the first pass asks for cannot do.
            (true, Rule::EqualForce | Rule::EqualDeflection) => {
                let alike = self.alike(tip);
                alike.fewest(from, to, alike.of(from, first.min(to)), most)
            }
            (true, _) => 1,
        };
        let of = |n| self.shares(tip, from, to, n);
        let found = (start..=most.max(start)).map(of).find(|d| within(d));
        let words = match (limit, cutting.first) {
            (Some(_), Some(_)) => "from the force and the first pass that are set".to_owned(),
            (Some(_), None) => "from the force that is set".to_owned(),
            (None, Some(_)) => "from the first pass that is set".to_owned(),
            (None, None) if factor > 1.0 => {
                format!(
                    "table: {low} to {high} with carbide in steel; half as many again for high-speed steel by hand"
                )
            }
            (None, None) => format!("table: {low} to {high}"),
        };
        let source = if given { Source::derived("smallest number that keeps to them") } else { source };
        let depths = found.unwrap_or_else(|| {
            let depths = of(most);
            if let Some(limit) = limit {
                notes.extend(self.judge_force(tip, from, &depths, limit));
            }
            depths
        });
        let count = depths.len();
        (depths, Basis { words, count, source })
    }

    /// Whether the limit of force can be kept to at all.
    fn judge_force(&self, tip: Length, mut from: Length, depths: &[Length], limit: Force) -> Option<Note> {
        let worst = depths.iter().fold(Force::ZERO, |worst, &to| {
            let load = self.load(tip, from, to).cutting;
            from = to;
            worst.max(load)
        });
        (worst > limit).then(|| {
            Note::impossible(
                Text::new()
                    .s("The force can't be kept to ")
                    .v(Value::Force(limit))
                    .s(": at the smallest depth of ")
                    .len(self.least)
                    .s(" it still reaches ")
                    .v(Value::Force(worst))
                    .s(". A narrower tip with side passes, flank infeed, or a smaller depth would lower it."),
            )
            .field("cutting.force")
        })
    }

    /// How deep the first tool goes: a roughing tool leaves some.
    fn bulk_depth(&self) -> Length {
        match self.rough {
            Some(_) => (self.full - ROUGH_LEAVES).max(self.full * 0.5),
            None => self.full,
        }
    }

    /// The whole plan, from touch-on.
    pub fn plan(&self, notes: &mut Vec<Note>) -> (Vec<Setting>, Basis) {
        let tip = self.rough.unwrap_or(self.tip);
        let (depths, basis) = self.depths_from_scratch(notes);
        let scratch = self.settle(Length::ZERO, &[self.scratch]);
        let from = scratch.last().copied().unwrap_or(Length::ZERO);
        let at = |kind| move |depth: Length| Setting { kind, depth, side: Length::ZERO, tip };
        let mut settings: Vec<Setting> = scratch.into_iter().map(at(PassKind::Scratch)).collect();
        settings.extend(self.settle_even(tip, from, &depths).into_iter().map(at(PassKind::Cutting)));
        let reached = self.after(self.start(), &settings);
        settings.extend(self.rest(reached, None));
        (settings, basis)
    }

    /// The plan from a place on: what is left of the depth and of the width, and the spring passes. `quota` is the
    /// most that the plan loads a pass with; none where the bulk is done and its plan stands.
    pub fn rest(&self, place: Place, quota: Option<f64>) -> Vec<Setting> {
        let mut settings = Vec::new();
        let mut at = place;
        if let Some(rough) = self.rough.filter(|r| (*r - place.tip).abs() < Length::um(1.0)) {
            self.go(&mut at, &mut settings, |at| {
                self.deepen(at, rough, self.bulk_depth() - at.offset, quota)
            });
            self.go(&mut at, &mut settings, |at| self.widen_to(at, self.tip - rough));
        }
        at = self.seated(at, self.tip);
        let depth = self.target(&at);
        let finishing = self.rough.is_some() && at.depth >= self.bulk_depth() - self.near();
        let quota = quota.filter(|_| !finishing);
        self.go(&mut at, &mut settings, |at| self.deepen(at, self.tip, depth, quota));
        self.go(&mut at, &mut settings, |at| self.widen_to(at, at.side.abs() - self.wider(at)));
        settings.extend(self.springs(at));
        settings
    }

    /// Plans some passes from `at`, and stands behind them.
    fn go(&self, at: &mut Place, settings: &mut Vec<Setting>, plan: impl Fn(&Place) -> Vec<Setting>) {
        let more = plan(at);
        *at = self.after(*at, &more);
        settings.extend(more);
    }

    /// Depth to set for the full thread. What it cannot give where the depth is used up is left to the side passes.
    fn target(&self, at: &Place) -> Length {
        (self.full - at.offset).min(self.permitted(at))
    }

    /// Passes that take the depth.
    fn deepen(&self, at: &Place, tip: Length, to: Length, quota: Option<f64>) -> Vec<Setting> {
        let from = at.depth;
        if to - from < self.near() {
            return Vec::new();
        }
        let n = match quota {
            Some(quota) => self.alike(tip).fewest(from, to, quota * QUOTA_SLACK, self.most(from, to)),
            None => ((to - from) / FINISH_STEP).ceil().max(1.0) as u32,
        };
        let depths = self.settle_even(tip, from, &self.shares(tip, from, to, n));
        let set = |depth| Setting { kind: PassKind::Cutting, depth, side: at.side, tip };
        depths.into_iter().map(set).collect()
    }

    /// Passes to the side until the groove is `width` wider than the tip.
    fn widen_to(&self, at: &Place, width: Length) -> Vec<Setting> {
        let done = at.side.abs();
        let left = width - done;
        if left < WIDEN_LEAST {
            return Vec::new();
        }
        let n = (left / WIDEN_STEP).ceil().max(1.0) as u32;
        let shifts: Vec<Length> = (1..=n).map(|i| done + left * (f64::from(i) / f64::from(n))).collect();
        let shifts = match (self.feed, self.compound) {
            (Feed::Swung(lean), Some(d)) => {
                let radial = self.device.map(|d| d.radial_step());
                let settable = shifts.iter().map(|&s| feed::sideways(s, lean, Some(d), radial).axial);
                settable.fold(Vec::new(), |mut out, s| {
                    if s > out.last().copied().unwrap_or(done) {
                        out.push(s);
                    }
                    out
                })
            }
            (_, Some(d)) => device::settle(done, &shifts, d),
            _ => shifts,
        };
        let set = |shift: Length| Setting {
            kind: PassKind::Widening,
            depth: at.depth,
            side: shift * self.outward(),
            tip: at.tip,
        };
        shifts.into_iter().map(set).collect()
    }

    /// Spring passes, until little enough is left.
    fn springs(&self, mut at: Place) -> Vec<Setting> {
        if self.wide_enough(&at) {
            return Vec::new();
        }
        let wanted = self.job.cutting.spring;
        let enough = |at: &Place| match wanted {
            Some(n) => at.springs >= n,
            None => at.springs >= MOST_SPRING || (at.springs >= 1 && at.left <= SPRING_TARGET),
        };
        let set = Setting { kind: PassKind::Spring, depth: at.depth, side: at.side, tip: at.tip };
        let mut settings = Vec::new();
        while !enough(&at) {
            self.take(&mut at, set);
            settings.push(set);
        }
        settings
    }

    /// Rounds to what can be set, from a depth on.
    fn settle(&self, from: Length, depths: &[Length]) -> Vec<Length> {
        let step = self.step();
        if step > Length::ZERO { device::settle(from, depths, step) } else { depths.to_vec() }
    }

    /// The same for passes that cut: where the dial is coarse, chosen together.
    fn settle_even(&self, tip: Length, from: Length, depths: &[Length]) -> Vec<Length> {
        let step = self.step();
        let load = |from, to| self.load(tip, from, to).cutting.to_newton();
        let dial = Dial { step, least: self.least, load: &load };
        if step > Length::ZERO && dial.is_coarse(from, depths) {
            dial.even(from, depths)
        } else {
            self.settle(from, depths)
        }
    }

    /// The most that the rule's quantity comes to in a pass that takes depth.
    pub fn quota(&self, settings: &[Setting]) -> f64 {
        let mut place = self.start();
        let mut most = 0.0;
        for s in settings {
            let from = self.seated(place, s.tip).depth;
            if s.kind == PassKind::Cutting {
                most = f64::max(most, self.alike(s.tip).of(from, s.depth));
            }
            self.take(&mut place, *s);
        }
        most
    }
}
