//! The pages without a browser: every address answers, what people type is escaped, other sites are refused,
//! and two editors of one job lose nothing.

use axum::Router;
use axum::body::Body;
use axum::http::{Request, StatusCode};
use flankwise_store::Store;
use http_body_util::BodyExt;
use tower::ServiceExt;

struct Site {
    app: Router,
    _data: tempfile::TempDir,
}

fn site() -> Site {
    let data = tempfile::tempdir().expect("a folder");
    Site { app: flankwise_app::app(Store::open(data.path()).expect("a store")), _data: data }
}

impl Site {
    async fn send(&self, request: Request<Body>) -> (StatusCode, String, String) {
        let response = self.app.clone().oneshot(request).await.expect("an answer");
        let status = response.status();
        let to =
            response.headers().get("location").and_then(|v| v.to_str().ok()).unwrap_or_default().to_owned();
        let body = response.into_body().collect().await.expect("a body").to_bytes();
        (status, String::from_utf8_lossy(&body).into_owned(), to)
    }

    async fn get(&self, path: &str) -> (StatusCode, String) {
        let (status, body, _) = self.send(Request::get(path).body(Body::empty()).expect("a request")).await;
        (status, body)
    }

    async fn post(&self, path: &str, form: &[(&str, &str)], json: bool) -> (StatusCode, String, String) {
        let body =
            form.iter().map(|(k, v)| format!("{}={}", encode(k), encode(v))).collect::<Vec<_>>().join("&");
        let mut request = Request::post(path)
            .header("content-type", "application/x-www-form-urlencoded")
            .header("host", "127.0.0.1:1");
        if json {
            request = request.header("accept", "application/json");
        }
        self.send(request.body(Body::from(body)).expect("a request")).await
    }

    /// Opens the demo jobs and gives the first one's address.
    async fn demo(&self) -> String {
        self.post("/jobs/demo", &[], false).await.2
    }
}

/// Percent-encodes everything but letters and digits.
fn encode(text: &str) -> String {
    text.bytes()
        .map(|b| if b.is_ascii_alphanumeric() { char::from(b).to_string() } else { format!("%{b:02X}") })
        .collect()
}

#[tokio::test]
async fn every_page_answers() {
    let s = site();
    assert!(s.get("/").await.1.contains("No jobs yet"));
    let job = s.demo().await;
    for path in [
        "",
        "/lathe",
        "/text",
        "/history",
        "/state",
        "/job.toml",
        "/bench.pdf",
        "/customer.pdf",
        "/quotation",
        "/quotation.pdf",
        "/record.pdf",
    ] {
        let (status, body) = s.get(&format!("{job}{path}")).await;
        assert_eq!(status, StatusCode::OK, "{path}: {body}");
    }
    for path in ["/about", "/style.css", "/sheet.js", "/lathe.js", "/icon.svg", "/font.ttf", "/font-bold.ttf"]
    {
        assert_eq!(s.get(path).await.0, StatusCode::OK, "{path}");
    }
    for path in ["/nowhere", "/jobs/99", "/jobs/99/bench.pdf", "/jobs/99/lathe"] {
        assert_eq!(s.get(path).await.0, StatusCode::NOT_FOUND, "{path}");
    }
    assert_eq!(s.get(&format!("{job}/job.toml")).await.1, include_str!("../../../demo/board-shear.toml"));
}

#[tokio::test]
async fn threads_are_looked_up_by_address() {
    let s = site();
    // Without anything asked: the families, each leading to its sizes.
    let (status, page) = s.get("/threads").await;
    assert_eq!(status, StatusCode::OK);
    assert!(page.contains("href=\"/threads?family=acme#listed\""), "{page}");
    // A designation in any usual writing: drawing, limits with their origin, neighbours.
    let (status, page) = s.get("/threads?thread=tr+22%C3%975+l.h.").await;
    assert_eq!(status, StatusCode::OK);
    for part in [
        "<h1>Tr 22x5 LH</h1>",
        "<svg",
        "ISO 2903",
        "to 0.001 mm, halves up",
        "href=\"/threads?thread=Tr%2022x8\"",
        "19.500",
    ] {
        assert!(page.contains(part), "no {part}");
    }
    // The unit is the thread's own unless one was chosen.
    assert!(s.get("/threads?thread=1-5+acme").await.1.contains("0.8000 in"));
    // Editions and forms are links.
    assert!(s.get("/threads?thread=Rd+40x1%2F6").await.1.contains("Rd%2040x1%2F6%20%5BDIN%20405%3A1975%5D"));
    // A class that has no figures leaves the rest of the page.
    let (status, page) = s.get("/threads?thread=1-5+acme+5C").await;
    assert!(status == StatusCode::OK && page.contains("Cannot be done") && page.contains("<svg"));

    // What cannot be read is kept and answered with links to what could be.
    let (status, page) = s.get("/threads?thread=M10-2A%3Cb%3E").await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("value=\"M10-2A&lt;b&gt;\"") && !page.contains("2A<b>"));
    assert!(page.contains("understood ISO metric, 10 mm") && page.contains("thread=M10x1.5-6g\""), "{page}");

    // The list: matches, else the nearest; a field that cannot be read is named and kept.
    let (_, page) = s.get("/threads?family=acme&diameter=7%2F8+in").await;
    assert!(page.contains("1 listed size") && page.contains("7/8-6 ACME"));
    let (_, page) = s.get("/threads?diameter=22+mm&pitch=5+tpi").await;
    assert!(page.contains("No listed size matches") && page.contains("Tr 22x5"));
    let (status, page) = s.get("/threads?diameter=22+mn").await;
    assert!(status == StatusCode::UNPROCESSABLE_ENTITY && page.contains("value=\"22 mn\""));
    assert!(page.contains("aria-invalid=\"true\""));
    // A long list is cut, and can be had whole.
    let (_, page) = s.get("/threads?family=unified").await;
    assert!(page.contains("Show all 4"), "{page}");
    let (_, whole) = s.get("/threads?family=unified&all=yes").await;
    assert!(whole.len() > 3 * page.len() && !whole.contains("Show all"));

    // The job's candidates lead here.
    let job = s.demo().await;
    assert!(s.get(&job).await.1.contains("href=\"/threads?thread=Tr%2022x5\""));
}

