//! The plan kept in step with what was done at the lathe: ticks, real depths, measured sizes, changed tools.

mod cut_support;

use cut_support::{demo, fit, press};
use flankwise_bench::cut::{self, Cut, Entries, Pass, PassKind, Standing};
use flankwise_bench::fit::Fit;
use flankwise_bench::job::{Done, Infeed, Instrument, Job, MadeFeature, MadeReading, Share};
use flankwise_bench::report::{Note, NoteKind, Outcome, show};
use flankwise_bench::tool;
use flankwise_bench::{Whole, work, work_at_the_lathe};
use flankwise_thread::wires::{self, Groove};
use flankwise_thread::{Element, Length, Unit};
use proptest::prelude::*;

fn outcome(f: &Fit, job: &Job) -> Outcome<Cut> {
    let t = tool::work(f, job).result.expect("a tool");
    cut::work(f, &t, None, job)
}

fn plan(f: &Fit, job: &Job) -> Cut {
    outcome(f, job).result.expect("passes")
}

/// A pass taken as planned.
fn tick(p: &Pass) -> Done {
    Done { depth: p.depth, side: p.side, tip: Some(p.tip), start: 1 }
}

/// The notes on what was done and measured.
fn told(f: &Fit, job: &Job) -> Vec<Note> {
    let here = |n: &Note| n.field.starts_with("done") || n.field.starts_with("made");
    outcome(f, job).notes.into_iter().filter(here).collect()
}

fn words(notes: &[Note]) -> String {
    notes.iter().map(|n| show::text(&n.text, Unit::Mm)).collect::<Vec<_>>().join("\n")
}

fn nut() -> Fit {
    fit("Tr 22x5", Element::Internal, 44.0)
}

/// The jobs that the properties go through: every infeed, every way to share, a roughing tool, a narrow tip.
fn any_job() -> impl Strategy<Value = Job> {
    let infeed = prop_oneof![
        Just(Infeed::Radial),
        Just(Infeed::Flank),
        Just(Infeed::ModifiedFlank),
        Just(Infeed::Alternating)
    ];
    let share = prop_oneof![Just(Share::Area), Just(Share::Force), Just(Share::Deflection)];
    (infeed, share, any::<bool>(), any::<bool>(), any::<bool>()).prop_map(
        |(infeed, share, inch, rough, narrow)| {
            let mut job = if inch { press() } else { demo() };
            job.cutting.infeed = infeed;
            job.cutting.share = share;
            job.cutting.rough_tip = rough.then_some(Length::mm(0.8));
            job.grind.tip_width = narrow.then_some(Length::mm(1.4));
            job
        },
    )
}

/// Depth, width and tip: what a pass leaves.
fn settings(passes: &[Pass]) -> Vec<(f64, f64, f64)> {
    let um = |l: Length| l.to_um().round();
    passes.iter().map(|p| (um(p.depth), um(p.side), um(p.tip))).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// Passes taken as planned leave the plan as it is, at whatever pass one stands.
    #[test]
    fn ticking_changes_nothing(mut job in any_job(), share in 0.0..1.0f64) {
        let f = nut();
        let whole = plan(&f, &job);
        let n = (whole.passes.len() as f64 * share) as usize;
        job.done = whole.passes[..n].iter().map(tick).collect();
        let after = plan(&f, &job);
        prop_assert_eq!(after.done, n);
        prop_assert_eq!(settings(&after.passes), settings(&whole.passes));
        prop_assert!(told(&f, &job).is_empty(), "{}", words(&told(&f, &job)));
    }

    /// Whatever was done, the rest ends at the full depth, goes deeper at each cutting pass, and loads no pass with
    /// more than the plan's hardest but for the rounding to the dial.
    #[test]
    fn the_rest_leads_to_the_full_depth(mut job in any_job(), share in 0.05..0.8f64, off in -0.04..0.04f64) {
        let f = nut();
        job.cutting.rough_tip = None;
        let whole = plan(&f, &job);
        let down: Vec<&Pass> = whole.passes.iter().filter(|p| p.kind == PassKind::Cutting).collect();
        let n = (whole.passes.len() as f64 * share).max(2.0) as usize;
        job.done = whole.passes[..n].iter().map(tick).collect();
        let last = job.done[n - 1].depth;
        job.done[n - 1].depth = (last + Length::mm(off)).min(f.depth - Length::mm(0.1)).max(job.done[n - 2].depth);
        let after = plan(&f, &job);
        let rest = &after.passes[n..];
        let end = rest.last().expect("more passes").depth;
        let full = down.last().expect("passes").depth;
        prop_assert!((end - full).abs() <= Length::mm(0.03), "{end:?} {full:?}");
        let deeper: Vec<&Pass> = rest.iter().filter(|p| p.kind == PassKind::Cutting).collect();
        prop_assert!(deeper.windows(2).all(|w| w[1].depth > w[0].depth));
        let hardest = |p: &[&Pass]| p.iter().map(|p| p.force.to_newton()).fold(0.0, f64::max);
        prop_assert!(hardest(&deeper) <= hardest(&down) * 1.35, "{} {}", hardest(&deeper), hardest(&down));
    }
}

