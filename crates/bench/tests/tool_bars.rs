//! Bars as a job writes them, other tools, chatter over the passes, and what cannot be.

mod cut_support;

use cut_support::{demo, fit, press, round};
use flankwise_bench::cut::{self, Cut};
use flankwise_bench::job::{self, Bar, BarKind, BarMaterial, BarPart, BarShape, Bit, Duty, Infeed, Job};
use flankwise_bench::report::{Block, NoteKind, Outcome, show};
use flankwise_bench::setup;
use flankwise_bench::tool::near::{Bears, NearTool};
use flankwise_bench::tool::{self, Tool};
use flankwise_thread::{Angle, Element, Length, Unit};

fn told<T>(outcome: &Outcome<T>, kind: NoteKind, field: &str) -> String {
    let of = |n: &&flankwise_bench::report::Note| n.kind == kind && n.field == field;
    outcome.notes.iter().filter(of).map(|n| show::text(&n.text, Unit::Mm)).collect::<Vec<_>>().join(" | ")
}

fn tool_of(job: &Job) -> Tool {
    tool::work(&fit("Tr 22x5", Element::Internal, 44.0), job).result.expect("a tool")
}

const BARS: &str = r#"
job = "bars"
unit = "mm"

[[bar]]
shape = "flatted"
size = 12
flat = 10.5
length = 150

[[bar]]
size = "5/8 in"
length = 200
kind = "screwed tip"
front_lengths = [35, 25]
front_sizes = [8, 12]
tapers = true

[[bit]]
name = "for the vice"
angle = "29 deg"
tip_width = 1.5
"#;

#[test]
fn bars_and_bits_are_read() {
    let job = job::read(BARS).unwrap_or_else(|p| panic!("{p:?}"));
    let mm = Length::mm;
    assert_eq!((job.bars[0].shape, job.bars[0].flat), (BarShape::Flatted, Some(mm(10.5))));
    let taper = &job.bars[1];
    assert_eq!(taper.kind, BarKind::ScrewedTip);
    assert_eq!(taper.front[1], BarPart { length: mm(25.0), size: mm(12.0) });
    // 8 to 12 over 35 mm, 12 to 15.875 over 25 mm.
    for (at, size) in
        [(0.0, 8.0), (17.5, 10.0), (35.0, 12.0), (47.5, 13.9375), (60.0, 15.875), (90.0, 15.875)]
    {
        assert!((taper.section_at(mm(at)).size.to_mm() - size).abs() < 1e-9, "{at}");
    }
    assert_eq!(
        job.bits[0],
        Bit {
            name: Some("for the vice".to_owned()),
            angle: Angle::deg(29.0),
            chuck_flank: None,
            tip_width: mm(1.5)
        }
    );
}

/// Each refused with its field, what was read, and what is accepted.
#[test]
fn bars_that_cannot_be_are_refused() {
    for (from, to, field, read, accepted) in [
        ("flat = 10.5\n", "", "bar[1].flat", "", "a length"),
        ("flat = 10.5", "flat = 12.5", "bar[1].flat", "12.5", "from half the bar's size"),
        ("length = 200", "length = 55", "bar[2].front_lengths", "35, 25", "shorter than the bar"),
        ("front_sizes = [8, 12]", "front_sizes = [8]", "bar[2].front_sizes", "8", "as many lengths as sizes"),
        (
            "front_sizes = [8, 12]",
            "front_sizes = [8, 18]",
            "bar[2].front_sizes",
            "8, 18",
            "not above that of the bar",
        ),
        ("kind = \"screwed tip\"", "kind = \"glued\"", "bar[2].kind", "glued", "brazed tip"),
        (
            "kind = \"screwed tip\"",
            "kind = \"hardened\"\nmaterial = \"hss\"",
            "bar[2].kind",
            "hardened",
            "only with material steel",
        ),
        ("angle = \"29 deg\"\n", "", "bit[1].angle", "", "an angle"),
    ] {
        let text = BARS.replace(from, to);
        assert_ne!(text, BARS);
        let problems = job::read(&text).expect_err("refused");
        let found =
            problems.iter().find(|p| p.field == field).unwrap_or_else(|| panic!("{field}: {problems:?}"));
        assert_eq!(found.read, read, "{field}");
        assert!(found.accepted.contains(accepted), "{field}: {}", found.accepted);
    }
}

