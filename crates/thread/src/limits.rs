//! Limits of size by tolerance class, each with its origin.

mod between;

pub use between::between;

use crate::family::Ridge;
use crate::family::bounds::{Origins, bounds};
use crate::{Length, Source, Thread};
use std::fmt;

/// Which of the two mating threads.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Element {
    /// Screw.
    External,
    /// Nut.
    Internal,
}

/// How a computed limit becomes the limit of the standard.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Rounding {
    /// Stands as printed, or is not rounded.
    Exact,
    /// To 0.001 mm, halves upwards.
    Micrometre,
    /// To 0.001 mm, halves to the even digit.
    MicrometreToEven,
    /// To 0.001 in, halves upwards.
    Thousandth,
    /// To 0.0001 in, halves upwards.
    TenThousandth,
    /// To 0.01 mm, halves upwards.
    Hundredth,
}

impl Rounding {
    /// How a limit was rounded, in words; empty where it was not.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Exact => "",
            Self::Micrometre => "to 0.001 mm, halves up",
            Self::MicrometreToEven => "to 0.001 mm, halves to even",
            Self::Thousandth => "to 0.001 in, halves up",
            Self::TenThousandth => "to 0.0001 in, halves up",
            Self::Hundredth => "to 0.01 mm, halves up",
        }
    }
}

/// What a figure beside the three diameters is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum ExtraKind {
    /// Radius at the root.
    RootRadius,
    /// Radius at the crest.
    CrestRadius,
    /// Radial room between the crest of this element and the root of its mate.
    CrestClearance,
    /// Radial depth over which the flanks of screw and nut lie against each other.
    Engagement,
    /// Length along the axis over which screw and nut engage, for which the classes are meant.
    LengthOfEngagement,
    /// What the pitch diameters of screw and nut leave between them, on diameter.
    PitchClearance,
    /// Play along the axis that the pitch diameters leave.
    AxialPlay,
    /// Distance along the axis from the end of the part to the gauge plane.
    GaugeLength,
    /// Pitch diameter at the small end of a taper screw.
    EndPitchDiameter,
    /// Depth of a 45° chamfer of the crest's corners.
    CrestChamfer,
    /// Length of thread that must be there, from the end of the part.
    UsefulThread,
    /// Diameter of the groove at the end of a screw's thread, its largest.
    UndercutDiameter,
    /// Radius in that groove.
    UndercutRadius,
    /// Width of the flat at the crest.
    CrestFlat,
    /// Width of the flat at the root.
    RootFlat,
}

impl ExtraKind {
    /// Whether it lies between screw and nut, so that it follows from the limits of both ([`between`]).
    pub const fn is_between(self) -> bool {
        matches!(self, Self::CrestClearance | Self::Engagement | Self::PitchClearance | Self::AxialPlay)
    }
    /// Stable key of a further figure, as in `--json`.
    pub const fn key(self) -> &'static str {
        match self {
            Self::RootRadius => "root_radius",
            Self::CrestRadius => "crest_radius",
            Self::CrestClearance => "crest_clearance",
            Self::Engagement => "engagement",
            Self::LengthOfEngagement => "length_of_engagement",
            Self::PitchClearance => "pitch_clearance",
            Self::AxialPlay => "axial_play",
            Self::GaugeLength => "gauge_length",
            Self::EndPitchDiameter => "end_pitch_diameter",
            Self::CrestChamfer => "crest_chamfer",
            Self::UsefulThread => "useful_thread",
            Self::UndercutDiameter => "undercut_diameter",
            Self::UndercutRadius => "undercut_radius",
            Self::CrestFlat => "crest_flat",
            Self::RootFlat => "root_flat",
        }
    }
    /// What it is, in words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::RootRadius => "radius at the root",
            Self::CrestRadius => "radius at the crest",
            Self::CrestClearance => "radial room over the crest",
            Self::Engagement => "radial depth of flank in flank",
            Self::LengthOfEngagement => "length of engagement that the classes are for",
            Self::PitchClearance => "clearance of the pitch diameters",
            Self::AxialPlay => "play along the axis",
            Self::GaugeLength => "end of the part to the gauge plane",
            Self::EndPitchDiameter => "pitch diameter at the small end",
            Self::CrestChamfer => "chamfer of the crest at 45°",
            Self::UsefulThread => "useful thread from the end",
            Self::UndercutDiameter => "diameter of an undercut",
            Self::UndercutRadius => "radius of an undercut",
            Self::CrestFlat => "flat at the crest",
            Self::RootFlat => "flat at the root",
        }
    }
}

/// A figure beside the three diameters.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Extra {
    /// Whose; `None` where it is of the pair.
    pub element: Option<Element>,
    /// What it is of.
    pub what: ExtraKind,
    /// Its bounds.
    pub range: Range,
}

/// One diameter's limits. A side that the standard leaves open is `None`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    /// Largest permitted.
    pub max: Option<Length>,
    /// Smallest permitted.
    pub min: Option<Length>,
    /// Where the figures come from.
    pub source: Source,
    /// How they were rounded.
    pub rounding: Rounding,
}

