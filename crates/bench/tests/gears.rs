//! Gear trains and threading dials against published charts (`tables/gears.csv`, `tables/dial.csv`; add rows
//! there), and the search against trying everything.

use flankwise_bench::job::{Banjo, BoxSetting, Lathe, ThreadDial};
use flankwise_bench::report::{Value, show};
use flankwise_bench::setup::{self, HalfNuts, Idler, Train, half_nuts};
use flankwise_thread::{Hand, Length, Pitch, Unit};
use proptest::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

fn lathe(screw: Pitch, gears: &[u32], most_gears: u32) -> Lathe {
    Lathe { most_gears, ..Lathe::plain(screw, gears.to_vec()) }
}

/// Right-hand trains.
fn trains(lathe: &Lathe, lead: Length, most: usize) -> (Vec<Train>, usize) {
    setup::trains(lathe, lead, Hand::Right, most)
}

/// As on most lathes with a tumbler: stud and lead screw so far apart, and any pin in between.
const fn banjo_of(module: f64, min: f64, max: f64, stud: f64, largest: Option<Length>) -> Banjo {
    Banjo {
        module: Length::mm(module),
        centres_min: Length::mm(min),
        centres_max: Length::mm(max),
        slot_min: None,
        slot_max: None,
        slot_offset: Length::ZERO,
        slot_radius: None,
        pins: 2,
        largest_gear: largest,
        stud: Length::mm(stud),
    }
}

fn why_not(train: &Train) -> String {
    show::text(&train.why_not, Unit::Mm)
}

fn pitch(text: &str) -> Pitch {
    match text.split_once(' ') {
        Some((n, "tpi")) => Pitch::tpi(n.parse().unwrap()),
        Some((n, "mm")) => Pitch::mm(n.parse().unwrap()),
        _ => panic!("{text}"),
    }
}

fn teeth(text: &str) -> Vec<u32> {
    text.split(' ').map(|z| z.parse().unwrap()).collect()
}

fn sorted(gears: &[u32]) -> Vec<u32> {
    let mut gears = gears.to_vec();
    gears.sort_unstable();
    gears
}

/// Module 1 and a banjo that bridges from 50 mm (in teeth: 100) to 120 mm.
fn banjo(min: f64, max: f64) -> Banjo {
    banjo_of(1.0, min, max, 16.0, None)
}

#[test]
fn published_trains() {
    let mut rows = 0;
    for line in include_str!("tables/gears.csv").lines().filter(|l| !l.starts_with('#')) {
        let cells: Vec<&str> = line.split(',').collect();
        assert_eq!(cells.len(), 6, "{line}");
        let (drivers, driven) = (teeth(cells[1]), teeth(cells[2]));
        let all = [drivers.clone(), driven.clone()].concat();
        let lathe = lathe(pitch(cells[0]), &all, all.len() as u32);
        let cut = pitch(cells[3]).length;
        let (found, _) = trains(&lathe, cut, 200);
        let train = found
            .iter()
            .find(|t| sorted(&t.drivers) == sorted(&drivers) && sorted(&t.driven) == sorted(&driven))
            .unwrap_or_else(|| panic!("not found: {line}\n{found:?}"));
        let ppm: f64 = cells[4].parse().unwrap();
        if ppm == 0.0 {
            assert_eq!(train.error_ppm, 0.0, "{line}");
            assert!((train.lead / cut - 1.0).abs() < 1e-14, "{line}");
        } else {
            assert!(train.error_ppm.abs() <= ppm, "{line}: {}", train.error_ppm);
        }
        rows += 1;
    }
    assert!(rows > 25);
}

/// Construction Tools: with a screw of 1.8 tpi, 2.3 tpi and 20 on the mandrel need 25.556 teeth, so no simple train
/// with 20 is exact.
#[test]
fn what_no_wheel_makes_is_not_exact() {
    let lathe = lathe(Pitch::tpi(1.8), &[20, 25, 26], 2);
    let (found, _) = trains(&lathe, Pitch::tpi(2.3).length, 5);
    assert!(found.iter().all(|t| t.error_ppm != 0.0));
    // 20 drives 26: 1.8 × 26 / 20 = 2.34 tpi, a shorter lead.
    let nearest = &found[0];
    assert_eq!((nearest.drivers[0], nearest.driven[0]), (20, 26));
    assert!((nearest.error_ppm - (2.3 / 2.34 - 1.0) * 1e6).abs() < 1e-6);
}

