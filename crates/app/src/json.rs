//! Writes results as JSON. Lengths are in millimetres and say so in their key; a figure or cell that is not a
//! plain number of a base unit carries its unit beside it.

use flankwise_bench::cut::{Pass, PassKind};
use flankwise_bench::fit::{Fit, Size, Spot, Station, Wear};
use flankwise_bench::identity::{Beside, Identity, Shows, Wrong};
use flankwise_bench::job::{Quantity, Words};
use flankwise_bench::quotation::Quotation;
use flankwise_bench::reference::Reference;
use flankwise_bench::report::{
    Answer, Block, Figure, Mark, Need, Note, NoteKind, Outcome, Section, StageName, Table, Text,
    Value as Shown, show,
};
use flankwise_bench::route::{Route, Way};
use flankwise_bench::setup::{Layout, Train};
use flankwise_bench::{Said, Whole};
use flankwise_thread::catalogue::Near;
use flankwise_thread::limits::{ElementLimits, Limits, Range};
use flankwise_thread::{Element, Hand, Length, Thread, Unit};
use serde_json::{Map, Value, json};

/// A value as `{"value": …, "unit": …}`, or bare where no unit belongs to it.
pub fn value(v: &Shown) -> Value {
    let with = |x: f64, unit: &str| json!({"value": number(x), "unit": unit});
    match v {
        Shown::Length(l, _) | Shown::Setting(l, _) => with(l.to_mm(), "mm"),
        Shown::Band(lo, hi, _) => json!({"min": number(lo.to_mm()), "max": number(hi.to_mm()), "unit": "mm"}),
        Shown::Pitch(p) => with(p.length.to_mm(), "mm"),
        Shown::Angle(a, _) => with(a.to_deg(), "deg"),
        Shown::Force(f) => with(f.to_newton(), "N"),
        Shown::TorqueNm(x) => with(*x, "N m"),
        Shown::Mpa(x) => with(*x, "N/mm2"),
        Shown::Rpm(x) => with(*x, "rev/min"),
        Shown::SurfaceMPerMin(x) => with(*x, "m/min"),
        Shown::Seconds(x) => with(*x, "s"),
        Shown::Kg(x) => with(*x, "kg"),
        Shown::Money(x, currency) => json!({"value": number(*x), "unit": currency}),
        Shown::Mm2(x) => with(*x, "mm2"),
        Shown::NPerMm(x) => with(*x, "N/mm"),
        Shown::Hz(x) => with(*x, "Hz"),
        Shown::PowerKw(x) => with(*x, "kW"),
        Shown::Share(x) | Shown::Number(x, _) => number(*x),
        Shown::Ppm(x) => with(*x, "ppm"),
        Shown::Bits(x) => with(*x, "bit"),
        Shown::Count(n) => json!(n),
        Shown::Yes(b) => json!(b),
        Shown::Word(w) => json!(w),
        Shown::Said(text) => json!(show::text(text, Unit::Mm)),
        Shown::None => Value::Null,
    }
}

/// A number to nine significant digits: enough for a nanometre on a metre, and free of the noise of binary
/// fractions, and of a zero below nothing.
fn number(x: f64) -> Value {
    if !x.is_finite() {
        return Value::Null;
    }
    let rounded: f64 = format!("{x:.8e}").parse().unwrap_or(x);
    json!(rounded + 0.0)
}

/// One stage as its command prints it: what it says, and for some stages the contract's own fields.
pub fn stage(whole: &Whole, stage: StageName, unit: Unit) -> Value {
    let said_here = whole.said(stage);
    let mut out = said(&said_here, unit);
    match stage {
        StageName::Identity => out = identity(whole.identity.result.as_ref(), &said_here, unit),
        StageName::Fit => {
            if let Some(fit) = &whole.fit.result {
                out["thread"] = thread(&fit.thread);
                out["sizes"] = sizes(fit);
                out["play"] = fit.stations.iter().map(station).collect();
                out["travel"] = fit.travel.iter().map(spot).collect();
                out["mate"] = json!(fit.mate_wear.map(Wear::words));
            }
        }
        StageName::Cut => {
            if let Some(cut) = &whole.cut.result {
                out["passes"] = cut.passes.iter().map(pass).collect();
                out["done"] = json!(cut.done);
                out["readout_on_diameter"] = json!(cut.readout_on_diameter);
                out["seconds"] = number(cut.seconds);
            }
        }
        StageName::Setup => {
            if let Some(setup) = &whole.setup.result {
                out["trains"] = trains(&setup.trains, setup.searched)["trains"].take();
                out["rpm"] = json!(setup.rpm.map(number));
            }
        }
        StageName::Route => {
            if let Some(route) = &whole.route.result {
                out["ways"] = route.ways.iter().map(|w| way(w, route)).collect();
                out["taken"] = json!(route.taken().map(|w| w.kind.word()));
                out["choice"] =
                    json!(route.chosen.as_ref().map(|c| json!({"way": c.kind.word(), "because": c.because})));
            }
        }
        StageName::Evidence | StageName::Tool | StageName::Check => {}
    }
    out
}

