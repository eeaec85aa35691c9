//! The page in a real browser, at the width of a phone and of a desk: the demo job is followed from the first
//! reading to the printed sheet.

mod common;

use common::{Running, chromedriver, serve};
use std::time::Duration;
use thirtyfour::prelude::*;

struct Bench {
    driver: WebDriver,
    page: Running,
    _chromedriver: Running,
    _data: tempfile::TempDir,
    _profile: tempfile::TempDir,
}

/// Opens a browser window of this size on a fresh store.
async fn bench(width: u32, height: u32) -> Bench {
    let data = tempfile::tempdir().expect("a folder");
    let profile = tempfile::tempdir().expect("a folder");
    let page = serve(data.path());
    let chromedriver = chromedriver();
    let mut caps = DesiredCapabilities::chrome();
    for arg in [
        "--headless=new",
        "--no-sandbox",
        "--disable-gpu",
        "--disable-dev-shm-usage",
        "--disable-quic",
        "--no-first-run",
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-sync",
        "--hide-scrollbars",
    ] {
        caps.add_arg(arg).expect("an argument");
    }
    caps.add_arg(&format!("--user-data-dir={}", profile.path().display())).expect("an argument");
    caps.add_arg(&format!("--window-size={width},{height}")).expect("an argument");
    // A window cannot be made as narrow as a phone; the browser can be told to lay out as one.
    caps.add_experimental_option(
        "mobileEmulation",
        serde_json::json!({"deviceMetrics": {"width": width, "height": height, "pixelRatio": 1.0, "touch": width < 800}}),
    )
    .expect("an option");
    let driver = WebDriver::new(&chromedriver.address, caps).await.expect("a browser");
    Bench { driver, page, _chromedriver: chromedriver, _data: data, _profile: profile }
}

impl Bench {
    async fn open(&self, path: &str) {
        self.driver.goto(format!("{}{path}", self.page.address)).await.expect("the page");
    }

    /// The first element that fits, once it is there.
    async fn find(&self, css: &str) -> WebElement {
        self.driver.query(By::Css(css)).first().await.unwrap_or_else(|e| panic!("{css}: {e}"))
    }

    /// The element's text, folded away or not; taken again where the view is put anew just then.
    async fn text(&self, css: &str) -> String {
        for _ in 0..50 {
            if let Ok(Some(text)) = self.find(css).await.prop("textContent").await {
                return text;
            }
            tokio::time::sleep(Duration::from_millis(100)).await;
        }
        panic!("{css} is put anew all the time");
    }

    /// Waits until the element's text holds `part`.
    async fn wait_for(&self, css: &str, part: &str) {
        let mut seen = String::new();
        for _ in 0..150 {
            if let Ok(el) = self.driver.find(By::Css(css)).await {
                seen = el.prop("textContent").await.ok().flatten().unwrap_or_default();
                if seen.contains(part) {
                    return;
                }
            }
            tokio::time::sleep(Duration::from_millis(100)).await;
        }
        panic!("{css} never said {part:?}; it says {seen:?}");
    }

    /// Waits until the field of this name has the focus.
    async fn wait_for_focus(&self, name: &str) {
        let mut seen = serde_json::Value::Null;
        for _ in 0..150 {
            seen = self.script("return document.activeElement.name").await;
            if seen == name {
                return;
            }
            tokio::time::sleep(Duration::from_millis(100)).await;
        }
        panic!("{name} never had the focus; it is at {seen}");
    }

    /// Waits until the field of this name holds `typed`. The page may be made anew meanwhile: a field found may be gone
    /// before it is read.
    async fn wait_for_value(&self, name: &str, typed: &str) {
        let mut seen = None;
        for _ in 0..150 {
            seen = self.find(&format!("[name='{name}']")).await.value().await.ok().flatten();
            if seen.as_deref() == Some(typed) {
                return;
            }
            tokio::time::sleep(Duration::from_millis(100)).await;
        }
        panic!("{name} never held {typed:?}; it holds {seen:?}");
    }

    /// Types into the field that has the focus.
    async fn type_on(&self, keys: impl Into<TypingData>) {
        let field = self.driver.active_element().await.expect("a field");
        field.send_keys(keys).await.expect("typed");
    }

    async fn script(&self, code: &str) -> serde_json::Value {
        self.driver.execute(code, Vec::new()).await.expect("the script").json().clone()
    }

    /// Opens all that is folded away.
    async fn unfold(&self) {
        self.script("for (const d of document.querySelectorAll('details.in, .out details')) d.open = true")
            .await;
    }