/// A ball's reading in a groove that is really so deep, worked out here from the section alone.
fn between_balls(f: &Fit, tip: Length, depth: Length, ball: Length) -> Length {
    let tan = (f.groove_top_width - f.groove_bottom_width) / (f.depth * 2.0);
    // Where the groove is half a pitch wide.
    let bottom = f.blank.aim + depth * 2.0;
    let pitch_diameter = bottom - (f.thread.pitch.length * 0.5 - tip) * (1.0 / tan);
    wires::between_balls(&Groove::of(&f.thread), pitch_diameter, ball).expect("a seat")
}

fn reading(value: Length, after: u32) -> MadeReading {
    MadeReading {
        feature: MadeFeature::OverWires,
        value,
        wire: Some(Length::mm(2.6)),
        instrument: Instrument::TelescopingGauge,
        count: None,
        after: Some(after),
        start: 1,
        uncertainty: Some(Length::um(4.0)),
    }
}

/// The first so many passes ticked, and the groove measured to be `off` deeper than set.
fn measured(n: usize, off: f64) -> (Fit, Job, Cut) {
    let f = nut();
    let mut job = demo();
    let whole = plan(&f, &job);
    job.done = whole.passes[..n].iter().map(tick).collect();
    let last = &whole.passes[n - 1];
    let real = last.depth + Length::mm(off);
    job.made = vec![reading(between_balls(&f, last.tip, real, Length::mm(2.6)), n as u32)];
    (f, job, whole)
}

#[test]
fn a_size_as_expected_leaves_the_plan() {
    // The bar has sprung by what the plan says.
    let left = plan(&nut(), &demo()).passes[20].deflection.to_mm();
    let (f, job, whole) = measured(21, -left);
    assert_eq!(settings(&plan(&f, &job).passes), settings(&whole.passes));
    assert!(told(&f, &job).is_empty(), "{}", words(&told(&f, &job)));
}

#[test]
fn a_groove_measured_too_shallow_is_set_so_much_deeper() {
    // Short of what the bar's spring leaves, by more than the doubt about it: half of the spring.
    let left = plan(&nut(), &demo()).passes[20].deflection;
    let short = left * 0.5 + Length::mm(0.03);
    let beyond = |more: f64| -(left + short).to_mm() - more;
    let (f, job, whole) = measured(21, beyond(0.0));
    let after = plan(&f, &job);
    let end = |c: &Cut| c.passes.last().expect("passes").depth;
    let more = end(&after) - end(&whole);
    // No deeper than the bottom's limit: 0.05 on the diameter.
    assert!((more - short.min(Length::mm(0.025))).abs() <= Length::mm(0.003), "{more:?} {short:?}");
    let said = words(&told(&f, &job));
    assert!(said.contains("should be") && said.contains("lost its tip"), "{said}");
    // What the bottom's limit does not allow comes off to the side: 2 tan 15° of width for each of depth.
    let (f, job, _) = measured(21, beyond(0.06));
    let last = plan(&f, &job).passes.last().expect("passes").clone();
    let excess = short + Length::mm(0.06 - 0.025);
    let wanted = f.groove_bottom_width - last.tip + excess * (2.0 * 15f64.to_radians().tan());
    assert!((last.side - wanted).abs() <= Length::mm(0.0101 + 0.002), "{:?} {wanted:?}", last.side);
}

