// What other tests rely on: a browser that is killed or closed leaves its profile,
// and the checks see what they look for.
import { engines } from './engines.mjs';
import { expect, start, test, unreachable } from './test.mjs';

for (const engine of engines) {
  test(`${engine.name}: a page can be driven, and a server that answers is seen`, async ({ open, server }) => {
    const page = await open(engine);
    await start(page, `${server.url}/en/`);
    await expect(unreachable(page)).rejects.toThrow('can still be reached');
    expect(await page.evaluate((a, b) => Promise.resolve(a + b.c), 1, { c: 2 })).toBe(3);
    await expect(page.evaluate('Promise.reject(new Error("planted"))')).rejects.toThrow('planted');
    await expect(page.wait('false', 300)).rejects.toThrow('waited');
    await page.evaluate(() => {
      const box = document.createElement('input');
      const button = document.createElement('button');
      box.id = 'planted-box';
      button.id = 'planted-button';
      button.textContent = 'planted';
      button.addEventListener('click', (e) => { if (e.isTrusted) localStorage.setItem('planted', box.value); });
      document.body.prepend(box, button);
    });
    await page.fill('#planted-box', 'word');
    await page.click('#planted-button');
    expect(await page.wait('localStorage.getItem("planted")')).toBe('word');
    if (!engine.keeps) return;
    await page.close({ keep: true });
    const again = await open(engine, { profile: page.profile });
    await start(again, `${server.url}/en/`);
    expect(await again.evaluate('localStorage.getItem("planted")')).toBe('word');
    await again.kill();
    const third = await open(engine, { profile: page.profile });
    await start(third, `${server.url}/en/`);
    expect(await third.evaluate('localStorage.getItem("planted")')).toBe('word');
  });
}