/// A nut of 5.00 mm pitch on a screw of 5.08 mm with 0.20 mm of play: 0.20 / 0.08 = 2.5 turns (arithmetic).
#[tokio::test]
async fn two_threads_are_compared_by_address() {
    let s = site();
    // Nothing asked: the fields, with the calliper at hand.
    let (status, page) = s.get("/compare").await;
    assert!(
        status == StatusCode::OK
            && page.contains("name=\"a\"")
            && page.contains("value=\"calliper\" checked")
    );
    let asked =
        "/compare?a=7%2F8-5+acme&b=tr+22x5&with=calliper&with=wires&wire=2.6+mm&condition=worn&play=0.2+mm";
    let (status, page) = s.get(asked).await;
    assert_eq!(status, StatusCode::OK);
    for part in [
        "<h1>7/8-5 ACME beside Tr 22x5</h1>",
        "told apart, if every reading is a good one",
        "of play in 2.5 turns",
        "over wires of",
        "<svg",
        "What tells most",
        "href=\"/threads?thread=Tr%2022x5\"",
        // What was asked stays in the fields.
        "value=\"wires\" checked",
        "value=\"0.2 mm\"",
        "value=\"worn\" selected",
        // The other way round, under the same terms.
        "/compare?a=Tr%2022x5&amp;b=7%2F8-5%20ACME&amp;with=calliper&amp;with=wires&amp;wire=2.6%20mm",
    ] {
        assert!(page.contains(part), "no {part} in {page}");
    }
    // Instruments in one list; the unit is that of the first thread unless one was chosen.
    assert!(page.contains(" in</td>"), "{page}");
    assert!(s.get("/compare?a=M6&b=M8&with=micrometer,protractor").await.1.contains("with the protractor"));
    // What cannot be read is named, kept, and answered with what could be.
    let (status, page) = s.get("/compare?a=M10-2A%3Cb%3E&b=&with=spoon&play=0&wire=2+mn").await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    for part in [
        "value=\"M10-2A&lt;b&gt;\"",
        "understood ISO metric",
        "read nothing",
        "spoon",
        "above zero",
        "value=\"2 mn\"",
    ] {
        assert!(page.contains(part), "no {part} in {page}");
    }
    // The same for a program.
    let json = |path: &str| {
        Request::get(path).header("accept", "application/json").body(Body::empty()).expect("a request")
    };
    let (status, body, _) = s.send(json(asked)).await;
    let got: serde_json::Value = serde_json::from_str(&body).expect("JSON");
    assert!(status == StatusCode::OK && got["mistaken"].as_f64().is_some_and(|m| m < 0.02), "{body}");
    assert_eq!(got["nut_of_b_on_screw_of_a_goes"], "starts and binds", "{body}");
    let (status, body, _) = s.send(json("/compare?a=banana&b=M6")).await;
    assert!(status == StatusCode::UNPROCESSABLE_ENTITY && body.contains("\"wrong\":{\"a\""), "{body}");

    // A thread's page and every candidate of a job lead here, with what the job has at hand.
    let (_, page) = s.get("/threads?thread=Tr+22x5").await;
    assert!(page.contains("href=\"/compare?a=Tr%2022x5&amp;b=Tr%2022x8"), "{page}");
    let job = s.demo().await;
    let (_, page) = s.get(&job).await;
    let to = "href=\"/compare?a=Tr%2022x5&amp;b=7%2F8-5%20ACME&amp;with=calliper&amp;with=micrometer";
    assert!(page.contains(to) || page.contains(&to.replace("&amp;with=micrometer", "")), "{page}");
    let candidates = page.matches("beside the first</a>").count();
    assert!(candidates >= 6 && page.contains("beside the second</a>"), "{candidates}");
}

