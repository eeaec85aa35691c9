//! Whether a train can be mounted: its shafts in the real plane, what its gears run into, the slot of the banjo, and
//! which way the lead screw then turns.
//!
//! Two gears of module m in mesh stand `m (z1 + z2) / 2` apart, and a gear is `m (z + 2)` across its tips
//! (ISO 53, ISO 54: standard proportions; from memory). The banjo swings about the lead screw, and its pins stand in
//! the slot of its arm ([`super::slot`]): the first pin closes a triangle with stud and lead screw. Gears that share a shaft lie in neighbouring planes; every
//! shaft is taken to reach through all of them. Where the slot is not known, a second pin may stand anywhere.

use super::slot::{Slot, turned};
use super::train::{Idler, Layout, Seat, seats};
use crate::job::{Banjo, Lathe, Meshes};
use crate::report::Text;
use flankwise_thread::{Angle, Hand, Length};

/// Practice where nothing is known of the banjo: the pair in mesh should have this many teeth more than the gear
/// beside it on the neighbouring stud (common practice, no source: 15 to 20).
const PRACTICE_TEETH: f64 = 15.0;

/// A fixed distance is met to within this share of the module, as more backlash.
const EASE: f64 = 0.1;

/// Least room in which a gear runs past a shaft, or past a gear that it is not in mesh with: shafts bend, and gears
/// run out by tenths. Chosen here.
pub(super) const RUNNING: Length = Length::mm(0.5);

/// Pins taken where nothing is known of the banjo.
const PINS: usize = 2;

/// A way of mounting a train.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Mounting {
    pub drivers: Vec<u32>,
    pub driven: Vec<u32>,
    pub idlers: Vec<Idler>,
    pub layout: Option<Layout>,
    /// What is left of the tightest limit, in teeth; negative where it does not fit.
    pub spare_teeth: f64,
    /// Why not, if it does not fit.
    pub why_not: Text,
}

impl Mounting {
    pub fn fits(&self) -> bool {
        self.spare_teeth >= -1e-9
    }
}

/// The pairs in mesh that a hand asks for; none where a lever reverses the lead screw. An even number turns the lead
/// screw with the stud, and a right-hand lead screw that turns with the spindle draws the carriage to the headstock:
/// a right-hand thread. So even is taken where the lathe does not say.
pub(super) fn meshes_for(lathe: &Lathe, hand: Hand) -> Option<Meshes> {
    let right = lathe.right_hand_meshes.unwrap_or(Meshes::Even);
    match (lathe.left_hand, hand, right) {
        (true, ..) => None,
        (false, Hand::Right, parity) => Some(parity),
        (false, Hand::Left, Meshes::Even) => Some(Meshes::Odd),
        (false, Hand::Left, Meshes::Odd) => Some(Meshes::Even),
    }
}

/// What a banjo leaves free. All distances are in teeth: a length of `m/2`, so that a pair in mesh is as far apart as
/// its teeth together.
struct Plane {
    /// Shortest and longest distance from stud to lead screw.
    centres: (f64, f64),
    /// The slot; none where it is not known.
    slot: Option<Slot>,
    /// Largest gear, in teeth.
    largest: f64,
    /// Radius of a pin with its collar.
    collar: f64,
    /// Least room that a gear runs in.
    running: f64,
    /// One tooth.
    tooth: Length,
}

impl Plane {
    fn of(banjo: &Banjo) -> Option<Self> {
        let tooth = banjo.module * 0.5;
        (tooth > Length::ZERO).then(|| Self {
            centres: (banjo.centres_min / tooth, banjo.centres_max / tooth),
            slot: Slot::of(banjo, tooth),
            largest: banjo.largest_gear.map_or(f64::INFINITY, |d| d / banjo.module - 2.0),
            collar: banjo.stud / tooth / 2.0,
            running: RUNNING / tooth,
            tooth,
        })
    }
}

/// What a mounting can fail by.
#[derive(Clone, Copy)]
enum Limit {
    /// The gear does not clear the casting.
    Casting(u32),
    /// Two gears do not reach from stud to lead screw.
    PairShort(u32, u32),
    /// Two gears are further apart than stud and lead screw.
    PairLong(u32, u32),
    /// Two gears in one plane that should not touch do.
    Touch(u32, u32),
    /// The links together are too short.
    Reach,
    /// One link is longer than all else.
    Swing,
    /// The pin nearest to the lead screw stands before the slot begins.
    SlotNear,
    /// The pin furthest from it stands beyond the slot's end.
    SlotFar,
    /// A gear runs into the shaft that carries another.
    Shaft(u32, u32),
    /// So many pins are needed, and there are fewer.
    Pins(usize),
    /// The lead screw turns the wrong way, and no gear or pin is left to turn it round.
    Hand,
}

