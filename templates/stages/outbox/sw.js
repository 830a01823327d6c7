// Opens the bay's pages without signal. It never sends anything: outbox.js does, from the page.
const { version, shell, large, static: STATIC } = {{ told|safe }};
const SHELL = `shell-${version}`;
const UNKEPT = "/scan/unkept/";
const PATIENCE_MS = 2500;
const ANY = { ignoreVary: true };
const BAY = /^\/(?:scan\/|T\/[^/]+)$/;

self.addEventListener("install", (event) => {
  const all = [...shell, UNKEPT].map((address) => new Request(address, { cache: "reload" }));
  event.waitUntil(
    caches
      .open(SHELL)
      .then((cache) => cache.addAll(all))
      .then(() => self.skipWaiting()),
  );
});

self.addEventListener("activate", (event) => {
  const old = (name) => name.startsWith("shell-") && name !== SHELL;
  event.waitUntil(
    caches
      .keys()
      .then((names) => Promise.all(names.filter(old).map((name) => caches.delete(name))))
      .then(() => self.clients.claim()),
  );
});

// What is large comes when a page is at leisure.
self.addEventListener("message", (event) => {
  if (event.data === "leisure") event.waitUntil(Promise.all(large.map(fromShell)));
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname, searchParams } = new URL(request.url);
  if (origin !== location.origin) return;
  if (request.method === "POST" && pathname === "/sign-out/") {
    event.waitUntil(caches.delete("kept-own"));
  }
  if (request.method !== "GET") return;
  if (pathname.startsWith(STATIC)) event.respondWith(fromShell(request));
  else if (request.mode !== "navigate") return;
  else if (BAY.test(pathname)) event.respondWith(bayPage(request, pathname));
  else if (pathname === "/who/" || pathname === "/sign-in/") {
    event.respondWith(fetch(request).catch(() => back(searchParams.get("next") || "/scan/")));
  }
});

async function fromShell(request) {
  const cache = await caches.open(SHELL);
  const kept = await cache.match(request, ANY);
  if (kept) return kept;
  const answer = await fetch(request);
  if (answer.ok) await cache.put(request, answer.clone());
  return answer;
}

// The server's page if it comes soon; else the one kept here; else the server's, however late.
async function bayPage(request, pathname) {
  const asked = fetch(request);
  const kept = await keptPage(pathname);
  if (!kept) return asked.catch(() => caches.match(UNKEPT, ANY));
  const patience = new Promise((resolve) => setTimeout(resolve, PATIENCE_MS, kept));
  return Promise.race([asked.catch(() => kept), patience]);
}

async function keptPage(pathname) {
  for (const name of ["kept-own", "kept-shared"]) {
    const cache = (await caches.has(name)) && (await caches.open(name));
    const kept = cache && (await cache.match(pathname, ANY));
    if (kept) return kept;
  }
}

const back = (next) => Response.redirect(new URL(next, location.origin).pathname, 302);
