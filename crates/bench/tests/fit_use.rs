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
