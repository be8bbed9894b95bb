// Serves the app without a network. The list below is written by the build:
// every file of one version with the SHA-256 of its bytes. A version is kept
// whole or not at all, and this file itself is never kept.
"use strict";
const VERSION = "@version@";
const FILES = "@files@";

const SCOPE = self.registration.scope;
const BASE = new URL(SCOPE).pathname;
const FAMILY = "plainleaf " + BASE + " ";
const CACHE = FAMILY + VERSION;
const EXACT = { ignoreSearch: true, ignoreVary: true };

const address = (path) => new URL(path, SCOPE).href;

async function digest(bytes) {
  const sum = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  return Array.from(sum, (b) => b.toString(16).padStart(2, "0")).join("");
}

// keep stores one file after checking that its bytes are the ones listed.
async function keep(cache, path) {
  const url = address(path);
  const named = path.includes(FILES[path].slice(0, 16));
  // A file named by its digest may be at hand from an earlier version.
  let response = named ? await caches.match(url, EXACT) : undefined;
  if (!response) response = await fetch(url, { cache: "reload", credentials: "same-origin" });
  if (!response.ok) throw new Error(path + ": status " + response.status);
  const bytes = await response.arrayBuffer();
  if (await digest(bytes) !== FILES[path]) throw new Error(path + ": not the listed bytes");
  const headers = new Headers(response.headers);
  for (const name of ["Content-Encoding", "Content-Length", "Vary"]) headers.delete(name);
  // A new response, since one that followed a redirect cannot answer a navigation.
  await cache.put(url, new Response(bytes, { headers }));
}

async function fill() {
  const cache = await caches.open(CACHE);
  const results = await Promise.allSettled(Object.keys(FILES).map((path) => keep(cache, path)));
  const miss = results.find((r) => r.status === "rejected");
  if (miss) throw miss.reason;
}

async function complete() {
  if (!await caches.has(CACHE)) return false;
  const cache = await caches.open(CACHE);
  const have = new Set((await cache.keys()).map((r) => r.url));
  return Object.keys(FILES).every((path) => have.has(address(path)));
}

self.addEventListener("install", (event) => {
  event.waitUntil(fill().catch(async (why) => {
    await caches.delete(CACHE);
    throw why;
  }));
});

self.addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    for (const name of await caches.keys()) {
      if (name.startsWith(FAMILY) && name !== CACHE) await caches.delete(name);
    }
    await self.clients.claim();
  })());
});

self.addEventListener("message", (event) => {
  if (event.data === "activate") self.skipWaiting();
  if (event.data === "complete?") {
    const port = event.ports[0];
    // A browser may have thrown files away since; fetch them again if it can.
    event.waitUntil(complete()
      .then((yes) => yes || fill().then(complete))
      .catch(() => false)
      .then((yes) => port.postMessage(yes)));
  }
});

const held = (path) => caches.match(address(path), { cacheName: CACHE, ...EXACT });

async function answer(request, path) {
  let response = await held(path);
  if (!response && request.mode === "navigate") {
    const start = path.split("/", 1)[0] + "/";
    response = await held(path + "/")
      || (FILES[start] && await held(start))
      || await held("");
  }
  return response || fetch(request);
}

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET") return;
  if (url.origin !== self.location.origin || !url.pathname.startsWith(BASE)) return;
  if (url.pathname === self.location.pathname) return;
  event.respondWith(answer(event.request, url.pathname.slice(BASE.length)));
});