#[test]
fn a_groove_measured_too_deep_is_left_so_much_earlier() {
    let (f, job, whole) = measured(21, 0.05);
    let after = plan(&f, &job);
    let end = |c: &Cut| c.passes.iter().map(|p| p.depth.to_mm()).fold(0.0, f64::max);
    let left = whole.passes[20].deflection.to_mm();
    assert!((end(&whole) - end(&after) - 0.05 - left).abs() <= 0.006, "{} {}", end(&whole), end(&after));
    assert!(words(&told(&f, &job)).contains("dial slipped"));
}

#[test]
fn a_dial_that_counts_the_other_way_is_asked_for() {
    let (f, mut job, whole) = measured(21, 0.0);
    // Really half as deep: the bottom was read.
    let set = whole.passes[20].depth;
    job.made = vec![MadeReading {
        feature: MadeFeature::MajorDiameter,
        wire: None,
        ..reading(f.blank.aim + set, 21)
    }];
    let notes = told(&f, &job);
    assert!(notes.iter().any(|n| n.kind == NoteKind::Impossible), "{}", words(&notes));
    assert!(words(&notes).contains("does this dial count the diameter"), "{}", words(&notes));
}

#[test]
fn a_ball_on_the_edges_tells_nothing() {
    let (f, mut job, whole) = measured(5, 0.0);
    job.made[0].value = Length::mm(13.4);
    assert!(words(&told(&f, &job)).contains("rides on the edge of the crest"), "{}", words(&told(&f, &job)));
    assert_eq!(settings(&plan(&f, &job).passes), settings(&whole.passes));
    // Nor is a reading expected of it so early.
    assert!(plan(&f, &job).reads_now.is_empty());
    let (f, job, _) = measured(22, 0.0);
    let (ball, value) = plan(&f, &job).reads_now[0];
    assert!(job.gauges.balls.contains(&ball) && value > Length::mm(10.0));
}

#[test]
fn slips_in_what_was_done_are_named() {
    let f = nut();
    let whole = plan(&f, &demo());
    let with = |change: &dyn Fn(&mut Vec<Done>)| {
        let mut job = demo();
        job.done = whole.passes[..8].iter().map(tick).collect();
        change(&mut job.done);
        words(&told(&f, &job))
    };
    assert_eq!(with(&|_| {}), "");
    assert!(with(&|d| d[7].depth = d[6].depth - Length::mm(0.1)).contains("less deep than the one before"));
    assert!(with(&|d| d[7].depth = d[7].depth * 2.0).contains("about twice or half"));
    assert!(with(&|d| d[7].depth = f.depth + Length::mm(0.4)).contains("beyond the deepest"));
    assert!(with(&|d| d[7].side = Length::mm(1.0)).contains("too loose"));
    // A reading from a pass that is not done yet.
    let mut job = demo();
    job.made = vec![reading(Length::mm(15.0), 3)];
    assert!(words(&told(&f, &job)).contains("0 are marked as done"));
}

#[test]
fn the_blank_as_measured_is_what_the_depth_counts_from() {
    let f = nut();
    let mut job = demo();
    job.made = vec![MadeReading {
        feature: MadeFeature::MinorDiameter,
        wire: None,
        after: None,
        start: 1,
        ..reading(f.blank.aim + Length::mm(0.07), 0)
    }];
    let end = |job: &Job| plan(&f, job).passes.last().expect("passes").clone();
    // A bore 0.07 larger is 0.035 nearer to the bottom, to the readout's half of 0.005.
    assert!((end(&demo()).depth - end(&job).depth - Length::mm(0.035)).abs() <= Length::mm(0.0026));
    assert!((end(&job).diameter - f.bottom.aim).abs() <= Length::mm(0.0051));
    job.made[0].value = Length::mm(30.0);
    assert_eq!(end(&job).depth, end(&demo()).depth);
    assert!(words(&told(&f, &job)).contains("Measure it again"));
}