/// Money in the route's currency; null where it is not known.
fn way(w: &Way, route: &Route) -> Value {
    let mm = |l: Length| number(l.to_mm());
    json!({
        "way": w.kind.word(),
        "name": w.name,
        "possible": w.possible(),
        "why_not": w.impossible.as_ref().map(|t| show::text(t, Unit::Mm)),
        "hours": number(w.hours),
        "outlay": number(w.outlay.known),
        "open": w.outlay.open,
        "cost": w.cost.as_ref().map(|c| number(c.known)),
        "currency": route.currency,
        "chance_spoiled": number(w.risk.chance()),
        "expected_hours_lost": number(w.risk.hours()),
        "expected_loss": w.loss(route.rate).map(number),
        "days": number(w.days),
        "as_asked": w.as_asked,
        "play_mm": w.play.map(|(a, b)| [mm(a), mm(b)]),
        "own_figures": w.own,
        "own_note": w.own_note,
    })
}

/// The quotation as `quotation --json` prints it.
pub fn quotation(outcome: &Outcome<Quotation>, unit: Unit) -> Value {
    let quotation = outcome.result.as_ref();
    let texts = |list: &[Text]| list.iter().map(|t| show::text(t, unit)).collect::<Vec<_>>();
    let offered = |q: &Quotation| -> Vec<Value> {
        q.offered
            .iter()
            .map(|o| {
                json!({
                    "way": o.kind.word(),
                    "what": o.what,
                    "price": o.price.map(number),
                    "price_from": o.from.as_ref().map(|(known, _)| number(*known)),
                    "price_open": o.from.as_ref().map(|(_, open)| open),
                    "days": number(o.days),
                    "chance_made_again": number(o.again),
                    "play_mm": o.play.map(|(a, b)| [number(a.to_mm()), number(b.to_mm())]),
                    "remarks": texts(&o.remarks),
                    "proposed": o.proposed,
                })
            })
            .collect()
    };
    json!({
        "number": quotation.and_then(|q| q.number.clone()),
        "found": quotation.map(|q| texts(&q.found)),
        "proposed": quotation.map(|q| texts(&q.proposed)),
        "offered": quotation.map(offered),
        "currency": quotation.map(|q| q.currency.clone()),
        "pieces": quotation.map(|q| q.pieces),
        "draft": quotation.and_then(|q| q.draft.as_ref()).map(|t| show::text(t, unit)),
        "valid": quotation.map(|q| q.lines[0].text.clone()),
        "taxes": quotation.map(|q| q.lines[1].text.clone()),
        "terms": quotation.map(|q| q.lines[2].text.clone()),
        "cautions": quotation.map(|q| notes(&q.cautions, unit)),
        "notes": notes(&outcome.notes, unit),
        "missing": missing(&outcome.needs),
    })
}

fn missing(needs: &[Need]) -> Value {
    needs.iter().map(|n| json!({"field": n.field, "what": n.what})).collect()
}

fn sizes(fit: &Fit) -> Value {
    let size = |s: &Size| json!({"aim_mm": number(s.aim.to_mm()), "min_mm": number(s.min.to_mm()), "max_mm": number(s.max.to_mm())});
    json!({
        "part": match fit.part { Element::Internal => "nut", Element::External => "screw" },
        "blank": size(&fit.blank),
        "bottom": size(&fit.bottom),
        "pitch_diameter": size(&fit.pitch_diameter),
        "depth_mm": number(fit.depth.to_mm()),
        "groove": size(&fit.groove),
        "groove_bottom_width_mm": number(fit.groove_bottom_width.to_mm()),
        "length_mm": number(fit.length.to_mm()),
        "body": fit.body.as_ref().map(size),
    })
}

fn station(s: &Station) -> Value {
    json!({
        "place_mm": number(s.place.to_mm()),
        "mate_pitch_diameter_mm": number(s.mate_pitch_diameter.to_mm()),
        "mate_standard_uncertainty_mm": number(s.u.to_mm()),
        "play_mm": number(s.play.to_mm()),
        "standard_uncertainty_mm": number(s.u_play.to_mm()),
        "play_by_book_mm": s.play_by_book.map(|play| number(play.to_mm())),
    })
}

