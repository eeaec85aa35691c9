//! The tool stage on real sizes, and what must hold for any.

mod cut_support;

use cut_support::{demo, fit, press, round};
use flankwise_bench::job::BarShape;
use flankwise_bench::report::{NoteKind, Value, show};
use flankwise_bench::tool::bar::Section;
use flankwise_bench::tool::bore::{Opening, Shank, largest_round, passage};
use flankwise_bench::tool::{self, CLEARANCE, grind};
use flankwise_thread::{Angle, Element, Hand, Length, Unit};
use proptest::prelude::*;

fn impossible<T>(outcome: &flankwise_bench::report::Outcome<T>) -> Vec<String> {
    let of = |n: &&flankwise_bench::report::Note| n.kind == NoteKind::Impossible;
    outcome.notes.iter().filter(of).map(|n| show::text(&n.text, Unit::Mm)).collect()
}

#[test]
fn demo_nut_takes_the_stiffest_bar_that_passes() {
    let outcome = tool::work(&fit("Tr 22x5", Element::Internal, 44.0), &demo());
    assert!(!outcome.impossible(), "{:?}", impossible(&outcome));
    let t = outcome.result.expect("a tool");
    // Bore 17, bottom 22.55 at most: tip 2.775 + 0.5, so the largest is 17 − 3.275 − 0.5.
    assert!((t.largest_bar.to_mm() - 13.225).abs() < 1e-3, "{}", t.largest_bar.to_mm());
    assert_eq!(t.bar.map(|i| t.bars[i].bar.size), Some(Length::mm(12.0)));
    assert!(!t.bars[2].enters, "16 mm in a 17 mm bore with a tip of 3.3");
    assert!((t.ground.included().to_deg() - 30.0).abs() < 1e-9);
    assert!((t.stick_out.to_mm() - 57.0).abs() < 1e-9);
    // φ = atan(5 / (π 17)) = 5.348°.
    assert!((t.lead_angle.to_deg() - 5.348).abs() < 1e-3);
    assert!((t.slopes[0].chuck.edge.to_deg() - 5.348).abs() < 1e-3);
    // That and 4° of clearance at least; the wall that comes nearer down to the bar's underside asks for more.
    assert!(t.reliefs.on(t.leads).to_deg() > 9.348);
    assert!(t.tip_width.max < fit("Tr 22x5", Element::Internal, 44.0).groove_bottom_width);
}

/// Tr 16x3: bore 13 mm. A 3/8 in shank goes in, cuts to 16.6 mm, and comes out.
#[test]
fn three_eighths_shank_does_the_tr_16x3_nut() {
    let mut job = demo();
    job.bars = vec![round(Length::inch(0.375), 120.0)];
    let outcome = tool::work(&fit("Tr 16x3", Element::Internal, 25.0), &job);
    assert!(!outcome.impossible(), "{:?}", impossible(&outcome));
    let t = outcome.result.expect("a tool");
    assert!(t.bars[0].enters && t.bars[0].withdraws);
    assert_eq!(t.bar, Some(0));
    assert!(t.bars[0].room > Length::ZERO);
}

#[test]
fn bars_that_are_too_thick_are_impossible_and_the_size_to_get_is_named() {
    let mut job = demo();
    job.bars = vec![round(Length::mm(12.0), 150.0)];
    let outcome = tool::work(&fit("Tr 16x3", Element::Internal, 25.0), &job);
    let said = impossible(&outcome);
    assert_eq!(said.len(), 1, "{said:?}");
    assert!(said[0].contains("10.00 mm"), "{said:?}");
    job.unit = Unit::Inch;
    let outcome = tool::work(&fit("Tr 16x3", Element::Internal, 25.0), &job);
    assert!(impossible(&outcome)[0].contains("9.5") || impossible(&outcome)[0].contains("9.53"), "3/8 in");
}

#[test]
fn a_bore_too_small_for_any_bar_sends_to_the_tap() {
    let mut job = demo();
    job.bars.clear();
    let outcome = tool::work(&fit("M4", Element::Internal, 10.0), &job);
    assert!(impossible(&outcome)[0].contains("tap"), "{:?}", impossible(&outcome));
}

#[test]
fn a_bar_too_short_to_hold_is_not_chosen() {
    let mut job = demo();
    job.bars = vec![round(Length::mm(12.0), 60.0), round(Length::mm(10.0), 120.0)];
    let t = tool::work(&fit("Tr 22x5", Element::Internal, 44.0), &job).result.expect("a tool");
    assert_eq!(t.bar, Some(1));
    assert!(t.bars[0].words.contains("too short"));
}

