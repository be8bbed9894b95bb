// What the page says when it cannot start, cannot be kept, or was damaged.
import { readFileSync } from 'node:fs';
import path from 'node:path';
import { chromium, engines, firefox, webkit } from './engines.mjs';
import { Front } from './front.mjs';
import { root } from './site.mjs';
import { expect, readyOffline, running, start, test as base, unreachable } from './test.mjs';

const words = Object.fromEntries(['en', 'es', 'ar'].map((tag) => [tag, JSON.parse(readFileSync(path.join(root, 'i18n', `${tag}.json`), 'utf8'))]));

const test = base.extend({
  front: async ({ server }, use) => {
    const front = await new Front(server).start();
    await use(front);
    front.release();
    await front.stop().catch(() => {});
  },
});

// visit opens a page that may never finish loading.
const visit = (page, url) => page.playwright ? page.playwright.goto(url, { waitUntil: 'commit' })
  : page.puppeteer ? page.puppeteer.goto(url, { waitUntil: 'domcontentloaded', timeout: 2000 }).catch(() => {}) : page.goto(url);

// seen is the text in the places at the foot of the page that a person sees.
const seen = `["status", "late", "offline"].map((id) => document.getElementById(id)).concat(...document.querySelectorAll(".bar p"))
  .filter((e) => e && e.checkVisibility({ visibilityProperty: true }) && e.getBoundingClientRect().height > 20
    && (e.id === "offline" || e.getBoundingClientRect().top < innerHeight)).map((e) => e.textContent)`;
const says = (text) => `${seen}.includes(${JSON.stringify(text)})`;

// Each file or service of the browser without which the app cannot start.
const ends = [
  { name: 'boot.js is missing', lost: /boot\./, says: 'shell.slow.files' },
  { name: 'boot.js never arrives', hung: /boot\./, says: 'shell.slow.files' },
  { name: 'keep.js is missing', lost: /keep\./, says: 'shell.status.failed' },
  { name: 'keep.js never arrives', hung: /keep\./, says: 'shell.slow.files' },
  { name: 'wasm_exec.js is missing', lost: /wasm_exec\./, says: 'shell.status.failed' },
  { name: 'wasm_exec.js never arrives', hung: /wasm_exec\./, says: 'shell.slow.files' },
  { name: 'the program is missing', lost: /\.wasm/, says: 'shell.status.failed' },
  { name: 'the program never arrives', hung: /\.wasm/, says: 'shell.slow.program' },
  { name: 'the words never arrive', hung: /wording\/es\./, says: 'shell.slow.words' },
  { name: 'the state of the words never arrives', hung: /wording\/state\/es\./, says: 'shell.slow.words' },
  { name: 'the database never answers', script: 'window.free = []; const open = indexedDB.open; IDBFactory.prototype.open = function (...a) { if (window.freed) return open.apply(this, a); const real = {}; free.push(() => { const r = open.apply(indexedDB, a); for (const n of ["onsuccess", "onerror", "onblocked", "onupgradeneeded"]) r[n] = real[n]; Object.defineProperty(real, "result", { get: () => r.result }); }); return real; };', free: '(window.freed = true, free.forEach((go) => go()))', says: 'shell.slow.storage' },
  { name: 'storage is blocked', script: 'Object.defineProperty(window, "localStorage", { get() { throw new Error("blocked"); } })', says: 'shell.status.storage' },
];

const told = ['files', 'program', 'words', 'storage'].map((name) => words.es[`shell.slow.${name}`])
  .concat(words.es['shell.status.failed'], words.es['shell.status.storage']);
