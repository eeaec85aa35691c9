//! Two threads over each other.

use super::{profile, shop, sizes_in};
use crate::drawing::{Anchor, Drawing, Fill, Item, Line, Of, Path, Scale, TEXT, View, flatten, p};
use flankwise_bench::evidence::uncertainty::weighted;
use flankwise_bench::evidence::{Evidence, Weighed};
use flankwise_bench::identity::Identity;
use flankwise_bench::job::{Feature, Quantity};
use flankwise_bench::report::{Value, show};
use flankwise_thread::{Element, Length, Thread, Unit};

const HEIGHT: f64 = 66.0;
const TOP: f64 = 16.0;
const RIGHT: f64 = 36.0;
/// Height of the comb that marks the pitch read.
const COMB: f64 = 6.0;

fn share(probability: f64) -> String {
    show::value(&Value::Share(probability), Unit::Mm)
}

/// What was read of the screw, in mm.
#[derive(Default)]
struct Marks {
    /// Diameters: of each kind the largest and the smallest.
    diameters: Vec<f64>,
    /// The mean of the pitches read, each weighed by its certainty.
    pitch: Option<f64>,
}

impl Marks {
    fn of(readings: &[Weighed]) -> Self {
        let of = |feature| {
            readings.iter().filter(move |r| r.part == Element::External && r.feature == feature).filter_map(
                |r| match (r.value, r.u) {
                    (Quantity::Length(v, _), Quantity::Length(u, _)) => Some((v.to_mm(), u.to_mm())),
                    _ => None,
                },
            )
        };
        let mut diameters: Vec<f64> = Vec::new();
        for feature in [Feature::MajorDiameter, Feature::PitchDiameter, Feature::MinorDiameter] {
            let (low, high) =
                of(feature).fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), (v, _)| (a.min(v), b.max(v)));
            diameters.extend([low, high].into_iter().filter(|v| v.is_finite()));
        }
        diameters.dedup();
        let pitches: Vec<_> = of(Feature::Pitch).map(|(v, u)| (v, u.max(1e-6))).collect();
        Self { diameters, pitch: weighted(&pitches).map(|(mean, _)| mean) }
    }
}

/// A thread in an overlay, and what stands beside its name.
type Laid<'t> = (&'t Thread, String);

/// Profiles of the first two candidates' screws (or of the first and the owner's story, where no rival is left), with the
/// readings of the screw marked: diameters as levels, the mean pitch as a comb over the crests; `width` mm wide. None with
/// fewer than two candidates of different size.
pub fn candidates_overlay(
    identity: &Identity,
    evidence: Option<&Evidence>,
    unit: Unit,
    width: f64,
) -> Option<Drawing> {
    let a = identity.candidates.first()?;
    let differs = |x: &Thread| {
        let y = &a.thread;
        x.family != y.family || x.nominal != y.nominal || x.pitch.length != y.pitch.length
    };
    // A rival that hardly counts shows less than what the owner believes.
    let rival = identity.candidates.iter().skip(1).find(|c| differs(&c.thread));
    let told = identity.story.as_ref().and_then(|s| s.thread.as_ref()).filter(|t| differs(t));
    let (other, weight) = match (rival, told) {
        (Some(rival), _) if rival.probability >= 0.01 => (&rival.thread, share(rival.probability)),
        (_, Some(told)) => (told, "as told".to_owned()),
        (Some(rival), None) => (&rival.thread, share(rival.probability)),
        (None, None) => return None,
    };
    let read = evidence.map(|e| Marks::of(&e.readings)).unwrap_or_default();
    overlay("candidates", [(&a.thread, share(a.probability)), (other, weight)], read, unit, width)
}

/// Profiles of any two threads' screws, laid over each other, `width` mm wide. None where the sizes of one are no thread's.
pub fn two_threads(a: &Thread, b: &Thread, unit: Unit, width: f64) -> Option<Drawing> {
    overlay("beside", [(a, String::new()), (b, String::new())], Marks::default(), unit, width)
}

