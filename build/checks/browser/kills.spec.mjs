// The browser is killed while somebody edits, signs, seals or keeps a case. What the
// screen or the keeping script had acknowledged before is there after a new start.
// PLAINLEAF_WHOLE=1 kills sixty times; the usual run ten times.
import { execFileSync } from 'node:child_process';
import { cp, mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import os from 'node:os';
import path from 'node:path';
import { chromium } from './engines.mjs';
import { enterCase, written } from './case.mjs';
import { command } from './site.mjs';
import { expect, start, test, unfold } from './test.mjs';

const kills = process.env.PLAINLEAF_WHOLE ? 60 : 10;
const phrase = 'four words by heart';
const note = 'zebra lantern';

// Moments differ between kills and are the same at each run.
let seed = 14;
const random = (from, to) => {
  seed = (seed * 1103515245 + 12345) % 2 ** 31;
  return from + Math.floor(seed / 2 ** 31 * (to - from));
};
const pause = (ms) => new Promise((done) => setTimeout(done, ms));
const type = (page, id, text) => page.playwright.locator(`#${id}`).fill(text);
const walk = async (page, view) => {
  await unfold(page);
  await page.evaluate((to) => document.querySelector(`nav[data-menu=views] a[href$="/en/${to}"]`).click(), view);
  await page.wait(`document.getElementById("app").dataset.view === ${JSON.stringify(view.replace('/', '') || 'case')}`);
};

// consent opens the demo case with what holds back its consent settled.
async function consent(page, url) {
  await start(page, `${url}/en/?demo`);
  await page.wait(`document.querySelectorAll('.tooth[aria-checked="true"]').length === 10`);
  await walk(page, 'sheets/');
  await page.click('label:has(#kind-consent)');
  for (const [button, what] of [['settle-one-dark-tooth', 'wait'], ['settle-trial-smile', 'trial-smile']]) {
    await page.click(`#${button}`);
    await page.wait(`!document.querySelector('#open-points [data-open="${what}"]')`);
  }
  await page.click('#open-points [data-open="questions"] a');
  await page.wait('document.getElementById("question-1")');
  await type(page, 'question-1', 'Only with a drill.');
  await walk(page, 'sheets/');
  await page.wait(`!document.querySelector('#open-points [data-open="questions"]')`);
  if (await page.evaluate(`!!document.querySelector('#open-points [data-open="thinking-time"]')`)) {
    await type(page, 'waive-thinking-time', 'I have thought about it since the summer.');
    await page.click('#waive-go-thinking-time');
  }
  await page.wait('!document.getElementById("open-points")');
  await type(page, 'person-name', 'Testperson');
  await page.click('label:has(#decision-agreed)');
  await page.wait('document.getElementById("sign-patient")');
}

async function signTyped(page, role, name) {
  await page.click(`#sign-${role}`);
  await page.click('label:has(#sign-way-typed)');
  await type(page, 'sign-name', name);
  await page.click('#sign-done');
  await page.wait(`document.querySelector('#signers [data-signed="${role}"]')`);
}

const strokes = '((document.querySelector("#sign-pad .drawn")?.getAttribute("d") || "").split("M").length - 1)';

// Each kind of work: the state it begins in, what is done until the kill, and what
// must be there afterwards. act calls acked with what was acknowledged.
const works = {
  editing: {
    prepare: (page, url) => enterCase(page, url, note),
    async act(page, acked) {
      await page.playwright.exposeFunction('acknowledge', acked);
      page.evaluate(`(async () => {
        const field = document.getElementById("support");
        for (let n = 1; ; n++) {
          field.value = "edit " + n;
          field.dispatchEvent(new Event("input"));
          if (await plainleafKeep.flush() === '{"ok":true}') acknowledge(n);
          await new Promise((done) => setTimeout(done, 10));
        }
      })()`).catch(() => {});
      await pause(random(300, 1500));
    },
    async check(page, acked) {
      await page.wait('document.getElementById("support")');
      const value = await page.evaluate('document.getElementById("support").value');
      expect(value).toMatch(acked ? /^edit \d+$/ : /^(edit \d+|zebra lantern)$/);
      if (acked) expect(Number(value.slice(5))).toBeGreaterThanOrEqual(acked);
    },
  },
  signing: {
    async prepare(page, url) {
      await consent(page, url);
      await page.click('#sign-patient');
      await page.wait('document.getElementById("sign-pad")');
    },
    async act(page, acked) {
      const drawing = (async () => {
        await walk(page, 'sheets/');
        await page.wait('document.getElementById("sign-pad")');
        await page.evaluate('document.getElementById("sign-pad").scrollIntoView({ block: "center" })');
        const box = await page.playwright.locator('#sign-pad').boundingBox();
        const at = (x, y) => [box.x + box.width * x, box.y + box.height * y];
        for (let n = 1; n < 60; n++) {
          await page.playwright.mouse.move(...at(0.1 + n / 80, 0.2));
          await page.playwright.mouse.down();
          await page.playwright.mouse.move(...at(0.12 + n / 80, 0.8));
          await page.playwright.mouse.up();
          await page.wait(`${strokes} >= ${n}`);
          await written(page);
          acked(n);
        }
      })();
      drawing.catch(() => {});
      await page.wait(`${strokes} >= 1`);
      await pause(random(0, 1500));
    },
    async check(page, acked) {
      await walk(page, 'sheets/');
      await page.wait('document.getElementById("sign-pad")');
      await page.wait(`${strokes} >= ${acked ?? 0}`);
    },
  },
  sealing: {
    async prepare(page, url) {
      await start(page, `${url}/en/records/`);
      await page.click('#key-make');
      await type(page, 'key-owner', 'Demo Dentist');
      await type(page, 'key-phrase', phrase);
      await type(page, 'key-again', phrase);
      await page.click('#key-go');
      await page.wait('document.getElementById("key-code")');
      await consent(page, url);
      await signTyped(page, 'patient', 'Testperson');
      await signTyped(page, 'dentist', 'Demo Dentist');
    },
    async act(page, acked, n) {
      await walk(page, 'sheets/');
      await page.wait('document.getElementById("seal-phrase")');
      await type(page, 'seal-phrase', phrase);
      const come = page.playwright.waitForEvent('download');
      const sealing = (async () => {
        const file = await readFile(await (await come).path());
        await page.wait('document.getElementById("seal-code")');
        const code = await page.evaluate('document.getElementById("seal-code").textContent');
        await written(page);
        acked({ file, code });
      })();
      sealing.catch(() => {});
      await page.click('#seal-go');
      if (n % 2) await sealing;
      await pause(random(0, n % 2 ? 100 : 2000));
    },
    async check(page, acked) {
      await walk(page, 'sheets/');
      await page.click('label:has(#kind-consent)');
      if (!acked) {
        await page.wait(`document.querySelectorAll("#signers [data-signed]").length === 2 || document.getElementById("purpose-withdrawal")`);
        return;
      }
      await page.wait('document.getElementById("purpose-withdrawal")');
      const dir = await mkdtemp(path.join(os.tmpdir(), 'plainleaf-record-'));
      await writeFile(path.join(dir, 'record.json'), acked.file);
      execFileSync(command, ['verify', '-code', acked.code, path.join(dir, 'record.json')]);
      await rm(dir, { recursive: true });
    },
  },
  keeping: {
    prepare: (page, url) => enterCase(page, url, note),
    async act(page, acked, n) {
      await page.click('#keep-here');
      await type(page, 'keep-phrase', phrase);
      await type(page, 'keep-again', phrase);
      const keeping = page.wait('document.getElementById("recovery")').then(async () => {
        acked(await page.evaluate('document.getElementById("recovery").textContent'));
      });
      keeping.catch(() => {});
      await page.click('#keep-go');
      if (n % 2) await keeping;
      await pause(random(0, n % 2 ? 100 : 1500));
    },
    async check(page, acked) {
      const locked = await page.evaluate('document.getElementById("app").dataset.view === "cover"');
      expect(locked || !acked).toBe(true);
      if (locked) {
        await type(page, 'cover-phrase', acked || phrase);
        await page.click('#cover-go');
      }
      await page.wait(`document.getElementById("support")?.value === ${JSON.stringify(note)}`);
    },
  },
};

for (const [name, work] of Object.entries(works)) {
  const rounds = Math.ceil(kills / Object.keys(works).length);
  test(`killed ${rounds} times while ${name}`, async ({ open, server }) => {
    test.setTimeout(60_000 + rounds * 60_000);
    const first = await open(chromium);
    await work.prepare(first, server.url);
    await written(first);
    await first.close({ keep: true });
    let acknowledged = 0;
    for (let n = 1; n <= rounds; n++) {
      const profile = await mkdtemp(path.join(os.tmpdir(), 'plainleaf-profile-'));
      await cp(first.profile, profile, { recursive: true });
      const page = await open(chromium, { profile });
      await start(page, `${server.url}/en/`);
      let last;
      await work.act(page, (what) => { last = what; }, n);
      await page.kill();
      const back = await open(chromium, { profile });
      await start(back, `${server.url}/en/`);
      await work.check(back, last);
      await back.close();
      if (last) acknowledged++;
    }
    expect(acknowledged, 'nothing was acknowledged, so this proves nothing').toBeGreaterThan(0);
  });
}
