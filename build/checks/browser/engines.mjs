// One way to drive three engines. Each window has a fresh profile (a worker left
// over from another test would answer in its place), reaches the loopback
// interface only, and ends with its processes.
//
//   const page = await firefox.open();
//   await page.goto(url); await page.reload();
//   await page.evaluate('document.title');             // a promise is awaited
//   await page.evaluate((a, b) => a + b, 1, 2);        // arguments as JSON
//   await page.wait('document.querySelector("h1")');   // until it is true
//   await page.click('#save'); await page.fill('#note', 'text');
//   await page.close(); await page.kill();             // kill: Chromium and Firefox
//
// page.profile is the folder on disk. engine.open({ profile }) opens it again, but
// WebKit keeps nothing between two windows while it is driven (engine.keeps).
// In Chromium page.playwright is Playwright's own page, for locators and axe.
import { mkdtemp, rm } from 'node:fs/promises';
import { accessSync, constants, existsSync } from 'node:fs';
import os from 'node:os';
import path from 'node:path';
import { chromium as playwright } from '@playwright/test';
import puppeteer from 'puppeteer-core';
import { Builder, By, Capabilities } from 'selenium-webdriver';
import { Started, freePort } from './site.mjs';

const view = { width: 1180, height: 820 };
const patience = 120_000; // other work on the machine makes browsers slow
const pause = (ms) => new Promise((done) => setTimeout(done, ms));
const env = { ...process.env, TZ: 'UTC', LANG: 'en_US.UTF-8' };

function find(...names) {
  for (const name of names) {
    for (const dir of name.includes('/') ? [''] : (process.env.PATH ?? '').split(':')) {
      const file = dir ? path.join(dir, name) : name;
      try {
        accessSync(file, constants.X_OK);
        return file;
      } catch { /* the next one */ }
    }
  }
  throw new Error(`none of ${names.join(', ')} is installed; build/test.sh installs what the tests need`);
}

// Page is what the engines have in common. A subclass brings run (evaluates the
// text of an expression and waits for its promise), open, again, press, put, end.
class Page {
  constructor(engine, profile) {
    this.engine = engine;
    this.profile = profile;
  }

  goto(url) { return this.open(url); }

  reload() { return this.again(); }

  evaluate(what, ...args) {
    return this.run(typeof what === 'function' ? `(${what})(${args.map((a) => JSON.stringify(a)).join()})` : `(async () => (${what}))()`);
  }

  // A page on its way to another one may answer with an error; that counts as not yet.
  // It is asked less and less often: each look is an entry of the trace.
  async wait(what, ms = patience) {
    let last = '';
    let next = 20;
    for (const end = Date.now() + ms; Date.now() < end; await pause(next = Math.min(next * 1.5, 400))) {
      try {
        const value = await Promise.race([this.evaluate(`Promise.resolve(${what}).then((v) => v instanceof Node || v)`), pause(ms).then(() => { throw new Error('no answer'); })]);
        if (value) return value;
        last = JSON.stringify(value);
      } catch (why) {
        last = String(why);
      }
    }
    const seen = await Promise.race([pause(5000), this.run(`[location.href, JSON.stringify(document.documentElement.dataset),
      document.body && document.body.innerText.slice(0, 2000)].join("\\n")`).catch(String)]);
    throw new Error(`${this.engine.name}: waited ${ms} ms for ${what}; last ${last}\n${seen}`);
  }

  click(selector) { return this.press(selector); }

  fill(selector, text) { return this.put(selector, text); }

  // kill ends the browser as a power cut would; the profile stays until close.
  async kill() {
    if (!this.pid) throw new Error(`${this.engine.name}: its process is not known`);
    process.kill(this.pid, 'SIGKILL');
    await this.dead;
  }

  async close({ keep = false } = {}) {
    await this.end();
    if (!keep) await rm(this.profile, { recursive: true, force: true, maxRetries: 5, retryDelay: 200 });
  }
}

const fresh = () => mkdtemp(path.join(os.tmpdir(), 'plainleaf-profile-'));

class ChromiumPage extends Page {
  run(text) { return this.playwright.evaluate(text); }

  open(url) { return this.playwright.goto(url); }

  again() { return this.playwright.reload(); }

  press(selector) { return this.playwright.locator(selector).first().click(); }

  put(selector, text) { return this.playwright.locator(selector).first().fill(text); }

  end() { return this.context.close(); }
}

export const chromium = {
  name: 'chromium',
  keeps: true,
  async open({ profile, args = [] } = {}) {
    const page = new ChromiumPage(this, profile ?? await fresh());
    page.context = await playwright.launchPersistentContext(page.profile, {
      executablePath: find(process.env.PLAINLEAF_CHROMIUM || 'chromium', 'chromium-browser', 'google-chrome', 'google-chrome-stable', 'chrome'),
      args: ['--no-sandbox', '--disable-dev-shm-usage', '--disable-gpu', '--disable-quic', '--disable-background-networking',
        '--disable-component-update', '--disable-domain-reliability', '--disable-sync', '--no-pings',
        '--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1', ...args],
      env,
      viewport: view,
    });
    page.playwright = page.context.pages()[0] ?? await page.context.newPage();
    page.dead = new Promise((done) => page.context.on('close', done));
    const browser = await page.context.browser().newBrowserCDPSession();
    const { processInfo } = await browser.send('SystemInfo.getProcessInfo');
    page.pid = processInfo.find((p) => p.type === 'browser').id;
    await browser.detach();
    return page;
  },
};

class FirefoxPage extends Page {
  run(text) { return this.puppeteer.evaluate(text); }

