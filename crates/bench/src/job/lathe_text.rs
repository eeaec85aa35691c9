//! A lathe as a text of its own, and its way into a job's text and out of it.
//!
//! A job holds the lathe it is worked on whole, since a job file must say everything by itself: taking a lathe copies
//! its table. A text of its own has the same form, with nothing but the unit, the mark of an invention and `[lathe]`
//! in it, so that the same editor, reader and page serve both.

use super::edit::parse;
use super::node::Written;
use super::schema::{self, FieldInfo, Kind, Shape, TableInfo};
use flankwise_thread::Unit;
use toml_edit::{DocumentMut, Item, Table, TableLike, Value};

/// What a lathe's own text may hold at its top.
const AT_TOP: [&str; 3] = ["unit", "invented", "lathe"];

/// The lathe of a text as a text of its own: of a job, of a lathe's own text (which comes back as it is), or of a
/// text with the fields of `[lathe]` at its top.
///
/// # Errors
/// In words, where the text is not TOML or holds no lathe.
pub fn lathe_text(text: &str) -> Result<String, String> {
    let document = parse(text).map_err(|e| e.to_string())?.into_mut();
    let root = document.as_table();
    if root.contains_key("lathe") && root.iter().all(|(name, _)| AT_TOP.contains(&name)) {
        return Ok(text.to_owned());
    }
    let mut table = match root.get("lathe") {
        Some(item) => as_table(item).ok_or("lathe: not a table; accepted: [lathe]")?,
        None if schema::fields_of("lathe").iter().any(|f| f.required && root.contains_key(f.name)) => {
            root.clone()
        }
        None => return Err("no lathe in it; accepted: a [lathe] with its lead_screw and gears".to_owned()),
    };
    let mut own = DocumentMut::new();
    for name in AT_TOP.into_iter().filter(|name| *name != "lathe") {
        table.remove(name);
        if let Some(item) = root.get(name) {
            own.insert(name, item.clone());
        }
    }
    place(&mut own, table);
    Ok(own.to_string())
}

/// `job` with the lathe of `lathe`, another text, in place of its own. Bare numbers keep their meaning where the two
/// texts differ in unit. The reaction that was tried in the job stays where the other text says nothing of one.
///
/// # Errors
/// In words, where a text is not TOML or `lathe` holds no lathe.
pub fn with_lathe(job: &str, lathe: &str) -> Result<String, String> {
    let own = lathe_text(lathe)?.parse::<DocumentMut>().map_err(|e| e.to_string())?;
    let mut document = parse(job).map_err(|e| e.to_string())?.into_mut();
    let mut table = own.get("lathe").and_then(as_table).ok_or("lathe: not a table; accepted: [lathe]")?;
    let (from, to) = (unit_of(own.as_table()), unit_of(document.as_table()));
    if let (true, Some(info)) = (from != to, schema::table("lathe")) {
        say_unit(&mut table, info, from);
    }
    // What a person tried is theirs, and is not lost with the lathe it was tried for.
    let tried = document.get("lathe").and_then(Item::as_table_like).and_then(|l| l.get("reaction"));
    if let (Some(tried), false) = (tried, table.contains_key("reaction") || table.contains_key("reaction_s"))
    {
        table.insert("reaction", tried.clone());
    }
    place(&mut document, table);
    Ok(document.to_string())
}

/// A lathe to begin with: every field and table of it as a remark.
pub fn lathe_template() -> String {
    let mut text = String::from("unit = \"mm\"   # of numbers without one: mm or in\n\n[lathe]\n");
    for table in schema::TABLES.iter().filter(|t| t.path == "lathe" || t.path.starts_with("lathe.")) {
        text += &match table.shape {
            _ if table.path == "lathe" => String::new(),
            Shape::Many => format!("\n# [[{}]]   # {}; once for each\n", table.path, table.what),
            Shape::One | Shape::Inline => format!("\n# [{}]   # {}\n", table.path, table.what),
        };
        for f in table.fields {
            let value = match f.kind {
                Kind::Bool | Kind::Whole(..) | Kind::Number(_) => f.example.to_owned(),
                Kind::List(_) => format!("[{}]", f.example),
                _ => format!("\"{}\"", f.example),
            };
            text += &format!("# {} = {value}   # {}\n", f.name, f.what);
        }
    }
    text
}

fn unit_of(root: &Table) -> Unit {
    use super::words::Words;
    root.get("unit").and_then(Item::as_str).and_then(Unit::from_word).unwrap_or(Unit::Mm)
}

/// A table on lines of its own, whichever way it is written.
fn as_table(item: &Item) -> Option<Table> {
    match item {
        Item::Table(table) => Some(table.clone()),
        Item::Value(Value::InlineTable(inline)) => Some(inline.clone().into_table()),
        _ => None,
    }
}

/// Puts the table in the place of the lathe that was there, or at the end.
fn place(document: &mut DocumentMut, mut table: Table) {
    let before = document.get("lathe").and_then(Item::as_table);
    let (position, prefix) = match before {
        Some(old) => (old.position(), old.decor().prefix().cloned()),
        None => (None, (!document.is_empty()).then(|| "\n".into())),
    };
    unplace(&mut table);
    table.set_implicit(false);
    table.set_position(position);
    if let Some(prefix) = prefix {
        table.decor_mut().set_prefix(prefix);
    }
    document.insert("lathe", Item::Table(table));
}

/// Forgets where in another text the table stood, so that its parts stay together here.
fn unplace(table: &mut Table) {
    table.set_position(None);
    for (_, item) in table.iter_mut() {
        match item {
            Item::Table(inner) => unplace(inner),
            Item::ArrayOfTables(array) => array.iter_mut().for_each(unplace),
            _ => {}
        }
    }
}

/// Writes the unit behind every bare length.
fn say_unit(table: &mut dyn TableLike, info: &'static TableInfo, unit: Unit) {
    for (name, item) in table.iter_mut() {
        let name = name.get().to_owned();
        if let Some(inner) = info.child(&name) {
            match item {
                Item::ArrayOfTables(array) => array.iter_mut().for_each(|t| say_unit(t, inner, unit)),
                item => {
                    if let Some(table) = item.as_table_like_mut() {
                        say_unit(table, inner, unit);
                    }
                }
            }
        } else if let (Some(field), Some(value)) = (info.field(&name), item.as_value_mut()) {
            say_unit_of(field, value, unit);
        }
    }
}

fn say_unit_of(field: &FieldInfo, value: &mut Value, unit: Unit) {
    if !matches!(field.kind, Kind::Length(_) | Kind::Pitch(_)) {
        return;
    }
    // A text that reads as other lengths in the two units carries none of its own.
    let reads = |unit| <Written as super::node::Field>::read(value, field, unit).ok().map(|w| w.0);
    let bare = reads(Unit::Mm) != reads(Unit::Inch);
    if bare {
        let typed = value.as_str().map_or_else(|| value.to_string().trim().to_owned(), str::to_owned);
        let decor = value.decor().clone();
        *value = format!("{} {}", typed.trim(), crate::report::show::unit_sign(unit)).into();
        *value.decor_mut() = decor;
    }
}
