//! Writes what a stage says as HTML. The same functions give the whole page and the pieces that replace parts
//! of it while values are typed.

use super::threads_page;
use flankwise_bench::Said;
use flankwise_bench::report::{
    Answer, Block, Column, Figure, Mark, Note, NoteKind, Row, Step, Table, Text, Value, show,
};
use flankwise_sheet::drawing::{Drawing, SvgOptions, svg};
use flankwise_thread::{Family, Thread, Unit};
use maud::{Markup, PreEscaped, html};

/// What a page adds to what is said: the unit shown, links, and where answers go.
pub struct Around<'a> {
    /// Unit that lengths are shown in.
    pub unit: Unit,
    /// Address that takes the answer to a note's question; none where nothing can be changed.
    pub answers: Option<&'a str>,
    /// The link at the end of a table's row, by the table's key, the row's number and the thread that it is about.
    pub row_link: &'a dyn Fn(&str, usize, &Thread) -> Option<RowLink>,
}

impl Around<'static> {
    /// Nothing but the unit.
    pub const fn unit(unit: Unit) -> Self {
        Self { unit, answers: None, row_link: &|_, _, _| None }
    }
}

/// A link at the end of a row.
pub struct RowLink {
    /// Address.
    pub to: String,
    /// Its words.
    pub words: &'static str,
    /// The same for who hears the link without its row.
    pub whole: String,
}

/// A drawing, with another of the same for screens too narrow for it, where there is one.
pub fn drawing(wide: &Drawing, narrow: Option<Drawing>) -> Markup {
    let written = |d: &Drawing| PreEscaped(svg(d, &SvgOptions { sized: true }));
    html! {
        @if let Some(narrow) = narrow {
            // One of the two is in sight; the other's name must not be the same.
            @let narrow = Drawing { key: format!("{}-narrow", narrow.key), ..narrow };
            figure.drawing.either tabindex="0" {
                div.wide { (written(wide)) }
                div.narrow { (written(&narrow)) }
            }
        } @else {
            figure.drawing tabindex="0" { (written(wide)) }
        }
    }
}

/// One stage: answer, drawings, details, what is missing, notes.
pub fn stage(said: &Said<'_>, drawings: &[Markup], around: &Around<'_>) -> Markup {
    let unit = around.unit;
    html! {
        @if let Some(section) = &said.section {
            p.answer { (text(&section.answer, unit)) }
            (notes(&said.barred, around))
            (notes(said.notes, around))
            @for drawing in drawings { (drawing) }
            (blocks(&section.blocks, around))
        } @else {
            p.answer.waiting { "Not yet." }
            (notes(said.notes, around))
        }
        @if !said.needs.is_empty() {
            ul.needs {
                @for need in said.needs {
                    li { b { "Missing " code { (need.field) } } " " (need.what) }
                }
            }
        }
    }
}

/// Blocks one after the other.
pub fn blocks(list: &[Block], around: &Around<'_>) -> Markup {
    let unit = around.unit;
    html! {
        @for block in list {
            @match block {
                Block::Figures(head, list) => (folding(head, !list.is_empty(), figures(list, unit))),
                Block::Table(t) => (folding(&t.title, !t.rows.is_empty(), table(t, around))),
                Block::Notes(list) => (notes(list, around)),
                Block::Text(t) => p { (text(t, unit)) },
                Block::Steps(head, list) => (folding(head, !list.is_empty(), steps(list, around))),
            }
        }
    }
}

/// What has a head can be folded away: a phone shows the heads first. Nothing where there is nothing to show.
fn folding(head: &str, any: bool, body: Markup) -> Markup {
    html! {
        @if any && head.is_empty() {
            (body)
        } @else if any {
            details.block open { summary { h3 { (head) } } (body) }
        }
    }
}

fn steps(list: &[Step], around: &Around<'_>) -> Markup {
    html! {
        ol.steps {
            @for step in list {
                li { (text(&step.text, around.unit)) (notes(&step.cautions, around)) }
            }
        }
    }
}

/// Running text.
pub fn text(t: &Text, unit: Unit) -> Markup {
    html! { (show::text(t, unit)) }
}

/// Figures, each with its origin behind a disclosure: on the bench the number matters, when in doubt the origin.
fn figures(list: &[Figure], unit: Unit) -> Markup {
    html! {
        div.figures {
            @for f in list {
                details.figure {
                    summary {
                        span.what {
                            (f.what)
                            @if !f.symbol.is_empty() { " " i.symbol { (f.symbol) } }
                        }
                        span.value {
                            (show::value(&f.value, unit))
                            @if let Some(u) = &f.u { " " small { "± " (show::value(u, unit)) } }
                        }
                    }
                    p.origin {
                        @if !f.formula.is_empty() { code { (f.formula) } " — " }
                        (f.source)
                    }
                }
            }
        }
    }
}

/// Where a cell leads: a designation to the thread's own page, a family to the list of its sizes.
fn leads_to(column: &Column, cell: &Value) -> Option<String> {
    let Value::Word(word) = cell else { return None };
    match column.key {
        "thread" | "nut" | "screw" => word.parse().ok().map(|thread| threads_page::address(&thread)),
        "family" => Family::from_key(word).map(threads_page::list_address),
        _ => None,
    }
}

