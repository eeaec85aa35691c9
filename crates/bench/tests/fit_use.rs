//! Defects found by using the fit on whole jobs, each kept as the right value.

mod fit_support;

use fit_support::job;
use flankwise_bench::fit::{Fit, Wear};
use flankwise_bench::job::WayKind;
use flankwise_bench::report::{Block, Mark, NoteKind, Outcome, Section, Value, show};
use flankwise_bench::{Whole, quotation};
use flankwise_thread::{Length, Unit};

fn mm(v: f64) -> Length {
    Length::mm(v)
}

/// A screw Tr 22x5 read over wires at these places, and a bronze nut for it.
fn screw(over_wires: &[(f64, f64)], rest: &str) -> Whole {
    let readings: String = over_wires
        .iter()
        .map(|(place, value)| {
            format!("[[reading]]\npart = \"screw\"\nfeature = \"over wires\"\nwire = \"2.6 mm\"\nvalue = \"{value} mm\"\ninstrument = \"wires\"\nplace = \"{place} mm\"\n")
        })
        .collect();
    worked(&format!(
        "job = \"Test (invented)\"\nunit = \"mm\"\n[identity]\nthread = \"Tr 22x5\"\n{readings}{rest}"
    ))
}

fn worked(text: &str) -> Whole {
    flankwise_bench::work(&job(text))
}

const NUT: &str = "[make]\npart = \"nut\"\nmaterial = \"bronze-c93200\"\nmate_material = \"steel-mild\"\nplay = \"0.04 mm\"\n";

fn fit(whole: &Whole) -> &Fit {
    whole.fit.result.as_ref().unwrap_or_else(|| panic!("no fit: {:?}", whole.fit.needs))
}

fn says<T>(outcome: &Outcome<T>, kind: NoteKind, words: &str) -> bool {
    outcome.notes.iter().any(|n| n.kind == kind && show::text(&n.text, Unit::Mm).contains(words))
}

fn figure(section: &Section, key: &str) -> Value {
    let all = section.blocks.iter().filter_map(|b| match b {
        Block::Figures(_, figures) => Some(figures),
        _ => None,
    });
    all.flatten().find(|f| f.key == key).map_or(Value::None, |f| f.value.clone())
}

/// The row of a table whose first cell says `first`, as a reader sees it.
fn row(section: &Section, table: &str, first: &str) -> Option<Vec<String>> {
    section.blocks.iter().find_map(|b| match b {
        Block::Table(t) if t.key == table => t
            .rows
            .iter()
            .map(|r| r.cells.iter().map(|c| show::value(c, Unit::Mm)).collect::<Vec<_>>())
            .find(|cells| cells[0] == first),
        _ => None,
    })
}

fn near(value: Length, to: f64, within: f64) -> bool {
    (value - mm(to)).abs() < mm(within)
}

const LIFT: &str = r#"
job = "Test (invented)"
unit = "mm"
[identity]
thread = "Tr 30x12P6"
[[reading]]
part = "screw"
feature = "over wires"
wire = "3.2 mm"
value = "31.60 mm"
instrument = "wires"
place = "30 mm"
[[reading]]
part = "screw"
feature = "thread thickness"
value = "2.60 mm"
instrument = "calliper"
place = "400 mm"
[[reading]]
part = "screw"
feature = "flank wear"
value = "0.10 mm"
side = "left"
instrument = "indicator"
place = "650 mm"
[make]
part = "nut"
length = "60 mm"
through = true
play = "0.05 mm"
material = "bronze-c90500"
mate_material = "steel-medium-carbon"
load = "LOAD"
mate_length = "1100 mm"
[make.run]
speed_rpm = 30
supported = "1200 mm"
ends = "simple and simple"
collar = "45 mm"
[rates]
currency = "EUR"
hour = 70
kilogram = 20
"#;

fn lifting(load: &str, run: &str) -> Whole {
    worked(&LIFT.replace("LOAD", load).replace("collar =", &format!("{run}collar =")))
}

#[test]
fn a_load_that_it_cannot_carry_is_refused_and_not_priced() {
    let whole = lifting("120000 N", "");
    assert!(whole.fit.impossible());
    // Core: 120 kN on 22.4 mm and its torque, over what medium carbon steel yields at; buckling at an eighth of the load.
    assert!(says(&whole.fit, NoteKind::Impossible, "stresses the screw's core to"));
    assert!(says(&whole.fit, NoteKind::Impossible, "the screw buckles"));
    let route = whole.route.result.as_ref().expect("a route");
    assert!(route.best().is_none() && route.ways.iter().all(|w| w.impossible.is_some()));
    let job = job(&LIFT.replace("LOAD", "120000 N"));
    let quotation = quotation::work(&job, &whole);
    assert!(quotation.result.is_none() && says(&quotation, NoteKind::Impossible, "the screw buckles"));
}