/// Substitutes for 127 : 100 (25.4 / 20), derived.
#[test]
fn translating_pairs_have_the_right_error_and_sign() {
    for (a, b, ppm) in [(47, 37, 212.8), (80, 63, -125.0), (127, 100, 0.0), (33, 26, -605.7)] {
        // 20 tpi screw, so that a : b = 1.27 cuts 1.27 × 1.27 mm.
        let lathe = lathe(Pitch::tpi(20.0), &[a, b], 2);
        let (found, _) = trains(&lathe, Length::mm(1.27 * 1.27), 4);
        let t = found.iter().find(|t| t.drivers == [a] && t.driven == [b]).unwrap();
        assert!((t.error_ppm - ppm).abs() < 0.1, "{a}/{b}: {}", t.error_ppm);
        assert_eq!(t.error_ppm > 0.0, t.lead > Length::mm(1.27 * 1.27) && ppm != 0.0, "positive is too long");
    }
}

#[test]
fn a_fixed_ratio_and_a_gearbox_count() {
    let mut lathe = lathe(Pitch::tpi(8.0), &[40, 40, 60], 2);
    lathe.stud_ratio = (1, 2);
    lathe.gearbox =
        vec![BoxSetting { name: "A".into(), ratio: (1, 1) }, BoxSetting { name: "B".into(), ratio: (1, 2) }];
    let (found, searched) = trains(&lathe, Pitch::tpi(32.0).length, 10);
    let best = &found[0];
    assert_eq!((best.gearbox.as_deref(), best.error_ppm), (Some("B"), 0.0));
    assert_eq!((best.drivers.as_slice(), best.driven.as_slice()), ([40].as_slice(), [40].as_slice()));
    // 40:40, 40:60 and 60:40 at two settings.
    assert_eq!(searched, 6);
}

#[test]
fn a_lathe_without_change_gears_still_has_its_gearbox() {
    let mut lathe = lathe(Pitch::tpi(8.0), &[], 4);
    lathe.gearbox = vec![BoxSetting { name: "3".into(), ratio: (2, 3) }];
    let (found, searched) = trains(&lathe, Pitch::tpi(12.0).length, 10);
    assert_eq!((found.len(), searched), (1, 1));
    assert_eq!(found[0].error_ppm, 0.0);
    assert!(found[0].meshes && found[0].drivers.is_empty());
}

#[test]
fn nonsense_finds_nothing() {
    let lathe = lathe(Pitch::mm(3.0), &[20, 40], 2);
    assert_eq!(trains(&lathe, Length::mm(-1.0), 5), (Vec::new(), 0));
    assert_eq!(trains(&lathe, Length::mm(f64::NAN), 5), (Vec::new(), 0));
}

/// Module 1: 40 and 60 teeth stand 50 mm apart (m (z1 + z2) / 2, spur gear geometry).
#[test]
fn a_simple_train_needs_its_centre_distance_or_an_idler() {
    let mut lathe = lathe(Pitch::mm(3.0), &[40, 60], 2);
    let lead = Length::mm(2.0);
    lathe.banjo = Some(banjo(50.0, 50.0));
    assert!(trains(&lathe, lead, 1).0[0].meshes);
    lathe.banjo = Some(banjo(51.0, 80.0));
    let far = trains(&lathe, lead, 1).0.remove(0);
    assert!(!far.meshes && why_not(&far).contains("2 teeth short"), "{}", why_not(&far));
    lathe.banjo = Some(banjo(30.0, 49.0));
    let near = trains(&lathe, lead, 1).0.remove(0);
    assert!(!near.meshes && why_not(&near).contains("2 teeth too large"), "{}", why_not(&near));
    // 40-35-60 spans up to 37.5 + 47.5 = 85 mm, and the outer gears need 52 mm.
    lathe.gears.push(35);
    lathe.banjo = Some(banjo(52.0, 85.0));
    let bridged = trains(&lathe, lead, 1).0.remove(0);
    assert!(bridged.meshes, "{}", why_not(&bridged));
    assert_eq!(bridged.idlers, [Idler { pair: 0, teeth: 35 }]);
    assert_eq!((bridged.drivers.as_slice(), bridged.error_ppm), ([40].as_slice(), 0.0));
}

#[test]
fn a_compound_train_must_clear_the_studs() {
    // Pairs of 44 to 48 teeth stand 22 to 24 mm apart; a stud of 40 mm leaves no room for a gear of 20.
    let mut lathe = lathe(Pitch::mm(3.0), &[20, 22, 24, 26], 4);
    let lead = Length::mm(3.0 * 20.0 * 22.0 / (24.0 * 26.0));
    let compound = |lathe: &Lathe| {
        trains(lathe, lead, 50).0.into_iter().find(|t| t.drivers.len() == 2 && t.error_ppm == 0.0).unwrap()
    };
    lathe.banjo = Some(banjo(30.0, 120.0));
    assert!(compound(&lathe).meshes);
    lathe.banjo.as_mut().unwrap().stud = Length::mm(40.0);
    assert!(!compound(&lathe).meshes);
    assert!(why_not(&compound(&lathe)).contains("runs into the shaft"), "{}", why_not(&compound(&lathe)));
    lathe.banjo = Some(banjo(60.0, 120.0));
    assert!(why_not(&compound(&lathe)).contains("28 teeth short"), "{}", why_not(&compound(&lathe)));
    lathe.gears = vec![40, 50, 45, 60];
    let lead2 = Length::mm(3.0 * 40.0 * 45.0 / (50.0 * 60.0));
    assert!(trains(&lathe, lead2, 1).0[0].meshes);
    let mut tight = lathe.clone();
    tight.banjo.as_mut().unwrap().largest_gear = Some(Length::mm(61.9));
    let too_large =
        trains(&tight, lead2, 50).0.into_iter().find(|t| t.error_ppm == 0.0 && t.drivers.len() == 2).unwrap();
    assert!(
        !too_large.meshes && why_not(&too_large).contains("the 60 does not clear"),
        "{}",
        why_not(&too_large)
    );
}

