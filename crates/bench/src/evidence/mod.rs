//! Evidence: the readings, checked, each with a standard uncertainty (GUM) from instrument and method.

mod about;
pub mod blunders;
pub mod gauge;
mod suspects;
pub mod uncertainty;

use crate::job::{
    Condition, Feature, Instrument, Job, Leaf, LeafVerdict, Observed, Quantity, Reading, Side, Trial, Words,
};
use crate::report::{Block, Fine, Mark, Note, Outcome, Row, Section, StageName, Table, Text, Value, columns};
use flankwise_thread::{Element, Length, Source};

/// Readings closer together than this along a part are of one place (chosen here).
pub(crate) const SAME_PLACE: Length = Length::mm(0.5);

/// A reading with its uncertainty.
#[derive(Clone, Debug, PartialEq)]
pub struct Weighed {
    /// Index into the job's readings.
    pub index: usize,
    /// On the screw or in the nut.
    pub part: Element,
    /// What.
    pub feature: Feature,
    /// Value. A count over a span is already divided: it is a pitch.
    pub value: Quantity,
    /// Standard uncertainty, in the same kind as the value. Readings repeated at one place with one instrument
    /// share the instrument's error; theirs is widened so that, taken as independent, they say together what
    /// their mean says.
    pub u: Quantity,
    /// Place along the part.
    pub place: Option<Length>,
    /// Which flank, for an angle or the wear of one.
    pub side: Option<Side>,
    /// Pitches that a span was divided by.
    pub count: Option<u32>,
    /// Wire diameter, for readings over wires.
    pub wire: Option<Length>,
    /// Where the uncertainty comes from.
    pub source: Source,
}

/// Checked evidence.
#[derive(Clone, Debug, PartialEq)]
pub struct Evidence {
    /// Readings.
    pub readings: Vec<Weighed>,
    /// Leaves tried.
    pub leaves: Vec<Leaf>,
    /// Parts tried by hand.
    pub trials: Vec<Trial>,
    /// What eyes and fingers say.
    pub observed: Observed,
    /// Condition, assumed `Used` where not said.
    pub condition: Condition,
    /// The owner's story.
    pub story: Option<String>,
    /// Where the part comes from.
    pub context: crate::job::Context,
    /// Indices of readings that look like blunders (unit slip, swapped digits), each with words.
    pub suspects: Vec<(usize, String)>,
}

/// How the parts of an uncertainty are put together; clauses from memory.
const GUM: Source =
    Source::memory("JCGM 100:2008 (GUM)", "4.3.7 limit a/√3, F.2.2.1 step r/(2√3), 5.1.2 sum of squares");

/// Weighs the job's readings. Without any there is a result only where the person names the thread.
pub fn work(job: &Job) -> Outcome<Evidence> {
    if job.chosen.is_none() && job.readings.is_empty() && job.leaves.is_empty() && job.trials.is_empty() {
        return nothing_read(job);
    }
    let readings: Vec<Weighed> = (0..job.readings.len()).map(|i| weigh(job, i)).collect();
    let questions = suspects::questions(job, &readings);
    let mut suspects: Vec<(usize, String)> =
        questions.iter().flat_map(|q| q.readings.iter().map(|i| (*i, q.words.clone()))).collect();
    suspects.sort_by_key(|s| s.0);
    let notes = questions.into_iter().map(|q| {
        let field = format!("reading[{}].value", q.readings[0] + 1);
        Note::warning(q.words).field(field).answers(q.answers)
    });
    let mut outcome = Outcome::ready(Evidence {
        suspects,
        readings,
        leaves: job.leaves.clone(),
        trials: job.trials.clone(),
        observed: job.observed.clone(),
        condition: job.observed.condition.unwrap_or_default(),
        story: job.story.clone(),
        context: job.context.clone(),
    });
    outcome.notes.extend(notes);
    outcome.notes.extend(remarks(job));
    outcome.notes.extend(limits(job));
    for (field, what) in missing(job) {
        outcome = outcome.need(field, what);
    }
    outcome
}

