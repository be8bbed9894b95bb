// The parts of the screens as build/gallery shows them: what axe finds, how large the
// targets are, the keys of the chart and of the answers.
import { execFileSync } from 'node:child_process';
import { once } from 'node:events';
import { readFile } from 'node:fs/promises';
import http from 'node:http';
import path from 'node:path';
import { AxeBuilder } from '@axe-core/playwright';
import { chromium } from './engines.mjs';
import { out, root } from './site.mjs';
import { expect, test } from './test.mjs';

const dir = path.join(out, 'gallery');
const pages = ['mouth', 'at-tooth', 'places', 'states', 'settle', 'found', 'options', 'chosen', 'tooth', 'pairs', 'six', 'uncertain'];
const types = { '.html': 'text/html', '.js': 'text/javascript', '.css': 'text/css', '.wasm': 'application/wasm' };
let server;
let url;

test.beforeAll(async () => {
  execFileSync('go', ['run', './build/gallery/write', dir], { cwd: root, stdio: ['ignore', 'inherit', 'inherit'] });
  server = http.createServer(async (request, response) => {
    const file = path.join(dir, request.url.replace(/\/$/, '/index.html'));
    const data = await readFile(file).catch(() => null);
    response.writeHead(data ? 200 : 404, { 'content-type': types[path.extname(file)] ?? 'text/plain' }).end(data);
  }).listen(0, '127.0.0.1');
  await once(server, 'listening');
  url = `http://127.0.0.1:${server.address().port}`;
});

test.afterAll(() => {
  server.closeAllConnections();
  server.close();
});

const sizes = { tablet: { width: 1180, height: 820 }, phone: { width: 390, height: 844 } };

async function show(page, name, lang = 'en') {
  await page.goto(`${url}/${lang}/${name}/`);
  await page.wait('document.getElementById("head")');
}

// small lists the targets that are smaller than they have to be. A tooth and a mark are
// as large as what takes the tap.
const small = () => [...document.querySelectorAll('button, input, textarea, [data-stop]')].flatMap((e) => {
  const r = (e.querySelector('.room') ?? (e.matches('.pair') ? e.querySelector('circle') : e)).getBoundingClientRect();
  const least = e.matches('.answer') ? 72 : 44;
  return r.width === 0 || (r.width >= least - 0.1 || e.matches('.answer')) && r.height >= least - 0.1 ? [] : [`${e.id} ${r.width.toFixed(1)} by ${r.height.toFixed(1)}`];
});

for (const [size, viewport] of Object.entries(sizes)) {
  for (const lang of ['en', 'ar']) {
    test(`every part, ${size}, ${lang}: axe finds nothing, fingers meet all, nothing is cut`, async ({ open }) => {
      const page = await open(chromium);
      await page.playwright.setViewportSize(viewport);
      for (const colorScheme of lang === 'en' && size === 'tablet' ? ['light', 'dark'] : ['light']) {
        await page.playwright.emulateMedia({ colorScheme });
        for (const name of pages) {
          await show(page, name, lang);
          const { violations, passes } = await new AxeBuilder({ page: page.playwright }).analyze();
          expect(passes.length, name).toBeGreaterThan(10);
          expect(violations.map((v) => `${name}, ${colorScheme}: ${v.id}: ${v.nodes.map((n) => n.html).join(' ')}`)).toEqual([]);
          if (colorScheme === 'dark') continue;
          expect(await page.evaluate(() => document.querySelectorAll('button, [data-stop]').length), name).toBeGreaterThan(3);
          expect(await page.evaluate(small), name).toEqual([]);
          expect(await page.evaluate(() => document.documentElement.scrollWidth - innerWidth), `${name} is wider than the screen`).toBeLessThanOrEqual(0);
        }
      }
    });
  }
}

test('the chart is one stop: arrows move, space chooses, shift takes a range', async ({ open }) => {
  const page = await open(chromium);
  const { keyboard } = page.playwright;
  const here = () => page.evaluate('document.activeElement.id');
  const chosen = () => page.evaluate(() => [...document.querySelectorAll('#chart .chosen')].map((t) => t.dataset.stop).join(' '));
  await show(page, 'mouth');
  await page.playwright.locator('#quick-list').focus();
  await page.playwright.locator('#quick-10').focus();
  await keyboard.press('Tab');
  expect(await here()).toBe('chart-21');
  await keyboard.press('ArrowRight');
  expect(await here()).toBe('chart-22');
  await keyboard.press('ArrowDown');
  expect(await here()).toBe('chart-32');
  await keyboard.press('ArrowUp');
  await keyboard.press('End');
  expect(await here()).toBe('chart-28');
  expect(await page.evaluate(() => document.querySelectorAll('#chart [tabindex="0"]').length)).toBe(1);
  await keyboard.press(' ');
  await page.wait('document.querySelector("#chart-28").getAttribute("aria-checked") === "true"');
  expect(await chosen()).toBe('28');
  await keyboard.press('Shift+ArrowLeft');
  await keyboard.press('Shift+ArrowLeft');
  await page.wait('document.querySelectorAll("#chart .chosen").length === 3');
  expect(await chosen()).toBe('26 27 28');
  expect(await here()).toBe('chart-26');
  await keyboard.press('Tab');
  expect(await here()).toBe('find');
  // A tap goes where the finger is, and moves the stop.
  await page.click('#chart-13');
  await page.wait('document.querySelector("#chart-13").getAttribute("aria-checked") === "false"');
  expect(await page.evaluate(() => document.querySelector('#chart [tabindex="0"]').id)).toBe('chart-13');
});