impl Range {
    /// Both limits.
    pub(crate) fn both(max: Length, min: Length, source: Source) -> Self {
        Self { max: Some(max), min: Some(min), source, rounding: Rounding::Exact }
    }
    /// A largest size, the smallest left open.
    pub(crate) fn at_most(max: Length, source: Source) -> Self {
        Self { max: Some(max), min: None, source, rounding: Rounding::Exact }
    }
    /// A smallest size, the largest left open.
    pub(crate) fn at_least(min: Length, source: Source) -> Self {
        Self { max: None, min: Some(min), source, rounding: Rounding::Exact }
    }
    /// Neither side given.
    pub(crate) fn open(source: Source) -> Self {
        Self { max: None, min: None, source, rounding: Rounding::Exact }
    }
    /// The same, rounded by a rule.
    pub(crate) fn rounded(self, rounding: Rounding) -> Self {
        Self { rounding, ..self }
    }
    /// Whether `size` lies within; open sides allow everything.
    pub fn contains(&self, size: Length) -> bool {
        self.max.is_none_or(|max| size <= max) && self.min.is_none_or(|min| size >= min)
    }
}

/// Limits of one element in one class.
#[derive(Clone, Debug, PartialEq)]
pub struct ElementLimits {
    /// Which element.
    pub element: Element,
    /// Class used, as its standard writes it.
    pub class: String,
    /// Major diameter.
    pub major: Range,
    /// Pitch diameter.
    pub pitch: Range,
    /// Minor diameter.
    pub minor: Range,
}

/// Limits of a thread: of both elements, unless the designation names the class of one only.
#[derive(Clone, Debug, PartialEq)]
pub struct Limits {
    /// The external thread's.
    pub external: Option<ElementLimits>,
    /// The internal thread's.
    pub internal: Option<ElementLimits>,
    /// Figures beside the diameters.
    pub extras: Vec<Extra>,
    /// Warnings that travel with the result: sizes by formula outside the standard's series, a use that the
    /// standard excludes.
    pub warnings: Vec<String>,
}

/// Why there are no limits.
#[derive(Clone, Debug, PartialEq)]
pub struct LimitsError {
    /// What was asked.
    pub asked: String,
    /// What would be accepted.
    pub expected: String,
}

impl fmt::Display for LimitsError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "no limits for {}: expected {}", self.asked, self.expected)
    }
}

impl std::error::Error for LimitsError {}

/// Limits of `thread`, in the classes that it names or else in its family's default classes.
///
/// A thread that names the class of one element gets the limits of that element only; one that names none gets both.
/// Each limit says where it comes from and how it was rounded; the figure is that of the standard, rounded as the
/// standard rounds, so that nothing downstream rounds it again but for display.
///
/// Beside the diameters stand the figures that the family's standard gives ([`Form::extras`]) and those that follow
/// from the limits: what screw and nut leave between them ([`between`]), and the flats at crest and root of threads that
/// are not V-shaped. What follows from a recalled limit is marked as recalled.
///
/// A size that the standard does not list is computed with its formulas, or the tables' ranges, and warned of; so is a
/// use that the standard excludes, and a pitch so fine that the tolerances use up the thread.
///
/// ```
/// use flankwise_thread::{Thread, limits::limits};
/// let thread: Thread = "Tr 22x5-7e".parse()?;
/// let screw = limits(&thread)?.external.expect("the class of a screw is named");
/// assert_eq!(screw.pitch.max.map(|max| max.to_mm()), Some(19.394));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// Where a class is not one of the family's; the error lists those that are.
///
/// [`Form::extras`]: crate::family::Form::extras
pub fn limits(thread: &Thread) -> Result<Limits, LimitsError> {
    let form = thread.family.form();
    let mut limits = form.limits(thread)?;
    let flat = matches!(form.ridge(), Ridge::FlatTopped | Ridge::Sawtooth | Ridge::Square);
    for element in [&limits.external, &limits.internal].into_iter().flatten() {
        limits.extras.extend(form.extras(thread, element.element));
        if flat {
            limits.extras.extend(between::flats(thread, element));
        }
    }
    let between = between(thread, &limits);
    limits.extras.extend(between);
    let ridges = |limits: &ElementLimits| {
        let falls = |outer: Option<Length>, inner: Option<Length>| match (outer, inner) {
            (Some(outer), Some(inner)) => outer > inner,
            _ => true,
        };
        let (outer, inner) = match limits.element {
            Element::External => (limits.pitch.min, limits.minor.max),
            Element::Internal => (limits.major.min, limits.pitch.max),
        };
        falls(outer, inner)
    };
    let too_fine = |limits: &Option<ElementLimits>| limits.as_ref().is_some_and(|limits| !ridges(limits));
    if too_fine(&limits.external) || too_fine(&limits.internal) {
        limits.warnings.push(TOO_FINE.to_owned());
    }
    Ok(limits)
}