#[test]
fn a_tip_wider_than_the_groove_is_impossible() {
    let mut job = demo();
    let f = fit("Tr 22x5", Element::Internal, 44.0);
    job.grind.tip_width = Some(f.groove_bottom_width + Length::mm(0.01));
    let outcome = tool::work(&f, &job);
    assert!(impossible(&outcome)[0].contains("wider than the bottom"));
    job.grind.tip_width = Some(f.groove_bottom_width - Length::mm(0.05));
    assert!(!tool::work(&f, &job).impossible());
}

#[test]
fn a_fixed_stick_out_that_does_not_reach_is_impossible() {
    let mut job = demo();
    job.grind.stick_out = Some(Length::mm(40.0));
    let outcome = tool::work(&fit("Tr 22x5", Element::Internal, 44.0), &job);
    assert!(impossible(&outcome)[0].contains("does not reach"));
}

/// Root flat of a Tr screw, 0.36603 P − 0.5359 ac (ISO 2901); of a P/8 form, P/8 (LATHE manual: tip flat P/8).
#[test]
fn tips_never_exceed_the_roots_of_their_forms() {
    for (designation, part, root) in [
        ("Tr 22x5", Element::External, 0.36603 * 5.0 - 0.5359 * 0.25),
        ("Tr 40x7", Element::Internal, 0.36603 * 7.0 - 0.5359 * 0.5),
        ("M20x2.5", Element::Internal, 2.5 / 8.0),
        ("1/2-13 UNC", Element::Internal, 25.4 / 13.0 / 8.0),
    ] {
        let f = fit(designation, part, 30.0);
        assert!(
            (f.groove_bottom_width.to_mm() - root).abs() < 1e-4,
            "{designation}: {}",
            f.groove_bottom_width.to_mm()
        );
        let t = tool::work(&f, &press()).result.expect("a tool");
        assert!(
            t.tip_width.max <= f.groove_bottom_width && t.tip_width.aim < t.tip_width.max,
            "{designation}"
        );
        assert!(t.tip_width.min < t.tip_width.aim, "{designation}");
    }
}

#[test]
fn a_whitworth_tip_is_round() {
    let f = fit("1-8 BSW", Element::Internal, 30.0);
    let t = tool::work(&f, &press()).result.expect("a tool");
    let full = grind::full_radius(t.tip_width.aim, t.ground.included() * 0.5);
    assert_eq!(t.corner.most, full.min(Length::mm(0.137329 * 25.4 / 8.0)).min(t.corner.most));
    assert!(t.corner.most > Length::ZERO);
    // Round all over is the form (BS 84), so a sharp corner will not do; a flat root asks for none.
    let least = t.corner.least.expect("a least radius");
    assert!(least > t.corner.most * 0.85 && least <= t.corner.most, "{least:?} {:?}", t.corner.most);
    let flat = tool::work(&fit("Tr 22x5", Element::Internal, 44.0), &demo()).result.expect("a tool");
    assert_eq!(flat.corner.least, None);
}

#[test]
fn an_external_thread_needs_no_bar() {
    let outcome = tool::work(&fit("Tr 22x5", Element::External, 300.0), &demo());
    assert!(!outcome.impossible());
    let t = outcome.result.expect("a tool");
    assert!(t.bars.is_empty() && t.bar.is_none());
    assert_eq!(t.stick_out, tool::STUB_OVERHANG);
    assert!(t.stiffness_n_per_mm > 10_000.0);
}

#[test]
fn rake_and_height_change_what_is_ground() {
    let f = fit("Tr 22x5", Element::Internal, 44.0);
    let mut job = demo();
    job.grind.rake = Some(Angle::deg(10.0));
    let raked = tool::work(&f, &job).result.expect("a tool");
    // 14.5° ground at 10° rake cuts 14.71 (first order); so a little under 30° is ground for 30° cut.
    assert!(raked.ground.included() < Angle::deg(30.0));
    // The face crosses the curved surface, so first order holds to a few hundredths only.
    let first_order = Angle::atan(Angle::deg(15.0).tan() * Angle::deg(10.0).cos()) * 2.0;
    assert!((raked.ground.included() - first_order).abs() < Angle::deg(0.2));
    job.grind.rake = Some(Angle::ZERO);
    job.grind.height = Some(Length::mm(1.0));
    let above = tool::work(&f, &job).result.expect("a tool");
    job.grind.height = None;
    let on = tool::work(&f, &job).result.expect("a tool");
    assert!(above.heel > on.heel, "an internal tool above centre gains clearance");
}