/// Words in which designations stand in backquotes, each of them a link to where `to` says.
pub fn with_designations(words: &str, to: impl Fn(&Thread) -> String) -> Markup {
    html! {
        @for (i, part) in words.split('`').enumerate() {
            @match part.parse::<Thread>() {
                Ok(thread) if i % 2 == 1 => a href=(to(&thread)) { (part) },
                _ if i % 2 == 1 => code { (part) },
                _ => (part),
            }
        }
    }
}

/// A table; the last column holds the links of its rows, where there are any. Each cell names its column, for screens too
/// narrow for columns.
pub fn table(t: &Table, around: &Around<'_>) -> Markup {
    let unit = around.unit;
    let link = |(i, row): (usize, &Row)| (around.row_link)(t.key, i, &about(row)?);
    let links: Vec<_> = t.rows.iter().enumerate().map(link).collect();
    let linked = links.iter().any(Option::is_some);
    html! {
        @if !t.rows.is_empty() {
            div.scroll tabindex="0" role="region" aria-label=(t.title) {
                table {
                    @if !t.title.is_empty() { caption { (t.title) } }
                    thead {
                        tr {
                            @for c in &t.columns {
                                @if c.head.is_empty() { td {} } @else { th scope="col" { (c.head) } }
                            }
                            @if linked { th.link scope="col" { "Side by side" } }
                        }
                    }
                    tbody {
                        @for (row, link) in t.rows.iter().zip(&links) {
                            tr class=[mark(row.mark)] {
                                @for (i, cell) in row.cells.iter().enumerate() {
                                    @let column = t.columns.get(i);
                                    td class=[cell_class(cell)] data-head=[column.map(|c| &c.head).filter(|h| !h.is_empty())] {
                                        // Not parted from what they stand before.
                                        @if i == 0 && row.mark == Mark::Best { span.mark title="the one to take" { "►\u{a0}" } }
                                        @if i == 0 && row.mark == Mark::Bad { span.mark title="not possible" { "✗\u{a0}" } }
                                        @match column.and_then(|column| leads_to(column, cell)) {
                                            Some(to) => a href=(to) { (show::value(cell, unit)) },
                                            None => (show::value(cell, unit)),
                                        }
                                    }
                                }
                                @if linked {
                                    td.link { @if let Some(l) = link { a href=(l.to) aria-label=(l.whole) { (l.words) } } }
                                }
                            }
                        }
                    }
                }
            }
            @if let Some(source) = &t.source { p.origin { (source) } }
        }
    }
}

/// The thread that a row begins with, if it does.
fn about(row: &Row) -> Option<Thread> {
    match row.cells.first()? {
        Value::Word(word) => word.parse().ok(),
        _ => None,
    }
}

/// Numbers are not broken over lines; long words get room to be read in.
fn cell_class(v: &Value) -> Option<&'static str> {
    match v {
        Value::Word(words) => (words.chars().count() > 30).then_some("long"),
        Value::Said(text) => (show::text(text, Unit::Mm).chars().count() > 30).then_some("long"),
        Value::Yes(_) | Value::None | Value::Pitch(_) => None,
        _ => Some("num"),
    }
}

fn mark(mark: Mark) -> Option<&'static str> {
    match mark {
        Mark::Plain => None,
        Mark::Best => Some("best"),
        Mark::Bad => Some("bad"),
        Mark::Faint => Some("faint"),
    }
}

/// Notes; each kind has its word, so that colour is never the only sign. What a note asks can be answered with a button.
pub fn notes(list: &[Note], around: &Around<'_>) -> Markup {
    html! {
        @for note in list {
            @let (class, word) = match note.kind {
                NoteKind::Remark => ("remark", ""),
                NoteKind::Warning => ("warning", "Check: "),
                NoteKind::Caution => ("caution", "Caution: "),
                NoteKind::Impossible => ("impossible", "Cannot be done: "),
            };
            p.note.(class) {
                @if !word.is_empty() { b { (word) } }
                (text(&note.text, around.unit))
                @if let Some(source) = &note.source { " " small.origin { "(" (source) ")" } }
                @if let Some(to) = around.answers {
                    @for answer in &note.answers {
                        " " button.small name="answer" value=(lines(answer)) formaction=(to) data-swap { (answer.words) }
                    }
                }
            }
        }
    }
}

/// An answer as a form sends it: a line `path=text` for each field.
fn lines(answer: &Answer) -> String {
    answer.sets.iter().map(|(path, typed)| format!("{path}={typed}")).collect::<Vec<_>>().join("\n")
}

/// Reads what [`lines`] wrote.
pub fn sets(lines: &str) -> impl Iterator<Item = (String, String)> {
    lines.lines().filter_map(|l| l.split_once('=')).map(|(path, typed)| (path.to_owned(), typed.to_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use flankwise_bench::report::{Section, StageName};
    use flankwise_thread::Source;

    #[test]
    fn escapes_what_people_type() {
        let section = Section {
            stage: StageName::Evidence,
            answer: Text::from("<b>"),
            blocks: vec![Block::Figures(
                String::new(),
                vec![Figure::new("x", "<script>", Value::Word("<i>".into()), Source::practice(""))],
            )],
        };
        let said = Said {
            stage: StageName::Evidence,
            section: Some(section),
            needs: &[],
            notes: &[],
            barred: Vec::new(),
        };
        let html = stage(&said, &[], &Around::unit(Unit::Mm)).into_string();
        assert!(html.contains("&lt;script&gt;") && html.contains("&lt;b&gt;") && html.contains("&lt;i&gt;"));
    }
}