const TOO_FINE: &str = "The pitch is so fine for this diameter that allowance and tolerance of the class use up the \
                        depth of the thread: its limits mean nothing here.";

/// The classes to compute: those the thread names, or else the first its family offers for each element. A thread
/// that names the class of one element asks for that element only.
fn classes(thread: &Thread) -> (Option<&str>, Option<&str>) {
    let form = thread.family.form();
    match (thread.external_class.as_deref(), thread.internal_class.as_deref()) {
        (None, None) => {
            let default = |element| form.classes(element).first().copied();
            (default(Element::External), default(Element::Internal))
        }
        named => named,
    }
}

/// Limits of the elements that `thread` asks for, each in its class by the family's own tables and formulas, with the
/// warning of a size that is in no series.
pub(crate) fn by_class(
    thread: &Thread,
    external: impl Fn(&Thread, &str) -> Result<ElementLimits, LimitsError>,
    internal: impl Fn(&Thread, &str) -> Result<ElementLimits, LimitsError>,
) -> Result<Limits, LimitsError> {
    let (external_class, internal_class) = classes(thread);
    Ok(Limits {
        external: external_class.map(|class| external(thread, class)).transpose()?,
        internal: internal_class.map(|class| internal(thread, class)).transpose()?,
        extras: Vec::new(),
        warnings: off_series(thread),
    })
}

/// As [`by_class`], for a family whose standard gives no tolerances for several starts.
pub(crate) fn of_single_start(
    thread: &Thread,
    external: impl Fn(&Thread, &str) -> Result<ElementLimits, LimitsError>,
    internal: impl Fn(&Thread, &str) -> Result<ElementLimits, LimitsError>,
) -> Result<Limits, LimitsError> {
    let mut limits = by_class(thread, external, internal)?;
    if thread.starts > 1 {
        limits.warnings.push(SINGLE_START.to_owned());
    }
    Ok(limits)
}

/// Basic sizes, unrounded, on the side where they bind, for a family that has no classes or whose tolerances are not known here;
/// `note` says which, and travels with the result.
pub(crate) fn basic_only(thread: &Thread, source: Source, note: &str) -> Result<Limits, LimitsError> {
    let basic = thread.basic();
    let unrounded = |element| bounds(&basic, element, &Origins::all(source), Rounding::Exact, |size| size);
    without_classes(thread, unrounded, [note.to_owned()])
}

/// Limits of a family that has no classes: both elements as `element` gives them, with the warning of a size that is in
/// no series and the family's own `notes`; an error where the thread names a class.
pub(crate) fn without_classes(
    thread: &Thread,
    element: impl Fn(Element) -> ElementLimits,
    notes: impl IntoIterator<Item = String>,
) -> Result<Limits, LimitsError> {
    refuse_classes(thread)?;
    let mut warnings = off_series(thread);
    warnings.extend(notes);
    Ok(Limits {
        external: Some(element(Element::External)),
        internal: Some(element(Element::Internal)),
        extras: Vec::new(),
        warnings,
    })
}

/// For a family that gives no tolerances for several starts.
pub(crate) const SINGLE_START: &str = "The tolerances are those of a single start.";

/// The error for a class that the family does not have.
pub(crate) fn unknown_class(thread: &Thread, element: Element, class: &str) -> LimitsError {
    let (name, classes) = match element {
        Element::External => ("external", thread.family.form().classes(Element::External)),
        Element::Internal => ("internal", thread.family.form().classes(Element::Internal)),
    };
    LimitsError {
        asked: format!("{thread}, {name} class `{class}`"),
        expected: format!("one of {}", classes.join(", ")),
    }
}

/// The class of a family that has none: basic sizes.
pub(crate) const BASIC: &str = "basic";

/// For a family that has no classes: an error where the thread names one.
fn refuse_classes(thread: &Thread) -> Result<(), LimitsError> {
    let named = [("external", &thread.external_class), ("internal", &thread.internal_class)];
    match named.into_iter().find_map(|(element, class)| class.as_ref().map(|class| (element, class))) {
        None => Ok(()),
        Some((element, class)) => Err(LimitsError {
            asked: format!("{thread}, {element} class `{class}`"),
            expected: format!("no class: none is known here for {}", thread.family.form().name()),
        }),
    }
}

/// The warning for a size that the family's standard does not list; empty for a listed one.
pub(crate) fn off_series(thread: &Thread) -> Vec<String> {
    if thread.in_series() || thread.family.form().series().is_empty() {
        return Vec::new();
    }
    let nearest: Vec<_> = thread
        .family
        .nearest_listed(thread.nominal, thread.pitch.length, 2)
        .into_iter()
        .map(|row| Thread::new(thread.family, row.nominal, row.nominal_written, row.pitch).to_string())
        .collect();
    let size = Thread { external_class: None, internal_class: None, ..thread.clone() };
    vec![format!(
        "{size} is in no series held here for {}; nearest listed: {}. Its limits are what the tables and formulas of the family give for such a size.",
        thread.family.form().name(),
        nearest.join(", ")
    )]
}