#[test]
fn a_load_nearer_to_buckling_than_usual_is_a_warning_and_one_that_pulls_none() {
    let whole = lifting("9000 N", "");
    assert!(!whole.fit.impossible() && fit(&whole).overload.is_none());
    assert!(says(&whole.fit, NoteKind::Warning, "times that, and three times is usual"));
    let pulled = lifting("9000 N", "pulls = true\n");
    assert!(!says(&pulled.fit, NoteKind::Warning, "buckling"));
    assert!(!says(&lifting("120000 N", "pulls = true\n").fit, NoteKind::Impossible, "buckles"));
}

/// Running back is judged at the lower friction and without the collar. Tr 30x12 at d2 = 27: tan φ = 12/(27 π) = 0.14147;
/// bronze on steel, oiled, 0.10 at least: T = 9000 · 0.0135 · (0.10 - 0.96593 · 0.14147)/(0.96593 + 0.10 · 0.14147) =
/// -4.55 N·m: the load drives it.
#[test]
fn running_back_is_judged_at_the_lower_friction_without_the_collar() {
    let section = fit(&lifting("9000 N", "")).section();
    let Value::TorqueNm(back) = figure(&section, "torque_back") else { panic!("no torque") };
    assert!((back + 4.55).abs() < 0.02, "{back}");
    let Value::TorqueNm(with) = figure(&section, "torque_with") else { panic!("no torque") };
    assert!(with > 0.0, "the collar and the upper friction hold it: {with}");
}

/// A worn stretch shorter than the nut is bridged: the whole nut runs on the thread beside it.
#[test]
fn a_narrow_worn_place_is_bridged_by_the_nut() {
    let places = [(20.0, 22.6), (170.0, 22.6), (180.0, 21.2), (190.0, 22.6), (330.0, 22.6)];
    let whole =
        screw(&places, &format!("{NUT}length = \"60 mm\"\nmate_length = \"350 mm\"\nthrough = true\n"));
    let (least, most) = fit(&whole).play_range().expect("a range");
    assert!(near(least, 0.04, 0.001) && near(most, 0.04, 0.005), "{least:?} {most:?}");
    assert!(fit(&whole).stations.iter().all(|s| s.play <= most + Length::um(1.0)));
}

/// Where no place is looser than another, one play is said, and no row of the table stands out.
#[test]
fn an_unworn_screw_has_one_play_all_along() {
    let whole = screw(
        &[(20.0, 22.6), (180.0, 22.6), (330.0, 22.6)],
        &format!("{NUT}length = \"44 mm\"\nmate_length = \"350 mm\"\nthrough = true\n"),
    );
    let section = fit(&whole).section();
    let answer = show::text(&section.answer, Unit::Mm);
    assert!(answer.contains("0.04 mm all along the travel") && !answer.contains("loosest"), "{answer}");
    let marks = section.blocks.iter().filter_map(|b| match b {
        Block::Table(t) if t.key == "travel" => Some(t.rows.iter().map(|r| r.mark)),
        _ => None,
    });
    assert!(marks.flatten().all(|mark| mark == Mark::Plain));
}

/// In an old nut the screw has one play, wherever it stands: that on the nut's tightest turn.
#[test]
fn a_new_screw_has_one_play_in_its_old_nut() {
    let whole = worked(
        "job = \"Test (invented)\"\nunit = \"in\"\n[identity]\nthread = \"1-5 Acme-2G\"\n\
         [[reading]]\npart = \"nut\"\nfeature = \"thread thickness\"\nvalue = \"0.096 in\"\ninstrument = \"cast\"\nplace = \"0.3 in\"\n\
         [[reading]]\npart = \"nut\"\nfeature = \"thread thickness\"\nvalue = \"0.085 in\"\ninstrument = \"cast\"\nplace = \"1.4 in\"\n\
         [make]\npart = \"screw\"\nlength = \"14 in\"\nplay = \"0.004 in\"\nthrough = true\nmate_length = \"1.75 in\"\n",
    );
    let (least, most) = fit(&whole).play_range().expect("a range");
    assert!((least - most).abs() < Length::um(0.001), "{least:?} {most:?}");
    assert!(fit(&whole).stations.iter().all(|s| (s.play - least).abs() < Length::um(0.001)));
}

