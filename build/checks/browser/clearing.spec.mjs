// Clearing destroys: what the browser leaves on the disk is searched for the words of
// the case, for its key, and for any bytes that open the draft.
import { chromium, firefox } from './engines.mjs';
import { enterCase } from './case.mjs';
import { files, holding, holdingKey, opens } from './disk.mjs';
import { expect, running, start, test } from './test.mjs';

const words = ['zebra lantern', 'violet harbour'];

// draft gives what is stored of the open case: the encrypted text, and the key's bytes
// as they are in the file.
async function draft(page) {
  const got = await page.evaluate(`(async () => {
    const [{ name }] = await indexedDB.databases();
    const db = await new Promise((done) => { const q = indexedDB.open(name); q.onsuccess = () => done(q.result); });
    const get = (store, key) => new Promise((done) => { const q = db.transaction(store).objectStore(store).get(key); q.onsuccess = () => done(q.result); });
    const box = await get("setting", "draft") || await get("draft", "text");
    db.close();
    let key = [];
    const root = await navigator.storage.getDirectory();
    for await (const dir of root.values()) {
      for await (const [name, file] of dir.entries()) {
        if (name === box.key) key = [...new Uint8Array(await (await file.getFile()).arrayBuffer())];
      }
    }
    return { iv: [...box.iv], data: [...box.data], key };
  })()`);
  return { iv: Buffer.from(got.iv), data: Buffer.from(got.data), key: Buffer.from(got.key) };
}

async function clear(page) {
  await page.click('#clear');
  await page.click('#clear-yes');
  await page.wait('document.getElementById("cleared-about")');
}

// The beginning of the text of a draft, as the program writes it.
const beginning = '{"version":2,"case"';

for (const engine of [chromium, firefox]) {
  test(`${engine.name}: nothing opens a case that was cleared`, async ({ open, server }) => {
    const page = await open(engine);
    await enterCase(page, server.url, ...words);
    const stored = await draft(page);
    expect(stored.key.length).toBe(32);
    await clear(page);
    await page.evaluate('window.before = true');
    await page.click('#cleared-next');
    await page.wait('window.before === undefined');
    await running(page);
    await page.close({ keep: true });
    const all = await files(page.profile);
    expect(all.length).toBeGreaterThan(10);
    expect(holding(all, words)).toEqual([]);
    expect(holdingKey(all, stored.key)).toEqual([]);
    const { found, tried } = opens(all, stored, beginning);
    expect(found).toEqual([]);
    expect(tried).toBeGreaterThan(10_000);
  });

  // A stop without any warning while the case can still be brought back.
  test(`${engine.name}: nothing opens it after a kill within the time for undoing`, async ({ open, server }) => {
    const page = await open(engine);
    await enterCase(page, server.url, ...words);
    const stored = await draft(page);
    await clear(page);
    await page.kill();
    const all = await files(page.profile);
    expect(holding(all, words)).toEqual([]);
    expect(holdingKey(all, stored.key)).toEqual([]);
    expect(opens(all, stored, beginning).found).toEqual([]);
  });

  // The search sees what it looks for: a case that was not cleared has its key here,
  // and comes back.
  test(`${engine.name}: a kill keeps a case that is open`, async ({ open, server }) => {
    const page = await open(engine);
    await enterCase(page, server.url, ...words);
    const stored = await draft(page);
    await page.kill();
    const all = await files(page.profile);
    expect(holding(all, words)).toEqual([]);
    expect(holdingKey(all, stored.key).length).toBe(1);
    expect(opens(all, stored, beginning).found.length).toBe(1);
    const back = await open(engine, { profile: page.profile });
    await start(back, `${server.url}/en/`);
    await back.wait(`document.getElementById("support")?.value === ${JSON.stringify(words[0])}`);
  });
}
