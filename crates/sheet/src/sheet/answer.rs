//! The first page: everything that is needed at the lathe, large.

use super::blocks::{Writer, runs, value};
use crate::drawing::{Anchor, Drawing, Fill, Line, Of, P, p};
use crate::font;
use crate::paper::{BODY, LESSER, Run, WIDTH, Words};
use flankwise_bench::Whole;
use flankwise_bench::cut::{Cut, Pass, PassKind};
use flankwise_bench::fit::{Fit, Size};
use flankwise_bench::job::Job;
use flankwise_bench::report::{Fine, NoteKind, StageName, Value, show};
use flankwise_bench::setup::{HalfNuts, Room, Setup};
use flankwise_bench::tool::Tool;
use flankwise_thread::{Element, Hand, Length, Unit};

/// Size of the large figures, mm: read at arm's length.
const LARGE: f64 = 5.6;
const PAD: f64 = 2.4;

/// One figure to read at the lathe.
struct Fact {
    what: String,
    value: String,
    /// Below the value: limits, a remark.
    sub: String,
}

struct Panel {
    title: &'static str,
    facts: Vec<Fact>,
    /// Instead of facts, where the stage has no result.
    missing: Vec<Run>,
}

pub fn page(w: &mut Writer, job: &Job, whole: &Whole) {
    thread(w, job, whole);
    impossible(w, whole);
    for text in whole.fit.result.iter().flat_map(|f| &f.beware) {
        let words = runs(text, w.unit, false);
        w.paper.notice("Before you cut", &words, Of::Part, 0.0);
    }
    let unit = w.unit;
    let sizes = panel(w, whole, StageName::Fit, "Sizes to make", whole.fit.result.as_ref(), |f| {
        sizes(f, whole, unit)
    });
    let tool = panel(w, whole, StageName::Tool, "Tool", whole.tool.result.as_ref(), |t| {
        tool(t, job.make.part, unit)
    });
    let gears = panel(w, whole, StageName::Setup, "Gears", whole.setup.result.as_ref(), |s| gears(s, unit));
    let speed = panel(w, whole, StageName::Setup, "Speed and half-nuts", whole.setup.result.as_ref(), |s| {
        speed(s, unit)
    });
    row(w, &sizes, &tool);
    row(w, &gears, &speed);
}

/// What it is, in letters to be read across the shop, with how sure that is and what the story was.
fn thread(w: &mut Writer, job: &Job, whole: &Whole) {
    let at = w.paper.here();
    let unit = w.unit;
    let Some(identity) = &whole.identity.result else {
        w.paper.ink().text(at + p(0.0, 9.0), Anchor::Start, 9.0, true, Of::Part, "Thread not known yet");
        w.paper.take(12.0);
        w.needs(whole.said(StageName::Identity).needs);
        return;
    };
    let thread = whole.fit.result.as_ref().map_or(&identity.thread, |f| &f.thread);
    let name = thread.to_string();
    // As large as half the width allows.
    let size = (13.0f64).min(13.0 * 92.0 / font::width(&name, true, 13.0));
    let d = w.paper.ink();
    d.text(at + p(0.0, 11.0), Anchor::Start, size, true, Of::Part, name);
    let made = whole.fit.result.as_ref().map_or(job.make.part, |f| f.part);
    let hand = if thread.hand == Hand::Left { "LEFT HAND" } else { "right hand" };
    let starts =
        if thread.starts == 1 { "single start".to_owned() } else { format!("{} STARTS", thread.starts) };
    let part = if made == Element::Internal { "Nut" } else { "Screw" };
    // Sizes may be refused for a thread that the readings contradict: the reason stands below.
    let todo =
        if whole.fit.impossible() && whole.fit.result.is_none() { "cannot be sized" } else { "to make" };
    let kind = format!("{part} {todo} · {hand} · {starts}");
    d.text(at + p(0.0, 18.0), Anchor::Start, 4.0, true, Of::Part, kind);

    let mut words = Vec::new();
    let likely = identity.candidates.iter().find(|c| c.thread == identity.thread);
    if let Some(c) = likely {
        words.push(Run::new("Probability "));
        words.push(Run::bold(value(&Value::Share(c.probability), unit)));
        words.push(Run::new(if identity.chosen_by_hand {
            ", chosen by hand against the ranking.\n"
        } else {
            ".\n"
        }));
    } else if identity.chosen_by_hand {
        words.push(Run::new("Chosen by hand.\n"));
    }
    if let Some(story) = &identity.story {
        words.push(Run::new(format!("Told: {}. ", story.told.trim_end_matches('.'))));
        words.push(Run::bold(match story.stands {
            Some(true) => "That stands.",
            Some(false) => "That is not so.",
            None => "",
        }));
        if let (Some(false), Some(reason)) = (story.stands, story.reasons.first()) {
            words.push(Run::new(format!(" {reason}")));
        }
    }
    let words = Words::set(&words, LESSER * 1.08, WIDTH - 98.0);
    words.draw(w.paper.ink(), at + p(98.0, 1.0));
    w.paper.take(words.height().max(18.0) + 4.0);
}