impl Limit {
    /// In words, with the teeth too many or too few; where no banjo gives a tooth its length, in teeth alone. `near` is
    /// said of gears that would pass, with too little room to run.
    fn words(self, short: f64, tooth: Length, near: bool) -> Text {
        let n = match short.ceil() {
            1.0 => "1 tooth".to_owned(),
            teeth => format!("{teeth:.0} teeth"),
        };
        Text::from(match self {
            Self::SlotNear => {
                return Text::from("the pair at the lead screw is too small: its pin stands ")
                    .len(tooth * short)
                    .s(" before the slot begins");
            }
            Self::SlotFar => {
                return Text::from("a pin stands ").len(tooth * short).s(" beyond the end of the slot");
            }
            Self::Touch(a, b) if near => {
                return Text::from(format!("{a} and {b} pass each other with less than "))
                    .len(RUNNING)
                    .s(" of room to run in");
            }
            Self::Shaft(gear, of) if near => {
                return Text::from(format!("the {gear} passes the shaft of the {of} with less than "))
                    .len(RUNNING)
                    .s(" of room to run in");
            }
            Self::Casting(g) => format!("the {g} does not clear the casting: {n} too large"),
            Self::PairShort(a, b) => {
                format!(
                    "{a} and {b} do not reach from stud to lead screw: {n} short, and no spare gear bridges that"
                )
            }
            Self::PairLong(a, b) => {
                format!("{a} and {b} are {n} too large for the distance to the lead screw")
            }
            Self::Touch(a, b) => format!("{a} and {b} touch each other: {n} too large"),
            Self::Reach => format!("the train does not reach from stud to lead screw: {n} short in all"),
            Self::Swing => {
                format!("one pair is too large beside the rest to swing back to the lead screw: {n} over")
            }
            Self::Shaft(gear, of) => {
                format!("the {gear} runs into the shaft of the {of}: {n} too large")
            }
            Self::Pins(1) => "it needs a pin between stud and lead screw".to_owned(),
            Self::Pins(pins) => format!("it needs {pins} pins between stud and lead screw"),
            Self::Hand => {
                "it cuts the other hand, and no spare gear or pin is left for one idler more".to_owned()
            }
        })
    }
}

/// Gathers the tightest constraint of one mounting.
#[derive(Clone, Copy)]
struct Tightest {
    spare: f64,
    limit: Option<Limit>,
    /// Least room between what must not touch, and of a pin in its slot; infinite where there is nothing such.
    room: f64,
    /// The tightest limit is one of [`Self::pass`], and the two do not touch.
    near: bool,
}

impl Tightest {
    const fn new() -> Self {
        Self { spare: f64::INFINITY, limit: None, room: f64::INFINITY, near: false }
    }
    /// `spare` teeth are left within this limit.
    fn hold(&mut self, spare: f64, limit: Limit) {
        if spare < self.spare {
            *self = Self { spare, limit: Some(limit), near: false, ..*self };
        }
    }
    /// A pin stands `spare` within the end of its slot.
    fn slide(&mut self, spare: f64, limit: Limit) {
        self.room = self.room.min(spare);
        self.hold(spare, limit);
    }
    /// Two pass each other `gap` apart, and at least `running` is wanted.
    fn pass(&mut self, gap: f64, running: f64, limit: Limit) {
        self.room = self.room.min(gap);
        let spare = gap - running;
        if spare < self.spare {
            *self = Self { spare, limit: Some(limit), near: gap >= 0.0, ..*self };
        }
    }
    fn why_not(self, tooth: Length) -> Text {
        match self.limit {
            Some(limit) if self.spare < -1e-9 => limit.words(-self.spare, tooth, self.near),
            _ => Text::new(),
        }
    }
}

/// The gears of one way of mounting, in arrays since this is tried for every train that comes near: three pairs at
/// most, or fewer with idlers, on at most four shafts.
#[derive(Clone, Copy)]
struct Chain {
    drivers: [u32; 3],
    driven: [u32; 3],
    pairs: usize,
    idlers: [Idler; 2],
    between: usize,
}

