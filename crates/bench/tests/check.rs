//! The proof: limits by wires and balls, verdicts and advice, on whole jobs.

mod fit_support;

use fit_support::{demo, evidence, settled};
use flankwise_bench::check::{self, Check, Verdict};
use flankwise_bench::fit::{self, Fit};
use flankwise_bench::job::{CastMaterial, Instrument, Job, MadeFeature, MadeReading, ThreadCast};
use flankwise_bench::report::{Outcome, Value, show};
use flankwise_thread::wires::{self, Groove};
use flankwise_thread::{Angle, Element, Length, Unit};

fn fit_of(job: &Job) -> Fit {
    fit::work(&evidence(job, Length::um(10.0)), &settled("Tr 22x5"), job).result.unwrap()
}

fn proof(job: &Job) -> (Fit, Outcome<Check>) {
    let fit = fit_of(job);
    let outcome = check::work(&fit, None, job);
    (fit, outcome)
}

/// A pitch that is off by more than the gauge can be wrong by is doubtful, never "nothing is wrong".
#[test]
fn a_pitch_off_beyond_the_gauge_is_doubted() {
    let mut job = demo();
    let told = |job: &Job| {
        let (_, outcome) = proof(job);
        let check = outcome.result.unwrap();
        let judged = check.judged.last().unwrap().clone();
        (judged.verdict, judged.advice, judged.limits)
    };
    let over = |count: u32, mm: f64| MadeReading {
        count: Some(count),
        uncertainty: Some(Length::mm(0.05)),
        ..reading(MadeFeature::Pitch, mm)
    };
    job.made = vec![over(6, 30.12)];
    let (verdict, advice, limits) = told(&job);
    assert!(verdict != Verdict::Pass && !advice.contains("Nothing is wrong"), "{advice}");
    let Value::Band(min, max, _) = limits else { panic!("{limits:?}") };
    assert!(min < Length::mm(30.0) && max > Length::mm(30.0));
    job.made = vec![over(6, 30.02)];
    assert!(told(&job).1.contains("othing is wrong") || told(&job).0 == Verdict::Pass);
}

/// A screw to be made for a nut that was not measured: limits by the book.
fn screw_job() -> Job {
    let mut job = demo();
    job.readings.clear();
    job.make.part = Element::External;
    job.made.clear();
    job
}

fn reading(feature: MadeFeature, mm: f64) -> MadeReading {
    MadeReading {
        feature,
        value: Length::mm(mm),
        wire: None,
        instrument: Instrument::Micrometer,
        count: None,
        after: None,
        start: 1,
        uncertainty: None,
    }
}

fn over(mm: f64, wire: f64) -> MadeReading {
    MadeReading { wire: Some(Length::mm(wire)), ..reading(MadeFeature::OverWires, mm) }
}

#[test]
fn the_nut_is_proved_between_balls_by_exact_contact() {
    let (fit, outcome) = proof(&demo());
    let check = outcome.result.unwrap();
    let m = check.measures.iter().find(|m| m.feature == MadeFeature::OverWires).unwrap();
    let ball = m.wire.unwrap();
    assert!((ball.to_mm() - 2.6).abs() < 1e-9, "2.6 is nearest to P / (2 cos 15°) = 2.588");
    let groove = Groove::of(&fit.thread);
    for (read, d) in
        [(m.min, fit.pitch_diameter.min), (m.aim, fit.pitch_diameter.aim), (m.max, fit.pitch_diameter.max)]
    {
        let back = wires::pitch_diameter_from_balls(&groove, read, ball).unwrap();
        assert!((back - d).abs() < Length::um(0.001));
    }
    assert!(m.min < m.aim && m.aim < m.max);
    assert!((m.guard - m.u * 1.65).abs() < Length::um(1e-6));
}