/// Nothing was measured: what to begin with, and what may be said without.
fn nothing_read(job: &Job) -> Outcome<Evidence> {
    let mut outcome = Outcome::missing("reading", FIRST_DIAMETER).need("reading", FIRST_PITCH);
    if job.story.is_some() {
        outcome = outcome.note(
            Note::remark(
                "The story alone is not measured: it is weighed once there is a reading to weigh it against.",
            )
            .field("story"),
        );
    }
    outcome
}

/// What the column of uncertainties holds.
fn uncertainty_note() -> Note {
    Note::remark(
        "The uncertainty is one standard deviation: the instrument's limit, the step it was read to and the \
         setting on the thread by feel. Readings repeated at one place with one instrument share its error \
         and are widened for it; readings at different places are not.",
    )
    .source(GUM)
}

const FIRST_DIAMETER: &str =
    "The major diameter of the screw, at the end that runs least: it settles the size.";
const FIRST_PITCH: &str = "A count of pitches over as long a span as the calliper reaches, or a leaf that seats: it settles the pitch.";

/// What is not there and would tell most.
fn missing(job: &Job) -> Vec<(&'static str, &'static str)> {
    let read = |f: &dyn Fn(&Reading) -> bool| job.readings.iter().any(f);
    let diameter = read(&|r| {
        use Feature::{MajorDiameter, MinorDiameter, OverWires, PitchDiameter};
        matches!(r.feature, MajorDiameter | PitchDiameter | MinorDiameter | OverWires)
    });
    let pitch = read(&|r| matches!(r.feature, Feature::Pitch | Feature::Lead))
        || job.leaves.iter().any(|l| l.verdict == LeafVerdict::Seats);
    let mut needs = Vec::new();
    if !diameter {
        needs.push(("reading", FIRST_DIAMETER));
    }
    if !pitch {
        needs.push(("reading", FIRST_PITCH));
    }
    if job.observed.hand.is_none() {
        needs.push(("observed.hand", "Right or left: until it is said, both are open."));
    }
    if job.observed.starts.is_none() {
        needs.push((
            "observed.starts",
            "Starts, counted at the end of the thread: the lead follows from them.",
        ));
    }
    needs
}

/// Remarks on how the evidence was taken.
fn remarks(job: &Job) -> Vec<Note> {
    let mut notes = Vec::new();
    let of = |part: Element| job.readings.iter().filter(move |r| r.part == part);
    if of(Element::External).next().is_none() && of(Element::Internal).next().is_some() {
        notes.push(
            Note::remark(
                "All readings are of the nut. A worn nut takes the shape of what wore it; the screw, at its least \
                 worn end, tells more.",
            )
            .source(Source::practice("read the screw, not the worn nut")),
        );
    }
    let unnamed =
        job.readings.iter().position(|r| r.instrument == Instrument::Other && r.uncertainty.is_none());
    if let Some(i) = unnamed {
        notes.push(
            Note::remark("The instrument is not named, so the reading is trusted little: name it, or give the uncertainty.")
                .field(format!("reading[{}].instrument", i + 1)),
        );
    }
    if job.observed.condition.is_none() {
        notes.push(
            Note::remark("Condition not said: taken as used, without visible wear.")
                .field("observed.condition"),
        );
    }
    notes
}

/// The limits of error taken for the instruments, each said once.
fn limits(job: &Job) -> Vec<Note> {
    let mut said = Vec::new();
    let mut notes = Vec::new();
    for (i, reading) in job.readings.iter().enumerate() {
        let Some(limit) = uncertainty::limit_of(reading).filter(|l| !said.contains(l)) else { continue };
        said.push(limit);
        let name = reading.instrument.word();
        let with = match reading.instrument {
            Instrument::Wires | Instrument::Pins | Instrument::TelescopingGauge => {
                format!("{name} with a micrometer")
            }
            Instrument::Other => "instrument that is not named".to_owned(),
            _ => name.to_owned(),
        };
        let text = Text::from(format!("Limit of error taken for the {with}: "))
            .v(Value::Length(Length::um(limit.limit_um), Fine::Gauge))
            .s(".");
        let field = format!("reading[{}].instrument", i + 1);
        notes.push(Note::remark(text).field(field).source(limit.source));
    }
    notes
}

