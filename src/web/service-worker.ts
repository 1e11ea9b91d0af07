/**
 * Keeps the page itself in the browser, so that it opens with the server gone. Everything the build made is
 * fetched ahead and served from the cache; lists of the book come from the network while it answers and
 * from the last answer when it does not. Documents are not its business: they live in IndexedDB.
 */

declare const self: ServiceWorkerGlobalScope;

interface Precache {
  readonly version: string;
  readonly files: readonly string[];
}

const LISTS = "stopwise-lists";
const FILES_PREFIX = "stopwise-files-";
/** Answers worth keeping for the time without a server. */
const KEPT_LISTS: readonly string[] = ["/api/book", "/api/cards", "/api/kit"];

self.addEventListener("install", (event) => {
  event.waitUntil(fetchAhead().then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  event.waitUntil(Promise.all([dropOldFiles(), keepLists()]).then(() => self.clients.claim()));
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== self.location.origin) return;
  if (KEPT_LISTS.includes(url.pathname)) event.respondWith(networkThenKept(request));
  else if (url.pathname.startsWith("/api/") || url.pathname === "/sync") return;
  else if (request.mode === "navigate") event.respondWith(networkThenIndex(request));
  else event.respondWith(keptThenNetwork(request));
});

async function precache(): Promise<Precache> {
  const response = await fetch("/precache.json", { cache: "no-store" });
  return (await response.json()) as Precache;
}

async function fetchAhead(): Promise<void> {
  const { version, files } = await precache();
  const cache = await caches.open(FILES_PREFIX + version);
  await cache.addAll(["/", ...files]);
}

async function dropOldFiles(): Promise<void> {
  const { version } = await precache().catch(() => ({ version: null }));
  if (version === null) return;
  const names = await caches.keys();
  const old = names.filter((name) => name.startsWith(FILES_PREFIX) && name !== FILES_PREFIX + version);
  await Promise.all(old.map((name) => caches.delete(name)));
}

/** The page that brought this worker has its lists already, past the cache: they are asked for once more. */
async function keepLists(): Promise<void> {
  const cache = await caches.open(LISTS);
  await cache.addAll(KEPT_LISTS).catch(() => undefined);
}

async function networkThenKept(request: Request): Promise<Response> {
  const cache = await caches.open(LISTS);
  try {
    const response = await fetch(request);
    if (response.ok) await cache.put(request, response.clone());
    return response;
  } catch (cause) {
    const kept = await cache.match(request);
    if (kept !== undefined) return kept;
    throw cause;
  }
}

async function networkThenIndex(request: Request): Promise<Response> {
  try {
    return await fetch(request);
  } catch (cause) {
    const kept = await caches.match("/");
    if (kept !== undefined) return kept;
    throw cause;
  }
}

async function keptThenNetwork(request: Request): Promise<Response> {
  return (await caches.match(request, { ignoreSearch: true })) ?? fetch(request);
}

export {};