    /// Types over what a field holds, and stays in it. A field that the page puts anew just then is taken hold of again;
    /// what it is folded into is opened.
    async fn retype(&self, name: &str, typed: &str) {
        for _ in 0..50 {
            self.script(&format!(
                "document.querySelector(`[name='{name}']`).closest('details.in')?.setAttribute('open', '')"
            ))
            .await;
            let el = self.find(&format!("[name='{name}']")).await;
            if el.scroll_into_view().await.is_ok() && el.send_keys(Key::Control + "a").await.is_ok() {
                return el.send_keys(typed).await.expect("typed");
            }
            tokio::time::sleep(Duration::from_millis(100)).await;
        }
        panic!("{name} could never be taken hold of");
    }

    /// Types over what a field holds, and leaves it.
    async fn fill(&self, name: &str, typed: &str) {
        self.retype(name, typed).await;
        self.script("document.activeElement.blur()").await;
        self.wait_for("#saved", "Saved").await;
    }

    /// Saves a picture for a person to look at, where the environment asks for it.
    async fn picture(&self, name: &str) {
        if let Ok(dir) = std::env::var("FLANKWISE_PICTURES") {
            let path = std::path::Path::new(&dir).join(format!("{name}.png"));
            self.driver.screenshot(&path).await.expect("a picture");
        }
    }

    /// The same of the whole page, however long.
    async fn whole_picture(&self, name: &str) {
        if std::env::var("FLANKWISE_PICTURES").is_err() {
            return;
        }
        for part in 0..4 {
            self.script(&format!("scrollTo(0, {part} * (innerHeight - 80))")).await;
            self.picture(&format!("{name}-{part}")).await;
        }
        self.script("scrollTo(0, 0)").await;
    }

    /// What a person with poor sight, a keyboard or a screen reader would trip over, and what runs off the screen.
    async fn assert_usable(&self, width: u32) {
        let faults = self.script(AUDIT).await;
        let faults: Vec<String> = serde_json::from_value(faults).expect("a list");
        assert!(faults.is_empty(), "at {width} px:\n{}", faults.join("\n"));
    }
}

/// Contrast after WCAG 2.2, 1.4.3 (4.5:1, large text 3:1); names of controls (4.1.2); unique ids; nothing wider
/// than the screen.
const AUDIT: &str = r#"
const faults = [];
const rgb = (c) => { const m = c.match(/[\d.]+/g).map(Number); return { r: m[0], g: m[1], b: m[2], a: m[3] ?? 1 }; };
const lum = ({ r, g, b }) => [r, g, b].map((v) => { v /= 255; return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; })
  .reduce((s, v, i) => s + v * [0.2126, 0.7152, 0.0722][i], 0);
const behind = (el) => { for (; el; el = el.parentElement) { const c = rgb(getComputedStyle(el).backgroundColor); if (c.a === 1) return c; } return { r: 255, g: 255, b: 255 }; };
for (const el of document.querySelectorAll("body *")) {
  if (el.closest("svg") || el.disabled || !el.offsetParent) continue;
  const own = [...el.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim()) || el.matches("input, select");
  if (!own) continue;
  const style = getComputedStyle(el);
  const [a, b] = [lum(rgb(style.color)), lum(behind(el))].sort((x, y) => y - x);
  const ratio = (a + 0.05) / (b + 0.05);
  const px = parseFloat(style.fontSize);
  const large = px >= 24 || (px >= 18.66 && Number(style.fontWeight) >= 700);
  if (ratio < (large ? 3 : 4.5)) faults.push(`contrast ${ratio.toFixed(2)} of <${el.tagName.toLowerCase()} class="${el.className}"> ${el.textContent.trim().slice(0, 40)}`);
}
for (const el of document.querySelectorAll("input:not([type=hidden]), select, textarea"))
  if (!el.labels?.length && !el.getAttribute("aria-label")) faults.push("no label: " + el.name);
for (const el of document.querySelectorAll("button, a"))
  if (!el.textContent.trim() && !el.getAttribute("aria-label")) faults.push("no name: " + el.outerHTML.slice(0, 80));
const ids = [...document.querySelectorAll("[id]")].map((e) => e.id);
for (const id of new Set(ids.filter((x, i) => ids.indexOf(x) !== i))) faults.push("twice: #" + id);
if (document.documentElement.scrollWidth > innerWidth + 1) {
  const wide = [...document.querySelectorAll("body *")].filter((e) => e.getBoundingClientRect().right > innerWidth + 1 && !e.closest(".scroll, .stages, svg"));
  faults.push(`the page is ${document.documentElement.scrollWidth} px wide in ${innerWidth}: ` + wide.slice(0, 4).map((e) => e.outerHTML.slice(0, 90)).join(" | "));
}
for (const el of document.querySelectorAll(".scroll, .drawing"))
  if (el.offsetParent && el.scrollWidth > el.clientWidth + 1)
    faults.push(`${el.scrollWidth} px in ${el.clientWidth}: ${el.getAttribute("aria-label") || el.querySelector("title")?.textContent}`);
