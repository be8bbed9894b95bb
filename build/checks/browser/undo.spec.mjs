// Undo takes the last edits of the case back, one by one, by its button and by its key.
import { chromium } from './engines.mjs';
import { expect, start, test } from './test.mjs';

const chosen = '[...document.querySelectorAll(\'.tooth[aria-checked="true"]\')].length';

test('undo takes the last edits back, and never what is typed in a field', async ({ open, server }) => {
  const page = await open(chromium);
  const p = page.playwright;
  await start(page, `${server.url}/en/`);
  expect(await p.locator('#undo').count(), 'nothing to undo yet').toBe(0);
  await page.click('#quick-front6');
  await page.wait(`${chosen} === 6`);
  await p.locator('.tooth[aria-checked="true"]').first().click();
  await page.wait(`${chosen} === 5`);
  await page.click('#undo');
  await page.wait(`${chosen} === 6`);
  expect(await p.textContent('#notices')).toContain('undone');
  await page.evaluate('document.querySelectorAll("details").forEach((d) => { d.open = true; })');
  await p.focus('#wish-own');
  await p.keyboard.type('whiter');
  await p.keyboard.press('Control+z'); // the browser's own, in the field
  await page.wait(`${chosen} === 6`);
  await p.locator('h1').click();
  for (let i = 0; i < 5 && await p.locator('#undo').count() > 0; i += 1) {
    await p.keyboard.press('Control+z');
    await p.waitForTimeout(100);
  }
  await page.wait(`${chosen} === 0 && !document.getElementById("undo")`);
});