#[test]
fn what_stands_outside_the_bore_may_be_thick() {
    let front = |length: f64| vec![BarPart { length: Length::mm(length), size: Length::mm(12.0) }];
    let mut job = demo();
    // 52 mm of bar go in: the thread and the relief groove.
    let stepped = |length| Bar { front: front(length), ..round(Length::mm(20.0), 160.0) };
    job.bars = vec![stepped(53.0), stepped(50.0), round(Length::mm(12.0), 160.0)];
    let t = tool_of(&job);
    assert!(t.bars[0].enters && t.bars[0].withdraws && !t.bars[1].enters);
    assert_eq!(t.bar, Some(0), "thicker where it is held, so stiffer");
    assert!(t.bars[0].stiffness_n_per_mm > t.bars[2].stiffness_n_per_mm);
}

#[test]
fn kinds_say_what_they_ask_and_how_they_yield() {
    let of = |kind| {
        let mut job = demo();
        job.bars = vec![Bar { kind, ..round(Length::mm(12.0), 160.0) }];
        tool_of(&job)
    };
    let steps = |t: &Tool| {
        t.detail.iter().find_map(|b| match b {
            Block::Steps(_, steps) => Some(steps.clone()),
            _ => None,
        })
    };
    let plain = of(BarKind::OnePiece);
    assert!(steps(&plain).is_none());
    for kind in
        [BarKind::Hardened, BarKind::BrazedTip, BarKind::ScrewedTip, BarKind::BoringHead, BarKind::Bought]
    {
        let t = of(kind);
        assert!(!steps(&t).expect("steps").is_empty(), "{kind:?}");
        let softer = matches!(kind, BarKind::ScrewedTip | BarKind::BoringHead | BarKind::Bought);
        assert_eq!(t.stiffness_n_per_mm < plain.stiffness_n_per_mm, softer, "{kind:?}");
    }
    let cautions: usize =
        steps(&of(BarKind::Hardened)).expect("steps").iter().map(|s| s.cautions.len()).sum();
    assert!(cautions >= 2, "fire, oil and hot metal");
}

/// Heights and rakes beyond what a face can do are named with what would do.
#[test]
fn a_face_that_misses_the_thread_says_what_would_do() {
    let f = fit("Tr 22x5", Element::Internal, 44.0);
    let mut job = demo();
    job.grind.height = Some(Length::mm(12.0));
    let outcome = tool::work(&f, &job);
    let said = told(&outcome, NoteKind::Impossible, "grind.height");
    assert!(said.contains("12.00 mm above centre") && said.contains("no more than"), "{said}");
    assert!(outcome.result.is_some(), "the rest is worked for a plain tool");
    let f = fit("Tr 22x5", Element::External, 44.0);
    job.grind.height = Some(Length::mm(-9.0));
    let said = told(&tool::work(&f, &job), NoteKind::Impossible, "grind.height");
    assert!(said.contains("below centre"), "{said}");
}

fn near(part: Element, designation: &str, bits: &[(f64, f64)], duty: Duty) -> Vec<NearTool> {
    let f = fit(designation, part, 44.0);
    let mut job = demo();
    job.make.duty = duty;
    job.bits = bits
        .iter()
        .map(|&(a, w)| Bit { name: None, angle: Angle::deg(a), chuck_flank: None, tip_width: Length::mm(w) })
        .collect();
    tool::work(&f, &job).result.expect("a tool").near
}