for (const el of document.querySelectorAll(".drawing.either svg text")) {
  const px = el.getBoundingClientRect().height;
  if (px && px < 9) faults.push(`drawing text of ${px.toFixed(1)} px: ${el.textContent}`);
}
for (const el of document.querySelectorAll("svg text")) {
  const box = el.getBoundingClientRect(), frame = el.ownerSVGElement.getBoundingClientRect();
  if (box.right > frame.right + 1 || box.left < frame.left - 1) faults.push("drawing text cut off: " + el.textContent);
}
return faults;
"#;

#[tokio::test]
async fn the_demo_is_followed_from_reading_to_sheet_on_a_phone() {
    let b = bench(390, 844).await;
    b.open("/").await;
    b.picture("phone-empty").await;
    b.assert_usable(390).await;
    b.find("form[action='/jobs/demo'] button").await.click().await.expect("clicked");
    b.wait_for("h1", "Board shear").await;

    // Reading: what the owner says falls, what it is stands first.
    assert!(b.text("#say-identity .answer").await.contains("Tr 22x5"));
    b.picture("phone-job").await;
    b.assert_usable(390).await;

    // On a phone the answers follow each other; the tables are a touch away, and stay open while values are typed.
    let open = "return document.querySelector('#say-fit > details.block').open";
    assert_eq!(b.script(open).await, serde_json::json!(false));
    b.touch("#say-fit > details.block > summary").await;
    assert_eq!(b.script(open).await, serde_json::json!(true));
    b.fill("make.play", "0.06 mm").await;
    b.wait_for("#say-fit .answer", "0.06 mm").await;
    assert_eq!(b.script(open).await, serde_json::json!(true));
    b.fill("make.play", "0.04 mm").await;
    b.wait_for("#say-fit .answer", "0.04 mm").await;
    assert!(b.text("#say-evidence").await.contains("21.86"));

    // Stages to the right of it all have an answer.
    for stage in ["fit", "route", "tool", "setup", "cut", "check"] {
        let answer = b.text(&format!("#say-{stage} .answer")).await;
        assert!(answer.len() > 20 && !answer.contains("Not yet"), "{stage}: {answer}");
    }

    // A value typed is worked out at once, saved when left, and undone.
    let before = b.text("#say-fit").await;
    b.fill("make.play", "0.2 mm").await;
    b.wait_for("#say-fit .answer", "0.20 mm").await;
    assert_ne!(b.text("#say-fit").await, before);
    b.find("#undo").await.click().await.expect("clicked");
    b.wait_for("#say-fit .answer", "0.04 mm").await;
    b.wait_for_value("make.play", "0.04 mm").await;

    // Bad input is named and kept.
    b.fill("make.length", "44 mn").await;
    b.wait_for("[data-wrong='make.length']", "44 mn").await;
    b.driver.refresh().await.expect("the page again");
    b.unfold().await;
    assert_eq!(
        b.find("[name='make.length']").await.value().await.expect("a value").as_deref(),
        Some("44 mn")
    );
    b.fill("make.length", "44 mm").await;

    // Inches.
    b.find(".unit button[value='in']").await.click().await.expect("clicked");
    b.wait_for("#say-evidence", "0.861").await;
    b.find(".unit button[value='mm']").await.click().await.expect("clicked");
    b.wait_for("#say-evidence", "21.86").await;

    // At the lathe: the place is kept over a reload.
    let job = b.driver.current_url().await.expect("an address").path().to_owned();
    b.open(&format!("{job}/lathe")).await;
    b.wait_for(".lathe .where", "Pass 1 of").await;
    b.picture("phone-lathe").await;
    b.assert_usable(390).await;
    b.find(".lathe .done").await.click().await.expect("clicked");
    b.wait_for(".lathe .where", "Pass 2 of").await;
    b.driver.refresh().await.expect("the page again");
    b.wait_for(".lathe .where", "Pass 2 of").await;
    // The quotation, as a page to print.
    b.open(&format!("{job}/quotation")).await;
    b.wait_for(".offered.best .price", "EUR").await;
    b.picture("phone-quotation").await;
    b.assert_usable(390).await;

    // The sheet.
    for sheet in ["bench", "customer", "quotation"] {
        let code = format!(
            "const done = arguments[0]; fetch('{job}/{sheet}.pdf').then(async (r) => \
             done([r.status, new TextDecoder('latin1').decode(await r.arrayBuffer()).slice(0, 5)]))"
        );
        let got = b.driver.execute_async(&code, Vec::new()).await.expect("the script").json().clone();
        assert_eq!(got, serde_json::json!([200, "%PDF-"]), "{sheet}");
    }
    b.driver.quit().await.expect("closed");
}

/// Controls at the lathe that are smaller than a wet knuckle.
const SMALL: &str = "return [...document.querySelectorAll('.lathe button, .lathe input:not([type=hidden]), .lathe select, \
    .lathe summary')].filter((e) => e.offsetParent && e.getBoundingClientRect().height < 48).map((e) => e.outerHTML.slice(0, 90))";