/// What must be the same for readings to be repetitions of one another.
fn repeats(a: &Reading, b: &Reading) -> bool {
    a.uncertainty.is_none()
        && b.uncertainty.is_none()
        && (a.part, a.feature, a.instrument) == (b.part, b.feature, b.instrument)
        && a.wire == b.wire
        && a.place == b.place
        && a.side == b.side
}

fn weigh(job: &Job, index: usize) -> Weighed {
    let reading = &job.readings[index];
    let value = match reading.value {
        Quantity::Length(span, unit) => Quantity::Length(span / f64::from(reading.count.unwrap_or(1)), unit),
        angle => angle,
    };
    let (u, source) = match reading.uncertainty {
        // The person's figure is for what they read: for a count, of the span.
        Some(Quantity::Length(given, unit)) => {
            (Quantity::Length(given / f64::from(reading.count.unwrap_or(1)), unit), uncertainty::GIVEN)
        }
        Some(given) => (given, uncertainty::GIVEN),
        None => {
            let parts = uncertainty::parts(reading);
            let alike = job.readings.iter().filter(|other| repeats(reading, other)).count().max(1);
            (uncertainty::as_quantity(value, parts.among(alike)), parts.source)
        }
    };
    Weighed {
        index,
        part: reading.part,
        feature: reading.feature,
        value,
        u,
        place: reading.place,
        side: reading.side,
        count: reading.count,
        wire: reading.wire,
        source,
    }
}

/// A quantity to show. Pitches are shown finely: a count over a span finds them to hundredths and better.
fn shown(quantity: Quantity, feature: Feature, fine: Fine) -> Value {
    match quantity {
        Quantity::Length(length, _) if matches!(feature, Feature::Pitch | Feature::Lead) => {
            Value::Length(length, Fine::Gauge)
        }
        Quantity::Length(length, _) => Value::Length(length, fine),
        Quantity::Angle(angle) => Value::Angle(angle, 2),
    }
}

fn word(text: impl Into<String>) -> Value {
    Value::Word(text.into())
}

