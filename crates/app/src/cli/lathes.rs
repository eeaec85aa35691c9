//! Lathes kept beside the jobs, and gear trains of one.

use super::args::{GearsArgs, LatheCommand};
use super::jobs::{self, Shelf};
use super::{Ended, Failed, Outcome, bad, out, out_json};
use crate::kept::{self, LATHE_SHELF, LATHES};
use crate::{input, json, terminal};
use flankwise_bench::job::{self, Lathe, Words};
use flankwise_bench::report::{Fine, Value, show};
use flankwise_bench::setup::{self, Train};
use flankwise_store::{JobId, Store};
use flankwise_thread::{Hand, Unit};
use std::path::Path;

/// Runs one of the `lathe` commands.
pub(super) fn run(data: Option<&Path>, what: LatheCommand) -> Outcome {
    let lathes = || Ok::<_, Failed>(shelf(jobs::open(data)?));
    match what {
        LatheCommand::List { json } => lathes()?.list(
            json,
            "No lathes yet. `flankwise lathe new > lathe.toml` writes one to fill in, `flankwise lathe example metric-small` an invented one.\n",
        ),
        LatheCommand::New => out(&job::lathe_template()),
        LatheCommand::Example { name } => example(name.as_deref()),
        LatheCommand::Import { file } => {
            let text = input::text(&file)?;
            let head = kept::import_lathe(&lathes()?.store, &text, &file.display().to_string(), kept::now())
                .map_err(|words| bad(file.display(), words))?;
            // It is kept as it is, so that nothing that was written is lost; what is wrong in it is said.
            if let Err(e) = input::lathe_of(&file.display().to_string(), &text) {
                eprintln!("flankwise: kept, but {e}");
            }
            out(&format!("{} {}\n", head.id, head.title))
        }
        LatheCommand::Export { lathe, output } => lathes()?.export(lathe, output.as_deref()),
        LatheCommand::Chart { lathe, lead, hand, unit, json } => {
            chart(&Kept::read(&lathes, &lathe)?, &lead, hand.into(), unit.map(Unit::from), json)
        }
        LatheCommand::Use { lathe, job, output } => {
            let text = input::text(&job)?;
            let lathe = load_or_read(&lathes, &lathe)?;
            let with = job::with_lathe(&text, &lathe).map_err(|words| bad(job.display(), words))?;
            jobs::write(output.as_deref(), &with)
        }
        LatheCommand::History { lathe, json } => lathes()?.history(lathe, json),
        LatheCommand::Undo { lathe } => lathes()?.undo(lathe),
        LatheCommand::Remove { lathe } => lathes()?.remove(lathe),
        LatheCommand::Restore { lathe } => lathes()?.restore(lathe),
    }
}

/// The lathes of a data directory.
fn shelf(store: Store) -> Shelf {
    Shelf { store: store.shelf(LATHE_SHELF), word: "lathe" }
}

/// A lathe that a command is given, with the unit of bare numbers in its text.
struct Kept {
    lathe: Lathe,
    unit: Unit,
}

impl Kept {
    fn read(lathes: &impl Fn() -> Result<Shelf, Failed>, named: &str) -> Result<Self, Failed> {
        let text = load_or_read(lathes, named)?;
        let name = match named.parse::<i64>() {
            Ok(number) => format!("lathe {number}"),
            Err(_) => input::called(Path::new(named)),
        };
        let unit = job::raw(&text, "unit").and_then(|word| Unit::from_word(&word)).unwrap_or(Unit::Mm);
        Ok(Self { lathe: input::lathe_of(&name, &text)?, unit })
    }
}

/// The text of a kept lathe by its number, or of a file.
fn load_or_read(lathes: &impl Fn() -> Result<Shelf, Failed>, named: &str) -> Result<String, Failed> {
    match named.parse() {
        Ok(number) => Ok(load(&lathes()?.store, number)?),
        Err(_) => Ok(input::text(Path::new(named))?),
    }
}

fn load(store: &Store, number: i64) -> Result<String, Failed> {
    Ok(store.load(JobId(number))?.text)
}