#[test]
fn every_section_can_be_shown() {
    for (designation, part) in [
        ("Tr 22x5", Element::Internal),
        ("3/4-6 Acme-LH", Element::Internal),
        ("Sq 25x5", Element::External),
        ("1/2 BSW", Element::Internal),
        ("Tr 40x14 P7", Element::Internal),
    ] {
        let t = tool::work(&fit(designation, part, 30.0), &demo()).result.expect("a tool");
        let section = t.section();
        assert!(!show::text(&section.answer, Unit::Inch).is_empty());
        let mut keys: Vec<_> = section
            .blocks
            .iter()
            .filter_map(|b| match b {
                flankwise_bench::report::Block::Figures(_, f) => Some(f),
                _ => None,
            })
            .flatten()
            .map(|f| f.key)
            .collect();
        let n = keys.len();
        keys.sort_unstable();
        keys.dedup();
        assert_eq!(n, keys.len(), "{designation}: a figure's key is used twice");
    }
}

/// A second opinion on a round bar: points of its outline and the edge, tried at many positions along x.
fn passes_by_trying(opening: &Opening, bar: f64, tip: f64) -> bool {
    let r = opening.bore.to_mm() / 2.0 - opening.clearance.to_mm();
    let (h, half) = (opening.height.to_mm(), bar / 2.0);
    let inside = |centre: f64, with_edge: bool| {
        let outline = (0..720).map(|i| f64::from(i).to_radians() / 2.0);
        let bar_in =
            outline.map(|a| (centre + half * a.cos()).hypot(h + half * a.sin())).all(|d| d <= r + 1e-4);
        bar_in && (!with_edge || (centre + half + tip).hypot(h) <= r + 1e-4)
    };
    let back_out = (-2000..=2000).map(|i| f64::from(i) * r / 2000.0).any(|x| inside(x, true));
    let bottom = opening.bottom.to_mm() / 2.0;
    let at_depth = (bottom * bottom - h * h).sqrt() - half - tip;
    back_out && inside(at_depth, false)
}

