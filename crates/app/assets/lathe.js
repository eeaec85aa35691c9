// At the lathe: keys for wet or gloved-off hands, and a screen that stays on. The page works without it.
"use strict";
(() => {
  document.documentElement.classList.add("scripted");
  const press = (selector) => {
    const button = document.querySelector(selector);
    if (button && !button.disabled) button.click();
  };
  document.addEventListener("keydown", (event) => {
    if (event.target.matches("button") && (event.key === "Enter" || event.key === " ")) return;
    if (["ArrowRight", "ArrowDown", "PageDown", " ", "Enter"].includes(event.key)) { event.preventDefault(); press(".lathe .done"); }
    if (["ArrowLeft", "ArrowUp", "PageUp", "Backspace"].includes(event.key)) { event.preventDefault(); press(".lathe .back"); }
  });
  const stayOn = () => navigator.wakeLock?.request("screen").catch(() => {});
  stayOn();
  document.addEventListener("visibilitychange", () => { if (!document.hidden) stayOn(); });
})();