fn spot(s: &Spot) -> Value {
    json!({
        "from_mm": number(s.from.to_mm()),
        "to_mm": number(s.to.to_mm()),
        "left_mm": number(s.left.to_mm()),
        "left_at_mm": number(s.left_at.to_mm()),
        "right_mm": number(s.right.to_mm()),
        "right_at_mm": number(s.right_at.to_mm()),
        "play_mm": number(s.play().to_mm()),
        "standard_uncertainty_mm": number(s.u.to_mm()),
    })
}

fn pass(p: &Pass) -> Value {
    json!({
        "number": p.number,
        "kind": match p.kind {
            PassKind::Scratch => "scratch",
            PassKind::Cutting => "cutting",
            PassKind::Widening => "widening",
            PassKind::Spring => "spring",
            PassKind::Idle => "idle",
        },
        "step_mm": number(p.step.to_mm()),
        "depth_mm": number(p.depth.to_mm()),
        "diameter_mm": number(p.diameter.to_mm()),
        "tip_mm": number(p.tip.to_mm()),
        "readout_mm": number(p.readout.to_mm()),
        "compound_mm": number(p.compound.to_mm()),
        "axial_shift_mm": number(p.axial_shift.to_mm()),
        "area_mm2": number(p.area_mm2),
        "force_n": number(p.force.to_newton()),
        "power_kw": number(p.power_kw),
        "deflection_mm": number(p.deflection.to_mm()),
        "left_mm": number(p.left.to_mm()),
    })
}

/// What a stage says: its answer, every figure by key, every table by key, notes and what is missing.
pub fn said(said: &Said<'_>, unit: Unit) -> Value {
    let mut out = match &said.section {
        Some(section) => section_json(section, unit),
        None => Map::new(),
    };
    out.insert("stage".into(), json!(said.stage.key()));
    out.insert("missing".into(), missing(said.needs));
    out.insert("notes".into(), notes(said.notes, unit));
    out.insert("barred".into(), notes(&said.barred, unit));
    Value::Object(out)
}

fn section_json(section: &Section, unit: Unit) -> Map<String, Value> {
    let mut figures = Map::new();
    let mut tables = Map::new();
    let mut steps = Vec::new();
    let mut more_notes = Vec::new();
    for block in &section.blocks {
        match block {
            Block::Figures(_, list) => {
                figures.extend(list.iter().map(|f| (f.key.to_owned(), figure(f))));
            }
            Block::Table(t) => {
                tables.insert(t.key.into(), table(t));
            }
            Block::Notes(list) => more_notes.extend(list.iter().map(|n| note(n, unit))),
            Block::Steps(head, list) => steps.push(json!({
                "title": head,
                "steps": list.iter().map(|s| json!({
                    "text": show::text(&s.text, unit),
                    "cautions": notes(&s.cautions, unit),
                })).collect::<Vec<_>>(),
            })),
            Block::Text(_) => {}
        }
    }
    let mut out = Map::new();
    out.insert("answer".into(), json!(show::text(&section.answer, unit)));
    out.insert("figures".into(), Value::Object(figures));
    out.insert("tables".into(), Value::Object(tables));
    out.insert("steps".into(), Value::Array(steps));
    out.insert("remarks".into(), Value::Array(more_notes));
    out
}

/// A table's rows, each cell by its column's key.
pub fn table(t: &Table) -> Value {
    let rows = t.rows.iter().map(|r| {
        let mut row: Map<String, Value> =
            t.columns.iter().zip(&r.cells).map(|(c, cell)| (c.key.into(), value(cell))).collect();
        match r.mark {
            Mark::Best => drop(row.insert("best".into(), json!(true))),
            Mark::Bad => drop(row.insert("bad".into(), json!(true))),
            Mark::Plain | Mark::Faint => {}
        }
        Value::Object(row)
    });
    rows.collect()
}

fn notes(list: &[Note], unit: Unit) -> Value {
    list.iter().map(|n| note(n, unit)).collect()
}

fn note(n: &Note, unit: Unit) -> Value {
    let kind = match n.kind {
        NoteKind::Remark => "remark",
        NoteKind::Warning => "warning",
        NoteKind::Caution => "caution",
        NoteKind::Impossible => "impossible",
    };
    let mut out = json!({"kind": kind, "text": show::text(&n.text, unit)});
    if !n.field.is_empty() {
        out["field"] = json!(n.field);
    }
    if let Some(source) = &n.source {
        out["source"] = json!(source.to_string());
    }
    if !n.answers.is_empty() {
        let answer = |a: &Answer| {
            let sets: Map<String, Value> =
                a.sets.iter().map(|(path, typed)| (path.clone(), json!(typed))).collect();
            json!({"words": a.words, "sets": sets})
        };
        out["answers"] = n.answers.iter().map(answer).collect();
    }
    out
}

