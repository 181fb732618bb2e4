// Puts an inspection's page away on the phone as it stands, so that it opens again where there is no
// connection (keeper.js gives it back). What is typed is kept apart, by inspection.js.
(() => {
  "use strict";
  const KEPT = "inspections";
  const steps = document.getElementById("inspection");
  // without https a browser has neither
  if (!steps || !window.caches || !navigator.serviceWorker) return;
  const here = location.origin + location.pathname;

  async function register() {
    const address = `${steps.dataset.keeper}?static=${encodeURIComponent(steps.dataset.static)}`;
    await navigator.serviceWorker.register(address);
    await navigator.serviceWorker.ready;
  }

  // What the page is drawn with; photographs are not.
  function parts() {
    const fixed = new URL(steps.dataset.static, location).href;
    const sheets = [...document.querySelectorAll("link[rel=stylesheet], link[rel=icon]")].map((link) => link.href);
    const loaded = performance.getEntriesByType("resource").map((entry) => entry.name);
    return new Set([...sheets, ...loaded.filter((name) => name.startsWith(fixed))]);
  }

  async function begin() {
    try {
      await register();
      const kept = await caches.open(KEPT);
      await Promise.all([here, ...parts()].map((name) => kept.add(name)));
      steps.dataset.keptHere = "yes";
    } catch {
      // no connection, or no room: an older copy stands, or none
    }
  }

  async function renew() {
    try {
      const kept = await caches.open(KEPT);
      const before = await kept.match(here);
      if (!before) return;
      const page = document.documentElement.cloneNode(true);
      page.querySelector("#inspection-state").textContent = "";
      await kept.put(here, new Response(`<!doctype html>${page.outerHTML}`, { headers: before.headers }));
    } catch {
      // no room: the older copy stands
    }
  }

  steps.addEventListener("inspection:taken", renew);
  begin();
})();
