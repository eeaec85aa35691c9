// At the lathe: keys for wet or gloved-off hands, a screen that stays on, and a page that follows what other tablets
// do. The page works without it.
"use strict";
(() => {
  document.documentElement.classList.add("scripted");
  const lathe = () => document.querySelector(".lathe");
  const main = document.getElementById("main");
  // Two touches within this time are one, made by a drop of water or a shaking hand.
  const ONE_TOUCH_MS = 600;
  let busy = false;
  let last = -ONE_TOUCH_MS;

  const tell = (words) => {
    const told = document.getElementById("told");
    if (told) { told.textContent = words; told.hidden = false; }
  };

  // Puts the page that an act leads to in place of this one, so that the screen never goes white or to sleep.
  const put = (html) => {
    const fresh = new DOMParser().parseFromString(html, "text/html").getElementById("main");
    if (!fresh) return;
    main.replaceChildren(...fresh.childNodes);
    // After an answer that asks again the keys belong to the number typed, and never to the pass at its planned one.
    const next = main.querySelector("input[autofocus]") ?? main.querySelector(".done:not(:disabled)");
    next?.focus({ preventScroll: true });
  };

  const send = async (form, button) => {
    if (busy || performance.now() - last < ONE_TOUCH_MS) return;
    busy = true;
    const body = new URLSearchParams(new FormData(form));
    body.set(button.name, button.value);
    try {
      const answer = await fetch(location.href, { method: "POST", body });
      put(await answer.text());
      if (answer.ok) window.scrollTo(0, 0);
    } catch {
      tell("Not saved: there is no connection to the program. Nothing is lost; press again when it is back.");
    } finally {
      busy = false;
      last = performance.now();
    }
  };

  document.addEventListener("submit", (event) => {
    const button = event.submitter;
    if (!lathe()?.contains(event.target) || !button) return;
    event.preventDefault();
    send(event.target, button);
  });

  // While an answer asks again, nothing is ticked by a key.
  const asked = () => document.querySelector(".lathe input[autofocus]");
  const press = (selector) => document.querySelector(selector)?.click();
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    // A key held down is one press.
    if (event.repeat) { if (event.key === " ") event.preventDefault(); return; }
    if (event.target.matches("input, select, textarea, summary, a")) return;
    if (event.target.matches("button") && (event.key === "Enter" || event.key === " ")) return;
    if (["ArrowRight", "PageDown", " ", "Enter"].includes(event.key)) { event.preventDefault(); if (!asked()) press(".lathe .done:not(:disabled)"); }
    if (["ArrowLeft", "PageUp", "Backspace"].includes(event.key)) { event.preventDefault(); press(".lathe .back:not(:disabled)"); }
  });

  // Another tablet, or the job's page, may have moved on.
  const fields = () => [...document.querySelectorAll(".lathe details[open] input:not([type=hidden])")];
  const typing = () => document.activeElement?.matches("input, select")
    || fields().some((field) => field.autofocus || field.value !== field.defaultValue);
  const look = async () => {
    const here = lathe();
    if (!here || busy || document.hidden || typing()) return;
    try {
      const state = await (await fetch(`/jobs/${here.dataset.job}/state`)).json();
      if (String(state.revision) !== here.dataset.revision && !busy) put(await (await fetch(location.href)).text());
    } catch { /* no connection: the next look may find one */ }
  };
  setInterval(look, 4000);

  const stayOn = () => navigator.wakeLock?.request("screen").catch(() => {});
  stayOn();
  document.addEventListener("visibilitychange", () => { if (!document.hidden) { stayOn(); look(); } });
})();