#[test]
fn those_that_mesh_come_first() {
    let mut lathe =
        lathe(Pitch::mm(4.0), &[20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 75, 80, 90, 100, 127], 4);
    lathe.banjo = Some(banjo_of(1.25, 90.0, 190.0, 24.0, Some(Length::mm(165.0))));
    for lead in [Length::mm(5.0), Length::per_inch(5.0), Length::mm(0.35), Length::mm(14.0)] {
        let (found, searched) = trains(&lathe, lead, 40);
        assert!(searched > 10_000);
        let first_bad = found.iter().position(|t| !t.meshes).unwrap_or(found.len());
        assert!(found[first_bad..].iter().all(|t| !t.meshes && !why_not(t).is_empty()));
        for part in [&found[..first_bad], &found[first_bad..]] {
            assert!(part.windows(2).all(|w| w[0].error_ppm.abs() <= w[1].error_ppm.abs() + 1e-6));
        }
    }
    assert_eq!(trains(&lathe, Length::mm(5.0), 1).0[0].error_ppm, 0.0);
}

#[test]
fn threading_dials() {
    for line in include_str!("tables/dial.csv").lines().filter(|l| !l.starts_with('#')) {
        let cells: Vec<&str> = line.split(',').collect();
        assert_eq!(cells.len(), 6, "{line}");
        let dial = ThreadDial { teeth: cells[1].parse().unwrap(), marks: cells[2].parse().unwrap() };
        let rule = half_nuts(pitch(cells[0]).length, pitch(cells[3]).length, Some(dial)).unwrap();
        match (cells[4], &rule) {
            // A maker's "closed" is that no mark serves; the bed may still show a shift that does.
            ("anywhere", HalfNuts::Anywhere) | ("closed", HalfNuts::KeepClosed | HalfNuts::Shift(_)) => {}
            (n, HalfNuts::Marks(marks, _)) if n.parse() == Ok(marks.len()) => {
                // Published as shift × tpi being whole: every allowed mark is a whole number of leads from the first.
                let step = pitch(cells[0]).length * f64::from(dial.teeth) / f64::from(dial.marks);
                for m in marks {
                    let leads = step * f64::from(m - 1) / pitch(cells[3]).length;
                    assert!((leads - leads.round()).abs() < 1e-9, "{line}: mark {m}");
                }
            }
            _ => panic!("{line}: {rule:?}"),
        }
    }
}

#[test]
fn without_a_dial_the_shift_is_given_or_the_nut_stays_shut() {
    let rule = |screw: Length, lead: Length| half_nuts(screw, lead, None).unwrap();
    assert_eq!(rule(Length::mm(4.0), Length::mm(5.0)), HalfNuts::Shift(Length::mm(20.0)));
    assert_eq!(rule(Length::per_inch(8.0), Length::mm(5.0)), HalfNuts::KeepClosed);
    // Two starts of 2 mm pitch: the lead counts, or the tool falls into the other start.
    assert_eq!(rule(Length::mm(6.0), Length::mm(2.0)), HalfNuts::Anywhere);
    assert_eq!(rule(Length::mm(6.0), Length::mm(4.0)), HalfNuts::Shift(Length::mm(12.0)));
    assert_eq!(half_nuts(Length::ZERO, Length::mm(1.0), None), None);
}

/// A dial that does not serve takes nothing away from the bed: with 5 marks of 25 teeth on a 4 mm screw and a lead of
/// 3 mm, a turn is 100 mm, no multiple of 12 mm.
#[test]
fn a_dial_that_does_not_serve_leaves_the_shift() {
    let rule = |teeth, marks, screw, lead| {
        half_nuts(Length::mm(screw), Length::mm(lead), Some(ThreadDial { teeth, marks })).unwrap()
    };
    assert_eq!(rule(25, 5, 4.0, 3.0), HalfNuts::Shift(Length::mm(12.0)));
    // 9 marks 20 mm apart, and a lead of 30 mm: shifts of 60 mm.
    let HalfNuts::Marks(marks, words) = rule(45, 9, 4.0, 30.0) else { panic!("marks") };
    assert_eq!(marks, [1, 4, 7]);
    assert_eq!(words, "at every third mark from the one you started on");
}