/// The contract of `identify --json`.
pub fn identity(identity: Option<&Identity>, said: &Said<'_>, unit: Unit) -> Value {
    let candidates: Vec<Value> = identity
        .iter()
        .flat_map(|i| &i.candidates)
        .map(|c| {
            let mut out = thread(&c.thread);
            out["listed"] = json!(c.listed);
            out["probability"] = number(c.probability);
            out["evidence"] = c
                .voices
                .iter()
                .map(|v| {
                    json!({
                        "evidence": v.evidence,
                        "deviations": v.deviations.map(number),
                        "log_likelihood": number(v.log_likelihood),
                        "words": v.words,
                    })
                })
                .collect();
            out
        })
        .collect();
    let next: Vec<Value> = identity
        .iter()
        .flat_map(|i| &i.next)
        .map(|n| {
            json!({
                "measure": n.measure,
                "information_bits": number(n.information_bits),
                "minutes": number(n.minutes),
                "decides": n.decides,
            })
        })
        .collect();
    let story = identity.and_then(|i| i.story.as_ref()).map(|s| {
        json!({
            "told": s.told,
            "designation": s.thread.as_ref().map(ToString::to_string),
            "stands": s.stands,
            "reasons": s.reasons,
        })
    });
    json!({
        "candidates": candidates,
        "other_probability": identity.map_or(Value::Null, |i| number(i.other_probability)),
        "considered": identity.map(|i| i.considered),
        "next": next,
        "story": story,
        "missing": missing(said.needs),
        "notes": notes(said.notes, unit),
    })
}

/// A thread's own fields, under the names of the contract.
pub fn thread(t: &Thread) -> Value {
    let form = t.family.form();
    json!({
        "designation": t.to_string(),
        "family": form.key(),
        "nominal_mm": number(t.nominal.to_mm()),
        "pitch_mm": number(t.pitch.length.to_mm()),
        "lead_mm": number(t.lead().to_mm()),
        "starts": t.starts,
        "hand": match t.hand { Hand::Right => "right", Hand::Left => "left" },
        "included_angle_deg": number(t.included_angle().to_deg()),
    })
}

/// A figure with its meaning and origin.
fn figure(f: &Figure) -> Value {
    let mut entry = json!({"what": f.what, "source": f.source.to_string()});
    match value(&f.value) {
        Value::Object(fields) => {
            for (k, v) in fields {
                entry[k] = v;
            }
        }
        plain => entry["value"] = plain,
    }
    if !f.symbol.is_empty() {
        entry["symbol"] = json!(f.symbol);
    }
    if !f.formula.is_empty() {
        entry["formula"] = json!(f.formula);
    }
    if let Some(u) = &f.u {
        entry["standard_uncertainty"] = match value(u) {
            Value::Object(fields) => fields.get("value").cloned().unwrap_or(Value::Null),
            plain => plain,
        };
    }
    entry
}

/// The contract of `limits --json`.
pub fn reference(reference: &Reference, limits: &Limits) -> Value {
    let form = reference.thread.family.form();
    let mut out = thread(&reference.thread);
    for (key, element) in [("external", &limits.external), ("internal", &limits.internal)] {
        if let Some(e) = element {
            out[key] = element_limits(e);
        }
    }
    out["warnings"] = json!(limits.warnings);
    out["extras"] = limits
        .extras
        .iter()
        .map(|extra| {
            let mut row = range(&extra.range);
            row["what"] = json!(extra.what.key());
            row["element"] = json!(extra.element.map(|e| match e {
                Element::External => "external",
                Element::Internal => "internal",
            }));
            row
        })
        .collect();
    out["series"] = json!(reference.listed.map(|row| row.series));
    out["standard"] = json!(form.standard().to_string());
    out["variant"] = json!(reference.thread.variant);
    out["variants"] = json!(reference.variants.iter().map(ToString::to_string).collect::<Vec<_>>());
    out["basic"] =
        Value::Object(reference.basic_sizes().iter().map(|f| (f.key.to_owned(), figure(f))).collect());
    out["neighbours"] = reference.neighbours.iter().map(|c| thread(&c.thread())).collect();
    out
}