/// A question of units is answered with one button, with or without script; the rest of the form is saved with it.
#[tokio::test]
async fn a_question_is_answered_with_a_button() {
    let s = site();
    let text = include_str!("../../../demo/board-shear.toml").replace("\"21.71 mm\"", "\"0.855 mm\"");
    let (_, _, job) = s.post("/jobs/import", &[("text", &text)], false).await;
    let (_, page) = s.get(&job).await;
    let button = "name=\"answer\" value=\"reading[2].value=0.855 in\"";
    assert!(page.contains("other unit") && page.contains(button), "{page}");
    assert!(page.contains(&format!("formaction=\"{job}/fields\"")), "{page}");
    let fields = [("base", "1"), ("make.play", "0.05 mm"), ("answer", "reading[2].value=0.855 in")];
    let (status, ..) = s.post(&format!("{job}/fields"), &fields, false).await;
    assert_eq!(status, StatusCode::SEE_OTHER);
    let (_, text) = s.get(&format!("{job}/job.toml")).await;
    assert!(text.contains("\"0.855 in\"") && text.contains("0.05 mm"), "{text}");
    assert!(!s.get(&job).await.1.contains("name=\"answer\""));
}

#[tokio::test]
async fn without_script_a_form_saves_and_undo_takes_back() {
    let s = site();
    let job = s.demo().await;
    let fields = [("base", "1"), ("story", "<script>alert(1)</script>"), ("make.play", "0.07 mm")];
    let (status, _, to) = s.post(&format!("{job}/fields"), &fields, false).await;
    assert_eq!((status, to.as_str()), (StatusCode::SEE_OTHER, job.as_str()));
    let (_, page) = s.get(&job).await;
    assert!(page.contains("&lt;script&gt;alert") && !page.contains("<script>alert"));
    assert!(s.get(&format!("{job}/job.toml")).await.1.contains("0.07 mm"));
    s.post(&format!("{job}/undo"), &[("base", "2")], false).await;
    assert_eq!(s.get(&format!("{job}/job.toml")).await.1, include_str!("../../../demo/board-shear.toml"));
    s.post(&format!("{job}/redo"), &[("base", "3")], false).await;
    assert!(s.get(&format!("{job}/job.toml")).await.1.contains("0.07 mm"));
}

#[tokio::test]
async fn the_second_of_two_editors_is_told() {
    let s = site();
    let job = s.demo().await;
    let fields = format!("{job}/fields");
    let (status, ..) = s.post(&fields, &[("base", "1"), ("make.play", "0.05 mm")], true).await;
    assert_eq!(status, StatusCode::OK);
    // The same field from the same base: refused, with both values.
    let (status, body, _) = s.post(&fields, &[("base", "1"), ("make.play", "0.09 mm")], true).await;
    assert_eq!(status, StatusCode::CONFLICT);
    assert!(body.contains("0.05 mm") && body.contains("0.09 mm"), "{body}");
    // Another field: merged.
    let (status, ..) = s.post(&fields, &[("base", "1"), ("make.length", "40 mm")], true).await;
    assert_eq!(status, StatusCode::OK);
    let (_, text) = s.get(&format!("{job}/job.toml")).await;
    assert!(text.contains("0.05 mm") && text.contains("40 mm") && !text.contains("0.09 mm"));
}

#[tokio::test]
async fn entries_are_added_and_taken_out() {
    let s = site();
    let job = s.demo().await;
    let (_, _, to) = s.post(&format!("{job}/add"), &[("base", "1"), ("path", "reading")], false).await;
    assert!(to.ends_with("#f-reading-7-"), "{to}");
    let (_, page) = s.get(&job).await;
    assert!(page.contains("name=\"reading[7].value\""));
    // The buttons lead where the job is, without script as well; a new reading begins as the last one was.
    assert!(page.contains(&format!("formaction=\"{job}/add\"")), "{page}");
    let (_, text) = s.get(&format!("{job}/job.toml")).await;
    assert_eq!(
        text.matches("feature    = \"over wires\"").count()
            + text.matches("feature = \"over wires\"").count(),
        4
    );
    s.post(&format!("{job}/take-out"), &[("base", "2"), ("path", "reading[7]")], false).await;
    assert!(!s.get(&job).await.1.contains("name=\"reading[7].value\""));
}

#[tokio::test]
async fn a_job_put_away_refuses_changes_alike_to_person_and_program() {
    let s = site();
    let job = s.demo().await;
    s.post(&format!("{job}/put-away"), &[], false).await;
    let change = [("base", "1"), ("job", "another name")];
    for json in [false, true] {
        let (status, body, _) = s.post(&format!("{job}/fields"), &change, json).await;
        assert_eq!(status, StatusCode::GONE, "{body}");
        assert!(body.contains("put away"), "{body}");
    }
}

/// A customer would take a default for what was asked.
#[tokio::test]
async fn no_paper_leaves_out_a_field_that_cannot_be_read() {
    let s = site();
    let job = s.demo().await;
    s.post(&format!("{job}/fields"), &[("base", "1"), ("make.length", "abc")], false).await;
    for paper in ["quotation", "quotation.pdf", "customer.pdf", "bench.pdf", "record.pdf"] {
        let (status, body) = s.get(&format!("{job}/{paper}")).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{paper}");
        assert!(body.contains("make.length") && body.contains("abc"), "{paper}: {body}");
    }
}

#[tokio::test]
async fn nothing_is_offered_in_place_of_a_choice_that_cannot_be_gone() {
    let s = site();
    let job = s.demo().await;
    s.post(&format!("{job}/fields"), &[("base", "1"), ("choice.way", "bought tap")], false).await;
    let (status, body) = s.get(&format!("{job}/quotation")).await;
    assert_eq!(status, StatusCode::OK);
    assert!(body.contains("Nothing is offered yet") && body.contains("The way chosen"), "{body}");
    assert!(!body.contains("EUR"), "{body}");
}

