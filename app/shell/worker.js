// Serves the app without a network. The list below is written by the build:
// every file of one version with the SHA-256 of its bytes. A version is kept
// whole or not at all, and this file itself is never kept. No byte leaves the
// cache unless its digest is the listed one; a wrong one is fetched again.
"use strict";
const VERSION = "@version@";
const FILES = "@files@";
// The page, by language, that says a page is not at hand and cannot be fetched.
const SORRY = "@sorry@";

const SCOPE = self.registration.scope;
const BASE = new URL(SCOPE).pathname;
const FAMILY = "plainleaf " + BASE + " ";
const CACHE = FAMILY + VERSION;
const EXACT = { ignoreSearch: true, ignoreVary: true };

const address = (path) => new URL(path, SCOPE).href;
const listed = (path) => Object.hasOwn(FILES, path);

async function digest(bytes) {
  const sum = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  return Array.from(sum, (b) => b.toString(16).padStart(2, "0")).join("");
}

// sound returns a response whose bytes are the listed ones, undefined otherwise.
// It is a new response, since one that followed a redirect cannot answer a navigation.
async function sound(response, path) {
  if (!response || !response.ok) return undefined;
  const bytes = await response.arrayBuffer();
  if (await digest(bytes) !== FILES[path]) return undefined;
  const headers = new Headers(response.headers);
  for (const name of ["Content-Encoding", "Content-Length", "Vary"]) headers.delete(name);
  return new Response(bytes, { headers });
}

// held returns a file from the cache, undefined when its bytes are wrong. It is the
// kept response itself: a browser keeps what it compiled beside that one only.
const kept = (path) => caches.match(address(path), { cacheName: CACHE, ...EXACT });
const held = async (path) => await sound(await kept(path), path) && kept(path);

// get fetches a file, stores it and returns it.
async function get(path) {
  const url = address(path);
  const named = path.includes(FILES[path].slice(0, 16));
  // A file named by its digest may be at hand from an earlier version.
  let response = named ? await sound(await caches.match(url, EXACT), path) : undefined;
  if (!response) response = await sound(await fetch(url, { cache: "reload", credentials: "same-origin" }), path);
  if (!response) throw new Error(path + ": missing, or not the listed bytes");
  await (await caches.open(CACHE)).put(url, response.clone());
  return response;
}

// fill makes the cache whole.
async function fill() {
  const results = await Promise.allSettled(Object.keys(FILES).map(async (path) => await held(path) || get(path)));
  const miss = results.find((r) => r.status === "rejected");
  if (miss) throw miss.reason;
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
    event.waitUntil(fill().then(() => true, () => false).then((yes) => port.postMessage(yes)));
  }
});

// page is the listed page that an address leads to: its own, or the start page of
// its language, or the top.
function page(path) {
  const start = path.split("/", 1)[0] + "/";
  return [path, path + "/", start].find(listed) || "";
}

async function answer(request, url) {
  const path = url.pathname.slice(BASE.length);
  const visit = request.mode === "navigate";
  if (visit && page(path) !== path) return Response.redirect(address(page(path)) + url.search);
  const response = listed(path) && (await held(path) || await get(path).catch(() => undefined));
  if (response) return response;
  // The site may have gone on to another version, whose pages bring their own files.
  if (!visit) return fetch(request);
  return fetch(request).catch(() => {
    const tag = path.split("/", 1)[0];
    return new Response(SORRY[Object.hasOwn(SORRY, tag) ? tag : ""], { status: 503, headers: { "Content-Type": "text/html; charset=utf-8" } });
  });
}

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET") return;
  if (url.origin !== self.location.origin || !url.pathname.startsWith(BASE)) return;
  if (url.pathname === self.location.pathname) return;
  event.respondWith(answer(event.request, url));
});
