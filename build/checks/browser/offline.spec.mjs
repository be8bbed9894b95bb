// The README's first command, as a newcomer runs it: a fresh copy of the tree, the
// address that the command prints, and then no server.
import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { engines } from './engines.mjs';
import { Started, freePort, reachable, root } from './site.mjs';
import { expect, readyOffline, running, start, test, unreachable } from './test.mjs';

const noUpdate = (page) => expect(page.evaluate('document.querySelector(\'[data-bar="Update"]\') === null'), 'a new version is offered where there is none').resolves.toBe(true);

test('what make run serves goes on without its server, in every engine', async ({ open }) => {
  test.setTimeout(480_000); // it builds everything
  const [, first] = readFileSync(path.join(root, 'README.md'), 'utf8').match(/^## Start\n\n {4}(.+?) +#/m);
  expect(first).toBe('make run');

  const copy = mkdtempSync(path.join(os.tmpdir(), 'plainleaf-copy-'));
  let command;
  try {
    execFileSync('sh', ['-c', 'git ls-files -z --cached --others --exclude-standard --deduplicate | tar -c --null --ignore-failed-read -T - | tar -x -C "$0"', copy], { cwd: root, stdio: ['ignore', 'inherit', 'ignore'] });
    const port = await freePort();
    command = new Started('make', ['run', `PORT=${port}`], { cwd: copy });
    for (let up = false; !up; up = await fetch(`http://127.0.0.1:${port}/`).then((r) => r.ok, () => false)) {
      if (command.over) throw new Error(`make run ended:\n${command.said}`);
      await new Promise((done) => setTimeout(done, 200));
    }
    const [address] = await command.tells(String.raw`http://127\.0\.0\.1:${port}\S*`);
    const origin = new URL(address).origin;

    const pages = [];
    for (const engine of engines) {
      await test.step(`${engine.name} opens ${address}`, async () => {
        const page = await open(engine);
        await start(page, address);
        await readyOffline(page);
        await noUpdate(page);
        pages.push(page);
      });
    }

    await command.stop('SIGINT');
    expect(await reachable(origin)).toBe(false);
    for (const page of pages) {
      await test.step(`${page.engine.name} goes on offline`, async () => {
        await unreachable(page);
        await noUpdate(page); // nor a moment later
        await page.reload();
        await running(page);
        await readyOffline(page);
        await noUpdate(page);
        for (const place of ['/', '/ar/evidence/']) {
          await start(page, origin + place);
          expect(await page.evaluate('document.querySelectorAll("#app h1").length'), place).toBe(1);
        }
        await page.close();
      });
    }
  } finally {
    await command?.stop();
    rmSync(copy, { recursive: true, force: true });
  }
});