#[tokio::test]
async fn another_site_cannot_change_a_job() {
    let s = site();
    let request =
        Request::post("/jobs").header("host", "127.0.0.1:1").header("origin", "http://elsewhere.example");
    let (status, ..) = s.send(request.body(Body::empty()).expect("a request")).await;
    assert_eq!(status, StatusCode::FORBIDDEN);
    assert!(s.get("/").await.1.contains("No jobs yet"));
}

#[tokio::test]
async fn bad_texts_are_refused_with_words_and_bad_fields_are_kept() {
    let s = site();
    let (status, body, _) = s.post("/jobs/import", &[("text", "job = [")], false).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(body.contains("Not taken in"));
    let (status, ..) = s.post("/jobs/import", &[("text", &"# much\n".repeat(800_000))], false).await;
    assert!(status.is_client_error(), "{status}");
    // One wrong field: kept, named, and the rest still worked out.
    let text = include_str!("../../../demo/board-shear.toml").replace("\"44 mm\"", "\"44 mn\"");
    let (_, _, to) = s.post("/jobs/import", &[("text", &text)], false).await;
    let (_, page) = s.get(&to).await;
    assert!(page.contains("44 mn") && page.contains("aria-invalid=\"true\""));
    assert!(page.contains("Tr 22x5"));
}

/// A store of its own, opened again and again.
fn reopened(data: &tempfile::TempDir) -> Site {
    Site {
        app: flankwise_app::app(Store::open(data.path()).expect("a store")),
        _data: tempfile::tempdir().expect("a folder"),
    }
}

impl Site {
    /// Does an act at the lathe, from a page on which so many passes were done.
    async fn act(&self, job: &str, at: usize, more: &[(&str, &str)]) -> (StatusCode, String) {
        let at = at.to_string();
        let mut form = vec![("at", at.as_str())];
        form.extend_from_slice(more);
        let (status, body, to) = self.post(&format!("{job}/lathe"), &form, false).await;
        if to.is_empty() { (status, body) } else { self.get(&to).await }
    }
}

#[tokio::test]
async fn the_place_at_the_lathe_outlives_the_program() {
    let data = tempfile::tempdir().expect("a folder");
    let s = reopened(&data);
    let job = s.demo().await;
    for at in 0..3 {
        s.act(&job, at, &[("act", "done")]).await;
    }
    drop(s);
    let s = reopened(&data);
    assert!(s.get(&format!("{job}/lathe")).await.1.contains("Pass <b>4</b> of"));
    // It is in the job itself, journaled, and every page says so.
    assert!(s.get(&format!("{job}/job.toml")).await.1.matches("[[done]]").count() == 3);
    assert!(s.get(&format!("{job}/history")).await.1.contains("pass 3 done"));
    assert!(s.get(&job).await.1.contains("Done so far: 3; next is pass 4"));
}

#[tokio::test]
async fn a_tick_counts_once_and_can_be_taken_back() {
    let s = site();
    let job = s.demo().await;
    // A second touch, or another tablet that has not yet heard, is of the same pass.
    for _ in 0..2 {
        assert!(s.act(&job, 0, &[("act", "done")]).await.1.contains("Pass <b>2</b> of"));
    }
    assert!(s.act(&job, 1, &[("act", "back")]).await.1.contains("Pass <b>1</b> of"));
    for at in 0..4 {
        s.act(&job, at, &[("act", "done")]).await;
    }
    assert!(s.act(&job, 4, &[("act", "over")]).await.1.contains("Pass <b>1</b> of"));
    // The journal still has them.
    assert!(s.get(&format!("{job}/history")).await.1.contains("passes started over"));
}

