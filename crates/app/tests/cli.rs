//! The command line as its contracts say: output, `--json`, and exit status.

use assert_cmd::cargo::cargo_bin_cmd;
use serde_json::Value;
use std::path::PathBuf;

fn demo(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../demo").join(name)
}

/// Runs with these arguments and this standard input; gives exit status, output, errors.
fn run(args: &[&str], stdin: &str) -> (i32, String, String) {
    let out = cargo_bin_cmd!("flankwise").args(args).write_stdin(stdin).output().expect("it runs");
    (
        out.status.code().expect("an exit status"),
        String::from_utf8(out.stdout).expect("UTF-8"),
        String::from_utf8(out.stderr).expect("UTF-8"),
    )
}

fn json(args: &[&str]) -> Value {
    let (status, out, err) = run(args, "");
    assert_eq!(status, 0, "{args:?}: {err}");
    serde_json::from_str(&out).unwrap_or_else(|e| panic!("{args:?}: {e}"))
}

fn board_shear() -> String {
    std::fs::read_to_string(demo("board-shear.toml")).expect("the demo")
}

#[test]
fn identify_gives_candidates_under_the_contracts_names() {
    let path = demo("board-shear.toml");
    let got = json(&["identify", path.to_str().expect("a path"), "--json"]);
    let first = &got["candidates"][0];
    assert_eq!(first["designation"], "Tr 22x5");
    assert_eq!(first["family"], "metric-trapezoidal");
    assert_eq!(first["nominal_mm"], 22.0);
    assert_eq!(first["pitch_mm"], 5.0);
    assert_eq!(first["starts"], 1);
    assert_eq!(first["hand"], "right");
    assert_eq!(first["included_angle_deg"], 30.0);
    let p = |c: &Value| c["probability"].as_f64().expect("a number");
    let sum: f64 = got["candidates"].as_array().expect("a list").iter().map(p).sum();
    let other = got["other_probability"].as_f64().expect("a number");
    assert!(p(first) > 0.5 && sum + other <= 1.0 + 1e-6, "{sum} + {other}");
    let next = &got["next"][0];
    assert!(
        next["measure"].is_string() && next["information_bits"].is_number() && next["minutes"].is_number()
    );
    assert_eq!(got["story"]["stands"], false);
}

#[test]
fn a_job_is_read_from_standard_input() {
    let (status, out, err) = run(&["identify", "-", "--json"], &board_shear());
    assert_eq!(status, 0, "{err}");
    assert!(out.contains("Tr 22x5"));
}

#[test]
fn the_left_hand_demo_in_inches_is_named() {
    let path = demo("proof-press.toml");
    let got = json(&["identify", path.to_str().expect("a path"), "--json"]);
    let first = &got["candidates"][0];
    assert_eq!((first["family"].as_str(), first["hand"].as_str()), (Some("acme"), Some("left")), "{first}");
    assert!((first["pitch_mm"].as_f64().expect("a number") - 25.4 / 6.0).abs() < 1e-6);
    assert!((first["nominal_mm"].as_f64().expect("a number") - 19.05).abs() < 1e-6);
}

#[test]
fn limits_by_designation() {
    // ISO 2904 basic sizes with ISO 2903 class 7H: 16x4 has D1 = 12, D2 = 14, D4 = 16.5; left hand changes none.
    let got = json(&["limits", "Tr 16x4 LH-7H", "--json"]);
    assert_eq!(got["hand"], "left");
    assert!(got["external"].is_null(), "the class named is a nut's");
    assert_eq!(got["internal"]["class"], "7H");
    assert_eq!(got["internal"]["minor"]["min_mm"], 12.0);
    assert_eq!(got["internal"]["pitch"]["min_mm"], 14.0);
    assert_eq!(got["internal"]["major"]["min_mm"], 16.5);
    let both = json(&["limits", "Tr 16x4", "--json"]);
    assert!(both["external"].is_object() && both["internal"].is_object());

    // Where each limit comes from, how it was rounded, and what stands beside them.
    assert!(got["internal"]["pitch"]["source"].as_str().expect("a source").contains("ISO 2903"));
    assert_eq!(got["internal"]["pitch"]["rounding"], "to 0.001 mm, halves up");
    assert!(got["standard"].as_str().expect("a standard").contains("2904:1977"));
    assert!(got["warnings"][0].as_str().expect("a warning").contains("ISO 2903"), "feed screws are excluded");
    let has = |what: &str| both["extras"].as_array().expect("a list").iter().any(|e| e["what"] == what);
    assert!(has("root_radius") && has("axial_play"), "{}", both["extras"]);
    let near = both["neighbours"].as_array().expect("a list");
    assert!(near.iter().any(|t| t["designation"] == "Tr 16x2"), "{near:?}");
}

