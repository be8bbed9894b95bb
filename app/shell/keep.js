// Keeps an open case on this device so that a reload or a crash loses nothing,
// and keeps cases under a passphrase. All of it is encrypted with the browser's
// own WebCrypto; what is written in the clear are the practice's settings and,
// of a kept case, only its id, date, number of teeth, and for how long it is kept.
//
// The draft of an open case is AES-256-GCM under a key of its own, in a file that
// keys.js can overwrite: clearing, keeping and closing do so. A kept case has no
// such draft: its changes go into its envelope, so it comes back only with its
// passphrase. In a browser without such files an open case is in memory only.
//
// The envelope of a kept case, which is also the encrypted file, is JSON; its form
// is content/schema/kept.json. All binary values are base64, and the last 16 bytes
// of what is encrypted are the tag. To open one with standard tools:
//   1. secret: the passphrase in Unicode NFC, or the recovery key as 32 capital
//      letters and digits without spaces, as UTF-8.
//   2. k1 = PBKDF2-HMAC-SHA-256(secret, lock.salt, lock.iterations, 32 bytes),
//      with the lock of that kind in "locks".
//   3. k2 = AES-256-GCM-decrypt(k1, lock.iv, lock.key, additional data lock.extra).
//   4. header = "plainleaf-kept 2 ID DATE DAYS EXPIRES TEETH", of the members in the
//      clear: none of them can be changed and the rest still opens.
//   5. text = AES-256-GCM-decrypt(k2, iv, data, additional data header + " case"),
//      UTF-8 JSON; its member "case" is a case file.
//   6. AES-256-GCM-decrypt(k2, about.iv, about.data, additional data header +
//      " about") is JSON of the label, the stage and the next step.
// In version 1, which opens for ever, there is no "about", the additional data of a
// lock is "plainleaf-kept 1 ID KIND", that of the text "plainleaf-kept 1 ID". A case
// of version 1 is written as version 2 at its next change and keeps its locks.
//
// "expires" is the last day on which the device still has the case, "days" after
// "date", the day of its last change.
//
// One key of the tablet is in a file beside that of the draft. A row of the index has
// "tablet": what "about" holds, encrypted under that key with the additional data
// header + " tablet", so that the list can show it: the label is as safe as the tablet
// is. Deleting a kept case changes the key and overwrites the old one. No case opens
// with it. An envelope may have one more lock, of
// kind "tablet", whose "key" is k2 encrypted under a key of the tablet; nothing
// makes or opens one yet, and files have none.
//
// The store "index" has what the list shows, one small row for each envelope and
// written with it, so that a start reads no envelope. It is made anew from the
// envelopes where the two do not agree. A database of version 1 has no index; only
// the window that has the draft adds it, since a window with an earlier program can
// write nothing from then on.
//
// The store "setting" holds what the practice set, under "practice", and the keys
// that records are sealed and checked with, under "keys". A private key is in it
// only as its file, wrapped under its own passphrase by the program. The draft and
// the paper of a patient are there too, under "draft" and "paper": {key, iv, data},
// with the name of the file that has the key. Version 1 had the draft in the store
// "draft" and its key beside it; such a draft still opens, and is written anew.
//
// The file "marker" says how many cases are kept, whether there is a draft and on which
// day the device was last used, and localStorage says it too: a browser that lost the
// database is found out by that.
//
// After one refused writing nothing is written until "resume": a browser on a full disk
// may lose what it had.
//
// Every function but touch, idleAfter, zone and offset answers a promise of JSON text; why
// says in one word what could not be done.
(() => {
  "use strict";
  const BASE = document.documentElement.dataset.base;
  const NAME = "plainleaf " + BASE;
  const FORMAT = "plainleaf-kept", VERSION = 2, CIPHER = "AES-256-GCM";
  const ITERATIONS = 600000; // OWASP's least for PBKDF2-HMAC-SHA-256
  const PAUSE = 250; // ms from an edit to its writing
  const SHARE = 1000; // ms to wait for another window to let go
  const FREE = 6000; // ms to wait for the browser when no window says it has it
  const SILENCE = 20000; // ms to wait for the database or a key file
  const LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ234567"; // base 32 of RFC 4648

  const bytes = (text) => new TextEncoder().encode(text);
  const GCM = { name: "AES-GCM", length: 256 };
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
  // that is open; "kept" the envelopes by id, "index" their rows; "setting" what the
  // practice set. Without a version it opens as it is.
  const BASE_VERSION = 2;
  let opened;
  const connect = (version) => new Promise((done, fail) => {
    const ask = indexedDB.open(NAME, version);
    ask.onupgradeneeded = () => {
      for (const store of ["draft", "kept", "setting", "index"]) {
        if (!ask.result.objectStoreNames.contains(store)) ask.result.createObjectStore(store);
      }
    };
    ask.onsuccess = () => {
      ask.result.onversionchange = () => { ask.result.close(); opened = undefined; };
      done(ask.result);
    };
    for (const [event, why] of [["error", "storage"], ["blocked", "blocked"]]) {
      ask["on" + event] = () => { opened = undefined; fail(no(why)); };
    }
  });
  const database = () => opened ||= connect();
  const inTime = (promise) => Promise.race([promise,
    new Promise((_, fail) => setTimeout(() => fail(no("silent")), SILENCE))]);
  // upgrade adds what the database lacks. Where the disk has no room for that, all
  // goes on without; behind a window that does not let go, nothing can be read.
  async function upgrade() {
    const db = await database();
    if (db.version >= BASE_VERSION) return;
    db.close();
    await (opened = connect(BASE_VERSION)).catch((e) => { if (e.why === "blocked") throw e; });
  }
  // shelf names the stores of the kept cases that the database has.
  const shelf = async () => (await database()).objectStoreNames.contains("index") ? ["kept", "index"] : ["kept"];
  // within runs work on the stores in one transaction and answers what work did
  // once the transaction is on disk.
  let halted = false;
  const within = async (mode, stores, work) => {
    if (halted && mode !== "readonly") throw no("full");
    const db = await database();
    return new Promise((done, fail) => {
      const refused = () => {
        halted ||= mode !== "readonly";
        fail(no(mode === "readonly" ? "storage" : "full"));
      };
      try {
        const t = db.transaction(stores, mode, { durability: "strict" });
        const asked = work(...stores.map((s) => t.objectStore(s)));
        t.oncomplete = () => done(asked && asked.result);
        t.onerror = t.onabort = refused;
      } catch {
        refused();
      }
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
  const pack = (box) => ({ iv: to64(box.iv), data: to64(box.data) });
  const unpack = (box) => ({ iv: from64(box.iv), data: from64(box.data) });

  // The keys in files. asks are the questions that wait for an answer; keys is null
  // where the browser has no such files.
  const asks = new Map();
  let keys = null, asked = 0;
  function ask(op, ...args) {
    if (!keys) return Promise.reject(no("memory"));
    return new Promise((done, fail) => {
      const id = ++asked;
      asks.set(id, { done, fail });
      setTimeout(() => { if (asks.delete(id)) fail(no("storage")); }, SILENCE);
      keys.postMessage({ id, op, args });
    });
  }
  async function findKeys() {
    const path = document.documentElement.dataset.keys;
    if (!path || !navigator.storage || !navigator.storage.getDirectory) return;
    try {
      keys = new Worker(path);
      keys.onmessage = ({ data: { id, value, why } }) => {
        const q = asks.get(id);
        if (!q) return;
        asks.delete(id);
        if (why) console.warn("key file:", why);
        if (why) q.fail(no("storage")); else q.done(value);
      };
      keys.onerror = () => { for (const [id, q] of asks) { asks.delete(id); q.fail(no("storage")); } };
      const file = await ask("read", "marker");
      recall(file);
      if (!file) await ask("write", "marker", bytes(JSON.stringify(marker)));
    } catch (e) {
      console.warn("no key files:", e);
      if (keys) keys.terminate();
      keys = null;
    }
  }
  async function imported(raw) {
    const key = await crypto.subtle.importKey("raw", raw, GCM, false, ["encrypt", "decrypt"]);
    raw.fill(0);
    return key;
  }
  // freshKey makes a key in a file of a new name.
  async function freshKey(kind) {
    const name = kind + "-" + letters(8);
    return { name, key: await imported(await ask("write", name)) };
  }
  // fileKey answers the key of a file, or null.
  async function fileKey(name) {
    const raw = await ask("read", name);
    return raw && raw.length === 32 ? imported(raw) : null;
  }

  // The marker: how many cases are kept, whether there is a draft, and the last day the
  // device was used. It counts a case less before that goes, and one more after it is
  // written, so that a stop between the two reports no loss.
  const MARK = "plainleaf marker " + BASE, NOTHING = { kept: 0, draft: false, day: "" };
  let marker;
  function recall(file) {
    try {
      marker = { ...NOTHING, ...JSON.parse(file ? text(file) : localStorage.getItem(MARK)) };
    } catch {
      marker = { ...NOTHING };
    }
  }
  async function mark(change) {
    const before = JSON.stringify(marker);
    marker = { ...marker, ...change };
    const now = JSON.stringify(marker);
    if (now === before) return;
    try { localStorage.setItem(MARK, now); } catch { /* the file has it */ }
    // Of one length, so that a full disk has room for it; a key is wiped without it too.
    if (keys) await ask("write", "marker", bytes(now.padEnd(96))).catch(() => {});
  }

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
    current = cleared = draftKey = null;
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

  // The draft. Its key is made with the first writing of a case, and again when
  // another case takes its place.
  let waiting = 0, writing = null, again = false;
  let draftKey = null; // {name, key}
  let cleared = null; // the kept case that was open when the screen was cleared
  const DRAFT = "plainleaf-draft 1";
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
      const envelope = await labeled(await fill(now.envelope, now.key, meta, text), meta);
      if (!still()) return;
      now.envelope = envelope;
      await within("readwrite", ["draft", "setting", ...await shelf()], (d, s, ...stores) => into(envelope, d, s, ...stores));
      if (marker.draft) await unkey();
      return;
    }
    if (!keys) return; // in memory only; the screen says so
    if (halted) throw no("full");
    const fresh = !draftKey;
    const mine = draftKey || await freshKey("draft");
    const box = await encrypt(mine.key, DRAFT, bytes(given));
    if (!still()) return;
    draftKey = mine;
    await within("readwrite", ["draft", "setting"], (d, s) => {
      d.clear();
      s.put({ key: mine.name, ...box }, "draft");
    });
    if (fresh) {
      await ask("wipe", "draft-", mine.name);
      await mark({ draft: true });
      persist();
    }
  }
  // unkey overwrites the key of a draft that has come into an envelope.
  async function unkey() {
    draftKey = null;
    await mark({ draft: false });
    if (keys) await ask("wipe", "draft-");
  }
  // persist asks the browser not to throw away what is here. It may never answer.
  function persist() {
    if (navigator.storage && navigator.storage.persist) navigator.storage.persist().catch(() => {});
  }
  // Writing happens one at a time; an edit during one causes one more.
  let emptied = 0, epoch = 0;
  function flush() {
    if (writing) {
      again = true;
      return writing;
    }
    emptied = epoch;
    writing = write().then(() => tell("kept", ""), (e) => tell("unkept", e && e.why || "storage")).then(() => {
      writing = null;
      if (again) {
        again = false;
        return flush();
      }
    });
    return writing;
  }
  // forget destroys the draft: its key first, which needs no room on the disk.
  async function forget() {
    try {
      await unkey();
    } finally {
      if (!halted) await within("readwrite", ["draft", "setting"], (d, s) => { d.clear(); s.delete("draft"); });
    }
  }
  function touch() {
    if (state === "own" && !waiting) waiting = setTimeout(flush, PAUSE);
  }
  const hurry = () => { if (waiting) flush(); };
  window.addEventListener("pagehide", hurry);
  document.addEventListener("visibilitychange", () => { if (document.hidden) hurry(); });

  // restore answers the draft, or which kept case was open, and what the marker says
  // there should be.
  async function restore(kept) {
    const said = marker;
    const missing = Math.max(0, said.kept - kept.length);
    await mark({ kept: kept.length });
    const id = await read("draft", "open");
    const locked = kept.find((e) => e.id === id);
    if (locked) return { draft: "", locked, missing };
    const box = await read("setting", "draft");
    if (box && !keys) throw no("silent"); // its key may be there at the next start
    const key = box && await fileKey(box.key);
    const old = await read("draft", "text"), oldKey = await read("draft", "key");
    try {
      if (key) {
        const draft = text(await decrypt(key, DRAFT, box));
        draftKey = { name: box.key, key };
        await mark({ draft: true });
        return { draft, missing };
      }
      if (old && oldKey) {
        const draft = text(await decrypt(oldKey, DRAFT, old));
        return { draft, missing, old: true };
      }
    } catch { /* told below */ }
    await forget();
    return { draft: "", missing, unreadable: !!old || said.draft };
  }

  // jumped reports whether the device's day cannot be right, or has not been for long.
  const JUMP = 45; // days
  const jumped = (last, today) => last !== "" && (today < last || Date.parse(today) - Date.parse(last) > JUMP * 86400000);

  async function start(give, hear, today) {
    pull = give;
    tell = hear;
    if (!window.isSecureContext || !window.crypto || !crypto.subtle || !navigator.locks || !channel) throw no("insecure");
    if (!window.indexedDB) throw no("storage");
    recall(null);
    const turn = hold("ask");
    try {
      const [own] = await Promise.all([turn, inTime(database()), findKeys()]);
      if (!own) state = "elsewhere";
      const more = {};
      if (own) {
        await upgrade();
        await adopt().catch((e) => console.warn("labels:", e));
      }
      const kept = await list();
      if (own) {
        Object.assign(more, await restore(kept), { memory: !keys, last: marker.day, jumped: jumped(marker.day, today) });
        if (!more.jumped) await mark({ day: today });
      }
      const settings = await read("setting", "practice") || "";
      const ring = await read("setting", "keys") || "";
      return { state, settings, keys: ring, list: kept, ...more };
    } catch (e) {
      turn.then(leave); // what cannot be read is not written over
      state = "none";
      throw e;
    }
  }
  // day notes that the device's day is right after all.
  async function day(today) {
    await mark({ day: today });
    return {};
  }
  // resume writes again after a refusal.
  async function resume() {
    halted = false;
    await flush();
    return {};
  }
  async function take() {
    if (await hold("wait")) await upgrade();
    else if (!await hold("steal")) throw no("elsewhere"); // from one that hangs, which would hold up an upgrade
    recall(keys && await ask("read", "marker"));
    const kept = await list();
    return { state, memory: !keys, ...await restore(kept), list: kept };
  }
  // leave lets go of a draft that the program cannot read, so that it stays as it is.
  async function leave() {
    state = "none";
    clearTimeout(waiting);
    waiting = 0;
    if (letGo) letGo();
    letGo = null;
    return {};
  }
  // clear destroys the draft with its key. A kept case stays in the list, shut, and
  // undo opens it again in this window.
  async function clear() {
    if (current && writing) await writing; // the last edits of a kept case
    epoch++;
    clearTimeout(waiting);
    waiting = 0;
    again = false;
    cleared = current;
    current = null;
    if (writing) await writing;
    if (state === "own") await forget();
    return { list: await list().catch(() => undefined) };
  }
  async function undo() {
    epoch++;
    current = cleared;
    cleared = null;
    return {};
  }

  // Kept cases.
  const row = ({ id, version, date, days, expires, teeth }) => ({ id, version, date, days, expires, teeth });
  // place puts an envelope into the stores, with what the list of this tablet shows.
  const place = ({ tablet, ...envelope }, kept, index) => {
    kept.put(envelope, envelope.id);
    if (index) index.put({ ...row(envelope), tablet }, envelope.id);
  };
  // into is place for the case that is open, which has no draft from then on.
  const into = (envelope, draft, setting, ...stores) => {
    place(envelope, ...stores);
    draft.clear();
    setting.delete("draft");
    draft.put(envelope.id, "open");
  };
  // rows reads the index, which has a row for each envelope and no other.
  async function rows() {
    const stores = await shelf();
    const all = async () => (await within("readonly", ["kept"], (k) => k.getAll())).map(row);
    if (stores.length === 1) return all();
    let ids, found;
    await within("readonly", stores, (k, i) => {
      ids = k.getAllKeys();
      found = i.getAll();
    });
    const sound = found.result.length === ids.result.length
      && found.result.every((e, i) => e && e.id === ids.result[i] && typeof e.date === "string" && typeof e.expires === "string");
    return sound ? found.result : reindex(stores).catch(all);
  }
  async function reindex(stores) {
    const made = [];
    await within("readwrite", stores, (k, i) => {
      i.clear();
      const walk = k.openCursor();
      walk.onsuccess = () => {
        const at = walk.result;
        if (!at) return;
        made.push(row(at.value));
        i.put(made.at(-1), at.key);
        at.continue();
      };
    });
    return made;
  }
  // list answers what the screen shows of the kept cases: what this tablet may know
  // of each is in it where the tablet still has its key.
  async function list() {
    const all = (await rows()).sort((a, b) => a.date < b.date ? 1 : -1);
    const key = all.some((e) => e.tablet) && await tabletKey();
    return Promise.all(all.map(async (e) => {
      const { id, date, teeth, expires } = e;
      try {
        return { id, date, teeth, expires, ...JSON.parse(await labelOf(e, key)) };
      } catch {
        return { id, date, teeth, expires };
      }
    }));
  }
  const changed = async () => {
    channel.postMessage("list");
    return { list: await list() };
  };

  // The key of the tablet, which the labels in the list are under. Version 1 had it in
  // the database.
  async function tabletKey() {
    const name = await read("setting", "tablet");
    return name && keys ? fileKey(name) : read("setting", "tablet key");
  }
  const labelOf = async (e, key) => text(await decrypt(key, header(e) + " tablet", unpack(e.tablet)));
  const label = async (e, key, what) => pack(await encrypt(key, header(e) + " tablet", bytes(what)));
  // labeled adds what the list of this tablet shows.
  async function labeled(envelope, meta) {
    const key = keys && (await tabletKey() || await renew());
    return key ? { ...envelope, tablet: await label(envelope, key, note(meta)) } : envelope;
  }
  // renew makes another key of the tablet, puts the labels under it and overwrites the
  // one before; drop is the id of a kept case that is deleted in the same go.
  async function renew(drop) {
    const shelves = await shelf();
    const old = await tabletKey(), fresh = await freshKey("tablet");
    const written = [];
    for (const e of await rows()) {
      if (e.id === drop || !e.tablet || !old) continue;
      const what = await labelOf(e, old).catch(() => "");
      written.push({ ...e, tablet: what && await label(e, fresh.key, what) || undefined });
    }
    await within("readwrite", ["setting", ...shelves], (s, kept, index) => {
      s.put(fresh.name, "tablet");
      s.delete("tablet key");
      if (drop) kept.delete(drop);
      if (!index) return;
      if (drop) index.delete(drop);
      for (const e of written) index.put(e, e.id);
    });
    await ask("wipe", "tablet-", fresh.name);
    return fresh.key;
  }
  // adopt moves the key of the tablet out of the database.
  async function adopt() {
    if (keys && await read("setting", "tablet key")) await renew();
  }
  async function remove(id) {
    if (keys) return renew(id);
    await within("readwrite", await shelf(), (...stores) => { for (const s of stores) s.delete(id); });
  }

  async function phraseKey(secret, salt, iterations) {
    const raw = await crypto.subtle.importKey("raw", bytes(secret), "PBKDF2", false, ["deriveKey"]);
    return crypto.subtle.deriveKey({ name: "PBKDF2", hash: "SHA-256", salt, iterations }, raw,
      { name: "AES-GCM", length: 256 }, false, ["encrypt", "decrypt"]);
  }
  // Neither the date nor the id is bound to a lock, or a change of them would look
  // like a wrong passphrase. The text under the key is bound to all of them.
  const lockExtra = (kind) => `${FORMAT} ${VERSION} ${kind}`;
  const firstExtra = (id, kind) => `${FORMAT} 1 ${id} ${kind}`; // in version 1
  const header = (e) => e.version === 1 ? `${FORMAT} 1 ${e.id}` : [FORMAT, e.version, e.id, e.date, e.days, e.expires, e.teeth].join(" ");
  async function lock(kind, secret, dataKey) {
    const salt = random(16), extra = lockExtra(kind);
    const box = await encrypt(await phraseKey(secret, salt, ITERATIONS), extra, dataKey);
    return { kind, kdf: "PBKDF2-HMAC-SHA-256", iterations: ITERATIONS, salt: to64(salt), extra, iv: to64(box.iv), key: to64(box.data) };
  }
  const letters = (n) => Array.from(random(n), (b) => LETTERS[b % 32]).join("");
  const plainKey = (typed) => typed.toUpperCase().replace(/[\s\u2010-\u2015-]/g, "").replace(/0/g, "O").replace(/1/g, "I").replace(/8/g, "B");

  // fill puts a text into an envelope under its data key. It takes nothing over that
  // is the tablet's.
  async function fill(envelope, key, meta, what) {
    const { date, teeth, days } = { ...envelope, ...meta };
    const expires = new Date(Date.parse(date) + days * 86400000).toISOString().slice(0, 10);
    const locks = envelope.locks.map((l) => l.extra ? l : { ...l, extra: firstExtra(envelope.id, l.kind) });
    const head = { format: FORMAT, version: VERSION, id: envelope.id, cipher: CIPHER, date, days, expires, teeth, locks };
    const about = pack(await encrypt(key, header(head) + " about", bytes(note(meta))));
    return { ...head, about, ...pack(await encrypt(key, header(head) + " case", bytes(what))) };
  }
  const note = ({ label, stage, next }) => JSON.stringify({ label, stage, next });
  async function seal(meta, passphrase, what) {
    const id = letters(4) + "-" + letters(4);
    const raw = random(32);
    const recovery = letters(32); // 160 random bits
    const key = await crypto.subtle.importKey("raw", raw, "AES-GCM", false, ["encrypt", "decrypt"]);
    const locks = [await lock("passphrase", passphrase.normalize("NFC"), raw), await lock("recovery", recovery, raw)];
    raw.fill(0);
    return { envelope: await fill({ id, locks }, key, meta, what), key, recovery };
  }
  // sane refuses what is not an envelope, or one made to keep the device busy.
  function sane(e) {
    const box = (b) => b && typeof b.iv === "string" && typeof b.data === "string";
    const day = (d) => typeof d === "string" && /^\d{4}-\d\d-\d\d$/.test(d);
    if (e && e.format === FORMAT && Number.isInteger(e.version) && e.version > VERSION) throw no("newer");
    const good = e && e.format === FORMAT && (e.version === 1 || e.version === VERSION) && /^[A-Z2-7]{4}-[A-Z2-7]{4}$/.test(e.id)
      && box(e) && Array.isArray(e.locks) && e.locks.length <= 4
      && e.locks.every((l) => l && typeof l.iv === "string" && typeof l.key === "string" && (l.kind === "tablet" || typeof l.salt === "string"
        && Number.isInteger(l.iterations) && l.iterations >= 1 && l.iterations <= 10000000));
    if (!good) throw no("unreadable");
    const whole = e.version === 1 ? !e.about : e.cipher === CIPHER && box(e.about) && day(e.date) && day(e.expires)
      && Number.isInteger(e.days) && Number.isInteger(e.teeth) && e.locks.every((l) => typeof l.extra === "string");
    if (!whole) throw no("altered");
  }
  async function dataKey(envelope, typed) {
    const recovery = plainKey(typed);
    for (const l of envelope.locks) {
      if (l.kind !== "passphrase" && l.kind !== "recovery") continue;
      const secret = l.kind === "recovery" ? recovery : typed.normalize("NFC");
      if (l.kind === "recovery" && !/^[A-Z2-7]{32}$/.test(secret)) continue;
      try {
        const k = await phraseKey(secret, from64(l.salt), l.iterations);
        const raw = new Uint8Array(await decrypt(k, l.extra || firstExtra(envelope.id, l.kind), unpack({ iv: l.iv, data: l.key })));
        const key = await crypto.subtle.importKey("raw", raw, "AES-GCM", false, ["encrypt", "decrypt"]);
        raw.fill(0);
        return key;
      } catch { /* not this one */ }
    }
    throw no("wrong");
  }
  // reveal answers the text and what is noted about it.
  async function reveal(envelope, key) {
    const [what, about] = envelope.version === 1 ? ["", ""] : [" case", " about"];
    try {
      const noted = about ? JSON.parse(text(await decrypt(key, header(envelope) + about, unpack(envelope.about)))) : {};
      return { text: text(await decrypt(key, header(envelope) + what, unpack(envelope))), label: noted.label || "" };
    } catch {
      throw no("altered"); // the key is the right one
    }
  }

  // keep puts the open case among the kept ones, as a new one. meta is JSON of
  // its date, its number of teeth, for how many days it is kept, and its label, stage
  // and next step.
  async function keep(meta, passphrase, what) {
    if (state !== "own") throw no("elsewhere");
    const { envelope, key, recovery } = await seal(JSON.parse(meta), passphrase, what);
    const stored = await labeled(envelope, JSON.parse(meta));
    const shelves = await shelf();
    if (writing) await writing;
    epoch++;
    current = { envelope: stored, key }; // nothing more goes into the draft
    try {
      await within("readwrite", ["draft", "setting", ...shelves], (d, s, ...stores) => into(stored, d, s, ...stores));
    } catch (e) {
      current = null;
      throw e;
    }
    await mark({ kept: marker.kept + 1 });
    await unkey();
    persist();
    return { recovery, id: envelope.id, ...await changed() };
  }
  // file answers an encrypted file: of the kept case that is open when there is
  // no passphrase, else under that passphrase.
  async function file(meta, passphrase, what) {
    if (passphrase === "" && current) {
      const { id, locks } = current.envelope;
      const open = { ...current.envelope, locks: locks.filter((l) => l.kind !== "tablet") };
      return { text: JSON.stringify(await fill(open, current.key, JSON.parse(meta), what), null, 1), id };
    }
    const made = await seal(JSON.parse(meta), passphrase, what);
    return { text: JSON.stringify(made.envelope, null, 1), recovery: made.recovery, id: made.envelope.id };
  }
  async function open(id, typed) {
    const envelope = await read("kept", id);
    if (!envelope) throw no("gone");
    sane(envelope);
    const key = await dataKey(envelope, typed);
    const found = await reveal(envelope, key);
    if (state !== "own") throw no("elsewhere");
    epoch++;
    current = { envelope, key };
    return { ...found, id };
  }
  async function openFile(source, typed) {
    let envelope;
    try { envelope = JSON.parse(source); } catch { throw no("unreadable"); }
    sane(envelope);
    return { ...await reveal(envelope, await dataKey(envelope, typed)), id: envelope.id };
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
    if (halted) throw no("full");
    await mark({ kept: Math.max(0, marker.kept - 1) });
    await remove(id);
    await flush();
    return changed();
  }
  // loose makes the open case one that is not kept; shut leaves the kept case
  // that was open where it is.
  async function loose() {
    epoch++;
    current = draftKey = null; // another case gets another key
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

  // The aftercare of one paper, which a patient may keep on a phone: encrypted under a
  // key of its own, as a draft is; taking it off overwrites the key.
  const PAPER = "plainleaf-paper 1";
  async function keepPaper(code) {
    const { name, key } = await freshKey("paper");
    const box = await encrypt(key, PAPER, bytes(code));
    await within("readwrite", ["setting"], (s) => {
      s.put({ key: name, ...box }, "paper");
      s.delete("paper key");
    });
    await ask("wipe", "paper-", name);
    return {};
  }
  async function paper() {
    const box = await read("setting", "paper");
    if (!box) return { text: "" };
    const key = box.key ? keys && await fileKey(box.key) : await read("setting", "paper key"); // as in version 1
    return { text: key ? text(await decrypt(key, PAPER, box)) : "" };
  }
  async function dropPaper() {
    if (keys) await ask("wipe", "paper-");
    await within("readwrite", ["setting"], (s) => {
      s.delete("paper key");
      s.delete("paper");
    });
    return {};
  }

  // restart loads the app anew at an address, so that nothing of the last case stays in
  // memory. Where nothing could answer, the window goes on as it is.
  async function restart(address) {
    cleared = null;
    const sw = navigator.serviceWorker;
    const there = sw && sw.controller || await fetch(address, { method: "HEAD" }).then((r) => r.ok, () => false);
    if (!there) return {};
    history.replaceState(null, "", address);
    location.reload();
    return new Promise(() => {});
  }

  const api = { touch, idleAfter, zone, offset };
  for (const f of [keepPaper, paper, dropPaper, start, day, resume, restart, take, leave, clear, undo, keep, file, open, openFile, check, drop, loose, shut, set, setKeys]) api[f.name] = answer(f);
  api.flush = answer(async () => { await flush(); await putting; return {}; });
  window.plainleafKeep = Object.freeze(api);
})();