#[tokio::test]
async fn a_real_number_and_a_measured_size_plan_the_rest_anew() {
    let s = site();
    let job = s.demo().await;
    let page = s.act(&job, 0, &[("act", "done")]).await.1;
    let next = |page: &str| {
        page.split("class=\"digits").nth(1).and_then(|p| p.split(['>', '<']).nth(1)).map(str::to_owned)
    };
    let asked: f64 = next(&page).expect("digits").parse().expect("a number");
    // Set 0.1 on the diameter deeper than asked.
    let stood = format!("{:.3}", asked + 0.1);
    let page = s.act(&job, 1, &[("act", "stood"), ("shown", &stood)]).await.1;
    assert!(page.contains("Pass <b>3</b> of"));
    let after: f64 = next(&page).expect("digits").parse().expect("a number");
    assert!(after > asked + 0.1, "{after} after {stood}");
    let text = s.get(&format!("{job}/job.toml")).await.1;
    assert!(text.contains(&format!("{:.5}", (asked + 0.1) / 2.0).trim_end_matches('0').to_owned()), "{text}");
    // What cannot be read is named, and nothing is done.
    let (status, page) = s.act(&job, 2, &[("act", "stood"), ("shown", "o.6")]).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("read `o.6`; accepted: a length such as") && page.contains("Pass <b>3</b> of"));
    let zero = s.act(&job, 2, &[("act", "stood"), ("shown", "0")]).await;
    assert_eq!(zero.0, StatusCode::UNPROCESSABLE_ENTITY);
    // What cannot be is refused with what is accepted, and stays in its field.
    for number in ["12", "0.01", "-1"] {
        let (status, page) = s.act(&job, 2, &[("act", "stood"), ("shown", number)]).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{number}");
        assert!(page.contains(&format!("read `{number}`; accepted: ")), "{page}");
        assert!(page.contains(&format!("value=\"{number}\"")), "{number} is kept");
    }
    for number in ["-3", "99"] {
        let measured = [
            ("act", "measured"),
            ("feature", "over wires"),
            ("wire", "2.5"),
            ("value", number),
            ("instrument", "other"),
        ];
        let (status, page) = s.act(&job, 2, &measured).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{number}");
        assert!(page.contains(&format!("the size measured: read `{number}`; accepted: ")), "{page}");
    }
    // What can be but is a slip more likely is asked again, and kept if it is meant.
    let slip = [
        ("act", "measured"),
        ("feature", "over wires"),
        ("wire", "2.5"),
        ("value", "15.9"),
        ("instrument", "other"),
    ];
    let (status, page) = s.act(&job, 2, &slip).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("says that the groove is") && page.contains("It is right: keep it"), "{page}");
    let sure = [&slip[..], &[("sure", "15.9")]].concat();
    assert_eq!(s.act(&job, 2, &sure).await.0, StatusCode::OK);
    s.act(&job, 2, &[("act", "back")]).await;
    // Another tool: its tip goes into the job, and what cannot be is refused.
    let (status, page) = s.act(&job, 2, &[("act", "tip"), ("tip", "9")]).await;
    assert!(
        status == StatusCode::UNPROCESSABLE_ENTITY
            && page.contains("tip of the new tool: read `9`; accepted: more than 0")
    );
    assert_eq!(s.act(&job, 2, &[("act", "tip"), ("tip", "1.4")]).await.0, StatusCode::OK);
    assert!(s.get(&format!("{job}/job.toml")).await.1.contains("tip_width = \"1.4 mm\""));
    // A size between passes is a reading of the part, marked as on the way.
    let measured = [
        ("act", "measured"),
        ("feature", "major diameter"),
        ("value", "17.9"),
        ("sure", "17.9"),
        ("instrument", "other"),
    ];
    let (status, _) = s.act(&job, 2, &measured).await;
    assert_eq!(status, StatusCode::OK);
    let text = s.get(&format!("{job}/job.toml")).await.1;
    assert!(text.contains("value = \"17.9 mm\"") && text.contains("after = 2"), "{text}");
    assert!(s.get(&job).await.1.contains("on the way"));
    // Taken back, first the reading, then the pass.
    s.act(&job, 2, &[("act", "back")]).await;
    assert!(!s.get(&format!("{job}/job.toml")).await.1.contains("after = 2"));
    let (status, page) = s
        .act(&job, 2, &[("act", "measured"), ("feature", "over wires"), ("value", "x"), ("wire", "2.6")])
        .await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(page.contains("the size measured: read `x`"));
}

#[tokio::test]
async fn each_start_is_cut_to_its_depth_before_the_next() {
    let s = site();
    let text = r#"
job = "Two starts (invented)"
unit = "mm"
[identity]
thread = "Tr 40x14 P7"
[make]
part = "screw"
length = "120 mm"
through = false
relief = "60 mm"
[lathe]
lead_screw = "2 mm"
gears = [20, 30, 40, 50, 60, 70, 80]
most_gears = 4
speeds = [20]
reverses = true
left_hand = true
compound_dial = "0.02 mm"
cross_dial = { division = "0.02 mm", reads = "radius" }
"#;
    let (_, _, job) = s.post("/jobs/import", &[("text", text)], false).await;
    let page = s.get(&format!("{job}/lathe")).await.1;
    assert!(page.contains("start <b>1</b> of 2"), "{page}");
    let passes: usize = page
        .split("</b> of ")
        .nth(1)
        .and_then(|p| p.split(' ').next())
        .and_then(|n| n.parse().ok())
        .expect("a count");
    for at in 0..passes - 1 {
        let page = s.act(&job, at, &[("act", "done"), ("start", "1")]).await.1;
        assert!(page.contains(&format!("Pass <b>{}</b> of", at + 2)) && page.contains("start <b>1</b> of 2"));
    }
    // The last pass of the first start leads to the second, with the way there.
    let page = s.act(&job, passes - 1, &[("act", "done"), ("start", "1")]).await.1;
    assert!(page.contains("Pass <b>1</b> of") && page.contains("start <b>2</b> of 2"), "{page}");
    assert!(page.contains("is at its full depth. Go on to the next by the"), "{page}");
    // An act of the first start's page comes too late; the last pass can be taken back.
    assert!(s.act(&job, 0, &[("act", "done"), ("start", "1")]).await.1.contains("Pass <b>1</b> of"));
    let page = s.act(&job, 0, &[("act", "back"), ("start", "2")]).await.1;
    assert!(page.contains(&format!("Pass <b>{passes}</b> of")) && page.contains("start <b>1</b> of 2"));
    let page = s.act(&job, passes - 1, &[("act", "done"), ("start", "1")]).await.1;
    // Moved for the side pass of the first start, the compound goes back to zero for the second.
    let shifted = page.contains(" to the side");
    assert!(!shifted || page.contains("compound to, along the axis"), "{page}");
    let page = s.act(&job, 0, &[("act", "done"), ("start", "2")]).await.1;
    assert!(page.contains("Pass <b>2</b> of") && page.contains("start <b>2</b> of 2"));
    assert!(s.get(&format!("{job}/job.toml")).await.1.contains("start = 2"));
}