#[test]
fn the_play_to_expect_follows_the_limits_of_the_pitch_diameter() {
    let (fit, outcome) = proof(&demo());
    let check = outcome.result.unwrap();
    let m = check.measures.iter().find(|m| m.feature == MadeFeature::Play).unwrap();
    // Play from pitch diameters: ΔD2 tan α; 0.10 mm gives 0.02679 mm for 30° (derived).
    let per = (m.max - m.aim) / (fit.pitch_diameter.max - fit.pitch_diameter.aim);
    assert!((per - 0.2679).abs() < 1e-4, "{per}");
    assert_eq!(m.aim, fit.play_range().unwrap().0);
}

#[test]
fn a_screw_is_proved_over_wires() {
    let job = screw_job();
    let (fit, outcome) = proof(&job);
    let check = outcome.result.unwrap();
    let m = check.measures.iter().find(|m| m.feature == MadeFeature::OverWires).unwrap();
    let back = wires::pitch_diameter_from_wires(&Groove::of(&fit.thread), m.max, m.wire.unwrap()).unwrap();
    assert!((back - fit.pitch_diameter.max).abs() < Length::um(0.001));
    // A micrometer alone is good to 2.3 µm; wires and flank angle add to that.
    assert!(m.u > Length::um(2.31) && m.u < Length::um(8.0), "{:?}", m.u);
    // Its outside and its core are measured too.
    for f in [MadeFeature::MajorDiameter, MadeFeature::MinorDiameter] {
        assert!(check.measures.iter().any(|m| m.feature == f));
    }
}

#[test]
fn wires_that_cannot_serve_are_named_with_those_to_get() {
    let mut job = screw_job();
    job.gauges.wires = vec![Length::mm(1.0), Length::mm(4.5)];
    let (_, outcome) = proof(&job);
    let need = outcome.needs.iter().find(|n| n.field == "gauges.wires").unwrap();
    for words in ["about 2.5", "1.00 mm lies below the crest", "4.50 mm rides on the edge"] {
        assert!(need.what.contains(words), "{}", need.what);
    }
}

#[test]
fn a_screw_is_judged_and_told_how_much_deeper() {
    let mut job = screw_job();
    let m = proof(&job).1.result.unwrap().measures;
    let m = m.iter().find(|m| m.feature == MadeFeature::OverWires).unwrap().clone();
    let wire = m.wire.unwrap().to_mm();
    let verdict = |job: &Job| proof(job).1.result.unwrap();

    job.made = vec![over(m.aim.to_mm(), wire)];
    assert_eq!(verdict(&job).verdict, Some(Verdict::Pass));

    // 0.2 over the largest: not there yet. The readout counts the diameter in steps of 0.005 mm.
    job.made = vec![over(m.max.to_mm() + 0.2, wire)];
    let v = verdict(&job);
    assert_eq!(v.verdict, Some(Verdict::Fail));
    assert!(v.judged[0].advice.starts_with("Not there yet"), "{}", v.judged[0].advice);

    job.made = vec![over(m.min.to_mm() - 0.05, wire)];
    let v = verdict(&job);
    assert_eq!(v.verdict, Some(Verdict::Fail));
    assert!(v.judged[0].advice.contains("metal cannot be put back"), "{}", v.judged[0].advice);

    job.made = vec![over(m.max.to_mm(), wire)];
    assert_eq!(verdict(&job).verdict, Some(Verdict::CannotTell));

    // Another wire than planned is judged by its own limits.
    let groove = Groove::of(&fit_of(&job).thread);
    let with_other = wires::over_wires(&groove, fit_of(&job).pitch_diameter.aim, Length::mm(2.7)).unwrap();
    job.made = vec![over(with_other.to_mm(), 2.7)];
    assert_ne!(verdict(&job).judged[0].verdict, Verdict::Fail);
}