fn impossible(w: &mut Writer, whole: &Whole) {
    for stage in StageName::ALL {
        for note in whole.said(stage).notes {
            if note.kind == NoteKind::Impossible {
                let words = runs(&note.text, w.unit, true);
                w.paper.notice("Not possible", &words, Of::Warn, 0.0);
            }
        }
    }
}

fn panel<T>(
    w: &Writer,
    whole: &Whole,
    stage: StageName,
    title: &'static str,
    result: Option<&T>,
    facts: impl Fn(&T) -> Vec<Fact>,
) -> Panel {
    let _ = w;
    match result {
        Some(result) => Panel { title, facts: facts(result), missing: Vec::new() },
        None => {
            let mut missing = vec![Run::bold("Not computed.")];
            for need in whole.said(stage).needs {
                missing.push(Run::new(" Missing: "));
                missing.push(Run::bold(need.field.clone()));
                missing.push(Run::new(format!(", {}.", need.what.trim_end_matches('.'))));
            }
            Panel { title, facts: Vec::new(), missing }
        }
    }
}

fn sizes(fit: &Fit, whole: &Whole, unit: Unit) -> Vec<Fact> {
    let size = |what: &str, size: Size, fine: Fine| {
        let band = if size.min == size.max {
            String::new()
        } else {
            value(&Value::Band(size.min, size.max, fine), unit)
        };
        Fact { what: what.to_owned(), value: value(&Value::Length(size.aim, fine), unit), sub: band }
    };
    let (blank, bottom, pitch) = match fit.part {
        Element::Internal => ("Bore before threading, D1", "Bottom of groove, D4", "Pitch diameter, D2"),
        Element::External => ("Turn before threading, d", "Bottom of groove, d3", "Pitch diameter, d2"),
    };
    let mut facts = vec![
        size(blank, fit.blank, Fine::Shop),
        size(bottom, fit.bottom, Fine::Shop),
        if fit.upright() {
            size("Width of the groove", fit.groove, Fine::Gauge)
        } else {
            size(pitch, fit.pitch_diameter, Fine::Shop)
        },
        Fact {
            what: "Depth of groove, on the radius".to_owned(),
            value: value(
                &Value::Length(deepest(whole).map_or(fit.depth, |(_, p)| p.depth), Fine::Shop),
                unit,
            ),
            sub: last_reading(whole, unit),
        },
        Fact {
            what: "Length of thread".to_owned(),
            value: value(&Value::Length(fit.length, Fine::Coarse), unit),
            sub: match fit.relief {
                Some(relief) if !fit.through => {
                    format!("blind, relief {}", value(&Value::Length(relief, Fine::Coarse), unit))
                }
                _ if fit.through => "right through".to_owned(),
                _ => "blind".to_owned(),
            },
        },
    ];
    if let Some((tight, loose)) = fit.play_range() {
        let play = |l| Value::Length(l, Fine::Play);
        let book = fit.play_range_by_book().map(|(a, b)| value(&Value::Band(a, b, Fine::Play), unit));
        let mut loose = format!("to {} at the loosest", value(&play(loose), unit));
        // What the readings leave open is that of the play as it is cut: a nut that is set has the play it is set to.
        if let Some(t) = fit.travelled.filter(|t| !t.is_set()) {
            let (at, open) = (t.tightest.play(), t.tightest.u * 2.0);
            let open = value(&Value::Band(at - open, at + open, Fine::Play), unit);
            let lead = if fit.lead_not_counted { ", without the lead, which was not counted" } else { "" };
            loose = format!("the readings leave it open from {open}{lead}; {loose}");
        }
        facts.push(Fact {
            what: if fit.pressed.is_some() {
                "Play on this mate once pressed in, at the tightest".to_owned()
            } else {
                "Play on this mate, at the tightest".to_owned()
            },
            value: value(&play(tight), unit),
            sub: book.map_or(loose.clone(), |b| format!("{loose}; by the book {b}")),
        });
    }
    if let Some(body) = fit.body {
        facts.push(size("Outside of the body", body, Fine::Gauge));
    }
    if let Some(pressed) = fit.pressed {
        facts.push(Fact {
            what: "Closes when pressed in, on the diameter".to_owned(),
            value: value(&Value::Length(pressed.closing.1, Fine::Gauge), unit),
            sub: "at most; the sizes above allow for it".to_owned(),
        });
    }
    facts
}

