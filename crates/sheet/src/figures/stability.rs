//! Stability: how wide a chip the bar stands over the spindle speed, and how wide those of the passes are.

use super::{WIDTH, shop, unit_word};
use crate::drawing::{Anchor, Drawing, Fill, Line, Of, P, SMALL, TEXT, p};
use crate::font;
use flankwise_bench::cut::Cut;
use flankwise_bench::cut::chatter::Chatter;
use flankwise_bench::report::{Fine, Value, show};
use flankwise_bench::tool::chatter::Stands;
use flankwise_thread::{Length, Unit};

const HEIGHT: f64 = 84.0;
const TOP: f64 = 14.0;
const BOTTOM: f64 = 23.0;
/// Points of the limits, evenly along the logarithm of the speed.
const POINTS: u32 = 1200;
/// With more waves in a turn the lobes lie closer than a line is wide: their foot is drawn.
const LOBES_BLUR: f64 = 40.0;

/// The stable width of chip over the spindle speed, at the least and the most damping, the lathe's speeds marked, and the
/// chips of the first and the hardest pass; `width` mm wide. None where nothing is cut.
pub fn stability(cut: &Cut, unit: Unit, width: f64) -> Option<Drawing> {
    let chatter = cut.chatter.as_ref()?;
    let (first, hardest) = (chatter.passes.first()?.bite, chatter.outlook.hardest);
    let mut d = Drawing::new("stability", "Chip and chatter", width, HEIGHT);
    d.caption(
        "Chip and chatter",
        &format!("width of chip that counts in {}, over the spindle speed in rev/min", unit_word(unit)),
    );
    let fine = |l: Length| show::length_number(l, Fine::Gauge, unit);
    let here =
        hardest.at_this_speed.surely.map_or("any width".to_owned(), |l| format!("up to {}", shop(l, unit)));
    d.about = format!(
        "At {:.0} rev/min {here} is surely stable; the hardest pass counts {}.",
        chatter.rpm,
        shop(hardest.bite.counted, unit),
    );

    let mut levels = vec![(hardest.bite.counted, Of::Part, format!("pass {}, hardest", hardest.bite.number))];
    if first.number != hardest.bite.number {
        levels.push((first.counted, Of::Part, format!("pass {}", first.number)));
    }
    levels.extend(chatter.by_flank.map(|w| (w, Of::Book, "by flank infeed".to_owned())));
    let any = [hardest.at_any_speed.surely, hardest.at_any_speed.at_best].into_iter().flatten();
    let shown: Vec<f64> =
        levels.iter().map(|l| l.0).chain(any).map(Length::to_mm).filter(|w| *w > 0.0).collect();
    // Widths lie decades apart, so they are drawn by their logarithm.
    let low = shown.iter().copied().fold(f64::INFINITY, f64::min) / 1.6;
    let top = shown.iter().copied().fold(low, f64::max) * 2.5;
    let (n0, n1) = span(chatter);
    let narrow = width < WIDTH;
    let level = |(l, _, name): &(Length, Of, String)| format!("{} {name}", shop(*l, unit));
    let any_speed = hardest.at_any_speed.surely.map(|any| (any, format!("{} at any speed", fine(any))));
    let words = levels.iter().map(level).chain(any_speed.iter().map(|(_, words)| words.clone()));
    let longest = words.map(|words| font::width(&words, false, TEXT)).fold(0.0, f64::max);
    let (left, right) = (if narrow { 13.0 } else { 22.0 }, longest + 7.0);
    let (w, h) = (width - left - right, HEIGHT - TOP - BOTTOM);
    let x = |rpm: f64| left + (rpm / n0).ln() / (n1 / n0).ln() * w;
    let y = |mm: f64| TOP + (1.0 - (mm.clamp(low, top) / low).ln() / (top / low).ln()) * h;
    let floor = y(low);

    // What lies below both curves is stable, what lies between them cannot be told.
    let rpm_of = |i: u32| n0 * (n1 / n0).powf(f64::from(i) / f64::from(POINTS));
    let stands: Vec<(f64, Stands)> = (0..=POINTS)
        .map(|i| {
            let rpm = rpm_of(i);
            let blurred = chatter.ends[0].waves_in_a_turn(rpm) > LOBES_BLUR;
            (rpm, if blurred { chatter.at_foot(rpm) } else { chatter.stable_at(rpm) })
        })
        .collect();
    let curve = |width: fn(&Stands) -> Option<Length>| -> Vec<P> {
        stands.iter().map(|(rpm, s)| p(x(*rpm), y(width(s).map_or(top, Length::to_mm)))).collect()
    };
    let (surely, at_best) = (curve(|s| s.surely), curve(|s| s.at_best));
    let between: Vec<P> = surely.iter().chain(at_best.iter().rev()).copied().collect();
    d.polygon(&between, None, Fill::Tint, Of::Tool);
    d.polyline(&at_best, Line::Narrow, Of::Tool);
    d.polyline(&surely, Line::Wide, Of::Tool);
    d.line(p(left, floor), p(left + w, floor), Line::Narrow, Of::Note);
    d.line(p(left, floor), p(left, TOP), Line::Narrow, Of::Note);
    for (l, of, _) in &levels {
        d.line(p(left, y(l.to_mm())), p(left + w, y(l.to_mm())), Line::Narrow, *of);
    }
    for (width, words) in ticks(low, top, unit) {
        d.line(p(left - 1.5, y(width)), p(left, y(width)), Line::Narrow, Of::Note);
        d.text(p(left - 2.5, y(width) + 1.0), Anchor::End, SMALL * 1.15, false, Of::Note, words);
    }
    let mut names: Vec<_> =
        levels.iter().map(|l| (p(left + w + 1.0, y(l.0.to_mm())), l.1, level(l))).collect();
    if let Some((any, words)) = any_speed {
        let at = y(any.to_mm());
        d.line(p(left, at), p(left + w, at), Line::Centre, Of::Tool);
        names.push((p(left + w + 1.0, at), Of::Tool, words));
    }
    d.levels(left + w + 5.0, names);

    // The lathe's speeds; numbers where there is room.
    let speeds = if chatter.speeds_rpm.is_empty() { vec![chatter.rpm] } else { chatter.speeds_rpm.clone() };
    let mut clear = f64::NEG_INFINITY;
    for rpm in speeds {
        let used = rpm == chatter.rpm;
        d.line(p(x(rpm), floor), p(x(rpm), if used { TOP } else { floor - 3.0 }), Line::Narrow, Of::Note);
        let words = format!("{rpm:.0}");
        let half = font::width(&words, used, SMALL * 1.15) / 2.0;
        if x(rpm) - half > clear {
            d.text(p(x(rpm), floor + 5.0), Anchor::Middle, SMALL * 1.15, used, Of::Note, words);
            clear = x(rpm) + half + 1.0;
        }
    }
    let at = format!("At {:.0} rev/min ", chatter.rpm);
    let (verdict, of) = match (chatter.outlook.likely_from, chatter.outlook.doubtful_from) {
        (Some(n), _) => (format!("{at}chatter is likely from pass {n} on."), Of::Warn),
        (None, Some(n)) => (format!("{at}it cannot be ruled out from pass {n} on."), Of::Note),
        (None, None) => (format!("{at}no pass should chatter."), Of::Part),
    };
    let quiet = Value::SurfaceMPerMin(chatter.ends[0].quiet_below_m_per_min());
    let mode = format!(
        "First mode {}; below {} any width is stable.",
        show::value(&Value::Hz(chatter.ends[0].mode.hz), unit),
        show::value(&quiet, unit)
    );
    let start = if narrow { 1.0 } else { left };
    d.text(p(start, HEIGHT - 12.0), Anchor::Start, TEXT, true, of, verdict);
    let below = "Below the tint it is stable; in it, it cannot be told.";
    for (i, words) in [below, &mode].into_iter().enumerate() {
        let at = p(start, HEIGHT - 7.0 + 4.0 * i as f64);
        d.text(at, Anchor::Start, SMALL * 1.15, false, Of::Note, words);
    }
    d.trim();
    Some(d)
}

