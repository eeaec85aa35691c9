//! Reads the demo jobs and a job with every field, and shows what bad input is told.

use flankwise_bench::job::{
    self, Feature, Instrument, Kind, LeafVerdict, MadeFeature, Quantity, TrialVerdict, fields_of, read,
    read_lathe, schema,
};
use flankwise_thread::{Angle, Element, Force, Hand, Length, Unit};

fn rendered(problems: &[job::Problem]) -> String {
    problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
}

fn read_ok(text: &str) -> job::Job {
    read(text).unwrap_or_else(|p| panic!("{}", rendered(&p)))
}

#[test]
fn demo_jobs_are_read_in_full() {
    let shear = read_ok(include_str!("../../../demo/board-shear.toml"));
    assert_eq!(shear.job, "Board shear, feed screw nut");
    assert_eq!(shear.unit, Unit::Mm);
    assert!(shear.invented);
    assert_eq!(shear.context.made, Some(1938));
    assert_eq!(shear.people.customer.as_deref(), Some("Lindenhof Bindery"));
    assert_eq!(shear.observed.hand, Some(Hand::Right));
    assert_eq!(shear.readings.len(), 6);
    let first = &shear.readings[0];
    assert_eq!((first.part, first.feature), (Element::External, Feature::MajorDiameter));
    assert_eq!(first.value, Quantity::Length(Length::mm(21.86), Unit::Mm));
    assert_eq!(first.typed, "21.86 mm");
    assert_eq!(first.instrument, Instrument::Calliper);
    assert_eq!(first.place, Some(Length::mm(20.0)));
    assert_eq!(shear.readings[2].count, Some(12));
    assert_eq!(shear.readings[3].wire, Some(Length::mm(2.6)));
    assert_eq!(shear.leaves[1].verdict, LeafVerdict::Rocks);
    assert!((shear.leaves[1].pitch.length.to_mm() - 5.08).abs() < 1e-12);
    assert_eq!(shear.leaves[1].pitch.written, Unit::Inch);
    assert_eq!(shear.trials[0].element, Element::Internal);
    assert_eq!(shear.trials[0].verdict, TrialVerdict::Refuses);
    assert_eq!(shear.trials[0].with, "M22x2.5".parse().unwrap());
    assert_eq!(shear.make.length, Some(Length::mm(44.0)));
    assert!(!shear.make.through);
    assert_eq!(shear.make.load, Some(Force::newton(900.0)));
    assert_eq!(shear.make.body.fit.map(|f| f.to_string()).as_deref(), Some("h6"));
    assert_eq!(shear.make.body.holes[0].from_end, Length::mm(26.0));
    assert_eq!(shear.offers[0].thread, Some("Tr 22x5".parse().unwrap()));
    assert_eq!(shear.offers[1].price, Some(48.0));
    assert_eq!(shear.rates.hour, Some(65.0));
    assert_eq!(shear.bars.len(), 3);
    assert_eq!(shear.grind.clearance, Some(Angle::deg(4.0)));
    let lathe = shear.lathe.unwrap();
    assert_eq!(lathe.lead_screw.length, Length::mm(4.0));
    assert_eq!(lathe.gears.len(), 16);
    assert_eq!(lathe.speeds_rpm[7], 1150.0);
    assert_eq!(lathe.banjo.unwrap().module, Length::mm(1.25));
    assert_eq!(lathe.thread_dial.unwrap().marks, 8);
    assert_eq!(lathe.reaction_s, Some(0.45));
    assert_eq!(shear.cutting.spring, Some(2));
    assert_eq!(shear.gauges.wires.len(), 3);
    assert_eq!(shear.gauges.instruments.len(), 6);
    assert_eq!(shear.made[0].feature, MadeFeature::MinorDiameter);
    assert_eq!(shear.made[0].instrument, Instrument::TelescopingGauge);

    let press = read_ok(include_str!("../../../demo/proof-press.toml"));
    assert_eq!(press.unit, Unit::Inch);
    assert_eq!(press.readings[0].value, Quantity::Length(Length::inch(0.746), Unit::Inch));
    assert_eq!(press.readings[0].typed, "0.746");
    assert_eq!(press.readings[3].value, Quantity::Angle(Angle::deg(29.5)));
    assert_eq!(press.make.length, Some(Length::inch(1.25)));
    let lathe = press.lathe.unwrap();
    assert_eq!(lathe.lead_screw.written, Unit::Inch);
    assert_eq!(lathe.banjo.unwrap().module, Length::mm(1.4111));
}