/// A pitch that grows: each place of the travel has its own play, the headline is theirs, and what lies past the last
/// count is held and said.
#[test]
fn a_growing_lead_shows_in_the_play_of_each_place() {
    let pitches: String = [(50, 50.00), (150, 50.05), (250, 50.10)]
        .map(|(place, value)| format!("[[reading]]\npart = \"screw\"\nfeature = \"pitch\"\ncount = 10\nvalue = \"{value} mm\"\ninstrument = \"microscope\"\nuncertainty = \"0.003 mm\"\nplace = \"{place} mm\"\n"))
        .concat();
    let rest = format!("{pitches}{NUT}length = \"44 mm\"\nmate_length = \"350 mm\"\nthrough = true\n");
    let whole = screw(&[(20.0, 22.6), (150.0, 22.6), (300.0, 22.6)], &rest);
    let fit = fit(&whole);
    let along = fit.travelled.expect("a travel");
    // At 25 mm the pitch is 0.0125 mm in 50 short, from 275 mm on 0.1125 long: over 44 mm 0.099, of which the first
    // leaves 0.011 where it is least.
    assert!(near(along.tightest.play(), 0.04, 0.001));
    assert!((0.08..0.11).contains(&(along.loosest.play() - along.tightest.play()).to_mm()), "{along:?}");
    assert_eq!(fit.play_range(), Some((along.tightest.play(), along.loosest.play())));
    assert!(!says(&whole.fit, NoteKind::Warning, "will not go on anywhere"));
    assert!(says(&whole.fit, NoteKind::Warning, "count there too"));
    let last = fit.travel.last().expect("a place");
    assert!(last.u > fit.travel[20].u, "the band is wider where no pitch was counted");
    assert!(last.left > Length::ZERO && last.right > Length::ZERO, "in step at the middle: {last:?}");
}

#[test]
fn the_uncertainty_of_the_lead_is_in_the_band_of_the_play() {
    let demo = fit_support::demo();
    let whole = flankwise_bench::work(&demo);
    let section = fit(&whole).section();
    let tightest = fit(&whole).travelled.expect("a travel").tightest;
    let Value::Length(error, _) = figure(&section, "lead_error") else { panic!("no error") };
    // What was counted and not proved stays in the band, whole.
    assert!(tightest.u >= error && tightest.u_lead >= error, "{tightest:?} {error:?}");
    assert!(fit(&whole).stations.iter().all(|s| s.u_play >= error));
}

#[test]
fn pitches_that_disagree_are_said() {
    let pitches: String = [(40, 50.05), (90, 49.95), (140, 50.05), (190, 49.95), (240, 50.05)]
        .map(|(place, value)| format!("[[reading]]\npart = \"screw\"\nfeature = \"pitch\"\ncount = 10\nvalue = \"{value} mm\"\ninstrument = \"microscope\"\nuncertainty = \"0.003 mm\"\nplace = \"{place} mm\"\n"))
        .concat();
    let rest = format!("{pitches}{NUT}length = \"44 mm\"\nmate_length = \"350 mm\"\nthrough = true\n");
    let whole = screw(&[(20.0, 22.6), (150.0, 22.6), (300.0, 22.6)], &rest);
    assert!(says(&whole.fit, NoteKind::Warning, "4.995 to 5.005 mm"), "{:?}", whole.fit.notes);
    assert!(fit(&whole).travelled.expect("a travel").tightest.u_lead > mm(0.045));
}

#[test]
fn a_station_of_flank_wear_stands_in_the_table() {
    let whole = lifting("9000 N", "");
    let places: Vec<Length> = fit(&whole).stations.iter().map(|s| s.place).collect();
    assert_eq!(places, [mm(30.0), mm(400.0), mm(650.0)]);
    assert!(says(&whole.fit, NoteKind::Remark, "only the wear of flanks was read"));
}