/// Dial gears to choose from: on a 3 mm screw, 14 teeth and 2 marks show 3.5 mm (6 leads a mark), 15 teeth show 2.5 mm
/// (18 leads a turn). The one that is on goes first.
#[test]
fn a_dial_takes_another_of_its_gears_where_its_own_does_not_serve() {
    let mut lathe = lathe(Pitch::mm(3.0), &[20, 24, 30, 35, 40], 2);
    (lathe.thread_dial, lathe.dial_gears) = (Some(ThreadDial { teeth: 14, marks: 2 }), vec![15]);
    let rule = |pitch: f64| {
        let chart = setup::chart(&lathe, Hand::Right, &[Pitch::mm(pitch)]).expect("a chart");
        show::value(&chart.rows[0].cells[3], Unit::Mm)
    };
    assert_eq!(rule(3.5), "marks 1 2");
    assert_eq!(rule(2.5), "marks 1, with the gear of 15 on the dial");
}

/// A gear beside a shaft with its collar needs room to run in, not only not to touch.
#[test]
fn a_gear_that_passes_wants_room_to_run_in() {
    let mut lathe = lathe(Pitch::mm(3.0), &[40, 50, 45, 60], 4);
    let lead = Length::mm(3.0 * 40.0 * 45.0 / (50.0 * 60.0));
    let exact = |lathe: &Lathe| trains(lathe, lead, 50).0.into_iter().find(|t| t.error_ppm == 0.0).unwrap();
    let with = |lathe: &mut Lathe, stud: f64| {
        lathe.banjo = Some(banjo_of(1.0, 70.0, 70.0, stud, None));
        exact(lathe)
    };
    let room = |t: &Train| t.layout.as_ref().and_then(|l| l.room).map(|r| r.to_mm());
    let at_ease = with(&mut lathe, 16.0);
    let free = room(&at_ease).expect("something passes");
    assert!(free > 0.5);
    // A collar larger by twice what is left above 0.4 mm leaves 0.4 mm: it passes, and does not run.
    let near = with(&mut lathe, 16.0 + 2.0 * (free - 0.4));
    assert!(
        !near.meshes && why_not(&near).contains("less than 0.50 mm of room to run in"),
        "{}",
        why_not(&near)
    );
    let enough = with(&mut lathe, 16.0 + 2.0 * (free - 0.6));
    assert!(enough.meshes && (room(&enough).unwrap() - 0.6).abs() < 1e-9);
    // Two gears alone pass nothing.
    lathe.gears = vec![40, 60];
    lathe.banjo = Some(banjo(50.0, 50.0));
    assert_eq!(room(&trains(&lathe, Length::mm(2.0), 1).0[0]), None);
}

/// Of trains as near, the one that is on the lathe is taken.
#[test]
fn gears_that_are_on_stay_on() {
    let mut lathe = lathe(Pitch::mm(3.0), &[20, 30, 40, 50, 60, 75], 2);
    let first = |lathe: &Lathe| {
        let t = trains(lathe, Length::mm(2.0), 1).0.remove(0);
        (t.drivers[0], t.driven[0])
    };
    assert_eq!(first(&lathe), (50, 75));
    lathe.mounted = vec![20, 30];
    assert_eq!(first(&lathe), (20, 30));
}

/// A gearbox whose settings are 1 : 1, 2 : 1 and 3 : 1 on a 2 mm screw: the chart takes fewer sets of gears than each
/// pitch by itself would, and cuts each as exactly.
#[test]
fn a_chart_keeps_to_one_set_of_gears_where_it_serves() {
    let mut lathe = lathe(Pitch::mm(2.0), &[20, 25, 30, 40, 40, 45, 50, 60], 2);
    lathe.gearbox =
        [("A", 1), ("B", 2), ("C", 3)].map(|(n, z)| BoxSetting { name: n.into(), ratio: (z, 1) }).into();
    let chart = setup::chart(&lathe, Hand::Right, &[Pitch::mm(3.0), Pitch::mm(0.1)]).expect("a chart");
    let line = |mm: f64| {
        let at = |r: &&flankwise_bench::report::Row| r.cells[0] == Value::Pitch(Pitch::mm(mm));
        let row = chart.rows.iter().find(at).unwrap_or_else(|| panic!("{mm}"));
        row.cells[1..3].iter().map(|c| show::value(c, Unit::Mm)).collect::<Vec<_>>()
    };
    let (mut together, mut alone) = (BTreeSet::new(), BTreeSet::new());
    for mm in [1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0, 4.5, 5.0, 6.0, 9.0] {
        let own = trains(&lathe, Length::mm(mm), 1).0.remove(0);
        let cells = line(mm);
        assert_eq!(cells[1], show::value(&Value::Ppm(own.error_ppm), Unit::Mm), "{mm}");
        together.insert(cells[0].split_once("; ").expect("a setting").1.to_owned());
        alone.insert(own.words());
    }
    assert!(together.len() < alone.len(), "{together:?}\n{alone:?}");
    // What was asked for stands first; what is too far off is named with its error, or as none.
    assert_eq!(chart.rows[0].cells[0], Value::Pitch(Pitch::mm(3.0)));
    assert_eq!(line(0.1)[0], "none fits");
    lathe.gearbox.clear();
    lathe.gears = vec![40, 61];
    let chart = setup::chart(&lathe, Hand::Right, &[Pitch::mm(1.3)]).expect("a chart");
    // 2 × 40 / 61 = 1.31148 mm: 8827 ppm too long.
    let first: Vec<_> = chart.rows[0].cells.iter().map(|c| show::value(c, Unit::Mm)).collect();
    assert!(first[1].contains("too far off; the nearest is 40 on the stud"), "{first:?}");
    assert!(first[2].contains("8827"), "{first:?}");
}