/// A text with every table, and every field's example from the schema, except those that exclude each other.
fn everything() -> String {
    let skipped = [
        ("reading", "wire"),
        ("reading", "side"),
        ("reading", "feature"),
        ("cutting", "surface_ft_per_min"),
        ("made", "count"),
    ];
    let mut text = String::new();
    for table in schema::TABLES {
        match table.shape {
            schema::Shape::Many => text += &format!("\n[[{}]]\n", table.path),
            _ if table.path.is_empty() => {}
            _ => text += &format!("\n[{}]\n", table.path),
        }
        for f in table.fields.iter().filter(|f| !skipped.contains(&(table.path, f.name))) {
            let value = match f.kind {
                Kind::Bool | Kind::Whole(..) | Kind::Number(_) => f.example.to_owned(),
                Kind::List(Kind::Whole(..) | Kind::Number(_)) => format!("[{}]", f.example),
                Kind::List(_) => format!("[\"{}\"]", f.example),
                _ => format!("\"{}\"", f.example),
            };
            text += &format!("{} = {value}\n", f.name);
        }
        if table.path == "reading" {
            text += "feature = \"pitch\"\n";
        }
    }
    text
}

#[test]
fn every_field_of_the_schema_is_read_and_its_example_is_good() {
    let job = read_ok(&everything());
    assert!(job.lathe.is_some_and(|l| !l.gearbox.is_empty() && l.readout.is_some()));
    assert!(job.chosen.is_some());
}

#[test]
fn a_field_that_is_left_out_or_empty_is_told() {
    for table in schema::TABLES {
        for f in table.fields.iter().filter(|f| f.required) {
            let text = everything();
            let (mut within, mut kept) = (table.path.is_empty(), String::new());
            for line in text.lines() {
                if line.starts_with('[') {
                    within = line.trim_matches(['[', ']']) == table.path;
                }
                if !(within && line.starts_with(&format!("{} =", f.name))) {
                    kept += &format!("{line}\n");
                }
            }
            let problems = read(&kept).expect_err(&format!("{} {}", table.path, f.name));
            let told = problems.iter().any(|p| p.field.ends_with(f.name) && p.read.is_empty());
            assert!(told, "{}.{}:\n{}", table.path, f.name, rendered(&problems));
        }
    }
}

#[test]
fn the_least_job_is_a_name() {
    let job = read_ok("job = \"\"");
    assert_eq!((job.job.as_str(), job.unit), ("", Unit::Mm));
    assert!(job.readings.is_empty() && job.lathe.is_none());
    assert_eq!(job.make, job::Make::default());
}

#[test]
fn inline_tables_and_arrays_of_them_count_as_tables() {
    let job = read_ok(
        "job = \"x\"\nmake = { part = \"screw\", body = { outside = 20 } }\n\
         leaf = [{ pitch = \"5 mm\", verdict = \"seats\" }, { pitch = \"8 tpi\", verdict = \"rocks\" }]\n",
    );
    assert_eq!(job.make.part, Element::External);
    assert_eq!(job.make.body.outside, Some(Length::mm(20.0)));
    assert_eq!(job.leaves.len(), 2);
}

#[test]
fn tried_parts_are_told_apart() {
    for (with, thread, element) in [
        ("M22x2.5 nut", "M22x2.5", Element::Internal),
        ("Tr 22x5 ring gauge", "Tr 22x5", Element::Internal),
        ("M22 bolt", "M22", Element::External),
        ("7/8-5 Acme tap", "7/8-5 Acme", Element::External),
        ("1/2-13 UNC plug gauge", "1/2-13 UNC", Element::External),
    ] {
        let job = read_ok(&format!("job = \"x\"\n[[trial]]\nwith = \"{with}\"\nverdict = \"runs\"\n"));
        assert_eq!(job.trials[0].element, element, "{with}");
        assert_eq!(job.trials[0].with, thread.parse().unwrap(), "{with}");
    }
}