/// A reading without a place that finds the screw thicker: the nut is sized to pass it, and it is named.
#[test]
fn a_thicker_reading_without_a_place_governs() {
    let unplaced = "[[reading]]\npart = \"screw\"\nfeature = \"over wires\"\nwire = \"2.6 mm\"\nvalue = \"22.40 mm\"\ninstrument = \"wires\"\n";
    let made = |readings: &str| {
        screw(
            &[(20.0, 22.3), (200.0, 22.28)],
            &format!("{readings}{NUT}length = \"44 mm\"\nthrough = true\n"),
        )
    };
    let (with, without) = (made(unplaced), made(""));
    assert!(says(&with.fit, NoteKind::Warning, "without a place finds it thicker by 0.027 mm"));
    let wider = fit(&with).pitch_diameter.aim - fit(&without).pitch_diameter.aim;
    assert!(near(wider, 0.1, 0.002), "as the thicker reading asks: {wider:?}");
    assert!(fit(&with).play_range().is_some_and(|(least, _)| near(least, 0.04, 0.001)));
}

#[test]
fn one_place_leaves_open_whether_the_screw_may_stay() {
    let whole = screw(&[(180.0, 22.4)], &format!("{NUT}length = \"44 mm\"\nthrough = true\n"));
    assert_eq!(fit(&whole).mate_wear, None);
    assert!(says(&whole.fit, NoteKind::Remark, "whether it may stay is open"));
    assert!(!says(&whole.fit, NoteKind::Remark, "The screw may stay"));
    let two = screw(&[(20.0, 22.4), (180.0, 22.39)], &format!("{NUT}length = \"44 mm\"\nthrough = true\n"));
    assert_eq!(fit(&two).mate_wear, Some(Wear::Stays));
}

/// The kind of nut is what is planned, priced and promised: 0.0254 mm at the tightest for a split one.
#[test]
fn a_split_nut_is_planned_priced_and_promised() {
    let demo = |kind: &str| {
        let text = include_str!("../../../demo/board-shear.toml")
            .replace("play          = ", &format!("nut = \"{kind}\"\nplay          = "));
        let job = job(&text);
        let whole = flankwise_bench::work(&job);
        let words = quotation::work(&job, &whole).result.expect("a quotation");
        (whole, show::text(&words.proposed[0], Unit::Mm))
    };
    let ((plain, _), (split, words)) = (demo("plain"), demo("split"));
    let (least, most) = fit(&split).play_range().expect("a range");
    assert!(near(least, 0.0254, 1e-6));
    let (tight, loose) = fit(&plain).play_range().expect("a range");
    assert!(near(most - least, (loose - tight).to_mm(), 0.001), "the spread is the screw's");
    assert_eq!(fit(&split).play_unset(), Some(tight), "cut as asked, then set");
    let steps =
        |w: &Whole| fit(w).operations.iter().any(|s| show::text(&s.text, Unit::Mm).contains("saw the slit"));
    assert!(steps(&split) && !steps(&plain));
    let hours = |w: &Whole| {
        w.route.result.as_ref().and_then(|r| r.way(WayKind::SinglePoint)).map_or(0.0, |way| way.hours)
    };
    assert!((hours(&split) - hours(&plain) - 0.75).abs() < 1e-9);
    assert!(words.contains("split nut"), "{words}");
}

/// 1-5 Acme 2G (ASME B1.5, formulas from memory): allowance 0.008 √1 = 0.0080 in, tolerance of either pitch diameter
/// 0.030 √0.2 + 0.006 √1 = 0.0194 in; by tan 14.5° = 0.2586 a play of 0.0021 to 0.0121 in.
#[test]
fn the_play_of_two_new_parts_runs_over_the_limits_of_both() {
    let whole = worked(
        "job = \"Test (invented)\"\nunit = \"in\"\n[identity]\nthread = \"1-5 Acme-2G\"\n[make]\npart = \"screw\"\nmate_new = true\nlength = \"14 in\"\nthrough = true\n[rates]\nhour = 80\n",
    );
    let (least, most) = fit(&whole).expected.expect("the play of both");
    assert!((0.0019..0.0022).contains(&least.to_inch()), "{}", least.to_inch());
    assert!((0.010..0.0125).contains(&most.to_inch()), "{}", most.to_inch());
    assert!(says(&whole.route, NoteKind::Warning, "for the screw alone"));
    let answer = show::text(&fit(&whole).section().answer, Unit::Inch);
    assert!(answer.contains("Both are made new") && answer.contains("0.002"), "{answer}");
}

