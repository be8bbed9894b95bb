import { engines } from './engines.mjs';
import { expect, start, test } from './test.mjs';

for (const engine of engines) {
  test(`${engine.name}: the app starts and shows its first screen`, async ({ open, server }) => {
    const page = await open(engine);
    expect(await start(page, `${server.url}/en/`)).toBeTruthy();
    expect(await page.evaluate('document.querySelectorAll("#app h1").length')).toBe(1);
  });
}
