//! A thread, and how it is written.
//!
//! Reading goes in two steps: `lex` cuts the text into numbers, words and marks, and `read` gives them meaning with the
//! vocabulary of the family whose word stands in the text; `unknown` answers where no such word stands. Each family
//! writes its own designations, with the helpers of `print` and `written`.

mod lex;
pub(crate) mod print;
pub(crate) mod read;
mod unknown;
pub(crate) mod written;

use crate::family::Taper;
use crate::profile::{Basic, Outline};
use crate::{Angle, Element, Family, Length, Unit};
use std::fmt;

/// Hand of the helix.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Hand {
    /// Recedes when turned clockwise.
    Right,
    /// Recedes when turned anticlockwise.
    Left,
}

/// A pitch and the way it is written: in millimetres, or as threads per inch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pitch {
    /// Distance between corresponding flanks of adjacent ridges, along the axis.
    pub length: Length,
    /// `Inch`: written as threads per inch.
    pub written: Unit,
}

impl Pitch {
    /// A pitch written in millimetres.
    pub const fn mm(v: f64) -> Self {
        Self { length: Length::mm(v), written: Unit::Mm }
    }
    /// A pitch written as threads per inch.
    pub const fn tpi(n: f64) -> Self {
        Self { length: Length::per_inch(n), written: Unit::Inch }
    }
}

impl fmt::Display for Pitch {
    /// `5 mm` or `10 tpi`, trailing zeros cut; to five decimals, so that a worm's π does not run on. A designation
    /// writes its pitch so that it reads back.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let text = match self.written {
            Unit::Mm => written::with_unit(self.length, Unit::Mm),
            Unit::Inch => written::pitch(*self),
        };
        match text.split_once(' ').map(|(number, unit)| (number.parse::<f64>(), unit)) {
            Some((Ok(number), unit)) => {
                let places = (0..5).find(|&places| {
                    let scale = 10_f64.powi(places);
                    ((number * scale).round() / scale - number).abs() < 1e-9
                });
                write!(f, "{number:.places$} {unit}", places = places.unwrap_or(5) as usize)
            }
            _ => f.write_str(&text),
        }
    }
}

/// A thread as designated: form, size, pitch, starts, hand, and tolerance classes where named.
#[derive(Clone, Debug, PartialEq)]
pub struct Thread {
    /// Form and standard.
    pub family: Family,
    /// Nominal diameter.
    pub nominal: Length,
    /// The unit the nominal diameter is written in (`7/8` or `22`).
    pub nominal_written: Unit,
    /// Pitch (not lead).
    pub pitch: Pitch,
    /// Number of starts, 1 or more.
    pub starts: u32,
    /// Hand.
    pub hand: Hand,
    /// Tolerance class of the external thread, as its standard writes it (`7e`, `2G`, `2A`, `6g`).
    pub external_class: Option<String>,
    /// Tolerance class of the internal thread (`7H`, `2G`, `2B`, `6H`).
    pub internal_class: Option<String>,
    /// Edition, national version or modified form, by the name of one of [`crate::family::Form::variants`]; `None` is
    /// the family's default.
    pub variant: Option<&'static str>,
}

impl Thread {
    /// A single-start right-hand thread without classes.
    pub fn new(family: Family, nominal: Length, nominal_written: Unit, pitch: Pitch) -> Self {
        Self {
            family,
            nominal,
            nominal_written,
            pitch,
            starts: 1,
            hand: Hand::Right,
            external_class: None,
            internal_class: None,
            variant: None,
        }
    }
    /// Basic sizes.
    pub fn basic(&self) -> Basic {
        self.family.form().basic_in(self.variant, self.nominal, self.pitch.length)
    }
    /// Outline of one pitch of `element` at basic sizes, fillets included.
    pub fn outline(&self, element: Element) -> Outline {
        match self.variant {
            None => self.family.form().outline(self.nominal, self.pitch.length, element),
            Some(_) => self.basic().outline(element),
        }
    }
    /// How an element tapers; `None` where it is parallel.
    pub fn taper(&self, element: Element) -> Option<Taper> {
        self.family.form().taper_of(self, element)
    }
    /// Included angle of the flanks.
    pub fn included_angle(&self) -> Angle {
        let basic = self.basic();
        Angle::deg(basic.flank_leading.to_deg() + basic.flank_trailing.to_deg())
    }
    /// Lead: pitch × starts.
    pub fn lead(&self) -> Length {
        self.pitch.length * f64::from(self.starts)
    }
    /// Lead angle at diameter `at`: tan φ = Ph / (π d) (ISO 5408:2009, 4.10).
    pub fn lead_angle(&self, at: Length) -> Angle {
        Angle::atan(self.lead() / (at * std::f64::consts::PI))
    }
    /// Whether the family's standard lists this diameter with this pitch.
    pub fn in_series(&self) -> bool {
        self.family.listed(self.nominal, self.pitch.length).is_some()
    }
}

