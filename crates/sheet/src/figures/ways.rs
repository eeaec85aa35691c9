//! The ways side by side: hours, money and what is to be reckoned with for work that is spoiled.

use super::WIDTH;
use crate::drawing::{Anchor, Drawing, Fill, Line, Of, TEXT, p};
use crate::font;
use crate::paper::fitted;
use flankwise_bench::report::{Value, show};
use flankwise_bench::route::{Route, Way};
use flankwise_thread::Unit;

const ROW: f64 = 8.6;
const BAR: f64 = 4.6;
const TOP: f64 = 15.0;
const NAMES: f64 = 60.0;
const GAP: f64 = 5.0;
/// Between the longest words and the frame.
const EDGE: f64 = 2.0;
/// Room for the name above its bars, where there is none beside them.
const ABOVE: f64 = 4.5;

/// Where names, bars and rows lie.
struct Layout {
    /// Names stand above their bars, not beside them.
    above: bool,
    row: f64,
}

impl Layout {
    fn of(width: f64) -> Self {
        let above = width < WIDTH;
        Self { above, row: if above { ROW + ABOVE } else { ROW } }
    }
    /// Middle of the bars of a row.
    fn bar(&self, row: usize) -> f64 {
        TOP + self.row * (row as f64 + 1.0) - ROW / 2.0
    }
    /// Line of the words beside them.
    fn words(&self, row: usize) -> f64 {
        self.bar(row) + font::CAP_HEIGHT * TEXT / 2.0
    }
    /// Line of the name.
    fn name(&self, row: usize) -> f64 {
        if self.above { self.words(row) - ABOVE - ROW / 4.0 } else { self.words(row) }
    }
}

/// One measure of every way.
struct Panel<'a> {
    head: String,
    amount: &'a dyn Fn(&Way) -> Option<f64>,
    written: &'a dyn Fn(f64) -> Value,
    of: Of,
}

/// Bars for each way that can be gone; the one taken in bold. None where there is nothing to compare.
pub fn ways(route: &Route, unit: Unit, across: f64) -> Option<Drawing> {
    let ways: Vec<&Way> = route.ways.iter().filter(|w| w.possible()).collect();
    if ways.len() < 2 {
        return None;
    }
    let money = |amount: f64| Value::Money(amount, route.currency.clone());
    let hours = |h: f64| Value::Seconds(h * 3600.0);
    let cost = |w: &Way| w.cost.as_ref().filter(|c| c.known > 0.0).map(|c| c.known);
    let outlay = |w: &Way| Some(w.outlay.known);
    let loss = |w: &Way| w.loss(route.rate);
    let again = |w: &Way| Some(w.risk.hours());
    let panels = [
        Panel { head: "Own work".into(), amount: &|w| Some(w.hours), written: &hours, of: Of::Part },
        if route.rate.is_some() {
            Panel { head: "Known cost".into(), amount: &cost, written: &money, of: Of::Mate }
        } else {
            Panel { head: "Known to spend".into(), amount: &outlay, written: &money, of: Of::Mate }
        },
        if route.rate.is_some() {
            Panel { head: "Expected loss".into(), amount: &loss, written: &money, of: Of::Warn }
        } else {
            Panel { head: "Work to do again".into(), amount: &again, written: &hours, of: Of::Warn }
        },
    ];
    let lies = Layout::of(across);
    let height = TOP + lies.row * ways.len() as f64 + 2.0;
    let mut d = Drawing::new("ways", "Ways side by side", across, height);
    d.caption(
        "Ways side by side",
        if lies.above {
            "+ a price to be asked"
        } else {
            "time, money, risk; + where a price is still to be asked"
        },
    );
    let taken = route.taken().map(|w| w.kind);
    for (i, way) in ways.iter().enumerate() {
        let bold = taken == Some(way.kind);
        let name = fitted(&way.name, bold, TEXT, if lies.above { across - EDGE } else { NAMES });
        d.text(p(1.0, lies.name(i)), Anchor::Start, TEXT, bold, Of::Note, name);
    }
    let from = if lies.above { 1.0 } else { NAMES + GAP };
    let width = (across - EDGE - from + GAP) / panels.len() as f64 - GAP;
    for (k, panel) in panels.iter().enumerate() {
        let x = from + (width + GAP) * k as f64;
        bars(&mut d, panel, &ways, (x, width), &lies, unit);
    }
    d.about = ways.iter().map(|w| told(w, route, unit)).collect::<Vec<_>>().join(" ");
    Some(d)
}

/// One panel, from `x` on and so wide.
fn bars(d: &mut Drawing, panel: &Panel, ways: &[&Way], (x, width): (f64, f64), lies: &Layout, unit: Unit) {
    let at = p(x, TOP);
    d.text(at - p(0.0, 3.0), Anchor::Start, TEXT, true, Of::Note, panel.head.as_str());
    let most = ways.iter().filter_map(|w| (panel.amount)(w)).fold(0.0, f64::max);
    for i in 0..ways.len() {
        let middle = lies.bar(i);
        d.line(p(x, middle - ROW / 2.0), p(x, middle + ROW / 2.0), Line::Narrow, Of::Note);
    }
    for (i, way) in ways.iter().enumerate() {
        let Some(amount) = (panel.amount)(way) else {
            d.text(p(x + 1.5, lies.words(i)), Anchor::Start, TEXT, false, Of::Faint, "to ask");
            continue;
        };
        // Words after the bar, or within the room of the longest where they would leave the panel.
        let open = panel.of == Of::Mate && !way.outlay.closed();
        let words = show::value(&(panel.written)(amount), unit) + if open { " +" } else { "" };
        let room = width - font::width(&words, false, TEXT) - 2.0;
        let long = if most > 0.0 { room.max(4.0) * amount / most } else { 0.0 };
        let top = p(x, lies.bar(i) - BAR / 2.0);
        if long > 0.05 {
            d.rect(top, top + p(long, BAR), Some(Line::Narrow), Fill::Tint, panel.of);
        }
        d.text(p(x + long + 1.5, lies.words(i)), Anchor::Start, TEXT, false, panel.of, words);
    }
}

fn told(way: &Way, route: &Route, unit: Unit) -> String {
    let cost = way
        .cost
        .as_ref()
        .map_or_else(|| "no rate".to_owned(), |c| show::value(&c.value(&route.currency), unit));
    format!(
        "{}: {} of work, cost {cost}, spoiled with a chance of {}.",
        way.name,
        show::value(&Value::Seconds(way.hours * 3600.0), unit),
        show::value(&Value::Share(way.risk.chance()), unit)
    )
}
