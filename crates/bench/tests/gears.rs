//! Gear trains and threading dials against published charts (`tables/gears.csv`, `tables/dial.csv`; add rows
//! there), and the search against trying everything.

use flankwise_bench::job::{Banjo, BoxSetting, Lathe, ThreadDial};
use flankwise_bench::setup::{HalfNuts, Train, half_nuts, trains};
use flankwise_thread::{Length, Pitch};
use proptest::prelude::*;
use std::collections::BTreeMap;

fn lathe(screw: Pitch, gears: &[u32], most_gears: u32) -> Lathe {
    Lathe {
        name: "test".into(),
        lead_screw: screw,
        stud_ratio: (1, 1),
        gears: gears.to_vec(),
        gearbox: Vec::new(),
        most_gears,
        banjo: None,
        speeds_rpm: Vec::new(),
        reverses: true,
        left_hand: true,
        thread_dial: None,
        cross_dial: None,
        compound_dial: None,
        readout: None,
        reaction_s: None,
        coast_s: None,
    }
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
    Banjo {
        module: Length::mm(1.0),
        centres_min: Length::mm(min),
        centres_max: Length::mm(max),
        largest_gear: None,
        stud: Length::mm(16.0),
    }
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
    assert!(!far.meshes && far.why_not.contains("2 teeth short"), "{}", far.why_not);
    lathe.banjo = Some(banjo(30.0, 49.0));
    let near = trains(&lathe, lead, 1).0.remove(0);
    assert!(!near.meshes && near.why_not.contains("2 teeth too large"), "{}", near.why_not);
    // 40-35-60 spans up to 37.5 + 47.5 = 85 mm, and the outer gears need 52 mm.
    lathe.gears.push(35);
    lathe.banjo = Some(banjo(52.0, 85.0));
    let bridged = trains(&lathe, lead, 1).0.remove(0);
    assert!(bridged.meshes, "{}", bridged.why_not);
    assert_eq!(bridged.idler, Some(35));
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
    assert!(compound(&lathe).why_not.contains("runs into the shaft"), "{}", compound(&lathe).why_not);
    lathe.banjo = Some(banjo(60.0, 120.0));
    assert!(compound(&lathe).why_not.contains("28 teeth short"), "{}", compound(&lathe).why_not);
    lathe.gears = vec![40, 50, 45, 60];
    let lead2 = Length::mm(3.0 * 40.0 * 45.0 / (50.0 * 60.0));
    assert!(trains(&lathe, lead2, 1).0[0].meshes);
    let mut tight = lathe.clone();
    tight.banjo.as_mut().unwrap().largest_gear = Some(Length::mm(61.9));
    let too_large =
        trains(&tight, lead2, 50).0.into_iter().find(|t| t.error_ppm == 0.0 && t.drivers.len() == 2).unwrap();
    assert!(
        !too_large.meshes && too_large.why_not.contains("the 60 does not clear"),
        "{}",
        too_large.why_not
    );
}

#[test]
fn those_that_mesh_come_first() {
    let mut lathe =
        lathe(Pitch::mm(4.0), &[20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 75, 80, 90, 100, 127], 4);
    lathe.banjo = Some(Banjo {
        module: Length::mm(1.25),
        centres_min: Length::mm(90.0),
        centres_max: Length::mm(190.0),
        largest_gear: Some(Length::mm(165.0)),
        stud: Length::mm(24.0),
    });
    for lead in [Length::mm(5.0), Length::per_inch(5.0), Length::mm(0.35), Length::mm(14.0)] {
        let (found, searched) = trains(&lathe, lead, 40);
        assert!(searched > 10_000);
        let first_bad = found.iter().position(|t| !t.meshes).unwrap_or(found.len());
        assert!(found[first_bad..].iter().all(|t| !t.meshes && !t.why_not.is_empty()));
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
            ("anywhere", HalfNuts::Anywhere) | ("closed", HalfNuts::KeepClosed) => {}
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