/// 29° in a 30° thread: H1 (tan 15° − tan 14.5°), bearing at the groove's mouth; the other way round at its bottom. The
/// gap is checked by laying the two outlines against each other.
#[test]
fn a_29_degree_tool_in_a_30_degree_thread() {
    let found =
        near(Element::Internal, "Tr 22x5", &[(29.0, 1.2), (30.0, 1.2), (31.0, 1.2), (29.0, 1.9)], Duty::Feed);
    let [acme, same, wide, too_wide] = &found[..4] else { panic!("{found:?}") };
    assert_eq!((acme.bears, same.bears, wide.bears), (Bears::Mouth, Bears::Everywhere, Bears::Bottom));
    // A ridge of 30° pressed into a groove of 29°: gaps at mouth and bottom of the engagement of 2.5 mm.
    let gap = |up: f64| up * (14.5_f64.to_radians().tan() - 15_f64.to_radians().tan());
    assert!(
        (acme.gap.to_mm() - (gap(0.0) - gap(2.5))).abs() < 1e-9 && (acme.gap.to_mm() - 0.0233).abs() < 1e-4
    );
    assert!(same.gap < Length::um(0.1) && same.share == 1.0);
    assert!((acme.share - 0.01 / 0.0233).abs() < 2e-3 && acme.acceptable);
    // Wide at the mouth: 1.2 + 2 × 2.75 tan 14.5° lacks 0.0513 mm more than at the bottom.
    let f = fit("Tr 22x5", Element::Internal, 44.0);
    let lacks_at_mouth = f.groove_top_width.to_mm() - (1.2 + 5.5 * 14.5_f64.to_radians().tan());
    assert!((acme.widen.expect("a bit").to_mm() - lacks_at_mouth).abs() < 1e-9);
    assert!(too_wide.widen.expect("a bit") < Length::ZERO && !too_wide.acceptable);
    // Where a load could fall, it will not do.
    assert!(!near(Element::Internal, "Tr 22x5", &[(29.0, 1.2)], Duty::Lift)[0].acceptable);
    // Without bits the neighbour is still looked at; 55° in 60° of a coarse thread will not do.
    let v = near(Element::Internal, "M20x2.5", &[], Duty::Feed);
    assert_eq!(v.iter().map(|n| n.angle.to_deg().round()).collect::<Vec<_>>(), [55.0]);
    assert!(!v[0].acceptable && !v[0].on_hand);
}

fn cut_of(job: &Job) -> (Outcome<Cut>, Tool) {
    let f = fit("Tr 22x5", Element::Internal, 44.0);
    let t = tool::work(&f, job).result.expect("a tool");
    let s = setup::work(&f, &t, job).result;
    (cut::work(&f, &t, s.as_ref(), job), t)
}

/// A bar so slender that it must chatter is warned of, with what helps; each help is at least as good as nothing.
#[test]
fn a_slender_bar_is_warned_of() {
    let mut job = demo();
    job.bars = vec![round(Length::mm(6.0), 250.0)];
    job.grind.stick_out = Some(Length::mm(110.0));
    job.cutting.surface_m_per_min = Some(40.0);
    job.lathe.as_mut().expect("a lathe").reaction_s = Some(0.05);
    let (outcome, _) = cut_of(&job);
    let chatter = outcome.result.as_ref().and_then(|c| c.chatter.clone()).expect("judged");
    let from = chatter.outlook.likely_from.expect("chatter");
    assert!(
        told(&outcome, NoteKind::Warning, "bar").contains(&format!("From pass {from} on")),
        "{:?}",
        outcome.notes
    );
    for help in &chatter.helps {
        let then = help.outlook.likely_from;
        assert!(then.is_none_or(|n| n >= from), "{}", show::text(&help.what, Unit::Mm));
    }
    assert!(chatter.helps.len() >= 6);
    assert!(chatter.by_flank.expect("straight in") < chatter.outlook.hardest.bite.counted);
    // The demo's own bar at its own speed is quiet.
    let (outcome, _) = cut_of(&demo());
    assert_eq!(outcome.result.and_then(|c| c.chatter).expect("judged").outlook.likely_from, None);
}

/// What is counted of a chip: the tip for all of its width, each flank that cuts for its length × sin² A.
#[test]
fn flank_infeed_counts_one_flank() {
    let (outcome, tool) = cut_of(&demo());
    let chatter = outcome.result.and_then(|c| c.chatter).expect("judged");
    let last = chatter.passes.last().expect("passes").bite.counted.to_mm();
    let a = 15_f64.to_radians();
    let flank = 2.75 / a.cos() * a.sin().powi(2);
    assert!((last - (tool.tip_width.aim.to_mm() + 2.0 * flank)).abs() < 0.01, "{last}");
    let by_flank = chatter.by_flank.expect("straight in").to_mm();
    assert!((by_flank - (tool.tip_width.aim.to_mm() + flank)).abs() < 0.01, "{by_flank}");
    let mut job = demo();
    job.cutting.infeed = Infeed::Flank;
    let (outcome, _) = cut_of(&job);
    let chatter = outcome.result.and_then(|c| c.chatter).expect("judged");
    assert_eq!(chatter.by_flank, None);
    assert!((chatter.passes.last().expect("passes").bite.counted.to_mm() - by_flank).abs() < 0.02);
}