/// Every train by plain permutation, as (drivers, driven) in sorted order with the lead it cuts.
fn everything(gears: &[u32], most: usize, screw: f64) -> BTreeMap<(Vec<u32>, Vec<u32>), f64> {
    fn pick(left: &[u32], chosen: &mut Vec<u32>, want: usize, out: &mut Vec<Vec<u32>>) {
        if chosen.len() == want {
            out.push(chosen.clone());
            return;
        }
        for i in 0..left.len() {
            let mut rest = left.to_vec();
            chosen.push(rest.remove(i));
            pick(&rest, chosen, want, out);
            chosen.pop();
        }
    }
    let mut all = BTreeMap::new();
    for pairs in 1..=most / 2 {
        let mut orders = Vec::new();
        pick(gears, &mut Vec::new(), 2 * pairs, &mut orders);
        for o in orders {
            let (a, b) = o.split_at(pairs);
            let lead = screw * a.iter().map(|&z| f64::from(z)).product::<f64>()
                / b.iter().map(|&z| f64::from(z)).product::<f64>();
            all.insert((sorted(a), sorted(b)), lead);
        }
    }
    all
}

fn key(t: &Train) -> (Vec<u32>, Vec<u32>) {
    (sorted(&t.drivers), sorted(&t.driven))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]
    #[test]
    fn the_search_finds_what_trying_everything_finds(
        gears in prop::collection::vec(16u32..90, 2..7),
        most_gears in prop::sample::select(vec![2u32, 4, 6]),
        lead in 0.3..12.0f64,
    ) {
        let lathe = lathe(Pitch::mm(4.0), &gears, most_gears);
        let all = everything(&gears, most_gears as usize, 4.0);
        let (found, searched) = trains(&lathe, Length::mm(lead), 100_000);
        prop_assert_eq!(searched, all.len());
        let near: Vec<_> = all.iter().filter(|(_, cut)| (*cut / lead - 1.0).abs() < 0.0199).collect();
        for (train, cut) in &near {
            let t = found.iter().find(|t| key(t) == **train);
            prop_assert!(t.is_some(), "missed {:?}", train);
            prop_assert!((t.unwrap().lead.to_mm() - **cut).abs() < 1e-9);
            prop_assert!((t.unwrap().error_ppm - (**cut / lead - 1.0) * 1e6).abs() < 1e-4);
        }
        // Nothing twice, nothing invented.
        let mut keys: Vec<_> = found.iter().map(key).collect();
        keys.sort();
        let n = keys.len();
        keys.dedup();
        prop_assert_eq!(n, keys.len());
        for t in &found {
            prop_assert!(all.contains_key(&key(t)));
        }
        // Asked for one, it gives the nearest (all mesh or not by the same rule, so compare among those).
        let (first, _) = trains(&lathe, Length::mm(lead), 1);
        if let (Some(one), Some(best)) = (first.first(), found.first()) {
            prop_assert_eq!(one.error_ppm, best.error_ppm);
        }
    }
}

/// The lathe of the bench: twenty-four gears.
const MANY: [u32; 24] =
    [20, 24, 28, 30, 32, 35, 38, 40, 44, 45, 46, 48, 50, 55, 57, 60, 65, 66, 70, 72, 75, 80, 90, 100];