for (const end of ends) {
  test(`${end.name}: it is said within 10 seconds`, async ({ open, front }) => {
    const page = await open(chromium);
    await page.playwright.addInitScript(`(() => {
      let last = 0, lag = 0;
      const timer = setInterval(() => {
        const at = performance.now();
        lag = Math.max(lag, at - last - 100);
        last = at;
        const text = document.body && ${seen}.find((text) => ${JSON.stringify(told)}.includes(text));
        if (!text) return;
        window.__first = { at, lag, text };
        clearInterval(timer);
      }, 100);
    })()`);
    if (end.script) await page.playwright.addInitScript(end.script);
    front.fault({ lost: end.lost ?? /worker\.js/, hung: end.hung });
    await visit(page, `${front.url}/es/routes/`);
    // What the machine holds up, as the page's own clock has it, does not count.
    const first = await page.wait('window.__first');
    expect(first.at - first.lag).toBeLessThan(10_000);
    expect(first.text).toBe(words.es[end.says]);
    if (!end.hung && !end.free) return;
    // It goes away by itself when what was awaited comes.
    front.release();
    if (end.free) await page.evaluate(end.free);
    await running(page);
    expect(await page.evaluate(seen)).not.toContain(words.es[end.says]);
    expect(await page.evaluate('getComputedStyle(document.body).margin')).toBe('0px'); // the style came too
  });
}

for (const engine of [firefox, webkit]) {
  test(`${engine.name}: a start without boot.js is said without it`, async ({ open, front }) => {
    const page = await open(engine);
    front.fault({ lost: /boot\./ });
    await visit(page, `${front.url}/ar/`);
    await page.wait(says(words.ar['shell.slow.files']));
  });
}

// The program needs no style to run, and takes it when it comes.
test('a style that never arrives holds up nothing for long', async ({ open, front }) => {
  const page = await open(chromium);
  front.fault({ hung: /app\..*css/ });
  await visit(page, `${front.url}/es/`);
  await running(page);
  expect(await page.evaluate('performance.now()')).toBeLessThan(15_000);
  front.release();
  await page.wait('getComputedStyle(document.body).margin === "0px"');
});

for (const engine of engines) {
  test(`${engine.name}: a first start offers no new version`, async ({ open, server }) => {
    const page = await open(engine);
    await start(page, `${server.url}/en/`);
    await readyOffline(page);
    expect(await page.evaluate('document.getElementById("offline").textContent')).toBe(words.en['shell.status.offline']);
    expect(await page.evaluate('document.querySelectorAll(".bar").length')).toBe(0);
  });

  test(`${engine.name}: a first install that fails is said, and mended by the next load`, async ({ open, front }) => {
    const page = await open(engine);
    front.fault({ spoiled: /wording\/ar\./ });
    await start(page, `${front.url}/en/`);
    await page.wait(says(words.en['shell.status.unready']));
    front.fault({});
    await page.reload();
    await running(page);
    await page.wait(says(words.en['shell.status.offline']));
  });

  test(`${engine.name}: an address that nobody can read opens a page`, async ({ open, server }) => {
    const page = await open(engine);
    await start(page, `${server.url}/en/`);
    await readyOffline(page);
    for (const online of [true, false]) {
      if (!online) await server.stop();
      for (const [bad, path] of [['/ar/%E0%A4%A', '/ar/'], ['/es/chair/#%', '/es/chair/'], ['/%', '/en/']]) {
        await page.goto(server.url + bad);
        await running(page);
        expect(await page.evaluate('location.pathname + location.hash')).toBe(path);
      }
    }
    await page.evaluate('(location.hash = "#%zz", true)');
    await page.wait('location.hash === ""');
    await page.goto(`${server.url}/en/chair/`);
    await running(page);
  });
}

test('without workers it is said that the app needs internet', async ({ open, server }) => {
  const page = await open(chromium);
  await page.playwright.addInitScript('delete Navigator.prototype.serviceWorker');
  await start(page, `${server.url}/ar/`);
  await page.wait(says(words.ar['shell.status.unkept']));
});

test('a worker that cannot be fetched is said', async ({ open, front }) => {
  const page = await open(chromium);
  front.fault({ lost: /worker\.js/ });
  await start(page, `${front.url}/en/`);
  await page.wait(says(words.en['shell.status.unready']));
});

// spoil changes a byte of what is kept of some files, and returns of how many.
const spoil = (paths) => `caches.keys().then((names) => caches.open(names[0])).then(async (cache) => {
  let n = 0;
  for (const request of await cache.keys()) {
    if (!${paths}.test(new URL(request.url).pathname)) continue;
    const old = await cache.match(request), bytes = new Uint8Array(await old.arrayBuffer());
    bytes[bytes.length >> 1] ^= 1;
    await cache.put(request, new Response(bytes, { headers: old.headers }));
    n++;
  }
  return n;
})`;
const drop = (path) => `caches.keys().then((names) => caches.open(names[0])).then((cache) => cache.delete(${JSON.stringify(path)}))`;

