//! Whether a train can be mounted: centre distances, and gears that would run into a neighbouring stud.
//!
//! Two gears of module m in mesh stand `m (z1 + z2) / 2` apart, and a gear is `m (z + 2)` across its tips
//! (ISO 53, ISO 54: standard proportions; from memory). The banjo swings about the lead screw, so that the studs of
//! a train form a polygon with the line from stud to lead screw: the polygon can be closed where the links together
//! are at least as long as that line, and no link is longer than all else together.

use crate::job::Lathe;

/// Practice where nothing is known of the banjo: the pair in mesh should have this many teeth more than the gear
/// beside it on the neighbouring stud (common practice, no source: 15 to 20).
const PRACTICE_TEETH: f64 = 15.0;

/// A fixed distance is met to within this share of the module, as more backlash.
const EASE: f64 = 0.1;

/// A way of mounting a train.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Mounting {
    pub drivers: Vec<u32>,
    pub driven: Vec<u32>,
    /// Gear between the two of a simple train.
    pub idler: Option<u32>,
    /// Room left at the tightest place, in teeth; negative where it does not fit.
    pub spare_teeth: f64,
    /// Why not, if it does not fit.
    pub why_not: String,
}

impl Mounting {
    pub fn fits(&self) -> bool {
        self.spare_teeth >= -1e-9
    }
}

/// All distances in teeth: a length of `m/2`, so that a pair in mesh is as far apart as its teeth together.
struct Room {
    /// Shortest and longest distance from stud to lead screw, or what is known of it.
    centres: Option<(f64, f64)>,
    /// Largest gear, in teeth.
    largest: Option<f64>,
    /// What a gear must stay away from a neighbouring shaft's centre, beyond its own teeth.
    keep_off: f64,
}

impl Room {
    fn of(lathe: &Lathe) -> Self {
        match &lathe.banjo {
            Some(banjo) if banjo.module.to_mm() > 0.0 => {
                let teeth = |length: flankwise_thread::Length| 2.0 * (length / banjo.module);
                Self {
                    centres: Some((teeth(banjo.centres_min), teeth(banjo.centres_max))),
                    largest: banjo.largest_gear.map(|d| d / banjo.module - 2.0),
                    // Tip circle z + 2, and half the stud.
                    keep_off: 2.0 + teeth(banjo.stud) / 2.0,
                }
            }
            _ => Self { centres: None, largest: None, keep_off: PRACTICE_TEETH },
        }
    }
}

/// What a mounting can fail by.
#[derive(Clone, Copy)]
enum Limit {
    /// The gear does not clear the casting.
    Casting(u32),
    /// Two gears do not reach from stud to lead screw, and no spare gear bridges the rest.
    PairShort(u32, u32),
    /// Two gears are further apart than the banjo allows.
    PairLong(u32, u32),
    /// The two gears beside an idler touch.
    Touch(u32, u32),
    /// The links together are too short.
    Reach,
    /// One link is longer than all else.
    Swing,
    /// The last stud stands beyond the banjo's end.
    Beyond,
    /// `gear`, which sits with `beside`, runs into the shaft that carries `shaft`.
    Shaft { gear: u32, beside: u32, shaft: u32 },
    /// The gear reaches from one end of the train to the shaft at the other.
    Across(u32),
}

impl Limit {
    /// In words, with the teeth too many or too few.
    fn words(self, short: u32) -> String {
        let n = if short == 1 { "1 tooth".to_owned() } else { format!("{short} teeth") };
        match self {
            Self::Casting(g) => format!("the {g} does not clear the casting: {n} too large"),
            Self::PairShort(a, b) => {
                format!(
                    "{a} and {b} do not reach from stud to lead screw: {n} short, and no spare gear bridges that"
                )
            }
            Self::PairLong(a, b) => format!("{a} and {b} are {n} too large for the banjo"),
            Self::Touch(a, b) => format!("{a} and {b} touch each other beside the idler: {n} too large"),
            Self::Reach => format!("the train does not reach from stud to lead screw: {n} short in all"),
            Self::Swing => {
                format!("one pair is too large beside the rest to swing back to the lead screw: {n} over")
            }
            Self::Beyond => format!("the pair at the lead screw reaches beyond the banjo: {n} over"),
            Self::Shaft { gear, beside, shaft } => {
                format!("the {gear} beside the {beside} runs into the shaft of the {shaft}: {n} too large")
            }
            Self::Across(g) => format!("the {g} reaches over to the other end of the train: {n} too large"),
        }
    }
}

/// Gathers the tightest constraint of one mounting.
#[derive(Clone, Copy)]
struct Tightest {
    spare: f64,
    limit: Option<Limit>,
}

impl Tightest {
    const fn new() -> Self {
        Self { spare: f64::INFINITY, limit: None }
    }
    /// `spare` teeth are left within this limit.
    fn hold(&mut self, spare: f64, limit: Limit) {
        if spare < self.spare {
            *self = Self { spare, limit: Some(limit) };
        }
    }
    fn why_not(self) -> String {
        match self.limit {
            Some(limit) if self.spare < -1e-9 => limit.words((-self.spare).ceil() as u32),
            _ => String::new(),
        }
    }
}