impl fmt::Display for Thread {
    /// As the family's standard writes it, in a form that reads back to the same thread.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.family.form().print(self))?;
        match self.variant {
            Some(name) if !self.family.form().prints_variant() => write!(f, " [{name}]"),
            _ => Ok(()),
        }
    }
}

/// What was understood of a designation before it stopped making sense.
#[derive(Clone, Debug, PartialEq)]
pub struct DesignationError {
    /// The text as typed.
    pub text: String,
    /// Byte offset of the place.
    pub at: usize,
    /// What was understood so far, in words; empty if nothing was.
    pub understood: String,
    /// What would be accepted there, with the nearest accepted designation where one is near.
    pub expected: String,
}

impl fmt::Display for DesignationError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "cannot read `{}` as a thread: ", self.text)?;
        if !self.understood.is_empty() {
            write!(f, "understood {}; ", self.understood)?;
        }
        match self.text.get(self.at..).map(str::trim) {
            Some("") | None => f.write_str("at its end")?,
            Some(rest) => write!(f, "at `{rest}`")?,
        }
        write!(f, " expected {}", self.expected)
    }
}

impl std::error::Error for DesignationError {}

impl std::str::FromStr for Thread {
    type Err = DesignationError;
    /// Any usual way of writing: `Tr 22x5`, `TR22×5 LH-7H`, `Tr 40x14 P7`, `7/8-5 Acme`, `7/8-5 ACME-2G-LH`,
    /// `M10`, `M10x1.25-6g`, `1/4-20 UNC-2A`, `#10-32 UNF`, `1/2 BSW`, `1/2-12 BSW LH`, `1-5 square`, `Sq 25x5`,
    /// `G 3/4 A`, `Rc 1/2`, `2 BA`, `Pg 21`.
    ///
    /// # Errors
    /// Says what was understood, the place, and what would be accepted there.
    fn from_str(text: &str) -> Result<Self, Self::Err> {
        let (text, variant) = split_variant(text);
        let thread = read_in_any_family(text)?;
        let thread = match variant {
            Some(typed) => with_variant(thread, text, typed)?,
            None => thread,
        };
        if thread.basic().d3.to_mm() > 0.0 {
            return Ok(thread);
        }
        // A form deeper than the family's default may leave nothing where the default leaves a core.
        Err(DesignationError {
            text: text.to_owned(),
            at: text.len(),
            understood: thread.to_string(),
            expected: "a pitch that leaves a core in this form".to_owned(),
        })
    }
}

/// The thread that `text` names. Words of several families may stand in one text (`7/8-6 stub acme`, `1/2 BSP taper`):
/// the family that can read all of it has it, the first of [`Family::ALL`] where two can, and where none can, the
/// error is that of the family that came furthest.
fn read_in_any_family(text: &str) -> Result<Thread, DesignationError> {
    let mut furthest: Option<DesignationError> = None;
    for answer in Family::ALL.into_iter().filter_map(|family| family.form().parse(text)) {
        match answer {
            Ok(thread) => return Ok(thread),
            Err(error) if furthest.as_ref().is_none_or(|known| error.at > known.at) => furthest = Some(error),
            Err(_) => {}
        }
    }
    Err(furthest.unwrap_or_else(|| unknown::no_family(text)))
}

/// The designation and what stands in square brackets after it.
fn split_variant(text: &str) -> (&str, Option<&str>) {
    let inside = text.trim_end().strip_suffix(']').and_then(|text| text.split_once('['));
    inside.map_or((text, None), |(thread, variant)| (thread, Some(variant.trim())))
}