#[tokio::test]
async fn a_full_disk_is_told_and_loses_nothing() {
    let data = tempfile::tempdir().expect("a folder");
    let settings = flankwise_store::Settings { max_pages: Some(40), ..Default::default() };
    let store = Store::open_with(data.path(), settings).expect("a store");
    let s = Site { app: flankwise_app::app(store), _data: data };
    let (_, _, job) =
        s.post("/jobs/import", &[("text", include_str!("../../../demo/proof-press.toml"))], false).await;
    let fields = format!("{job}/fields");
    let mut saved = String::new();
    for n in 1..200 {
        let note = format!("{n} {}", "so on ".repeat(400));
        let base = n.to_string();
        let (status, body, _) = s.post(&fields, &[("base", &base), ("story", &note)], true).await;
        if status == StatusCode::OK {
            saved = note;
            continue;
        }
        assert_eq!(status, StatusCode::INSUFFICIENT_STORAGE, "{body}");
        assert!(body.contains("no room left on the disk"), "{body}");
        // What was acknowledged before is there, and the page still answers.
        assert!(s.get(&format!("{job}/job.toml")).await.1.contains(saved.trim()));
        assert_eq!(s.get(&job).await.0, StatusCode::OK);
        return;
    }
    panic!("the disk never filled");
}

/// Where another way is chosen, the view shows its steps and not the passes of a single point, keeps the place, and ends
/// with the proof.
#[tokio::test]
async fn the_way_that_is_chosen_is_what_the_lathe_shows() {
    let s = site();
    let job = s.demo().await;
    // A tap needs a way out at the far end.
    for (base, field, value) in [("1", "make.through", "true"), ("2", "choice.way", "made tap")] {
        let form = [("base", base), (field, value)];
        let (status, answer, _) = s.post(&format!("{job}/fields"), &form, true).await;
        assert_eq!(status, StatusCode::OK, "{answer}");
    }
    let lathe = format!("{job}/lathe");
    let (_, page) = s.get(&lathe).await;
    assert!(page.contains("Step <b>1</b> of") && page.contains("do not belong to it"), "{page}");
    assert!(!page.contains("Pass <b>"), "{page}");
    // The taps are made first, then the body, the thread and what comes after.
    let steps = ["Turn the blanks", "Saw off", "Turn the taps in", "Part off"];
    let places: Vec<_> = steps.iter().map(|words| page.rfind(words)).collect();
    assert!(places.iter().all(Option::is_some) && places.is_sorted(), "{places:?}: {page}");
    s.post(&lathe, &[("act", "done"), ("at", "0")], false).await;
    // A page that is behind does nothing twice.
    s.post(&lathe, &[("act", "done"), ("at", "0")], false).await;
    let (_, page) = s.get(&lathe).await;
    assert!(page.contains("Step <b>2</b> of"), "{page}");
    for at in 1..40 {
        s.post(&lathe, &[("act", "done"), ("at", &at.to_string())], false).await;
    }
    let (_, page) = s.get(&lathe).await;
    assert!(page.contains("steps done") && page.contains("proved within"), "{page}");
    s.post(&lathe, &[("act", "back"), ("at", "40")], false).await;
    assert!(s.get(&lathe).await.1.contains("steps done"), "an act from nowhere takes nothing back");
    // Steps are part of the job: other pages see them, and they have undo.
    let (_, text) = s.get(&format!("{job}/job.toml")).await;
    assert!(text.contains("steps_of") && text.contains("steps_done"), "{text}");
}

/// Where the way chosen cannot be gone, no pass of another is shown or counted.
#[tokio::test]
async fn at_the_lathe_a_choice_that_cannot_be_gone_leads_back() {
    let s = site();
    let job = s.demo().await;
    s.post(&format!("{job}/fields"), &[("base", "1"), ("choice.way", "thread mill")], false).await;
    let lathe = format!("{job}/lathe");
    let (_, page) = s.get(&lathe).await;
    assert!(
        page.contains("cannot be gone") && page.contains("#route") && !page.contains("Pass <b>"),
        "{page}"
    );
    s.post(&lathe, &[("act", "done"), ("at", "0"), ("start", "1")], false).await;
    assert!(!s.get(&format!("{job}/job.toml")).await.1.contains("[[done]]"));
}

