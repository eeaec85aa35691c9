//! Writes a drawing as SVG.

use super::{Anchor, Drawing, Fill, Item, Label, Line, Of, P, Path, Seg};
use crate::font;
use std::fmt::Write;

/// How the SVG is wanted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SvgOptions {
    /// Give width and height in millimetres, so that it prints at its scale. Otherwise it fills its container.
    pub sized: bool,
}

impl Default for SvgOptions {
    fn default() -> Self {
        Self { sized: true }
    }
}

/// A style sheet for pages that show drawings. The SVG carries the colours of paper as attributes, which any
/// viewer reads; these rules win over them, so that a page may set `--fw-of-part`, `--fw-of-mate`, …, and
/// `--fw-paper` to its own, for instance on a dark screen.
pub fn style() -> String {
    let mut css = String::new();
    for of in Of::ALL {
        let class = of.class();
        let colour = format!("var(--fw-{class},{})", hex(of));
        let _ = write!(
            css,
            ".fw-drawing .{class}.line{{stroke:{colour}}}\
             .fw-drawing text.{class},.fw-drawing .{class}.f-solid,.fw-drawing .{class}.f-tint{{fill:{colour}}}"
        );
    }
    css.push_str(".fw-drawing .f-paper{fill:var(--fw-paper,#fff)}");
    css
}

fn hex(of: Of) -> String {
    let (r, g, b) = of.rgb();
    format!("#{r:02x}{g:02x}{b:02x}")
}

/// A number with at most three decimals (a micrometre), trailing zeros cut, never `-0`.
pub(super) fn num(v: f64) -> String {
    let text = format!("{v:.3}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            // Characters that XML 1.0 forbids (section 2.2) would make the whole file unreadable.
            c if c.is_control() && !matches!(c, '\t' | '\n' | '\r') => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
    out
}

/// The drawing as SVG: one unit is a millimetre, text stays text, and the same drawing gives the same bytes.
pub fn svg(drawing: &Drawing, options: &SvgOptions) -> String {
    let (w, h) = (num(drawing.width), num(drawing.height));
    let key = escape(&drawing.key);
    let mut out = String::from("<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"fw-drawing\"");
    if options.sized {
        let _ = write!(out, " width=\"{w}mm\" height=\"{h}mm\"");
    }
    let _ = write!(
        out,
        " viewBox=\"0 0 {w} {h}\" font-family=\"{}\" role=\"img\" aria-labelledby=\"{key}-title {key}-about\">\n\
         <title id=\"{key}-title\">{}</title>\n<desc id=\"{key}-about\">{}</desc>\n",
        escape(&format!("'{}', 'DejaVu Sans', sans-serif", font::FAMILY)),
        escape(&drawing.title),
        escape(&drawing.about)
    );
    // Neighbours of one style share a group: hatching alone would repeat its style a hundred times.
    let mut style: Option<(Option<Line>, Fill, Of)> = None;
    for item in &drawing.items {
        match item {
            Item::Path(path) => {
                let own = (path.line, path.fill, path.of);
                if style != Some(own) {
                    close(&mut out, &mut style);
                    open(&mut out, path);
                    style = Some(own);
                }
                let _ = writeln!(out, "<path d=\"{}\"/>", d(path));
            }
            Item::Label(label) => {
                close(&mut out, &mut style);
                write_label(&mut out, label);
            }
        }
    }
    close(&mut out, &mut style);
    out.push_str("</svg>\n");
    out
}

fn close<T>(out: &mut String, style: &mut Option<T>) {
    if style.take().is_some() {
        out.push_str("</g>\n");
    }
}

fn open(out: &mut String, path: &Path) {
    let mut class = path.of.class().to_owned();
    let mut look = String::new();
    let colour = hex(path.of);
    match path.fill {
        Fill::None => look.push_str(" fill=\"none\""),
        Fill::Solid => {
            let _ = write!(look, " fill=\"{colour}\"");
        }
        Fill::Tint => {
            let _ = write!(look, " fill=\"{colour}\" fill-opacity=\"0.1\"");
        }
        Fill::Paper => look.push_str(" fill=\"#ffffff\""),
    }
    if let Some(line) = path.line {
        class.push_str(" line ");
        class.push_str(line.class());
        let _ = write!(
            look,
            " stroke=\"{colour}\" stroke-width=\"{}\" stroke-linejoin=\"round\"",
            num(line.width())
        );
        if !line.dashes().is_empty() {
            let dashes: Vec<_> = line.dashes().iter().map(|d| num(*d)).collect();
            let _ = write!(look, " stroke-dasharray=\"{}\"", dashes.join(" "));
        }
    }
    if path.fill != Fill::None {
        class.push(' ');
        class.push_str(path.fill.class());
    }
    let _ = writeln!(out, "<g class=\"{class}\"{look}>");
}

/// A path's `d` attribute.
pub(super) fn d(path: &Path) -> String {
    let mut d = format!("M{} {}", num(path.start.x), num(path.start.y));
    let mut from = path.start;
    for seg in &path.segs {
        match *seg {
            Seg::To(to) => {
                let _ = write!(d, "L{} {}", num(to.x), num(to.y));
            }
            Seg::Arc { centre, to, clockwise } => {
                let r = (from - centre).norm();
                let large = u8::from(sweep(from, centre, to, clockwise) > std::f64::consts::PI);
                let flag = u8::from(clockwise);
                let _ = write!(d, "A{} {} 0 {large} {flag} {} {}", num(r), num(r), num(to.x), num(to.y));
            }
        }
        from = seg.end();
    }
    if path.closed {
        d.push('Z');
    }
    d
}

/// Angle that an arc sweeps, radians, positive, in its own direction.
pub(super) fn sweep(from: P, centre: P, to: P, clockwise: bool) -> f64 {
    let angle = |q: P| (q.y - centre.y).atan2(q.x - centre.x);
    // With y down, growing angles turn clockwise on the paper.
    let turn = if clockwise { angle(to) - angle(from) } else { angle(from) - angle(to) };
    turn.rem_euclid(std::f64::consts::TAU)
}

fn write_label(out: &mut String, label: &Label) {
    let anchor = match label.anchor {
        Anchor::Start => "",
        Anchor::Middle => " text-anchor=\"middle\"",
        Anchor::End => " text-anchor=\"end\"",
    };
    let (x, y) = (num(label.at.x), num(label.at.y));
    let turn = if label.turn == 0.0 {
        String::new()
    } else {
        format!(" transform=\"rotate({} {x} {y})\"", num(label.turn))
    };
    let _ = writeln!(
        out,
        "<text class=\"{}\" fill=\"{}\" x=\"{x}\" y=\"{y}\" font-size=\"{}\"{}{anchor}{turn}>{}</text>",
        label.of.class(),
        hex(label.of),
        num(label.size),
        if label.bold { " font-weight=\"700\"" } else { "" },
        escape(&label.text)
    );
}