impl Chain {
    fn of(drivers: &[u32], driven: &[u32], idlers: &[Idler]) -> Self {
        let mut chain = Self {
            drivers: [0; 3],
            driven: [0; 3],
            pairs: drivers.len(),
            idlers: [Idler { pair: 0, teeth: 0 }; 2],
            between: idlers.len(),
        };
        chain.drivers[..drivers.len()].copy_from_slice(drivers);
        chain.driven[..driven.len()].copy_from_slice(driven);
        chain.idlers[..idlers.len()].copy_from_slice(idlers);
        chain
    }
    fn drivers(&self) -> &[u32] {
        &self.drivers[..self.pairs]
    }
    fn driven(&self) -> &[u32] {
        &self.driven[..self.pairs]
    }
    fn idlers(&self) -> &[Idler] {
        &self.idlers[..self.between]
    }
    fn seats(&self) -> Vec<Seat> {
        seats(self.drivers(), self.driven(), self.idlers())
    }
    fn turns(&self) -> Meshes {
        if (self.pairs + self.between).is_multiple_of(2) { Meshes::Even } else { Meshes::Odd }
    }
}

/// One way of mounting, held against every limit.
struct Tried {
    chain: Chain,
    tight: Tightest,
    stood: Option<Stood>,
}

/// Where the shafts stand.
#[derive(Clone, Copy, Default)]
struct Stood {
    /// Stud first.
    places: [[f64; 2]; 4],
    /// How far the arm is turned from the line from the stud to the lead screw; none without a slot or a pin.
    turn: Option<f64>,
}

impl Tried {
    fn fits(&self) -> bool {
        self.tight.spare >= -1e-9
    }
    fn better_than(&self, other: &Option<Self>) -> bool {
        other.as_ref().is_none_or(|o| self.tight.spare > o.tight.spare)
    }
}

fn z(teeth: u32) -> f64 {
    f64::from(teeth)
}

/// The best mounting of these gears: with as few idlers as it goes, and the most room at its tightest place. `spare`
/// are gears not used, of which idlers may be taken; `wanted` is which way the lead screw must turn.
pub(super) fn mount(
    lathe: &Lathe,
    wanted: Option<Meshes>,
    drivers: &[u32],
    driven: &[u32],
    spare: &[u32],
) -> Mounting {
    let plane = lathe.banjo.as_ref().and_then(Plane::of);
    let pins = lathe.banjo.as_ref().map_or(PINS, |b| b.pins as usize);
    if drivers.is_empty() {
        return finish(None, plane.as_ref());
    }
    let mut best: Option<Tried> = None;
    let needed = drivers.len() - 1;
    // No number of idlers helps where the pairs themselves want more pins than there are.
    let choices = if needed > pins { 0..0 } else { 0..(pins - needed).min(2) + 1 };
    for idlers in choices {
        let parity = Chain::of(drivers, driven, &NO_IDLERS[..idlers]).turns();
        if wanted.is_some_and(|w| w != parity) || (idlers > 0 && plane.is_none() && wanted.is_none()) {
            continue;
        }
        each(drivers, driven, spare, idlers, &mut |chain| {
            let tried = try_out(plane.as_ref(), chain);
            if tried.better_than(&best) {
                best = Some(tried);
            }
        });
        if best.as_ref().is_some_and(Tried::fits) {
            break;
        }
    }
    let tried = best.unwrap_or_else(|| {
        let mut tight = Tightest::new();
        tight.hold(-1.0, if needed > pins { Limit::Pins(needed) } else { Limit::Hand });
        Tried { chain: Chain::of(drivers, driven, &[]), tight, stood: None }
    });
    finish(Some(tried), plane.as_ref())
}

const NO_IDLERS: [Idler; 2] = [Idler { pair: 0, teeth: 0 }; 2];

/// Whether idlers can help a train of so many pairs at all: the pins are few.
pub(super) fn takes_idlers(lathe: &Lathe, pairs: usize) -> bool {
    lathe.banjo.as_ref().map_or(PINS, |b| b.pins as usize) + 1 > pairs
}

/// Every order of the gears, with every choice of `idlers` gears between.
fn each(drivers: &[u32], driven: &[u32], spare: &[u32], idlers: usize, visit: &mut impl FnMut(Chain)) {
    let pairs = drivers.len();
    let orders: &[&[usize]] = match pairs {
        1 => &[&[0]],
        2 => &[&[0, 1], &[1, 0]],
        _ => &[&[0, 1, 2], &[0, 2, 1], &[1, 0, 2], &[1, 2, 0], &[2, 0, 1], &[2, 1, 0]],
    };
    for drivers_order in orders {
        for driven_order in orders {
            let (mut a, mut b) = ([0; 3], [0; 3]);
            for i in 0..pairs {
                (a[i], b[i]) = (drivers[drivers_order[i]], driven[driven_order[i]]);
            }
            let mut with = |between: &[Idler]| visit(Chain::of(&a[..pairs], &b[..pairs], between));
            match idlers {
                0 => with(&[]),
                1 => {
                    for pair in 0..pairs {
                        for &teeth in spare {
                            with(&[Idler { pair, teeth }]);
                        }
                    }
                }
                _ => {
                    for (i, &first) in spare.iter().enumerate() {
                        for (j, &second) in spare.iter().enumerate() {
                            if i != j {
                                with(&[Idler { pair: 0, teeth: first }, Idler { pair: 0, teeth: second }]);
                            }
                        }
                    }
                }
            }
        }
    }
}