/// A nut of 5.00 mm pitch on a screw of 5.08 mm with 0.20 mm of play: 0.20 / 0.08 = 2.5 turns, 12.5 mm (arithmetic).
#[test]
fn two_threads_side_by_side() {
    let got = json(&["compare", "7/8-5 Acme", "Tr 22x5", "--play", "0.2 mm", "--unit", "mm", "--json"]);
    assert!(got["mistaken"].as_f64().expect("a number") < 0.01, "{got}");
    let does = got["nut_of_b_on_screw_of_a"].as_str().expect("words");
    assert!(does.contains("2.5 turns, 12.5 mm of engagement"), "{does}");
    let (status, out, err) = run(&["compare", "1/4-20 UNC", "1/4-20 BSW", "--with", "protractor"], "");
    assert_eq!(status, 0, "{err}");
    assert!(out.contains("included angle with the protractor"), "{out}");
    let (status, _, err) = run(&["compare", "M6", "M8", "--with", "spoon"], "");
    assert!(status == 2 && err.contains("--with") && err.contains("micrometer"), "{err}");
    let (status, _, err) = run(&["compare", "M6", "banana"], "");
    assert!(status == 2 && err.contains("the second thread") && err.contains("banana"), "{err}");
    // Every field that is wrong is told at once.
    let (status, _, err) =
        run(&["compare", "M6", "M8", "--wire", "2 mn", "--condition", "shiny", "--play", "0"], "");
    assert_eq!(status, 2);
    for part in ["--wire", "2 mn", "--condition", "worn", "--play", "above zero"] {
        assert!(err.contains(part), "no {part}: {err}");
    }
    let best = json(&["compare", "Tr 22x5", "7/8-5 Acme", "--json"]);
    assert!(best["best"].as_str().is_some_and(|w| w.contains("under 60.480 mm Tr 22x5")), "{best}");
}

#[test]
fn limits_in_words() {
    // ASME B1.5 class 2G nut of 1-5 Acme by the printed table: D1 0.800 to 0.810 in. Its own unit unless asked for.
    let (status, out, err) = run(&["limits", "1-5 ACME-2G nut"], "");
    assert_eq!(status, 0, "{err}");
    for part in ["0.8100 in", "0.8000 in", "ASME B1.5", "7/8-6 ACME"] {
        assert!(out.contains(part), "no {part} in\n{out}");
    }
    let (_, out, _) = run(&["limits", "1-5 ACME-2G nut", "--unit", "mm"], "");
    assert!(out.contains("20.320 mm"), "{out}");
    // Recalled limits say so, and what they are good for.
    let (_, out, _) = run(&["limits", "1/2 BSW"], "");
    let running = out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(running.contains("(from memory)") && running.contains("Look them up"), "{out}");
    // The other editions and forms.
    let (_, out, _) = run(&["limits", "Rd 40x1/6"], "");
    assert!(out.contains("[DIN 405:1975]"), "{out}");
    let (_, out, _) = run(&["limits", "Rd 40x1/6 [din 405:1975]"], "");
    assert!(out.contains("Rd 40x1/6 [DIN 405:1975]"), "{out}");
}

