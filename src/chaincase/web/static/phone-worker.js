// Lets the field page open without a signal. Pages: the network first, else what was kept. Static files: what was kept.
// Nothing of the API is kept here: what a case holds stays on the server, what was typed lies in the page's own store.

const KEPT = "chaincase EDITION";
const STATIC = "/static/EDITION/";
const SHELL = [
  "look.css", "phone.css", "link.svg", "inter-regular.woff", "inter-semibold.woff", "phone-192.png", "events.js",
  "phone.js", "phone-store.js", "phone-outbox.js", "phone-lengths.js", "phone-parts.js", "phone-stamp.js",
  "phone-photographs.js", "phone-measure.js", "phone-count.js", "phone-questions.js", "phone-send.js",
].map((name) => STATIC + name);

self.addEventListener("install", (event) => {
  event.waitUntil(
    (async () => {
      const cache = await caches.open(KEPT);
      await cache.addAll([...SHELL, "/phone/kit.json", "/phone.webmanifest"]);
      // Pages that a phone was on keep opening after an update; the pages themselves come anew.
      for (const name of await caches.keys()) {
        if (!name.startsWith("chaincase ") || name === KEPT) continue;
        for (const request of await (await caches.open(name)).keys()) {
          if (isPage(new URL(request.url))) await cache.add(request.url).catch(() => {});
        }
      }
      await self.skipWaiting();
    })(),
  );
});

self.addEventListener("activate", (event) => {
  event.waitUntil(
    (async () => {
      for (const name of await caches.keys()) {
        if (name.startsWith("chaincase ") && name !== KEPT) await caches.delete(name);
      }
      await self.clients.claim();
    })(),
  );
});

const isPage = (url) => url.pathname === "/answer" || url.pathname === "/phone" || url.pathname.startsWith("/phone/");

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== location.origin) return;
  if (url.pathname.startsWith(STATIC)) event.respondWith(kept(event.request));
  else if (url.pathname === "/phone/kit.json" || url.pathname === "/phone.webmanifest" || isPage(url)) event.respondWith(fresh(event.request));
});

async function kept(request) {
  const found = await caches.match(request, { cacheName: KEPT });
  return found ?? fetch(request);
}

async function fresh(request) {
  const cache = await caches.open(KEPT);
  try {
    const answer = await fetch(request);
    if (answer.ok && !answer.redirected) await cache.put(request.url, answer.clone());
    if (answer.status < 500) return answer;
    return (await cache.match(request.url)) ?? answer;
  } catch (fault) {
    const found = (await cache.match(request.url)) ?? (await cache.match("/phone"));
    if (found) return found;
    throw fault;
  }
}

// A page that was open before the worker was there asks it to keep its address, too.
self.addEventListener("message", (event) => {
  if (event.data?.keep && isPage(new URL(event.data.keep, location.origin))) {
    event.waitUntil(caches.open(KEPT).then((cache) => cache.add(event.data.keep)).catch(() => {}));
  }
});