#[test]
fn advice_speaks_in_the_readouts_terms() {
    let mut job = demo();
    let (fit, outcome) = proof(&job);
    let m =
        outcome.result.unwrap().measures.into_iter().find(|m| m.feature == MadeFeature::OverWires).unwrap();
    let short = Length::mm(0.1);
    job.made = vec![over((m.aim - short).to_mm(), m.wire.unwrap().to_mm())];
    let advice = proof(&job).1.result.unwrap().judged[0].advice.clone();
    // Over balls the diameter is short by 0.1 mm: 0.1 on a readout of the diameter, 0.05 on one of tool travel.
    if fit.bottom.max - fit.bottom.aim >= short {
        assert!(advice.contains("0.100 mm on the readout, which counts the diameter"), "{advice}");
    } else {
        assert!(
            advice.contains("0.027 mm along the axis") || advice.contains("0.03 mm along the axis"),
            "{advice}"
        );
    }
}

#[test]
fn a_bore_alone_does_not_prove_a_thread() {
    let mut job = demo();
    let fit = fit_of(&job);
    job.made = vec![MadeReading {
        uncertainty: Some(Length::um(2.0)),
        ..reading(MadeFeature::MinorDiameter, fit.blank.aim.to_mm())
    }];
    let check = proof(&job).1.result.unwrap();
    assert_eq!(check.judged[0].verdict, Verdict::Pass);
    assert_eq!(check.verdict, Some(Verdict::CannotTell));
    let answer = show::text(&check.section().answer, Unit::Mm);
    assert!(answer.contains("not proved yet"), "{answer}");
}

#[test]
fn a_reading_without_its_wire_says_so() {
    let mut job = demo();
    job.made = vec![reading(MadeFeature::OverWires, 16.0)];
    let check = proof(&job).1.result.unwrap();
    assert_eq!(check.judged[0].verdict, Verdict::CannotTell);
    assert!(check.judged[0].advice.contains("made.wire"));
}

#[test]
fn an_oversize_bore_cannot_be_saved_and_says_what_it_costs() {
    let mut job = demo();
    let fit = fit_of(&job);
    job.made = vec![reading(MadeFeature::MinorDiameter, fit.blank.max.to_mm() + 0.3)];
    let advice = proof(&job).1.result.unwrap().judged[0].advice.clone();
    assert!(advice.contains("0.150 mm off the thread's height of engagement"), "{advice}");
}

#[test]
fn square_threads_are_proved_by_play() {
    let mut job = screw_job();
    job.gauges.wires = vec![Length::mm(2.5)];
    let fit = fit::work(&evidence(&job, Length::um(10.0)), &settled("Sq 25x5"), &job).result.unwrap();
    let outcome = check::work(&fit, None, &job);
    assert!(!outcome.result.unwrap().measures.iter().any(|m| m.feature == MadeFeature::OverWires));
    assert!(outcome.notes.iter().any(|n| show::text(&n.text, Unit::Mm).contains("any height")));
}

#[test]
fn sections_are_well_formed() {
    for job in [demo(), screw_job()] {
        fit_support::well_formed(&proof(&job).1.result.unwrap().section());
    }
}

#[test]
fn a_nut_without_balls_and_mate_is_proved_by_a_plug() {
    let mut job = demo();
    job.readings.clear();
    job.gauges.balls.clear();
    job.made.clear();
    let answer = show::text(&proof(&job).1.result.unwrap().section().answer, Unit::Mm);
    assert!(answer.contains("with a plug to the sizes below"), "{answer}");
}

#[test]
fn an_aim_that_a_gauge_cannot_prove_is_said_before_the_cut() {
    // ISO 14253-1: what is read within the guard band of a limit proves nothing.
    let told = |job: &Job| {
        proof(job).1.notes.iter().any(|n| show::text(&n.text, Unit::Mm).contains("cannot prove the aim of"))
    };
    let mut job = demo();
    assert!(!told(&job));
    job.made.clear();
    job.gauges.instruments = vec![Instrument::Calliper];
    let (fit, outcome) = proof(&job);
    let bore = outcome
        .result
        .unwrap()
        .measures
        .into_iter()
        .find(|m| m.feature == MadeFeature::MinorDiameter)
        .unwrap();
    let outside = bore.aim < bore.min + bore.guard || bore.aim > bore.max - bore.guard;
    let hopeless = bore.guard * 2.0 >= bore.max - bore.min;
    assert!(fit.blank.aim > fit.blank.min);
    assert_eq!(told(&job), outside && !hopeless);
    // The same bore aimed at close to its least size.
    let mut near = fit;
    near.blank.aim = near.blank.min + Length::um(5.0);
    let outcome = check::work(&near, None, &job);
    assert!(
        outcome
            .notes
            .iter()
            .any(|n| show::text(&n.text, Unit::Mm).contains("cannot prove the aim of 17.005 mm"))
    );
}

