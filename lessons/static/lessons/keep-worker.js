/* The service worker: pages of an evening that were opened before open again without network.

   self.FREEFOOT, set by the script that loads this one: { version, files, static, home, style }. A page
   says by its headers for whom it was made and whether it may be kept; what is kept of somebody else goes. */

const { version, files, static: staticRoot, style } = self.FREEFOOT;
const FILES = `freefoot-files-${version}`;
const PAGES = "freefoot-pages-";
const MOST_PAGES = 80;
/* Rises when somebody signs out: what was asked for before is not kept after. */
let turn = 0;
/* A hall's network may hang rather than fail. */
const PATIENCE = 10_000;
const HASHED = /\.[0-9a-f]{12}\.\w+$/;

self.addEventListener("install", (event) => {
  event.waitUntil(
    caches
      .open(FILES)
      .then((cache) => cache.addAll(files))
      .then(() => self.skipWaiting()),
  );
});

self.addEventListener("activate", (event) => {
  event.waitUntil(
    (async () => {
      for (const name of await caches.keys()) {
        if (name.startsWith("freefoot-files-") && name !== FILES) await caches.delete(name);
      }
      await self.clients.claim();
    })(),
  );
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== self.location.origin) return;
  if (url.pathname.startsWith(staticRoot)) event.respondWith(file(request, url));
  else if (request.mode === "navigate") event.respondWith(page(event, request));
});

self.addEventListener("message", (event) => {
  if (event.data?.keep) event.waitUntil(keepAll(event.data));
  if (event.data === "forget") event.waitUntil(forgetPages().finally(() => event.ports[0]?.postMessage("forgotten")));
});

self.addEventListener("sync", (event) => {
  if (event.tag === "freefoot-outbox") event.waitUntil(sendFromOutbox());
});

/* Throws where something still waits, so that the browser tries again. */
async function sendFromOutbox() {
  const answered = await self.freefootOutbox.send();
  if (answered.length) for (const client of await self.clients.matchAll()) client.postMessage("outbox");
  if ((await self.freefootOutbox.all()).some((entry) => entry.state === "waiting")) throw new Error("waits");
}

/* A file named by its content never changes; one that is not is asked for first. */
async function file(request, url) {
  const kept = await caches.match(request, { ignoreVary: true });
  if (kept && HASHED.test(url.pathname)) return kept;
  try {
    const fresh = await fetch(request);
    if (fresh.ok) await (await caches.open(FILES)).put(request, fresh.clone());
    return fresh;
  } catch (error) {
    if (kept) return kept;
    throw error;
  }
}

async function page(event, request) {
  const kept = await keptPage(request.url);
  const begun = turn;
  const fresh = fetch(request);
  event.waitUntil(fresh.then((answer) => remember(request.url, answer.clone(), begun)).catch(() => {}));
  if (!kept) return fresh.catch(nothingKept);
  const late = new Promise((resolve) => setTimeout(resolve, PATIENCE));
  return Promise.race([fresh.catch(() => marked(kept)), late.then(() => marked(kept))]);
}

async function pageCaches() {
  return (await caches.keys()).filter((name) => name.startsWith(PAGES));
}

/* A page that was reached another way, with other words behind its address, is better than none. */
async function keptPage(address) {
  for (const name of await pageCaches()) {
    const cache = await caches.open(name);
    for (const ignoreSearch of [false, true]) {
      const kept = await cache.match(plain(address), { ignoreVary: true, ignoreSearch });
      if (kept) return kept;
    }
  }
  return undefined;
}

async function forgetPages() {
  turn += 1;
  for (const name of await pageCaches()) await caches.delete(name);
}

/* Only the last person's pages are kept: another's headers clear what was there. `begun`: the turn in which the
   page was asked for. */
async function remember(address, answer, begun) {
  const person = answer.headers.get("X-Freefoot-Person");
  if (!person || begun !== turn) return;
  const own = PAGES + person;
  for (const name of await pageCaches()) if (name !== own) await caches.delete(name);
  if (!answer.ok || answer.redirected || !answer.headers.get("X-Freefoot-Keep")) return;
  const cache = await caches.open(own);
  await cache.put(plain(address), answer);
  if (begun !== turn) return void (await caches.delete(own));
  const keys = await cache.keys();
  for (const oldest of keys.slice(0, Math.max(0, keys.length - MOST_PAGES))) await cache.delete(oldest);
}

/* Fetches go out for whoever is signed in at that moment: once that is somebody else, or somebody else has
   opened a page, what was begun for the first is given up. */
async function keepAll({ keep, person }) {
  const begun = turn;
  for (const address of keep) {
    try {
      const answer = await fetch(address);
      const isOthers = Number(answer.headers.get("X-Freefoot-Person")) !== person;
      if (isOthers || (await pageCaches()).some((name) => name !== PAGES + person)) return;
      await remember(address, answer, begun);
    } catch {
      return;
    }
  }
}

function plain(address) {
  const url = new URL(address, self.location.origin);
  url.hash = "";
  return url.href;
}

/* The page says that it is the kept one, and from when. */
async function marked(kept) {
  const text = await kept.text();
  const since = new Date(kept.headers.get("Date") ?? Date.now()).getTime();
  const headers = new Headers(kept.headers);
  headers.delete("Content-Encoding");
  headers.delete("Content-Length");
  return new Response(text.replace("<body", `<body data-kept-since="${since}"`), { headers });
}

/* A page that was reached in several ways, with other words behind its address, is one. */
async function titlesOfKept() {
  const titles = new Map();
  for (const name of await pageCaches()) {
    const cache = await caches.open(name);
    for (const request of await cache.keys()) {
      const text = await (await cache.match(request)).text();
      titles.set(new URL(request.url).pathname, /<title>([^<·]*)/.exec(text)?.[1] ?? request.url);
    }
  }
  return titles;
}

async function nothingKept() {
  const items = [...(await titlesOfKept())].map(([path, title]) => `<li><a href="${path}">${title}</a></li>`);
  const list = items.length
    ? `<p>These pages are kept on this device:</p><ul>${items.join("")}</ul>`
    : "<p>No page is kept on this device yet.</p>";
  const body = `<!doctype html><html lang="en-GB"><head><meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1"><title>No network</title>
<link rel="stylesheet" href="${style}"></head><body><main class="page"><div class="title"><h1>No network</h1></div>
<p class="lead">This page is not kept on this device, so it has to wait for the network.</p>${list}</main></body></html>`;
  return new Response(body, { status: 503, headers: { "Content-Type": "text/html; charset=utf-8" } });
}