/// The pass that takes the last of the depth, which is counted from the blank as it was measured.
fn deepest(whole: &Whole) -> Option<(&Cut, &Pass)> {
    let cut = whole.cut.result.as_ref()?;
    Some((cut, cut.passes.iter().rfind(|p| p.kind == PassKind::Cutting)?))
}

/// What the readout stands at when the groove is deep enough.
fn last_reading(whole: &Whole, unit: Unit) -> String {
    let Some((cut, last)) = deepest(whole) else { return String::new() };
    // Where the compound feeds, the cross-slide comes back to zero each time.
    if last.by_compound() {
        return format!("compound {}", value(&cut.setting(last), unit));
    }
    let on = if cut.readout_on_diameter { "diameter" } else { "radius" };
    format!("{} {} on the {on}", cut.shown_on, value(&cut.setting(last), unit))
}

fn tool(tool: &Tool, part: Element, unit: Unit) -> Vec<Fact> {
    let fact =
        |what: &str, v: Value, sub: String| Fact { what: what.to_owned(), value: value(&v, unit), sub };
    let shop = |l: Length| Value::Length(l, Fine::Shop);
    let coarse = |l: Length| Value::Length(l, Fine::Coarse);
    let angle = |a| Value::Angle(a, 1);
    // A bar of 5/8 in is 0.625.
    let size = |l: Length| Value::Length(l, if unit == Unit::Inch { Fine::Shop } else { Fine::Coarse });
    let held = match tool.bar.and_then(|i| tool.bars.get(i)) {
        Some(trial) => vec![
            fact("Bar", size(trial.bar.size), trial.bar.words()),
            fact("Stick-out", coarse(tool.stick_out), String::new()),
        ],
        // An outside thread is cut with a short tool that passes no bore.
        None if part == Element::External => {
            vec![fact("Overhang, at most", coarse(tool.stick_out), String::new())]
        }
        None => vec![
            fact("Bar, largest that passes", size(tool.largest_bar), "none on hand fits".to_owned()),
            fact("Stick-out", coarse(tool.stick_out), String::new()),
        ],
    };
    let band = Value::Band(tool.tip_in_face.min, tool.tip_in_face.max, Fine::Shop);
    let mut facts = vec![
        fact("Tip width", shop(tool.tip_in_face.aim), value(&band, unit)),
        fact("Included angle", angle(tool.ground.included()), String::new()),
        fact("Length of tip", shop(tool.tip_length), String::new()),
        fact(
            "Relief, leading side",
            angle(tool.reliefs.on(tool.leads)),
            format!("following side {}", value(&angle(tool.reliefs.on(tool.follows())), unit)),
        ),
    ];
    facts.extend(held);
    facts
}

fn gears(setup: &Setup, unit: Unit) -> Vec<Fact> {
    let Some(train) = setup.train() else {
        let why = match setup.trains.first() {
            Some(t) if t.meshes => format!("the nearest is off by {}", value(&Value::Ppm(t.error_ppm), unit)),
            Some(t) => show::text(&t.why_not, unit),
            None => String::new(),
        };
        let what = "No train of the gears on hand cuts this lead".to_owned();
        return vec![Fact { what, value: "none".to_owned(), sub: why }];
    };
    let list = |gears: &[u32]| gears.iter().map(u32::to_string).collect::<Vec<_>>().join(", ");
    let mut facts = Vec::new();
    if let Some(setting) = &train.gearbox {
        facts.push(Fact { what: "Gearbox".to_owned(), value: setting.clone(), sub: String::new() });
    }
    facts.push(Fact {
        what: "Drivers, from the stud on".to_owned(),
        value: list(&train.drivers),
        sub: String::new(),
    });
    let idlers: Vec<u32> = train.idlers.iter().map(|i| i.teeth).collect();
    facts.push(Fact {
        what: "Driven, to the lead screw".to_owned(),
        value: list(&train.driven),
        sub: match idlers.len() {
            0 => String::new(),
            1 => format!("through {} as idler", list(&idlers)),
            _ => format!("through {} as idlers", list(&idlers)),
        },
    });
    facts.push(Fact {
        what: "Lead it cuts".to_owned(),
        value: value(&Value::Length(train.lead, Fine::Gauge), unit),
        sub: format!("error {}", value(&Value::Ppm(train.error_ppm), unit)),
    });
    facts
}