#[test]
fn a_new_tip_starts_from_where_it_seats() {
    let f = nut();
    let mut job = demo();
    job.grind.tip_width = Some(Length::mm(1.5));
    let old = plan(&f, &job);
    job.done = old.passes[..10].iter().map(tick).collect();
    // Ground narrower after it chipped: the depth stands, and more comes off to the side.
    job.grind.tip_width = Some(Length::mm(1.3));
    let after = plan(&f, &job);
    assert!(after.changes_tool(10));
    assert!(after.passes[10].depth > after.passes[9].depth);
    let side = |c: &Cut| c.passes.last().expect("passes").side;
    assert!((side(&after) - side(&old) - Length::mm(0.2)).abs() <= Length::mm(0.021));
    assert_eq!(after.passes[9].tip, Length::mm(1.5));
    // Ground wider, it must first widen what it finds: its next depth may be less than that of the last.
    job.grind.tip_width = Some(Length::mm(1.7));
    let after = plan(&f, &job);
    assert!(
        (after.passes.last().expect("passes").depth - old.passes.last().expect("passes").depth).abs()
            < Length::um(6.0)
    );
    assert!(after.passes[10].step > Length::ZERO);
}

#[test]
fn a_roughing_tool_goes_first_and_leaves_little() {
    let f = fit("Tr 40x10", Element::Internal, 60.0);
    let mut job = demo();
    job.cutting.rough_tip = Some(Length::mm(2.0));
    let c = plan(&f, &job);
    let change = (1..c.passes.len()).find(|&i| c.changes_tool(i)).expect("a change of tool");
    let (rough, finish) = c.passes.split_at(change);
    assert!(rough.iter().all(|p| p.tip == Length::mm(2.0)));
    let widest = rough.iter().map(|p| p.side).fold(Length::ZERO, Length::max);
    assert!((widest - (finish[0].tip - Length::mm(2.0))).abs() <= Length::mm(0.021));
    let left = c.passes.last().expect("passes").depth - rough.last().expect("passes").depth;
    assert!(left > Length::mm(0.1) && left < Length::mm(0.2), "{left:?}");
    // Both tools together take the groove's whole area.
    let area: f64 = c.passes.iter().map(|p| p.area_mm2).sum();
    let tan = (f.groove_top_width - f.groove_bottom_width).to_mm() / (2.0 * f.depth.to_mm());
    let (b, h) = (f.groove_bottom_width.to_mm(), f.depth.to_mm());
    let whole = b * h + h * h * tan;
    assert!((area / whole - 1.0).abs() < 0.02, "{area} {whole}");
    // A roughing tool that is no narrower is said to be of no use.
    job.cutting.rough_tip = Some(Length::mm(5.0));
    let o = outcome(&f, &job);
    assert!(o.notes.iter().any(|n| n.field == "cutting.rough_tip"));
}

#[test]
fn alternating_infeed_swings_by_one_step_and_no_more() {
    let f = nut();
    let mut job = demo();
    job.cutting.infeed = Infeed::Alternating;
    let c = plan(&f, &job);
    let down: Vec<&Pass> =
        c.passes.iter().filter(|p| matches!(p.kind, PassKind::Scratch | PassKind::Cutting)).collect();
    let mut before = Length::ZERO;
    let mut ways = Vec::new();
    for p in &down {
        let by = p.axial_shift - before;
        // Each pass leans by 14.5° from the radius, to the compound's 0.02 mm, as far as the flanks leave room.
        let lean = p.step * 14.5f64.to_radians().tan();
        let room = (f.depth - p.depth) * 15f64.to_radians().tan();
        let at_flank = p.axial_shift.abs() + Length::mm(0.02) >= room;
        assert!(at_flank || by.abs() >= lean - Length::mm(0.0101), "{by:?} {p:?}");
        assert!(by.abs() <= lean + Length::mm(0.0201), "{by:?} {p:?}");
        let n = p.axial_shift.to_mm() / 0.02;
        assert!((n - n.round()).abs() < 1e-6);
        if by != Length::ZERO {
            ways.push(by > Length::ZERO);
        }
        before = p.axial_shift;
    }
    assert!(ways.windows(2).filter(|w| w[0] == w[1]).count() <= 2, "{ways:?}");
    assert_eq!(before, Length::ZERO, "it ends where it touched on");
    assert!(down.iter().all(|p| p.axial_shift.abs() < Length::mm(0.15)));
    assert!(c.passes.iter().all(|p| !p.by_compound()));
}

