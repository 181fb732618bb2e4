// A guided inspection: what is entered is kept on the phone until the server has it, and sent when it
// can be. Each answer has its own key, so that one that is sent twice counts once. Without this script
// each step is sent as a form of its own.
(() => {
  "use strict";
  const steps = document.getElementById("inspection");
  if (!steps) return;

  const state = document.getElementById("inspection-state");
  const store = `inspection-${steps.dataset.inspection}-${steps.dataset.reader}`;
  const AGAIN = 8000; // ms before what waits is sent again
  const PATIENCE = 15000; // ms before a connection counts as none
  const METRES = { mm: 1e-3, thou: 25.4e-6, in: 0.0254, inch: 0.0254, '"': 0.0254, um: 1e-6, "µm": 1e-6 };
  const NOT_KEPT = new Set(["csrfmiddlewaretoken"]);
  let kept = read(); // by step: what is typed, and whether it is to be sent
  let sending = null;
  let wanted = ""; // where to go once all is sent

  function read() {
    try {
      return JSON.parse(localStorage.getItem(store)) || {};
    } catch {
      return {};
    }
  }

  function write() {
    try {
      if (Object.keys(kept).length) localStorage.setItem(store, JSON.stringify(kept));
      else localStorage.removeItem(store);
    } catch {
      // a browser that keeps nothing: what is typed still stands on the page
    }
  }

  const waiting = () => Object.keys(kept).filter((order) => kept[order].send);
  const sectionOf = (order) => document.getElementById(`step-${order}`);
  const formOf = (order) => sectionOf(order)?.querySelector("form");

  function say(words) {
    if (state.textContent !== words) state.textContent = words;
  }

  function key() {
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  }

  function typedIn(form, button) {
    const fields = {};
    for (const [name, text] of new FormData(form, button)) {
      if (!NOT_KEPT.has(name)) fields[name] = text;
    }
    return fields;
  }

  function fill(order) {
    const form = formOf(order);
    if (!form) return;
    for (const [name, text] of Object.entries(kept[order].fields)) {
      const control = form.elements.namedItem(name);
      if (!control || name === "outcome") continue;
      if (control.type === "checkbox") control.checked = true;
      else control.value = text; // of a group of choices, the one that has this value
    }
    const reveal = form.querySelector("details");
    if (reveal && (kept[order].fields.mark || kept[order].fields.words)) reveal.open = true;
  }

  function go(order) {
    const there = sectionOf(order);
    if (!there) return false;
    location.hash = there.id;
    there.querySelector("h2")?.focus({ preventScroll: true });
    window.scrollTo({ top: 0 });
    return true;
  }

  function next(order) {
    if (!go(Number(order) + 1)) leave(steps.dataset.summary);
  }

  // What the page itself can say of an answer while nobody else can; "" where it can't.
  function local(form, fields) {
    const mark = fields.mark ? form.querySelector(`input[name=mark][value="${CSS.escape(fields.mark)}"]`) : null;
    const ofMark = mark ? mark.closest("label").dataset.judgement : "";
    const match = /^\s*([0-9]*[.,]?[0-9]+)\s*([a-zµ"]*)\s*$/i.exec(fields.value || "");
    const unit = match ? METRES[(match[2] || fields.value_unit || "").toLowerCase()] : undefined;
    if (unit) {
      const metres = Number(match[1].replace(",", ".")) * unit + 1e-9;
      if (form.dataset.stop && metres >= Number(form.dataset.stop)) return "stop";
      if (ofMark !== "stop" && form.dataset.ask && metres > Number(form.dataset.ask) + 2e-9) return "ask";
    }
    return ["stop", "ask"].includes(ofMark) ? ofMark : "";
  }

  function show(order, level) {
    for (const piece of sectionOf(order).querySelectorAll("[data-local]")) {
      piece.hidden = piece.dataset.local !== level;
    }
    if (level) sectionOf(order).scrollIntoView();
  }

  function put(order, html) {
    const section = sectionOf(order);
    const piece = new DOMParser().parseFromString(html, "text/html");
    section.replaceChildren(...piece.body.childNodes);
    const told = document.querySelector(`[data-outcome-of="${order}"]`);
    const outcome = section.querySelector(".inspection-outcome");
    if (told && outcome) told.textContent = outcome.textContent;
  }

  // Send one answer: "taken", "refused", "signed-out" or "gone".
  async function post(order) {
    const answer = kept[order];
    const form = formOf(order);
    const body = new FormData();
    body.set("csrfmiddlewaretoken", form.elements.namedItem("csrfmiddlewaretoken").value);
    for (const [name, text] of Object.entries(answer.fields)) body.set(name, text);
    body.set("client_key", answer.key);
    let response;
    let html;
    try {
      response = await fetch(form.action.split("#")[0], {
        method: "POST",
        body,
        headers: { "X-Inspection": "step" },
        signal: AbortSignal.timeout(PATIENCE),
      });
      html = await response.text();
    } catch {
      return "gone";
    }
    if (!response.headers.get("X-Inspection")) return response.status >= 500 ? "gone" : "signed-out";
    if (kept[order] === answer) {
      delete kept[order];
      write();
      put(order, html);
      steps.dispatchEvent(new Event("inspection:taken"));
    }
    return response.ok ? "taken" : "refused";
  }

  async function flush() {
    let said = "";
    for (const order of waiting()) {
      const came = await post(order);
      if (came === "gone" || came === "signed-out") {
        say(came === "gone" ? steps.dataset.kept : steps.dataset.signIn);
        return false;
      }
      if (came === "refused") {
        wanted = "";
        said = steps.dataset.refused;
        go(order);
      }
    }
    if (said) say(said);
    else if (state.textContent) say(steps.dataset.sent);
    if (wanted && !waiting().length) location.assign(wanted);
    return !said;
  }

  function send() {
    sending ??= flush().finally(() => {
      sending = null;
    });
    return sending;
  }

  async function sendAll() {
    while (waiting().length) {
      if (!(await send())) return false;
    }
    return true;
  }

  async function leave(where) {
    if (await sendAll()) location.assign(where);
    else if (waiting().length) wanted = where;
  }

  steps.addEventListener("submit", async (event) => {
    const form = event.target;
    event.preventDefault();
    const order = form.dataset.order;
    const fields = typedIn(form, event.submitter);
    kept[order] = { fields, key: key(), send: true };
    write();
    const content = Boolean(fields.value || fields.mark || fields.freezes_at || fields.outcome === "measured");
    if (!content) {
      show(order, "");
      next(order);
      if (waiting().length) sendAll();
      return;
    }
    const level = local(form, fields);
    show(order, level);
    await sendAll();
    if (kept[order]) {
      // no connection: what can be said here is said, and it goes on where nothing stands against it
      if (!level) next(order);
      return;
    }
    const after = formOf(order).dataset;
    const section = sectionOf(order);
    if (section.querySelector(".field-error, .form-errors")) go(order);
    else if (["watch", "ask", "stop"].includes(after.judgement)) go(order);
    else next(order);
  });

  steps.addEventListener("input", (event) => {
    const form = event.target.form;
    const order = form?.dataset.order;
    if (!order || kept[order]?.send) return;
    kept[order] = { fields: typedIn(form), key: "", send: false };
    write();
  });

  document.addEventListener("click", (event) => {
    const link = event.target.closest("a");
    if (!link || link.getAttribute("href") !== steps.dataset.summary || !waiting().length) return;
    event.preventDefault();
    leave(steps.dataset.summary);
  });

  window.addEventListener("online", () => sendAll());
  document.addEventListener("visibilitychange", () => {
    if (!document.hidden && waiting().length) sendAll();
  });
  setInterval(() => {
    if (waiting().length) sendAll();
  }, AGAIN);

  for (const order of Object.keys(kept)) {
    if (sectionOf(order)) fill(order);
    else delete kept[order];
  }
  if (waiting().length) {
    say(steps.dataset.kept);
    sendAll();
  }
})();