fn try_out(plane: Option<&Plane>, chain: Chain) -> Tried {
    let mut tight = Tightest::new();
    let Some(plane) = plane else {
        by_practice(&chain, &mut tight);
        return Tried { chain, tight, stood: None };
    };
    for gears in [chain.drivers(), chain.driven()] {
        for &g in gears {
            tight.hold(plane.largest - z(g), Limit::Casting(g));
        }
    }
    for idler in chain.idlers() {
        tight.hold(plane.largest - z(idler.teeth), Limit::Casting(idler.teeth));
    }
    let seats = chain.seats();
    let mut links = [0.0; 3];
    let mut shafts = 1;
    for w in seats.windows(2).filter(|w| w[0].plane == w[1].plane) {
        links[shafts - 1] = z(w[0].teeth) + z(w[1].teeth);
        shafts += 1;
    }
    let stood = stand(plane, &chain, &links[..shafts - 1], &mut tight);
    collide(plane, &seats, &stood.places[..shafts], &mut tight);
    Tried { chain, tight, stood: Some(stood) }
}

/// Where nothing is known of the banjo.
fn by_practice(chain: &Chain, tight: &mut Tightest) {
    let (a, b) = (chain.drivers(), chain.driven());
    let link = |i: usize| z(a[i]) + z(b[i]);
    for i in 0..chain.pairs.saturating_sub(1) {
        // Both gears of the pin between pair i and the next reach towards the shafts at either side.
        let (near, far) = (b[i], a[i + 1]);
        tight.hold(link(i) - z(far) - PRACTICE_TEETH, Limit::Shaft(far, a[i]));
        tight.hold(link(i + 1) - z(near) - PRACTICE_TEETH, Limit::Shaft(near, b[i + 1]));
    }
}

/// Where the shafts stand: the stud and the lead screw as far apart as they go, since that leaves most room everywhere.
fn stand(plane: &Plane, chain: &Chain, links: &[f64], tight: &mut Tightest) -> Stood {
    let (least, most) = plane.centres;
    let mut places = [[0.0; 2]; 4];
    let (Some(&first), Some(&last)) = (links.first(), links.last()) else { return Stood::default() };
    if links.len() == 1 {
        tight.hold(first + 2.0 * EASE - least, Limit::PairShort(chain.drivers[0], chain.driven[0]));
        tight.hold(most - first, Limit::PairLong(chain.drivers[0], chain.driven[0]));
        places[1] = [first.clamp(least, most.max(least)), 0.0];
        return Stood { places, turn: None };
    }
    let middle = if links.len() == 3 { links[1] } else { 0.0 };
    let pins = plane.slot.map(|slot| slot.pins(last, middle));
    // Distance of the first pin from the lead screw.
    let arm = match pins {
        Some(pins) => pins.far[0].hypot(pins.far[1]),
        None => (last + middle).min(most + first).max((last - middle).abs()),
    };
    tight.hold(arm + first + 2.0 * EASE - least, Limit::Reach);
    tight.hold(most - (arm - first).abs(), Limit::Swing);
    match pins {
        Some(pins) => {
            tight.slide(pins.spare_near, Limit::SlotNear);
            tight.slide(pins.spare_far, Limit::SlotFar);
        }
        // An arm of unknown length reaches as far as the stud.
        None => tight.hold(most - last, Limit::SlotFar),
    }
    let centres = most.min(arm + first).max(least);
    let x = (first * first - arm * arm + centres * centres) / (2.0 * centres);
    let pin = [x, (first * first - x * x).max(0.0).sqrt()];
    places[1] = pin;
    places[links.len()] = [centres, 0.0];
    let turn = pins.map(|pins| pin[1].atan2(pin[0] - centres) - pins.far[1].atan2(pins.far[0]));
    if let (3, Some(pins), Some(turn)) = (links.len(), pins, turn) {
        let [x, y] = turned(pins.near, turn);
        places[2] = [centres + x, y];
    } else if links.len() == 3 {
        // From the lead screw towards the first pin, and off that line where the links are folded.
        let along = (last * last - middle * middle + arm * arm) / (2.0 * arm);
        let off = (last * last - along * along).max(0.0).sqrt();
        let (ux, uy) = ((pin[0] - centres) / arm, pin[1] / arm);
        places[2] = [centres + ux * along - uy * off, uy * along + ux * off];
        let other = [centres + ux * along + uy * off, uy * along - ux * off];
        let from_stud = |p: [f64; 2]| p[0].hypot(p[1]);
        if from_stud(other) > from_stud(places[2]) {
            places[2] = other;
        }
    }
    Stood { places, turn }
}

