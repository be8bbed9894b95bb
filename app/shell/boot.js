// Starts the app: registers the worker, runs the program, and keeps the reader
// informed when either cannot be done. Every sentence shown comes from data
// attributes on the body, which the app rewrites when the language changes.
(() => {
  "use strict";

  // A code on paper stands behind the "#". It leaves the address bar and the
  // history at once, and is handed to the program once.
  let paper = "";
  const take = () => {
    const code = location.hash.slice(1);
    if (!code.startsWith("p=")) return;
    history.replaceState(history.state, "", location.pathname + location.search);
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

  const root = document.documentElement;
  const base = root.dataset.base;
  const status = document.getElementById("status");
  const offline = document.getElementById("offline");
  const bars = document.getElementById("bars");

  const word = (name) => document.body.dataset["shell" + name] || "";
  const setState = (state) => { root.dataset.state = state; };

  // A line shown in one of the status places, by the name of its words.
  const say = (place, name) => {
    place.dataset.word = name;
    place.textContent = word(name);
    place.hidden = false;
  };

  // later is whether the bar can be put away; it lies over the foot of the screen.
  const bar = (name, role, act, later) => {
    if (bars.querySelector(`[data-bar="${name}"]`)) return;
    const box = document.createElement("div");
    const text = document.createElement("p");
    const button = document.createElement("button");
    box.className = "bar";
    box.dataset.bar = name;
    text.setAttribute("role", role);
    text.dataset.word = name + "Text";
    button.type = "button";
    button.dataset.word = name + "Button";
    button.addEventListener("click", act);
    box.append(text, button);
    bars.append(box);
    text.textContent = word(name + "Text");
    button.textContent = word(name + "Button");
    if (!later) return;
    const away = document.createElement("button");
    away.type = "button";
    away.className = "quiet";
    away.dataset.word = "LaterButton";
    away.textContent = word("LaterButton");
    away.addEventListener("click", () => {
      box.hidden = true; // stays, so that it does not come again in this window
    });
    box.append(away);
  };

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
  };

  window.addEventListener("error", (e) => {
    // Browsers report this one for harmless layout work.
    if (!String(e.message).startsWith("ResizeObserver")) stopped();
  });
  window.addEventListener("unhandledrejection", stopped);

  // What go-app asks of its surroundings. Without tel: in the list a telephone
  // link would be taken for a page.
  window.goappGetenv = (key) => ({
    GOAPP_INTERNAL_URLS: '["tel:"]',
    GOAPP_ROOT_PREFIX: base.slice(0, -1),
  })[key] || "";
  window.goappTryUpdate = () => {};

  async function register() {
    const sw = navigator.serviceWorker;
    if (!sw) return; // plain HTTP on another machine's address has none
    let asked = false;
    const hadController = !!sw.controller;
    sw.addEventListener("controllerchange", () => {
      if (asked) reload();
      // Another window took the update: this one runs on, but its files are gone.
      else if (hadController) bar("Changed", "status", reload, true);
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
    const watch = (worker) => {
      if (!worker) return;
      const look = () => {
        if (worker.state === "installed" && sw.controller) ready();
      };
      worker.addEventListener("statechange", look);
      look();
    };

    const registration = await sw.register(base + "worker.js", { scope: base, updateViaCache: "none" });
    watch(registration.waiting);
    watch(registration.installing);
    registration.addEventListener("updatefound", () => watch(registration.installing));

    // Only the worker knows whether it holds every file.
    const active = (await sw.ready).active;
    const channel = new MessageChannel();
    channel.port1.onmessage = (e) => { if (e.data === true) say(offline, "Offline"); };
    active.postMessage("complete?", [channel.port2]);
  }

  function storage() {
    const key = "plainleaf.probe";
    localStorage.setItem(key, key);
    localStorage.removeItem(key);
  }

  async function run() {
    const go = new Go();
    const { instance } = await WebAssembly.instantiateStreaming(fetch(root.dataset.wasm), go.importObject);
    // The program has taken over once it has replaced the static text.
    const text = document.getElementById("app");
    new MutationObserver((_, observer) => {
      if (text.isConnected) return;
      observer.disconnect();
      setState("running");
      delete status.dataset.word;
      status.remove();
    }).observe(document.body, { childList: true });
    await go.run(instance);
    // The program never returns by itself.
    if (root.dataset.state === "running") stopped();
    else throw new Error("the program ended");
  }

  try {
    storage();
  } catch (e) {
    failed("Storage", e);
    return;
  }
  register().catch((e) => console.warn("no worker:", e));
  run().catch((e) => failed("Failed", e));
})();
