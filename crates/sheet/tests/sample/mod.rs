//! Jobs to draw: the demo jobs of this repository, with stage results made by hand where a test needs a special
//! case. All of it is invented.

#![allow(dead_code)] // each test file uses its own share

use flankwise_bench::Whole;
use flankwise_bench::fit::{Engaged, Fit, Making, Size, Spot, Station, Travelled};
use flankwise_bench::identity::{Candidate, Identity, StoryVerdict};
use flankwise_bench::job::{Job, read};
use flankwise_bench::report::Text;
use flankwise_bench::report::{Outcome, Step};
use flankwise_bench::setup::{HalfNuts, Room, Setup, Stakes, Train};
use flankwise_bench::tool::Tool;
use flankwise_thread::{Angle, Element, Family, Length, Pitch, Thread, Unit};

/// A nut for a worn screw, in millimetres.
pub fn demo() -> Job {
    read(include_str!("../../../../demo/board-shear.toml")).expect("the demo job reads")
}

/// A left-hand nut, in inches.
pub fn inch_demo() -> Job {
    read(include_str!("../../../../demo/proof-press.toml")).expect("the demo job reads")
}

fn mm(v: f64) -> Length {
    Length::mm(v)
}

fn size(aim: f64, min: f64, max: f64) -> Size {
    Size { aim: mm(aim), min: mm(min), max: mm(max) }
}

/// Tr 22x5, as one would make the nut for a screw worn to a pitch diameter of 18.83 in mid-travel.
pub fn nut_fit() -> Fit {
    let thread = Thread::new(Family::MetricTrapezoidal, mm(22.0), Unit::Mm, Pitch::mm(5.0));
    fit(thread, Element::Internal, [17.05, 22.5, 19.434], 1.5)
}

/// Sizes for any thread: blank, bottom, pitch diameter in mm.
pub fn fit(thread: Thread, part: Element, [blank, bottom, d2]: [f64; 3], groove: f64) -> Fit {
    let basic = thread.basic();
    let t15 = Angle::deg(15.0).tan();
    let station = |place: f64, mate: f64| {
        // Flanks of 15 degrees stand for all forms here: these jobs only have to be drawn.
        let thin = if part == Element::Internal { basic.d2.to_mm() - mate } else { mate - basic.d2.to_mm() };
        let gap = if part == Element::Internal { d2 - mate } else { mate - d2 };
        Station {
            place: mm(place),
            mate_pitch_diameter: mm(mate),
            u: mm(0.01),
            thickness: basic.p * 0.5 - mm(thin * t15),
            u_play: mm(0.004),
            play: mm(gap * t15),
            play_by_book: Some(mm((gap + 0.34) * t15)),
        }
    };
    let s = if part == Element::Internal { -1.0 } else { 1.0 };
    let spot = |(from, left, right): (f64, f64, f64)| Spot {
        from: mm(from),
        to: mm(from + 44.0),
        left: mm(left),
        left_at: mm(from),
        right: mm(right),
        right_at: mm(from + 44.0),
        u: mm(0.004),
        open_at: mm(from),
        u_lead: Length::ZERO,
    };
    Fit {
        thread,
        part,
        making: Making::default(),
        book: None,
        blank: size(blank, blank - 0.03, blank + 0.05),
        bottom: size(bottom, bottom - 0.02, bottom + 0.3),
        pitch_diameter: size(d2, d2 - 0.02, d2 + 0.03),
        groove: size(groove + 0.3, groove + 0.28, groove + 0.33),
        depth: mm((bottom - blank).abs() / 2.0),
        groove_bottom_width: mm(groove),
        groove_top_width: mm(groove + (bottom - blank).abs() * t15),
        length: mm(44.0),
        through: false,
        relief: Some(mm(8.0)),
        relief_diameter: Some(mm(bottom + 0.8)),
        material: "bronze-c93200",
        stations: vec![
            station(20.0, d2 + s * 0.1495),
            station(180.0, d2 + s * 0.5995),
            station(330.0, d2 + s * 0.2095),
        ],
        engaged: Engaged { shortest: mm(44.0), longest: mm(44.0), carries: mm(44.0) },
        keyways: Vec::new(),
        steps: Vec::new(),
        opened: None,
        travelled: Some(Travelled {
            tightest: spot((20.0, 0.02, 0.02)),
            loosest: spot((160.0, 0.08, 0.06)),
            play: (mm(0.04), mm(0.14)),
            by_book: Some((mm(0.05), mm(0.13))),
        }),
        travel: [(20.0, 0.02, 0.02), (100.0, 0.05, 0.04), (160.0, 0.08, 0.06), (286.0, 0.03, 0.02)]
            .map(spot)
            .to_vec(),
        expected: None,
        mate_wear: None,
        overload: None,
        lead_not_counted: false,
        beware: Vec::new(),
        pressed: None,
        body: Some(size(35.992, 35.984, 36.0)),
        stock: Some((mm(60.0), mm(56.0))),
        operations: vec![Step { text: "Face, centre and drill.".into(), ..Step::default() }],
        engagement: mm(2.5),
        detail: Vec::new(),
    }
}