#[test]
fn carbide_too_slow_in_steel_is_warned_of() {
    let mut job = demo();
    job.grind.carbide_tip = true;
    let f = fit("Tr 22x5", Element::External, 44.0);
    let at = |job: &Job| {
        let t = tool::work(&f, job).result.expect("a tool");
        let s = setup::work(&f, &t, job).result;
        told(&cut::work(&f, &t, s.as_ref(), job), NoteKind::Warning, "grind.carbide_tip")
    };
    let said = at(&job);
    assert!(said.contains("below about 50 m/min") && said.contains("time you need to stop"), "{said}");
    // A bronze nut does not weld to the edge.
    let (outcome, _) = cut_of(&job);
    assert_eq!(told(&outcome, NoteKind::Warning, "grind.carbide_tip"), "");
    job.grind.carbide_tip = false;
    assert_eq!(at(&job), "");
}

#[test]
fn carbide_stiffens_a_bar_threefold() {
    let k = |material| {
        let mut job = press();
        job.bars = vec![Bar { material, ..round(Length::mm(12.0), 160.0) }];
        tool_of(&job).stiffness_n_per_mm
    };
    // 600 / 206: E alone, since the clamp is reckoned in the bar's own E I / D.
    assert!((k(BarMaterial::Carbide) / k(BarMaterial::Steel) - 600.0 / 206.0).abs() < 1e-6);
}

/// A brazed or bought tip and a bar ground from solid carbide cut with carbide, whether the job ticks it or not.
#[test]
fn the_way_a_bar_is_made_says_carbide() {
    let of = |kind, material| {
        let mut job = demo();
        job.bars = vec![Bar { kind, material, ..round(Length::mm(12.0), 160.0) }];
        let outcome = tool::work(&fit("Tr 22x5", Element::Internal, 44.0), &job);
        let dust = outcome.notes.iter().any(|n| show::text(&n.text, Unit::Mm).contains("cobalt"));
        let tool = outcome.result.expect("a tool");
        let setup =
            setup::work(&fit("Tr 22x5", Element::Internal, 44.0), &tool, &job).result.expect("set up");
        (tool.carbide, dust, setup.rpm_surface)
    };
    let (carbide, dust, slow) = of(BarKind::OnePiece, BarMaterial::Steel);
    assert!(!carbide && !dust);
    for (kind, material) in [
        (BarKind::BrazedTip, BarMaterial::Steel),
        (BarKind::Bought, BarMaterial::Steel),
        (BarKind::OnePiece, BarMaterial::Carbide),
    ] {
        let (carbide, dust, fast) = of(kind, material);
        assert!(carbide && dust, "{kind:?} {material:?}");
        // Carbide stands twice the speed of high-speed steel (the college sheet that the setup names).
        assert!((fast / slow - 2.0).abs() < 1e-9, "{kind:?}");
    }
    assert!(!of(BarKind::ScrewedTip, BarMaterial::Steel).0);
}

/// Where one number of the grind keeps every bar out, that number is named, with what would do.
#[test]
fn a_number_that_keeps_every_bar_out_is_named() {
    let f = fit("Tr 22x5", Element::Internal, 44.0);
    let mut job = demo();
    job.bars = vec![round(Length::mm(12.0), 160.0)];
    for depth in [20.0, 5.0] {
        job.grind.depth = Some(Length::mm(depth));
        let outcome = tool::work(&f, &job);
        let said = told(&outcome, NoteKind::Impossible, "grind.depth");
        // The tip is 2.775 + 0.5 mm at least; 17 − 0.5 − 12 − 3.275 of room is left with it.
        assert!(said.contains("15.28 mm to 16.50 mm") || said.contains("from 15.28 mm to 16.50"), "{said}");
        assert_eq!(told(&outcome, NoteKind::Impossible, "bar"), "");
        assert!(outcome.result.expect("a tool").bar.is_none());
    }
    job.grind.depth = Some(Length::mm(15.5));
    assert!(!tool::work(&f, &job).impossible());
    job.grind.depth = None;
    job.grind.height = Some(Length::mm(-4.0));
    let said = told(&tool::work(&f, &job), NoteKind::Impossible, "grind.height");
    assert!(
        said.contains("4.00 mm below centre") && said.contains("On centre one of 12.00 mm does"),
        "{said}"
    );
}

