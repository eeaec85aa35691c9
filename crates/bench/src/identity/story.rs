//! The owner's story, read leniently: a designation somewhere in the words, else pieces of one.

use flankwise_thread::{Family, Hand, Length, Pitch, Thread, Unit};

/// What a story claims; each piece is evidence of its own, so that a story with the right pitch and the wrong
/// diameter still helps.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Claims {
    pub thread: Option<Thread>,
    pub family: Option<Family>,
    pub nominal: Option<(Length, Unit)>,
    pub pitch: Option<Pitch>,
    pub hand: Option<Hand>,
    /// `metric` or `imperial`, without a word of the form.
    pub system: Option<Unit>,
}

/// By how much each claim that comes true raises a candidate against one that it does not fit. Owners copy what
/// the last owner said; chosen here.
pub(super) const STORY_WEIGHT: f64 = 2.0;

impl Claims {
    /// Nothing could be made of the story.
    pub(super) fn is_empty(&self) -> bool {
        *self == Self::default()
    }
    pub(super) fn fits_family(&self, family: Family) -> Option<bool> {
        self.family.map(|f| f == family)
    }
    /// Half a tenth: owners do not tell 15.9 mm from 5/8 in.
    pub(super) fn fits_diameter(&self, d_mm: f64) -> Option<bool> {
        self.nominal.map(|(n, _)| (n.to_mm() - d_mm).abs() < 0.05)
    }
    pub(super) fn fits_pitch(&self, p_mm: f64) -> Option<bool> {
        self.pitch.map(|p| (p.length.to_mm() - p_mm).abs() < 2e-3 * p_mm)
    }
    pub(super) fn fits_hand(&self, hand: Hand) -> Option<bool> {
        self.hand.map(|h| h == hand)
    }
    /// Square threads belong to no system.
    pub(super) fn fits_system(&self, family: Family) -> Option<bool> {
        self.system.filter(|_| family != Family::Square).map(|unit| family.form().written() == unit)
    }
}

/// Reads a story.
pub(super) fn read(story: &str) -> Claims {
    let text = story.to_lowercase().replace('×', "x");
    let words: Vec<&str> = text
        .split(|c: char| c.is_whitespace() || matches!(c, ',' | ';' | '(' | ')' | '"' | '?' | '!' | ':'))
        .map(|w| w.trim_end_matches('.'))
        .filter(|w| !w.is_empty())
        .collect();
    let thread = designation(&words);
    let mut claims = Claims { hand: hand(&words), ..Claims::default() };
    if let Some(thread) = &thread {
        claims.family = Some(thread.family);
        claims.nominal = Some((thread.nominal, thread.nominal_written));
        claims.pitch = Some(thread.pitch);
        claims.hand = claims.hand.or((thread.hand == Hand::Left).then_some(Hand::Left));
    } else {
        claims.family = words.iter().find_map(|w| family_word(w));
        claims.system = words.iter().find_map(|w| system_word(w));
        let counted: Vec<String> = words.iter().map(|w| in_figures(w)).collect();
        pieces(&counted.iter().map(String::as_str).collect::<Vec<_>>(), &mut claims);
    }
    claims.thread = thread.map(|t| Thread { hand: claims.hand.unwrap_or(t.hand), ..t });
    claims
}

/// The longest run of words that reads as a designation.
fn designation(words: &[&str]) -> Option<Thread> {
    (1..=words.len().min(5)).rev().find_map(|len| {
        words.windows(len).find_map(|run| {
            // A lone number reads as nothing; a lone word such as "square" must not either.
            let joined = run.join(" ");
            joined.chars().any(|c| c.is_ascii_digit()).then(|| joined.parse().ok()).flatten()
        })
    })
}

fn hand(words: &[&str]) -> Option<Hand> {
    words.iter().find_map(|w| match *w {
        "lh" | "left" | "left-hand" | "left-handed" | "lefthand" => Some(Hand::Left),
        "rh" | "right" | "right-hand" | "right-handed" | "righthand" => Some(Hand::Right),
        _ => None,
    })
}