/// Widths from `low` to `top` millimetres that are round in the reader's unit, in mm and in words: ones, twos and fives.
fn ticks(low: f64, top: f64, unit: Unit) -> Vec<(f64, String)> {
    let mm = match unit {
        Unit::Mm => 1.0,
        Unit::Inch => Length::inch(1.0).to_mm(),
    };
    let (first, last) = ((low / mm).log10().floor() as i32, (top / mm).log10().ceil() as i32);
    let all = (first..=last).flat_map(|e| [1.0, 2.0, 5.0].map(|k| (k * 10f64.powi(e), (-e).max(0) as usize)));
    let said = all.map(|(width, places)| (width * mm, format!("{width:.places$}")));
    said.filter(|(w, _)| *w > low && *w < top).collect()
}

/// Waves in a turn at the fastest speed drawn, at most: from there down single lobes are seen.
const LOBES_SEEN: f64 = 8.0;

/// Speeds to draw, from somewhat below the slowest to somewhat above the fastest.
fn span(chatter: &Chatter) -> (f64, f64) {
    let all = || chatter.speeds_rpm.iter().copied().chain([chatter.rpm]);
    let (least, most) = (all().fold(f64::INFINITY, f64::min), all().fold(0.0, f64::max));
    let lobes = 60.0 * chatter.ends[0].mode.hz / LOBES_SEEN;
    if most > least * 1.5 {
        (least / 1.3, (most * 1.3).max(lobes))
    } else {
        (least / 4.0, (most * 4.0).max(lobes))
    }
}
