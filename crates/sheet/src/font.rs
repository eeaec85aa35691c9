//! The type that drawings and sheets are set in, and its measure.
//!
//! DejaVu Sans Condensed, packaged by the `dejavu` crate: narrow enough for tables, with Greek letters, primes
//! and arrows, and figures that stay apart at arm's length. Text is shaped once; the same glyphs give its width
//! and go into the PDF, so what was measured is what is printed.
//!
//! Licence of the type: see `NOTICE.md` beside this package's manifest. The notice that has to go with copies is
//! inside the font files themselves; [`notice`] reads it out.

use krilla::text::{GlyphId, KrillaGlyph};
use rustybuzz::{Direction, Face, UnicodeBuffer};
use std::cell::RefCell;
use std::collections::HashMap;
use std::sync::LazyLock;

/// Family name, for style sheets.
pub const FAMILY: &str = "DejaVu Sans Condensed";

/// Height of a capital letter as a share of the size (from the font's OS/2 table).
pub const CAP_HEIGHT: f64 = 0.729;

/// The regular face as a TrueType file, for a web page to load.
pub fn font_regular() -> &'static [u8] {
    dejavu::sans_condensed::regular()
}

/// The bold face as a TrueType file.
pub fn font_bold() -> &'static [u8] {
    dejavu::sans_condensed::bold()
}

/// The copyright and licence notice that has to go with copies of the type, as the font file itself carries it
/// (names 0, 13 and 14 of its `name` table, ISO/IEC 14496-22).
pub fn notice() -> String {
    use rustybuzz::ttf_parser::name_id::{COPYRIGHT_NOTICE, LICENSE, LICENSE_URL};
    let Some(face) = &FACES[0] else { return String::new() };
    let names: Vec<String> = [COPYRIGHT_NOTICE, LICENSE, LICENSE_URL]
        .into_iter()
        .filter_map(|id| face.names().into_iter().find(|n| n.name_id == id && n.is_unicode())?.to_string())
        .collect();
    names.join("\n\n")
}

static FACES: LazyLock<[Option<Face<'static>>; 2]> =
    LazyLock::new(|| [Face::from_slice(font_regular(), 0), Face::from_slice(font_bold(), 0)]);

/// Glyphs of a line, their measures in ems.
pub(crate) fn shape(text: &str, bold: bool) -> Vec<KrillaGlyph> {
    let Some(face) = &FACES[usize::from(bold)] else { return Vec::new() };
    let em = face.units_per_em() as f32;
    let mut buffer = UnicodeBuffer::new();
    buffer.push_str(text);
    buffer.guess_segment_properties();
    // A line is laid out from its left edge whatever the script: PDF runs are placed one by one.
    buffer.set_direction(Direction::LeftToRight);
    let output = rustybuzz::shape(face, &[], buffer);
    let infos = output.glyph_infos();
    infos
        .iter()
        .zip(output.glyph_positions())
        .enumerate()
        .map(|(i, (info, pos))| {
            let start = info.cluster as usize;
            let end =
                infos[i..].iter().map(|g| g.cluster as usize).find(|&c| c > start).unwrap_or(text.len());
            KrillaGlyph::new(
                GlyphId::new(info.glyph_id),
                pos.x_advance as f32 / em,
                pos.x_offset as f32 / em,
                pos.y_offset as f32 / em,
                pos.y_advance as f32 / em,
                start..end,
                None,
            )
        })
        .collect()
}

thread_local! {
    /// Widths in ems of texts measured before: a table's words are measured for its columns, set, and drawn.
    static WIDTHS: RefCell<[HashMap<String, f64>; 2]> = RefCell::default();
}

/// Texts remembered before all are forgotten: far more than one sheet has, far less than a server should hold.
const REMEMBERED: usize = 20_000;

/// Width of a line set at `size`, in the unit of `size`.
pub fn width(text: &str, bold: bool, size: f64) -> f64 {
    WIDTHS.with_borrow_mut(|widths| {
        let known = &mut widths[usize::from(bold)];
        if let Some(em) = known.get(text) {
            return em * size;
        }
        if known.len() >= REMEMBERED {
            known.clear();
        }
        let em = shape(text, bold).iter().map(|g| f64::from(g.x_advance)).sum::<f64>();
        known.insert(text.to_owned(), em);
        em * size
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn has_every_sign_the_sheets_use() {
        let signs = "AZaz09 αφλμ°×²′″µ→–±ØµN·m³≤≥☐✓✕ÄÖÜßéèñ";
        for bold in [false, true] {
            let face = FACES[usize::from(bold)].as_ref().expect("the packaged face parses");
            for c in signs.chars() {
                assert!(face.glyph_index(c).is_some(), "{c} is missing (bold: {bold})");
            }
        }
    }

    /// The licence asks for its notice to be kept: copyright holders, the permission, and the warranty clause.
    #[test]
    fn carries_its_notice() {
        let notice = notice();
        for words in ["Bitstream", "Tavmjong Bah", "Permission is hereby granted", "AS IS"] {
            assert!(notice.contains(words), "{words} is not in:\n{notice}");
        }
    }

    #[test]
    fn measures_in_the_unit_of_the_size() {
        assert_eq!(width("", false, 3.0), 0.0);
        let one = width("22.53 mm", false, 1.0);
        assert!((width("22.53 mm", false, 3.0) - 3.0 * one).abs() < 1e-6);
        assert!(width("22.53 mm", true, 1.0) > one);
    }
}