#[tokio::test]
async fn a_lathe_is_kept_changed_taken_into_a_job_and_out_of_it() {
    let s = site();
    assert!(s.get("/lathes").await.1.contains("No lathes yet"));
    let (status, _, lathe) = s.post("/lathes/copy", &[("which", "1")], false).await;
    assert!(status.is_redirection() && lathe.starts_with("/lathes/"), "{status} {lathe}");
    let (status, page) = s.get(&lathe).await;
    assert!(status == StatusCode::OK && page.contains("What it cuts") && page.contains("Invented example"));
    // Changed by field, with undo; a wrong value is kept and told.
    let (_, body, _) =
        s.post(&format!("{lathe}/fields"), &[("base", "1"), ("lathe.name", "Mine")], true).await;
    assert!(body.contains("\"title\":\"Mine\""), "{body}");
    let (_, body, _) =
        s.post(&format!("{lathe}/fields"), &[("base", "2"), ("lathe.lead_screw", "2 mn")], true).await;
    assert!(body.contains("a pitch such as") && body.contains("Waits for the fields"), "{body}");
    s.post(&format!("{lathe}/undo"), &[("base", "3")], false).await;

    // Into a job: the job's text holds it whole, and says so in its history.
    let job = s.demo().await;
    let number = lathe.rsplit('/').next().expect("a number");
    let (_, page) = s.get(&job).await;
    assert!(page.contains("Take Mine") && page.contains("Keep this lathe"), "{page}");
    let (status, ..) = s.post(&format!("{job}/take-lathe"), &[("base", "1"), ("lathe", number)], false).await;
    assert!(status.is_redirection());
    let (_, text) = s.get(&format!("{job}/job.toml")).await;
    assert!(text.contains("name        = \"Mine\"") && text.contains("lead_screw  = \"2 mm\""), "{text}");
    assert!(s.get(&job).await.1.contains("As kept: "));
    assert!(s.get(&format!("{job}/history")).await.1.contains("lathe taken: Mine"));
    // From an old page it is refused: the job has moved on.
    let (status, ..) = s.post(&format!("{job}/take-lathe"), &[("base", "1"), ("lathe", number)], false).await;
    assert_eq!(status, StatusCode::CONFLICT);

    // Out of a job: kept as a lathe of its own.
    let (_, _, kept) = s.post(&format!("{job}/keep-lathe"), &[], false).await;
    let (_, text) = s.get(&format!("{kept}/lathe.toml")).await;
    assert!(text.contains("[lathe]") && !text.contains("[[reading]]"), "{text}");
    // A lathe's number is no job's.
    assert_eq!(s.get(&format!("/jobs/{number}")).await.0, StatusCode::NOT_FOUND);
    assert_eq!(s.get(&format!("/lathes{}", job.trim_start_matches("/jobs"))).await.0, StatusCode::NOT_FOUND);
    // Away and back.
    s.post(&format!("{lathe}/put-away"), &[], false).await;
    assert!(s.get("/lathes").await.1.contains("Bring back"));
    let (_, _, to) = s.post(&format!("{lathe}/bring-back"), &[], false).await;
    assert_eq!(to, lathe);
    // What is no lathe is not taken in.
    let (status, body, _) = s.post("/lathes/import", &[("text", "job = \"x\"")], false).await;
    assert!(status == StatusCode::UNPROCESSABLE_ENTITY && body.contains("no lathe in it"), "{body}");
}

#[tokio::test]
async fn a_reaction_is_kept_with_the_lathe_and_false_starts_are_told() {
    let s = site();
    let (_, _, lathe) = s.post("/lathes/copy", &[("which", "2")], false).await;
    let (_, page) = s.get(&format!("{lathe}/reaction")).await;
    assert!(page.contains("id=\"target\"") && page.contains("noscript"));
    let tries = "-1,0.21,0.25,0.23,0.24,0.30,0.22,0.26,0.23,0.22,0.25";
    let (status, _, to) =
        s.post(&format!("{lathe}/reaction"), &[("base", "1"), ("tries", tries)], false).await;
    assert!(status.is_redirection() && to == lathe, "{status} {to}");
    let (_, text) = s.get(&format!("{lathe}/lathe.toml")).await;
    assert!(text.contains("reaction = { median_s = 0.235, slow_s = 0.282, tries = 10 }"), "{text}");
    let (_, history) = s.get(&format!("{lathe}/history")).await;
    assert!(history.contains("1 false start") && !history.contains("1 false starts"), "{history}");
    assert!(s.get(&format!("{lathe}/reaction")).await.1.contains("0.235 s"));
    let (status, body, _) =
        s.post(&format!("{lathe}/reaction"), &[("base", "2"), ("tries", "0.2,0.01")], false).await;
    assert!(status == StatusCode::UNPROCESSABLE_ENTITY && body.contains("at least five"), "{body}");
    // A job's lathe can be tried at too.
    let job = s.demo().await;
    assert!(s.get(&format!("{job}/reaction")).await.1.contains("reaction_s"));
}

/// The head of an element: from its `id` or `class` to the end of its tag.
fn tag<'a>(page: &'a str, mark: &str) -> &'a str {
    page.split(mark).nth(1).and_then(|rest| rest.split('>').next()).unwrap_or_else(|| panic!("{mark}"))
}

/// After an answer that asks again the keys belong to the number that was typed, not to the pass at its planned one.
#[tokio::test]
async fn a_number_that_is_asked_again_keeps_the_keys() {
    let s = site();
    let job = s.demo().await;
    let page = s.act(&job, 0, &[("act", "done")]).await.1;
    assert!(tag(&page, "class=\"done\"").contains("autofocus"), "{page}");
    assert!(!tag(&page, "id=\"shown\"").contains("autofocus"));
    let (status, page) = s.act(&job, 1, &[("act", "stood"), ("shown", "2")]).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(tag(&page, "id=\"shown\"").contains("autofocus"), "{page}");
    assert!(!tag(&page, "class=\"done\"").contains("autofocus"), "{page}");
}