#[test]
fn a_lathe_stands_alone_or_within_a_job() {
    let alone = "unit = \"in\"\nlead_screw = \"8 tpi\"\ngears = [20, 40, 60]\nspeeds = [300, 41]\n\
                 banjo = { module = \"18 dp\", centres_min = 3.2, centres_max = 8, stud = 1 }\n";
    let lathe = read_lathe(alone).unwrap();
    assert_eq!(lathe.speeds_rpm, [41.0, 300.0]);
    let banjo = lathe.banjo.unwrap();
    assert!((banjo.module.to_mm() - 25.4 / 18.0).abs() < 1e-12);
    assert_eq!(banjo.centres_max, Length::inch(8.0));
    assert_eq!(lathe.stud_ratio, (1, 1));
    let within = "[lathe]\nname = \"Nine-inch\"\nlead_screw = \"8 tpi\"\n\
                  [[lathe.gearbox]]\nname = \"A\"\nratio = \"1:2\"\n";
    assert_eq!(read_lathe(within).unwrap().gearbox[0].ratio, (1, 2));
    let whole = read_lathe(include_str!("../../../demo/board-shear.toml")).unwrap();
    assert_eq!(whole.gears.len(), 16);
    let problems = read_lathe("lead_screw = \"4 mm\"\ngearz = [20]\n").unwrap_err();
    insta::assert_snapshot!(rendered(&problems));
}

/// What a person wrote, and what they are told. `job = "x"` stands above each.
const BAD: &[(&str, &str)] = &[
    ("a misspelt field", "[[reading]]\npart = \"screw\"\nfeature = \"major diameter\"\nvalu = \"22 mm\""),
    ("a misspelt table", "[obsereved]\nhand = \"right\""),
    ("a field of another table", "play = \"0.04 mm\""),
    ("a misspelt word", "[observed]\nhand = \"rigth\"\nform = \"trapezoid\"\ncondition = \"warn\""),
    ("a unit that is none", "[make]\nlength = \"44 mmm\"\nplay = \"0.04 m\""),
    (
        "a negative diameter",
        "[[reading]]\npart = \"screw\"\nfeature = \"major diameter\"\nvalue = \"-22 mm\"",
    ),
    ("a zero diameter", "[[reading]]\npart = \"screw\"\nfeature = \"major diameter\"\nvalue = 0"),
    (
        "a diameter of metres",
        "[[reading]]\npart = \"screw\"\nfeature = \"major diameter\"\nvalue = \"500 cm\"",
    ),
    ("no number", "[[reading]]\npart = \"screw\"\nfeature = \"major diameter\"\nvalue = nan"),
    ("no end", "[make]\nlength = inf\nload = \"1e400 N\""),
    ("nothing below the line", "[make]\nlength = \"5/0 in\""),
    (
        "a pitch bigger than the diameter",
        "[[reading]]\npart = \"screw\"\nfeature = \"major diameter\"\nvalue = \"21.86 mm\"\n\
         [[reading]]\npart = \"screw\"\nfeature = \"pitch\"\nvalue = \"60.1 mm\"",
    ),
    ("no pitches", "[[reading]]\npart = \"screw\"\nfeature = \"pitch\"\nvalue = \"60 mm\"\ncount = 0"),
    (
        "a count on a diameter",
        "[[reading]]\npart = \"nut\"\nfeature = \"bore\"\nvalue = \"17 mm\"\ncount = 3",
    ),
    ("no wire", "[[reading]]\npart = \"screw\"\nfeature = \"over wires\"\nvalue = \"22.6 mm\""),
    ("an angle for a length", "[[reading]]\npart = \"screw\"\nfeature = \"flank angle\"\nvalue = \"15 mm\""),
    ("many minutes", "[grind]\nclearance = \"4°75'\"\nrake = \"80 deg\""),
    ("a thread that is none", "[identity]\nthread = \"Tr 22\""),
    ("a gauge of either kind", "[[trial]]\nwith = \"M22 gauge\"\nverdict = \"runs\""),
    ("a part without a word", "[[trial]]\nwith = \"M22\"\nverdict = \"fits\""),
    ("single brackets", "[reading]\npart = \"screw\""),
    ("a value for a table", "make = \"nut\""),
    ("a table for a value", "[story]\nx = 1"),
    ("a unit without quotes", "[make]\nlength = 44 mm"),
    ("words without quotes", "story = Acme"),
    ("a bracket left open", "[make\nlength = 4"),
    ("a field twice", "[make]\nlength = 4\nlength = 5"),
    ("a unit that nobody uses", "unit = \"furlong\""),
    (
        "a lathe without its lead screw",
        "[lathe]\ngears = [20, \"forty\", -3]\nmost_gears = 3\nstud_ratio = \"1:0\"\n\
         banjo = { module = \"1.25 mm\", centres_min = \"190 mm\", centres_max = \"90 mm\", stud = \"24 mm\" }",
    ),
    ("a material nobody listed", "[make]\nmaterial = \"bronze-c9320\""),
    ("a country in full", "context = { country = \"England\", made = 38 }"),
    ("no year", "context = { made = \"before the war\" }"),
    ("a price in words", "[rates]\nhour = \"dear\"\nkilogram = -1"),
    ("two speeds", "[cutting]\nsurface_m_per_min = 8\nsurface_ft_per_min = 25"),
    ("nothing made", "[[made]]\nfeature = \"bore\"\nvalue = 0"),
];