/// Without bars steel is assumed, not a bar that nobody has; where none can pass, no figures of one are given.
#[test]
fn a_bar_that_nobody_has_is_not_reckoned_with() {
    let mut job = demo();
    job.bars.clear();
    let t = tool_of(&job);
    assert!(t.carried() && t.shank.material == BarMaterial::Steel);
    let f = fit("M4", Element::Internal, 10.0);
    let t = tool::work(&f, &job).result.expect("a tool");
    assert!(!t.carried());
    assert!(!t.detail.iter().any(|b| matches!(b, Block::Figures(title, _) if title == "Bar")));
}

/// A bar that is too short passes nowhere, whatever its size.
#[test]
fn a_bar_too_short_does_not_pass() {
    let mut job = demo();
    job.bars = vec![round(Length::mm(12.0), 60.0)];
    let t = tool_of(&job);
    assert!(t.bars[0].enters && t.bars[0].withdraws && !t.bars[0].long_enough && !t.bars[0].passes());
}

/// What is changed against chatter can be had: no narrower roughing tip, no speed that the lathe lacks, no square bar as
/// thick as the round one that just passes, and of those that help alike the cheapest.
#[test]
fn what_helps_against_chatter_can_be_had() {
    let mut job = demo();
    job.bars = vec![Bar { shape: BarShape::Square, ..round(Length::mm(5.0), 250.0) }];
    job.grind.stick_out = Some(Length::mm(110.0));
    job.grind.carbide_tip = true;
    job.cutting.surface_m_per_min = Some(40.0);
    job.lathe.as_mut().expect("a lathe").reaction_s = Some(0.05);
    let (outcome, t) = cut_of(&job);
    let chatter = outcome.result.and_then(|c| c.chatter).expect("judged");
    let words: Vec<String> = chatter.helps.iter().map(|h| show::text(&h.what, Unit::Mm)).collect();
    let half = words.iter().find(|w| w.contains("high-speed steel")).expect("slower steel");
    let speeds = &job.lathe.as_ref().expect("a lathe").speeds_rpm;
    assert!(speeds.iter().any(|n| half.ends_with(&format!("{n:.0} rev/min"))), "{half}");
    assert!(words.iter().any(|w| w == "stick-out 57.0 mm"), "{words:?}");
    let thicker = words.iter().position(|w| w.starts_with("bar of ")).expect("a thicker bar");
    let round = Bar::plain(BarShape::Round, Length::mm(12.0), None, BarMaterial::Steel);
    let k = tool::bar::answer(&round, t.stick_out, t.tip_mass_kg).mode.stiffness_n_per_mm;
    let wide = chatter.helps[thicker].outlook.hardest.at_any_speed.surely.expect("a width");
    let now = chatter.outlook.hardest.at_any_speed.surely.expect("a width");
    let ratio = k / t.mode.stiffness_n_per_mm;
    assert!((wide / now / ratio - 1.0).abs() < 1e-6, "{words:?}");
}

/// The push on a chip that thickens is the slope of Kienzle's force, b kc1.1 (1 − mc) h^−mc, half of it radial.
#[test]
fn the_push_is_the_slope_of_the_force() {
    use flankwise_bench::cut::force::{Kienzle, THRUST};
    let (outcome, _) = cut_of(&demo());
    let chatter = outcome.result.and_then(|c| c.chatter).expect("judged");
    let bite = chatter.passes.last().expect("passes").bite;
    let stuff = fit("Tr 22x5", Element::Internal, 44.0).stuff();
    let k = Kienzle { kc11: stuff.kc11, mc: stuff.mc };
    // Some chip thickness in the range of these passes has this slope.
    let slope = |h: f64| {
        let f = |h: f64| k.force(Length::mm(1.0), Length::mm(h)).to_newton() * THRUST;
        (f(h * 1.000_1) - f(h * 0.999_9)) / (h * 0.000_2)
    };
    assert!(slope(0.2) < bite.push_mpa && bite.push_mpa < slope(0.005), "{}", bite.push_mpa);
    let thickness = (bite.push_mpa / (THRUST * (1.0 - k.mc) * k.kc11)).powf(-1.0 / k.mc);
    assert!((slope(thickness) / bite.push_mpa - 1.0).abs() < 1e-5);
}