/// Designations that cannot be read: what was understood, and the nearest that would be.
#[test]
fn a_designation_that_is_wrong_is_answered_with_the_nearest() {
    for (typed, understood, accepted) in [
        ("Tr16x", "16 mm", "`Tr 16x4`"),
        ("M16x-2", "16 mm", "`M16x2`"),
        ("5/8-10 ACMEE", "the numbers 5/8 and 10", "`5/8-10 ACME`"),
        ("M10-2A", "ISO metric, 10 mm", "`M10x1.5-6g`"),
        ("1/4-20 UNC-6g", "pitch 20 tpi", "`1/4-20 UNC-2A`"),
        ("1-5 acme 5C", "", "2G, 3G, 4G, 2C, 3C, 4C"),
    ] {
        let (status, out, err) = run(&["limits", typed], "");
        assert_eq!(status, 2, "{typed}: {out}");
        assert!(err.contains(understood) && err.contains(accepted), "{typed}: {err}");
    }
    // Other spellings of what can be read.
    let (_, plain, _) = run(&["limits", "Tr 22x5 LH"], "");
    for typed in ["tr22×5 l.h.", "TR 22 X 5 left hand", "LH Tr 22x5,0", "Tr 22х5 links"] {
        assert_eq!(run(&["limits", typed], "").1, plain, "{typed}");
    }
}

#[test]
fn catalogue_lists_filters_and_names_the_nearest() {
    let (status, out, _) = run(&["catalogue"], "");
    assert!(status == 0 && out.contains("metric-trapezoidal") && out.contains("B1.8"), "{out}");

    let sizes = |args: &[&str]| -> Vec<String> {
        let got = json(&[&["catalogue", "--json"], args].concat());
        let list = got["sizes"].as_array().expect("a list").iter();
        list.map(|t| t["designation"].as_str().expect("a designation").to_owned()).collect()
    };
    let tr = sizes(&["--family", "metric-trapezoidal", "--diameter", "22 mm"]);
    assert_eq!(tr, ["Tr 22x8", "Tr 22x5", "Tr 22x3"]);
    // By pitch, in either system; within a calliper's reach of a diameter in inches.
    assert!(sizes(&["--pitch", "5 mm", "--family", "metric trapezoidal"]).contains(&"Tr 22x5".to_owned()));
    let acme =
        sizes(&["--family", "acme", "--diameter", "0.62 in", "--within", "0.01 in", "--pitch", "8 tpi"]);
    assert_eq!(acme, ["5/8-8 ACME"]);
    // Nearest to a designation, whether it is listed or not.
    assert_eq!(sizes(&["--near", "7/8-5 acme", "--most", "1"]), ["Tr 22x5"]);

    // Nothing matches: the nearest, and exit status 1.
    let nothing = ["catalogue", "--diameter", "22 mm", "--pitch", "5 tpi"];
    let (status, out, _) = run(&nothing, "");
    assert!(status == 1 && out.contains("No listed size matches") && out.contains("Tr 22x5"), "{out}");
    let (status, out, _) = run(&[&nothing[..], &["--json"]].concat(), "");
    let got: Value = serde_json::from_str(&out).expect("JSON");
    assert_eq!(status, 1);
    assert_eq!(
        (&got["sizes"], &got["nearest"][0]["designation"]),
        (&serde_json::json!([]), &"Tr 22x5".into())
    );
    assert!((got["nearest"][0]["pitch_off_mm"].as_f64().expect("a number") + 0.08).abs() < 1e-9);

    let (status, out, _) = run(&["catalogue", "--family", "worm-29"], "");
    assert!(status == 1 && out.contains("any size, such as `worm 2-4`"), "{out}");

    for (args, words) in [
        (["--family", "acmee"], "accepted is one of metric-trapezoidal, acme"),
        (["--diameter", "22 mn"], "22 mn"),
        (["--pitch", "0 mm"], "above zero"),
        (["--near", "Tr 16x"], "the pitch after `x`"),
    ] {
        let (status, _, err) = run(&[&["catalogue"], &args[..]].concat(), "");
        assert!(status == 2 && err.contains(words) && err.contains(args[0]), "{args:?}: {err}");
    }
}

