//! The fields a person fills in, made from the job file's own record of its fields.

use super::worked::Worked;
use flankwise_bench::job::{self, FieldInfo, Kind};
use flankwise_bench::material;
use flankwise_bench::report::{StageName, capital};
use maud::{Markup, html};

/// A group of fields: one table of the job file.
struct Group {
    /// Heading.
    head: &'static str,
    /// Table; empty for the top level.
    table: &'static str,
    /// An array of tables: `[[reading]]`.
    many: bool,
    /// Fields always in sight; the others are behind "More".
    first: &'static [&'static str],
}

const fn one(head: &'static str, table: &'static str, first: &'static [&'static str]) -> Group {
    Group { head, table, many: false, first }
}

const fn many(head: &'static str, table: &'static str, first: &'static [&'static str]) -> Group {
    Group { head, table, many: true, first }
}

/// Which tables are asked for at which stage.
fn groups(stage: StageName) -> &'static [Group] {
    match stage {
        StageName::Evidence => {
            const LIST: &[Group] = &[
                one("The job", "", &["job", "unit", "story"]),
                many("Reading", "reading", &["part", "feature", "value", "count", "instrument", "place"]),
                many("Leaf tried", "leaf", &["pitch", "verdict"]),
                one("Seen and felt", "observed", &["hand", "starts", "form", "condition"]),
                many("Known part tried", "trial", &["with", "verdict"]),
                one("Where it comes from", "context", &["machine", "made", "country"]),
                one("People", "people", &["customer", "maker", "date"]),
            ];
            LIST
        }
        StageName::Identity => {
            const LIST: &[Group] = &[one("Your own choice", "identity", &["thread"])];
            LIST
        }
        StageName::Fit => {
            const LIST: &[Group] = &[
                one(
                    "To be made",
                    "make",
                    &["part", "length", "play", "play_most", "nut", "through", "relief", "material"],
                ),
                one("Body, from the old part", "make.body", &["outside", "housing", "fit", "length"]),
                many("Hole", "make.hole", &["kind", "diameter", "from_end", "depth"]),
                many("Keyway", "make.keyway", &["standard", "width", "depth", "length"]),
                many("Step", "make.step", &["from_end", "length", "diameter", "fit"]),
                one("How it runs", "make.run", &["speed_rpm", "lubricant", "turns_per_day"]),
            ];
            LIST
        }
        StageName::Route => {
            const LIST: &[Group] = &[
                one("Rates", "rates", &["currency", "hour", "kilogram"]),
                many("On hand or on offer", "offer", &["kind", "thread", "price", "days"]),
                many("Own figures", "way", &["way", "hours", "price", "chance"]),
                one("Milling machine", "mill", &["cutter", "neck", "reach"]),
                one("The way taken", "choice", &["way", "because"]),
                one("Quotation", "quotation", &["number", "valid", "taxes", "terms"]),
            ];
            LIST
        }
        StageName::Tool => {
            const LIST: &[Group] = &[
                many("Bar on hand", "bar", &["shape", "size", "length", "material", "kind"]),
                many("Bit on hand", "bit", &["name", "angle", "chuck_flank", "tip_width"]),
                one("Grind", "grind", &["clearance", "front_clearance", "rake", "height", "cant"]),
            ];
            LIST
        }
        StageName::Setup => {
            const LIST: &[Group] = &[
                one("Lathe", "lathe", &["name", "lead_screw", "gears", "most_gears", "speeds"]),
                many("Gearbox setting", "lathe.gearbox", &["name", "ratio"]),
                one(
                    "Banjo",
                    "lathe.banjo",
                    &["module", "centres_min", "centres_max", "slot_min", "slot_max", "stud"],
                ),
                one("Threading dial", "lathe.thread_dial", &["teeth", "marks"]),
                one("Cross-slide dial", "lathe.cross_dial", &["division", "reads"]),
                one("Readout", "lathe.readout", &["division", "reads"]),
                one("Your reaction", "lathe.reaction", &["median_s", "slow_s", "hands_s"]),
            ];
            LIST
        }
        StageName::Cut => {
            const LIST: &[Group] = &[
                one("Cutting", "cutting", &["infeed", "share", "first", "least", "spring"]),
                many("Pass done", "done", &["depth", "side"]),
            ];
            LIST
        }
        StageName::Check => {
            const LIST: &[Group] = &[
                one("Gauges on hand", "gauges", &["wires", "balls", "pins", "instruments"]),
                many("Reading of the new part", "made", &["feature", "value", "wire", "instrument"]),
                many("Cast of the thread", "cast", &["material", "ridge", "at", "height", "angle"]),
            ];
            LIST
        }
    }
}