/// Without a length the thread takes the body less its groove; a body too short for both is refused with the fields.
#[test]
fn thread_and_groove_have_to_go_into_the_body() {
    let demo = include_str!("../../../demo/board-shear.toml");
    let without = worked(&demo.replace("length        = \"44 mm\"\n", ""));
    assert_eq!(fit(&without).length, mm(44.0), "52 less the groove of 8");
    let short = worked(&demo.replace("length           = \"52 mm\"", "length           = \"48 mm\""));
    assert!(says(&short.fit, NoteKind::Impossible, "make.relief"));
    assert!(short.fit.notes.iter().any(|n| n.field == "make.body.length"));
}

#[test]
fn classes_stand_side_by_side_with_their_play() {
    let whole = screw(&[(20.0, 22.6), (180.0, 22.5)], &format!("{NUT}length = \"44 mm\"\nthrough = true\n"));
    let section = fit(&whole).section();
    let (fine, coarse) =
        (row(&section, "classes", "7H").expect("7H"), row(&section, "classes", "9H").expect("9H"));
    assert_ne!(fine[2], coarse[2]);
    // ISO 2903: TD2 of 7H is 0.375 mm, and the play grows by that times tan 15°.
    let (least, most) = fit(&whole).play_range_by_book().expect("by the book");
    let along = fit(&whole).travelled.expect("a travel");
    let class = most - least - (along.loosest.play() - along.tightest.play());
    assert!(near(class, 0.375 * 15f64.to_radians().tan(), 0.001), "{class:?}");
}

#[test]
fn several_starts_can_be_set_off_wrong() {
    let lathe = include_str!("../../../demo/board-shear.toml");
    let of = |text: &str| {
        let whole = worked(text);
        let route = whole.route.result.expect("a route");
        let way = route.way(WayKind::SinglePoint).expect("a way").clone();
        way.risk.mishaps.iter().any(|m| m.what.contains("start set off wrong"))
    };
    assert!(!of(lathe));
    assert!(of(&LIFT.replace("LOAD", "900 N")));
}

/// A tap that warps loses its steel, whose price nobody gave: it is named, not taken as nothing.
#[test]
fn a_warped_tap_loses_its_steel() {
    let text = include_str!("../../../demo/board-shear.toml")
        .replace("through       = false", "through       = true");
    let route = worked(&text).route.result.expect("a route");
    let way = route.way(WayKind::MadeTap).expect("a way");
    let warped = way.risk.mishaps.iter().find(|m| m.what.contains("warps")).expect("a mishap");
    assert_eq!(warped.money.open, ["the tool steel"]);
}

/// A nut for a buttress screw that nothing was read of.
fn buttress(thread: &str, make: &str) -> Whole {
    worked(&format!(
        "job = \"Test (invented)\"\nunit = \"mm\"\n[identity]\nthread = \"{thread}\"\n[make]\npart = \"nut\"\nduty = \"lift\"\n{make}"
    ))
}

fn number(section: &Section, key: &str) -> f64 {
    match figure(section, key) {
        Value::Mpa(v) | Value::Number(v, _) | Value::TorqueNm(v) => v,
        Value::Length(l, _) => l.to_mm(),
        other => panic!("{key}: {other:?}"),
    }
}

/// On its load flank of 3° (DIN 513) S 36x10 at d2 = 28.5 needs a friction of cos 3° · 10/(28.5 π) = 0.1115 to hold; bronze
/// on steel, oiled, may have 0.10 only: T = 2000 · 0.01425 · (0.10 - 0.1115)/(0.99863 + 0.0112) = -0.33 N·m. By the
/// clearance flank of 30° it would be said to hold.
#[test]
fn a_buttress_thread_holds_or_runs_back_by_its_load_flank() {
    let whole = buttress(
        "S 36x10",
        "length = \"60 mm\"\nmaterial = \"bronze-c93200\"\nmate_material = \"steel-mild\"\nload = \"2 kN\"\n",
    );
    let section = fit(&whole).section();
    assert!((number(&section, "locking_friction") - 0.1115).abs() < 5e-5);
    assert_eq!(figure(&section, "self_locking"), Value::Yes(false));
    assert!((number(&section, "torque_back") + 0.33).abs() < 0.005);
    assert!(says(&whole.fit, NoteKind::Caution, "may or may not hold its load by itself"));
    assert!(says(&whole.fit, NoteKind::Remark, "taken to press on the flank of 3°"));
}