#[test]
fn a_job_without_a_lathe_has_no_gears() {
    let dir = tempfile::tempdir().expect("a folder");
    let job = dir.path().join("job.toml");
    std::fs::write(&job, "job = \"x\"\n[make]\npart = \"nut\"\nlength = \"20 mm\"\n").expect("written");
    let (status, _, err) = run(&["gears", job.to_str().expect("a path"), "--lead", "3 mm"], "");
    assert!(status == 2 && err.contains("a job without a lathe") && err.lines().count() == 1, "{err}");
}

#[test]
fn gears_for_a_lead() {
    // 127 teeth on an inch lead screw make millimetres exactly: 25.4 mm = 127/5 mm (by definition of the inch).
    let dir = tempfile::tempdir().expect("a folder");
    let lathe = dir.path().join("lathe.toml");
    std::fs::write(
        &lathe,
        "name = \"8 tpi\"\nlead_screw = \"8 tpi\"\ngears = [20, 30, 40, 50, 60, 80, 100, 127]\nmost_gears = 4\nspeeds = [60]\n",
    )
    .expect("written");
    let got = json(&["gears", lathe.to_str().expect("a path"), "--lead", "3 mm", "--json"]);
    let best = &got["trains"][0];
    assert_eq!(best["error_ppm"], 0.0, "{best}");
    let product = |key: &str| -> f64 {
        best[key].as_array().expect("a list").iter().map(|g| g.as_f64().expect("teeth")).product()
    };
    let lead = product("drivers") / product("driven") * 25.4 / 8.0;
    assert!((lead - 3.0).abs() < 1e-9, "{lead}");
    assert!((best["lead_mm"].as_f64().expect("a number") - 3.0).abs() < 1e-9);
    assert_eq!(best["meshes"], true);
}

#[test]
fn fit_and_passes_and_sheet() {
    let path = demo("board-shear.toml");
    let path = path.to_str().expect("a path");
    let fit = json(&["fit", path, "--json"]);
    let aim = fit["sizes"]["blank"]["aim_mm"].as_f64().expect("a bore");
    assert!((16.9..17.6).contains(&aim), "bore {aim}");
    let passes = json(&["passes", path, "--json"]);
    let list = passes["passes"].as_array().expect("a list");
    let depth = list.last().expect("a pass")["depth_mm"].as_f64().expect("a depth");
    // From the bore as the demo has measured it, 17.07 mm, to the bottom aimed at.
    let full = (fit["sizes"]["bottom"]["aim_mm"].as_f64().expect("a bottom") - 17.07) / 2.0;
    assert!((depth - full).abs() < 0.003, "passes end at {depth}, the groove is {full} deep");
    assert_eq!(passes["done"], 0);

    let dir = tempfile::tempdir().expect("a folder");
    let pdf = dir.path().join("sheet.pdf");
    let (status, _, err) = run(&["sheet", path, "-o", pdf.to_str().expect("a path")], "");
    assert_eq!(status, 0, "{err}");
    assert!(std::fs::read(&pdf).expect("written").starts_with(b"%PDF-"));
}