/// All fields of a stage; `at` is the address of the text they belong to.
pub fn stage(stage: StageName, worked: &Worked, at: &str) -> Markup {
    html! {
        @for group in groups(stage) {
            @if group.many {
                (entries(group, worked, at))
            } @else {
                fieldset {
                    legend { (group.head) }
                    (fields(group, group.table, worked))
                }
            }
        }
    }
}

/// More passes done than this are folded into one line, so that the stage's answer stays near: they come from the view at
/// the lathe, and are seldom mended here.
const FOLDED: usize = 3;

/// The fields of a lathe's own text, with the unit of the bare numbers in it.
pub fn lathe(worked: &Worked, at: &str) -> Markup {
    let unit = job::fields_of("").iter().find(|f| f.name == "unit");
    html! {
        @if let Some(unit) = unit {
            fieldset {
                legend { "Numbers without a unit" }
                div.fields { (field(unit, unit.name, worked)) }
                p.quiet-note { "A number typed below without a unit is in this one, whatever the page shows lengths in." }
            }
        }
        (stage(StageName::Setup, worked, at))
    }
}

/// The entries of an array of tables, with buttons to add one and to take one out.
fn entries(group: &Group, worked: &Worked, at: &str) -> Markup {
    let n = worked.typed.count(group.table);
    let amiss = worked.problems.iter().any(|p| p.field.starts_with(group.table));
    let each = html! {
        @for i in 1..=n {
            @let path = format!("{}[{i}]", group.table);
            @let told = summary(group, &path, worked);
            @let wrong = worked.problems.iter().any(|p| p.field.starts_with(&path) && !worked.asks(p));
            details.entry id=(id(&path)) open[wrong || told.is_empty()] {
                summary { b { (group.head) " " (i) } " " (told) }
                (fields(group, &path, worked))
                @if let Some(p) = worked.problems.iter().find(|p| p.field == path) {
                    p.wrong { (p.words()) }
                }
                button.small name="path" value=(path) formaction={ (at) "/take-out" } formmethod="post" data-swap { "Take out " (group.head.to_lowercase()) " " (i) }
            }
        }
    };
    html! {
        @if group.table == "done" && n > FOLDED {
            details.more id=(id(group.table)) open[amiss] {
                summary { b { (group.head) } ": " (n) " entries" }
                (each)
            }
        } @else { (each) }
        button.add name="path" value=(group.table) formaction={ (at) "/add" } data-swap {
            "Add " (group.head.to_lowercase())
        }
    }
}

/// An entry in one line, as typed: `screw, major diameter, 21.86 mm, calliper, 20 mm`.
fn summary(group: &Group, path: &str, worked: &Worked) -> String {
    let typed = group.first.iter().filter_map(|name| worked.typed.raw(&format!("{path}.{name}")));
    typed.filter(|t| !t.is_empty()).collect::<Vec<_>>().join(", ")
}

fn fields(group: &Group, path: &str, worked: &Worked) -> Markup {
    let all = job::fields_of(group.table);
    let (first, rest): (Vec<&FieldInfo>, Vec<&FieldInfo>) =
        all.iter().partition(|f| group.first.contains(&f.name));
    let full = |f: &FieldInfo| if path.is_empty() { f.name.to_owned() } else { format!("{path}.{}", f.name) };
    let given = rest.iter().any(|f| worked.typed.raw(&full(f)).is_some());
    html! {
        div.fields { @for f in first { (field(f, &full(f), worked)) } }
        @if !rest.is_empty() {
            details.more open[given] {
                summary { "More" }
                div.fields { @for f in rest { (field(f, &full(f), worked)) } }
            }
        }
    }
}

