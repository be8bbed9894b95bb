// What the tests share: windows that close with the test, a server that stops with
// it, and the words in which a person would tell what they see.
import { test as base, expect } from '@playwright/test';
import { Server } from './site.mjs';

export { expect };

export const test = base.extend({
  // A server of the built site; stop it to be offline, start it to be back.
  server: async ({}, use) => {
    const server = await new Server().start();
    await use(server);
    await server.stop();
  },
  // open(engine) opens a window of its own profile.
  open: async ({}, use) => {
    const pages = [];
    await use(async (engine, options) => {
      const page = await engine.open(options);
      pages.push(page);
      return page;
    });
    for (const page of pages.reverse()) await page.close();
  },
});

// running waits until the program has taken over the page and shows a screen.
export const running = (page) => page.wait('document.documentElement.dataset.state === "running" && document.getElementById("app").dataset.view');

// readyOffline waits until the page says that it can do without a network.
export const readyOffline = (page) => page.wait('document.getElementById("offline") && document.getElementById("offline").textContent');

// start opens a page of the app and waits until it runs.
export async function start(page, url) {
  await page.goto(url);
  return running(page);
}

// unfold opens the menu of the new side where it is shut; the old side's is always there.
export async function unfold(page) {
  if (!await page.evaluate('!!document.querySelector(".enter") && !document.querySelector("nav[data-menu=views]")')) return;
  await page.click('#fold-views');
  await page.wait('document.querySelector("nav[data-menu=views]")');
}

// unreachable asserts that the page can fetch nothing from its server: a test of
// offline use asserts it first, or it may prove nothing. The worker never answers
// for its own file.
export async function unreachable(page) {
  const answered = await page.evaluate('fetch(document.documentElement.dataset.base + "worker.js?" + Math.random(), { cache: "no-store" }).then(() => true, () => false)');
  expect(answered, 'the server can still be reached').toBe(false);
}