#[test]
fn every_command_has_help_with_an_example_and_stages_have_json() {
    let path = demo("board-shear.toml");
    let path = path.to_str().expect("a path");
    for command in [
        "identify",
        "fit",
        "route",
        "tool",
        "setup",
        "passes",
        "check",
        "show",
        "limits",
        "catalogue",
        "compare",
        "gears",
        "lathe",
        "quotation",
        "sheet",
        "photo",
        "serve",
        "jobs",
        "demo",
        "template",
        "completions",
    ] {
        let (status, help, _) = run(&[command, "--help"], "");
        assert_eq!(status, 0, "{command}");
        if command != "jobs" {
            assert!(help.contains("Example:\n  flankwise "), "{command} --help has no example:\n{help}");
        }
    }
    for command in ["route", "tool", "setup", "check"] {
        let got = json(&[command, path, "--json"]);
        assert!(got["answer"].is_string(), "{command}: {got}");
        assert!(got["figures"].is_object());
    }
    let got = json(&["route", path, "--json"]);
    assert!(got["taken"] == "single point" && got["ways"][0]["cost"].is_number(), "{got}");
    let got = json(&["quotation", path, "--json"]);
    assert!(got["offered"][0]["price"].is_number() && got["currency"] == "EUR", "{got}");
    let chosen = board_shear().replacen("= \"single point\"", "= \"bought tap\"", 1);
    let (status, out, err) = run(&["quotation", "-"], &chosen);
    assert_eq!(status, 1, "{err}");
    assert!(
        out.contains("Nothing is offered yet") && out.contains("Bought tap") && !out.contains("EUR"),
        "{out}"
    );
    for shell in ["bash", "zsh", "fish"] {
        let (status, script, _) = run(&["completions", shell], "");
        assert!(status == 0 && script.contains("flankwise"), "{shell}");
    }
    let (status, text, _) = run(&["template"], "");
    assert_eq!(status, 0);
    let (status, _, err) = run(&["show", "-"], &text);
    assert_eq!(status, 0, "a job that only begins is shown as far as it goes: {err}");
}

/// A lathe kept, listed, changed back, put into a job that then stands by itself.
#[test]
fn lathes_are_kept_and_put_into_jobs() {
    let dir = tempfile::tempdir().expect("a folder");
    let data = dir.path().join("data");
    let data = data.to_str().expect("a path");
    let lathe = |args: &[&str], stdin: &str| run(&[&["lathe", "--data", data], args].concat(), stdin);
    let (status, names, _) = lathe(&["example"], "");
    assert!(status == 0 && names.lines().count() == 3, "{names}");
    let (_, text, _) = lathe(&["example", "metric-small"], "");
    let (status, said, err) = lathe(&["import", "-"], &text);
    assert!(status == 0 && said.contains("2 mm lead screw"), "{said}{err}");
    let number = said.split_whitespace().next().expect("a number").to_owned();
    let (_, list, _) = lathe(&["list", "--json"], "");
    let list: Value = serde_json::from_str(&list).expect("JSON");
    assert_eq!(list["lathes"][0]["lathe"].to_string(), number);
    let (_, exported, _) = lathe(&["export", &number], "");
    assert_eq!(exported, text);
    let (status, job, err) = lathe(&["use", &number, "-"], &board_shear());
    assert_eq!(status, 0, "{err}");
    let (status, answer, err) = run(&["setup", "-", "--json"], &job);
    assert!(status == 0 && answer.contains("\"trains\""), "{err}");
    let (status, chart, _) = lathe(&["chart", "-", "--json"], &text);
    let chart: Value = serde_json::from_str(&chart).expect("JSON");
    assert!(status == 0 && chart.as_array().is_some_and(|rows| rows.len() > 30));
    for args in [["history", &number], ["remove", &number], ["restore", &number]] {
        assert_eq!(lathe(&args, "").0, 0, "{args:?}");
    }
    // A lathe is no job.
    assert!(run(&["jobs", "--data", data, "list"], "").1.contains("No jobs yet"));
    let (status, _, err) = run(&["jobs", "--data", data, "export", &number], "");
    assert!(status == 2 && err.contains("nothing is kept here"), "{err}");
    let (status, _, err) = lathe(&["example", "metric"], "");
    assert!(status == 2 && err.contains("accepted: one of"), "{err}");
}

