// Clock and disk: what is kept is deleted by nobody but a person, a refusal to write
// and a loss are told, and what clearing promises holds on the screen.
import { readFile } from 'node:fs/promises';
import { enterCase, written } from './case.mjs';
import { chromium, webkit } from './engines.mjs';
import { expect, running, start, test, unfold } from './test.mjs';

const phrase = 'four words by heart';
const note = 'zebra lantern';
const type = (page, id, text) => page.playwright.locator(`#${id}`).fill(text);
const notices = 'document.querySelector("main").innerText';

async function keep(page) {
  await page.click('#keep-here');
  await type(page, 'keep-phrase', phrase);
  await type(page, 'keep-again', phrase);
  await page.click('#keep-go');
  await page.wait('document.getElementById("recovery")');
  await page.click('#recovery-done');
  await page.wait('document.querySelector("#kept [data-kept]")');
  await written(page);
}

async function nextPatient(page) {
  await page.click('#clear');
  await page.click('#clear-yes');
  await page.wait('document.getElementById("cleared-next")');
  await page.evaluate('window.before = true');
  await page.click('#cleared-next');
  await page.wait('window.before === undefined');
  await running(page);
}

const unlock = async (page) => {
  await type(page, 'cover-phrase', phrase);
  await page.click('#cover-go');
  await page.wait(`document.getElementById("support")?.value === ${JSON.stringify(note)}`);
};

test('a clock that runs ahead or back deletes nothing and is asked about', async ({ open, server }) => {
  const page = await open(chromium);
  await enterCase(page, server.url, note);
  await keep(page);
  await nextPatient(page);
  const today = new Date();
  const at = async (days) => {
    await page.playwright.clock.setFixedTime(new Date(today.getTime() + days * 86_400_000));
    await page.reload();
    await running(page);
  };
  // Ten years ahead, and back before the last use: the case stays in the list.
  for (const days of [3650, -400]) {
    await at(days);
    await page.wait('document.getElementById("clock")');
    expect(await page.evaluate('document.querySelectorAll("#kept [data-kept]").length')).toBe(1);
    expect(await page.evaluate('document.getElementById("kept-past")')).toBe(null);
  }
  await at(1);
  expect(await page.evaluate('document.getElementById("clock")')).toBe(null);

  // Past its day it is folded away, told of, and still opens.
  await at(400);
  await page.click('#clock-right');
  await page.wait('document.getElementById("kept-past")');
  expect(await page.evaluate('document.querySelectorAll("#kept").length')).toBe(0);
  await page.reload();
  await running(page);
  expect(await page.evaluate(notices)).toContain('1 kept case is past its day');
  await page.click('#kept-past > summary');
  await page.click('#kept-past [id^=open-]');
  await type(page, 'open-phrase', phrase);
  await page.click('#open-go');
  await page.wait(`document.getElementById("support")?.value === ${JSON.stringify(note)}`);
  // A change keeps it for longer; deleting is a person's tap.
  await page.fill('#support', `${note}!`);
  await written(page);
  await nextPatient(page);
  await page.wait('document.querySelector("#kept [data-kept]")');
  await page.click('#kept [id^=drop-]');
  await page.click('#kept [id^=drop-yes-]');
  await page.wait('document.getElementById("kept-none")');
  await page.reload();
  await running(page);
  expect(await page.evaluate('document.getElementById("missing")')).toBe(null);
});

// A disk without room, as a browser tells it: every writing is refused.
const full = `(() => {
  const put = IDBObjectStore.prototype.put;
  window.tries = 0;
  IDBObjectStore.prototype.put = function (...args) {
    if (window.room) return put.apply(this, args);
    window.tries++;
    throw new DOMException("full", "QuotaExceededError");
  };
})()`;

test('after one refused writing nothing is written until a person says so', async ({ open, server }) => {
  const page = await open(chromium);
  await enterCase(page, server.url, note);
  await keep(page);
  await page.evaluate(full);
  await page.fill('#support', 'not on the disk');
  await page.wait('document.getElementById("unkept")');
  expect(await page.evaluate('document.getElementById("unkept").innerText')).toContain('Nothing more is written');
  for (const more of ['a', 'b', 'c']) {
    await page.fill('#support', `not on the disk ${more}`);
    await page.evaluate('plainleafKeep.flush()');
  }
  expect(await page.evaluate('window.tries')).toBe(1);
  // The case can go to a file, and what was kept before is whole.
  const [download] = await Promise.all([page.playwright.waitForEvent('download'), page.click('#unkept-save')]);
  expect(JSON.parse(await readFile(await download.path(), 'utf8')).format).toBe('plainleaf-kept');
  await page.reload();
  await running(page);
  await unlock(page);
  // With room again a tap is enough.
  await page.evaluate(full);
  await page.fill('#support', 'written after all');
  await page.wait('document.getElementById("unkept")');
  await page.evaluate('window.room = true');
  await page.click('#unkept-again');
  await page.wait('!document.getElementById("unkept")');
  await page.reload();
  await running(page);
  await type(page, 'cover-phrase', phrase);
  await page.click('#cover-go');
  await page.wait('document.getElementById("support")?.value === "written after all"');
});