/// `thread` in the edition or form that `typed` names, by its name in full or without the document's year.
fn with_variant(thread: Thread, text: &str, typed: &str) -> Result<Thread, DesignationError> {
    let variants = thread.family.form().variants();
    let plain = |text: &str| text.to_lowercase().replace([' ', '-'], "");
    match variants.iter().find(|variant| plain(variant.name) == plain(typed)) {
        Some(variant) => Ok(Thread { variant: Some(variant.name), ..thread }),
        None => Err(DesignationError {
            text: format!("{text}[{typed}]"),
            at: text.len(),
            understood: thread.to_string(),
            expected: match variants {
                [] => format!("no brackets: {} has one edition here", thread.family.form().name()),
                _ => {
                    let names: Vec<_> = variants.iter().map(|v| format!("`[{}]`", v.name)).collect();
                    format!("one of {}, or nothing for the default", names.join(", "))
                }
            },
        }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is typed, and how it is written back.
    const READ: &[(&str, &str)] = &[
        ("Tr 22x5", "Tr 22x5"),
        ("TR22×5", "Tr 22x5"),
        ("tr 22 x 5 mm", "Tr 22x5"),
        ("22x5 trapezoidal", "Tr 22x5"),
        ("metric trapezoidal 22*5", "Tr 22x5"),
        ("Tr 16x4 LH-7H", "Tr 16x4 LH-7H"),
        ("Tr16x4LH-7h", "Tr 16x4 LH-7H"),
        ("Tr 16x4 - 7e L.H.", "Tr 16x4 LH-7e"),
        ("tr 16x4 left-hand 7H/7e", "Tr 16x4 LH-7H/7e"),
        ("Tr 16x4-10c", "Tr 16x4-10c"),
        ("Tr 40x14 P7", "Tr 40x14 P7"),
        ("Tr 40×14 (P7) LH", "Tr 40x14 P7 LH"),
        ("Tr 22,5x5", "Tr 22.5x5"),
        ("Tr 7/8 in x 5 tpi", "Tr 7/8 in x5 tpi"),
        ("Tr 22x5 tpi (2 start)", "Tr 22x5 tpi (2 start)"),
        ("7 in-10 UNS", "7 in-10 UNS"),
        ("5-10 UNS", "5-10 UNS"),
        ("10-28 UNS", "#10-28 UNS"),
        ("22 mm-5 acme", "22 mm-5 ACME"),
        ("7/8-5 Acme", "7/8-5 ACME"),
        ("7/8-5 ACME-2G-LH", "7/8-5 ACME-2G-LH"),
        ("7/8\"-5 acme left hand", "7/8-5 ACME-LH"),
        ("acme 7/8 x 5 tpi", "7/8-5 ACME"),
        ("7/8 5 tpi acme", "7/8-5 ACME"),
        ("0.875-5 acme thread", "7/8-5 ACME"),
        ("1 3/4-4 ACME-2G-LH", "1 3/4-4 ACME-2G-LH"),
        ("1-3/4-4 acme 3g nut", "1 3/4-4 ACME-3G nut"),
        ("1¾–4 Acme", "1 3/4-4 ACME"),
        ("2.875-0.4P-0.8L-ACME-3G", "2 7/8-2.5 ACME-3G (2 start)"),
        ("1-10 ACME (2 start)", "1-10 ACME (2 start)"),
        ("1-4-2start acme", "1-4 ACME (2 start)"),
        ("two-start 1-5 acme LH", "1-5 ACME-LH (2 start)"),
        ("1/2-10 LH acme", "1/2-10 ACME-LH"),
        ("1 3/4-4 ACME-3C", "1 3/4-4 ACME-3C"),
        ("1.75-4 acme 3c lh", "1 3/4-4 ACME-3C-LH"),
        ("1-5 acme 5C", "1-5 ACME-5C"),
        ("7/8-6 stub acme", "7/8-6 Stub Acme"),
        ("0.500-20 Stub Acme", "1/2-20 Stub Acme"),
        ("1/2-20 STUB-ACME-2G LH", "1/2-20 Stub Acme-2G-LH"),
        ("0.500\"-20 Stub Acme M1", "1/2-20 Stub Acme M1"),
        ("1/2-10 stub m2 3g nut", "1/2-10 Stub Acme M2-3G nut"),
        ("1/2-10 Stub Acme [form 1]", "1/2-10 Stub Acme M1"),
        ("M10", "M10x1.5"),
        ("m10x1,25-6g", "M10x1.25-6g"),
        ("M 10 x 1.25 6H/6g", "M10x1.25-6H/6g"),
        ("M3-4g6g", "M3x0.5-4g6g"),
        ("M6 × 0,75 – 5h6h – LH", "M6x0.75-5h6h-LH"),
        ("M16xPh3P1.5-6H", "M16xPh3P1.5-6H"),
        ("M22x2.5 nut", "M22x2.5"),
        ("M12-6az", "M12x1.75-6az"),
        ("M10x1.25-6g [asme b1.13m]", "M10x1.25-6g [ASME B1.13M]"),
        ("mj6", "MJ6x1"),
        ("Tr 48x8 DIN 103-1:1977 LH", "Tr 48x8 LH"),
        ("S 40x7", "S 40x7"),
        ("s40×14 P7 LH", "S 40x14 P7 LH"),
        ("40x7 metric buttress [gost 10177]", "S 40x7 [GOST 10177]"),
        ("Rd 40x1/6", "Rd 40x1/6"),
        ("rd40 × 1/6\" LH", "Rd 40x1/6 LH"),
        ("knuckle 40 DIN 405", "Rd 40x1/6"),
        ("Rd 40x1/3 P1/6", "Rd 40x1/6 (2 start)"),
        ("Rd 40x7 tpi", "Rd 40x1/7"),
        ("Rd 40x5", "Rd 40x5"),
        ("Rd 40x1/6 [DIN 405:1975]", "Rd 40x1/6 [DIN 405:1975]"),
        ("Trapg 48x8", "Trapg 48x8"),
        ("trapg. 48×16 P8", "Trapg 48x16 P8"),
        ("Tr48x8 (old DIN 103)", "Trapg 48x8"),
        ("old trapezoidal 22x5 left", "Trapg 22x5 LH"),
        ("MJ 6 x 1 - 4H5H/4h6h - LH", "MJ6x1-4H5H/4h6h-LH"),
        ("1/4-20 UNC-2A", "1/4-20 UNC-2A"),
        ("1/4-20UNC 2A/2B", "1/4-20 UNC-2B/2A"),
        ("1/4 UNC", "1/4-20 UNC"),
        ("1/4 UNC-2A", "1/4-20 UNC-2A"),
        ("#10-32 UNF", "#10-32 UNF"),
        ("10-32 UNF-3a", "#10-32 UNF-3A"),
        ("0-80 UNF", "#0-80 UNF"),
        ("1-64 UNC", "#1-64 UNC"),
        ("1-8 UNC", "1-8 UNC"),
        ("2-4.5 UNC", "2-4.5 UNC"),
        ("2-4 1/2 UNC", "2-4.5 UNC"),
        ("7/8-13 UNS", "7/8-13 UNS"),
        ("1/4-20 UNRC-2A", "1/4-20 UNRC-2A"),
        ("#10-32 unrf 3a lh", "#10-32 UNRF-3A-LH"),
        ("1/4-20 UNC-2A [UNR]", "1/4-20 UNRC-2A"),
        ("1 1/8-8 UN", "1 1/8-8 UN"),
        ("1.125 - 8UN - 2B", "1 1/8-8 UN-2B"),
        ("2 1/2-16 un left hand", "2 1/2-16 UN-LH"),
        ("2.5-8 BUTT-2A-LH", "2 1/2-8 BUTT-2A-LH"),
        ("2 1/2-8 push butt 3B", "2 1/2-8 PUSH-BUTT-3B"),
        ("2.5-0.25P-0.5L BUTT-2A", "2 1/2-4 BUTT-2A (2 start)"),
        ("2-10 buttress", "2-10 BUTT"),
        ("1/2-14 NPT", "1/2-14 NPT"),
        ("1/2 npt", "1/2-14 NPT"),
        ("1 1/4 - 11 1/2 NPT LH", "1 1/4-11.5 NPT LH"),
        ("worm 2-10 DP", "worm 2-10 DP"),
        ("2\" 10DP worm LH", "worm 2-10 DP LH"),
        ("worm 2-4 2 start", "worm 2-4 (2 start)"),
        ("worm 2-0.375P", "worm 2-0.375P"),
        ("worm 2-10 DP 20°", "worm 2-10 DP 20°"),
        ("20 deg worm 1 1/2 - 12 dp", "worm 1 1/2-12 DP 20°"),
        ("29° worm 2-10 DP", "worm 2-10 DP"),
        ("worm 30 m2", "worm 30 m2"),
        ("Worm 30 × 2 module, 2 start LH", "worm 30 m2 LH (2 start)"),
        ("15° worm 30 mod 2.5", "worm 30 m2.5 [15°]"),
        ("module worm 30x6.5", "module worm 30x6.5"),
        ("1/4-28 UNJF-3A", "1/4-28 UNJF-3A"),
        ("#10-32 unjf 3b/3a lh", "#10-32 UNJF-3B/3A-LH"),
        ("7/16-20UNJF", "7/16-20 UNJF"),
        ("1/2 NC", "1/2-13 NC"),
        ("1/2-13NC-2", "1/2-13 NC-2"),
        ("#10-32 nf-3 LH", "#10-32 NF-3 LH"),
        ("10-24 NC LH", "#10-24 NC LH"),
        ("3 - 3.5 USS", "3-3.5 USS"),
        ("3/4-10 U.S. Standard", "3/4-10 USS"),
        ("1/2-12 Sellers", "1/2-12 USS"),
        // Two names that do not belong together: what limits there are is another question.
        ("Sellers 1/2-13NC-2", "1/2-13 USS-2"),
        ("1/2-12 sharp V", "1/2-12 sharp V"),
        ("3/4 SHARP-V left", "3/4-10 sharp V LH"),
        ("1/2 BSW", "1/2-12 BSW"),
        ("1/2-12 BSW LH", "1/2-12 BSW LH"),
        ("1/2\" B.S.W. L.H.", "1/2-12 BSW LH"),
        ("3/8 bsf, free bolt, normal nut", "3/8-20 BSF, free screw/normal nut"),
        ("1/2-13 Whit", "1/2-13 Whit"),
        ("1/2 BSW medium", "1/2-12 BSW, medium"),
        ("1-5 square", "1-5 square"),
        ("Sq 25x5", "Sq 25x5"),
        ("sq 25x10 p5 lh", "Sq 25x10 P5 LH"),
        // A pitch in inches that is no whole number of threads per inch, and one that is, rounded.
        ("22 Sq P7", "22-7P square"),
        ("1-0.3P acme", "1-0.3P ACME"),
        ("1 1/2-0.3333P-ACME", "1 1/2-3 ACME"),
        ("Tr 22 x 0.3 in", "Tr 22x0.3 in"),
        // Hands in every usual spelling.
        ("LH Tr 22x5", "Tr 22x5 LH"),
        ("Tr 22x5 L", "Tr 22x5 LH"),
        ("Tr 22x5L", "Tr 22x5 LH"),
        ("Tr 22x5 L/H", "Tr 22x5 LH"),
        ("Tr 22x5 L. H.", "Tr 22x5 LH"),
        ("Tr 22x5 (l.h.) 7h", "Tr 22x5 LH-7H"),
        ("Tr 22x5-LH-7e", "Tr 22x5 LH-7e"),
        ("Tr 22x5-7e-LH", "Tr 22x5 LH-7e"),
        ("Trapez 22x5 links", "Tr 22x5 LH"),
        ("Tr 22x5 Linksgewinde", "Tr 22x5 LH"),
        ("Tr 22x5 left-handed", "Tr 22x5 LH"),
        ("Tr 22x5 r/h", "Tr 22x5"),
        ("left hand 7/8-5 acme", "7/8-5 ACME-LH"),
        ("LH 1/2 BSW", "1/2-12 BSW LH"),
        ("1/2-12L BSW", "1/2-12 BSW LH"),
        ("7/8-5 ACME-LH-2G", "7/8-5 ACME-2G-LH"),
        ("1/4-20 UNC LEFT", "1/4-20 UNC-LH"),
        ("M10 L", "M10x1.5-LH"),
        ("G 3/4 L.H. A", "G 3/4 A LH"),
        // Characters that look alike, and fractions in one character.
        ("M16✕2", "M16x2"),
        ("Tr22х5", "Tr 22x5"),
        ("1¹⁄₈–5 acme", "1 1/8-5 ACME"),
        ("7⁄8—5 Acme", "7/8-5 ACME"),
        ("⅞ − 5 acme", "7/8-5 ACME"),
        ("0,875-5 ACME", "7/8-5 ACME"),
        ("M10-1.5", "M10x1.5"),
        ("m6 - 1,0 - 6g", "M6x1-6g"),
        ("1/4-26 brass", "1/4-26 BSF"),
        ("5/16 brass", "5/16-26 brass"),
        ("5/16-32 ME", "5/16-32 ME"),
        ("1/4 x 40 model engineer", "1/4-40 ME"),
        ("3/4 BSCon", "3/4-16 BSCon"),
        ("1/2-14 Whit. S.", "1/2-14 Whit"),
        ("1 bsw [DIN 11]", "1-8 BSW [DIN 11]"),
        ("G 3/4 A", "G 3/4 A"),
        ("G3/4A", "G 3/4 A"),
        ("g3/4\" b lh", "G 3/4 B LH"),
        ("G 1-1/2", "G 1 1/2"),
        ("G½", "G 1/2"),
        ("ISO 228-G 1 1/2", "G 1 1/2"),
        ("1/2 BSPP female", "G 1/2 internal"),
        ("1/2\"-14 BSP parallel", "G 1/2"),
        ("G 1/8 x 0.907 mm", "G 1/8"),
        ("3/4 gas LH", "G 3/4 LH"),
        ("G dia 30 mm-14", "G dia 30 mm-14"),
        ("G 1/8 [gost 6357-52]", "G 1/8 [GOST 6357-52]"),
        ("R 3/4", "R 3/4"),
        ("r3/4", "R 3/4"),
        ("Rc1/2", "Rc 1/2"),
        ("Rp 1 1/2 LH", "Rp 1 1/2 LH"),
        ("Rp/R 1/2", "Rp/R 1/2"),
        ("1/2 BSPT", "BSPT 1/2"),
        ("1/2 bsp taper male", "R 1/2"),
        ("ISO 7 Rc 1/2", "Rc 1/2"),
        ("2 BA", "2 BA"),
        ("2BA", "2 BA"),
        ("BA 2", "2 BA"),
        ("ba2 lh", "2 BA LH"),
        ("0ba close screw", "0 BA, close screw"),
        ("No. 10 B.A. normal", "10 BA, normal"),
        ("#4 BA", "4 BA"),
        ("16 BA", "16 BA"),
        ("5/16 CEI", "5/16-26 BSC"),
        ("9/16-20 cycle lh", "9/16-20 BSC LH"),
        ("1.37-24 bsc", "1.37-24 BSC"),
        ("Pg21", "Pg 21"),
        ("PG 13,5", "Pg 13.5"),
        ("Löwenherz 6", "Loewenherz 6x1"),
        ("Loewenherz 2.3 x 0.4", "Loewenherz 2.3x0.4"),
        ("SF 8x1", "SF 8x1"),
        ("M8x1.25 pre-ISO", "SI 8x1.25"),
        ("SI 6 [swiss vsm 12003]", "SI 6x1 [Swiss VSM 12003]"),
        ("Thury 5", "Thury 5"),
    ];

    #[test]
    fn usual_writings() {
        for (typed, written) in READ {
            let thread: Thread = typed.parse().unwrap_or_else(|e| panic!("{e}"));
            assert_eq!(thread.to_string(), *written, "{typed}");
            assert_eq!(written.parse(), Ok(thread), "{written}");
        }
    }

    /// What is typed; a part of what was understood; the text at the place; a part of what is expected.
    const REFUSED: &[(&str, &str, &str, &str)] = &[
        ("", "", "", "Tr 22x5"),
        ("Tr", "metric trapezoidal", "", "a size"),
        ("Tr 16", "16 mm", "", "`Tr 16x4`, `Tr 16x2`"),
        ("Tr 16x", "16 mm", "", "the pitch after `x`"),
        ("Tr16x", "16 mm", "", "the pitch after `x`; listed are `Tr 16x4`"),
        ("M16x-2", "16 mm", "-2", "the pitch after `x`: `M16x2`"),
        ("M16-3", "16 mm", "3", "`M16x3`"),
        ("M10-2A", "10 mm", "2A", "2A is one of Unified"),
        ("M10x1.5-2A", "pitch 1.5 mm", "2A", "`M10x1.5-6g` or `M10x1.5-6H`"),
        ("1/4-20 UNC-6g", "Unified, UNC, 0.25 in, pitch 20 tpi", "6g", "`1/4-20 UNC-2A` or `1/4-20 UNC-2B`"),
        ("7/8-5 ACME-7H", "pitch 5 tpi", "7H", "`7/8-5 ACME-2G`"),
        ("5/8-10 ACMEE", "the numbers 5/8 and 10", "ACMEE", "`acme` is the nearest: `5/8-10 ACME`"),
        ("M6x0.00004", "6 mm", "0.00004", "0.05 mm or more; listed are `M6x1`"),
        ("2-10 DP acme", "Acme, 2 in", "10 DP", "diametral pitch is of worms"),
        ("Tr 22x5 $", "pitch 5 mm", "$", "or nothing; nearest that reads: `Tr 22x5`"),
        ("Tr 16x20", "pitch 20 mm", "20", "leaves a core; listed are `Tr 16x4`"),
        ("Tr 22x5-7Z", "pitch 5 mm", "7Z", "7H"),
        ("Tr 20x4 2 start", "20 mm", "2 start", "`x8 P4`, or `x4 P2`"),
        ("Tr 40x15 P7", "40 mm", "7", "whole starts"),
        ("Tr 22x5 LH RH", "left-hand", "RH", "one hand"),
        ("Tr 7/8x5", "", "7/8x5", "unit `in`"),
        ("7/8-5", "not the form", "", "form as well; nearest listed: `Tr 22x5`"),
        ("22x5", "not the form", "", "form as well: `Tr 22x5`, `S 22x5`"),
        ("7/8", "a size, but not the form", "", "`7/8-6 ACME`, `7/8-9 UNC`"),
        ("1/4-20", "not the form", "", "`1/4-20 UNC`, `1/4-20 BSW`"),
        ("7/8-5 Acne", "", "Acne", "`acme` is the nearest: `7/8-5 ACME`"),
        ("7/8-5 acme knob", "Acme", "knob", "or nothing"),
        ("7/8 acme", "0.875 in", "", "`7/8-6 ACME`"),
        ("1/4-20 UNF", "Unified, UNF", "UNF", "`1/4-28 UNF`"),
        ("1/2-13 BSW", "BSW", "BSW", "`1/2-12 BSW`"),
        ("M10x1.5-6q", "10 mm", "6q", "6g"),
        ("M13.7", "13.7 mm", "", "nearest listed: `M14x2`"),
        ("1-5 square $", "square", "$", "LH"),
        ("3/8 ME", "Whitworth, ME", "", "listed are `3/8-40 ME`, `3/8-32 ME`, `3/8-26 ME`"),
        ("G 5/16", "BSP parallel", "5/16", "`G 1/4`, `G 3/8`"),
        ("G 3/4-11", "BSP parallel", "11", "14 tpi"),
        ("G 3/4 C", "BSP parallel", "C", "class A or B"),
        ("2 BA-0.8 mm", "British Association", "0.8 mm", "0.81 mm"),
        ("Pg 22", "Pg conduit", "22", "`Pg 21`"),
        ("Thury -5", "", "-5", "minus"),
    ];

    #[test]
    fn refusals_say_place_and_remedy() {
        for (typed, understood, place, expected) in REFUSED {
            let error = typed.parse::<Thread>().expect_err(typed);
            assert!(error.understood.contains(understood), "{typed}: understood `{}`", error.understood);
            assert!(error.text[error.at..].starts_with(place), "{typed}: at {}, {error}", error.at);
            assert_eq!(error.text[error.at..].is_empty(), place.is_empty(), "{typed}: {error}");
            assert!(error.expected.contains(expected), "{typed}: expected `{}`", error.expected);
        }
    }

    #[test]
    fn pitches_are_shown_to_five_decimals() {
        let shown = |text: &str| text.parse::<Thread>().expect("a thread").pitch.to_string();
        assert_eq!(shown("Tr 22x5"), "5 mm");
        assert_eq!(shown("worm 30 m2"), "6.28319 mm");
        assert_eq!(shown("1-0.3P acme"), "0.3 in");
        assert_eq!(shown("1 1/4-11.5 NPT"), "11.5 tpi");
    }

    #[test]
    fn lead_and_lead_angle() {
        // Machinery's Handbook, 27th ed., p. 1831, table 3: 4°3' for 1-5 Acme at its pitch diameter.
        let thread: Thread = "1-5 Acme".parse().expect("a listed size");
        let printed = 4.0 + 3.0 / 60.0;
        assert!((thread.lead_angle(Length::inch(0.9)).to_deg() - printed).abs() < 0.5 / 60.0);
        let two: Thread = "1-5 acme 2 start".parse().expect("two starts");
        assert!((two.lead().to_inch() - 0.4).abs() < 1e-12);
    }
}
