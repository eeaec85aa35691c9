//! Stability: how wide a chip the bar stands over the spindle speed, and how wide those of the passes are.

use super::{WIDTH, shop, unit_word};
use crate::drawing::{Anchor, Drawing, Line, Of, SMALL, TEXT, p};
use crate::font;
use flankwise_bench::cut::Cut;
use flankwise_bench::cut::chatter::Chatter;
use flankwise_bench::report::{Fine, Value, show};
use flankwise_thread::{Length, Unit};

const HEIGHT: f64 = 84.0;
const LEFT: f64 = 22.0;
const RIGHT: f64 = 58.0;
const TOP: f64 = 14.0;
const BOTTOM: f64 = 18.0;
/// Points of the limit, evenly along the logarithm of the speed.
const POINTS: u32 = 1200;
/// With more waves in a turn the lobes lie closer than a line is wide: their foot is drawn.
const LOBES_BLUR: f64 = 40.0;

/// The stable width of chip over the spindle speed, the lathe's speeds marked, and the chips of the first and the hardest
/// pass. None where nothing is cut.
pub fn stability(cut: &Cut, unit: Unit) -> Option<Drawing> {
    let chatter = cut.chatter.as_ref()?;
    let (first, hardest) = (chatter.passes.first()?.bite, chatter.hardest()?);
    let mut d = Drawing::new("stability", "Chip and chatter", WIDTH, HEIGHT);
    d.caption(
        "Chip and chatter",
        &format!("width of chip that counts in {}, over the spindle speed in rev/min", unit_word(unit)),
    );
    let here = hardest.at_this_speed.map_or("any width is".to_owned(), |l| format!("{} is", shop(l, unit)));
    d.about = format!(
        "At {:.0} rev/min {here} stable; the hardest pass counts {}, stable at any speed is {}.",
        chatter.rpm,
        shop(hardest.bite.counted, unit),
        show::length_number(hardest.at_any_speed, Fine::Gauge, unit)
    );

    let mut levels = vec![(hardest.bite.counted, Of::Part, format!("pass {}, hardest", hardest.bite.number))];
    if first.number != hardest.bite.number {
        levels.push((first.counted, Of::Part, format!("pass {}", first.number)));
    }
    levels.extend(chatter.by_flank.map(|w| (w, Of::Book, "by flank infeed".to_owned())));
    let top = 1.6 * levels.iter().map(|l| l.0).fold(hardest.at_any_speed * 2.0, Length::max).to_mm();
    let (n0, n1) = span(chatter);
    let (w, h) = (WIDTH - LEFT - RIGHT, HEIGHT - TOP - BOTTOM);
    let x = |rpm: f64| LEFT + (rpm / n0).ln() / (n1 / n0).ln() * w;
    let y = |l: Length| TOP + (1.0 - (l.to_mm() / top).min(1.0)) * h;
    let floor = y(Length::ZERO);

    // What is stable lies below the curve.
    let rpm_of = |i: u32| n0 * (n1 / n0).powf(f64::from(i) / f64::from(POINTS));
    let curve: Vec<_> = (0..=POINTS)
        .map(|i| {
            let rpm = rpm_of(i);
            let stable = if chatter.cutting.waves_in_a_turn(rpm) > LOBES_BLUR {
                chatter.at_foot(rpm)
            } else {
                chatter.stable_at(rpm)
            };
            p(x(rpm), y(stable.unwrap_or(Length::mm(top))))
        })
        .collect();
    d.polyline(&curve, Line::Wide, Of::Tool);
    let foot = y(hardest.at_any_speed);
    d.line(p(LEFT, foot), p(LEFT + w, foot), Line::Centre, Of::Tool);
    d.line(p(LEFT, floor), p(LEFT + w, floor), Line::Narrow, Of::Note);
    d.line(p(LEFT, floor), p(LEFT, TOP), Line::Narrow, Of::Note);
    for (l, of, _) in &levels {
        d.line(p(LEFT, y(*l)), p(LEFT + w, y(*l)), Line::Narrow, *of);
    }
    for width in ticks(top) {
        let at = y(Length::mm(width));
        d.line(p(LEFT - 1.5, at), p(LEFT, at), Line::Narrow, Of::Note);
        let words = show::length_number(Length::mm(width), Fine::Shop, unit);
        d.text(p(LEFT - 2.5, at + 1.0), Anchor::End, SMALL * 1.15, false, Of::Note, words);
    }
    let mut names: Vec<_> = levels
        .into_iter()
        .map(|(l, of, name)| (p(LEFT + w + 1.0, y(l)), of, format!("{} {name}", shop(l, unit))))
        .collect();
    let any = show::length_number(hardest.at_any_speed, Fine::Gauge, unit);
    names.push((p(LEFT + w + 1.0, foot), Of::Tool, format!("{any} at any speed")));
    d.levels(LEFT + w + 5.0, names);

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
    let words = match chatter.likely_from() {
        Some(n) => format!(
            "Below the curve is stable. At {:.0} rev/min chatter is likely from pass {n} on.",
            chatter.rpm
        ),
        None => format!("Below the curve is stable. At {:.0} rev/min no pass should chatter.", chatter.rpm),
    };
    let of = if chatter.likely_from().is_some() { Of::Warn } else { Of::Part };
    d.text(p(LEFT, HEIGHT - 7.0), Anchor::Start, TEXT, true, of, words);
    let quiet = Value::SurfaceMPerMin(chatter.cutting.quiet_below_m_per_min());
    let words = format!(
        "First mode {}; below {} the tool's rub stills any width (good to a factor of two).",
        show::value(&Value::Hz(chatter.cutting.mode.hz), unit),
        show::value(&quiet, unit)
    );
    d.text(p(LEFT, HEIGHT - 2.0), Anchor::Start, SMALL * 1.15, false, Of::Note, words);
    d.trim();
    Some(d)
}

/// Round widths up to `top` millimetres, three to six of them.
fn ticks(top: f64) -> Vec<f64> {
    let decade = 10f64.powf((top / 3.0).log10().floor());
    let step = [5.0, 2.0, 1.0].into_iter().map(|k| k * decade).find(|s| top / s >= 3.0).unwrap_or(decade);
    (0..).map(|i| f64::from(i) * step).take_while(|w| *w < top).collect()
}

/// Waves in a turn at the fastest speed drawn, at most: from there down single lobes are seen.
const LOBES_SEEN: f64 = 8.0;

/// Speeds to draw, from somewhat below the slowest to somewhat above the fastest.
fn span(chatter: &Chatter) -> (f64, f64) {
    let all = || chatter.speeds_rpm.iter().copied().chain([chatter.rpm]);
    let (least, most) = (all().fold(f64::INFINITY, f64::min), all().fold(0.0, f64::max));
    let lobes = 60.0 * chatter.cutting.mode.hz / LOBES_SEEN;
    if most > least * 1.5 {
        (least / 1.3, (most * 1.3).max(lobes))
    } else {
        (least / 4.0, (most * 4.0).max(lobes))
    }
}