test('kept cases and a draft that the browser lost are told', async ({ open, server }) => {
  const page = await open(chromium);
  await enterCase(page, server.url, note);
  await keep(page);
  await nextPatient(page);
  await enterCase(page, server.url, 'another');
  await page.goto(`${server.url}/licences.txt`); // no program that writes
  await page.evaluate(`indexedDB.databases().then(([{ name }]) => new Promise((done) => {
    indexedDB.deleteDatabase(name).onsuccess = () => done(true);
  }))`);
  await start(page, `${server.url}/en/`);
  await page.wait('document.getElementById("missing")');
  expect(await page.evaluate('document.getElementById("missing").innerText')).toContain('1 kept case is no longer on this device');
  expect(await page.evaluate(notices)).toContain('There was an open case on this device');
  await page.click('#missing-seen');
  await page.reload();
  await running(page);
  expect(await page.evaluate('document.getElementById("missing")')).toBe(null);
  expect(await page.evaluate(notices)).not.toContain('There was an open case');
});

test('clearing can be undone for thirty seconds, then the app starts anew', async ({ open, server }) => {
  const page = await open(chromium);
  await page.playwright.clock.install();
  await enterCase(page, server.url, note);
  const keys = `(async () => {
    const found = [];
    for await (const dir of (await navigator.storage.getDirectory()).values())
      for await (const [name, file] of dir.entries())
        if (name.startsWith("draft-")) found.push(Array.from(new Uint8Array(await (await file.getFile()).arrayBuffer())).join());
    return found;
  })()`;
  const [first] = await page.evaluate(keys);
  await page.click('#clear');
  await page.click('#clear-yes');
  await page.wait('document.getElementById("cleared-undo")');
  expect(await page.evaluate(keys)).toEqual([]);
  await page.click('#cleared-undo');
  await page.wait(`document.getElementById("support")?.value === ${JSON.stringify(note)}`);
  await page.playwright.clock.runFor(1000);
  await written(page);
  const [second] = await page.evaluate(keys);
  expect(second).toBeTruthy();
  expect(second).not.toBe(first);
  await page.reload();
  await running(page);
  await page.wait(`document.getElementById("support")?.value === ${JSON.stringify(note)}`);

  await page.click('#clear');
  await page.click('#clear-yes');
  await page.wait('document.getElementById("cleared-undo")');
  await page.evaluate('window.before = true');
  await page.playwright.clock.runFor(29_000);
  expect(await page.evaluate('window.before')).toBe(true);
  await page.playwright.clock.runFor(2000);
  await page.wait('window.before === undefined');
  await running(page);
  expect(await page.evaluate('document.querySelectorAll(\'.tooth[aria-checked="true"]\').length')).toBe(0);
});

test('another case gets another key, and the one before is overwritten', async ({ open, server }) => {
  const page = await open(chromium);
  await enterCase(page, server.url, note);
  const names = `(async () => {
    const found = [];
    for await (const dir of (await navigator.storage.getDirectory()).values()) for await (const name of dir.keys()) if (name.startsWith("draft-")) found.push(name);
    return found;
  })()`;
  const first = await page.evaluate(names);
  await page.click('#demo-case');
  await page.wait(`document.querySelectorAll('.tooth[aria-checked="true"]').length === 10`);
  await written(page);
  const second = await page.evaluate(names);
  expect(first.length).toBe(1);
  expect(second.length).toBe(1);
  expect(second).not.toEqual(first);
});

for (const [name, engine, script] of [
  ['webkit, which has no such files', webkit],
  ['chromium without them', chromium, 'delete StorageManager.prototype.getDirectory'],
]) {
  test(`${name}: an open case is in memory only, and it is said`, async ({ open, server }) => {
    const page = await open(engine);
    if (script) await page.playwright.addInitScript(script);
    await enterCase(page, server.url, note);
    expect(await page.evaluate('document.getElementById("keep-memory").innerText')).toContain('a reload loses it');
    await page.reload();
    await running(page);
    expect(await page.evaluate('document.querySelectorAll(\'.tooth[aria-checked="true"]\').length')).toBe(0);
    expect(await page.evaluate(notices)).not.toContain('There was an open case');
  });
}

test('no control leaves what was typed to the browser', async ({ open, server }) => {
  const page = await open(chromium);
  await start(page, `${server.url}/en/?demo`);
  const views = await page.evaluate('[...document.querySelectorAll("nav[data-menu=views] a")].map((a) => a.getAttribute("href"))');
  let seen = 0;
  for (const view of views) {
    await unfold(page);
    await page.evaluate(`document.querySelector('nav[data-menu=views] a[href="${view}"]').click()`);
    await page.wait(`location.pathname === ${JSON.stringify(view)}`);
    await page.evaluate('document.querySelectorAll("details").forEach((d) => { d.open = true; })');
    await page.evaluate('new Promise((done) => setTimeout(done, 300))');
    const controls = await page.evaluate('[...document.querySelectorAll("input, select, textarea")].map((e) => [e.id, e.getAttribute("autocomplete")])');
    seen += controls.length;
    expect(controls.filter(([, value]) => value !== 'off')).toEqual([]);
  }
  expect(seen).toBeGreaterThan(100);
});
