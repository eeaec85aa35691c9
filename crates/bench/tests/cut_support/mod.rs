//! Sizes and jobs built by hand, so that the tests of tool and cut stand without the stages before them.

#![allow(dead_code, reason = "each test binary uses a part of it")]

use flankwise_bench::fit::{Engaged, Fit, Making, Size};
use flankwise_bench::job::{self, Bar, BarMaterial, BarShape, Job};
use flankwise_thread::{Element, Length, Thread};

/// A size with so much tolerance on both sides.
pub fn size(aim: Length, tolerance: f64) -> Size {
    Size { aim, min: aim - Length::mm(tolerance), max: aim + Length::mm(tolerance) }
}

/// Sizes at the family's basic ones, the nut's or the screw's.
pub fn fit(designation: &str, part: Element, length: f64) -> Fit {
    let thread: Thread = designation.parse().unwrap_or_else(|e| panic!("{e}"));
    let basic = thread.basic();
    let tan = 0.5 * (basic.flank_leading.tan() + basic.flank_trailing.tan());
    let (blank, bottom) = match part {
        Element::Internal => (basic.d1_internal, basic.d4_internal),
        Element::External => (basic.d, basic.d3),
    };
    let depth = (blank - bottom).abs() * 0.5;
    let bottom_width = match part {
        Element::Internal => basic.root_width_internal,
        Element::External => basic.root_width,
    };
    Fit {
        book: None,
        part,
        making: Making::default(),
        blank: Size { aim: blank, min: blank, max: blank },
        bottom: size(bottom, 0.05),
        pitch_diameter: size(basic.d2, 0.05),
        groove: size(bottom_width + (basic.d2 - bottom).abs() * tan, 0.02),
        depth,
        groove_bottom_width: bottom_width,
        groove_top_width: bottom_width + depth * (2.0 * tan),
        length: Length::mm(length),
        engaged: Engaged {
            shortest: Length::mm(length),
            longest: Length::mm(length),
            carries: Length::mm(length),
        },
        through: false,
        relief: Some(Length::mm(8.0)),
        relief_diameter: None,
        material: match part {
            Element::Internal => "bronze-c93200",
            Element::External => "steel-mild",
        },
        travel: Vec::new(),
        travelled: None,
        expected: None,
        mate_wear: None,
        overload: None,
        lead_not_counted: false,
        beware: Vec::new(),
        pressed: None,
        stations: Vec::new(),
        body: None,
        keyways: Vec::new(),
        steps: Vec::new(),
        opened: None,
        stock: None,
        operations: Vec::new(),
        engagement: basic.p * 0.5,
        detail: Vec::new(),
        thread,
    }
}

/// The first demo job, before anything of its part was made and measured.
pub fn demo() -> Job {
    read(include_str!("../../../../demo/board-shear.toml")).as_before_the_cut()
}

/// The second demo job: inches, left-hand, modified flank.
pub fn press() -> Job {
    read(include_str!("../../../../demo/proof-press.toml"))
}

fn read(text: &str) -> Job {
    job::read(text).unwrap_or_else(|problems| panic!("{problems:?}"))
}

/// A round bar of steel.
pub fn round(size: Length, length: f64) -> Bar {
    Bar::plain(BarShape::Round, size, Some(Length::mm(length)), BarMaterial::Steel)
}
