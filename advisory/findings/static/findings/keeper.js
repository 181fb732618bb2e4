// Gives an inspection's page from the phone where there is no connection. Only what the page put
// away itself is given (kept-page.js), and only when the network doesn't answer.
(() => {
  "use strict";
  const KEPT = "inspections";
  const PATIENCE = 10000; // ms before a connection counts as none
  const STATIC = new URL(new URL(self.location).searchParams.get("static"), self.location).href;
  const PARTS = new Set(["style", "script", "font"]);

  // A round's own address, whatever page of it is asked for; "" where it is no round's.
  function round(url) {
    const match = /^(.*\/inspections\/\d+\/)/.exec(url);
    return match ? match[1] : "";
  }

  async function forget(address) {
    const kept = await caches.open(KEPT);
    await kept.delete(address);
  }

  async function page(request) {
    const address = round(request.url);
    let answer;
    try {
      answer = await fetch(request, { signal: AbortSignal.timeout(PATIENCE) });
    } catch (gone) {
      const kept = request.url.split(/[?#]/)[0] === address && (await caches.match(address));
      if (kept) return kept;
      throw gone;
    }
    // finished, thrown away, or no longer this reader's
    const over = answer.type === "opaqueredirect" || answer.status === 404;
    if (over && request.url.split(/[?#]/)[0] === address) await forget(address);
    return answer;
  }

  async function part(request) {
    try {
      return await fetch(request);
    } catch (gone) {
      const kept = await caches.match(request, { ignoreVary: true });
      if (kept) return kept;
      throw gone;
    }
  }

  self.addEventListener("install", () => self.skipWaiting());
  self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
  self.addEventListener("fetch", (event) => {
    const { request } = event;
    if (request.method !== "GET") return;
    if (request.mode === "navigate") {
      if (round(request.url)) event.respondWith(page(request));
    } else if (request.url.startsWith(STATIC) || PARTS.has(request.destination)) {
      event.respondWith(part(request));
    }
  });
})();