/// A left-hand lead where idlers set the hand, a worm's lead, and what to get where nothing is exact.
#[test]
fn gears_by_hand_and_by_module() {
    let dir = tempfile::tempdir().expect("a folder");
    let file = dir.path().join("lathe.toml");
    std::fs::write(&file, "lead_screw = \"3 mm\"\ngears = [20, 30, 40, 50, 60]\nleft_hand = false\n")
        .expect("written");
    let file = file.to_str().expect("a path");
    let meshes = |hand: &str| {
        let got = json(&["gears", file, "--lead", "2 mm", "--hand", hand, "--json"]);
        let t = &got["trains"][0];
        t["drivers"].as_array().expect("a list").len() + t["idlers"].as_array().expect("a list").len()
    };
    assert_eq!((meshes("right") % 2, meshes("left") % 2), (0, 1));
    // The nearest train is off by more than anyone cuts: the answer is no, with the gears that would do.
    let (status, text, _) = run(&["gears", file, "--lead", "1 module", "--json"], "");
    let got: Value = serde_json::from_str(&text).expect("JSON");
    assert!(status == 1 && got["to_get"].as_array().is_some_and(|l| !l.is_empty()), "{got}");
    let (status, words, _) = run(&["gears", file, "--lead", "1 module"], "");
    assert!(status == 1 && words.contains("more: "), "{words}");
    let (status, _, err) = run(&["gears", file, "--lead", "0 mm"], "");
    assert!(status == 2 && err.contains("a lead above zero"), "{err}");
    assert_eq!(run(&["gears", file, "--lead", "2 mm", "--most", "0"], "").0, 2);
}

/// A bare lead is in the file's unit, a kept lathe is named by its number, and what is wrong in one taken in is said.
#[test]
fn gears_and_chart_read_what_they_are_given() {
    let dir = tempfile::tempdir().expect("a folder");
    let data = dir.path().join("kept");
    let data = data.to_str().expect("a path");
    let inch = "unit = \"in\"\n[lathe]\nlead_screw = \"8 tpi\"\ngears = [20, 40, 50]\n";
    let lead = |args: &[&str]| json(args)["trains"][0]["lead_mm"].as_f64().expect("a lead");
    let (status, said, err) = run(&["lathe", "--data", data, "import", "-"], inch);
    assert!(status == 0 && err.is_empty(), "{err}");
    let number = said.split(' ').next().expect("a number").to_owned();
    // 0.1 in = 2.54 mm: 0.125 in times 40 : 50.
    assert!((lead(&["gears", &number, "--lead", "0.1", "--data", data, "--json"]) - 2.54).abs() < 1e-9);
    let (_, words, _) = run(&["gears", "-", "--lead", "0.1"], inch);
    assert!(words.contains("0.1000 in"), "{words}");
    let (_, words, _) = run(&["gears", "-", "--lead", "0.1", "--unit", "mm"], inch);
    assert!(words.contains("2.540 mm"), "{words}");
    let (status, chart, err) =
        run(&["lathe", "--data", data, "chart", &number, "--lead", "0.1", "--hand", "left", "--json"], "");
    assert_eq!(status, 0, "{err}");
    assert!(chart.contains("40 on the stud drives 50"), "{chart}");
    let (status, _, err) =
        run(&["lathe", "--data", data, "import", "-"], &format!("{inch}colour = \"grey\"\n"));
    assert!(status == 0 && err.contains("kept, but") && err.contains("colour"), "{err}");
}

/// Two settings of one name, a brake slower than the spindle by itself, a gear mounted that is not on hand.
#[test]
fn a_lathe_that_contradicts_itself_is_refused() {
    let lathe = |more: &str| format!("lead_screw = \"3 mm\"\ngears = [20, 40]\n{more}");
    let twice = "[[gearbox]]\nname = \"A\"\nratio = \"1:1\"\n[[gearbox]]\nname = \"A\"\nratio = \"1:2\"\n";
    for (more, field, accepted) in [
        (twice, "gearbox", "`A` stands more than once"),
        ("coast_s = 1\nbrake_s = 5\n", "brake_s", "not above coast_s"),
        ("mounted = [20, 60]\n", "mounted", "60 is not"),
    ] {
        let (status, _, err) = run(&["gears", "-", "--lead", "1.5 mm"], &lathe(more));
        assert!(status == 2 && err.contains(field) && err.contains(accepted), "{err}");
    }
    assert_eq!(run(&["gears", "-", "--lead", "1.5 mm"], &lathe("mounted = [40, 20]\n")).0, 0);
}

