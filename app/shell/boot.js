// Starts the app: registers the worker, runs the program, and keeps the reader
// informed when either cannot be done. Every sentence shown comes from data
// attributes on the body, which the app rewrites when the language changes.
//
// It is loaded as "async", so it may run before the rest of the page is there.
(() => {
  "use strict";
  const root = document.documentElement;
  const base = root.dataset.base;

  // A code on paper stands behind the "#". It leaves the address bar and the
  // history at once, and is handed to the program once. What no program can read,
  // such as a bare "%", leaves the address too: the start page opens instead.
  let paper = "";
  const readable = (text) => {
    try {
      decodeURIComponent(text);
      return true;
    } catch {
      return false;
    }
  };
  const take = () => {
    const code = location.hash.slice(1);
    const coded = code.startsWith("p=");
    const page = readable(location.pathname) ? location.pathname : base + root.lang + "/";
    if (!coded && readable(code) && page === location.pathname) return;
    history.replaceState(history.state, "", page + location.search);
    if (!coded) return;
    paper = code;
    if (window.plainleafPaperCame) window.plainleafPaperCame();
  };
  take();
  for (const name of ["popstate", "hashchange"]) window.addEventListener(name, take, true);
  window.plainleafPaper = () => {
    const code = paper;
    paper = "";
    return code;
  };

  // What may be given to the browser as text that it would run: the addresses of
  // the workers, and a sheet for the preview, in the form in which printout writes
  // it. Everything else is refused, scripts as a whole.
  const HEAD = /^<!DOCTYPE html><html(?: [a-z-]+="[A-Za-z0-9-]*")+><head><meta charset="utf-8"\/><meta http-equiv="Content-Security-Policy" content="default-src &#39;none&#39;; style-src &#39;sha256-/;
  const TAG = /<(?:!DOCTYPE html|\/[A-Za-z0-9]+|([A-Za-z0-9]+)((?: [A-Za-z0-9:-]+="[^"<>]*")*)\/?)>/g;
  const NOT = /^(script|i?frame|object|embed|base|form|link|template|image|img|use|set|animate|foreignobject)/i;
  const NEITHER = / (on[a-z]*|src[a-z]*|style|action|formaction|xlink:href|http-equiv(?!="Content-Security-Policy")|href(?!="(?:#|tel:)[^"]*"))=/i;
  const sheet = (text) => HEAD.test(text) && !text.replace(/<style>[^<]*<\/style>/, "").replace(TAG, (tag, name, attributes) =>
    name && (NOT.test(name) || NEITHER.test(attributes)) ? tag : "").includes("<");
  if (window.trustedTypes) trustedTypes.createPolicy("default", {
    createScriptURL: (url) => url === base + "worker.js" || url === root.dataset.keys ? url : null,
    createHTML: (text, type, sink) => sink === "HTMLIFrameElement srcdoc" && sheet(text) ? text : null,
  });

  function start() {
    const status = document.getElementById("status");
    const offline = document.getElementById("offline");
    const bars = document.getElementById("bars");
    const text = document.getElementById("app"); // until the program takes over

    const word = (name) => document.body.dataset["shell" + name] || "";
    const setState = (state) => { root.dataset.state = state; };

    // A line shown in one of the status places, by the name of its words.
    const say = (place, name) => {
      if (place.dataset.word === name) return;
      place.dataset.word = name;
      place.textContent = word(name);
      place.hidden = false;
    };

    // A bar lies over the foot of the screen. act is what its button does, if it has
    // one; later is whether it can be put away.
    const find = (name) => bars.querySelector(`[data-bar="${name}"]`);
    const bar = (name, role, act, later) => {
      if (find(name)) return;
      const box = document.createElement("div");
      const text = document.createElement("p");
      box.className = "bar";
      box.dataset.bar = name;
      text.setAttribute("role", role);
      text.dataset.word = name + "Text";
      const button = (words, does) => {
        const b = document.createElement("button");
        b.type = "button";
        b.dataset.word = words;
        b.textContent = word(words);
        b.addEventListener("click", does);
        box.append(b);
        return b;
      };
      box.append(text);
      bars.append(box);
      text.textContent = word(name + "Text");
      if (act) button(name + "Button", act);
      // Put away it stays, so that it does not come again in this window.
      if (later) button("LaterButton", () => { box.hidden = true; }).className = "quiet";
    };
    const unready = () => bar("Unready", "status", reload, true);

    // What is on screen follows the words when the language changes.
    new MutationObserver(() => {
      for (const e of document.querySelectorAll("[data-word]")) {
        const text = word(e.dataset.word);
        if (e.textContent !== text) e.textContent = text;
      }
    }).observe(document.body, { attributes: true });

    const reload = () => location.reload();
    const stopped = () => {
      if (root.dataset.state === "running") bar("Stopped", "alert", reload);
    };
    const failed = (name, why) => {
      setState("failed");
      say(status, name);
      console.warn("not started:", why);
      settle();
    };

    window.addEventListener("error", (e) => {
      // Browsers report this one for harmless layout work.
      if (!String(e.message).startsWith("ResizeObserver")) stopped();
    });
    window.addEventListener("unhandledrejection", stopped);

    // settled is when the start is over, well or not.
    let settle;
    const settled = new Promise((done) => { settle = done; });

    // What go-app asks of its surroundings. Without tel: in the list a telephone
    // link would be taken for a page.
    window.goappGetenv = (key) => ({
      GOAPP_INTERNAL_URLS: '["tel:"]',
      GOAPP_ROOT_PREFIX: base.slice(0, -1),
    })[key] || "";
    window.goappTryUpdate = () => {};

    async function register() {
      const sw = navigator.serviceWorker;
      if (!sw) { // plain HTTP on another machine's address has none
        bar("Unkept", "status", null, true);
        return;
      }
      let asked = false;
      const hadController = !!sw.controller;
      sw.addEventListener("controllerchange", () => {
        if (asked) reload();
        // Another window took the update: this one runs on, but its files are gone.
        else if (hadController) bar("Changed", "status", reload, true);
      });

      const registration = await sw.register(base + "worker.js", { scope: base, updateViaCache: "none" }).catch(async (e) => {
        // An update that cannot be had changes nothing for the version at hand.
        const old = await sw.getRegistration(base);
        if (old && old.active) return old;
        throw e;
      });
      const ready = () => {
        // The one waiting at the tap, which may be newer than the one that made the bar.
        bar("Update", "status", () => {
          asked = true;
          if (registration.waiting) registration.waiting.postMessage("activate");
          else reload();
        }, true);
        if (window.goappOnUpdate) window.goappOnUpdate();
        else window.goappUpdatedBeforeWasmLoaded = true;
      };
      // A worker is news only beside an older one. The first one may take control
      // before its being installed is seen.
      const watch = (worker) => {
        if (!worker) return;
        const update = registration.active && registration.active !== worker;
        const look = () => {
          if (worker.state === "installed" && update) ready();
          if (worker.state === "redundant" && !registration.active) unready();
        };
        worker.addEventListener("statechange", look);
        look();
      };
      watch(registration.waiting);
      watch(registration.installing);
      registration.addEventListener("updatefound", () => watch(registration.installing));

      // Only the worker knows whether it holds every file. It reads them all to know,
      // so it is asked when the start is over.
      const active = (await sw.ready).active;
      await settled;
      const channel = new MessageChannel();
      channel.port1.onmessage = (e) => {
        if (e.data !== true) return unready();
        say(offline, "Offline");
        if (find("Unready")) find("Unready").remove();
      };
      active.postMessage("complete?", [channel.port2]);
    }

    function storage() {
      const key = "plainleaf.probe";
      localStorage.setItem(key, key);
      localStorage.removeItem(key);
    }

    const PATIENCE = 6000; // ms for each part of the start, before it is said
    let begun = false, waits = "", timer = 0;
    async function run() {
      const go = new Go();
      const { instance } = await WebAssembly.instantiateStreaming(fetch(root.dataset.wasm), go.importObject);
      await go.run(instance);
      // The program never returns by itself.
      if (root.dataset.state === "running") stopped();
      else throw new Error("the program ended");
    }

    // begin runs the program once the scripts that it needs are there.
    const begin = () => {
      if (begun || root.dataset.state === "failed") return;
      if (window.Go && window.plainleafKeep) {
        begun = true;
        look();
        run().catch((e) => failed("Failed", e));
      } else if (document.readyState === "complete") {
        failed("Failed", new Error("a script is missing"));
      }
    };

    // look follows the start. The program has taken over once it has replaced the
    // static text; it shows a screen once it has its words and what was kept.
    const look = () => {
      let now = begun ? "SlowProgram" : "SlowFiles";
      if (!text.isConnected) {
        setState("running");
        const shown = document.getElementById("app");
        if (shown && shown.dataset.view) {
          watcher.disconnect();
          clearTimeout(timer);
          status.remove();
          settle();
          return;
        }
        now = shown && shown.dataset.waits === "storage" ? "SlowStorage" : "SlowWords";
      }
      if (now === waits) return;
      waits = now;
      clearTimeout(timer);
      timer = setTimeout(() => {
        if (root.dataset.state !== "failed") say(status, waits);
      }, begun ? PATIENCE : Math.max(0, PATIENCE - performance.now()));
    };
    const watcher = new MutationObserver(look);

    try {
      storage();
    } catch (e) {
      failed("Storage", e);
      document.getElementById("late").remove();
      return;
    }
    register().catch((e) => {
      console.warn("no worker:", e);
      unready();
    });
    watcher.observe(document.body, { childList: true, subtree: true, attributes: true, attributeFilter: ["data-view", "data-waits"] });
    look();
    setTimeout(() => {
      // A style that does not come would hold up the scripts and the first picture.
      for (const link of document.querySelectorAll('link[rel="stylesheet"]')) {
        if (!link.sheet) link.replaceWith(link.cloneNode());
      }
    }, Math.max(0, PATIENCE - performance.now()));
    window.addEventListener("load", begin);
    document.addEventListener("DOMContentLoaded", begin);
    begin();
    document.getElementById("late").remove(); // this script says it from now on
  }

  if (document.readyState !== "loading") start();
  else document.addEventListener("readystatechange", start, { once: true });
})();
