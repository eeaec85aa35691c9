//! The two orders in which designations are written, metric and inch.

use super::written::{inches, linear_pitch, millimetres, pitch, pitch_millimetres, shortest, tpi, with_unit};
use super::{Hand, Thread};
use crate::Unit;

/// `22x5`, and for several starts lead and pitch `40x14 P7` (ISO 2902) or `xPh14P7` (ISO 965-1). What was written in
/// inches carries its unit: `7/8 in x5`, `22x5 tpi (2 start)`.
pub(crate) fn metric_size(thread: &Thread, starts: MetricStarts) -> String {
    let size = match thread.nominal_written {
        Unit::Mm => millimetres(thread.nominal),
        Unit::Inch => format!("{} ", with_unit(thread.nominal, Unit::Inch)),
    };
    if thread.pitch.written == Unit::Inch {
        return format!("{size}x{}{}", pitch(thread.pitch), starts_in_words(thread));
    }
    let p = pitch_millimetres(thread.pitch.length);
    // The lead is a product of written numbers: the last bits of the float are not part of it, and no more decimals than
    // those of a rounded pitch.
    let lead = thread.lead().to_mm();
    let is_rounded = p.parse::<f64>() != Ok(thread.pitch.length.to_mm());
    let near = if is_rounded { 2e-4 } else { 1e-9 };
    let lead = shortest(lead, |v| (v - lead).abs() <= near * lead);
    match (thread.starts, starts) {
        (1, _) => format!("{size}x{p}"),
        (_, MetricStarts::LeadThenPitch) => format!("{size}x{lead} P{p}"),
        (_, MetricStarts::Symbols) => format!("{size}xPh{lead}P{p}"),
    }
}

/// How a metric designation writes lead and pitch of several starts.
#[derive(Clone, Copy)]
pub(crate) enum MetricStarts {
    /// `x14 P7`
    LeadThenPitch,
    /// `xPh14P7`
    Symbols,
}

/// `7/8-5`, with units where they are not inches and threads per inch, and a pitch that is no short number of threads
/// per inch as ASME B1.5 writes it: `7/8-0.3P`.
pub(crate) fn inch_size(thread: &Thread) -> String {
    let size = match thread.nominal_written {
        Unit::Inch => inches(thread.nominal),
        Unit::Mm => with_unit(thread.nominal, Unit::Mm),
    };
    let pitch = match thread.pitch.written {
        Unit::Inch => linear_pitch(thread.pitch.length)
            .map_or_else(|| tpi(thread.pitch.length), |inches| format!("{inches}P")),
        Unit::Mm => pitch(thread.pitch),
    };
    format!("{size}-{pitch}")
}

/// The name of a listed size, in a family whose sizes have names; of any other the diameter, marked as one, and the
/// pitch: `dia 26.4 mm-14`.
pub(crate) fn named_size(thread: &Thread) -> String {
    let written = (thread.nominal_written, thread.pitch.written);
    let listed = thread
        .family
        .listed(thread.nominal, thread.pitch.length)
        .filter(|row| (row.nominal_written, row.pitch.written) == written)
        // The name stands for the listed size to the last bit.
        .filter(|row| (row.nominal, row.pitch.length) == (thread.nominal, thread.pitch.length));
    let name = listed.and_then(|row| thread.family.size_name(row.nominal, row.pitch.length));
    name.map_or_else(|| format!("dia {}", inch_size(thread)), str::to_owned)
}

/// ` (2 start)`; nothing for a single start.
pub(crate) fn starts_in_words(thread: &Thread) -> String {
    if thread.starts == 1 { String::new() } else { format!(" ({} start)", thread.starts) }
}

/// `mark` for a left-hand thread; nothing for a right-hand one.
pub(crate) fn left(thread: &Thread, mark: &'static str) -> &'static str {
    if thread.hand == Hand::Left { mark } else { "" }
}

/// Classes whose letters tell the element: `-7H/7e`, the nut's first (ISO 965-1, 5.4).
pub(crate) fn classes_by_letter(thread: &Thread) -> String {
    match (&thread.internal_class, &thread.external_class) {
        (Some(internal), Some(external)) => format!("-{internal}/{external}"),
        (Some(class), None) | (None, Some(class)) => format!("-{class}"),
        (None, None) => String::new(),
    }
}

/// Classes that are written alike for both elements: `2G` for both, else with the element in words.
pub(crate) fn classes_by_word(thread: &Thread, separator: &str) -> String {
    match (&thread.external_class, &thread.internal_class) {
        (Some(external), Some(internal)) if external == internal => format!("{separator}{external}"),
        (Some(external), Some(internal)) => format!("{separator}{external} screw/{internal} nut"),
        (Some(external), None) => format!("{separator}{external} screw"),
        (None, Some(internal)) => format!("{separator}{internal} nut"),
        (None, None) => String::new(),
    }
}