/// Unrounded, each pass has the same of what is asked for.
#[test]
fn forces_and_springs_are_shared_alike() {
    for designation in ["Tr 22x5", "M24x3"] {
        let f = fit(designation, Element::Internal, 30.0);
        for share in [Share::Force, Share::Deflection] {
            let mut job = demo();
            job.cutting.share = share;
            job.cutting.least = Some(Length::mm(0.005));
            job.cutting.first = Some(Length::mm(0.15));
            let lathe = job.lathe.as_mut().expect("a lathe");
            (lathe.readout, lathe.cross_dial) = (None, None);
            let c = plan(&f, &job);
            let cutting: Vec<&Pass> = c.passes.iter().filter(|p| p.kind == PassKind::Cutting).collect();
            assert!(cutting.len() > 5);
            if share == Share::Force {
                let forces: Vec<f64> = cutting.iter().map(|p| p.force.to_newton()).collect();
                let mean = forces.iter().sum::<f64>() / forces.len() as f64;
                assert!(forces.iter().all(|f| (f / mean - 1.0).abs() < 1e-3), "{forces:?}");
            } else {
                // What is left by spring settles to one value.
                let left: Vec<f64> = cutting.iter().skip(3).map(|p| p.deflection.to_um()).collect();
                let mean = left.iter().sum::<f64>() / left.len() as f64;
                assert!(left.iter().all(|l| (l / mean - 1.0).abs() < 0.1), "{left:?}");
            }
        }
    }
}

#[test]
fn every_trouble_has_a_way_out_with_the_numbers_reached() {
    let f = nut();
    let mut job = demo();
    let whole = plan(&f, &job);
    let say = |c: &Cut, key: &str| {
        let steps = &c.recovery.iter().find(|r| r.key == key).unwrap_or_else(|| panic!("{key}")).steps;
        steps.iter().map(|s| show::text(&s.text, Unit::Mm)).collect::<Vec<_>>().join("\n")
    };
    assert!(say(&whole, "tool").contains("touch on in the blank"));
    job.done = whole.passes[..12].iter().map(tick).collect();
    let c = plan(&f, &job);
    let shown = show::length_number(whole.passes[11].readout, flankwise_bench::report::Fine::Gauge, Unit::Mm);
    for key in ["tool", "moved"] {
        assert!(say(&c, key).contains(&format!("call the cross-slide {shown}")), "{}", say(&c, key));
    }
    assert!(say(&c, "stopped").contains("pass 12"));
    // 4 mm against 5 mm: by hand 1 and 2 mm beside.
    assert!(say(&c, "wrong_mark").contains("1.00 mm or 2.00 mm"), "{}", say(&c, "wrong_mark"));
    assert!(c.recovery.iter().all(|r| r.steps.iter().any(|s| !s.cautions.is_empty())));
}

/// What is done at the lathe is looked at by cut and check alone, so that a re-plan may keep the stages before.
#[test]
fn a_replan_says_what_the_whole_job_would() {
    let before = work(&demo());
    let mut job = demo();
    let passes = &before.cut.result.as_ref().expect("passes").passes;
    job.done = passes[..9].iter().map(tick).collect();
    job.done[8].depth += Length::mm(0.04);
    job.made = vec![reading(Length::mm(15.6), 9)];
    let (kept, anew) = (work_at_the_lathe(&before, &job), work(&job));
    let told = |w: &Whole| format!("{:?} {:?} {:?} {:?}", w.fit, w.setup, w.cut, w.check);
    assert_eq!(told(&kept), told(&anew));
    assert_ne!(told(&kept), told(&before));
}

#[test]
fn cautions_stand_at_the_step_they_belong_to() {
    let c = plan(&nut(), &demo());
    let at = |i: usize| {
        c.cautions_at(i).iter().map(|n| show::text(&n.text, Unit::Mm)).collect::<Vec<_>>().join("\n")
    };
    assert!(at(0).contains("key out of the chuck") && at(0).contains("lead"));
    assert!(!at(3).contains("key out of the chuck"));
    assert!(at(c.passes.len()).contains("mery"));
}

