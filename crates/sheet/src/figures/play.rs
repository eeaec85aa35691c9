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
/// Standard uncertainties that the bands reach to, either way: about 95 in 100 (GUM, 6.3.3).
const BAND: f64 = 2.0;

/// Axial play of the part made to the aims along the mate, with its band and flank by flank, at each place that was
/// measured, and by the book between the ends of its limits. None where the mate was measured at fewer than two places.
pub fn play(fit: &Fit, unit: Unit) -> Option<Drawing> {
    chart(fit, unit, HEIGHT)
}

/// The same, lower.
pub(crate) fn play_low(fit: &Fit, unit: Unit) -> Option<Drawing> {
    chart(fit, unit, LOW)
}

fn chart(fit: &Fit, unit: Unit, height: f64) -> Option<Drawing> {
    let chart = Chart::of(fit, unit, height)?;
    let mut d = Drawing::new("play", "Play along the travel", WIDTH, height);
    let pressed = if fit.pressed.is_some() { ", once pressed in at the tightest" } else { "" };
    let starts = if fit.thread.starts > 1 { "; errors between starts are not in it" } else { "" };
    d.caption(
        "Play along the travel",
        &format!("axial play in {0}{pressed}, over the place on the mate in {0}{starts}", unit_word(unit)),
    );
    d.about = chart.about();
    chart.scales(&mut d);
    chart.binding(&mut d);
    chart.bands(&mut d);
    chart.curves(&mut d);
    chart.tightest(&mut d);
    d.trim();
    Some(d)
}

/// What is drawn, and the scales it is drawn to.
struct Chart<'a> {
    fit: &'a Fit,
    /// By place.
    stations: Vec<Station>,
    /// Of the travel where the places read are drawn: where the middle of the part lies between them.
    travel: Vec<(f64, &'a Spot)>,
    unit: Unit,
    height: f64,
    /// Ends of the scale of places.
    x: (f64, f64),
    /// Ends of the scale of play.
    y: (f64, f64),
    /// Between the marks of the scale of play.
    step: f64,
}

impl<'a> Chart<'a> {
    fn of(fit: &'a Fit, unit: Unit, height: f64) -> Option<Self> {
        let mut stations = fit.stations.clone();
        stations.sort_by(|a, b| a.place.to_mm().total_cmp(&b.place.to_mm()));
        let x = (stations.first()?.place.in_unit(unit), stations.last()?.place.in_unit(unit));
        if x.1 <= x.0 {
            return None;
        }
        let travel: Vec<_> = fit
            .travel
            .iter()
            .map(|s| (s.middle().in_unit(unit), s))
            .filter(|(at, _)| (x.0..=x.1).contains(at))
            .collect();
        let more = fit.travelled.and_then(|t| t.by_book);
        let by_book = |play: Length| more.into_iter().flat_map(move |(a, b)| [play + a, play + b]);
        let band = |play: Length, u: Length| [play - u * BAND, play + u * BAND];
        let along = travel.iter().flat_map(|(_, s)| {
            [s.left, s.right].into_iter().chain(band(s.play(), s.u)).chain(by_book(s.play()))
        });
        let read = stations.iter().flat_map(|s| band(s.play, s.u_play).into_iter().chain(by_book(s.play)));
        let (lo, hi) = along
            .chain(read)
            .map(|l| l.in_unit(unit))
            .fold((0.0, 0.0), |(lo, hi): (f64, f64), play| (lo.min(play), hi.max(play)));
        let step = nice((hi - lo).max(1e-4) / 4.0);
        let y = ((lo / step).floor() * step, ((hi * 1.02 / step).floor() + 1.0) * step);
        Some(Self { fit, stations, travel, unit, height, x, y, step })
    }

    /// Where a place and a play stand on the paper.
    fn at(&self, x: f64, y: f64) -> P {
        let (w, h) = (WIDTH - LEFT - RIGHT, self.height - TOP - BOTTOM);
        let share = |v: f64, (from, to): (f64, f64)| (v - from) / (to - from);
        p(LEFT + share(x, self.x) * w, TOP + (1.0 - share(y, self.y)) * h)
    }

    fn right(&self) -> f64 {
        self.at(self.x.1, self.y.0).x
    }

    /// In words, for who cannot see it.
    fn about(&self) -> String {
        let said = self.stations.iter().map(|s| {
            let book = s.play_by_book.map_or(String::new(), |book| {
                format!(", {} by the middle of the book's limits", shop(book, self.unit))
            });
            format!(
                "At {} {}: {} as made{book}.",
                show::length_number(s.place, Fine::Coarse, self.unit),
                show::unit_sign(self.unit),
                shop(s.play, self.unit),
            )
        });
        said.collect::<Vec<_>>().join(" ")
    }

    fn scales(&self, d: &mut Drawing) {
        let ((x0, x1), (y0, y1)) = (self.x, self.y);
        let mut tick = y0;
        while tick < y1 + self.step / 2.0 {
            let q = self.at(x0, tick);
            d.line(q, p(self.right(), q.y), Line::Hair, Of::Faint);
            let words = shop(Length::from_unit(tick, self.unit), self.unit);
            d.text(p(LEFT - 2.0, q.y + 1.0), Anchor::End, SMALL * 1.15, false, Of::Note, words);
            tick += self.step;
        }
        d.line(self.at(x0, y0), self.at(x1, y0), Line::Narrow, Of::Note);
        d.line(self.at(x0, y0), self.at(x0, y1), Line::Narrow, Of::Note);
        let mut clear = f64::NEG_INFINITY;
        for s in &self.stations {
            let q = self.at(s.place.in_unit(self.unit), y0);
            d.line(q, q + p(0.0, 1.5), Line::Narrow, Of::Note);
            let words = show::length_number(s.place, Fine::Coarse, self.unit);
            let w = crate::font::width(&words, false, SMALL * 1.15);
            // Stations close together keep their tick and lose their number: the table beside has it.
            if q.x - w / 2.0 > clear {
                d.text(q + p(0.0, 5.0), Anchor::Middle, SMALL * 1.15, false, Of::Note, words);
                clear = q.x + w / 2.0 + 1.0;
            }
        }
    }

