//! Thread families. Each is a small module over its tables; [`Form`] is what all of them can answer.

mod acme;
mod ba;
pub(crate) mod bounds;
mod buttress_inch;
mod historic;

mod iso_metric;
mod knuckle;
mod metric_buttress;
mod metric_tolerance;
mod mj;
mod national;
mod npt;
mod old_trapezoidal;
mod pipe_parallel;
mod pipe_taper;
mod series;
mod square;
mod stub_acme;
mod tolerance;

mod trapezoidal;
mod unified;
mod unj;
mod vee;
mod whitworth;
mod worm;

use crate::designation::DesignationError;
use crate::designation::read::{Dialect, read};
use crate::limits::Extra;
use crate::limits::{Element, Limits, LimitsError};
use crate::profile::{Basic, Outline, Sizes};
use crate::{Angle, Length, Pitch, Source, Thread, Unit};
use std::sync::LazyLock;

/// The list of families: name in the program, what answers for it, and what it is. A new family is one line here.
macro_rules! families {
    ($($(#[$doc:meta])+ $family:ident => $form:expr;)+) => {
        /// A family of threads with one form and one standard.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum Family {
            $($(#[$doc])+ $family,)+
        }

        impl Family {
            /// Every family.
            pub const ALL: [Self; [$(Self::$family),+].len()] = [$(Self::$family),+];

            /// What this family can answer.
            pub fn form(self) -> &'static dyn Form {
                match self {
                    $(Self::$family => &$form,)+
                }
            }
        }
    };
}

families! {
    /// ISO metric trapezoidal, 30° (ISO 2901–2904, DIN 103).
    MetricTrapezoidal => trapezoidal::Trapezoidal;
    /// Acme general purpose, 29° (ASME B1.5).
    Acme => acme::Acme;
    /// ISO metric, 60° (ISO 68-1, 261, 965).
    MetricIso => iso_metric::IsoMetric;
    /// Unified inch, 60° (ASME B1.1).
    Unified => unified::Unified;
    /// Whitworth, 55° (BS 84: BSW, BSF).
    Whitworth => whitworth::Whitworth;
    /// Square, 0° (workshop proportions).
    Square => square::Square;
    /// Stub Acme, 29°, shallow (ASME B1.8).
    StubAcme => stub_acme::StubAcme;
    /// Metric MJ, 60° with a large root radius (ISO 5855).
    MetricMj => mj::Mj;
    /// Pipe threads that do not seal on the thread, 55° (ISO 228-1, BS 2779: G).
    PipeParallel => pipe_parallel::PipeParallel;
    /// Pipe threads that seal on the thread, 55°, taper 1 in 16 (ISO 7-1, BS 21: R, Rc, Rp).
    PipeTaper => pipe_taper::PipeTaper;
    /// British Association, 47.5° (BS 93).
    BritishAssociation => ba::BritishAssociation;
    /// British cycle, 60° with rounded crests and roots (BS 811: BSC, formerly CEI).
    Cycle => historic::CYCLE;
    /// German steel conduit, 80° (DIN 40430: Pg).
    ConduitPg => historic::CONDUIT;
    /// Metric threads before ISO, 60° (SI of 1898, SF of 1894, old DIN 13, BS 1095, NF E03-104, VSM 12003).
    MetricPreIso => historic::PRE_ISO;
    /// Loewenherz, 53°8'.
    Loewenherz => historic::LOEWENHERZ;
    /// Thury, 47.5° (Filière Suisse).
    Thury => historic::THURY;
    /// Unified with controlled root, 60° (ASME B1.15: UNJ).
    UnifiedJ => unj::Unj;
    /// American National and United States Standard, 60° (NC, NF, Sellers; before Unified).
    National => national::National;
    /// Sharp V, 60° (before about 1910).
    SharpV => national::SharpV;
    /// Metric buttress, 3° and 30° (DIN 513).
    MetricButtress => metric_buttress::MetricButtress;
    /// Knuckle, 30°, round (DIN 405).
    Knuckle => knuckle::Knuckle;
    /// Metric trapezoidal before ISO, 30° (DIN 103 to 1977).
    OldTrapezoidal => old_trapezoidal::OldTrapezoidal;
    /// American taper pipe, 60°, 1 in 16 (ASME B1.20.1: NPT).
    Npt => npt::Npt;
    /// American buttress, 7° and 45° (ASME B1.9).
    ButtressInch => buttress_inch::ButtressInch;
    /// Worm of 29° (Brown & Sharpe proportions), pitch in threads per inch or diametral pitch.
    Worm29 => worm::WORM_29;
    /// Worm of 20° pressure angle by diametral pitch.
    WormDp => worm::WORM_DP;
    /// Worm by module, 40° (20° each side).
    WormModule => worm::WormModule;
}

/// What the eye sees of a ridge in the axial plane.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Ridge {
    /// Sloping flanks and a broad flat crest, as on feed screws and worms.
    FlatTopped,
    /// V flanks with narrow flats or sharp crests.
    Sharp,
    /// V flanks with rounded crests.
    RoundedV,
    /// Flanks square to the axis, or nearly.
    Square,
    /// One steep and one sloping flank.
    Sawtooth,
    /// Arcs at crest and root that leave little straight flank.
    Round,
}

impl Ridge {
    /// V flanks, as of fastenings; the others carry feed screws and loads.
    pub const fn is_v(self) -> bool {
        matches!(self, Self::Sharp | Self::RoundedV)
    }
}

/// An edition, a national version or a modified form, beside the one that a family gives by default.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Variant {
    /// How it is written after a designation, in brackets: `DIN 405:1975`, `form 1`.
    pub name: &'static str,
    /// Its document.
    pub document: Source,
    /// How it differs from the default, in a sentence.
    pub differs: &'static str,
}