test('a start page that is missing from the cache is fetched again, and said offline', async ({ open, front }) => {
  const page = await open(chromium);
  await start(page, `${front.url}/en/`);
  await readyOffline(page);
  for (const path of ['/en/', '/']) {
    expect(await page.evaluate(drop(path))).toBe(true);
    await page.goto(front.url + path);
    await running(page);
    await readyOffline(page);
  }
  expect(await page.evaluate(drop('/ar/'))).toBe(true);
  await front.stop();
  const before = await page.playwright.goto(`${front.url}/ar/`);
  expect(before.status()).toBe(503);
  expect(await page.evaluate('document.querySelector("main").innerText')).toContain(words.ar['shell.sorry.text']);
  await page.goto(`${front.url}/es/`);
  await running(page);
  await unreachable(page);
  await page.wait(says(words.es['shell.status.unready']));
  await front.start();
  await page.reload();
  await running(page);
  await page.wait(says(words.es['shell.status.offline']));
});

test('wrong bytes in the cache are never used, and are fetched again', async ({ open, front }) => {
  const page = await open(chromium);
  await start(page, `${front.url}/en/`);
  await readyOffline(page);
  expect(await page.evaluate(spoil(/\.(wasm|js|css|json)$|^\/es\/$/))).toBeGreaterThan(8);
  await page.goto(`${front.url}/es/`);
  await running(page);
  await page.wait(says(words.es['shell.status.offline']));
  expect(await page.evaluate('document.querySelectorAll(".bar").length')).toBe(0);
  await front.stop();
  await page.goto(`${front.url}/ar/chair/`);
  await running(page);
  await unreachable(page);

  // Offline nothing can be mended: the program does not start from wrong bytes.
  expect(await page.evaluate(spoil(/\.wasm$/))).toBe(1);
  await page.goto(`${front.url}/en/`);
  await page.wait(says(words.en['shell.status.failed']));
  await page.wait(says(words.en['shell.status.unready']));
});

// The policy for what the browser would run: nothing but the workers and a sheet.
test('nothing but a sheet and the worker is taken as code', async ({ open, server }) => {
  const page = await open(chromium);
  await start(page, `${server.url}/en/?demo`);
  await readyOffline(page);
  await page.goto(`${server.url}/en/sheets/?demo`);
  const sheet = await page.wait('document.getElementById("sheet") && document.getElementById("sheet").srcdoc');
  const taken = (html) => page.evaluate((html) => {
    const frame = document.createElement('iframe');
    try {
      frame.srcdoc = html;
      return true;
    } catch {
      return false;
    }
  }, html);
  const within = (more) => sheet.replace('</body>', `${more}</body>`);
  expect(await taken(within('<p>1 &lt; 2 onclick="</p>'))).toBe(true);
  for (const bad of ['<p>a', '', sheet.slice(15), within('<script src="x"></script>'), within('<p onclick="x">a</p>'), within('<P ONCLICK="x">a</P>'),
    within('<img src="/icon.svg"/>'), within('<a href="https://example.invalid/">a</a>'), within('<a href="javascript:x">a</a>'),
    within('<svg><use href="#a"/></svg>'), within('<p onclick=x>a</p>'), within('<style>p{}</style>').replace('<style>', '<style><!--'),
    within('<meta http-equiv="refresh" content="0; url=/"/>'), sheet.replace("default-src &#39;none&#39;", 'default-src *')]) {
    expect(await taken(bad), bad.slice(-200)).toBe(false);
  }
  for (const act of ['document.body.innerHTML = "<p>a</p>"', 'new Worker("/keys.js")', 'document.createElement("script").text = "1"',
    'navigator.serviceWorker.register("/other.js")', 'new DOMParser().parseFromString("a", "text/html")']) {
    expect(await page.evaluate(`(async () => { ${act.startsWith('nav') ? 'await ' : ''}${act}; })().then(() => "taken", (e) => e.name)`), act).not.toBe('taken');
  }
});