/// Brute force over every six-gear train of twenty-four gears, as `benches/peers/gears.py` does it in numpy, finds the
/// same best set.
#[test]
fn six_of_twenty_four_gears_are_searched_to_the_end() {
    let lead = Length::per_inch(5.0);
    let wanted = lead.to_mm() / 4.0;
    let sets: Vec<(u32, f64)> = (0u32..1 << MANY.len())
        .filter(|mask| mask.count_ones() == 3)
        .map(|mask| (mask, (0..24).filter(|i| mask >> i & 1 == 1).map(|i| f64::from(MANY[i])).product()))
        .collect();
    let mut nearest = f64::INFINITY;
    for (a, drivers) in &sets {
        for (b, driven) in &sets {
            if a & b == 0 {
                nearest = nearest.min((drivers / driven / wanted - 1.0).abs());
            }
        }
    }
    let (found, searched) = trains(&lathe(Pitch::mm(4.0), &MANY, 6), lead, 12);
    let six: Vec<&Train> = found.iter().filter(|t| t.drivers.len() == 3).collect();
    let best = six.iter().map(|t| t.error_ppm.abs()).fold(f64::INFINITY, f64::min);
    assert!((best - nearest * 1e6).abs() < 1e-6, "{best} ppm, by brute force {} ppm", nearest * 1e6);
    // Pairs, fours and sixes: 24·23 + C(24,2)·C(22,2) + C(24,3)·C(21,3).
    assert_eq!(searched, 24 * 23 + 276 * 231 + 2024 * 1330);
}

/// A slot beside the lead screw's centre, and a curved one: every pin of a train that fits lies on it, found here from
/// the layout alone. `beside` is where a point lies off the line through the lead screw, on the stud's side.
#[test]
fn pins_stand_in_a_slot_beside_the_centre_and_in_a_curved_one() {
    let gears = [24, 30, 36, 40, 45, 50, 55, 60, 66, 72];
    for (offset, radius) in [(0.0, None), (9.0, None), (-9.0, None), (6.0, Some(40.0)), (0.0, Some(-60.0))] {
        let mut lathe = lathe(Pitch::mm(3.0), &gears, 6);
        lathe.banjo = Some(Banjo {
            slot_min: Some(Length::mm(25.0)),
            slot_max: Some(Length::mm(95.0)),
            slot_offset: Length::mm(offset),
            slot_radius: radius.map(Length::mm),
            ..banjo_of(1.0, 85.0, 85.0, 12.0, None)
        });
        let mut seen = 0;
        for lead in [1.0, 1.25, 1.5, 1.75, 2.0, 2.5, 3.0, 3.5, 4.0] {
            for t in trains(&lathe, Length::mm(lead), 30).0.iter().filter(|t| t.meshes) {
                let Some(layout) = t.layout.as_ref().filter(|l| l.shafts.len() == 4) else { continue };
                let at = |p: &[Length; 2]| [p[0].to_mm(), p[1].to_mm()];
                let apart = |a: [f64; 2], b: [f64; 2]| (a[0] - b[0]).hypot(a[1] - b[1]);
                let (far, near, screw) =
                    (at(&layout.shafts[1]), at(&layout.shafts[2]), at(&layout.shafts[3]));
                let (from, to) = (at(&layout.slot[0]), at(layout.slot.last().unwrap()));
                // The ends are where they were measured, and the chord passes beside the centre as it was said.
                assert!((apart(from, screw) - 25.0).abs() < 1e-6 && (apart(to, screw) - 95.0).abs() < 1e-6);
                let long = apart(from, to);
                let beside = |p: [f64; 2]| {
                    ((to[0] - from[0]) * (p[1] - from[1]) - (to[1] - from[1]) * (p[0] - from[0])) / long
                };
                assert!((-beside(screw) - offset).abs() < 1e-6, "{offset}: {}", beside(screw));
                for pin in [near, far] {
                    match radius {
                        None => assert!(beside(pin).abs() < 1e-6, "{offset}: {}", beside(pin)),
                        Some(r) => {
                            // Height of a circle's arc over its chord.
                            let half = 0.5 * long;
                            let along = ((pin[0] - from[0]) * (to[0] - from[0])
                                + (pin[1] - from[1]) * (to[1] - from[1]))
                                / long
                                - half;
                            let height = (r * r - along * along).sqrt() - (r * r - half * half).sqrt();
                            assert!((beside(pin) - height * r.signum()).abs() < 1e-6, "{r}: {}", beside(pin));
                        }
                    }
                }
                seen += 1;
            }
        }
        assert!(seen > 0, "{offset} {radius:?}");
    }
}