impl Bench {
    /// Opens the demo at the lathe; gives the view's address.
    async fn demo_at_the_lathe(&self) -> String {
        self.open("/").await;
        self.find("form[action='/jobs/demo'] button").await.click().await.expect("clicked");
        self.wait_for("h1", "Board shear").await;
        let lathe = format!("{}/lathe", self.driver.current_url().await.expect("an address").path());
        self.open(&lathe).await;
        self.wait_for(".lathe .where", "Pass 1 of").await;
        lathe
    }

    /// Waits until a second touch is a touch of its own, and what the first asked for has come.
    async fn rest(&self) {
        tokio::time::sleep(Duration::from_millis(700)).await;
    }

    async fn touch(&self, css: &str) {
        self.rest().await;
        // In the middle, out from under the bar.
        self.script(&format!("document.querySelector(`{css}`).scrollIntoView({{block: 'center'}})")).await;
        self.find(css).await.click().await.expect("clicked");
    }
}

#[tokio::test]
async fn passes_are_ticked_measured_and_mended_on_a_phone() {
    let b = bench(390, 844).await;
    let lathe = b.demo_at_the_lathe().await;
    let height =
        b.script("return parseFloat(getComputedStyle(document.querySelector('.digits')).fontSize)").await;
    assert!(height.as_f64().expect("a size") > 80.0, "digits of {height} px on a phone");
    b.touch(".lathe .done").await;
    // A drop of water touches twice.
    b.script("document.querySelector('.lathe .done').click()").await;
    b.wait_for(".lathe .where", "Pass 2 of").await;
    b.rest().await;
    assert!(b.text(".lathe .where").await.contains("Pass 2 of"));
    b.touch(".lathe .back").await;
    b.wait_for(".lathe .where", "Pass 1 of").await;
    for next in ["Pass 2 of", "Pass 3 of"] {
        b.touch(".lathe .done").await;
        b.wait_for(".lathe .where", next).await;
    }

    // Set deeper than asked: the rest follows.
    b.script("for (const d of document.querySelectorAll('.lathe details')) d.open = true").await;
    assert_eq!(b.script(SMALL).await, serde_json::json!([]));
    b.assert_usable(390).await;
    b.whole_picture("phone-lathe-open").await;
    b.find("#shown").await.send_keys("0.9").await.expect("typed");
    b.touch(".lathe [value=stood]").await;
    b.wait_for(".lathe .where", "Pass 4 of").await;
    let digits: f64 = b.text(".lathe .digits").await.parse().expect("a number");
    assert!(digits > 0.9, "{digits}");

    // What is no number is told, and the place is kept.
    b.script("document.querySelector('#shown').closest('details').open = true").await;
    b.find("#shown").await.send_keys("0,,9").await.expect("typed");
    b.touch(".lathe [value=stood]").await;
    b.wait_for("#told", "read `0,,9`").await;
    b.picture("phone-lathe-told").await;

    // What was typed is still there to be mended.
    assert_eq!(b.script("return document.querySelector('#shown').value").await, serde_json::json!("0,,9"));
    // A bottom measured far off asks, and the note stays until it is taken back.
    b.script("document.querySelector('#value').closest('details').open = true; document.querySelector('#feature').value = 'major diameter'").await;
    b.find("#value").await.send_keys("17.5").await.expect("typed");
    b.touch(".lathe [value=measured]").await;
    b.wait_for("#told", "says that the groove is").await;
    b.picture("phone-lathe-asked-again").await;
    b.touch(".lathe [value=measured]").await;
    b.wait_for(".lathe", "The size measured says").await;
    b.picture("phone-lathe-contradiction").await;

    // Another device has the same place at once, and this one follows what is done there.
    let code = format!(
        "const done = arguments[0]; fetch('{lathe}', {{method: 'POST', body: new URLSearchParams({{act: 'back', at: 3}})}}).then(() => done(1))"
    );
    b.driver.execute_async(&code, Vec::new()).await.expect("the other tablet");
    for _ in 0..100 {
        if !b.text(".lathe").await.contains("The size measured says") {
            b.driver.quit().await.expect("closed");
            return;
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    panic!("the view does not follow the other tablet");
}

#[tokio::test]
async fn the_lathe_is_worked_by_keys_on_a_desk() {
    let b = bench(1440, 900).await;
    b.demo_at_the_lathe().await;
    b.assert_usable(1440).await;
    b.picture("desk-lathe").await;
    let body = b.find("body").await;
    for (key, shown) in
        [(Key::Space + "", "Pass 2 of"), (Key::Right + "", "Pass 3 of"), (Key::Left + "", "Pass 2 of")]
    {
        b.rest().await;
        b.script("document.activeElement.blur()").await;
        body.send_keys(key).await.expect("a key");
        b.wait_for(".lathe .where", shown).await;
    }
    b.driver.quit().await.expect("closed");
}

#[tokio::test]
async fn a_new_job_grows_by_keyboard_on_a_phone_and_at_a_desk() {
    for (width, height, name) in [(390, 844, "phone"), (1440, 900, "desk")] {
        grows_by_keyboard(&bench(width, height).await, width, name).await;
    }
}

async fn grows_by_keyboard(b: &Bench, width: u32, name: &str) {
    b.open("/").await;
    b.find("form[action='/jobs'] button").await.click().await.expect("clicked");
    b.find("#sheet").await;
    b.picture(&format!("{name}-new")).await;
    b.assert_usable(width).await;

    // Reading, Enter, next.
    b.find("button.add[value='reading']").await.click().await.expect("clicked");
    b.find("[name='reading[1].value']").await;
    for (field, word) in [("part", "screw"), ("feature", "major diameter"), ("instrument", "calliper")] {
        let el = b.find(&format!("[name='reading[1].{field}']")).await;
        el.send_keys(word).await.expect("typed");
        b.script("document.activeElement.blur()").await;
        b.wait_for("#saved", "Saved").await;
    }
    let value = b.find("[name='reading[1].value']").await;
    value.click().await.expect("clicked");
    value.send_keys("15.93 mm").await.expect("typed");
    // Worked out while typing, before anything is left; saying so takes no room from the page.
    let bar = b.script("return document.querySelector('.bar').offsetHeight").await;
    b.wait_for("#say-evidence", "15.93").await;
    assert!(b.text("#saved").await.contains("Typing"));
    assert_eq!(b.script("return document.querySelector('.bar').offsetHeight").await, bar);
    // The first candidates and their chances are in sight of what is typed.
    b.wait_for("#now", "%").await;
    let sight = "const r = document.querySelector('#now').getBoundingClientRect(); return r.top > 0 && r.bottom <= innerHeight + 1";
    assert_eq!(b.script(sight).await, serde_json::json!(true));
    value.send_keys(Key::Enter + "").await.expect("typed");
    // A new reading begins as the one before it was, and its value has the focus.
    b.wait_for("#f-reading-2- summary", "screw, major diameter, calliper").await;
    b.wait_for_focus("reading[2].value").await;
    b.type_on("15.9").await;
    b.wait_for("#say-evidence", "15.90").await;
    // What is worked out while typing takes neither the focus nor what is typed.
    b.wait_for_focus("reading[2].value").await;
    let two = b.find("[name='reading[2].value']").await;
    assert_eq!(two.value().await.expect("a value").as_deref(), Some("15.9"));
    b.type_on(Key::Enter + "").await;
    b.wait_for_focus("reading[3].value").await;
    // A pitch asks for its count before the next reading.
    b.find("[name='reading[3].feature']").await.send_keys("pitch").await.expect("typed");
    b.find("[name='reading[3].value']").await.send_keys("30.0 mm" + Key::Enter).await.expect("typed");
    b.wait_for_focus("reading[3].count").await;
    b.type_on("10" + Key::Enter).await;
    b.wait_for_focus("reading[4].value").await;
    // Enter in the last one, left empty, takes it out and goes on below; the ranking has moved, with its drawing.
    b.type_on(Key::Enter + "").await;
    b.wait_for("#say-evidence", "3 readings").await;
    b.wait_for_focus("observed.hand").await;
    assert!(b.driver.find(By::Css("[name='reading[4].value']")).await.is_err(), "the empty reading is gone");
    b.wait_for("#say-identity", "x3").await;
    b.find("#say-identity figure.drawing svg").await;
    b.assert_usable(width).await;
    b.find("#say-identity figure.drawing").await.scroll_into_view().await.expect("in view");
    b.picture(&format!("{name}-typed")).await;

    b.open("/").await;
    b.find("form[action='/jobs/demo'] button").await.click().await.expect("clicked");
    b.wait_for("h1", "Board shear").await;
    b.assert_usable(width).await;
    b.picture(&format!("{name}-job")).await;
    b.driver.clone().quit().await.expect("closed");
}

/// Readings are typed faster than the page is worked out: the next field has the focus at once, and nothing is lost.
#[tokio::test]
async fn what_is_typed_ahead_of_the_answers_is_kept() {
    let b = bench(1440, 900).await;
    b.open("/").await;
    b.find("form[action='/jobs'] button").await.click().await.expect("clicked");
    b.find("#sheet").await;
    b.find("button.add[value='reading']").await.click().await.expect("clicked");
    b.wait_for_focus("reading[1].part").await;
    // An entry just begun asks; it has no errors yet.
    assert!(b.text("#f-reading-1--value-wrong.asks").await.starts_with("to be given"));
    let errors = "return document.querySelectorAll('#evidence [aria-invalid], #evidence .wrong:not(.asks):not(:empty), #loose .wrong').length";
    assert_eq!(b.script(errors).await, serde_json::json!(0));

    // Enter leads through what a pitch asks for: value, count, instrument.
    b.type_on("screw" + Key::Enter).await;
    b.find("[name='reading[1].feature']").await.send_keys("pitch").await.expect("typed");
    b.type_on(Key::Enter + "").await;
    for (typed, next) in
        [("60.0 mm", "reading[1].count"), ("12", "reading[1].instrument"), ("calliper", "reading[2].value")]
    {
        b.type_on(typed + Key::Enter).await;
        assert_eq!(b.script("return document.activeElement.name").await, next);
    }
    // No waiting from here on.
    for typed in ["15.00 mm", "3", "25.0 mm", "5"] {
        b.type_on(typed + Key::Enter).await;
    }
    b.type_on("35.").await;
    let kept =
        [("2", "value", "15.00 mm"), ("2", "count", "3"), ("3", "value", "25.0 mm"), ("3", "count", "5")];
    b.wait_for("#f-reading-3- summary", "screw, pitch, 25.0 mm, 5, calliper").await;
    for (at, field, typed) in kept {
        let el = b.find(&format!("[name='reading[{at}].{field}']")).await;
        assert_eq!(el.value().await.expect("a value").as_deref(), Some(typed), "{at} {field}");
    }
    b.wait_for_focus("reading[4].value").await;
    b.type_on("0 mm").await;
    let last = b.find("[name='reading[4].value']").await;
    assert_eq!(last.value().await.expect("a value").as_deref(), Some("35.0 mm"));
    b.script("document.activeElement.blur()").await;
    b.wait_for("#say-evidence", "4 readings").await;
    b.driver.quit().await.expect("closed");
}

/// No table and no drawing runs out of its column, in either demo job.
#[tokio::test]
async fn tables_are_held_on_a_phone_and_at_a_desk() {
    for (width, height) in [(390, 844), (1440, 900)] {
        let b = bench(width, height).await;
        b.open("/").await;
        b.find("form[action='/jobs/demo'] button").await.click().await.expect("clicked");
        for job in ["/jobs/1", "/jobs/2"] {
            b.open(job).await;
            b.wait_for("#say-check .answer", " ").await;
            b.unfold().await;
            b.assert_usable(width).await;
        }
        b.driver.quit().await.expect("closed");
    }
}

#[tokio::test]
async fn two_tablets_on_one_job_overwrite_nothing() {
    let b = bench(1024, 768).await;
    b.open("/").await;
    b.find("form[action='/jobs/demo'] button").await.click().await.expect("clicked");
    b.wait_for("h1", "Board shear").await;
    let job = b.driver.current_url().await.expect("an address").path().to_owned();

    // The other tablet changes one field that this one will change, and one that it will not.
    let code = format!(
        "const done = arguments[0]; const base = document.querySelector('[name=base]').value; \
         const send = (p) => fetch('{job}/fields', {{method: 'POST', headers: {{'Accept': 'application/json', \
         'Content-Type': 'application/x-www-form-urlencoded'}}, body: new URLSearchParams(p)}}); \
         (async () => {{ await send([['base', base], ['make.length', '41 mm'], ['make.relief', '9 mm']]); done(1); }})()"
    );
    // This page does not look for news while a value is being typed.
    b.retype("make.play", "0.05 mm").await;
    b.driver.execute_async(&code, Vec::new()).await.expect("the other tablet");

    // A field that the other did not touch is merged.
    b.script("document.activeElement.blur()").await;
    b.wait_for("#saved", "Saved").await;
    b.wait_for("#say-fit", "0.05 mm").await;

    // The page shows what was merged in.
    for (name, value) in [("make.length", "41 mm"), ("make.relief", "9 mm"), ("make.play", "0.05 mm")] {
        b.wait_for_value(name, value).await;
    }

    // Both change one field: this one is told, and chooses.
    b.retype("make.relief", "7 mm").await;
    let code = code.replace("['make.length', '41 mm'], ['make.relief', '9 mm']", "['make.relief', '10 mm']");
    b.driver.execute_async(&code, Vec::new()).await.expect("the other tablet");
    b.script("document.activeElement.blur()").await;
    b.wait_for("#told", "10 mm").await;
    b.wait_for("#told", "7 mm").await;
    b.picture("desk-conflict").await;
    // The page looks for news every four seconds; what is not saved here outlives that.
    tokio::time::sleep(Duration::from_secs(6)).await;
    b.wait_for("#told", "7 mm").await;
    assert_eq!(b.find("[name='make.relief']").await.value().await.expect("a value").as_deref(), Some("7 mm"));
    b.find("#told button").await.click().await.expect("clicked");
    b.wait_for("#saved", "").await;
    b.wait_for_value("make.relief", "10 mm").await;
    b.driver.quit().await.expect("closed");
}

/// From a candidate of a job to the two side by side, changed by keyboard, on a phone and at a desk; and on paper.
#[tokio::test]
async fn two_threads_are_compared_on_a_phone_and_at_a_desk() {
    for (width, height, name) in [(390, 844, "phone"), (1440, 900, "desk")] {
        let b = bench(width, height).await;
        b.open("/").await;
        b.find("form[action='/jobs/demo'] button").await.click().await.expect("clicked");
        b.wait_for("h1", "Board shear").await;
        b.unfold().await;
        b.script("document.querySelector('#say-identity td.link a').scrollIntoView({block: 'center'})").await;
        b.picture(&format!("{name}-candidates")).await;
        b.touch("#say-identity td.link a").await;
        b.wait_for("h1", "beside").await;
        let said = b.text(".reference").await;
        for part in
            ["would be taken for the other", "What tells most", "If one is used for the other", "Basic sizes"]
        {
            assert!(said.contains(part), "no {part} in {said}");
        }
        // What the job has at hand is ticked.
        for at_hand in ["calliper", "wires"] {
            let ticked = format!("return document.querySelector('[name=with][value={at_hand}]').checked");
            assert_eq!(b.script(&ticked).await, serde_json::json!(true), "{at_hand}");
        }
        b.find("figure.drawing svg").await;
        b.assert_usable(width).await;
        b.whole_picture(&format!("{name}-compare")).await;

        // By keyboard from the bar's link: two designations, Enter.
        b.open("/threads").await;
        b.find(".places a[href='/compare']").await.click().await.expect("clicked");
        b.wait_for("h1", "Compare").await;
        assert_eq!(b.script("return document.activeElement.name").await, serde_json::json!("a"));
        b.find("#a").await.send_keys("M14x1.5" + Key::Tab).await.expect("typed");
        b.type_on("9/16-16 UNN" + Key::Enter).await;
        // A slip is told beside its field, and nothing typed is lost.
        b.wait_for("#b-wrong", "UNN").await;
        assert_eq!(b.find("#a").await.value().await.expect("a value").as_deref(), Some("M14x1.5"));
        b.assert_usable(width).await;
        b.picture(&format!("{name}-compare-wrong")).await;
        let second = b.find("#b").await;
        second.send_keys(Key::Control + "a").await.expect("selected");
        second.send_keys("9/16-16 UN" + Key::Enter).await.expect("typed");
        b.wait_for("h1", "M14x1.5 beside 9/16-16 UN").await;
        b.assert_usable(width).await;
        // Printed: the answer and the tables, without the fields.
        let shown = "const css = [...document.styleSheets].flatMap((s) => [...s.cssRules]).filter((r) => r.media?.mediaText === 'print'); \
                     return css.some((r) => r.cssText.includes('form.search'))";
        assert_eq!(b.script(shown).await, serde_json::json!(true));
        b.driver.quit().await.expect("closed");
    }
}

/// A designation typed in any usual way leads to its drawing and limits, on a phone and at a desk, and the address
/// keeps it.
#[tokio::test]
async fn threads_are_looked_up_on_a_phone_and_at_a_desk() {
    for (width, height, name) in [(390, 844, "phone"), (1440, 900, "desk")] {
        let b = bench(width, height).await;
        b.open("/").await;
        b.find("a[href='/threads']").await.click().await.expect("clicked");
        b.wait_for("h1", "Threads").await;
        b.picture(&format!("{name}-threads")).await;
        b.assert_usable(width).await;

        // By keyboard alone: the field has the focus, Enter looks up.
        assert_eq!(b.script("return document.activeElement.name").await, serde_json::json!("thread"));
        b.find("#thread").await.send_keys("tr 22×5 l.h." + Key::Enter).await.expect("typed");
        b.wait_for("h1", "Tr 22x5 LH").await;
        let said = b.text(".reference").await;
        for part in ["left-hand", "19.500", "ISO 2903", "Tr 22x8", "Check"] {
            assert!(said.contains(part), "no {part} in {said}");
        }
        b.find("figure.drawing svg").await;
        b.assert_usable(width).await;
        b.picture(&format!("{name}-thread")).await;
        b.whole_picture(&format!("{name}-thread-whole")).await;

        // A neighbour, inches, and back; the address alone brings it all again.
        b.driver.find(By::LinkText("Tr 22x8")).await.expect("a neighbour").click().await.expect("clicked");
        b.wait_for("h1", "Tr 22x8").await;
        b.find(".unit button[value='in']").await.click().await.expect("clicked");
        b.wait_for(".answer", "0.8661 in").await;
        b.find(".unit button[value='mm']").await.click().await.expect("clicked");
        b.wait_for(".answer", "22.000 mm").await;

        // A slip is answered with what would be read, as a link.
        b.open("/threads").await;
        b.wait_for("h1", "Threads").await;
        b.find("#thread").await.send_keys("5/8-10 acmee" + Key::Enter).await.expect("typed");
        b.wait_for("#thread-wrong", "the numbers 5/8 and 10").await;
        b.picture(&format!("{name}-thread-wrong")).await;
        b.assert_usable(width).await;
        b.find("#thread-wrong a").await.click().await.expect("clicked");
        b.wait_for("h1", "5/8-10 ACME").await;

        // The list by family, diameter and pitch.
        b.open("/threads?family=metric-trapezoidal&diameter=22+mm").await;
        b.wait_for("#listed", "3 listed sizes").await;
        b.assert_usable(width).await;
        b.picture(&format!("{name}-threads-listed")).await;
        // Forms of every sort are drawn without words cut off.
        for (i, thread) in ["Rd 40x1/6", "2 1/2-8 BUTT-2A", "1/2 BSW", "1/2-14 NPT", "M3", "2 BA", "S 40x7"]
            .iter()
            .enumerate()
        {
            b.open(&format!("/threads?thread={}", thread.replace(' ', "+"))).await;
            b.find("figure.drawing svg").await;
            b.assert_usable(width).await;
            b.picture(&format!("{name}-form-{i}")).await;
        }
        b.driver.quit().await.expect("closed");
    }
}

/// A lathe from the list to a job, and the reaction test, on a phone and at a desk, by touch and by keyboard.
#[tokio::test]
async fn a_lathe_is_kept_and_a_reaction_tried() {
    for (width, height, name) in [(390, 844, "phone"), (1440, 900, "desk")] {
        let b = bench(width, height).await;
        b.open("/lathes").await;
        b.assert_usable(width).await;
        b.picture(&format!("{name}-lathes")).await;
        b.find("form[action='/lathes/copy'] button[value='1']").await.click().await.expect("clicked");
        b.wait_for("h1", "Small lathe, 2 mm").await;
        b.wait_for("#say-lathe", "What it cuts").await;
        b.assert_usable(width).await;
        b.whole_picture(&format!("{name}-lathe")).await;
        // A field is saved when it is left, and the chart follows.
        b.fill("lathe.name", "Bench lathe by the window").await;
        b.fill("lathe.gears", "20, 40").await;
        b.wait_for("#say-lathe", "none fits").await;
        b.find("#undo").await.click().await.expect("clicked");
        b.wait_for("#say-lathe", "through").await;

        // The test: one press too soon, then ten that count.
        b.touch("a[href$='/reaction']").await;
        b.wait_for("h1", "Your reaction").await;
        b.assert_usable(width).await;
        b.picture(&format!("{name}-reaction")).await;
        let press = |state: &'static str| {
            let b = &b;
            async move {
                for _ in 0..120 {
                    if b.script("return document.getElementById('target').dataset.state ?? 'idle'").await
                        == state
                    {
                        break;
                    }
                    tokio::time::sleep(Duration::from_millis(50)).await;
                }
                if width < 800 {
                    b.script("document.getElementById('target').dispatchEvent(new PointerEvent('pointerdown', {bubbles: true}))").await;
                } else {
                    b.driver.action_chain().key_down(' ').key_up(' ').perform().await.expect("pressed");
                }
            }
        };
        press("idle").await;
        press("waiting").await;
        b.wait_for("#counts", "1 false start not counted").await;
        press("idle").await;
        for _ in 0..10 {
            // Nobody is faster than a tenth of a second, and a driver may be.
            b.wait_for("#target", "Press").await;
            tokio::time::sleep(Duration::from_millis(150)).await;
            press("now").await;
        }
        // What the tries come to is shown before they are kept.
        b.wait_for("#result", "19 of 20 within").await;
        b.picture(&format!("{name}-reaction-done")).await;
        b.find("#result button.main").await.click().await.expect("clicked");
        b.wait_for("h1", "Bench lathe by the window").await;
        let median: f64 = b
            .find("[name='lathe.reaction.median_s']")
            .await
            .value()
            .await
            .expect("read")
            .expect("a value")
            .parse()
            .expect("seconds");
        assert!((0.1..5.0).contains(&median), "{median}");

        // Into a job.
        b.open("/").await;
        b.find("form[action='/jobs/demo'] button").await.click().await.expect("clicked");
        b.wait_for("h1", "Board shear").await;
        b.unfold().await;
        b.touch("button[formaction$='/take-lathe']").await;
        b.wait_for("#setup .chooser", "As kept: Bench lathe by the window").await;
        b.assert_usable(width).await;
        b.script("document.getElementById('setup').scrollIntoView()").await;
        b.picture(&format!("{name}-setup")).await;
        b.script("document.getElementById('say-setup').scrollIntoView()").await;
        b.whole_picture(&format!("{name}-job-setup")).await;
        b.driver.quit().await.expect("closed");
    }
}