/// `1 reading`, `2 readings`.
fn counted(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

impl Evidence {
    /// Says itself.
    pub fn section(&self) -> Section {
        let mut blocks = Vec::new();
        if !self.readings.is_empty() {
            blocks.push(Block::Table(self.readings_table()));
        }
        if !self.leaves.is_empty() {
            blocks.push(Block::Table(self.leaves_table()));
        }
        if !self.trials.is_empty() {
            blocks.push(Block::Table(self.trials_table()));
        }
        if !self.readings.is_empty() {
            blocks.push(Block::Notes(vec![uncertainty_note()]));
        }
        Section { stage: StageName::Evidence, answer: self.answer(), blocks }
    }

    fn answer(&self) -> Text {
        if self.readings.is_empty() && self.leaves.is_empty() && self.trials.is_empty() {
            return Text::from("Nothing has been measured.");
        }
        let taken: Vec<String> = [
            (self.readings.len(), "reading", "readings"),
            (self.leaves.len(), "leaf tried", "leaves tried"),
            (self.trials.len(), "part tried by hand", "parts tried by hand"),
        ]
        .into_iter()
        .filter(|(n, ..)| *n > 0)
        .map(|(n, one, many)| counted(n, one, many))
        .collect();
        let judged = match self.suspects.len() {
            0 => "Checked against each other, they show no slip.".to_owned(),
            1 => "One reading looks like a slip: read it again before trusting what follows.".to_owned(),
            n => format!("{n} readings look like slips: read them again before trusting what follows."),
        };
        Text::from(format!("{}. {judged}", taken.join(", ")))
    }

    fn readings_table(&self) -> Table {
        let row = |w: &Weighed| {
            let suspect = self.suspects.iter().any(|(i, _)| *i == w.index);
            Row {
                cells: vec![
                    Value::Count(i64::try_from(w.index + 1).unwrap_or(i64::MAX)),
                    word(w.part.word()),
                    word(w.feature.word()),
                    w.wire.map_or(Value::None, |d| Value::Length(d, Fine::Shop)),
                    w.place.map_or(Value::None, |p| Value::Length(p, Fine::Coarse)),
                    shown(w.value, w.feature, Fine::Shop),
                    shown(w.u, w.feature, Fine::Gauge),
                    word(w.source.to_string()),
                ],
                mark: if suspect { Mark::Bad } else { Mark::Plain },
            }
        };
        Table {
            key: "readings",
            title: "Readings".to_owned(),
            columns: columns(&[
                ("reading", "No."),
                ("part", "Part"),
                ("feature", "What"),
                ("wire", "Wire"),
                ("place", "Place"),
                ("value", "Value"),
                ("u", "Uncertainty"),
                ("source", "From"),
            ]),
            rows: self.readings.iter().map(row).collect(),
            source: Some(GUM),
        }
    }

    fn leaves_table(&self) -> Table {
        let row = |leaf: &Leaf| Row {
            cells: vec![
                Value::Pitch(leaf.pitch),
                leaf.angle.map_or(Value::None, |a| Value::Angle(a, 1)),
                word(leaf.verdict.word()),
            ],
            mark: Mark::Plain,
        };
        Table {
            key: "leaves",
            title: "Thread gauge leaves".to_owned(),
            columns: columns(&[("pitch", "Leaf"), ("angle", "Its angle"), ("verdict", "Verdict")]),
            rows: self.leaves.iter().map(row).collect(),
            source: None,
        }
    }

    fn trials_table(&self) -> Table {
        let row = |trial: &Trial| Row {
            cells: vec![word(trial.typed.as_str()), word(trial.verdict.word())],
            mark: Mark::Plain,
        };
        Table {
            key: "trials",
            title: "Parts tried by hand".to_owned(),
            columns: columns(&[("with", "Tried with"), ("verdict", "Verdict")]),
            rows: self.trials.iter().map(row).collect(),
            source: None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job;
    use crate::report::{NoteKind, show};
    use flankwise_thread::Unit;

    fn job_of(text: &str) -> Job {
        job::read(text).unwrap_or_else(|p| panic!("{p:?}"))
    }

    fn screw(readings: &[(&str, &str, &str)]) -> String {
        let table = |(feature, value, more): &(&str, &str, &str)| {
            format!(
                "[[reading]]\npart = \"screw\"\nfeature = \"{feature}\"\nvalue = \"{value}\"\n\
                 instrument = \"calliper\"\n{more}\n"
            )
        };
        format!("job = \"x\"\n{}", readings.iter().map(table).collect::<String>())
    }

    fn asked(text: &str) -> Vec<(usize, String)> {
        work(&job_of(text)).result.unwrap().suspects
    }

    #[test]
    fn the_demo_jobs_have_no_slips() {
        for text in [
            include_str!("../../../../demo/board-shear.toml"),
            include_str!("../../../../demo/proof-press.toml"),
        ] {
            let outcome = work(&job_of(text));
            assert_eq!(outcome.needs, []);
            assert!(outcome.notes.iter().all(|n| n.kind == NoteKind::Remark), "{:?}", outcome.notes);
            let evidence = outcome.result.unwrap();
            assert_eq!(evidence.suspects, []);
            for table in evidence.section().blocks.iter().filter_map(|b| match b {
                Block::Table(t) => Some(t),
                _ => None,
            }) {
                assert!(table.rows.iter().all(|r| r.cells.len() == table.columns.len()), "{}", table.key);
            }
        }
    }

    #[test]
    fn a_count_becomes_a_pitch() {
        let evidence = work(&job_of(include_str!("../../../../demo/board-shear.toml"))).result.unwrap();
        let pitch = &evidence.readings[2];
        let (Quantity::Length(p, _), Quantity::Length(u, _)) = (pitch.value, pitch.u) else { panic!() };
        assert!((p.to_mm() - 60.1 / 12.0).abs() < 1e-12);
        // 60.1 mm on a 0.1 mm step: a = 50, r = 100, two ends of 50: (28.87² + 28.87² + 2·50²)½ = 81.65 µm over 12.
        assert!((u.to_um() - 81.65 / 12.0).abs() < 0.01, "{}", u.to_um());
    }

    #[test]
    fn the_persons_figure_stands() {
        let text = screw(&[
            ("major diameter", "21.86 mm", "uncertainty = \"0.1 mm\""),
            ("pitch", "60.1 mm", "count = 12\nuncertainty = \"0.12 mm\""),
        ]);
        let evidence = work(&job_of(&text)).result.unwrap();
        assert_eq!(evidence.readings[0].u, Quantity::Length(Length::mm(0.1), Unit::Mm));
        let Quantity::Length(u, _) = evidence.readings[1].u else { panic!() };
        assert!((u.to_mm() - 0.01).abs() < 1e-12, "given for the span");
        assert_eq!(evidence.readings[0].source, uncertainty::GIVEN);
    }

    #[test]
    fn repeated_readings_share_the_instruments_error() {
        let one = screw(&[("major diameter", "21.86 mm", "place = 20")]);
        let two = screw(&[
            ("major diameter", "21.86 mm", "place = 20"),
            ("major diameter", "21.87 mm", "place = 20"),
        ]);
        let apart = screw(&[
            ("major diameter", "21.86 mm", "place = 20"),
            ("major diameter", "21.87 mm", "place = 90"),
        ]);
        let u = |text: &str| match work(&job_of(text)).result.unwrap().readings[0].u {
            Quantity::Length(u, _) => u.to_mm(),
            Quantity::Angle(_) => panic!(),
        };
        assert!(u(&two) > u(&one) && u(&two) / 2f64.sqrt() < u(&one));
        assert_eq!(u(&apart), u(&one));
    }

    #[test]
    fn slips_are_asked_about() {
        let major = |values: &[&str]| {
            let rows: Vec<_> = values.iter().map(|v| ("major diameter", *v, "")).collect();
            asked(&screw(&rows))
        };
        for (values, index, words) in [
            (&["0.861 mm", "21.86 mm", "21.71 mm"][..], 0, "25.4th"),
            (&["21.86 mm", "0.861 in", "555 mm"], 2, "25.4 times"),
            (&["21.86 mm", "21.71 mm", "218.6 mm"], 2, "ten times"),
            (&["2.186 mm", "21.71 mm", "21.86 mm"], 0, "a tenth"),
            (&["21.86 mm", "21.80 mm", "12.86 mm"], 2, "swapped, 21.86 mm"),
            (&["21.86 mm", "21.80 mm", "26.3 mm"], 2, "read it again"),
        ] {
            let asked = major(values);
            assert_eq!(asked.len(), 1, "{values:?}: {asked:?}");
            assert_eq!(asked[0].0, index, "{asked:?}");
            assert!(asked[0].1.contains(words), "{asked:?}");
        }
        let along = |feature: &str, values: &[(&str, u32)]| {
            let places: Vec<String> = values.iter().map(|(_, z)| format!("place = {z}")).collect();
            let rows: Vec<_> =
                values.iter().zip(&places).map(|((v, _), z)| (feature, *v, z.as_str())).collect();
            asked(&screw(&rows))
        };
        // What use takes along a screw is no slip, on whichever side of the median it lies.
        assert_eq!(along("thread thickness", &[("4.35 mm", 20), ("3.20 mm", 400), ("4.30 mm", 800)]), []);
        let ends = [("4.35 mm", 20), ("3.20 mm", 380), ("3.22 mm", 400), ("3.25 mm", 420), ("4.30 mm", 800)];
        assert_eq!(along("thread thickness", &ends), []);
        assert_eq!(along("thread thickness", &[("4.35 mm", 20), ("3.20 mm", 400)]), []);
        assert_eq!(along("major diameter", &[("21.86 mm", 20), ("21.17 mm", 180), ("21.71 mm", 300)]), []);
        // A decimal point is, and so is what no use takes.
        assert_eq!(
            along("thread thickness", &[("4.35 mm", 20), ("0.43 mm", 400), ("4.30 mm", 800)]).len(),
            1
        );
        assert_eq!(
            along("major diameter", &[("21.86 mm", 20), ("12.86 mm", 180), ("21.80 mm", 300)]).len(),
            1
        );
        // At one place they are of one size, unless each is the mean of several.
        assert_eq!(along("thread thickness", &[("4.35 mm", 20), ("3.20 mm", 20), ("4.30 mm", 20)]).len(), 1);
        let mean = screw(&[
            ("thread thickness", "4.35 mm", ""),
            ("thread thickness", "3.20 mm", "mean_of = 4"),
            ("thread thickness", "4.30 mm", ""),
        ]);
        assert_eq!(asked(&mean), []);
        // Wear along a screw is no slip, even where two digits could be swapped.
        assert_eq!(major(&["22.60 mm", "22.15 mm", "22.54 mm"]), []);
    }

    #[test]
    fn slips_between_kinds_of_reading_are_asked_about() {
        let first = |text: String| asked(&text).into_iter().next().unwrap();
        let seats = "[[leaf]]\npitch = \"5 mm\"\nverdict = \"seats\"\n";
        let crests = screw(&[("pitch", "55 mm", "count = 12")]) + seats;
        assert!(first(crests).1.contains("over 11 it is"), "crests counted for pitches");
        let fine = screw(&[("pitch", "60.1 mm", "count = 12")]) + seats;
        assert_eq!(asked(&fine), []);
        let unit = screw(&[("pitch", "0.197 mm", "")]) + seats;
        assert!(first(unit).1.contains("unit"));
        let swapped = screw(&[("major diameter", "17 mm", ""), ("minor diameter", "22 mm", "")]);
        assert_eq!(asked(&swapped).iter().map(|s| s.0).collect::<Vec<_>>(), [0, 1], "either may be it");
        let starts = |n: u32, lead: &str| {
            let readings = screw(&[("pitch", "60.1 mm", "count = 12"), ("lead", lead, "")]);
            asked(&format!("{readings}[observed]\nstarts = {n}\n"))
        };
        assert!(starts(1, "10.02 mm")[0].1.contains("makes 2 starts, where 1 start was counted"));
        assert!(starts(2, "7.6 mm")[0].1.contains("no whole number of pitches"));
        assert_eq!(starts(2, "10.02 mm"), []);
        // 0.742 in is 18.85 mm.
        let inch = screw(&[("major diameter", "0.742", ""), ("pitch", "25.4 mm", "count = 8")]);
        assert!(first(inch).1.contains("in inches 18.85 mm"));
        let metric = screw(&[("major diameter", "18.85", ""), ("pitch", "8 tpi", "")]);
        let (at, words) = first(metric.replace("job = \"x\"", "job = \"x\"\nunit = \"in\""));
        assert!(at == 0 && words.contains("Read in millimetres it is 0.742"), "{words}");
        let angle = screw(&[("flank angle", "29 deg", "")]) + "[observed]\nform = \"flat-topped\"\n";
        assert!(first(angle).1.contains("included angle"));
        let nut = screw(&[("major diameter", "22 mm", "")])
            + "[[reading]]\npart = \"nut\"\nfeature = \"bore\"\nvalue = \"23 mm\"\ninstrument = \"calliper\"\n";
        assert!(first(nut).1.contains("slips over"));
    }

    #[test]
    fn what_is_missing_is_named() {
        let nothing = work(&job_of("job = \"x\"\nstory = \"M20\""));
        assert!(nothing.result.is_none());
        assert_eq!(nothing.needs.len(), 2);
        assert_eq!(nothing.notes[0].field, "story");
        let leaf = work(&job_of("job = \"x\"\n[[leaf]]\npitch = \"5 mm\"\nverdict = \"rocks\"\n"));
        assert!(leaf.result.is_some());
        let fields: Vec<_> = leaf.needs.iter().map(|n| n.field.as_str()).collect();
        assert_eq!(fields, ["reading", "reading", "observed.hand", "observed.starts"]);
    }

    #[test]
    fn the_section_says_how_many() {
        let evidence = work(&job_of(include_str!("../../../../demo/board-shear.toml"))).result.unwrap();
        let answer = show::text(&evidence.section().answer, Unit::Mm);
        assert_eq!(
            answer,
            "6 readings, 2 leaves tried, 1 part tried by hand. Checked against each other, they show no slip."
        );
    }
}