/// Two pairs stand on one straight slot; where the pins would have to stand off it, the train does not fit.
#[test]
fn pins_stand_in_the_slot() {
    let mut lathe = lathe(Pitch::mm(3.0), &[40, 50, 45, 60], 4);
    let lead = Length::mm(3.0 * 40.0 * 45.0 / (50.0 * 60.0));
    let exact = |lathe: &Lathe| trains(lathe, lead, 50).0.into_iter().find(|t| t.error_ppm == 0.0).unwrap();
    lathe.banjo = Some(Banjo {
        slot_min: Some(Length::mm(40.0)),
        slot_max: Some(Length::mm(60.0)),
        ..banjo(70.0, 70.0)
    });
    let train = exact(&lathe);
    assert!(train.meshes, "{}", why_not(&train));
    let layout = train.layout.as_ref().unwrap();
    let apart = |a: usize, b: usize| {
        let [p, q] = [layout.shafts[a], layout.shafts[b]];
        (p[0].to_mm() - q[0].to_mm()).hypot(p[1].to_mm() - q[1].to_mm())
    };
    // Module 1: half the sum of the teeth (ISO 54), and the fixed distance of stud and lead screw.
    assert!((apart(0, 1) - f64::from(train.drivers[0] + train.driven[0]) / 2.0).abs() < 1e-9);
    assert!((apart(1, 2) - f64::from(train.drivers[1] + train.driven[1]) / 2.0).abs() < 1e-9);
    assert!((apart(0, 2) - 70.0).abs() < 1e-9);
    // The pin of the pair at the lead screw lies 42.5 to 55 mm from it, by the order of the gears.
    for (near, far, why) in
        [(56.0, 60.0, "before the slot begins"), (30.0, 42.0, "beyond the end of the slot")]
    {
        let b = lathe.banjo.as_mut().unwrap();
        (b.slot_min, b.slot_max) = (Some(Length::mm(near)), Some(Length::mm(far)));
        let train = exact(&lathe);
        assert!(!train.meshes && why_not(&train).contains(why), "{}", why_not(&train));
    }
}

/// Each pair in mesh turns the motion round: ROSE, RECEIPTS (an idler's teeth do not matter).
#[test]
fn the_hand_is_set_by_idlers_where_no_lever_does() {
    let mut lathe = lathe(Pitch::mm(3.0), &[40, 60, 35, 45, 50], 4);
    lathe.left_hand = false;
    lathe.banjo = Some(banjo(50.0, 140.0));
    let of = |lathe: &Lathe, lead: f64, hand: Hand| setup::trains(lathe, Length::mm(lead), hand, 30).0;
    let meshes = |t: &Train| t.drivers.len() + t.idlers.len();
    for lead in [2.0, 3.0 * 40.0 * 45.0 / (60.0 * 50.0)] {
        for (hand, odd) in [(Hand::Right, 0), (Hand::Left, 1)] {
            let fitting: Vec<Train> = of(&lathe, lead, hand).into_iter().filter(|t| t.meshes).collect();
            assert!(!fitting.is_empty(), "{lead} {hand:?}");
            assert!(fitting.iter().all(|t| meshes(t) % 2 == odd), "{lead} {hand:?}: {fitting:?}");
            assert_eq!(fitting[0].error_ppm, 0.0);
        }
    }
    // A compound train for the left hand carries an idler between one of its pairs.
    let left = of(&lathe, 3.0 * 40.0 * 45.0 / (60.0 * 50.0), Hand::Left);
    let compound = left.iter().find(|t| t.meshes && t.drivers.len() == 2).unwrap();
    assert_eq!(compound.idlers.len(), 1);
    assert!(compound.words().contains("as idler"), "{}", compound.words());
    // A lathe whose stud turns against the spindle has it the other way round.
    lathe.right_hand_meshes = Some(flankwise_bench::job::Meshes::Odd);
    assert!(of(&lathe, 2.0, Hand::Right).iter().filter(|t| t.meshes).all(|t| meshes(t) % 2 == 1));
    // Without a pin nothing can be put between.
    lathe.right_hand_meshes = None;
    lathe.banjo.as_mut().unwrap().pins = 0;
    let none = of(&lathe, 2.0, Hand::Right);
    assert!(none.iter().all(|t| !t.meshes), "{none:?}");
    assert!(none.iter().any(|t| why_not(t).contains("other hand")), "{none:?}");
}

/// A worm's lead for a gear of module 2 is π · 2 mm: no gears make it exactly, near ones do, and one gear more may come
/// nearer still.
#[test]
fn leads_of_worms_are_met_nearly() {
    let lathe = lathe(Pitch::mm(4.0), &MANY, 4);
    for (text, mm) in
        [("2 module", 2.0 * std::f64::consts::PI), ("12 dp", 25.4 / 12.0 * std::f64::consts::PI)]
    {
        let lead = setup::parse_lead(text, Unit::Mm).unwrap().length;
        assert!((lead.to_mm() - mm).abs() < 1e-12);
        let best = &trains(&lathe, lead, 1).0[0];
        assert!(best.error_ppm != 0.0 && best.error_ppm.abs() < 100.0, "{text}: {}", best.error_ppm);
        let more = setup::gears_to_get(&lathe, lead, Hand::Right, best.error_ppm.abs() * 1e-6);
        assert!(more[0].1.error_ppm.abs() <= best.error_ppm.abs());
    }
}

/// Every gear to get is one that is not needed twice over: with it alone a train comes within the limit, and the one
/// that published practice names is among them.
#[test]
fn one_gear_more_is_looked_for_among_all() {
    // JONES: on an inch lead screw 127 makes millimetres exactly.
    let lathe = lathe(Pitch::tpi(8.0), &[20, 30, 40, 50, 60, 80, 100], 4);
    let exact = setup::gears_to_get(&lathe, Length::mm(3.0), Hand::Right, 1e-9);
    assert_eq!(exact[0].0, 127, "{exact:?}");
    assert!(
        exact.iter().all(|(z, t)| t.meshes
            && t.error_ppm == 0.0
            && t.drivers.iter().chain(&t.driven).any(|g| g == z))
    );
}