/// The screws of both at basic sizes, laid together in the first groove on the left, to show where they part.
fn overlay(key: &str, both: [Laid<'_>; 2], read: Marks, unit: Unit, width: f64) -> Option<Drawing> {
    let (a, b) = (both[0].0, both[1].0);
    let title = format!("{a} over {b}");
    let mut d = Drawing::new(key, title.clone(), width, HEIGHT);
    let basics = both.each_ref().map(|(t, _)| t.basic());
    if basics.iter().any(|s| s.d3 <= Length::ZERO || s.d3 >= s.d) {
        return None;
    }
    let pitch = basics[0].p.to_mm().max(basics[1].p.to_mm());
    let high = basics.iter().map(|s| s.d.to_mm()).fold(0.0, f64::max) / 2.0;
    let low = basics.iter().map(|s| s.d3.to_mm()).fold(f64::INFINITY, f64::min) / 2.0;
    let (left, w) = (2.0, width - RIGHT - 4.0);
    // Four pitches at least, so that a small difference of pitch has room to add up.
    let scale = Scale::largest(4.0 * pitch, high - low, w, HEIGHT - TOP - COMB - 14.0);
    let end = left + w;
    let top = if read.pitch.is_some() { TOP + COMB } else { TOP };
    let view = View { origin: p(left, top + high * scale.factor), scale: scale.factor };
    d.caption(&title, &format!("screws at basic sizes, scale {scale}, {}", sizes_in(unit)));
    d.about = format!("The outlines of {a} and {b} drawn over each other from a common groove.");
    let mut names = Vec::new();
    for (i, (((thread, weight), basic), (line, of))) in
        both.iter().zip(&basics).zip([(Line::Wide, Of::Part), (Line::Phantom, Of::Book)]).enumerate()
    {
        let p_mm = basic.p.to_mm();
        let count = (w / (p_mm * scale.factor)).floor().max(1.0) as usize;
        let (start, segs) = profile::run(&basic.outline(Element::External), p_mm, 0.0, count, &view);
        let last = *flatten(start, &segs).last()?;
        d.items.push(Item::Path(Path { start, segs, closed: false, line: Some(line), fill: Fill::None, of }));
        let crest = view.at(0.0, basic.d.to_mm() / 2.0).y;
        names.push((p(last.x.min(end - 1.0) + 0.5, last.y), of, format!("d3 {}", shop(basic.d3, unit))));
        let x = last.x - p_mm * scale.factor / 2.0;
        names.push((p(x, crest), of, format!("d {}", shop(basic.d, unit))));
        let words = format!("{thread}   {weight}").trim_end().to_owned();
        let y = view.at(0.0, low).y + 15.0 + 5.0 * i as f64;
        d.line(p(left, y - 1.2), p(left + 16.0, y - 1.2), line, of);
        d.text(p(left + 19.0, y), Anchor::Start, TEXT, i == 0, of, words);
    }
    for mm in read.diameters {
        let y = view.at(0.0, mm / 2.0).y;
        d.line(p(left, y), p(end, y), Line::Centre, Of::Mate);
        names.push((p(end, y), Of::Mate, format!("read {}", shop(Length::mm(mm), unit))));
    }
    if let Some(mm) = read.pitch {
        let (crest, step) = (view.at(0.0, high).y, mm * scale.factor);
        let teeth = (w / step).floor().max(1.0);
        let rail = crest - COMB;
        d.line(p(left, rail), p(left + teeth * step, rail), Line::Narrow, Of::Mate);
        for i in 0..=teeth as u32 {
            let x = left + f64::from(i) * step;
            d.line(p(x, rail), p(x, crest - 1.0), Line::Narrow, Of::Mate);
        }
        let words = format!("read pitch {}", shop(Length::mm(mm), unit));
        names.push((p(left + teeth * step, rail), Of::Mate, words));
    }
    d.levels(end + 6.0, names);
    d.trim();
    Some(d)
}