/// How a tapered thread changes in diameter along its axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Taper {
    /// Change of diameter for each unit of length: 1/16.
    pub per_length: f64,
    /// Where the nominal sizes lie, in words: `at the gauge plane`.
    pub plane: &'static str,
}

/// One diameter and pitch that a series lists.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SeriesRow {
    /// Nominal diameter.
    pub nominal: Length,
    /// How the diameter is written.
    pub nominal_written: Unit,
    /// Pitch.
    pub pitch: Pitch,
    /// Series within the family: `coarse`, `UNC`, `BSF`, `preferred`.
    pub series: &'static str,
    /// Order of choice that the standard recommends: 1 first, 2 second; zero where it makes no difference.
    pub choice: u8,
    /// The table that lists it.
    pub source: Source,
}

/// A listed size together with the family that lists it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CatalogueRow {
    /// The family.
    pub family: Family,
    /// Its size.
    pub row: SeriesRow,
}

impl CatalogueRow {
    /// The single-start right-hand thread of this size.
    pub fn thread(&self) -> Thread {
        Thread::new(self.family, self.row.nominal, self.row.nominal_written, self.row.pitch)
    }
}

/// What every family can answer. Adding a family is one data file, one module that implements this, and one
/// line in [`Family`].
pub trait Form: Sync {
    /// Stable key, as in `--json`: `metric-trapezoidal`.
    fn key(&self) -> &'static str;
    /// Name in words.
    fn name(&self) -> &'static str;
    /// The standard, with edition.
    fn standard(&self) -> Source;
    /// Included angle of the flanks.
    fn included_angle(&self) -> Angle;
    /// All sizes the standard lists.
    fn series(&self) -> &'static [SeriesRow];
    /// How the sizes of [`Form::series`] are called, in its order, where that is a name and not the diameter: `3/4` of
    /// G 3/4, `2` of 2 BA. Empty where a size is written by its diameter. A size of no name is written `dia`.
    fn names(&self) -> &'static [&'static str] {
        &[]
    }
    /// Basic sizes for any diameter and pitch, listed or not.
    fn basic(&self, d: Length, p: Length) -> Basic;
    /// As [`Form::basic`], in one of [`Form::variants`]; `None` is the default.
    fn basic_in(&self, _variant: Option<&'static str>, d: Length, p: Length) -> Basic {
        self.basic(d, p)
    }
    /// Outline of one pitch of `element` at basic sizes, fillets included.
    fn outline(&self, d: Length, p: Length, element: Element) -> Outline {
        self.basic(d, p).outline(element)
    }
    /// Outline of one pitch of `element` of `thread` at other sizes than basic. A form that overrides
    /// [`Form::outline`] overrides this too.
    fn outline_at(&self, thread: &Thread, element: Element, sizes: &Sizes) -> Outline {
        thread.basic().outline_at(element, sizes)
    }
    /// What the eye sees of the ridge.
    fn ridge(&self) -> Ridge;
    /// The unit that its sizes are written in.
    fn written(&self) -> Unit;
    /// Editions, national versions and modified forms beside the default, which [`Form::standard`] names.
    fn variants(&self) -> &'static [Variant] {
        &[]
    }
    /// Taper of the thread; `None` for a parallel one.
    fn taper(&self) -> Option<Taper> {
        None
    }
    /// Taper of an element of `thread`, where its class makes one of a tapered form parallel.
    fn taper_of(&self, _thread: &Thread, _element: Element) -> Option<Taper> {
        self.taper()
    }
    /// Figures beside the three diameters that the standard gives for an element, such as bounds of the root's
    /// radius; those that follow from the limits themselves, [`crate::limits::limits`] adds.
    fn extras(&self, _thread: &Thread, _element: Element) -> Vec<Extra> {
        Vec::new()
    }
    /// Classes of `element` in ladders from fine to coarse, each of one position of the tolerance zone.
    fn ladders(&self, _element: Element) -> &'static [&'static [&'static str]] {
        &[]
    }
    /// Classes offered for `element`, the default first; empty where the family has none.
    fn classes(&self, _element: Element) -> &'static [&'static str] {
        &[]
    }
    /// Limits; see [`crate::limits::limits`].
    fn limits(&self, thread: &Thread) -> Result<Limits, LimitsError>;
    /// Whether [`Form::print`] writes the variant itself, so that it is not added in brackets.
    fn prints_variant(&self) -> bool {
        false
    }
    /// How its designations are read.
    fn dialect(&self) -> &Dialect;
    /// Reads a designation of this family; `None` where the text does not look like one.
    fn parse(&self, text: &str) -> Option<Result<Thread, DesignationError>> {
        read(text, self.dialect())
    }
    /// Writes a designation.
    fn print(&self, thread: &Thread) -> String;
}

