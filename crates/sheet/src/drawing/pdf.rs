//! Writes drawings as the pages of a PDF.

use super::svg::sweep;
use super::{Anchor, Drawing, Fill, Item, Label, Line, Of, P, Path, Seg};
use crate::SheetError;
use crate::font;
use krilla::color::rgb;
use krilla::geom::{PathBuilder, Point, Transform};
use krilla::metadata::{DateTime, Metadata};
use krilla::num::NormalizedF32;
use krilla::page::PageSettings;
use krilla::paint::{FillRule, LineCap, LineJoin, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::text::Font;
use krilla::{Document, paint};

/// What the file says of itself.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PdfInfo {
    /// Title.
    pub title: String,
    /// Who made it.
    pub author: Option<String>,
    /// Year, month, day from the job; no clock is read, so that the same job gives the same bytes.
    pub date: Option<(u16, u8, u8)>,
}

/// Points in a millimetre (1 pt = 1/72 in).
const PT: f64 = 72.0 / 25.4;

/// One page for each drawing, each of its own size.
pub fn pdf(pages: &[Drawing], info: &PdfInfo) -> Result<Vec<u8>, SheetError> {
    let face = |bytes: &'static [u8]| Font::new(bytes.into(), 0).ok_or(SheetError::Font);
    let fonts = [face(font::font_regular())?, face(font::font_bold())?];
    let mut document = Document::new();
    let mut meta =
        Metadata::new().title(info.title.clone()).creator("flankwise".to_owned()).language("en".to_owned());
    if let Some(author) = &info.author {
        meta = meta.authors(vec![author.clone()]);
    }
    if let Some((y, m, d)) = info.date {
        // The library counts days from 1 and months from 1, as PDF does.
        meta = meta.creation_date(DateTime::new(y).month(m).day(d));
    }
    document.set_metadata(meta);
    for drawing in pages {
        let size = PageSettings::from_wh((drawing.width * PT) as f32, (drawing.height * PT) as f32)
            .ok_or(SheetError::Size(drawing.width, drawing.height))?;
        let mut page = document.start_page_with(size);
        let mut surface = page.surface();
        surface.push_transform(&Transform::from_scale(PT as f32, PT as f32));
        for item in &drawing.items {
            match item {
                Item::Path(path) => draw_path(&mut surface, path),
                Item::Label(label) => draw_label(&mut surface, label, &fonts),
            }
        }
        surface.pop();
        surface.finish();
        page.finish();
    }
    document.finish().map_err(|e| SheetError::Pdf(format!("{e:?}")))
}

fn colour(of: Of) -> rgb::Color {
    let (r, g, b) = of.rgb();
    rgb::Color::new(r, g, b)
}

/// Mixed with white on paper, rather than transparent: transparency slows old printers down.
fn tint(of: Of) -> rgb::Color {
    let (r, g, b) = of.rgb();
    let mix = |c: u8| (255.0 - 0.1 * (255.0 - f64::from(c))).round() as u8;
    rgb::Color::new(mix(r), mix(g), mix(b))
}

fn fill(colour: rgb::Color) -> paint::Fill {
    paint::Fill { paint: colour.into(), opacity: NormalizedF32::ONE, rule: FillRule::EvenOdd }
}

fn stroke(line: Line, of: Of) -> Stroke {
    let dash = (!line.dashes().is_empty())
        .then(|| StrokeDash { array: line.dashes().iter().map(|d| *d as f32).collect(), offset: 0.0 });
    Stroke {
        paint: colour(of).into(),
        width: line.width() as f32,
        line_cap: LineCap::Butt,
        line_join: LineJoin::Round,
        dash,
        ..Stroke::default()
    }
}

fn draw_path(surface: &mut Surface<'_>, path: &Path) {
    surface.set_fill(match path.fill {
        Fill::None => None,
        Fill::Solid => Some(fill(colour(path.of))),
        Fill::Tint => Some(fill(tint(path.of))),
        Fill::Paper => Some(fill(rgb::Color::white())),
    });
    surface.set_stroke(path.line.map(|line| stroke(line, path.of)));
    let mut builder = PathBuilder::new();
    builder.move_to(path.start.x as f32, path.start.y as f32);
    let mut from = path.start;
    for seg in &path.segs {
        match *seg {
            Seg::To(to) => builder.line_to(to.x as f32, to.y as f32),
            Seg::Arc { centre, to, clockwise } => arc(&mut builder, from, centre, to, clockwise),
        }
        from = seg.end();
    }
    if path.closed {
        builder.close();
    }
    if let Some(path) = builder.finish() {
        surface.draw_path(&path);
    }
    surface.set_fill(None);
    surface.set_stroke(None);
}

/// An arc as cubic curves of at most a quarter turn: with handles of 4/3 tan(θ/4) radii they stray from the
/// circle by less than 3 parts in 10 000.
fn arc(builder: &mut PathBuilder, from: P, centre: P, to: P, clockwise: bool) {
    let turn = sweep(from, centre, to, clockwise);
    let pieces = (turn / std::f64::consts::FRAC_PI_2).ceil().max(1.0);
    let step = turn / pieces * if clockwise { 1.0 } else { -1.0 };
    let handle = 4.0 / 3.0 * (step / 4.0).tan();
    let (sin, cos) = step.sin_cos();
    let mut arm = from - centre;
    for i in 1..=pieces as u32 {
        let next = P { x: arm.x * cos - arm.y * sin, y: arm.x * sin + arm.y * cos };
        let c1 = centre + arm + P { x: -arm.y, y: arm.x } * handle;
        let c2 = centre + next - P { x: -next.y, y: next.x } * handle;
        let end = if f64::from(i) == pieces { to } else { centre + next };
        builder.cubic_to(c1.x as f32, c1.y as f32, c2.x as f32, c2.y as f32, end.x as f32, end.y as f32);
        arm = next;
    }
}

fn draw_label(surface: &mut Surface<'_>, label: &Label, fonts: &[Font; 2]) {
    let glyphs = font::shape(&label.text, label.bold);
    if glyphs.is_empty() {
        return;
    }
    let width = glyphs.iter().map(|g| f64::from(g.x_advance)).sum::<f64>() * label.size;
    let left = match label.anchor {
        Anchor::Start => 0.0,
        Anchor::Middle => -width / 2.0,
        Anchor::End => -width,
    };
    surface.set_fill(Some(fill(colour(label.of))));
    surface.push_transform(&Transform::from_translate(label.at.x as f32, label.at.y as f32));
    if label.turn != 0.0 {
        surface.push_transform(&Transform::from_rotate(label.turn as f32));
    }
    let font = fonts[usize::from(label.bold)].clone();
    surface.draw_glyphs(
        Point::from_xy(left as f32, 0.0),
        &glyphs,
        font,
        &label.text,
        label.size as f32,
        false,
    );
    if label.turn != 0.0 {
        surface.pop();
    }
    surface.pop();
    surface.set_fill(None);
}