#[test]
fn bad_input_is_told_field_value_and_what_is_accepted() {
    let mut told = String::new();
    for (what, text) in BAD {
        let problems = read(&format!("job = \"x\"\n{text}\n")).expect_err(what);
        told += &format!("# {what}\n{}\n\n", rendered(&problems));
    }
    insta::assert_snapshot!(told);
}

#[test]
fn texts_that_are_no_job_are_told_so() {
    let mut told = String::new();
    let large = format!("job = \"x\"\n# {}\n", "x".repeat(5_000_000));
    for (what, text) in [
        ("nothing", ""),
        ("only a remark", "# to do\n"),
        ("no name", "story = \"M20\"\n"),
        ("no TOML", "Dear sir,\nplease make a nut"),
        ("five megabytes", &large),
        ("deep brackets", &format!("job = {}", "[".repeat(100_000))),
    ] {
        told += &format!("# {what}\n{}\n\n", rendered(&read(text).expect_err(what)));
        assert!(read_lathe(text).is_err(), "{what}");
    }
    insta::assert_snapshot!(told);
}

#[test]
fn problems_come_all_at_once_and_in_order() {
    let text = "job = \"x\"\nunit = \"mm\"\n[[reading]]\npart = \"scrw\"\nfeature = \"pich\"\nvalue = \"x\"\n\
                place = \"here\"\n[make]\nlength = \"y\"\nmateral = \"brass\"\n";
    let problems = read(text).unwrap_err();
    let places: Vec<_> = problems.iter().map(|p| (p.line, p.field.as_str())).collect();
    assert_eq!(
        places,
        [
            (4, "reading[1].part"),
            (5, "reading[1].feature"),
            (7, "reading[1].place"),
            (9, "make.length"),
            (10, "make.materal")
        ]
    );
}

#[test]
fn the_schema_serves_the_page() {
    let hand = fields_of("observed").iter().find(|f| f.name == "hand").unwrap();
    assert_eq!(hand.choices(), ["right", "left"]);
    let instruments = fields_of("gauges").iter().find(|f| f.name == "instruments").unwrap();
    assert!(instruments.choices().contains(&"micrometer"));
    let material = fields_of("make").iter().find(|f| f.name == "material").unwrap();
    assert!(material.choices().contains(&"bronze-c93200"));
    assert!(fields_of("nowhere").is_empty());
}

/// A dial that is said to read one way and counts the other by its own divisions and screw.
#[test]
fn a_dial_in_the_wrong_sense_is_refused() {
    let dial = |words: &str| {
        let lathe = format!("lead_screw = \"3 mm\"\ngears = [20, 40]\ncross_dial = {{ {words} }}\n");
        read_lathe(&lathe)
    };
    let told = |words: &str| rendered(&dial(words).expect_err(words));
    assert!(
        told("division = 0.02, reads = \"radius\", per_turn = 200, screw = 2")
            .contains("diameter, since one turn counts twice its screw's lead")
    );
    assert!(
        told("division = 0.02, reads = \"diameter\", per_turn = 100, screw = 2")
            .contains("radius, since one turn counts its screw's lead")
    );
    assert!(told("division = 0.02, per_turn = 70, screw = 2").contains("here it is 0.700 times the lead"));
    // Unsaid, it is found.
    let found =
        dial("division = 0.02, per_turn = 200, screw = 2").expect("a lathe").cross_dial.expect("a dial");
    assert_eq!(found.reads, job::DialReads::Diameter);
}

