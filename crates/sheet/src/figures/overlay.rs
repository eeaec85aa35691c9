//! The two likeliest threads over each other.

use super::{WIDTH, profile, shop, sizes_in};
use crate::drawing::{Anchor, Drawing, Fill, Item, Line, Of, Path, Scale, TEXT, View, flatten, p};
use flankwise_bench::identity::Identity;
use flankwise_bench::report::{Value, show};
use flankwise_thread::{Element, Thread, Unit};

const HEIGHT: f64 = 66.0;
const TOP: f64 = 16.0;
const RIGHT: f64 = 36.0;

fn share(probability: f64) -> String {
    show::value(&Value::Share(probability), Unit::Mm)
}

/// Profiles of the first two candidates' screws (or of the first and the owner's story, where no rival is left) at basic sizes, laid together in the first groove on the left, to
/// show where they part. None with fewer than two candidates of different size.
pub fn candidates_overlay(identity: &Identity, unit: Unit) -> Option<Drawing> {
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
    let both = [(&a.thread, share(a.probability)), (other, weight)];
    let title = format!("{} over {}", a.thread, other);
    let mut d = Drawing::new("candidates", title.clone(), WIDTH, HEIGHT);
    let basics = both.each_ref().map(|(t, _)| t.basic());
    let pitch = basics[0].p.to_mm().max(basics[1].p.to_mm());
    let high = basics.iter().map(|s| s.d.to_mm()).fold(0.0, f64::max) / 2.0;
    let low = basics.iter().map(|s| s.d3.to_mm()).fold(f64::INFINITY, f64::min) / 2.0;
    let (left, w) = (2.0, WIDTH - RIGHT - 4.0);
    // Four pitches at least, so that a small difference of pitch has room to add up.
    let scale = Scale::largest(4.0 * pitch, high - low, w, HEIGHT - TOP - 14.0);
    let end = left + w;
    let view = View { origin: p(left, TOP + high * scale.factor), scale: scale.factor };
    d.caption(&title, &format!("screws at basic sizes, scale {scale}, {}", sizes_in(unit)));
    d.about =
        format!("The outlines of {} and {} drawn over each other from a common groove.", a.thread, other);
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
        let words = format!("{thread}   {weight}");
        let y = view.at(0.0, low).y + 15.0 + 5.0 * i as f64;
        d.line(p(left, y - 1.2), p(left + 16.0, y - 1.2), line, of);
        d.text(p(left + 19.0, y), Anchor::Start, TEXT, i == 0, of, words);
    }
    d.levels(end + 6.0, names);
    d.trim();
    Some(d)
}
