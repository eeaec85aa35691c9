//! Play along the travel.

use super::{WIDTH, shop, unit_word};
use crate::drawing::{Anchor, Drawing, Fill, Line, Of, P, SMALL, TEXT, p};
use flankwise_bench::fit::{Fit, Spot, Station};
use flankwise_bench::report::{Fine, show};
use flankwise_thread::{Length, Unit};

/// Height where there is a page for it.
const HEIGHT: f64 = 78.0;
/// Height for one page with all the rest.
const LOW: f64 = 46.0;
const LEFT: f64 = 22.0;
const RIGHT: f64 = 50.0;
const TOP: f64 = 12.0;
const BOTTOM: f64 = 14.0;

/// Axial play of the part made to the aims along the mate, with its band and flank by flank; at each place that was
/// measured, and by the book there. None where the mate was measured at fewer than two places.
pub fn play(fit: &Fit, unit: Unit) -> Option<Drawing> {
    chart(fit, unit, HEIGHT)
}

/// The same, lower.
pub(crate) fn play_low(fit: &Fit, unit: Unit) -> Option<Drawing> {
    chart(fit, unit, LOW)
}

fn chart(fit: &Fit, unit: Unit, height: f64) -> Option<Drawing> {
    let mut stations = fit.stations.clone();
    stations.sort_by(|a, b| a.place.to_mm().total_cmp(&b.place.to_mm()));
    let (first, last) = (stations.first()?, stations.last()?);
    let (x0, x1) = (first.place.in_unit(unit), last.place.in_unit(unit));
    if x1 <= x0 {
        return None;
    }
    let mut d = Drawing::new("play", "Play along the travel", WIDTH, height);
    let sign = show::unit_sign(unit);
    d.caption(
        "Play along the travel",
        &format!("axial play in {0}, over the place on the mate in {0}", unit_word(unit)),
    );
    d.about = stations
        .iter()
        .map(|s| {
            format!(
                "At {} {sign}: {} as made, {} by the book.",
                show::length_number(s.place, Fine::Coarse, unit),
                shop(s.play, unit),
                shop(s.play_by_book, unit)
            )
        })
        .collect::<Vec<_>>()
        .join(" ");

    let along = fit.travel.iter().flat_map(|s| [s.left, s.right, s.play()]);
    let read = stations.iter().flat_map(|s| [s.play, s.play_by_book]);
    let all: Vec<f64> = along.chain(read).map(|l| l.in_unit(unit)).collect();
    let all = || all.iter().copied();
    let (lo, hi) = (all().fold(0.0, f64::min), all().fold(0.0, f64::max));
    let step = nice((hi - lo).max(1e-4) / 4.0);
    let (y0, y1) = ((lo / step).floor() * step, ((hi * 1.02 / step).floor() + 1.0) * step);
    let (w, h) = (WIDTH - LEFT - RIGHT, height - TOP - BOTTOM);
    let at = |x: f64, y: f64| p(LEFT + (x - x0) / (x1 - x0) * w, TOP + (1.0 - (y - y0) / (y1 - y0)) * h);

    let mut tick = y0;
    while tick < y1 + step / 2.0 {
        let q = at(x0, tick);
        d.line(q, p(LEFT + w, q.y), Line::Hair, Of::Faint);
        let words = shop(Length::from_unit(tick, unit), unit);
        d.text(p(LEFT - 2.0, q.y + 1.0), Anchor::End, SMALL * 1.15, false, Of::Note, words);
        tick += step;
    }
    d.line(at(x0, y0), at(x1, y0), Line::Narrow, Of::Note);
    d.line(at(x0, y0), at(x0, y1), Line::Narrow, Of::Note);
    let mut clear = f64::NEG_INFINITY;
    for s in &stations {
        let q = at(s.place.in_unit(unit), y0);
        d.line(q, q + p(0.0, 1.5), Line::Narrow, Of::Note);
        let words = show::length_number(s.place, Fine::Coarse, unit);
        let w = crate::font::width(&words, false, SMALL * 1.15);
        // Stations close together keep their tick and lose their number: the table beside has it.
        if q.x - w / 2.0 > clear {
            d.text(q + p(0.0, 5.0), Anchor::Middle, SMALL * 1.15, false, Of::Note, words);
            clear = q.x + w / 2.0 + 1.0;
        }
    }
    if lo < 0.0 {
        d.line(at(x0, 0.0), at(x1, 0.0), Line::Wide, Of::Warn);
        d.text(
            at(x0, 0.0) + p(1.0, 4.0),
            Anchor::Start,
            SMALL * 1.15,
            false,
            Of::Warn,
            "below this line it binds",
        );
    }
    // Of the travel where the places read are drawn: where the middle of the part lies between them.
    let travel: Vec<_> = fit
        .travel
        .iter()
        .map(|s| (s.middle().in_unit(unit), s))
        .filter(|(x, _)| (x0..=x1).contains(x))
        .collect();
    // Two standard uncertainties either way: about 95 in 100 (GUM, 6.3.3).
    let edge = |k: f64| {
        let reach = move |s: &Spot| (s.play() + s.u * k).in_unit(unit).clamp(y0, y1);
        travel.iter().map(move |(x, s)| at(*x, reach(s))).collect::<Vec<_>>()
    };
    let band: Vec<_> = edge(2.0).into_iter().chain(edge(-2.0).into_iter().rev()).collect();
    if travel.len() > 1 {
        d.polygon(&band, None, Fill::Tint, Of::Part);
    }
    for s in &stations {
        let x = s.place.in_unit(unit);
        let reach = |k: f64| at(x, (s.play.in_unit(unit) + k * s.u_play.in_unit(unit)).clamp(y0, y1));
        let (low, high) = (reach(-2.0), reach(2.0));
        d.line(low, high, Line::Narrow, Of::Part);
        for q in [low, high] {
            d.line(q - p(1.2, 0.0), q + p(1.2, 0.0), Line::Narrow, Of::Part);
        }
    }
    let mut names = Vec::new();
    let mut curve = |points: &[P], line: Line, of: Of, value: Length, name: &str| {
        d.polyline(points, line, of);
        if let Some(end) = points.last() {
            names.push((*end + p(1.4, 0.0), of, format!("{} {name}", shop(value, unit))));
        }
    };
    let places = |get: fn(&Station) -> Length| {
        stations.iter().map(|s| at(s.place.in_unit(unit), get(s).in_unit(unit))).collect::<Vec<_>>()
    };
    let spots = |get: fn(&Spot) -> Length| {
        travel.iter().map(|(x, s)| at(*x, get(s).in_unit(unit))).collect::<Vec<_>>()
    };
    curve(&places(|s| s.play_by_book), Line::Phantom, Of::Book, last.play_by_book, "by the book");
    if let Some((_, end)) = travel.last().filter(|_| travel.len() > 1) {
        curve(&spots(Spot::play), Line::Wide, Of::Part, end.play(), "to these sizes");
        curve(&spots(|s| s.left), Line::Narrow, Of::Mate, end.left, "on left flanks");
        curve(&spots(|s| s.right), Line::Hidden, Of::Mate, end.right, "on right flanks");
    } else {
        curve(&places(|s| s.play), Line::Wide, Of::Part, last.play, "to these sizes");
    }
    for (of, get) in [(Of::Book, (|s| s.play_by_book) as fn(&Station) -> Length), (Of::Part, |s| s.play)] {
        for q in places(get) {
            d.circle(q, 0.9, Some(Line::Narrow), Fill::Paper, of);
        }
    }
    d.levels(LEFT + w + 9.0, names);
    if let Some(tight) = fit.thickest() {
        let words = format!(
            "Tightest at {} {sign}: play {} {sign}. Rings: as read. Bars, band: 2 standard uncertainties.",
            show::length_number(tight.place, Fine::Coarse, unit),
            shop(tight.play, unit)
        );
        d.text(p(LEFT, height - 2.0), Anchor::Start, TEXT, true, Of::Part, words);
    }
    d.trim();
    Some(d)
}

/// The next of 1, 2 or 5 times a power of ten.
fn nice(raw: f64) -> f64 {
    let power = 10f64.powf(raw.log10().floor());
    [1.0, 2.0, 5.0, 10.0].into_iter().map(|k| k * power).find(|s| *s >= raw * 0.999).unwrap_or(power * 10.0)
}
