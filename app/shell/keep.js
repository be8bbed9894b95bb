// Keeps an open case on this device so that a reload or a crash loses nothing,
// and keeps cases under a passphrase. All of it is encrypted with the browser's
// own WebCrypto; what is written in the clear are the practice's settings and,
// of a kept case, only its id, date, number of teeth and the day it expires.
//
// The draft of an open case is AES-256-GCM under a key that cannot be read out
// and lives in the same database; clearing deletes both. A kept case has no such
// draft: its changes go into its envelope, so it comes back only with its passphrase.
//
// The envelope of a kept case, which is also the encrypted file, is JSON. All
// binary values are base64. To open one with standard tools:
//   1. secret: the passphrase in Unicode NFC, or the recovery key as 32 capital
//      letters and digits without spaces, as UTF-8.
//   2. k1 = PBKDF2-HMAC-SHA-256(secret, lock.salt, lock.iterations, 32 bytes),
//      with the lock of that kind in "locks".
//   3. k2 = AES-256-GCM-decrypt(k1, lock.iv, lock.key, additional data
//      "plainleaf-kept 1 ID KIND"), the last 16 bytes of lock.key being the tag.
//   4. text = AES-256-GCM-decrypt(k2, iv, data, additional data
//      "plainleaf-kept 1 ID"), UTF-8 JSON; its member "case" is a case file.
//
// "expires" is the last day on which the device still has the case, "days" after
// "date", the day of its last change.
//
// The store "setting" holds what the practice set, under "practice", and the keys
// that records are sealed and checked with, under "keys". A private key is in it
// only as its file, wrapped under its own passphrase by the program.
//
// Every function but touch, idleAfter, zone and offset answers a promise of JSON text; why
// says in one word what could not be done.
(() => {
  "use strict";
  const BASE = document.documentElement.dataset.base;
  const NAME = "plainleaf " + BASE;
  const FORMAT = "plainleaf-kept", VERSION = 1;
  const ITERATIONS = 600000; // OWASP's least for PBKDF2-HMAC-SHA-256
  const PAUSE = 250; // ms from an edit to its writing
  const SHARE = 1000; // ms to wait for another window to let go
  const FREE = 6000; // ms to wait for the browser when no window says it has it
  const LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ234567"; // base 32 of RFC 4648

  const bytes = (text) => new TextEncoder().encode(text);
  const random = (n) => crypto.getRandomValues(new Uint8Array(n));
  const to64 = (buffer) => {
    let s = "";
    for (const b of new Uint8Array(buffer)) s += String.fromCharCode(b);
    return btoa(s);
  };
  const from64 = (text) => Uint8Array.from(atob(text), (c) => c.charCodeAt(0));

  // A refusal with its one word.
  const no = (why) => Object.assign(new Error(why), { why });
  const answer = (f) => async (...args) => {
    try {
      return JSON.stringify({ ok: true, ...await f(...args) });
    } catch (e) {
      return JSON.stringify({ ok: false, why: e && e.why || "storage" });
    }
  };

  // The database: "draft" holds one key and one text, or the id of the kept case
  // that is open; "kept" the envelopes by id; "setting" what the practice set.
  let opened;
  const database = () => opened ||= new Promise((done, fail) => {
    const ask = indexedDB.open(NAME, 1);
    ask.onupgradeneeded = () => {
      for (const store of ["draft", "kept", "setting"]) ask.result.createObjectStore(store);
    };
    ask.onsuccess = () => {
      ask.result.onversionchange = () => { ask.result.close(); opened = undefined; };
      done(ask.result);
    };
    ask.onerror = ask.onblocked = () => { opened = undefined; fail(no("storage")); };
  });
  // within runs work on the stores in one transaction and answers what work did
  // once the transaction is on disk.
  const within = async (mode, stores, work) => {
    const db = await database();
    return new Promise((done, fail) => {
      const t = db.transaction(stores, mode, { durability: "strict" });
      const asked = work(...stores.map((s) => t.objectStore(s)));
      t.oncomplete = () => done(asked && asked.result);
      t.onerror = t.onabort = () => fail(no("storage"));
    });
  };
  const read = (store, key) => within("readonly", [store], (s) => s.get(key));

  const encrypt = async (key, extra, data) => {
    const iv = random(12);
    const out = await crypto.subtle.encrypt({ name: "AES-GCM", iv, additionalData: bytes(extra) }, key, data);
    return { iv, data: new Uint8Array(out) };
  };
  const decrypt = (key, extra, box) =>
    crypto.subtle.decrypt({ name: "AES-GCM", iv: box.iv, additionalData: bytes(extra) }, key, box.data);
  const text = (buffer) => new TextDecoder("utf-8", { fatal: true }).decode(buffer);

  // Which window the draft belongs to.
  let state = "none"; // own, elsewhere, or none: nothing can be kept here
  let letGo = null; // ends this window's hold on the draft
  let current = null; // the kept case that is open: {envelope, key}
  let pull = () => "", tell = () => {};
  const channel = window.BroadcastChannel ? new BroadcastChannel(NAME) : null;

  // hold tries to get the draft for this window. how: "ask" waits until another
  // window answers that it has it, "wait" gives it time to let go, "steal" takes
  // it from one that does not answer.
  const hold = (how) => new Promise((done) => {
    const stop = new AbortController();
    const options = how === "steal" ? { steal: true } : { signal: stop.signal };
    let open = true, mine = false;
    const over = (got) => {
      if (!open) return;
      open = false;
      clearTimeout(timer);
      channel.removeEventListener("message", heard);
      done(got);
    };
    // The answer does not wait for the browser: one that is asked to forget a
    // request it has hardly taken in may keep it in its line for ever.
    const giveUp = () => {
      stop.abort();
      over(false);
    };
    const timer = setTimeout(giveUp, how === "ask" ? FREE : SHARE);
    const heard = (e) => { if (how === "ask" && e.data === "here") giveUp(); };
    channel.addEventListener("message", heard);
    navigator.locks.request(NAME, options, () => {
      if (!open) return null; // let go of what comes too late
      state = "own";
      mine = true;
      over(true);
      return new Promise((free) => { letGo = free; });
    }).catch(() => {
      over(false);
      if (mine && letGo) lost(); // another window took it
    });
    channel.postMessage(how === "ask" ? "who" : "give");
  });
  function lost() {
    clearTimeout(waiting);
    waiting = 0;
    letGo = null;
    current = null;
    state = "elsewhere";
    tell("lost", "");
  }
  if (channel) channel.addEventListener("message", async (e) => {
    if (e.data === "who" && state === "own") channel.postMessage("here");
    if (e.data === "give" && state === "own" && letGo) {
      await flush();
      const free = letGo;
      lost();
      free();
    }
    if (e.data === "settings") tell("settings", await read("setting", "practice").catch(() => "") || "");
    if (e.data === "keys") tell("keys", await read("setting", "keys").catch(() => "") || "");
    if (e.data === "list") tell("list", JSON.stringify(await list().catch(() => [])));
  });

  // The draft.
  let waiting = 0, writing = null, again = false;
  const DRAFT = "plainleaf-draft 1";
  async function draftKey() {
    const key = await read("draft", "key");
    if (key) return key;
    const made = await crypto.subtle.generateKey({ name: "AES-GCM", length: 256 }, false, ["encrypt", "decrypt"]);
    await within("readwrite", ["draft"], (s) => s.put(made, "key"));
    return made;
  }
  async function write() {
    clearTimeout(waiting);
    waiting = 0;
    if (state !== "own") return;
    const now = current;
    const given = pull(now ? now.envelope.id : "");
    if (given === "") {
      if (!now) await forget();
      return;
    }
    // What was cleared, opened or let go meanwhile is not written after all.
    const still = () => state === "own" && current === now && emptied === epoch;
    if (now) {
      const { meta, text } = JSON.parse(given);
      const envelope = await fill(now.envelope, now.key, meta, text);
      if (!still()) return;
      now.envelope = envelope;
      await within("readwrite", ["kept", "draft"], (k, d) => {
        k.put(envelope, envelope.id);
        d.delete("key");
        d.delete("text");
        d.put(envelope.id, "open");
      });
      return;
    }
    const box = await encrypt(await draftKey(), DRAFT, bytes(given));
    if (!still()) return;
    await within("readwrite", ["draft"], (d) => {
      d.delete("open");
      d.put(box, "text");
    });
  }
  // Writing happens one at a time; an edit during one causes one more.
  let emptied = 0, epoch = 0;
  function flush() {
    if (writing) {
      again = true;
      return writing;
    }
    emptied = epoch;
    writing = write().then(() => tell("kept", ""), () => tell("unkept", "")).then(() => {
      writing = null;
      if (again) {
        again = false;
        return flush();
      }
    });
    return writing;
  }
  const forget = () => within("readwrite", ["draft"], (s) => s.clear());
  function touch() {
    if (state === "own" && !waiting) waiting = setTimeout(flush, PAUSE);
  }
  const hurry = () => { if (waiting) flush(); };
  window.addEventListener("pagehide", hurry);
  document.addEventListener("visibilitychange", () => { if (document.hidden) hurry(); });

  // restore answers the draft, or which kept case was open.
  async function restore() {
    const id = await read("draft", "open");
    const envelope = id && await read("kept", id);
    if (envelope) return { draft: "", locked: shown(envelope) };
    const box = await read("draft", "text");
    const key = await read("draft", "key");
    if (box && key) {
      try {
        return { draft: text(await decrypt(key, DRAFT, box)) };
      } catch { /* told below */ }
    }
    await forget();
    return { draft: "", unreadable: !!box };
  }

  async function start(give, hear, today) {
    pull = give;
    tell = hear;
    if (!window.isSecureContext || !window.crypto || !crypto.subtle || !navigator.locks || !channel) throw no("insecure");
    if (!window.indexedDB) throw no("storage");
    const settings = await read("setting", "practice") || "";
    const keys = await read("setting", "keys") || "";
    const gone = await expire(today);
    if (!await hold("ask")) {
      state = "elsewhere";
      return { state, settings, keys, gone, list: await list() };
    }
    return { state, settings, keys, gone, ...await restore(), list: await list() };
  }
  async function take() {
    if (!await hold("wait") && !await hold("steal")) throw no("elsewhere");
    return { state, ...await restore(), list: await list() };
  }
  // clear destroys the draft with its key. A kept case stays in the list, shut.
  async function clear() {
    epoch++;
    clearTimeout(waiting);
    waiting = 0;
    again = false;
    current = null;
    if (writing) await writing;
    if (state === "own") await forget();
    return {};
  }

  // Kept cases.
  const shown = (e) => ({ id: e.id, date: e.date, teeth: e.teeth, expires: e.expires });
  const list = async () =>
    (await within("readonly", ["kept"], (s) => s.getAll())).map(shown).sort((a, b) => a.date < b.date ? 1 : -1);
  const changed = async () => {
    channel.postMessage("list");
    return { list: await list() };
  };
  // expire deletes what has passed its day. Days are compared as text.
  async function expire(today) {
    const gone = (await list()).filter((e) => e.expires < today);
    for (const e of gone) await within("readwrite", ["kept"], (s) => s.delete(e.id));
    return gone.length;
  }

  async function phraseKey(secret, salt, iterations) {
    const raw = await crypto.subtle.importKey("raw", bytes(secret), "PBKDF2", false, ["deriveKey"]);
    return crypto.subtle.deriveKey({ name: "PBKDF2", hash: "SHA-256", salt, iterations }, raw,
      { name: "AES-GCM", length: 256 }, false, ["encrypt", "decrypt"]);
  }
  const lockExtra = (id, kind) => `${FORMAT} ${VERSION} ${id} ${kind}`;
  async function lock(id, kind, secret, dataKey) {
    const salt = random(16);
    const box = await encrypt(await phraseKey(secret, salt, ITERATIONS), lockExtra(id, kind), dataKey);
    return { kind, kdf: "PBKDF2-HMAC-SHA-256", iterations: ITERATIONS, salt: to64(salt), iv: to64(box.iv), key: to64(box.data) };
  }
  const letters = (n) => Array.from(random(n), (b) => LETTERS[b % 32]).join("");
  const plainKey = (typed) => typed.toUpperCase().replace(/[\s\u2010-\u2015-]/g, "").replace(/0/g, "O").replace(/1/g, "I").replace(/8/g, "B");

  // fill puts a text into an envelope under its data key.
  async function fill(envelope, key, meta, what) {
    const { date, teeth, days } = { ...envelope, ...meta };
    const expires = new Date(Date.parse(date) + days * 86400000).toISOString().slice(0, 10);
    const box = await encrypt(key, `${FORMAT} ${VERSION} ${envelope.id}`, bytes(what));
    return { ...envelope, date, teeth, days, expires, iv: to64(box.iv), data: to64(box.data) };
  }
  async function seal(meta, passphrase, what) {
    const id = letters(4) + "-" + letters(4);
    const raw = random(32);
    const recovery = letters(32); // 160 random bits
    const key = await crypto.subtle.importKey("raw", raw, "AES-GCM", false, ["encrypt", "decrypt"]);
    const locks = [await lock(id, "passphrase", passphrase.normalize("NFC"), raw), await lock(id, "recovery", recovery, raw)];
    raw.fill(0);
    const envelope = await fill({ format: FORMAT, version: VERSION, id, cipher: "AES-256-GCM", locks }, key, meta, what);
    return { envelope, key, recovery };
  }
  // sane refuses what is not an envelope, or one made to keep the device busy.
  function sane(e) {
    const good = e && e.format === FORMAT && e.version === VERSION && /^[A-Z2-7]{4}-[A-Z2-7]{4}$/.test(e.id)
      && typeof e.iv === "string" && typeof e.data === "string" && Array.isArray(e.locks) && e.locks.length <= 4
      && e.locks.every((l) => l && typeof l.salt === "string" && typeof l.iv === "string" && typeof l.key === "string"
        && Number.isInteger(l.iterations) && l.iterations >= 1 && l.iterations <= 10000000);
    if (!good) throw no("unreadable");
  }
  async function dataKey(envelope, typed) {
    const recovery = plainKey(typed);
    for (const l of envelope.locks) {
      const secret = l.kind === "recovery" ? recovery : typed.normalize("NFC");
      if (l.kind === "recovery" && !/^[A-Z2-7]{32}$/.test(secret)) continue;
      try {
        const k = await phraseKey(secret, from64(l.salt), l.iterations);
        const raw = new Uint8Array(await decrypt(k, lockExtra(envelope.id, l.kind), { iv: from64(l.iv), data: from64(l.key) }));
        const key = await crypto.subtle.importKey("raw", raw, "AES-GCM", false, ["encrypt", "decrypt"]);
        raw.fill(0);
        return key;
      } catch { /* not this one */ }
    }
    throw no("wrong");
  }
  async function reveal(envelope, key) {
    try {
      return text(await decrypt(key, `${FORMAT} ${VERSION} ${envelope.id}`, { iv: from64(envelope.iv), data: from64(envelope.data) }));
    } catch {
      throw no("unreadable");
    }
  }

  // keep puts the open case among the kept ones, as a new one. meta is JSON of
  // its date, its number of teeth and for how many days it is kept.
  async function keep(meta, passphrase, what) {
    if (state !== "own") throw no("elsewhere");
    const made = await seal(JSON.parse(meta), passphrase, what);
    await within("readwrite", ["kept"], (s) => s.put(made.envelope, made.envelope.id));
    epoch++;
    current = { envelope: made.envelope, key: made.key };
    await flush();
    return { recovery: made.recovery, id: made.envelope.id, ...await changed() };
  }
  // file answers an encrypted file: of the kept case that is open when there is
  // no passphrase, else under that passphrase.
  async function file(meta, passphrase, what) {
    if (passphrase === "" && current) {
      return { text: JSON.stringify(await fill(current.envelope, current.key, JSON.parse(meta), what), null, 1), id: current.envelope.id };
    }
    const made = await seal(JSON.parse(meta), passphrase, what);
    return { text: JSON.stringify(made.envelope, null, 1), recovery: made.recovery, id: made.envelope.id };
  }
  async function open(id, typed) {
    const envelope = await read("kept", id);
    if (!envelope) throw no("gone");
    sane(envelope);
    const key = await dataKey(envelope, typed);
    const what = await reveal(envelope, key);
    if (state !== "own") throw no("elsewhere");
    epoch++;
    current = { envelope, key };
    return { text: what, id };
  }
  async function openFile(source, typed) {
    let envelope;
    try { envelope = JSON.parse(source); } catch { throw no("unreadable"); }
    sane(envelope);
    return { text: await reveal(envelope, await dataKey(envelope, typed)), id: envelope.id };
  }
  // check asks for the passphrase of the kept case that is open.
  async function check(typed) {
    if (current) await dataKey(current.envelope, typed);
    return {};
  }
  async function drop(id) {
    // First no longer the open one, or a write on its way would bring it back.
    if (current && current.envelope.id === id) await loose();
    if (writing) await writing;
    await within("readwrite", ["kept"], (s) => s.delete(id));
    await flush();
    return changed();
  }
  // loose makes the open case one that is not kept; shut leaves the kept case
  // that was open where it is.
  async function loose() {
    epoch++;
    current = null;
    return {};
  }
  async function shut() {
    await forget();
    return {};
  }

  // Only the newest settings are worth writing while others are on their way.
  let newest, putting = null;
  async function put() {
    while (newest !== undefined) {
      const settings = newest;
      newest = undefined;
      await within("readwrite", ["setting"], (s) => s.put(settings, "practice"));
    }
    channel.postMessage("settings");
  }
  async function set(settings) {
    newest = settings;
    putting ||= put().finally(() => { putting = null; });
    await putting;
    return {};
  }

  // The keys; a change is rare and waited for.
  async function setKeys(keys) {
    await within("readwrite", ["setting"], (s) => s.put(keys, "keys"));
    channel.postMessage("keys");
    return {};
  }

  // Idle time. The clock goes on while the device sleeps.
  let limit = 0, last = Date.now();
  const stir = () => { if (!late()) last = Date.now(); };
  const late = () => limit > 0 && Date.now() - last >= limit;
  const look = () => {
    if (late()) {
      last = Date.now();
      tell("idle", "");
    }
  };
  for (const name of ["pointerdown", "keydown", "input", "wheel", "touchmove", "scroll"]) {
    window.addEventListener(name, (e) => {
      // A touch that comes after the time is over opens nothing that was hidden.
      if (late()) {
        e.preventDefault();
        e.stopImmediatePropagation();
        look();
      } else stir();
    }, { capture: true, passive: false });
  }
  document.addEventListener("visibilitychange", look);
  let ticking = 0;
  function idleAfter(milliseconds) {
    limit = milliseconds;
    last = Date.now();
    clearInterval(ticking);
    if (limit > 0) ticking = setInterval(look, Math.min(limit, 5000));
  }

  // zone reports whether the browser knows a time zone by this name.
  const zone = (name) => {
    try {
      new Intl.DateTimeFormat("en", { timeZone: name });
      return true;
    } catch {
      return false;
    }
  };

  // offset answers how many seconds the clocks of a time zone are ahead of UTC at
  // a Unix time; null for a zone the browser does not know.
  const clocks = new Map();
  const offset = (name, unix) => {
    try {
      if (!clocks.has(name)) {
        clocks.set(name, new Intl.DateTimeFormat("en-US", {
          timeZone: name, calendar: "gregory", numberingSystem: "latn", hourCycle: "h23",
          year: "numeric", month: "numeric", day: "numeric", hour: "numeric", minute: "numeric", second: "numeric",
        }));
      }
      const part = {};
      for (const p of clocks.get(name).formatToParts(unix * 1000)) part[p.type] = Number(p.value);
      return Date.UTC(part.year, part.month - 1, part.day, part.hour, part.minute, part.second) / 1000 - unix;
    } catch {
      return null;
    }
  };

  // The aftercare of one paper, which a patient may keep on a phone: encrypted
  // under a key that cannot be read out; taking it off deletes both.
  const PAPER = "plainleaf-paper 1";
  async function keepPaper(code) {
    const key = await crypto.subtle.generateKey({ name: "AES-GCM", length: 256 }, false, ["encrypt", "decrypt"]);
    const box = await encrypt(key, PAPER, bytes(code));
    await within("readwrite", ["setting"], (s) => {
      s.put(key, "paper key");
      s.put(box, "paper");
    });
    return {};
  }
  async function paper() {
    const box = await read("setting", "paper"), key = await read("setting", "paper key");
    return { text: box && key ? text(await decrypt(key, PAPER, box)) : "" };
  }
  async function dropPaper() {
    await within("readwrite", ["setting"], (s) => {
      s.delete("paper key");
      s.delete("paper");
    });
    return {};
  }

  const api = { touch, idleAfter, zone, offset };
  for (const f of [keepPaper, paper, dropPaper, start, take, clear, keep, file, open, openFile, check, drop, loose, shut, set, setKeys]) api[f.name] = answer(f);
  api.flush = answer(async () => { await flush(); await putting; return {}; });
  window.plainleafKeep = Object.freeze(api);
})();