/// The best mounting of these gears: the one with most room at its tightest place. `spare` are gears not used, one
/// of which may serve as the idler of a simple train.
pub(super) fn mount(lathe: &Lathe, drivers: &[u32], driven: &[u32], spare: &[u32]) -> Mounting {
    let room = Room::of(lathe);
    match drivers.len() {
        0 => Mounting {
            drivers: Vec::new(),
            driven: Vec::new(),
            idler: None,
            spare_teeth: f64::INFINITY,
            why_not: String::new(),
        },
        1 => simple(&room, drivers[0], driven[0], spare),
        _ => compound(&room, drivers, driven),
    }
}

fn z(teeth: u32) -> f64 {
    f64::from(teeth)
}

fn simple(room: &Room, a: u32, b: u32, spare: &[u32]) -> Mounting {
    let mounting = |tight: Tightest, idler| Mounting {
        drivers: vec![a],
        driven: vec![b],
        idler,
        spare_teeth: tight.spare,
        why_not: tight.why_not(),
    };
    let mut tight = Tightest::new();
    largest(&mut tight, room, &[a, b]);
    let Some((least, most)) = room.centres else { return mounting(tight, None) };
    let link = z(a) + z(b);
    tight.hold(link + 2.0 * EASE - least, Limit::PairShort(a, b));
    tight.hold(most - link, Limit::PairLong(a, b));
    let direct = mounting(tight, None);
    if direct.fits() {
        return direct;
    }
    let with_idler = spare.iter().map(|&i| {
        let mut tight = Tightest::new();
        let links = [z(a) + z(i), z(i) + z(b)];
        largest(&mut tight, room, &[a, i, b]);
        polygon(&mut tight, &links, least, most);
        // All three lie in one plane: the outer two must not touch.
        let apart = most.min(links[0] + links[1]);
        tight.hold(apart - (z(a) + z(b) + 4.0), Limit::Touch(a, b));
        mounting(tight, Some(i))
    });
    with_idler.filter(Mounting::fits).max_by(|x, y| x.spare_teeth.total_cmp(&y.spare_teeth)).unwrap_or(direct)
}

fn largest(tight: &mut Tightest, room: &Room, gears: &[u32]) {
    if let Some(largest) = room.largest {
        for &g in gears {
            tight.hold(largest - z(g), Limit::Casting(g));
        }
    }
}

/// The links and the line from stud to lead screw must close; no stud can stand beyond the end of the banjo.
fn polygon(tight: &mut Tightest, links: &[f64], least: f64, most: f64) {
    let sum: f64 = links.iter().sum();
    tight.hold(sum + 2.0 * EASE - least, Limit::Reach);
    for link in links {
        tight.hold(most - (2.0 * link - sum), Limit::Swing);
    }
    if let Some(last) = links.last() {
        tight.hold(most - last, Limit::Beyond);
    }
}

/// One order of a compound train: `drivers[i]` meshes with `driven[i]`, `driven[i]` sits with `drivers[i + 1]`.
fn check_compound(room: &Room, drivers: &[u32], driven: &[u32]) -> Tightest {
    let mut tight = Tightest::new();
    let mut links = [0.0; 3];
    let links = &mut links[..drivers.len()];
    for (i, link) in links.iter_mut().enumerate() {
        *link = z(drivers[i]) + z(driven[i]);
    }
    largest(&mut tight, room, drivers);
    largest(&mut tight, room, driven);
    for i in 0..drivers.len() - 1 {
        // Both gears of stud i + 1 reach towards the shafts at either side.
        let (near, far) = (driven[i], drivers[i + 1]);
        tight.hold(
            links[i] - z(far) - room.keep_off,
            Limit::Shaft { gear: far, beside: near, shaft: drivers[i] },
        );
        tight.hold(
            links[i + 1] - z(near) - room.keep_off,
            Limit::Shaft { gear: near, beside: far, shaft: driven[i + 1] },
        );
    }
    if let Some((least, most)) = room.centres {
        polygon(&mut tight, links, least, most);
        let apart = most.min(links.iter().sum());
        for g in [drivers[0], driven[driven.len() - 1]] {
            tight.hold(apart - z(g) - room.keep_off, Limit::Across(g));
        }
    }
    tight
}

fn compound(room: &Room, drivers: &[u32], driven: &[u32]) -> Mounting {
    // Up to three pairs: orders are held in place, since this runs for every train that comes near.
    let mut best = (Tightest { spare: f64::NEG_INFINITY, limit: None }, [0; 3], [0; 3]);
    let n = drivers.len();
    let orders: &[&[usize]] = match n {
        2 => &[&[0, 1], &[1, 0]],
        _ => &[&[0, 1, 2], &[0, 2, 1], &[1, 0, 2], &[1, 2, 0], &[2, 0, 1], &[2, 1, 0]],
    };
    for drivers_order in orders {
        for driven_order in orders {
            let (mut a, mut b) = ([0; 3], [0; 3]);
            for i in 0..n {
                (a[i], b[i]) = (drivers[drivers_order[i]], driven[driven_order[i]]);
            }
            let tight = check_compound(room, &a[..n], &b[..n]);
            if tight.spare > best.0.spare {
                best = (tight, a, b);
            }
        }
    }
    let (tight, a, b) = best;
    Mounting {
        drivers: a[..n].to_vec(),
        driven: b[..n].to_vec(),
        idler: None,
        spare_teeth: tight.spare,
        why_not: tight.why_not(),
    }
}