/// The demo's passes that go down, the last of them cut to `depth`.
fn cut_to(f: &Fit, depth: f64) -> Job {
    let mut job = demo();
    let down = |p: &&Pass| matches!(p.kind, PassKind::Scratch | PassKind::Cutting);
    job.done = plan(f, &job).passes.iter().filter(down).map(tick).collect();
    job.done.last_mut().expect("passes").depth = Length::mm(depth);
    job
}

#[test]
fn a_groove_that_is_wide_enough_is_left_alone() {
    let f = nut();
    let whole = plan(&f, &demo());
    let full = whole.passes.last().expect("passes").depth.to_mm();
    let widen = whole.passes.last().expect("passes").side.to_mm();
    assert!(widen > 0.02, "{widen}");
    let tan = 15f64.to_radians().tan();
    // At full depth the side passes take all of the width that the tip leaves; beyond it 2 tan A less for each of depth.
    let side = |depth: f64| plan(&f, &cut_to(&f, depth)).passes.last().expect("passes").side.to_mm();
    assert!((side(full) - widen).abs() < 1e-9, "{}", side(full));
    let beyond = (widen - 0.03) / (2.0 * tan);
    assert!((side(full + beyond) - 0.03).abs() <= 0.011, "{} {widen}", side(full + beyond));
    // So deep that the flanks are where they should be: what is left is the bar's spring, and no pass to the side.
    let ahead = |more: f64| {
        let job = cut_to(&f, full + widen / (2.0 * tan) + more);
        plan(&f, &job).passes.split_off(job.done.len())
    };
    for more in [0.005, 0.02] {
        assert!(ahead(more).iter().all(|p| p.kind == PassKind::Spring && p.step == Length::ZERO));
    }
    // Wider than that even with the bar sprung back: nothing is left to do.
    assert_eq!(ahead(0.4), Vec::new());
    // Measured wider than aimed at: the same.
    let job = {
        let mut job = demo();
        let down: Vec<&Pass> = whole.passes.iter().filter(|p| p.side == Length::ZERO).collect();
        let down = &down[..down.iter().position(|p| p.kind == PassKind::Widening).unwrap_or(down.len())];
        job.done = down.iter().map(|p| tick(p)).collect();
        let wide = f.pitch_diameter.aim + Length::mm(0.03);
        let value = wires::between_balls(&Groove::of(&f.thread), wide, Length::mm(2.6)).expect("a seat");
        job.made = vec![reading(value, job.done.len() as u32)];
        job
    };
    let c = plan(&f, &job);
    assert_eq!(c.passes.len(), job.done.len(), "{:?}", settings(&c.passes[job.done.len()..]));
    let reached = c.reached.expect("a groove");
    assert!((reached.pitch_diameter - f.pitch_diameter.aim - Length::mm(0.03)).abs() < Length::um(0.1));
    assert!(!reached.too_much() && !reached.unmeasured);
}

/// 0.05 beyond the pitch diameter's limit is 0.05 / 2 of depth beyond that limit, tip and side as they are.
#[test]
fn a_groove_beyond_its_limits_is_said_by_cut_and_proof() {
    let f = nut();
    let whole = plan(&f, &demo());
    let (full, widen) = (f.depth.to_mm(), whole.passes.last().expect("passes").side.to_mm());
    let tan = 15f64.to_radians().tan();
    // Limit of the pitch diameter: 0.05 above the aim, which is 0.025 of depth beyond a groove of the right width.
    let at_limit = full + widen / (2.0 * tan) + 0.025;
    let said = |depth: f64| {
        let job = cut_to(&f, depth);
        let cut = outcome(&f, &job);
        let proof = flankwise_bench::check::work(&f, cut.result.as_ref(), &job);
        let impossible = |notes: &[Note]| notes.iter().any(|n| n.kind == NoteKind::Impossible);
        (impossible(&cut.notes), impossible(&proof.notes), words(&cut.notes), words(&proof.notes))
    };
    let (cut, proof, ..) = said(at_limit - 0.02);
    assert!(!cut && !proof);
    let (cut, proof, told, saved) = said(at_limit + 0.4);
    assert!(cut && proof && told.contains("cut no more"), "{told}");
    assert!(saved.contains("Nothing is measured of it yet") && saved.contains("sleeve"), "{saved}");
    // Of passes that are done nobody is told to set them between divisions.
    assert!(!told.contains("between divisions"), "{told}");
}