/// The demo's nut with its bore measured as aimed, and a cast.
fn nut_with_a_cast(cast: ThreadCast) -> Job {
    let mut job = demo();
    job.made = vec![MadeReading {
        uncertainty: Some(Length::um(1.0)),
        ..reading(MadeFeature::MinorDiameter, fit_of(&job).blank.aim.to_mm())
    }];
    job.casts = vec![cast];
    job
}

fn cast() -> ThreadCast {
    ThreadCast {
        material: CastMaterial::Silicone,
        change: None,
        instrument: Instrument::Microscope,
        ridge: None,
        at: None,
        height: None,
        pitches: None,
        count: None,
        angle: None,
        uncertainty: Some(Length::um(2.0)),
    }
}

/// By hand, ISO 2904's flanks of 15°: at the diameter D the groove of a nut is P/2 − (D − D2) tan 15° wide. Silicone is
/// taken 0.1 % smaller than its mould.
#[test]
fn the_ridge_of_a_cast_proves_the_pitch_diameter() {
    let fit = fit_of(&demo());
    let (bore, aim) = (fit.blank.aim, fit.pitch_diameter.aim);
    let ridge_at = |up: f64, d2: Length| {
        let wide = 2.5 - (bore.to_mm() + 2.0 * up - d2.to_mm()) * 15f64.to_radians().tan();
        Length::mm(wide * 0.999)
    };
    let verdict = |d2: Length| {
        let (ridge, at) = (Some(ridge_at(1.2, d2)), Some(Length::mm(1.2 * 0.999)));
        let check = proof(&nut_with_a_cast(ThreadCast { ridge, at, ..cast() })).1.result.unwrap();
        (check.judged[1].verdict, check.judged[1].advice.clone(), check.verdict)
    };
    let tolerance = fit.pitch_diameter.max - fit.pitch_diameter.min;
    assert!(tolerance > Length::um(60.0), "wide enough to prove with 2 µm at the microscope: {tolerance:?}");
    let (middle, advice, whole) = verdict((fit.pitch_diameter.min + fit.pitch_diameter.max) * 0.5);
    assert_eq!((middle, whole), (Verdict::Pass, Some(Verdict::Pass)), "{advice}");
    let (small, advice, _) = verdict(fit.pitch_diameter.min - Length::mm(0.1));
    assert_eq!(small, Verdict::Fail);
    assert!(advice.contains("Pitch diameter") && advice.contains("go in"), "{advice}");
    let (at_limit, ..) = verdict(fit.pitch_diameter.max);
    assert_eq!(at_limit, Verdict::CannotTell);
    let (large, advice, _) = verdict(fit.pitch_diameter.max + Length::mm(0.2));
    assert_eq!(large, Verdict::Fail);
    assert!(advice.contains("metal cannot be put back"), "{advice}");
    assert!(aim > bore);
}

/// A cast of a known thread beside it replaces the material's change of size.
#[test]
fn a_known_thread_tells_the_change_of_a_cast() {
    let eight = |change, pitches| {
        let cast = ThreadCast { change, pitches: Some(Length::mm(pitches)), count: Some(8), ..cast() };
        proof(&nut_with_a_cast(cast)).1.result.unwrap().judged[1].clone()
    };
    // 40 mm shrunk by 1 %: out of pitch as silicone goes, right where the known thread beside it shrank as much.
    assert_eq!(eight(None, 39.6).verdict, Verdict::Fail);
    assert_ne!(eight(Some(-1.0), 39.6).verdict, Verdict::Fail);
    assert_eq!(eight(None, 39.6).what, "8 pitches of the cast");
}