  open(url) { return this.puppeteer.goto(url, { timeout: patience }); }

  again() { return this.puppeteer.reload({ timeout: patience }); }

  press(selector) { return this.puppeteer.locator(selector).setTimeout(patience).click(); }

  put(selector, text) { return this.puppeteer.locator(selector).setTimeout(patience).fill(text); }

  async end() {
    await this.browser.close().catch(() => {});
    await this.dead;
  }
}

export const firefox = {
  name: 'firefox',
  keeps: true,
  async open({ profile } = {}) {
    const page = new FirefoxPage(this, profile ?? await fresh());
    page.browser = await puppeteer.launch({
      browser: 'firefox',
      executablePath: find('firefox-esr', 'firefox'),
      userDataDir: page.profile,
      headless: true,
      env,
      defaultViewport: view,
      // What is not on this machine would have to pass a proxy that is not there.
      extraPrefsFirefox: {
        'network.proxy.type': 1,
        'network.proxy.http': '127.0.0.1',
        'network.proxy.http_port': 9,
        'network.proxy.ssl': '127.0.0.1',
        'network.proxy.ssl_port': 9,
        'network.proxy.no_proxies_on': '127.0.0.1',
      },
    });
    page.puppeteer = (await page.browser.pages())[0] ?? await page.browser.newPage();
    page.pid = page.browser.process().pid;
    // After its end the settings are put back; until then the profile cannot be opened.
    const aside = ['user.js', 'prefs.js'].map((name) => path.join(page.profile, `${name}.puppeteer`));
    page.dead = new Promise((done) => page.browser.process().on('exit', done)).then(async () => {
      for (const end = Date.now() + 10_000; aside.some((f) => existsSync(f)) && Date.now() < end;) await pause(20);
    });
    return page;
  },
};

class WebKitPage extends Page {
  async run(text) {
    const got = await this.driver.executeAsyncScript(`const done = arguments[arguments.length - 1];
      Promise.resolve().then(() => (${text})).then((value) => done({ value }), (why) => done({ why: String(why) }));`);
    if (got.why !== undefined) throw new Error(got.why);
    return got.value;
  }

  open(url) { return this.driver.get(url); }

  again() { return this.driver.navigate().refresh(); }

  // The driver does not wait; an element may be drawn anew or covered for a moment.
  async until(selector, act) {
    let last;
    for (const end = Date.now() + patience; Date.now() < end; await pause(100)) {
      try {
        const element = await this.driver.findElement(By.css(selector));
        if (await element.isDisplayed() && await element.isEnabled()) return await act(element);
        last = 'it is hidden or disabled';
      } catch (why) {
        last = why;
      }
    }
    throw new Error(`webkit: ${selector}: ${last}`);
  }

  press(selector) { return this.until(selector, (element) => element.click()); }

  put(selector, text) {
    return this.until(selector, async (element) => {
      await element.clear();
      await element.sendKeys(text);
    });
  }

  async end() {
    await Promise.race([this.driver?.quit().catch(() => {}), pause(10_000)]);
    for (const started of this.started.reverse()) await started.stop();
  }
}

export const webkit = {
  name: 'webkit',
  keeps: false,
  // Its very first session on a machine may never begin; the next one does.
  async open() {
    try {
      return await this.session();
    } catch {
      return this.session();
    }
  },
  async session() {
    const page = new WebKitPage(this, await fresh());
    page.started = [];
    const begin = (...args) => {
      const started = new Started(...args);
      page.started.push(started);
      return started;
    };
    try {
      const screen = begin(find('Xvfb'), ['-displayfd', '1', '-screen', '0', `${view.width + 100}x${view.height + 200}x24`, '-nolisten', 'tcp']);
      const [, display] = await screen.tells(String.raw`^(\d+)$`);
      const port = await freePort();
      // Its folders are those of the profile.
      begin(find('WebKitWebDriver'), ['--host=127.0.0.1', `--port=${port}`], {
        env: { ...env, DISPLAY: `:${display}`, GDK_BACKEND: 'x11', HOME: page.profile,
          XDG_DATA_HOME: `${page.profile}/data`, XDG_CACHE_HOME: `${page.profile}/cache`, XDG_CONFIG_HOME: `${page.profile}/config` },
      });
      const wants = new Capabilities({ browserName: 'MiniBrowser' });
      wants.set('webkitgtk:browserOptions', {
        binary: find('/usr/lib/x86_64-linux-gnu/webkit2gtk-4.1/MiniBrowser', '/usr/lib/aarch64-linux-gnu/webkit2gtk-4.1/MiniBrowser'),
        args: ['--automation'],
      });
      wants.set('proxy', { proxyType: 'manual', httpProxy: '127.0.0.1:9', sslProxy: '127.0.0.1:9', noProxy: ['127.0.0.1'] });
      for (const end = Date.now() + patience; !page.driver;) {
        try {
          const begun = new Builder().usingServer(`http://127.0.0.1:${port}`).withCapabilities(wants).build();
          const late = pause(patience).then(() => { throw new Error('webkit: no session begins'); });
          page.driver = await Promise.race([begun, late]);
        } catch (why) {
          if (Date.now() > end || !String(why).includes('ECONNREFUSED')) throw why;
          await pause(100);
        }
      }
      await page.driver.manage().setTimeouts({ script: patience, pageLoad: patience });
      await page.driver.manage().window().setRect({ x: 0, y: 0, width: view.width, height: view.height + 100 });
    } catch (why) {
      why.message += page.started.map((s) => `\n${s.name}: ${s.said}`).join('');
      await page.close();
      throw why;
    }
    return page;
  },
};

export const engines = [chromium, firefox, webkit];
