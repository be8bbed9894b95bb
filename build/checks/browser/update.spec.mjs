// An update that is cut off, at many moments: whole is whole, old or new.
import { execFileSync } from 'node:child_process';
import { appendFileSync, copyFileSync, mkdtempSync, readFileSync, readdirSync, rmSync, statSync } from 'node:fs';
import { once } from 'node:events';
import net from 'node:net';
import os from 'node:os';
import path from 'node:path';
import { chromium } from './engines.mjs';
import { Server, command, site } from './site.mjs';
import { expect, readyOffline, running, start, test, unreachable } from './test.mjs';

const cuts = 27;
const kills = [0, 5, 15, 40, 100, 300]; // milliseconds after the tap

// Wire leads from one port to a server, and can be cut after so many bytes.
class Wire {
  ends = new Set();
  port = 0;

  async connect(server, bytes = Infinity) {
    let left = bytes;
    this.listener = net.createServer((client) => {
      const far = net.connect(server.port, '127.0.0.1');
      for (const end of [client, far]) {
        this.ends.add(end);
        end.on('error', () => {});
        end.on('close', () => { client.destroy(); far.destroy(); this.ends.delete(end); });
      }
      client.pipe(far);
      far.on('data', (data) => {
        if (left <= 0) return;
        client.write(data.subarray(0, left));
        left -= data.length;
        if (left <= 0) client.end(() => this.disconnect());
      });
    }).listen(this.port, '127.0.0.1');
    await once(this.listener, 'listening');
    this.port = this.listener.address().port;
    this.url = `http://127.0.0.1:${this.port}`;
  }

  disconnect() {
    this.listener.close();
    for (const end of this.ends) end.destroy();
  }
}

// update looks for a new version and gives what became of it.
const update = `(async () => {
  const r = await navigator.serviceWorker.ready;
  const became = new Promise((done) => r.addEventListener("updatefound", () => {
    const w = r.installing;
    w.addEventListener("statechange", () => done(w.state));
  }, { once: true }));
  return Promise.race([became, r.update().then(() => became, () => "not fetched")]);
})()`;

// sums asks for files as the page would and gives the digest of each.
const sums = (files) => Promise.all(files.map(async (file) => {
  const response = await fetch('/' + file.replace(/(^|\/)index\.html$/, '$1')).catch(() => null);
  if (!response) return [file, 'missing'];
  const sum = await crypto.subtle.digest('SHA-256', await response.arrayBuffer());
  return [file, Array.from(new Uint8Array(sum), (b) => b.toString(16).padStart(2, '0')).join('')];
}));

// One version of the site, served: what the worker has to keep, file by file.
class Version {
  constructor(name, dir) {
    this.name = name;
    this.server = new Server(dir);
    const { files } = JSON.parse(readFileSync(path.join(dir, 'site.json'), 'utf8'));
    delete files['worker.js']; // is never kept
    this.files = files;
    this.size = (file) => (statSync(path.join(dir, `${file}.br`), { throwIfNoEntry: false }) ?? statSync(path.join(dir, file))).size;
  }

  // weighs what an update from the other version fetches, as it is packed.
  weighs(other) {
    return Object.keys(this.files).filter((f) => this.files[f] !== other.files[f]).reduce((sum, f) => sum + this.size(f), 0);
  }

  // odd lists the files that the page does not get as this version has them.
  async odd(page) {
    const got = Object.fromEntries(await page.evaluate(sums, Object.keys(this.files)));
    return Object.keys(this.files).filter((f) => got[f] !== this.files[f]);
  }
}

test('an update cut off at 33 moments leaves one version whole', async ({ open }) => {
  test.setTimeout(600_000);
  const dir = mkdtempSync(path.join(os.tmpdir(), 'plainleaf-update-'));
  // The second version has the same program with a note at its end.
  const program = path.join(dir, 'app.wasm');
  copyFileSync(path.join(site, readdirSync(site).find((f) => /^app\..*\.wasm$/.test(f))), program);
  appendFileSync(program, Buffer.from([0, 5, 4, ...Buffer.from('next')]));
  const second = path.join(dir, 'site');
  execFileSync(command, ['site', '-wasm', program, '-brotli', '1', '-out', second]);
  let [now, next] = [new Version('first', site), new Version('second', second)];
  const servers = [now.server, next.server];
  const wire = new Wire();
  try {
    await Promise.all(servers.map((s) => s.start()));
    await wire.connect(now.server);
    let page = await open(chromium);
    await start(page, `${wire.url}/en/`);
    await readyOffline(page);

    const seen = { cut: 0, installed: 0, old: 0, new: 0 };

    // whole gives the version that is at hand without a server. It asks for every
    // file, and on demand also opens the app anew, which takes longer.
    const whole = async (moment, anew = true) => {
      wire.disconnect();
      if (anew) await start(page, `${wire.url}/en/`);
      await unreachable(page);
      const odd = {};
      for (const v of [now, next]) {
        odd[v.name] = await v.odd(page);
        if (odd[v.name].length === 0) return v;
      }
      throw new Error(`${moment}: neither version is whole; these files differ: ${JSON.stringify(odd)}`);
    };
    // take taps the bar of a new version. The update after it leads back.
    const bar = '[data-bar="Update"]';
    const take = async () => {
      await page.click(`${bar} button`);
      await page.wait(`!document.querySelector('${bar}')`);
      await running(page);
      expect(await whole('after the tap', false)).toBe(next);
      [now, next] = [next, now];
    };

    for (let i = 0; i < cuts; i++) {
      wire.disconnect();
      // Closer together at first, where the small files come.
      const bytes = Math.ceil(1.2 * next.weighs(now) * (i / (cuts - 1)) ** 2) + 1;
      await wire.connect(next.server, bytes);
      const became = await page.evaluate(update);
      seen[became === 'installed' ? 'installed' : 'cut']++;
      expect(await whole(`${became} after ${bytes} bytes`, i % 9 === 0)).toBe(now);
      if (became === 'installed') await take();
    }

    for (const ms of kills) {
      await wire.connect(next.server);
      expect(await page.evaluate(update)).toBe('installed');
      await page.wait(`document.querySelector('${bar}')`);
      wire.disconnect();
      await page.click(`${bar} button`);
      await new Promise((done) => setTimeout(done, ms));
      await page.kill();
      page = await open(chromium, { profile: page.profile });
      const v = await whole(`killed ${ms} ms after the tap`);
      seen[v === now ? 'old' : 'new']++;
      if (v === next) [now, next] = [next, now];
      else if (await page.evaluate('navigator.serviceWorker.ready.then((r) => !!r.waiting)')) await take();
    }
    // Both kinds of moment have to be among them, or this proves less than it says.
    console.log('updates:', seen);
    expect(seen.cut).toBeGreaterThan(cuts / 2);
    expect(seen.installed).toBeGreaterThan(0);
  } finally {
    wire.disconnect();
    await Promise.all(servers.map((s) => s.stop()));
    rmSync(dir, { recursive: true, force: true });
  }
});