/// What the gears run into: shafts that do not carry them, and gears of their plane that they are not in mesh with.
fn collide(plane: &Plane, seats: &[Seat], places: &[[f64; 2]], tight: &mut Tightest) {
    let apart = |a: usize, b: usize| (places[a][0] - places[b][0]).hypot(places[a][1] - places[b][1]);
    for (i, g) in seats.iter().enumerate() {
        let in_mesh = |shaft: usize| {
            seats.iter().any(|s| s.plane == g.plane && s.shaft == shaft && s.shaft.abs_diff(g.shaft) == 1)
        };
        for shaft in (0..places.len()).filter(|&s| s != g.shaft && !in_mesh(s)) {
            let of = seats.iter().find(|s| s.shaft == shaft).map_or(0, |s| s.teeth);
            let gap = apart(g.shaft, shaft) - z(g.teeth) - 2.0 - plane.collar;
            tight.pass(gap, plane.running, Limit::Shaft(g.teeth, of));
        }
        for h in seats[i + 1..].iter().filter(|h| h.plane == g.plane && h.shaft.abs_diff(g.shaft) > 1) {
            let gap = apart(g.shaft, h.shaft) - z(g.teeth) - z(h.teeth) - 4.0;
            tight.pass(gap, plane.running, Limit::Touch(g.teeth, h.teeth));
        }
    }
}

fn finish(tried: Option<Tried>, plane: Option<&Plane>) -> Mounting {
    let Some(Tried { chain, tight, stood }) = tried else {
        return Mounting {
            drivers: Vec::new(),
            driven: Vec::new(),
            idlers: Vec::new(),
            layout: None,
            spare_teeth: f64::INFINITY,
            why_not: Text::new(),
        };
    };
    let shafts = chain.pairs + chain.between + 1;
    let layout = stood.zip(plane).filter(|_| tight.spare >= -1e-9).map(|(stood, plane)| {
        let (pin, screw) = (stood.places[1], stood.places[shafts - 1]);
        let length = |p: [f64; 2]| [plane.tooth * p[0], plane.tooth * p[1]];
        let slot = plane
            .slot
            .zip(stood.turn)
            .map_or_else(Vec::new, |(slot, turn)| slot.line().into_iter().map(|p| turned(p, turn)).collect());
        Layout {
            shafts: stood.places[..shafts].iter().copied().map(length).collect(),
            slot: slot.into_iter().map(|[x, y]| length([screw[0] + x, screw[1] + y])).collect(),
            arm: (shafts > 2).then(|| Angle::rad(pin[1].atan2(screw[0] - pin[0]))),
            room: Some(tight.room).filter(|r| r.is_finite()).map(|r| plane.tooth * r),
        }
    });
    Mounting {
        drivers: chain.drivers().to_vec(),
        driven: chain.driven().to_vec(),
        idlers: chain.idlers().to_vec(),
        layout,
        spare_teeth: tight.spare,
        why_not: tight.why_not(plane.map_or(Length::ZERO, |p| p.tooth)),
    }
}

/// The shortest and the longest distance from stud to lead screw that any gears on hand bridge. None without two
/// gears or a banjo.
pub(super) fn span(lathe: &Lathe) -> Option<(Length, Length)> {
    let banjo = lathe.banjo.as_ref()?;
    let plane = Plane::of(banjo)?;
    let mut gears: Vec<f64> = lathe.gears.iter().copied().map(z).filter(|&g| g <= plane.largest).collect();
    gears.sort_by(f64::total_cmp);
    let [least, second, ..] = gears[..] else { return None };
    let from_top = |n: usize| gears.iter().rev().take(n).sum::<f64>();
    // Idlers count twice in the distance, so that the largest gears serve best there.
    let longest = match banjo.pins {
        0 => from_top(2),
        1 => 2.0 * from_top(1) + (from_top(3) - from_top(1)),
        _ => 2.0 * from_top(2) + (from_top(4) - from_top(2)),
    };
    let by_slot =
        plane.slot.filter(|_| banjo.pins > 0).map_or(f64::INFINITY, |slot| slot.reach() + from_top(2));
    Some((plane.tooth * (least + second), plane.tooth * longest.min(by_slot).max(from_top(2))))
}