fn speed(setup: &Setup, unit: Unit) -> Vec<Fact> {
    let rpm = |n: f64| value(&Value::Rpm(n), unit);
    let limit = match setup.rpm_reaction {
        _ if setup.room == Room::Unknown => "room at the end not said".to_owned(),
        Some(n) if n < setup.rpm_surface => format!("you can stop up to {}", rpm(n)),
        _ => format!("surface speed allows {}", rpm(setup.rpm_surface)),
    };
    let (rule, sub) = match &setup.half_nuts {
        HalfNuts::Anywhere => ("anywhere".to_owned(), "open and close as you like".to_owned()),
        HalfNuts::Marks(marks, words) => (
            format!("marks {}", marks.iter().map(u32::to_string).collect::<Vec<_>>().join(", ")),
            words.clone(),
        ),
        HalfNuts::Shift(shift) => (
            format!("every {}", value(&Value::Length(*shift, Fine::Shop), unit)),
            "of carriage travel only; no dial shows it".to_owned(),
        ),
        HalfNuts::KeepClosed => {
            let back = if setup.runs_back {
                "reverse the spindle to go back"
            } else {
                "turn the spindle back by hand"
            };
            ("keep closed".to_owned(), back.to_owned())
        }
    };
    let speed = setup.rpm.map_or_else(|| "none".to_owned(), rpm);
    let mut facts = vec![
        Fact { what: "Spindle speed".to_owned(), value: speed, sub: limit },
        Fact { what: "Half-nuts".to_owned(), value: rule, sub },
    ];
    facts.extend(setup.overrun.map(|overrun| Fact {
        what: "Overrun after the mark".to_owned(),
        value: value(&Value::Length(overrun, Fine::Coarse), unit),
        sub: String::new(),
    }));
    facts
}

fn row(w: &mut Writer, left: &Panel, right: &Panel) {
    let width = (WIDTH - 6.0) / 2.0;
    let height = left.height(width).max(right.height(width));
    w.paper.keep(height);
    let at = w.paper.here();
    let d = w.paper.ink();
    left.draw(d, at, width, height);
    right.draw(d, at + p(width + 6.0, 0.0), width, height);
    w.paper.take(height + 4.0);
}

/// A fact's parts as set: words at the left, value and remark at the right.
struct Laid {
    what: Words,
    value_size: f64,
    sub: Words,
    height: f64,
}

impl Fact {
    fn lay(&self, width: f64) -> Laid {
        let words_width = width * 0.42;
        let room = width - words_width - 2.0;
        let natural = font::width(&self.value, true, LARGE);
        let value_size = if natural > room { LARGE * room / natural } else { LARGE };
        let what = Words::set(&[Run::new(self.what.clone())], BODY * 0.95, words_width);
        let sub = Words::set(&[Run::new(self.sub.replace('\u{a0}', " "))], LESSER, room);
        let sub_height = if self.sub.is_empty() { 0.0 } else { sub.height() };
        let height = (LARGE * 1.18 + sub_height).max(what.height() + 1.0) + 1.2;
        Laid { what, value_size, sub, height }
    }
}

impl Panel {
    fn height(&self, width: f64) -> f64 {
        let inner = width - 2.0 * PAD;
        let facts: f64 = self.facts.iter().map(|f| f.lay(inner).height).sum();
        let missing =
            if self.missing.is_empty() { 0.0 } else { Words::set(&self.missing, BODY, inner).height() + 2.0 };
        8.0 + facts + missing + 1.0
    }

    fn draw(&self, d: &mut Drawing, at: P, width: f64, height: f64) {
        let inner = width - 2.0 * PAD;
        d.rect(at, at + p(width, 6.4), None, Fill::Tint, Of::Part);
        d.rect(at, at + p(width, height), Some(Line::Narrow), Fill::None, Of::Note);
        d.text(at + p(PAD, 4.6), Anchor::Start, 3.6, true, Of::Part, self.title);
        let mut y = at.y + 7.6;
        if !self.missing.is_empty() {
            Words::set(&self.missing, BODY, inner).draw(d, p(at.x + PAD, y));
        }
        for (i, fact) in self.facts.iter().enumerate() {
            let laid = fact.lay(inner);
            if i > 0 {
                d.line(p(at.x + PAD, y - 0.4), p(at.x + width - PAD, y - 0.4), Line::Hair, Of::Faint);
            }
            laid.what.draw(d, p(at.x + PAD, y + 0.9));
            let right = at.x + width - PAD;
            let value = fact.value.replace('\u{a0}', " ");
            d.text(p(right, y + LARGE * 0.93), Anchor::End, laid.value_size, true, Of::Part, value);
            if !fact.sub.is_empty() {
                laid.sub.draw_right(d, right, y + LARGE * 1.18);
            }
            y += laid.height;
        }
    }
}