/// Bad input: each names the field, what was read, and what is accepted; status 2; never a panic.
#[test]
fn bad_input() {
    let demo = board_shear();
    let with = |from: &str, to: &str| {
        assert!(demo.contains(from), "{from}");
        demo.replacen(from, to, 1)
    };
    let cases: [(&str, String, &[&str]); 8] = [
        (
            "a misspelt field",
            with("instrument = \"calliper\"", "instrumnet = \"calliper\""),
            &["reading[1].instrumnet", "instrument"],
        ),
        ("a negative diameter", with("\"21.86 mm\"", "\"-21.86 mm\""), &["reading[1].value", "-21.86 mm"]),
        ("NaN", with("\"21.86 mm\"", "nan"), &["reading[1].value", "nan"]),
        ("a pitch bigger than the diameter", with("count      = 12", "count      = 1"), &["reading[3]"]),
        ("5 MB", format!("{demo}\n{}", "# padding\n".repeat(500_000)), &["1 MiB"]),
        ("not TOML", "job = [".to_owned(), &["standard input"]),
        ("an unknown word", with("\"seats\"", "\"sits\""), &["leaf[1].verdict", "sits", "seats"]),
        ("nothing", String::new(), &["job"]),
    ];
    for (what, text, wanted) in cases {
        let (status, _, err) = run(&["identify", "-"], &text);
        assert_eq!(status, 2, "{what}: {err}");
        assert!(!err.contains("panicked"), "{what}: {err}");
        for w in wanted {
            assert!(err.contains(w), "{what}: no {w:?} in\n{err}");
        }
    }
    let (status, _, err) = run(&["identify", "no-such-file.toml"], "");
    assert!(status == 2 && err.contains("no-such-file.toml"), "{err}");
}

#[test]
fn a_port_in_use_is_said() {
    let taken = std::net::TcpListener::bind("127.0.0.1:0").expect("a port");
    let port = taken.local_addr().expect("an address").port().to_string();
    let data = tempfile::tempdir().expect("a folder");
    let (status, _, err) =
        run(&["serve", "--port", &port, "--data", data.path().to_str().expect("a path")], "");
    assert_eq!(status, 2);
    assert!(err.contains(&port) && err.contains("free"), "{err}");
}

#[test]
fn the_demo_does_what_the_readme_says() {
    let dir = tempfile::tempdir().expect("a folder");
    let dir = dir.path().to_str().expect("a path");
    let data = format!("{dir}/data");
    let (status, out, err) = run(&["demo", "--once", "--port", "0", "--out", dir, "--data", &data], "");
    assert_eq!(status, 0, "{err}");
    assert!(out.contains("Tr 22x5"), "{out}");
    assert!(out.contains("http://127.0.0.1:"), "{out}");
    for sheet in ["demo-bench-sheet.pdf", "demo-quotation.pdf", "demo-customer-sheet.pdf"] {
        assert!(out.contains(sheet), "{out}");
        assert!(std::path::Path::new(dir).join(sheet).exists());
    }
    let (_, list, _) = run(&["jobs", "list", "--data", &data], "");
    assert!(list.contains("Board shear") && list.contains("Proof press"), "{list}");
    // Run again, it does not pile up copies.
    run(&["demo", "--once", "--port", "0", "--out", dir, "--data", &data], "");
    assert_eq!(run(&["jobs", "list", "--data", &data], "").1, list);
    // A kept job comes out as the text it went in as.
    let number = list
        .lines()
        .find(|l| l.contains("Board shear"))
        .and_then(|l| l.split_whitespace().next())
        .expect("a number");
    assert_eq!(run(&["jobs", "export", number, "--data", &data], "").1, board_shear());
}