#[test]
fn flanks_and_bottom_of_a_cast_are_judged() {
    let fit = fit_of(&demo());
    let judged = |cast| proof(&nut_with_a_cast(cast)).1.result.unwrap().judged[1].clone();
    let angle = |deg: f64| judged(ThreadCast { angle: Some(Angle::deg(deg)), ..cast() });
    assert_eq!(angle(30.0).verdict, Verdict::Pass, "{}", angle(30.0).advice);
    assert_eq!(angle(42.0).verdict, Verdict::Fail);
    assert!(angle(42.0).advice.contains("bears at one end"), "{}", angle(42.0).advice);
    let depth = |d4: Length| Some((d4 - fit.blank.aim) * 0.5 * 0.999);
    let height = |d4| judged(ThreadCast { height: depth(d4), ..cast() });
    assert_eq!(height(fit.bottom.min - Length::mm(0.3)).verdict, Verdict::Fail);
    assert!(height(fit.bottom.min - Length::mm(0.3)).advice.contains("with the threading tool"));
    let middle = height((fit.bottom.min + fit.bottom.max) * 0.5);
    assert_ne!(middle.verdict, Verdict::Fail, "{}", middle.advice);
}

/// A nut that is pressed in is proved twice: out of its housing with the play that pressing takes on top, and in it.
#[test]
fn a_pressed_nut_is_proved_before_and_after() {
    let mut job = demo();
    job.make.body.fit = flankwise_bench::iso286::Fits::read("H7/s6").ok();
    let (fit, outcome) = proof(&job);
    let pressed = fit.pressed.unwrap();
    let check = outcome.result.unwrap();
    let of = |f| check.measures.iter().find(|m| m.feature == f).unwrap();
    let (before, after) = (of(MadeFeature::Play), of(MadeFeature::PlayInPlace));
    assert_eq!(before.aim, fit.play_range().unwrap().0 + pressed.takes.1);
    assert!((before.max - after.max - pressed.takes.0).abs() < Length::um(1e-6));
    assert!((before.min - after.min - pressed.takes.1).abs() < Length::um(1e-6));
    let bore = of(MadeFeature::BoreInPlace);
    assert!((fit.blank.max - bore.max - pressed.closing.0).abs() < Length::um(1e-6));
    // What was read in the housing is judged by what is left there.
    let read = |feature, value: Length| {
        let mut job = job.clone();
        job.made = vec![reading(feature, value.to_mm())];
        job.made[0].instrument = Instrument::Indicator;
        let check = proof(&job).1.result.unwrap();
        (check.judged[0].verdict, check.judged[0].advice.clone())
    };
    let (verdict, advice) = read(MadeFeature::PlayInPlace, Length::ZERO);
    assert!(verdict != Verdict::Pass, "{advice}");
    let (verdict, advice) = read(MadeFeature::BoreInPlace, bore.min - Length::mm(0.3));
    assert!(verdict == Verdict::Fail && advice.contains("ease the body"), "{advice}");
    // A nut that slides in has no such reading to judge.
    job.make.body.fit = None;
    job.made = vec![reading(MadeFeature::BoreInPlace, 17.0)];
    let check = proof(&job).1.result.unwrap();
    assert_eq!(check.judged[0].verdict, Verdict::CannotTell);
    assert!(check.judged[0].advice.contains("make.body.fit"), "{}", check.judged[0].advice);
}