test('places between teeth are walked and tapped', async ({ open }) => {
  const page = await open(chromium);
  await show(page, 'places');
  await page.playwright.locator('#done').focus();
  await page.playwright.keyboard.press('Tab');
  expect(await page.evaluate('document.activeElement.id')).toBe('chart-15-14');
  await page.playwright.keyboard.press('ArrowRight');
  await page.playwright.keyboard.press(' ');
  await page.wait('document.querySelector("#chart-14-13").matches(".yes")');
  await page.click('#chart-14-13');
  await page.wait('document.querySelector("#chart-14-13").matches(".blank")');
});

for (const [lang, forward] of [['en', 'ArrowRight'], ['ar', 'ArrowLeft']]) {
  test(`arrows pass over answers and give none, ${lang}`, async ({ open }) => {
    const page = await open(chromium);
    const { keyboard } = page.playwright;
    const given = () => page.evaluate(() => [...document.querySelectorAll('#answer [aria-checked="true"]')].map((a) => a.id).join());
    await show(page, 'tooth', lang);
    await page.playwright.locator('#flip').focus();
    await keyboard.press('Tab');
    await keyboard.press(forward);
    expect(await page.evaluate('document.activeElement.id')).toBe('answer-ask');
    expect(await given()).toBe('');
    await keyboard.press(' ');
    await page.wait('document.querySelector("#answer-ask[aria-checked=true]")');
    await page.click('#answer-no');
    await page.wait('document.querySelector("#answer-no[aria-checked=true]")');
    expect(await given()).toBe('answer-no');
  });
}

test('the chart is never mirrored', async ({ open }) => {
  const page = await open(chromium);
  const places = () => page.evaluate(() => ['18', '11', '21', '28', '48', '38'].map((t) => {
    const chart = document.getElementById('chart').getBoundingClientRect();
    const room = document.querySelector(`#chart-${t} .room`).getBoundingClientRect();
    return Math.round((room.left - chart.left) / chart.width * 100);
  }));
  await show(page, 'mouth', 'en');
  const en = await places();
  await show(page, 'mouth', 'ar');
  expect(await places()).toEqual(en);
  expect(en[0]).toBeLessThan(en[1]);
  expect(en[2]).toBeLessThan(en[3]);
});

test('the heads and the facts of the table stay in view', async ({ open }) => {
  const page = await open(chromium);
  await page.playwright.setViewportSize({ width: 390, height: 500 });
  await show(page, 'options');
  const seen = await page.evaluate(() => {
    const frame = document.getElementById('options');
    const box = frame.getBoundingClientRect();
    frame.scrollTo(180, 120);
    const head = frame.querySelector('thead th').getBoundingClientRect();
    const fact = frame.querySelector('#options-downside').getBoundingClientRect();
    const widths = [...frame.querySelectorAll('thead th')].map((h) => h.getBoundingClientRect().width);
    return { scrolled: [frame.scrollLeft !== 0, frame.scrollTop !== 0], top: head.top - box.top, left: fact.left - box.left, two: 2 * widths[0] <= box.width };
  });
  expect(seen.scrolled).toEqual([true, true]);
  expect(Math.abs(seen.top)).toBeLessThan(2);
  expect(seen.left).toBeGreaterThanOrEqual(0);
  expect(seen.left).toBeLessThan(40);
  expect(seen.two).toBe(true);
});

test('what is typed stays, and what the screen sets shows', async ({ open }) => {
  const page = await open(chromium);
  await show(page, 'settle');
  const why = () => page.evaluate('document.getElementById("why").value');
  await page.playwright.locator('#why').focus();
  await page.playwright.keyboard.type('I want it sooner');
  await page.click('#way-1');
  expect(await why()).toBe('I want it sooner');
  await page.click('#way-2');
  await page.wait('document.getElementById("why").value === ""');
  await page.playwright.locator('#why').focus();
  await page.playwright.keyboard.type('Now');
  await page.click('#way-1');
  expect(await why()).toBe('Now');
  expect(await page.evaluate('document.getElementById("chart-number").value')).toBe('4502');
});

test('larger print and 400 % zoom: nothing is wider than the screen', async ({ open }) => {
  const page = await open(chromium);
  for (const [width, height, size] of [[1180, 820, '200%'], [320, 256, '100%']]) {
    await page.playwright.setViewportSize({ width, height });
    for (const name of pages) {
      await show(page, name);
      await page.evaluate((s) => { document.documentElement.style.fontSize = s; }, size);
      const over = await page.evaluate(() => [
        ...document.documentElement.scrollWidth > innerWidth ? [`the page has ${document.documentElement.scrollWidth} of ${innerWidth}`] : [],
        ...[...document.querySelectorAll('button')].filter((b) => b.scrollWidth > b.clientWidth + 1 || b.scrollHeight > b.clientHeight + 1).map((b) => b.id),
      ]);
      expect(over, `${name} at ${width}, ${size}`).toEqual([]);
    }
  }
});
