// The patient's side: each page of each example case says at most 120 words and fits one
// screen of a tablet, in three languages; nothing private is on it; axe finds nothing; it
// goes by the keyboard alone.
import { readFileSync, readdirSync } from 'node:fs';
import path from 'node:path';
import { AxeBuilder } from '@axe-core/playwright';
import { chromium } from './engines.mjs';
import { root } from './site.mjs';
import { expect, running, start, test, unfold } from './test.mjs';

const cases = path.join(root, 'testdata', 'cases');
const tablet = { width: 1180, height: 820 };

// turn opens a case on the screen of the options and turns to the patient's side; false
// where the case has nothing to show yet.
async function turn(page, url, lang, name) {
  const p = page.playwright;
  await start(page, `${url}/${lang}/`);
  const before = await p.textContent('#summary p');
  await p.setInputFiles('#open-case', path.join(cases, name));
  await page.wait(`document.querySelector("#summary p").textContent !== ${JSON.stringify(before)}`);
  await p.evaluate((to) => document.querySelector(`nav[data-menu=views] a[href$="/${to}/numbers/"]`).click(), lang);
  await page.wait('document.getElementById("app").dataset.view === "numbers"');
  if (await p.locator('#turn').count() === 0) return false;
  await p.click('#turn');
  await page.wait('document.querySelector(".show")');
  return true;
}

const look = () => ({
  title: document.getElementById('head').textContent,
  words: [...document.querySelectorAll('.page :is(h1, h2, p, th, td, span, figcaption)')].filter((e) => !e.matches('.number') && !e.querySelector('h1, h2, p, span'))
    .flatMap((e) => e.textContent.split(/\s+/)).filter(Boolean).length,
  over: document.querySelector('.page').scrollHeight - document.querySelector('.page').clientHeight,
  at: 1 + [...document.querySelectorAll('.dot')].findIndex((e) => e.matches('.now')),
  of: document.querySelectorAll('.dot').length,
});

test('every page of every case is short and fits the screen, in three languages', async ({ open, server }) => {
  test.setTimeout(900_000);
  let seen = 0;
  for (const name of readdirSync(cases)) {
    const page = await open(chromium); // of its own profile, without the case before
    const p = page.playwright;
    await p.setViewportSize(tablet);
    let turned = await turn(page, server.url, 'en', name);
    for (const lang of turned ? ['en', 'es', 'ar'] : []) {
      if (!turned) {
        await unfold(page);
        await p.evaluate((to) => document.querySelector(`nav[data-menu=languages] a[hreflang=${to}]`).click(), lang);
        await page.wait(`document.getElementById("app").dataset.lang === "${lang}"`);
        await p.click('#turn');
        await page.wait('document.querySelector(".show")');
      }
      turned = false;
      const keys = new Set();
      for (let last = false; !last;) {
        const at = await p.evaluate(look);
        keys.add(at.title);
        seen += 1;
        expect.soft(at.words, `${name}, ${lang}: ${at.title}`).toBeLessThanOrEqual(120);
        expect.soft(at.over, `${name}, ${lang}: ${at.title} does not fit`).toBeLessThanOrEqual(1);
        last = at.at === at.of;
        await p.click(last ? '#return' : '#go-on');
        await page.wait(last ? '!document.querySelector(".show")' : `document.getElementById("head").textContent !== ${JSON.stringify(at.title)}`);
      }
      expect(keys.size, name).toBeGreaterThanOrEqual(2);
    }
    await page.close();
  }
  expect(seen).toBeGreaterThan(300);
});

test('nothing private is in the page, and the dentist\'s side is one button away', async ({ open, server }) => {
  const page = await open(chromium);
  const p = page.playwright;
  const words = JSON.parse(readFileSync(path.join(root, 'i18n', 'en.json'), 'utf8'));
  await turn(page, server.url, 'en', 'waits-private.json');
  for (;;) {
    const html = await p.evaluate(() => document.body.innerHTML);
    for (const key of ['body-dysmorphic-concern', 'eating-disorder', 'pregnancy', 'pressure-from-others', 'unrealistic-expectations', 'reflux-vomiting', 'many-earlier-dentists']) {
      expect(html.includes(words[`finding.${key}.name`]) || html.includes(key), key).toBe(false);
    }
    if ((await p.textContent('#go-on')) === words['talk.next.home']) break;
    await p.click('#go-on');
    await p.waitForTimeout(50);
  }
  await p.click('#return');
  await page.wait('document.getElementById("app").dataset.view === "numbers"');
  await running(page);
});

test('by the keyboard alone, with a fact put first, and axe finds nothing', async ({ open, server }) => {
  const page = await open(chromium);
  const p = page.playwright;
  await p.setViewportSize(tablet);
  await turn(page, server.url, 'en', 'two-teeth.json');
  const until = async (match) => {
    for (let i = 0; i < 40; i += 1) {
      await p.keyboard.press('Tab');
      if (await p.evaluate((m) => document.activeElement.matches(m), match)) return;
    }
    throw new Error(`the tab key never reaches ${match}`);
  };
  for (let pages = 1; await p.locator('.show').count() > 0; pages += 1) {
    expect(pages).toBeLessThan(10);
    const { violations } = await new AxeBuilder({ page: p }).analyze();
    expect(violations.map((v) => `${v.id}: ${v.nodes[0].html}`)).toEqual([]);
    if (await p.locator('#options-undo').count() > 0) {
      const before = await p.getAttribute('#options-undo', 'aria-pressed');
      await until('#options-undo');
      await p.keyboard.press('Enter');
      await page.wait(`document.getElementById("options-undo").getAttribute("aria-pressed") !== "${before}"`);
    }
    const title = await p.textContent('#head');
    await until('#go-on');
    await p.keyboard.press('Enter');
    await page.wait(`!document.querySelector(".show") || document.getElementById("head").textContent !== ${JSON.stringify(title)}`);
  }
  await page.wait('document.getElementById("app").dataset.view === "sheets"');
});
