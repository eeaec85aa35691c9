//! Writes what a stage says as HTML. The same functions give the whole page and the pieces that replace parts
//! of it while values are typed.

use super::threads_page;
use flankwise_bench::Said;
use flankwise_bench::report::{Block, Column, Figure, Mark, Note, NoteKind, Table, Text, Value, show};
use flankwise_thread::{Family, Thread, Unit};
use maud::{Markup, PreEscaped, html};

/// One stage: answer, drawings, details, what is missing, notes.
pub fn stage(said: &Said<'_>, drawings: &[String], unit: Unit) -> Markup {
    html! {
        @if let Some(section) = &said.section {
            p.answer { (text(&section.answer, unit)) }
            (notes(said.notes, unit))
            @for svg in drawings { figure.drawing tabindex="0" { (PreEscaped(svg)) } }
            (blocks(&section.blocks, unit))
        } @else {
            p.answer.waiting { "Not yet." }
            (notes(said.notes, unit))
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
pub fn blocks(list: &[Block], unit: Unit) -> Markup {
    html! {
        @for block in list {
            @match block {
                Block::Figures(head, list) => (figures(head, list, unit)),
                Block::Table(t) => (table(t, unit)),
                Block::Notes(list) => (notes(list, unit)),
                Block::Text(t) => p { (text(t, unit)) },
                Block::Steps(head, steps) => {
                    @if !head.is_empty() { h3 { (head) } }
                    ol.steps {
                        @for step in steps {
                            li { (text(&step.text, unit)) (notes(&step.cautions, unit)) }
                        }
                    }
                }
            }
        }
    }
}

/// Running text.
pub fn text(t: &Text, unit: Unit) -> Markup {
    html! { (show::text(t, unit)) }
}

/// Figures, each with its origin behind a disclosure: on the bench the number matters, when in doubt the origin.
fn figures(head: &str, list: &[Figure], unit: Unit) -> Markup {
    html! {
        @if !list.is_empty() {
            @if !head.is_empty() { h3 { (head) } }
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
}

/// Where a cell leads: a designation to the thread's own page, a family to the list of its sizes.
fn leads_to(column: &Column, cell: &Value) -> Option<String> {
    let Value::Word(word) = cell else { return None };
    match column.key {
        "thread" => word.parse().ok().map(|thread| threads_page::address(&thread)),
        "family" => Family::from_key(word).map(threads_page::list_address),
        _ => None,
    }
}

/// Words in which designations stand in backquotes, each of them a link.
pub fn with_designations(words: &str) -> Markup {
    html! {
        @for (i, part) in words.split('`').enumerate() {
            @match part.parse::<Thread>() {
                Ok(thread) if i % 2 == 1 => a href=(threads_page::address(&thread)) { (part) },
                _ if i % 2 == 1 => code { (part) },
                _ => (part),
            }
        }
    }
}

/// A table.
pub fn table(t: &Table, unit: Unit) -> Markup {
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
                        }
                    }
                    tbody {
                        @for row in &t.rows {
                            tr class=[mark(row.mark)] {
                                @for (i, cell) in row.cells.iter().enumerate() {
                                    td class=[cell_class(cell)] {
                                        @if i == 0 && row.mark == Mark::Best { span.tick title="the one to take" { "► " } }
                                        @if i == 0 && row.mark == Mark::Bad { span.tick title="not possible" { "✗ " } }
                                        @match t.columns.get(i).and_then(|column| leads_to(column, cell)) {
                                            Some(to) => a href=(to) { (show::value(cell, unit)) },
                                            None => (show::value(cell, unit)),
                                        }
                                    }
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

/// Notes; each kind has its word, so that colour is never the only sign.
pub fn notes(list: &[Note], unit: Unit) -> Markup {
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
                (text(&note.text, unit))
                @if let Some(source) = &note.source { " " small.origin { "(" (source) ")" } }
            }
        }
    }
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
        let said = Said { stage: StageName::Evidence, section: Some(section), needs: &[], notes: &[] };
        let html = stage(&said, &[], Unit::Mm).into_string();
        assert!(html.contains("&lt;script&gt;") && html.contains("&lt;b&gt;") && html.contains("&lt;i&gt;"));
    }
}