#[test]
fn what_is_entered_at_the_lathe_is_held_against_what_can_be() {
    let f = nut();
    let mut job = demo();
    let whole = plan(&f, &job);
    job.done = whole.passes[..8].iter().map(tick).collect();
    let t = tool::work(&f, &job).result.expect("a tool");
    let entries = Entries::of(&f, &t, None, &job);
    let (reached, next) = (whole.passes[7].depth, whole.passes[8].depth);
    assert_eq!(entries.depth(next), Standing::Likely);
    assert_eq!(entries.depth(next + Length::mm(0.02)), Standing::Likely);
    assert_eq!(entries.depth(next * 2.0), Standing::Unlikely { told: next * 2.0, expected: next });
    for cannot in [reached - Length::mm(0.05), Length::mm(-1.0), Length::mm(12.7)] {
        let Standing::Impossible { from, to } = entries.depth(cannot) else { panic!("{cannot:?}") };
        // Between the groove as it is and the depth at which the bar would rub.
        assert_eq!((from, to), (reached, t.tip_length));
    }
    let left = whole.passes[7].deflection;
    let bottom = |off: f64| MadeReading {
        feature: MadeFeature::MajorDiameter,
        wire: None,
        ..reading(f.blank.aim + (reached - left + Length::mm(off)) * 2.0, 8)
    };
    assert_eq!(entries.reading(&bottom(0.0)), Standing::Likely);
    let Standing::Unlikely { told, expected } = entries.reading(&bottom(0.3)) else { panic!("a slip") };
    assert!((told - expected - Length::mm(0.3)).abs() < Length::um(0.1));
    for value in [-3.0, 0.0, 99.0] {
        let balls = reading(Length::mm(value), 8);
        assert!(matches!(entries.reading(&balls), Standing::Impossible { .. }), "{value}");
        let of_bottom = MadeReading { feature: MadeFeature::MajorDiameter, ..balls };
        let Standing::Impossible { from, to } = entries.reading(&of_bottom) else { panic!("{value}") };
        assert_eq!((from, to), (f.blank.aim, f.blank.aim + t.tip_length * 2.0));
    }
}

/// A pass set less deep than the groove cuts nothing: no load, and the spring is as it was.
#[test]
fn a_pass_less_deep_than_the_groove_changes_nothing() {
    let f = nut();
    let whole = plan(&f, &demo());
    let mut job = demo();
    job.done = whole.passes[..8].iter().map(tick).collect();
    let before = plan(&f, &job);
    job.done.push(Done { depth: whole.passes[7].depth - Length::mm(0.1), ..job.done[7] });
    let after = plan(&f, &job);
    let idle = &after.passes[8];
    assert_eq!((idle.kind, idle.force.to_newton(), idle.left), (PassKind::Idle, 0.0, whole.passes[7].left));
    assert_eq!(settings(&after.passes[9..]), settings(&before.passes[8..]));
}

#[test]
fn passes_that_cannot_have_been_are_left_out() {
    let f = nut();
    let whole = plan(&f, &demo());
    for (field, slip) in [
        ("depth", Done { depth: Length::mm(90.0), ..tick(&whole.passes[4]) }),
        ("side", Done { side: Length::mm(-50.0), ..tick(&whole.passes[4]) }),
        ("tip", Done { tip: Some(Length::mm(60.0)), ..tick(&whole.passes[4]) }),
        ("start", Done { start: 5, ..tick(&whole.passes[4]) }),
    ] {
        let mut job = demo();
        job.done = whole.passes[..4].iter().map(tick).chain([slip]).collect();
        let c = plan(&f, &job);
        assert_eq!(c.done, 4, "{field}");
        assert_eq!(settings(&c.passes), settings(&whole.passes), "{field}");
        let notes = told(&f, &job);
        assert!(notes.iter().any(|n| n.field == format!("done[5].{field}")), "{field}: {}", words(&notes));
    }
}