/// Whether both are angles, the same but for the last digits of their reckoning.
fn alike(a: Option<Value>, b: Option<Value>) -> bool {
    match (a, b) {
        (Some(Value::Angle(a, _)), Some(Value::Angle(b, _))) => (a.to_deg() - b.to_deg()).abs() < 1e-9,
        _ => false,
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn the_largest_bar_passes_and_a_little_larger_does_not(
        bore in 8.0..60.0f64, depth in 0.3..6.0f64, height in -1.0..1.0f64,
    ) {
        let opening = Opening {
            bore: Length::mm(bore),
            bottom: Length::mm(bore + 2.0 * depth),
            height: Length::mm(height),
            clearance: CLEARANCE,
        };
        let tip = Length::mm(depth + 0.5);
        if let Some(largest) = largest_round(&opening, tip) {
            let at = |size| passage(&Shank { section: Section::plain(BarShape::Round, size), tip }, &opening).passes();
            prop_assert!(at(largest));
            prop_assert!(!at(largest + Length::mm(0.01)));
            let mm = largest.to_mm();
            prop_assert!(mm < 0.5 || passes_by_trying(&opening, mm * 0.99, tip.to_mm()));
            prop_assert!(!passes_by_trying(&opening, mm * 1.01 + 0.02, tip.to_mm()));
        }
    }

    #[test]
    fn left_hand_reliefs_mirror_right_hand_ones(nominal in 14u32..60, pitch in 2u32..8) {
        let right = format!("Tr {nominal}x{pitch}");
        let (f, mut g) = (fit(&right, Element::Internal, 30.0), fit(&right, Element::Internal, 30.0));
        g.thread.hand = Hand::Left;
        let (a, b) = (tool::work(&f, &demo()), tool::work(&g, &demo()));
        let (a, b) = (a.result.expect("a tool"), b.result.expect("a tool"));
        for (of_a, of_b) in [(a.leads, b.leads), (a.follows(), b.follows())] {
            prop_assert!((a.reliefs.on(of_a).to_deg() - b.reliefs.on(of_b).to_deg()).abs() < 1e-9);
        }
        let side = |t: &tool::Tool, key| {
            t.detail.iter().find_map(|block| match block {
                flankwise_bench::report::Block::Figures(_, f) => f.iter().find(|f| f.key == key).map(|f| f.value.clone()),
                _ => None,
            })
        };
        for (of_a, of_b) in [
            ("relief_chuck_side", "relief_tailstock_side"),
            ("relief_tailstock_side", "relief_chuck_side"),
        ] {
            prop_assert!(alike(side(&a, of_a), side(&b, of_b)), "{:?} {:?}", side(&a, of_a), side(&b, of_b));
        }
    }

    #[test]
    fn longer_stick_out_is_never_stiffer(a in 20.0..200.0f64, b in 20.0..200.0f64) {
        let at = |l: f64| {
            let mut job = demo();
            job.grind.stick_out = Some(Length::mm(l));
            tool::work(&fit("Tr 22x5", Element::Internal, 10.0), &job).result.expect("a tool").stiffness_n_per_mm
        };
        // Beyond some length the choice goes to another bar only because it becomes too short to hold.
        if a < b && b < 100.0 {
            prop_assert!(at(a) > at(b));
        }
    }

    #[test]
    fn the_tip_never_cuts_the_narrowest_groove_too_wide(nominal in 10u32..80, pitch in 2u32..8, tolerance in 0.0..0.2f64) {
        for part in [Element::Internal, Element::External] {
            let mut f = fit(&format!("Tr {nominal}x{pitch}"), part, 30.0);
            f.pitch_diameter = cut_support::size(f.pitch_diameter.aim, tolerance);
            let t = tool::work(&f, &demo()).result.expect("a tool");
            // At the aimed bottom, the groove of the smallest permitted nut (largest screw).
            let p = f.thread.pitch.length;
            let beyond = match part {
                Element::Internal => f.bottom.aim - f.pitch_diameter.min,
                Element::External => f.pitch_diameter.max - f.bottom.aim,
            };
            let narrowest = grind::groove_width(p, beyond, Angle::deg(15.0).tan());
            prop_assert!(t.tip_width.max <= narrowest + Length::mm(1e-9));
        }
    }
}

const LONG_RUN: &str = r#"
job = "a nut behind which the tool runs on"
unit = "mm"
[identity]
thread = "Tr 40x7"
[make]
part = "nut"
length = 60
through = true
material = "steel-mild"
[[bar]]
size = 32
length = 200
front_lengths = [76]
front_sizes = [12]
[[bar]]
size = 12
length = 250
[lathe]
lead_screw = "4 mm"
gears = [20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 75, 80, 90, 100, 127]
speeds = [45, 70, 110, 180]
reverses = true
half_nuts = false
reaction_s = 0.45
coast_s = 4
"#;

/// The bar reaches as far as the tool runs on before the carriage stands: the holder is clear of the face by then, with the
/// half-nuts kept closed over 4 s of running on as with a quick stop; and no bar sticks out for two leads that it need not.
#[test]
fn the_holder_is_clear_of_the_work_when_the_carriage_stands() {
    let mut past = Vec::new();
    for (coast, part) in [("coast_s = 4", "coast_s = 4"), ("coast_s = 4", "coast_s = 0.1")] {
        let job = flankwise_bench::job::read(&LONG_RUN.replace(coast, part)).expect("a job");
        let whole = flankwise_bench::work(&job);
        let (tool, setup) = (whole.tool.result.expect("a tool"), whole.setup.result.expect("set up"));
        let top = whole.fit.result.expect("sizes").groove_top_width;
        let clear = tool.stick_out - Length::mm(60.0) - setup.overrun.expect("a speed to stop from") - top;
        assert!((clear - tool::HOLDER_MARGIN).abs() < Length::um(1.0), "{part}: {clear:?}");
        past.push(tool.past_the_end);
        // The stepped bar's thick part would stand in the bore once the tool runs on by more than 16 mm.
        assert_eq!(tool.bars[0].passes(), tool.past_the_end < Length::mm(16.0), "{part}");
    }
    assert!(past[0] > Length::mm(14.0), "more than two leads: {past:?}");
    // A stick-out fixed too short is refused, with the length that is needed.
    let text = LONG_RUN.replace("[lathe]", "[grind]\nstick_out = 70\n[lathe]");
    let whole = flankwise_bench::work(&flankwise_bench::job::read(&text).expect("a job"));
    let said = impossible(&whole.tool);
    assert!(said.iter().any(|s| s.contains("the holder would hit the work")), "{said:?}");
    // Room to the chuck bounds how far it may go.
    let text = LONG_RUN.replace("[lathe]", "[cutting]\nroom = 9\n[lathe]");
    let whole = flankwise_bench::work(&flankwise_bench::job::read(&text).expect("a job"));
    assert!(whole.tool.result.expect("a tool").past_the_end <= Length::mm(9.0));
}

#[test]
fn a_stick_out_of_nothing_is_refused() {
    let text = LONG_RUN.replace("[lathe]", "[grind]\nstick_out = 0.0005\n[lathe]");
    let problems = flankwise_bench::job::read(&text).expect_err("refused");
    assert!(problems.iter().any(|p| p.field == "grind.stick_out"), "{problems:?}");
}
