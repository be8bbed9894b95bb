import { AxeBuilder } from '@axe-core/playwright';
import { chromium } from './engines.mjs';
import { expect, start, test } from './test.mjs';

for (const tag of ['en', 'ar']) {
  test(`axe finds nothing on the first screen, ${tag}`, async ({ open, server }) => {
    const page = await open(chromium);
    await start(page, `${server.url}/${tag}/`);
    const { violations, passes } = await new AxeBuilder({ page: page.playwright }).analyze();
    expect(passes.length).toBeGreaterThan(10);
    expect(violations.map((v) => `${v.id}: ${v.nodes.map((n) => n.html).join(' ')}`)).toEqual([]);
  });
}
