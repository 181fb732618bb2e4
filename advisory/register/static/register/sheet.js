// A build sheet at the bench: what is typed is kept place by place, also while the connection is
// gone, and what others write appears. Without this script the page is sent as a whole.
(() => {
  "use strict";
  const form = document.getElementById("sheet");
  if (!form || !window.htmx) return;

  const state = document.getElementById("sheet-state");
  const store = `build-sheet-${form.dataset.build}-${form.dataset.reader}`;
  const PAUSE = 700; // ms without a key before a place is kept
  const AGAIN = 5000; // ms before what waits is sent again
  const waiting = new Map(Object.entries(readStore())); // typed and not yet kept, by place
  const kept = new Map(); // what the server has, by place
  const underWay = new Map(); // what was sent and not yet answered, by place
  const pauses = new Map();

  function readStore() {
    try {
      return JSON.parse(localStorage.getItem(store)) || {};
    } catch {
      return {};
    }
  }

  function writeStore() {
    try {
      if (waiting.size) localStorage.setItem(store, JSON.stringify(Object.fromEntries(waiting)));
      else localStorage.removeItem(store);
    } catch {
      // a browser that keeps nothing: what is typed still stands on the page
    }
  }

  function say(words) {
    if (state.textContent !== words) state.textContent = words;
  }

  function places() {
    return form.querySelectorAll("[data-place]");
  }

  function placeOf(key) {
    return form.querySelector(`[data-place="${CSS.escape(key)}"]`);
  }

  function send(control, answer = {}) {
    const key = control.dataset.place;
    const text = control.value;
    clearTimeout(pauses.get(key));
    if (underWay.has(key)) {
      waiting.set(key, text);
      writeStore();
      return; // sent once the one under way is answered
    }
    if (text === kept.get(key) && !Object.keys(answer).length) {
      waiting.delete(key);
      writeStore();
      return;
    }
    waiting.set(key, text);
    writeStore();
    underWay.set(key, text);
    const seen = document.getElementById(`seen-${key}`);
    const values = { place: key, text, seen: seen ? seen.value : "", ...answer };
    // what comes of it is heard below, also that nothing came
    htmx.ajax("POST", form.dataset.entry, { source: control, swap: "none", values }).catch(() => {});
  }

  function answered(control, good) {
    const key = control.dataset.place;
    const sent = underWay.get(key);
    underWay.delete(key);
    if (!good) {
      say(form.dataset.gone);
      return;
    }
    kept.set(key, sent);
    if (control.value === sent) waiting.delete(key);
    writeStore();
    if (waiting.has(key)) send(control);
    else if (!waiting.size) say(form.dataset.kept);
  }

  function sendAll() {
    for (const key of [...waiting.keys()]) {
      const control = placeOf(key);
      if (control) send(control);
      else waiting.delete(key);
    }
  }

  // In the path of the measuring the key Enter goes on to the next place.
  function goOn(control) {
    const path = [...places()].filter((one) => one.dataset.path && one.checkVisibility());
    const next = path[path.indexOf(control) + 1] || document.getElementById("sheet-sign");
    if (!next) return;
    next.focus();
    if (next.select) next.select();
  }

  for (const control of places()) kept.set(control.dataset.place, control.value);

  form.addEventListener("input", (event) => {
    const control = event.target;
    if (!control.dataset.place) return;
    waiting.set(control.dataset.place, control.value);
    writeStore();
    clearTimeout(pauses.get(control.dataset.place));
    pauses.set(control.dataset.place, setTimeout(() => send(control), PAUSE));
  });

  form.addEventListener("change", (event) => {
    if (event.target.dataset.place) send(event.target);
  });

  form.addEventListener("keydown", (event) => {
    const control = event.target;
    if (event.key !== "Enter" || !control.dataset.path || event.isComposing) return;
    event.preventDefault();
    send(control);
    goOn(control);
  });

  form.addEventListener("click", (event) => {
    const button = event.target.closest("[data-does]");
    if (!button) return;
    event.preventDefault();
    const control = placeOf(button.dataset.at);
    const does = button.dataset.does;
    if (does === "mean" || does === "theirs") control.value = button.dataset.text;
    control.focus();
    send(control, does === "right" ? { confirm: "1" } : { over: "1" });
  });

  form.addEventListener("htmx:afterRequest", (event) => {
    const control = event.detail.elt;
    if (control.dataset && control.dataset.place) answered(control, event.detail.successful);
  });

  // Signed meanwhile: say so where it is read first.
  document.body.addEventListener("htmx:beforeSwap", (event) => {
    if (event.detail.xhr.status === 409) event.detail.shouldSwap = true;
  });

  // What somebody else wrote never goes over what is being typed here; it is asked about when this
  // place is kept. Where the reader only stands, it is put in without taking them away.
  document.body.addEventListener("htmx:oobBeforeSwap", (event) => {
    const cell = event.detail.target;
    if (!cell.id.startsWith("cell-")) return;
    const control = cell.querySelector("[data-place]");
    const key = control.dataset.place;
    if (waiting.has(key) || underWay.has(key)) {
      event.detail.shouldSwap = false;
    } else if (control === document.activeElement) {
      event.detail.shouldSwap = false;
      const fresh = event.detail.fragment;
      control.value = fresh.querySelector("[data-place]").value;
      kept.set(key, control.value);
      for (const part of ["seen", "say"]) {
        const there = document.getElementById(`${part}-${key}`);
        there.replaceWith(fresh.querySelector(`#${part}-${CSS.escape(key)}`));
      }
    }
  });

  document.body.addEventListener("htmx:oobAfterSwap", (event) => {
    const control = event.detail.target.querySelector?.("[data-place]");
    if (control) kept.set(control.dataset.place, control.value);
  });

  window.addEventListener("online", sendAll);
  setInterval(() => {
    if (waiting.size && !underWay.size) sendAll();
  }, AGAIN);

  // What was typed here before and never arrived.
  for (const [key, text] of waiting) {
    const control = placeOf(key);
    if (control && !form.dataset.refused) control.value = text;
  }
  if (waiting.size) sendAll();
})();