/// Two starts of 7 mm: a reading belongs to the start that was cut, and its notes name that start's passes.
#[test]
fn a_reading_belongs_to_its_start() {
    let f = fit("Tr 40x14(P7)", Element::Internal, 50.0);
    let ball = Length::mm(3.6);
    let mut job = demo();
    job.gauges.balls = vec![ball];
    let whole = plan(&f, &job);
    let of_start = |start: u32, n: usize| {
        whole.passes[..n].iter().map(move |p| Done { start, ..tick(p) }).collect::<Vec<_>>()
    };
    let n = whole.passes.len() - 3;
    job.done = of_start(1, n);
    // By hand: in the groove of one start the balls stand half a lead, 7 mm, apart along the axis.
    let c = plan(&f, &job);
    let (_, value) = c.reads_now[0];
    let groove = Groove::of(&f.thread);
    let d2 = c.reached.expect("a groove").pitch_diameter;
    let across = wires::between_balls_square(&groove, d2, ball).expect("a seat") + ball;
    assert!((value - (Length::mm(across.to_mm().hypot(7.0)) - ball)).abs() < Length::um(1.0), "{value:?}");
    job.done = of_start(1, whole.passes.len());
    job.done.extend(of_start(2, n));
    assert_eq!(settings(&plan(&f, &job).passes), settings(&whole.passes));
    job.made = vec![MadeReading { wire: Some(ball), ..reading(value + Length::mm(0.2), n as u32) }];
    assert_eq!(settings(&plan(&f, &job).passes), settings(&whole.passes), "of start 1");
    job.made[0].start = 2;
    assert_ne!(settings(&plan(&f, &job).passes), settings(&whole.passes), "of start 2");
    job.made.clear();
    let slip = job.done.len() - 1;
    job.done[slip].depth = f.depth + Length::mm(0.4);
    let notes = told(&f, &job);
    assert!(notes.iter().any(|m| m.field == format!("done[{}].depth", slip + 1)), "{}", words(&notes));
    assert!(words(&notes).contains(&format!("Pass {n} is written")), "{}", words(&notes));
}

#[test]
fn balls_that_never_serve_are_not_asked_for_nor_taken() {
    let f = nut();
    let mut job = demo();
    job.gauges.balls = vec![Length::mm(0.6), Length::mm(2.6)];
    let whole = plan(&f, &job);
    job.done = whole.passes[..22].iter().map(tick).collect();
    let c = plan(&f, &job);
    assert_eq!(c.reads_now.iter().map(|(ball, _)| ball.to_mm()).collect::<Vec<_>>(), [2.6]);
    let t = tool::work(&f, &job).result.expect("a tool");
    let entries = Entries::of(&f, &t, None, &job);
    let small = MadeReading { wire: Some(Length::mm(0.6)), ..reading(Length::mm(18.0), 22) };
    assert!(matches!(entries.reading(&small), Standing::Silent(_)), "{:?}", entries.reading(&small));
}

/// A first pass of a millimetre is no scratch.
#[test]
fn the_first_pass_is_looked_at_too() {
    let f = nut();
    let job = demo();
    let t = tool::work(&f, &job).result.expect("a tool");
    let entries = Entries::of(&f, &t, None, &job);
    assert_eq!(entries.depth(plan(&f, &job).passes[0].depth), Standing::Likely);
    assert!(matches!(entries.depth(Length::mm(1.5)), Standing::Unlikely { .. }));
}

/// Where side passes move the compound it is called its number again, and set back to zero for the next start.
#[test]
fn the_compound_gets_its_number_back() {
    let f = nut();
    let mut job = demo();
    job.cutting.infeed = Infeed::Radial;
    job.grind.tip_width = Some(Length::mm(1.4));
    let whole = plan(&f, &job);
    let n = whole.passes.iter().rposition(|p| p.kind == PassKind::Widening).expect("a side pass") + 1;
    job.done = whole.passes[..n].iter().map(tick).collect();
    let c = plan(&f, &job);
    let moved = &c.recovery.iter().find(|r| r.key == "moved").expect("a way out").steps;
    let shift =
        show::length_number(whole.passes[n - 1].axial_shift, flankwise_bench::report::Fine::Gauge, Unit::Mm);
    let said = moved.iter().map(|s| show::text(&s.text, Unit::Mm)).collect::<Vec<_>>().join("\n");
    assert!(said.contains(&format!("the compound {shift}")), "{said}");
}