#[test]
fn a_slot_that_ends_before_it_begins_and_two_modules_are_refused() {
    let banjo = |words: &str| {
        let lathe = format!(
            "lead_screw = \"3 mm\"\ngears = [20, 40]\nbanjo = {{ centres_min = 80, centres_max = 80, stud = 16, {words} }}\n"
        );
        rendered(&read_lathe(&lathe).expect_err(words))
    };
    assert!(banjo("module = 1, slot_min = 60, slot_max = 40").contains("a distance not below slot_min"));
    let both = banjo("module = \"1.25 mm, 18 dp\"");
    assert!(
        both.contains("banjo.module")
            && both.contains("1.25 mm, 18 dp")
            && both.contains("a diametral pitch"),
        "{both}"
    );
}

/// A lathe goes into a job and comes out again unchanged in meaning, whatever the units.
#[test]
fn a_lathe_is_copied_into_a_job_and_out_again() {
    let lathes = [
        include_str!("../../../demo/lathes/imperial-small.toml"),
        include_str!("../../../demo/lathes/metric-small.toml"),
        include_str!("../../../demo/lathes/geared-head.toml"),
    ];
    let jobs = [
        include_str!("../../../demo/board-shear.toml"),
        include_str!("../../../demo/proof-press.toml"),
        "job = \"bare\"\n",
    ];
    for text in lathes {
        let lathe = read_lathe(text).unwrap_or_else(|p| panic!("{}", rendered(&p)));
        assert_eq!(job::lathe_text(text).as_deref(), Ok(text), "its own text stays as it is");
        for into in jobs {
            let with = job::with_lathe(into, text).expect("a job with it");
            let read = read_ok(&with);
            assert_eq!(read.lathe.as_ref(), Some(&lathe), "{with}");
            // Nothing else of the job is touched, and its remarks stay.
            let mut before = read_ok(into);
            before.lathe = read.lathe.clone();
            assert_eq!(before, read);
            assert!(into.lines().filter(|l| l.starts_with('#')).all(|l| with.contains(l)));
            let out = job::lathe_text(&with).expect("a lathe");
            assert_eq!(read_lathe(&out).as_ref(), Ok(&lathe), "{out}");
        }
    }
    // Fields at the top of a file of their own are taken too; a job without a lathe is refused.
    let top = job::lathe_text("unit = \"in\"\nlead_screw = \"8 tpi\"\ngears = [20, 40]\nbacklash = 0.02\n")
        .expect("a lathe");
    assert_eq!(read_lathe(&top).expect("read").backlash, Some(Length::inch(0.02)));
    assert!(job::with_lathe(&top, &top).is_ok());
    assert!(job::lathe_text("job = \"none\"\n").expect_err("no lathe").contains("accepted: a [lathe]"));
    let template = job::lathe_template();
    assert!(job::lathe_text(&template).is_ok());
    // Nothing in it is taken for said before its mark is taken away; then every field of it reads.
    assert_eq!(job::raw(&template, "lathe.name"), None);
    let filled: String =
        template.lines().map(|l| l.strip_prefix("# ").unwrap_or(l).to_owned() + "\n").collect();
    let lathe = read_lathe(&filled).unwrap_or_else(|p| panic!("{p:?}\n{filled}"));
    assert!(lathe.banjo.is_some() && lathe.thread_dial.is_some() && lathe.readout.is_some());
    assert_eq!(lathe.gearbox.len(), 1);
}

/// A lathe's text cut off anywhere is read, refused in words, or still a lathe; it never stops the program.
#[test]
fn a_lathe_cut_off_anywhere_is_refused_in_words() {
    let text = include_str!("../../../demo/lathes/geared-head.toml");
    let job = include_str!("../../../demo/board-shear.toml");
    for end in (0..text.len()).step_by(3) {
        let part = &text[..end];
        match (job::lathe_text(part), read_lathe(part)) {
            (Err(words), Err(problems)) => assert!(!words.is_empty() && !problems.is_empty()),
            (Err(words), Ok(_)) => panic!("read as a lathe, and yet: {words}"),
            (Ok(own), read) => {
                let with = job::with_lathe(job, &own).expect("a job with it");
                assert_eq!(read_lathe(&with).ok(), read.ok(), "{part}");
            }
        }
    }
}
