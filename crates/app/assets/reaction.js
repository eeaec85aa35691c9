// The reaction test: waits, shows the mark, takes the time to the press by the browser's performance clock.
"use strict";
(() => {
  const target = document.getElementById("target");
  if (!target) return;
  const wanted = Number(target.dataset.tries);
  const list = document.getElementById("tries");
  const counts = document.getElementById("counts");
  let times = [], state = "idle", shown = 0, timer;

  const good = () => times.filter((t) => t >= 0.1).length;

  function become(next, words) {
    state = next;
    target.dataset.state = next;
    target.textContent = words;
  }

  function tell() {
    const off = times.length - good();
    counts.textContent = `${good()} of ${wanted}` + (off ? `, ${off} false ${off === 1 ? "start" : "starts"} not counted` : "");
  }

  function wait() {
    become("waiting", "Wait …");
    timer = setTimeout(() => {
      // The clock starts with the frame that shows the mark.
      requestAnimationFrame(() => {
        become("now", "Press");
        requestAnimationFrame((frame) => { shown = frame; });
      });
      shown = performance.now();
    }, 1000 + 3000 * Math.random());
  }

  function add(seconds) {
    times.push(seconds);
    const row = document.createElement("li");
    row.textContent = seconds < 0.1 ? "false start" : `${seconds.toFixed(3)} s`;
    list.append(row);
    tell();
  }

  function press(at) {
    if (state === "idle") return wait();
    if (state === "waiting") {
      clearTimeout(timer);
      add(-1);
      become("idle", "Too soon: press to go on");
    } else if (state === "now") {
      add((at - shown) / 1000);
      if (good() >= wanted) {
        become("done", "Done");
        target.disabled = true;
        // What they come to is worked out by the program, and shown before anything is kept.
        location.search = "?tries=" + times.map((t) => t.toFixed(4)).join(",");
      } else {
        wait();
      }
    }
  }

  target.addEventListener("pointerdown", (event) => { event.preventDefault(); target.focus(); press(event.timeStamp); });
  document.addEventListener("keydown", (event) => {
    if (![" ", "Enter"].includes(event.key) || event.repeat || state === "done") return;
    if (event.target.closest("a, form")) return;
    event.preventDefault();
    press(event.timeStamp);
  });
  target.focus();
})();