fn family_word(word: &str) -> Option<Family> {
    Some(match word {
        "acme" => Family::Acme,
        "tr" | "trapezoidal" | "trapezoid" | "trapez" => Family::MetricTrapezoidal,
        "square" => Family::Square,
        "whitworth" | "bsw" | "bsf" | "whit" => Family::Whitworth,
        "unc" | "unf" | "unef" | "unified" | "sae" => Family::Unified,
        _ => return None,
    })
}

/// Of millimetres or inches: trapezoidal threads are metric as much as those with V flanks.
fn system_word(word: &str) -> Option<Unit> {
    match word {
        "metric" | "millimetric" => Some(Unit::Mm),
        "imperial" => Some(Unit::Inch),
        _ => None,
    }
}

/// A number that is said in a word, in figures; any other word as it is.
fn in_figures(word: &str) -> String {
    const FROM_TWO: [&str; 19] = [
        "two",
        "three",
        "four",
        "five",
        "six",
        "seven",
        "eight",
        "nine",
        "ten",
        "eleven",
        "twelve",
        "thirteen",
        "fourteen",
        "fifteen",
        "sixteen",
        "seventeen",
        "eighteen",
        "nineteen",
        "twenty",
    ];
    FROM_TWO
        .iter()
        .position(|known| *known == word)
        .map_or_else(|| word.to_owned(), |at| (at + 2).to_string())
}

/// Smallest diameter of feed threads, mm: fewer millimetres are said of a pitch. ISO 2902 begins at 8 mm.
const SMALLEST_FEED_MM: f64 = 8.0;

/// Diameter and pitch outside a designation: `5/8-10`, `22x5`, `10 tpi`, `3 mm pitch`, `20 mm`.
fn pieces(words: &[&str], claims: &mut Claims) {
    for (i, word) in words.iter().enumerate() {
        let next = words.get(i + 1).copied().unwrap_or_default();
        let after = words.get(i + 2).copied().unwrap_or_default();
        if let Some((size, tpi)) = word.rsplit_once('-')
            && let (Some(size), Some(tpi)) = (inches(size), number(tpi))
            && tpi >= 1.0
        {
            claims.nominal.get_or_insert((Length::inch(size), Unit::Inch));
            claims.pitch.get_or_insert(Pitch::tpi(tpi));
        } else if let Some((size, pitch)) = word.trim_start_matches('m').split_once('x')
            && let (Some(size), Some(pitch)) = (number(size), number(pitch.trim_end_matches("mm")))
        {
            claims.nominal.get_or_insert((Length::mm(size), Unit::Mm));
            claims.pitch.get_or_insert(Pitch::mm(pitch));
        } else if let Some(n) = number(word.trim_end_matches("tpi"))
            && (word.ends_with("tpi")
                || next == "tpi"
                || next.starts_with("thread")
                || (next == "to" && after == "the"))
        {
            // Who corrects himself says the right one last.
            let rest = &words[i + 1..words.len().min(i + 4)];
            let metric = rest.iter().any(|w| matches!(*w, "cm" | "centimetre" | "centimeter"));
            claims.pitch = Some(if metric { Pitch::mm(10.0 / n) } else { Pitch::tpi(n) });
        } else if let Some(mm) = number(word.trim_end_matches("mm"))
            && (word.ends_with("mm") || next == "mm")
        {
            let later = if next == "mm" { after } else { next };
            let before = i.checked_sub(1).map_or("", |b| words[b]);
            if [later, before].iter().any(|w| w.starts_with("pitch") || w.starts_with("lead")) {
                claims.pitch.get_or_insert(Pitch::mm(mm));
            } else {
                claims.nominal.get_or_insert((Length::mm(mm), Unit::Mm));
            }
        } else if word.contains('/')
            && let Some(size) = inches(word)
        {
            claims.nominal.get_or_insert((Length::inch(size), Unit::Inch));
        }
    }
    let feed = claims.family.is_some_and(|family| !family.form().ridge().is_v());
    if let (Some((length, Unit::Mm)), None) = (claims.nominal, claims.pitch)
        && feed
        && length.to_mm() < SMALLEST_FEED_MM
    {
        claims.nominal = None;
        claims.pitch = Some(Pitch { length, written: Unit::Mm });
    }
}