/// A whole in which every stage still waits for its inputs.
pub fn empty() -> Whole {
    fn none<T>() -> Outcome<T> {
        Outcome::missing("reading", "waits for the first reading")
    }
    Whole {
        evidence: none(),
        identity: none(),
        fit: none(),
        as_made: None,
        route: none(),
        tool: none(),
        setup: none(),
        cut: none(),
        check: none(),
    }
}

/// A ranking by hand: the truth, the owner's story, and a rival.
pub fn identity() -> Identity {
    let candidate = |thread: Thread, probability: f64| Candidate {
        thread,
        also: Vec::new(),
        listed: true,
        probability,
        voices: Vec::new(),
        nearest: Vec::new(),
    };
    let truth = Thread::new(Family::MetricTrapezoidal, mm(22.0), Unit::Mm, Pitch::mm(5.0));
    let told = Thread::new(Family::Acme, Length::inch(0.875), Unit::Inch, Pitch::tpi(5.0));
    Identity {
        candidates: vec![candidate(truth.clone(), 0.96), candidate(told.clone(), 0.02)],
        other_probability: 0.01,
        considered: 1000,
        left_out: 0.0,
        rivals: Vec::new(),
        next: Vec::new(),
        advice: None,
        story: Some(StoryVerdict {
            told: "7/8-5 Acme, right-hand".to_owned(),
            thread: Some(told),
            stands: Some(false),
            reasons: vec!["twelve pitches measure 60.1 mm, not 61.0".to_owned()],
        }),
        thread: truth,
        chosen_by_hand: false,
    }
}

/// The tool for [`nut_fit`], its tip ground to 1.46 mm, with no bar on hand.
pub fn tool() -> Tool {
    let mut job = demo();
    job.bars.clear();
    job.grind.tip_width = Some(mm(1.46));
    let tool = flankwise_bench::tool::work(&nut_fit(), &job).result.expect("a tool");
    Tool { tip_length: mm(3.4), ..tool }
}

/// A setup by hand, with a compound train.
pub fn setup() -> Setup {
    Setup {
        trains: vec![Train {
            drivers: vec![50, 40],
            driven: vec![80, 20],
            idlers: Vec::new(),
            layout: None,
            gearbox: None,
            lead: mm(5.0),
            error_ppm: 0.0,
            meshes: true,
            why_not: Text::new(),
        }],
        searched: 1,
        error_over_length: Some(Length::ZERO),
        stakes: Stakes { engaged: mm(44.0), binds: 1e-3 },
        half_nuts: HalfNuts::KeepClosed,
        next_start: None,
        rpm: Some(70.0),
        rpm_surface: 290.0,
        rpm_reaction: Some(90.0),
        room: Room::Known(mm(4.0)),
        overrun: Some(mm(3.0)),
        runs_back: true,
        cut_outwards: false,
        detail: Vec::new(),
    }
}