/// S 60x9 at d2 = 53.25, 60 kN: cos 3° tan φ = 0.0537, so a margin of 0.10/0.0537 = 1.86; T = 1597.5 · (0.16 + 0.0537)/(0.9986
/// - 0.0086) = 345 N·m up, 73.6 N·m hold it. With a collar of 80 mm at 0.17 another 408 N·m: the core bears 753 N·m and
/// 60 kN, as in Shigley's example 8-1, 85.3 N/mm² at 44.38 mm.
#[test]
fn the_core_bears_the_whole_torque() {
    let make = "length = \"100 mm\"\nmaterial = \"bronze-c95400\"\nmate_material = \"steel-medium-carbon\"\nload = \"60 kN\"\n[make.run]\n";
    let section = fit(&buttress("S 60x9", make)).section();
    for (key, value, within) in
        [("locking_margin", 1.86, 0.005), ("torque_back", 73.6, 0.05), ("torque_against", 345.0, 0.5)]
    {
        assert!((number(&section, key) - value).abs() < within, "{key}: {}", number(&section, key));
    }
    let collar = fit(&buttress("S 60x9", &format!("{make}collar = \"80 mm\"\n"))).section();
    assert!((number(&collar, "torque_against") - 753.0).abs() < 0.5);
    assert!((number(&collar, "core_stress") - 85.3).abs() < 0.1, "{}", number(&collar, "core_stress"));
    assert!(number(&section, "core_stress") < number(&collar, "core_stress"));
}

/// In two pieces each carries one way, so the flanks bear twice the pressure and the nut has to be twice as long.
#[test]
fn one_half_of_a_nut_in_two_carries() {
    let of = |kind: &str| {
        let text = format!("{NUT}length = \"40 mm\"\nload = \"20000 N\"\nnut = \"{kind}\"\n");
        fit(&screw(&[(20.0, 21.9), (150.0, 21.9)], &text)).section()
    };
    let (plain, two) = (of("plain"), of("two-piece"));
    for key in ["bearing_pressure", "shear_nut", "shear_screw", "bending_nut"] {
        assert!((number(&two, key) / number(&plain, key) - 2.0).abs() < 1e-9, "{key}");
    }
    let asked = |section: &Section| number(section, "length_by_load");
    assert!((asked(&two) - 2.0 * asked(&plain)).abs() <= 5.0 + 1e-9, "whole turns: {}", asked(&two));
}

#[test]
fn what_speaks_against_the_chosen_material_is_said() {
    let whole =
        |make: &str| screw(&[(20.0, 21.9)], &format!("[make]\npart = \"nut\"\nlength = \"40 mm\"\n{make}"));
    let hung = whole("material = \"acetal\"\nload = \"500 N\"\nduty = \"lift\"\n");
    assert!(says(&hung.fit, NoteKind::Impossible, "a load must not hang on plastic"));
    assert!(fit(&hung).overload.is_some(), "and nothing is offered for it");
    assert!(!says(&whole("material = \"acetal\"\n").fit, NoteKind::Impossible, "plastic"));
    let soft = whole("material = \"bronze-c95400\"\nmate_material = \"steel-mild\"\n");
    assert!(says(&soft.fit, NoteKind::Warning, "the screw is too soft for it"));
    let steel = whole("material = \"steel-mild\"\nmate_material = \"steel-mild\"\nload = \"500 N\"\n");
    assert!(says(&steel.fit, NoteKind::Warning, "galls on its own kind"));
    // 300 N/mm² of pressure on steel that yields at 275: judged although no limit of pressure is listed.
    let crushed = whole("material = \"steel-mild\"\nmate_material = \"steel-alloy\"\nload = \"400000 N\"\n");
    assert!(says(&crushed.fit, NoteKind::Impossible, "presses on the flanks"));
    let dry = whole("material = \"bronze-c93200\"\n[make.run]\nlubricant = \"dry\"\n");
    assert!(says(&dry.fit, NoteKind::Warning, "said to run dry"));
}

/// Two turns and a half: the first takes 0.4 of the load, not 0.38, and a nut of 10 mm on Tr 16x4 is short for lifting too.
#[test]
fn a_short_nut_loads_its_first_turn_with_no_less_than_an_even_share() {
    let text = "job = \"Test (invented)\"\nunit = \"mm\"\n[identity]\nthread = \"Tr 16x4\"\n[make]\npart = \"nut\"\nlength = \"10 mm\"\nload = \"500 N\"\nduty = \"lift\"\n";
    let whole = worked(text);
    let section = fit(&whole).section();
    let (first, mean) = (number(&section, "first_thread_pressure"), number(&section, "bearing_pressure"));
    assert!((first / mean - 1.0).abs() < 1e-9, "{first} {mean}");
    assert!(says(&whole.fit, NoteKind::Warning, "six turns or more are usual for one that is driven"));
    // 24 mm are 1.5 diameters and 6 turns: nothing is short.
    let whole = worked(&text.replace("10 mm", "24 mm"));
    assert!(!says(&whole.fit, NoteKind::Warning, "six turns or more"));
}