fn number(text: &str) -> Option<f64> {
    text.parse().ok().filter(|v: &f64| v.is_finite() && *v > 0.0 && *v < 1000.0)
}

/// `5/8`, `1-1/4`, `0.625`, with or without `in`.
fn inches(text: &str) -> Option<f64> {
    let text = text.trim_end_matches("inch").trim_end_matches("in");
    let (whole, fraction) = match text.split_once('-') {
        Some((whole, fraction)) => (number(whole)?, fraction),
        None => (0.0, text),
    };
    match fraction.split_once('/') {
        Some((n, d)) => Some(whole + number(n)? / number(d)?),
        None => number(fraction).filter(|_| whole == 0.0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_a_designation_inside_words() {
        let claims = read("5/8-10 Acme left-hand cross-slide screw");
        assert_eq!(claims.family, Some(Family::Acme));
        assert_eq!(claims.nominal, Some((Length::inch(0.625), Unit::Inch)));
        assert_eq!(claims.pitch, Some(Pitch::tpi(10.0)));
        assert_eq!(claims.hand, Some(Hand::Left));
        let claims = read("7/8-5 Acme, right-hand");
        assert_eq!((claims.family, claims.hand), (Some(Family::Acme), Some(Hand::Right)));
        let claims = read("M20 metric, coarse");
        assert_eq!(claims.family, Some(Family::MetricIso));
        assert_eq!(claims.pitch, Some(Pitch::mm(2.5)));
        assert_eq!(claims.hand, None);
    }

    #[test]
    fn takes_pieces_where_there_is_no_designation() {
        let claims = read("ten to the inch? no: 8 threads per inch, about 20 mm, left hand");
        assert_eq!(claims.pitch, Some(Pitch::tpi(8.0)));
        assert_eq!(claims.nominal, Some((Length::mm(20.0), Unit::Mm)));
        assert_eq!(claims.hand, Some(Hand::Left));
        let claims = read("3 mm pitch, made for us");
        assert_eq!((claims.pitch, claims.nominal), (Some(Pitch::mm(3.0)), None));
        let claims = read("some 5/8-10 thing");
        assert_eq!(claims.pitch, Some(Pitch::tpi(10.0)));
    }

    #[test]
    fn reads_plain_words() {
        let claims = read("about 5 mm trapezoidal");
        assert_eq!((claims.pitch, claims.nominal), (Some(Pitch::mm(5.0)), None));
        assert_eq!(claims.family, Some(Family::MetricTrapezoidal));
        let claims = read("22 mm trapezoidal");
        assert_eq!((claims.pitch, claims.nominal), (None, Some((Length::mm(22.0), Unit::Mm))));
        let claims = read("it is metric");
        assert_eq!((claims.family, claims.system), (None, Some(Unit::Mm)));
        assert_eq!(claims.fits_system(Family::MetricTrapezoidal), Some(true));
        assert_eq!(claims.fits_system(Family::Acme), Some(false));
        assert_eq!(claims.fits_system(Family::Square), None);
        assert_eq!(read("five threads per inch").pitch, Some(Pitch::tpi(5.0)));
        assert_eq!(read("6 threads per cm").pitch, Some(Pitch::mm(10.0 / 6.0)));
        assert_eq!(read("twelve to the inch").pitch, Some(Pitch::tpi(12.0)));
        assert!(read("no idea").is_empty());
    }

    #[test]
    fn makes_nothing_of_idle_talk() {
        assert!(read("it came with the machine").is_empty());
        assert!(read("").is_empty());
        assert!(read("1/0-0 -/- x x5 0x0 9e99 mm").nominal.is_none());
    }
}