/// A side that the standard leaves open is null.
fn range(r: &Range) -> Value {
    json!({
        "max_mm": r.max.map(|l| number(l.to_mm())),
        "min_mm": r.min.map(|l| number(l.to_mm())),
        "source": r.source.to_string(),
        "rounding": r.rounding.words(),
    })
}

fn element_limits(e: &ElementLimits) -> Value {
    json!({"class": e.class, "major": range(&e.major), "pitch": range(&e.pitch), "minor": range(&e.minor)})
}

/// Listed sizes as `catalogue --json` prints them.
pub fn listed(found: &[Near]) -> Value {
    found
        .iter()
        .map(|near| {
            let mut row = thread(&near.listed.thread());
            row["series"] = json!(near.listed.row.series);
            row["diameter_off_mm"] = json!(near.diameter_off.map(|l| number(l.to_mm())));
            row["pitch_off_mm"] = json!(near.pitch_off.map(|l| number(l.to_mm())));
            row["source"] = json!(near.listed.row.source.to_string());
            row
        })
        .collect()
}

/// Two threads side by side, as `compare --json` prints them.
pub fn beside(both: &Beside) -> Value {
    let quantity = |q: Quantity| match q {
        Quantity::Length(l, _) => json!({"value": number(l.to_mm()), "unit": "mm"}),
        Quantity::Angle(a) => json!({"value": number(a.to_deg()), "unit": "deg"}),
    };
    let reads: Vec<Value> = both
        .reads
        .iter()
        .map(|r| {
            json!({
                "what": r.what,
                "a": quantity(r.a),
                "b": quantity(r.b),
                "standard_deviation": quantity(r.sigma),
                "deviations": number(r.deviations),
                "slip_chance": number(r.slip),
            })
        })
        .collect();
    json!({
        "a": thread(&both.a),
        "b": thread(&both.b),
        "mistaken": number(both.mistaken),
        "deviations": number(both.deviations),
        "words": both.words,
        "reads": reads,
        "leaf": both.leaf.as_ref().map(shows),
        "seen": both.seen.iter().map(shows).collect::<Vec<_>>(),
        "best": show::text(&both.best(), both.terms.unit),
        "nut_of_b_on_screw_of_a": both.nut_of_b_on_a.words,
        "nut_of_b_on_screw_of_a_goes": both.nut_of_b_on_a.goes.words(),
        "nut_of_a_on_screw_of_b": both.nut_of_a_on_b.words,
        "nut_of_a_on_screw_of_b_goes": both.nut_of_a_on_b.goes.words(),
    })
}

/// Where the shafts of a train stand.
fn layout(layout: &Layout) -> Value {
    let place = |p: &[Length; 2]| json!(p.map(|l| number(l.to_mm())));
    json!({
        "shafts_mm": layout.shafts.iter().map(place).collect::<Vec<_>>(),
        "arm_deg": layout.arm.map(|a| number(a.to_deg())),
        "room_mm": layout.room.map(|r| number(r.to_mm())),
    })
}

/// Gears to get, each with the train that it brings.
pub fn to_get(options: &[(u32, Train)]) -> Value {
    options
        .iter()
        .map(|(teeth, train)| {
            json!({"teeth": teeth, "train": train.words(), "lead_mm": number(train.lead.to_mm()), "error_ppm": number(train.error_ppm)})
        })
        .collect()
}

fn shows(s: &Shows) -> Value {
    json!({"what": s.what, "a": value(&s.a), "b": value(&s.b), "deviations": number(s.deviations)})
}

/// Fields that could not be read, by name.
pub fn wrong(wrong: &[Wrong]) -> Value {
    let fields: Map<String, Value> =
        wrong.iter().map(|(field, words)| ((*field).to_owned(), json!(words))).collect();
    json!({"wrong": fields})
}

/// The contract of `gears --json`.
pub fn trains(trains: &[Train], searched: usize) -> Value {
    let list: Vec<Value> = trains
        .iter()
        .map(|t| {
            json!({
                "drivers": t.drivers,
                "driven": t.driven,
                "idlers": t.idlers.iter().map(|i| json!({"pair": i.pair + 1, "teeth": i.teeth})).collect::<Vec<_>>(),
                "gearbox": t.gearbox,
                "lead_mm": number(t.lead.to_mm()),
                "error_ppm": number(t.error_ppm),
                "meshes": t.meshes,
                "why_not": show::text(&t.why_not, Unit::Mm),
                "layout": t.layout.as_ref().map(layout),
            })
        })
        .collect();
    json!({"trains": list, "searched": searched})
}