/// What the job's reader refuses is refused here, before it is saved; and a reading is taken back by its place in the
/// text, in which one that cannot be read counts too.
#[tokio::test]
async fn a_reading_is_saved_as_it_can_be_read_and_taken_back_by_its_place() {
    let s = site();
    let text = include_str!("../../../demo/board-shear.toml");
    let text = format!("{text}\n[[made]]\nfeature = \"bore\"\nvalue = \"17 mn\"\n");
    let (_, _, job) = s.post("/jobs/import", &[("text", text.as_str())], false).await;
    let file = format!("{job}/job.toml");
    for at in 0..2 {
        s.act(&job, at, &[("act", "done")]).await;
    }
    let before = s.get(&file).await.1;
    let play =
        |value| [("act", "measured"), ("feature", "play"), ("value", value), ("instrument", "indicator")];
    let (status, page) = s.act(&job, 2, &play("-0.04")).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{page}");
    assert!(page.contains("read `-0.04`"), "{page}");
    assert_eq!(s.get(&file).await.1, before);
    let bottom = [
        ("act", "measured"),
        ("feature", "major diameter"),
        ("value", "17.3"),
        ("sure", "17.3"),
        ("instrument", "other"),
    ];
    assert_eq!(s.act(&job, 2, &bottom).await.0, StatusCode::OK);
    assert!(s.get(&file).await.1.contains("after = 2"));
    s.act(&job, 2, &[("act", "back")]).await;
    let after = s.get(&file).await.1;
    assert!(after.contains("17 mn") && !after.contains("after = 2"), "{after}");
    assert_eq!(after.matches("[[done]]").count(), 2);
}

/// One press that was slept through must not break a lathe, and can be struck out.
#[tokio::test]
async fn a_try_that_went_wrong_is_struck_out_and_breaks_nothing() {
    let s = site();
    let (_, _, lathe) = s.post("/lathes/copy", &[("which", "2")], false).await;
    let tries = "0.21,12,0.23,0.24,0.30,0.22";
    let (status, body, _) =
        s.post(&format!("{lathe}/reaction"), &[("base", "1"), ("tries", tries)], false).await;
    assert!(status == StatusCode::UNPROCESSABLE_ENTITY && body.contains("The tries are not kept"), "{body}");
    assert!(!s.get(&format!("{lathe}/lathe.toml")).await.1.contains("slow_s"));
    let (_, page) = s.get(&format!("{lathe}/reaction?tries={tries}")).await;
    let without = "0.21,0.23,0.24,0.30,0.22";
    assert!(page.contains(&format!("reaction?tries={without}\"")) && page.contains("Strike out"), "{page}");
    // Five are left: median 0.23 s, and 0.8 of the way from 0.24 to 0.30 (definition 7 of Hyndman and Fan).
    let (_, page) = s.get(&format!("{lathe}/reaction?tries={without}")).await;
    assert!(
        page.contains("0.288 s") && page.contains("With 0.28 s for the hands, 0.57 s from the mark"),
        "{page}"
    );
}

/// What was tried in a job goes back to the lathe that is kept under the same name, and is not lost when that is taken anew.
#[tokio::test]
async fn a_reaction_tried_in_a_job_reaches_the_kept_lathe() {
    let s = site();
    let (_, _, lathe) = s.post("/lathes/copy", &[("which", "2")], false).await;
    let number = lathe.rsplit('/').next().expect("a number");
    let job = s.demo().await;
    s.post(&format!("{job}/take-lathe"), &[("base", "1"), ("lathe", number)], false).await;
    let tries = "0.21,0.23,0.24,0.30,0.22";
    s.post(&format!("{job}/reaction"), &[("base", "2"), ("tries", tries)], false).await;
    let (_, page) = s.get(&job).await;
    assert!(page.contains("Keep the changes in ") && !page.contains(">Keep this lathe<"), "{page}");
    s.post(&format!("{job}/take-lathe"), &[("base", "3"), ("lathe", number)], false).await;
    assert!(s.get(&format!("{job}/job.toml")).await.1.contains("slow_s = 0.288"));
    let (_, _, to) = s.post(&format!("{job}/keep-lathe"), &[("lathe", number)], false).await;
    assert_eq!(to, lathe);
    assert!(s.get(&format!("{lathe}/lathe.toml")).await.1.contains("slow_s = 0.288"));
    assert_eq!(s.get("/lathes").await.1.matches("/reaction\"").count(), 1, "no second lathe");
    assert!(s.get(&job).await.1.contains("As kept: "));
}

/// Bare numbers of a lathe are in its own unit, which is shown and can be set.
#[tokio::test]
async fn a_lathe_says_the_unit_of_its_bare_numbers() {
    let s = site();
    let (_, _, lathe) = s.post("/lathes/copy", &[("which", "0")], false).await;
    let (_, page) = s.get(&lathe).await;
    assert!(page.contains("name=\"unit\"") && page.contains("<option value=\"in\" selected>"), "{page}");
    // A question that is answered by yes or no stands in full.
    assert!(page.contains("The spindle reverses under power") && page.contains(">yes</option>"), "{page}");
    let fields = [("base", "1"), ("unit", "mm")];
    assert!(s.post(&format!("{lathe}/fields"), &fields, false).await.0.is_redirection());
    assert!(s.get(&format!("{lathe}/lathe.toml")).await.1.contains("unit     = \"mm\""));
}
