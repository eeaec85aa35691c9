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
        Bit { name: Some("for the vice".to_owned()), angle: Angle::deg(29.0), tip_width: mm(1.5) }
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
        .map(|&(a, w)| Bit { name: None, angle: Angle::deg(a), tip_width: Length::mm(w) })
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
    let from = chatter.likely_from().expect("chatter");
    assert!(
        told(&outcome, NoteKind::Warning, "bar").contains(&format!("From pass {from} on")),
        "{:?}",
        outcome.notes
    );
    for help in &chatter.helps {
        assert!(help.from.is_none_or(|n| n >= from), "{}", show::text(&help.what, Unit::Mm));
    }
    assert!(chatter.helps.len() >= 6);
    assert!(chatter.by_flank.expect("straight in") < chatter.hardest().expect("passes").bite.counted);
    // The demo's own bar at its own speed is quiet.
    let (outcome, _) = cut_of(&demo());
    assert_eq!(outcome.result.and_then(|c| c.chatter).expect("judged").likely_from(), None);
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