/// A gear that a train can do without is none to get; a lathe without gears gets a pair.
#[test]
fn gears_to_get_are_needed_and_a_pair_serves_where_there_is_none() {
    let gears = [20, 24, 28, 30, 32, 36, 40, 40, 45, 48, 50, 60, 63, 80];
    let lathe_of = |gears: &[u32]| lathe(Pitch::mm(2.0), gears, 4);
    let lead = setup::parse_lead("8 tpi", Unit::Mm).unwrap().length;
    let best = trains(&lathe_of(&gears), lead, 1).0[0].error_ppm.abs() * 1e-6;
    let more = setup::gears_to_get(&lathe_of(&gears), lead, Hand::Right, best);
    assert!(!more.is_empty());
    for (teeth, train) in &more {
        let used = train.drivers.iter().chain(&train.driven).filter(|z| *z == teeth).count();
        assert!(used > gears.iter().filter(|z| *z == teeth).count(), "{teeth}: {}", train.words());
    }
    // 1.5 mm on a lead screw of 2 mm: any 3 : 4, such as 60 : 80.
    assert_eq!(setup::gears_to_get(&lathe_of(&[]), Length::mm(1.5), Hand::Right, 1e-3), Vec::new());
    let pair = setup::pair_to_get(&lathe_of(&[]), Length::mm(1.5), Hand::Right).expect("a pair");
    assert_eq!((pair.drivers.len(), pair.driven.len()), (1, 1));
    assert_eq!(pair.drivers[0] * 4, pair.driven[0] * 3);
    assert!(pair.meshes && pair.error_ppm == 0.0);
}

#[test]
fn a_lead_that_is_none_is_named() {
    let told = setup::parse_lead("abc", Unit::Mm).unwrap_err();
    assert!(told.starts_with("read `abc`; accepted: a lead above zero"), "{told}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]
    /// Where a train is said to stand, its pairs are at their distance, the pins in the slot, and no gear overlaps a
    /// shaft or a gear of its plane that it does not mesh with: checked here from the coordinates alone.
    #[test]
    fn nothing_that_fits_collides(
        gears in prop::collection::vec(18u32..75, 4..8),
        centres in 50.0..110.0f64,
        near in 15.0..40.0f64,
        length in 20.0..100.0f64,
        left in any::<bool>(),
        lead in 1.0..6.0f64,
    ) {
        let mut lathe = lathe(Pitch::mm(3.0), &gears, 6);
        lathe.left_hand = false;
        let collar = 14.0;
        lathe.banjo = Some(Banjo {
            slot_min: Some(Length::mm(near)),
            slot_max: Some(Length::mm(near + length)),
            ..banjo_of(1.0, centres, centres, collar, None)
        });
        let hand = if left { Hand::Left } else { Hand::Right };
        for t in setup::trains(&lathe, Length::mm(lead), hand, 10).0.iter().filter(|t| t.meshes) {
            let layout = t.layout.as_ref().unwrap();
            let at = |i: usize| layout.shafts[i].map(|l| l.to_mm());
            let apart = |a: usize, b: usize| (at(a)[0] - at(b)[0]).hypot(at(a)[1] - at(b)[1]);
            let last = layout.shafts.len() - 1;
            let seats = t.seats();
            prop_assert_eq!((t.drivers.len() + t.idlers.len()) % 2, usize::from(left));
            prop_assert!((apart(0, last) - centres).abs() < 0.11);
            for pin in 1..last {
                prop_assert!(apart(pin, last) > near - 1e-6 && apart(pin, last) < near + length + 1e-6);
            }
            for g in &seats {
                for h in seats.iter().filter(|h| h.shaft != g.shaft) {
                    let (a, b) = (f64::from(g.teeth), f64::from(h.teeth));
                    let neighbours = g.shaft.abs_diff(h.shaft) == 1;
                    if g.plane == h.plane && neighbours {
                        prop_assert!((apart(g.shaft, h.shaft) - (a + b) / 2.0).abs() < 0.11);
                    } else if g.plane == h.plane {
                        prop_assert!(apart(g.shaft, h.shaft) > (a + b) / 2.0 + 2.0 - 1e-6);
                    }
                }
                for shaft in 0..=last {
                    let meshes = seats.iter().any(|s| s.shaft == shaft && s.plane == g.plane);
                    if shaft != g.shaft && !meshes {
                        prop_assert!(apart(g.shaft, shaft) > f64::from(g.teeth) / 2.0 + 1.0 + collar / 2.0 - 1e-6);
                    }
                }
            }
        }
    }
}