/// One of the invented lathes, or their names.
fn example(name: Option<&str>) -> Outcome {
    let stem = |file: &'static str| file.trim_end_matches(".toml");
    let Some(name) = name else {
        let lines: Vec<_> = LATHES
            .iter()
            .map(|(file, text)| format!("{:<16} {}", stem(file), kept::lathe_title(text)))
            .collect();
        return out(&format!("{}\n", lines.join("\n")));
    };
    match LATHES.iter().find(|(file, _)| stem(file) == name) {
        Some((_, text)) => out(text),
        None => {
            let names: Vec<_> = LATHES.iter().map(|(file, _)| stem(file)).collect();
            Err(format!("NAME: read `{name}`; accepted: one of: {}", names.join(", ")).into())
        }
    }
}

/// What a lathe cuts.
fn chart(kept: &Kept, leads: &[String], hand: Hand, unit: Option<Unit>, as_json: bool) -> Outcome {
    let read = |lead: &String| setup::parse_lead(lead, kept.unit).map_err(|e| format!("--lead: {e}"));
    let leads = leads.iter().map(read).collect::<Result<Vec<_>, _>>()?;
    let Some(chart) = setup::chart(&kept.lathe, hand, &leads) else {
        return Err("lathe.lead_screw: accepted is a lead above zero".into());
    };
    if as_json {
        return out_json(&json::table(&chart));
    }
    out(&terminal::one_table(&chart, unit.unwrap_or(kept.lathe.lead_screw.written)))
}

/// Relative error within which a gear is worth getting: half of what published charts accept (0.17 %).
const WORTH_GETTING: f64 = 1e-3;
/// A gear is no help that does not at least halve the error of the best train at hand. Chosen here.
const BETTER: f64 = 0.5;
/// Parts per million beyond which nobody cuts a thread: 2 %.
const FAR_OFF_PPM: f64 = 20_000.0;

/// Gear trains of a lathe for a lead.
pub(super) fn gears(a: &GearsArgs) -> Outcome {
    let lathes = || Ok::<_, Failed>(shelf(jobs::open(a.data.as_deref())?));
    let Kept { lathe, unit } = Kept::read(&lathes, &a.lathe)?;
    let pitch = setup::parse_lead(&a.lead, unit).map_err(|e| format!("--lead: {e}"))?;
    let (lead, hand) = (pitch.length, Hand::from(a.hand));
    let (trains, searched) = setup::trains(&lathe, lead, hand, a.most);
    // A gear more is worth a word where no train at hand is exact.
    let serves = |t: &&Train| t.meshes && t.error_ppm.abs() < FAR_OFF_PPM;
    let near = trains.iter().find(serves);
    let best = near.map_or(WORTH_GETTING, |t| t.error_ppm.abs() * 1e-6 * BETTER);
    let mut to_get = if best > 0.0 { setup::gears_to_get(&lathe, lead, hand, best) } else { Vec::new() };
    to_get.truncate(MOST_TO_GET);
    if a.json {
        let mut answer = json::trains(&trains, searched);
        answer["to_get"] = json::to_get(&to_get);
        out_json(&answer)?;
    } else {
        let none = near.is_none() && to_get.is_empty();
        let pair = none.then(|| setup::pair_to_get(&lathe, lead, hand)).flatten();
        let unit = a.unit.map_or(pitch.written, Unit::from);
        out(&words(&trains, searched, &Value::Length(lead, Fine::Gauge), unit, &to_get, pair.as_ref()))?;
    }
    Ok(if near.is_some() { Ended::Done } else { Ended::No })
}

/// Gears offered to get.
const MOST_TO_GET: usize = 5;

fn words(
    trains: &[Train],
    searched: usize,
    lead: &Value,
    unit: Unit,
    to_get: &[(u32, Train)],
    pair: Option<&Train>,
) -> String {
    let mut text = if trains.is_empty() {
        format!("No train of these gears comes near {} ({searched} looked at).\n", show::value(lead, unit))
    } else {
        let table = terminal::one_table(&setup::trains_table(trains, None), unit);
        format!("{table}\n{searched} trains looked at.\n")
    };
    for (teeth, train) in to_get {
        text += &format!("With a {teeth} more: {}, error {:+.0} ppm.\n", train.words(), train.error_ppm);
    }
    if let Some(pair) = pair {
        text += &format!("With two gears more: {}, exact.\n", pair.words());
    }
    text
}