/// A 33° bit ground 3° and 30° is right for a 3°/30° buttress nut (DIN 513) on the sides that it is ground for, and for no
/// other; wider than the widest permitted tip it is refused, with what has to come off.
#[test]
fn a_bit_with_two_flanks_is_judged_by_both() {
    let f = fit("S 48x8", Element::Internal, 40.0);
    let basic = f.thread.basic();
    let of = |chuck_flank, tip_width| {
        let mut job = demo();
        job.bits =
            vec![Bit { name: None, angle: Angle::deg(33.0), chuck_flank, tip_width: Length::mm(tip_width) }];
        let outcome = tool::work(&f, &job);
        let said = told(&outcome, NoteKind::Warning, "bit");
        (outcome.result.expect("a tool").near[0].clone(), said)
    };
    let (right, _) = of(Some(basic.flank_leading), 1.0);
    assert!(right.acceptable && right.bears == Bears::Everywhere, "{right:?}");
    let (turned, _) = of(Some(basic.flank_trailing), 1.0);
    assert!(!turned.acceptable);
    let (unsaid, said) = of(None, 1.0);
    assert!(!unsaid.acceptable && said.contains("chuck_flank"), "{said}");
    let widest = tool::work(&f, &demo()).result.expect("a tool").tip_width.max.to_mm();
    let (wide, said) = of(Some(basic.flank_leading), widest + 0.03);
    assert!(!wide.acceptable && said.contains("0.030 mm wider than may be"), "{said}");
    assert!(of(Some(basic.flank_leading), widest).0.acceptable);
}

/// A force that bends a slender bar down takes clearance off an internal tool: δ with sin δ = 2 y / D, y = F / k.
#[test]
fn a_bar_pressed_down_is_warned_of() {
    let mut job = demo();
    job.bars = vec![round(Length::mm(8.0), 250.0)];
    job.grind.stick_out = Some(Length::mm(110.0));
    let (outcome, tool) = cut_of(&job);
    let said = told(&outcome, NoteKind::Warning, "grind.height");
    let passes = outcome.result.expect("passes").passes;
    let most = passes.iter().map(|p| p.force.to_newton()).fold(0.0, f64::max);
    let y = most / tool.stiffness_n_per_mm;
    let lost = (2.0 * y / 17.0).asin().to_degrees();
    assert!(
        said.contains(&format!("{y:.2} mm")) && said.contains(&format!("{lost:.1}°")),
        "{said} {y} {lost}"
    );
    let (outcome, _) = cut_of(&demo());
    assert_eq!(told(&outcome, NoteKind::Warning, "grind.height"), "");
}

/// What is neither surely stable nor surely not is said to be open, with what makes it less likely; and the verdict is one:
/// the bars' table says how slender a bar is and leaves chatter to the passes.
#[test]
fn between_the_ends_of_damping_chatter_is_left_open() {
    let mut job = demo();
    job.bars = vec![round(Length::mm(8.0), 250.0)];
    job.grind.stick_out = Some(Length::mm(110.0));
    let (outcome, t) = cut_of(&job);
    assert!(t.bars.iter().all(|b| !b.words.contains("chatter")), "{:?}", t.bars[0].words);
    let outlook = outcome.result.as_ref().and_then(|c| c.chatter.as_ref()).expect("judged").outlook;
    let (None, Some(from)) = (outlook.likely_from, outlook.doubtful_from) else { panic!("{outlook:?}") };
    let said = told(&outcome, NoteKind::Remark, "bar");
    assert!(said.contains(&format!("From pass {from} on chatter cannot be ruled out")), "{said}");
    assert!(said.contains("Most would help: "), "{said}");
    assert!(!said.contains("needs it all"), "{said}");
}