#[test]
fn wear_beyond_a_fifth_of_the_ridge_in_a_year_is_said() {
    let of = |turns: &str, duty: &str| {
        worked(
            &LIFT
                .replace("LOAD", "9000 N")
                .replace("mate_length =", &format!("{duty}\nmate_length ="))
                .replace("collar =", &format!("turns_per_day = {turns}\ncollar =")),
        )
    };
    let hard = of("2000", "duty = \"lift\"");
    assert!(says(&hard.fit, NoteKind::Caution, "what hangs on it falls when the ridge is gone"));
    assert!(says(&of("2000", "duty = \"feed\"").fit, NoteKind::Warning, "A fifth of the nut's ridge"));
    assert!(!says(&of("1", "duty = \"feed\"").fit, NoteKind::Warning, "A fifth of the nut's ridge"));
}

/// A lead screw with journals at both ends, invented; the thread begins behind the first two steps.
const SCREW: &str = r#"job = "Test (invented)"
unit = "mm"
[identity]
thread = "Tr 24x5"
[make]
part = "screw"
length = "200 mm"
material = "steel-medium-carbon"
[make.body]
length = "300 mm"
flange = "40 mm"
flange_thickness = "12 mm"
flange_from = "20 mm"
flats = "36 mm"
[[make.step]]
from_end = "0 mm"
length = "20 mm"
diameter = "15 mm"
fit = "k6"
ends = "1 mm chamfer"
[[make.step]]
from_end = "232 mm"
length = "68 mm"
diameter = "17 mm"
fit = "h6"
[[make.hole]]
kind = "cross"
diameter = "8 mm"
from_end = "290 mm"
[[make.hole]]
kind = "cross"
diameter = "30 mm"
from_end = "900 mm"
[[make.keyway]]
standard = "DIN 6885"
from_end = "0 mm"
length = "16 mm"
"#;

fn steps(whole: &Whole) -> String {
    let steps = &fit(whole).operations;
    steps.iter().map(|s| show::text(&s.text, Unit::Mm)).collect::<Vec<_>>().join("\n")
}

