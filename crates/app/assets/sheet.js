// Makes the page of a job or a lathe live. While a value is typed the stages are worked out on the server without saving; when
// it is left, it is saved. Without this script the same form works with its Save buttons.
"use strict";
(() => {
  document.documentElement.classList.add("scripted");
  let form, revision, tryTimer, latest = 0, queue = Promise.resolve(), waiting = 0, outdated = false;
  const at = (action) => `${form.dataset.at}/${action}`;
  const saved = new Map(); // what the server is known to hold, by field

  function begin() {
    form = document.getElementById("sheet");
    if (!form) return;
    revision = form.dataset.revision;
    saved.clear();
    for (const el of fields()) saved.set(el.name, el.value);
  }

  // What is folded away and what is open is the person's own; on a phone all begins folded but the readings, so that
  // the answers follow each other.
  const phone = matchMedia("(max-width: 700px)");
  const foldable = (root) => [...root.querySelectorAll("details.in, .out > details.block, .out details.figure")];
  const foldKey = (d) => d.id || [d.closest(".out").id, d.querySelector("summary .what, summary h3").textContent].join();
  const folds = (root) => new Map(foldable(root).map((d) => [foldKey(d), d.open]));
  function fold(root, kept = new Map()) {
    for (const d of foldable(root)) {
      const away = phone.matches && d.id !== "evidence-in" && !d.querySelector("[aria-invalid=true]");
      d.open = kept.get(foldKey(d)) ?? (d.open && !away);
    }
  }
  const fields = () => form.querySelectorAll("input[name]:not([type=hidden]), select[name]");

  function say(words, failed) {
    const el = document.getElementById("saved");
    el.textContent = words;
    el.classList.toggle("failed", !!failed);
  }

  async function send(action, pairs) {
    const response = await fetch(at(action), {
      method: "POST",
      headers: { "Accept": "application/json", "Content-Type": "application/x-www-form-urlencoded" },
      body: new URLSearchParams(pairs),
    });
    const type = response.headers.get("Content-Type") || "";
    const body = type.includes("json") ? await response.json() : { told: await response.text() };
    return { ok: response.ok, status: response.status, body };
  }

  // Puts what the server said into the page; the fields themselves are left alone.
  function show(pieces) {
    for (const [stage, html] of Object.entries(pieces.say)) {
      const out = document.getElementById("say-" + stage);
      if (out.dataset.html !== html) {
        const kept = folds(out);
        out.innerHTML = html;
        out.dataset.html = html;
        fold(out, kept);
      }
      out.classList.remove("stale");
    }
    for (const el of form.querySelectorAll("[data-wrong]")) {
      const { words = "", asks = false } = pieces.wrong[el.dataset.wrong] || {};
      if (el.textContent !== words) el.textContent = words;
      el.classList.toggle("asks", asks);
      const input = document.getElementById(el.id.replace(/-wrong$/, ""));
      if (words && !asks) input.setAttribute("aria-invalid", "true"); else input.removeAttribute("aria-invalid");
    }
    document.getElementById("loose").innerHTML = pieces.loose;
    const now = document.getElementById("now");
    if (now) now.textContent = pieces.now;
    for (const step of ["undo", "redo"]) offer(step, pieces[step]);
  }

  function typed(event) {
    const el = event.target;
    if (!el.name || el.type === "hidden" || el.tagName === "SELECT") return;
    say("Typing…");
    clearTimeout(tryTimer);
    const mine = ++latest;
    tryTimer = setTimeout(async () => {
      try {
        const answer = await send("try", { base: revision, path: el.name, typed: el.value });
        if (mine === latest && answer.ok) show(answer.body);
      } catch { /* the change is sent again when the field is left */ }
    }, 180);
  }

  function left(event) {
    const el = event.target;
    if (el.name && el.type !== "hidden") save(el);
  }

  // What changes the job goes out one after the other, each with the revision that the one before it made. The page is
  // taken anew after the last of them, so that nothing that still waits is lost with the old one.
  function inTurn(work) {
    waiting++;
    const done = queue.then(work).then(async (result) => {
      if (outdated && waiting === 1) await reload();
      return result;
    }).catch(() => say("The program does not answer. What you typed is still here; leave a field again to retry.", true))
      .finally(() => waiting--);
    queue = done;
    return done;
  }

  function save(el, again) {
    return inTurn(async () => {
      if (!again && saved.get(el.name) === el.value) return say("Saved");
      clearTimeout(tryTimer);
      latest++;
      say("Saving…");
      const value = el.value;
      try {
        const answer = await send("fields", [["base", revision], [el.name, value]]);
        if (answer.ok) {
          // More than one step on: somebody else's changes were merged, and the fields must show them.
          const merged = answer.body.revision > Number(revision) + 1;
          revision = String(answer.body.revision);
          form.querySelector("input[name=base]").value = revision;
          saved.set(el.name, value);
          document.getElementById("told").replaceChildren();
          show(answer.body);
          outdated ||= merged;
          say("Saved");
        } else if (answer.body.conflict) {
          conflict(el, answer.body);
        } else {
          say("Not saved: " + answer.body.told, true);
        }
      } catch {
        say("Not saved: the program does not answer. What you typed is still here; leave a field again to retry.", true);
      }
    });
  }

  function conflict(el, body) {
    say("Not saved: changed elsewhere", true);
    const { theirs, ours, path } = body.conflict;
    const note = document.createElement("div");
    note.className = "note warning";
    const words = document.createElement("p");
    words.textContent = body.told;
    const keep = document.createElement("button");
    keep.type = "button";
    keep.textContent = `Keep theirs: ${theirs || "(empty)"}`;
    keep.onclick = async () => { await reload(path); say("Saved"); focus(path); };
    const mine = document.createElement("button");
    mine.type = "button";
    mine.textContent = `Use mine: ${ours || "(empty)"}`;
    mine.onclick = async () => {
      revision = String(body.revision);
      note.remove();
      await save(el, true);
      await reload();
      focus(path);
    };
    note.append(words, keep, " ", mine);
    document.getElementById("told").replaceChildren(note);
    note.scrollIntoView({ block: "center" });
    keep.focus();
  }

  function focus(path) {
    const el = field(path);
    for (let d = el?.closest("details"); d; d = d.parentElement.closest("details")) d.open = true;
    el?.focus();
  }

  // Fields that hold what the server does not: being typed, or refused.
  const unsaved = () => [...fields()].filter((f) => saved.has(f.name) && saved.get(f.name) !== f.value);

  // Takes the page anew from the server, keeping the place and what is not saved yet, but for the field given up.
  async function reload(givenUp) {
    const html = await (await fetch(form.dataset.at)).text();
    const mine = unsaved().filter((f) => f.name !== givenUp).map((f) => [f.name, f.value]);
    const page = new DOMParser().parseFromString(html, "text/html");
    const fresh = page.querySelector("main");
    outdated = false;
    const active = document.activeElement?.name;
    const y = window.scrollY;
    const kept = folds(form);
    fold(fresh, kept);
    for (const d of form.querySelectorAll("details[id][open]")) fresh.querySelector("#" + d.id)?.setAttribute("open", "");
    document.querySelector("main").replaceWith(fresh);
    for (const step of ["undo", "redo"]) {
      const button = page.getElementById(step);
      offer(step, button.disabled ? null : button.title);
    }
    begin();
    for (const [name, value] of mine) {
      const el = field(name);
      if (el) el.value = value;
    }
    window.scrollTo(0, y);
    if (active) focus(active);
  }

  // Undo and redo stand in the bar, outside what is replaced; `what` is the change that the button acts on.
  function offer(step, what) {
    const button = document.getElementById(step);
    // A change may have no words of its own; only null means that there is none.
    button.disabled = what === null;
    button.title = what || "";
  }

  async function pressed(event) {
    const button = event.target.closest("button[data-swap]");
    if (!button) return;
    event.preventDefault();
    const action = button.getAttribute("formaction").split("/").pop();
    if (action === "add" && button.value === "reading" && lastReading()) return addReading();
    const before = new Set([...form.querySelectorAll("details.entry")].map((f) => f.id));
    if (!(await act(action, button.name, button.value)) || action !== "add") return;
    const added = [...form.querySelectorAll("details.entry")].find((f) => !before.has(f.id));
    added?.querySelector("input, select").focus();
  }

  // Sends what a button stands for, and has the page taken anew; says whether it was done.
  function act(action, name, value) {
    return inTurn(async () => {
      const pairs = [["base", revision]];
      if (name) pairs.push([name, value]);
      try {
        const answer = await send(action, pairs);
        if (!answer.ok) {
          say("Not done: " + answer.body.told, true);
          return false;
        }
        revision = String(answer.body.revision);
        outdated = true;
        say("Saved");
        return true;
      } catch {
        say("Not done: the program does not answer.", true);
        return false;
      }
    });
  }

  const field = (name) => form.querySelector(`[name="${CSS.escape(name)}"]`);

  // Fields that a feature asks for beside its value.
  const ASKED = { "pitch": ["count"], "over wires": ["wire"] };
  // What a new reading has of the one before it.
  const CARRIED = ["part", "feature", "instrument"];

  const lastReading = () => [...form.querySelectorAll("[name^='reading['][name$='].value']")].pop();

  // A new reading stands there at once, as the server will make it, so that the hand need not wait; it takes the page's
  // place for it when the server has it too.
  function addReading() {
    const last = lastReading();
    const at = Number(last.name.match(/\d+/)[0]);
    const own = last.closest("details.entry");
    const next = own.cloneNode(true);
    const renamed = (text) => text.replaceAll(`reading[${at}]`, `reading[${at + 1}]`).replaceAll(`f-reading-${at}-`, `f-reading-${at + 1}-`);
    for (const el of [next, ...next.querySelectorAll("*")])
      for (const { name, value } of [...el.attributes]) el.setAttribute(name, renamed(value));
    for (const el of next.querySelectorAll("input, select")) {
      const field = el.name.split(".").pop();
      el.value = CARRIED.includes(field) ? own.querySelector(`[name$=".${field}"]`).value : "";
      el.removeAttribute("aria-invalid");
      saved.set(el.name, el.value);
    }
    for (const el of next.querySelectorAll(".wrong")) el.textContent = "";
    next.querySelector("summary").textContent = `Reading ${at + 1}`;
    next.open = true;
    own.after(next);
    focus(`reading[${at + 1}].value`);
    act("add", "path", "reading");
  }

  // Enter goes on as hands do: through what the reading still lacks, then to the next one; after the last a new one
  // begins as that was. Enter in a last one left empty takes it out and goes on to the fields below.
  async function nextReading(event) {
    const [, at, what] = event.target.name.match(/^reading\[(\d+)\]\.(\w+)$/) || [];
    if (!at) return false;
    const path = (name) => `reading[${at}].${name}`;
    const order = ["part", "feature", "value", ...(ASKED[field(path("feature")).value] || []), "instrument"];
    const here = order.indexOf(what);
    if (here < 0) return false;
    const lacks = order.slice(here + 1).find((name) => name === "value" || !field(path(name)).value);
    const next = `reading[${Number(at) + 1}].value`;
    if (what === "value" && !event.target.value) {
      if (field(next)) return false;
      const own = event.target.closest("details.entry");
      const below = [...fields()].find((f) => own.compareDocumentPosition(f) & Node.DOCUMENT_POSITION_FOLLOWING && !own.contains(f))?.name;
      if (await act("take-out", "path", `reading[${at}]`) && below) focus(below);
    } else if (lacks) {
      focus(path(lacks));
    } else if (field(next)) {
      focus(next);
    } else {
      event.target.blur(); // saves it first
      addReading();
    }
    return true;
  }

  async function key(event) {
    if (event.key === "Enter" && event.target.matches("#sheet input:not([type=hidden]), #sheet select")) {
      event.preventDefault();
      if (await nextReading(event)) return;
      const all = [...fields()].filter((f) => f.offsetParent);
      all[all.indexOf(event.target) + 1]?.focus();
    }
    if ((event.ctrlKey || event.metaKey) && !event.target.matches("input, textarea")) {
      const which = event.key === "z" ? (event.shiftKey ? "redo" : "undo") : event.key === "y" ? "redo" : "";
      if (which) { event.preventDefault(); document.getElementById(which).click(); }
    }
  }

  // Another tablet may have changed the job: bring this page up to date, unless something here is not saved.
  async function watch() {
    if (document.hidden || !form) return;
    try {
      const { revision: now } = await (await fetch(at("state"))).json();
      if (String(now) !== revision && !unsaved().length && !waiting) await reload();
    } catch { /* the next look will tell */ }
  }

  begin();
  if (form) fold(form);
  addEventListener("beforeprint", () => { for (const d of form?.querySelectorAll("details.block") || []) d.open = true; });
  document.addEventListener("input", typed);
  document.addEventListener("change", left);
  document.addEventListener("click", pressed);
  document.addEventListener("keydown", key);
  setInterval(watch, 4000);
  window.addEventListener("focus", watch);
})();