/// One field with its label, and what is wrong with it.
fn field(f: &FieldInfo, path: &str, worked: &Worked) -> Markup {
    let typed = worked.typed.raw(path).unwrap_or_default();
    let id = id(path);
    let problem = worked.problems.iter().find(|p| worked.field_of(p) == path);
    let asks = problem.is_some_and(|p| worked.asks(p));
    let invalid = problem.filter(|_| !asks).map(|_| "true");
    let wrong_id = format!("{id}-wrong");
    let choices = match f.kind {
        Kind::Choice(words) => words,
        Kind::Bool => &["true", "false"],
        _ => &[],
    };
    // Words of any length want the whole row; a class or a country code does not.
    let wide = matches!(f.kind, Kind::Text | Kind::List(_)) && f.example.len() > 10;
    html! {
        div.field.wide[wide] {
            // Yes or no to a question: the question itself, where a name alone leaves it to be guessed.
            label for=(id) { @if f.kind == Kind::Bool { (f.what) } @else { (label(f.name)) } }
            @if choices.is_empty() {
                input id=(id) name=(path) value=(typed) list=[offered(f).then_some("materials")] placeholder=(f.example) title=(f.what)
                    autocomplete="off" spellcheck="false" aria-describedby=(wrong_id)
                    aria-invalid=[invalid]
                    inputmode=[matches!(f.kind, Kind::Number(_) | Kind::Whole(..)).then_some("decimal")];
            } @else {
                @let listed = typed.is_empty() || choices.contains(&typed.as_str());
                select id=(id) name=(path) title=(f.what) aria-describedby=(wrong_id)
                    aria-invalid=[invalid] {
                    option value="" selected[typed.is_empty()] { "—" }
                    @if !listed { option value=(typed) selected { (typed) } }
                    @for c in exact_first(choices) { option value=(c) selected[*c == typed] { (word(c)) } }
                }
            }
            p.wrong.asks[asks] id=(wrong_id) data-wrong=(path) { @if let Some(p) = problem { (worked.told(p)) } }
        }
    }
}

/// A choice in words: a person says yes, a file says true.
fn word(choice: &'static str) -> &'static str {
    match choice {
        "true" => "yes",
        "false" => "no",
        other => other,
    }
}

/// Choices in their order, but for a word that others begin with, which goes before them: a list chosen from by typing
/// takes the first that begins so, and `pitch` typed is not `pitch diameter`.
fn exact_first(choices: &'static [&'static str]) -> Vec<&'static str> {
    let mut ordered: Vec<&str> = Vec::with_capacity(choices.len());
    for choice in choices {
        let at = ordered.iter().position(|longer| longer.starts_with(choice)).unwrap_or(ordered.len());
        ordered.insert(at, choice);
    }
    ordered
}

/// Whether a field takes a material's key, of which the page offers a list.
fn offered(f: &FieldInfo) -> bool {
    f.name.ends_with("material") && f.choices().is_empty()
}

/// The materials known, for the fields that take one.
pub fn materials() -> Markup {
    html! {
        datalist #materials {
            @for m in material::all() { option value=(m.key) { (m.name) } }
        }
    }
}

/// Endings of names that stand for a unit or an end of a range, and the words for them, longest first.
const ENDINGS: [(&str, &str); 6] = [
    ("_m_per_min", ", m/min"),
    ("_ft_per_min", ", ft/min"),
    ("_rpm", ", rev/min"),
    ("_min", ", least"),
    ("_max", ", most"),
    ("_s", ", seconds"),
];

/// A field's name as a label: `from_end` reads "From end", `coast_s` "Coast, seconds".
fn label(name: &str) -> String {
    let words = match name {
        "per_turn" => "divisions per turn".to_owned(),
        "slow_s" => "slow tries, seconds".to_owned(),
        _ => match ENDINGS.iter().find_map(|(end, words)| Some((name.strip_suffix(end)?, words))) {
            Some((stem, words)) => format!("{}{words}", stem.replace('_', " ")),
            None => name.replace('_', " "),
        },
    };
    capital(&words)
}

/// A path as an element's id: letters, digits and hyphens.
pub fn id(path: &str) -> String {
    let mut out = String::from("f-");
    out.extend(path.chars().map(|c| if c.is_ascii_alphanumeric() || c == '_' { c } else { '-' }));
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_word_that_others_begin_with_is_offered_before_them() {
        assert_eq!(
            exact_first(&["major diameter", "pitch diameter", "pitch", "lead"]),
            ["major diameter", "pitch", "pitch diameter", "lead"]
        );
    }
}