/// ISO 286-2: 15 k6 is +0.012 to +0.001, 17 h6 is 0 to -0.011. DIN 6885-1: a shaft of 15 mm has a key 5 wide, t1 = 3.
#[test]
fn a_screw_has_its_journals_flange_holes_and_keyway() {
    let whole = worked(SCREW);
    let made = fit(&whole);
    let size = |i: usize| (made.steps[i].size.min, made.steps[i].size.max);
    assert!(near(size(0).0, 15.001, 1e-6) && near(size(0).1, 15.012, 1e-6));
    assert!(near(size(1).0, 16.989, 1e-6) && near(size(1).1, 17.0, 1e-6));
    assert!(near(made.keyways[0].width, 5.0, 1e-9) && near(made.keyways[0].depth, 3.0, 1e-9));
    let said = steps(&whole);
    for words in [
        "Turn the flange to 40",
        "Finish the step 0.00 to 20.00",
        "1 mm chamfer",
        "Drill across, 8.00",
        "flats to 36.00",
        "Mill the keyway",
        "Turn the length of thread, 32.00 to 232.00",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
    assert!(!said.contains("30.00 mm, its centre"), "what has no place is not in the order: {said}");
    assert!(says(&whole.fit, NoteKind::Impossible, "runs out of a part 300"));
    assert!(near(made.stock.expect("stock").0, 42.0, 1e-9), "bar over the flange");
    // The thread counts at its pitch diameter.
    let d2 = made.pitch_diameter.aim.to_mm();
    let solid = 15.0065 * 15.0065 * 20.0 + 1600.0 * 12.0 + d2 * d2 * 200.0 + 16.9945 * 16.9945 * 68.0;
    let by_hand = solid * std::f64::consts::FRAC_PI_4 * 7850e-9;
    let Value::Kg(kg) = figure(&made.section(), "part_mass") else { panic!("no mass") };
    assert!((kg - by_hand).abs() < 1e-6, "{kg} {by_hand}");
}

#[test]
fn steps_that_have_no_place_are_refused() {
    let refused = |from: &str, to: &str, words: &str| {
        let whole = worked(&SCREW.replace(from, to));
        assert!(says(&whole.fit, NoteKind::Impossible, words), "{words}: {:?}", whole.fit.notes);
    };
    refused("from_end = \"232 mm\"", "from_end = \"200 mm\"", "runs into the thread");
    refused("length = \"68 mm\"", "length = \"80 mm\"", "runs out of the part");
    refused("flange_from = \"20 mm\"", "flange_from = \"10 mm\"", "stands where another step does");
    refused("flats = \"36 mm\"", "flats = \"44 mm\"", "take nothing off");
    let thick = worked(&SCREW.replace("diameter = \"17 mm\"", "diameter = \"30 mm\""));
    assert!(says(&thick.fit, NoteKind::Warning, "A nut cannot be run on"));
    assert!(!says(&worked(SCREW).fit, NoteKind::Warning, "A nut cannot be run on"));
}

/// A thread of 10 mm in a through body of 40: the rest of the bore is opened over the thread, and is not in the mass.
#[test]
fn a_thread_shorter_than_its_through_body_has_an_end() {
    let of = |length: &str| {
        screw(
            &[(20.0, 21.9)],
            &format!("{NUT}length = \"{length}\"\n[make.body]\noutside = \"36 mm\"\nlength = \"40 mm\"\n"),
        )
    };
    let short = of("10 mm");
    assert!(steps(&short).contains("Open the bore behind the thread"));
    let opened = fit(&short).opened.expect("an opened bore");
    assert!(opened > fit(&short).bottom.max);
    assert!(!steps(&of("40 mm")).contains("Open the bore"));
    let kg = |whole: &Whole| match figure(&fit(whole).section(), "part_mass") {
        Value::Kg(kg) => kg,
        other => panic!("{other:?}"),
    };
    assert!(kg(&short) < kg(&of("40 mm")));
}

#[test]
fn holes_and_keyways_are_judged_by_what_they_meet() {
    let of = |rest: &str| {
        screw(
            &[(20.0, 21.9)],
            &format!("{NUT}length = \"40 mm\"\n[make.body]\noutside = \"36 mm\"\nlength = \"40 mm\"\n{rest}"),
        )
    };
    let hole = |rest: &str| of(&format!("[[make.hole]]\nfrom_end = \"20 mm\"\n{rest}"));
    assert!(says(
        &hole("kind = \"cross\"\ndiameter = \"6 mm\"\nthread = \"M6\"\n").fit,
        NoteKind::Impossible,
        "leaves nothing to tap M6"
    ));
    assert!(says(
        &hole("kind = \"flange\"\ndiameter = \"6 mm\"\n").fit,
        NoteKind::Impossible,
        "has no flange"
    ));
    assert!(says(
        &hole("kind = \"cross\"\ndiameter = \"25 mm\"\n").fit,
        NoteKind::Impossible,
        "cuts the nut in two"
    ));
    let spot = hole("kind = \"spot\"\ndiameter = \"6 mm\"\n");
    assert!(spot.fit.needs.iter().any(|n| n.field == "make.hole[1].depth"));
    assert!(!says(&spot.fit, NoteKind::Warning, "goes through the wall"));
    let way = |from: &str| {
        format!("[[make.keyway]]\nstandard = \"DIN 6885\"\nfrom_end = \"{from}\"\nlength = \"20 mm\"\n")
    };
    let outside = of(&way("90 mm"));
    assert!(says(&outside.fit, NoteKind::Impossible, "runs out of a part 40"));
    assert!(fit(&outside).keyways.is_empty() && !steps(&outside).contains("keyway"));
    assert!(says(
        &of(&format!("{}{}", way("0 mm"), way("10 mm"))).fit,
        NoteKind::Warning,
        "stands in another one"
    ));
    let in_way = of(&format!(
        "{}[[make.hole]]\nkind = \"spot\"\ndiameter = \"6 mm\"\ndepth = \"2 mm\"\nfrom_end = \"10 mm\"\nangle = \"0 deg\"\n",
        way("0 mm")
    ));
    assert!(says(&in_way.fit, NoteKind::Warning, "stands in a keyway"));
}