impl Family {
    /// The family of a key or a name, in any case.
    pub fn from_key(text: &str) -> Option<Self> {
        let text = text.trim().to_lowercase();
        Self::ALL.into_iter().find(|f| f.form().key() == text || f.form().name().to_lowercase() == text)
    }

    /// A thread of this family to show how it is written: one of its listed sizes, or any size where none is listed.
    pub fn example(self) -> Thread {
        let rows = self.form().series();
        match rows.get(rows.len() / 3) {
            Some(row) => CatalogueRow { family: self, row: *row }.thread(),
            None => Thread::new(self, Length::inch(2.0), Unit::Inch, Pitch::tpi(4.0)),
        }
    }

    /// The name of the listed size with this diameter and pitch, in a family whose sizes have names.
    pub fn size_name(self, d: Length, p: Length) -> Option<&'static str> {
        let named = self.form().names().iter().zip(self.form().series());
        named
            .filter(|(_, row)| same(row.nominal, d) && same(row.pitch.length, p))
            .map(|(name, _)| *name)
            .next()
    }

    /// The row of this family's series with this diameter and pitch, if it is listed.
    pub fn listed(self, d: Length, p: Length) -> Option<&'static SeriesRow> {
        self.form().series().iter().find(|row| same(row.nominal, d) && same(row.pitch.length, p))
    }

    /// The `count` listed sizes of this family nearest to a diameter and pitch, nearest first, that size itself
    /// left out.
    ///
    /// Distance is by ratio, with the diameter weighing four times the pitch.
    pub fn nearest_listed(self, d: Length, p: Length, count: usize) -> Vec<&'static SeriesRow> {
        let is = |row: &SeriesRow, d: Length, p: Length| same(row.nominal, d) && same(row.pitch.length, p);
        let others = self.form().series().iter().filter(|row| !is(row, d, p));
        let distance = |row: &&SeriesRow| away(apart(row.nominal, d), apart(row.pitch.length, p));
        nearest(others, count, distance, |a, b| is(a, b.nominal, b.pitch.length))
    }
}

/// The `count` items of least `distance`, nearest first; of those that are `same` the first.
///
/// Few are wanted of many, so the best so far are kept in order in place of sorting them all.
pub(crate) fn nearest<T>(
    items: impl Iterator<Item = T>,
    count: usize,
    distance: impl Fn(&T) -> f64,
    same: impl Fn(&T, &T) -> bool,
) -> Vec<T> {
    let mut best: Vec<(f64, T)> = Vec::with_capacity(count + 1);
    for item in items {
        let away = distance(&item);
        if best.len() == count && best.last().is_none_or(|(last, _)| away >= *last) {
            continue;
        }
        if best.iter().any(|(_, known)| same(known, &item)) {
            continue;
        }
        best.insert(best.partition_point(|(nearer, _)| *nearer <= away), (away, item));
        best.truncate(count);
    }
    best.into_iter().map(|(_, item)| item).collect()
}

/// How far two lengths are apart by ratio: their difference over their mean, which is the logarithm of their ratio but
/// for what no near miss shows (1 % at a ratio of 1.4), and far cheaper.
pub(crate) fn apart(a: Length, b: Length) -> f64 {
    2.0 * ((a - b) / (a + b))
}

/// Distance between sizes whose diameters and pitches are so far apart, to compare with others: a near miss is above all
/// another pitch on the same diameter (Tr 16x3 is near Tr 16x4 and Tr 16x2). The weight of four is a choice of this
/// project.
pub(crate) fn away(diameters: f64, pitches: f64) -> f64 {
    (4.0 * diameters).powi(2) + pitches.powi(2)
}

/// Every listed size of every family, in the order of [`Family::ALL`]. Built once.
pub fn catalogue() -> &'static [CatalogueRow] {
    static CATALOGUE: LazyLock<Vec<CatalogueRow>> = LazyLock::new(|| {
        Family::ALL
            .into_iter()
            .flat_map(|family| {
                family.form().series().iter().map(move |row| CatalogueRow { family, row: *row })
            })
            .collect()
    });
    &CATALOGUE
}

/// Equal as written sizes are: to a part in a million, far below any step between listed sizes.
fn same(a: Length, b: Length) -> bool {
    (a - b).abs() <= a.abs().max(b.abs()) * 1e-6
}