    /// The line of no play, where anything lies below it.
    fn binding(&self, d: &mut Drawing) {
        if self.y.0 >= 0.0 {
            return;
        }
        let (from, to) = (self.at(self.x.0, 0.0), self.at(self.x.1, 0.0));
        d.line(from, to, Line::Wide, Of::Warn);
        let words = "below this line it binds";
        d.text(from + p(1.0, 4.0), Anchor::Start, SMALL * 1.15, false, Of::Warn, words);
    }

    /// What the readings leave open of the play.
    fn bands(&self, d: &mut Drawing) {
        let point = |x: f64, play: Length| self.at(x, play.in_unit(self.unit));
        let edge = |k: f64| self.travel.iter().map(move |(x, s)| point(*x, s.play() + s.u * k));
        let band: Vec<_> = edge(BAND).chain(edge(-BAND).rev()).collect();
        if self.travel.len() > 1 {
            d.polygon(&band, None, Fill::Tint, Of::Part);
        }
        for s in &self.stations {
            let reach = |k: f64| point(s.place.in_unit(self.unit), s.play + s.u_play * k);
            let (low, high) = (reach(-BAND), reach(BAND));
            d.line(low, high, Line::Narrow, Of::Part);
            for q in [low, high] {
                d.line(q - p(1.2, 0.0), q + p(1.2, 0.0), Line::Narrow, Of::Part);
            }
        }
    }

    /// A play of every place read, on the paper.
    fn places(&self, get: fn(&Station) -> Length) -> Vec<P> {
        let unit = self.unit;
        self.stations.iter().map(|s| self.at(s.place.in_unit(unit), get(s).in_unit(unit))).collect()
    }

    /// The same along the travel.
    fn spots(&self, get: impl Fn(&Spot) -> Length) -> Vec<P> {
        self.travel.iter().map(|(x, s)| self.at(*x, get(s).in_unit(self.unit))).collect()
    }

    /// The play by the book that is so much more than that of the part made: along the travel, or at the places read.
    fn by_book(&self, more: Length) -> Vec<P> {
        if self.travel.len() > 1 {
            return self.spots(|s| s.play() + more);
        }
        let at = |s: &Station| self.at(s.place.in_unit(self.unit), (s.play + more).in_unit(self.unit));
        self.stations.iter().map(at).collect()
    }

    /// The curves, each with its name and its play at the last place; rings where it was read.
    fn curves(&self, d: &mut Drawing) {
        let mut names = Vec::new();
        let mut curve = |points: &[P], line: Line, of: Of, value: Length, name: &str| {
            d.polyline(points, line, of);
            if let Some(end) = points.last() {
                names.push((*end + p(1.4, 0.0), of, format!("{} {name}", shop(value, self.unit))));
            }
        };
        if let Some(last) = self.stations.last() {
            let end =
                self.travel.last().filter(|_| self.travel.len() > 1).map_or(last.play, |(_, s)| s.play());
            if let Some((tight, loose)) = self.fit.travelled.and_then(|t| t.by_book) {
                for (more, name) in [(tight, "by the book, tight"), (loose, "by the book, loose")] {
                    curve(&self.by_book(more), Line::Phantom, Of::Book, end + more, name);
                }
            }
            if let Some((_, end)) = self.travel.last().filter(|_| self.travel.len() > 1) {
                curve(&self.spots(Spot::play), Line::Wide, Of::Part, end.play(), "to these sizes");
                curve(&self.spots(|s| s.left), Line::Narrow, Of::Mate, end.left, "on left flanks");
                curve(&self.spots(|s| s.right), Line::Hidden, Of::Mate, end.right, "on right flanks");
            } else {
                curve(&self.places(|s| s.play), Line::Wide, Of::Part, last.play, "to these sizes");
            }
        }
        for q in self.places(|s| s.play) {
            d.circle(q, 0.9, Some(Line::Narrow), Fill::Paper, Of::Part);
        }
        d.levels(self.right() + 9.0, names);
    }

    /// The line below: where it is tightest, and what the marks are.
    fn tightest(&self, d: &mut Drawing) {
        let Some(tight) = self.fit.thickest() else { return };
        let sign = show::unit_sign(self.unit);
        let words = format!(
            "Tightest at {} {sign}: play {} {sign}. Rings: as read. Bars, band: 2 standard uncertainties.",
            show::length_number(tight.place, Fine::Coarse, self.unit),
            shop(tight.play, self.unit)
        );
        d.text(p(LEFT, self.height - 2.0), Anchor::Start, TEXT, true, Of::Part, words);
    }
}

/// The next of 1, 2 or 5 times a power of ten.
fn nice(raw: f64) -> f64 {
    let power = 10f64.powf(raw.log10().floor());
    [1.0, 2.0, 5.0, 10.0].into_iter().map(|k| k * power).find(|s| *s >= raw * 0.999).unwrap_or(power * 10.0)
}