/// Numbers that no nut of this size can give are read again, not judged, and nothing is made of them.
#[test]
fn a_reading_that_cannot_be_is_asked_again() {
    let told = |made: MadeReading| {
        let mut job = demo();
        job.made = vec![made];
        let check = proof(&job).1.result.unwrap();
        (check.judged[0].verdict, check.judged[0].advice.clone(), check.judged[0].spoiled)
    };
    for made in [
        // Balls of 2.6 mm in a bore of 17 mm leave 11.8 mm between them at the very least.
        over(5.0, 2.6),
        // More play than half a pitch, and the ridge would be gone.
        reading(MadeFeature::Play, 9.0),
        reading(MadeFeature::MinorDiameter, 40.0),
        MadeReading { count: Some(5), ..reading(MadeFeature::Pitch, 39.96) },
    ] {
        let (verdict, advice, spoiled) = told(made);
        assert_eq!((verdict, spoiled), (Verdict::CannotTell, false), "{advice}");
        assert!(advice.starts_with("This cannot be: "), "{advice}");
    }
    let (_, advice, _) = told(MadeReading { count: Some(5), ..reading(MadeFeature::Pitch, 39.96) });
    assert!(advice.contains("about 8 pitches"), "{advice}");
    for cast in [
        ThreadCast { ridge: Some(Length::mm(24.3)), at: Some(Length::mm(1.2)), ..cast() },
        ThreadCast { pitches: Some(Length::mm(39.96)), count: Some(5), ..cast() },
        ThreadCast { height: Some(Length::mm(30.0)), ..cast() },
    ] {
        let judged = proof(&nut_with_a_cast(cast)).1.result.unwrap().judged[1].clone();
        assert_eq!(judged.verdict, Verdict::CannotTell, "{}", judged.advice);
        assert!(judged.advice.starts_with("This cannot be: "), "{}", judged.advice);
    }
}

/// A ridge is thicker towards its foot: without a height it tells nothing; half way up a lower ridge it is thicker.
#[test]
fn a_ridge_without_its_height_is_asked_for_it() {
    let fit = fit_of(&demo());
    let judged = |cast| proof(&nut_with_a_cast(cast)).1.result.unwrap().judged[1].clone();
    let told = judged(ThreadCast { ridge: Some(Length::mm(2.5)), ..cast() });
    assert_eq!(told.verdict, Verdict::CannotTell);
    assert!(told.advice.contains("(at)"), "{}", told.advice);
    // By hand: 2.4 mm high, so read 1.2 mm up, where the groove of the aim is P/2 − (D − D2) tan 15° wide.
    let wide =
        2.5 - (fit.blank.aim.to_mm() + 2.4 - fit.pitch_diameter.aim.to_mm()) * 15f64.to_radians().tan();
    let (ridge, height) = (Some(Length::mm(wide * 0.999)), Some(Length::mm(2.4 * 0.999)));
    let told = judged(ThreadCast { ridge, height, ..cast() });
    assert_ne!(told.verdict, Verdict::Fail, "{}", told.advice);
}

/// Balls that put the pitch diameter at its aim and a play of 0.30 mm cannot both be right.
#[test]
fn readings_that_contradict_each_other_are_named() {
    let mut job = demo();
    let (_, outcome) = proof(&job);
    let aim = |f: MadeFeature| {
        outcome.result.as_ref().unwrap().measures.iter().find(|m| m.feature == f).unwrap().clone()
    };
    let balls = aim(MadeFeature::OverWires);
    let told = |job: &Job| {
        let notes = proof(job).1.notes;
        notes.iter().map(|n| show::text(&n.text, Unit::Mm)).collect::<Vec<_>>().join("\n")
    };
    job.made = vec![over(balls.aim.to_mm(), balls.wire.unwrap().to_mm()), reading(MadeFeature::Play, 0.30)];
    assert!(told(&job).contains("do not agree"), "{}", told(&job));
    job.made[1].value = aim(MadeFeature::Play).aim;
    assert!(!told(&job).contains("do not agree"), "{}", told(&job));
}

#[test]
fn a_part_that_no_cut_mends_is_said_to_be_lost_first() {
    let mut job = demo();
    let fit = fit_of(&job);
    job.made = vec![reading(MadeFeature::MinorDiameter, fit.blank.max.to_mm() + 0.3)];
    let outcome = proof(&job).1;
    assert!(outcome.impossible());
    let answer = show::text(&outcome.result.unwrap().section().answer, Unit::Mm);
    assert!(answer.contains("metal cannot be put back"), "{answer}");
    // One that is only not there yet is not.
    job.made = vec![reading(MadeFeature::MinorDiameter, fit.blank.min.to_mm() - 0.3)];
    assert!(!proof(&job).1.impossible());
}

/// With the bottom at its limit no depth is left, whatever the plan had in hand.
#[test]
fn the_depth_left_is_counted_from_the_bottom_that_is_there() {
    let mut job = demo();
    let (fit, outcome) = proof(&job);
    let m =
        outcome.result.unwrap().measures.into_iter().find(|m| m.feature == MadeFeature::OverWires).unwrap();
    job.made = vec![
        reading(MadeFeature::MajorDiameter, fit.bottom.max.to_mm()),
        over(m.aim.to_mm() - 0.06, m.wire.unwrap().to_mm()),
    ];
    let judged = proof(&job).1.result.unwrap().judged;
    assert!(judged[1].advice.contains("the depth is used up"), "{}", judged[1].advice);
    // And with the flanks at theirs the tool for the thread does not go in for the bottom's sake.
    job.made = vec![
        reading(MadeFeature::MajorDiameter, fit.bottom.min.to_mm() - 0.3),
        over(m.max.to_mm() + 0.05, m.wire.unwrap().to_mm()),
    ];
    let judged = proof(&job).1.result.unwrap().judged;
    assert!(judged[0].advice.contains("a narrower tool"), "{}", judged[0].advice);
}

/// A square thread is proved by the width of its groove: by hand P/2 and the play, 0.015 mm to either side (chosen here).
#[test]
fn a_square_nut_is_proved_by_the_width_of_its_groove() {
    let text = r#"
job = "A square nut (invented)"
unit = "mm"
[observed]
hand = "right"
starts = 1
form = "square"
[identity]
thread = "Sq 38x8"
[[reading]]
part = "screw"
feature = "major diameter"
value = "38 mm"
instrument = "micrometer"
[[reading]]
part = "screw"
feature = "thread thickness"
value = "4 mm"
instrument = "micrometer"
[make]
part = "nut"
length = "50 mm"
through = true
material = "bronze-c93200"
"#;
    let with = |made: &str| {
        let job = flankwise_bench::job::read(&format!("{text}{made}")).unwrap_or_else(|p| panic!("{p:?}"));
        let whole = flankwise_bench::work(&job);
        (whole.fit.result.expect("sizes"), whole.check.result.expect("a proof"))
    };
    let (fit, check) = with("");
    let m = check.measures.iter().find(|m| m.feature == MadeFeature::GrooveWidth).expect("its width");
    assert!((m.aim - fit.groove_bottom_width).abs() < Length::um(1e-3));
    assert_eq!((m.min, m.max), (fit.groove.min, fit.groove.max));
    assert!(m.max - m.min > Length::mm(0.01), "{m:?}");
    let judged = |width: Length| {
        let made = format!(
            "[[made]]\nfeature = \"groove width\"\nvalue = \"{:.4} mm\"\ninstrument = \"pins\"\nuncertainty = \"0.002 mm\"\n",
            width.to_mm()
        );
        with(&made).1.judged[0].clone()
    };
    assert_eq!(judged(m.aim).verdict, Verdict::Pass);
    let wide = judged(m.max + Length::mm(0.1));
    assert!(wide.spoiled && wide.advice.contains("ridge thicker"), "{}", wide.advice);
    let narrow = judged(m.min - Length::mm(0.1));
    assert!(!narrow.spoiled && narrow.advice.contains("along the axis"), "{}", narrow.advice);
    // Its cast has ridges as thick, 0.1 % smaller in silicone.
    let cast = format!(
        "[[cast]]\nmaterial = \"silicone\"\nridge = \"{:.4} mm\"\nuncertainty = \"0.001 mm\"\n",
        m.aim.to_mm() * 0.999
    );
    assert_eq!(with(&cast).1.judged[0].verdict, Verdict::Pass, "{}", with(&cast).1.judged[0].advice);
}
