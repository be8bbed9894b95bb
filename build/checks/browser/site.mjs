// The built site and the project's own command that serves it.
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import net from 'node:net';
import path from 'node:path';
import { fileURLToPath } from 'node:url';

export const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), '..', '..', '..');
export const out = path.join(root, 'build', 'out', 'browser');
export const command = path.join(out, 'plainleaf');
export const site = path.join(out, 'site');

// Started is a process in a group of its own, so that its children end with it.
export class Started {
  said = '';

  constructor(name, args, options = {}) {
    this.name = name;
    this.process = spawn(name, args, { stdio: ['ignore', 'pipe', 'pipe'], ...options, detached: true });
    for (const stream of [this.process.stdout, this.process.stderr]) stream?.on('data', (data) => { this.said += data; });
    this.ended = new Promise((done) => {
      this.process.on('error', (why) => { this.said += why; done(); });
      this.process.on('close', done);
    });
  }

  // waits until it has written what the pattern finds last, and gives the match.
  async tells(pattern, seconds = 60) {
    const end = Date.now() + seconds * 1000;
    let over = false;
    this.ended.then(() => { over = true; });
    for (;;) {
      const found = [...this.said.matchAll(new RegExp(pattern, 'gm'))].at(-1);
      if (found) return found;
      if (over || Date.now() > end) throw new Error(`${this.name} did not say ${pattern}${over ? ' and ended' : ''}:\n${this.said}`);
      await new Promise((done) => setTimeout(done, 50));
    }
  }

  async stop(signal = 'SIGKILL') {
    try {
      process.kill(-this.process.pid, signal);
    } catch (why) {
      if (why.code !== 'ESRCH') throw why;
    }
    await this.ended;
  }
}

// reachable tells whether anything listens at an address.
export async function reachable(address) {
  const { hostname, port } = new URL(address);
  const socket = net.connect(port, hostname);
  try {
    await once(socket, 'connect');
    return true;
  } catch {
    return false;
  } finally {
    socket.destroy();
  }
}

// freePort gives a port that nothing listens on.
export async function freePort() {
  const server = net.createServer().listen(0, '127.0.0.1');
  await once(server, 'listening');
  const { port } = server.address();
  server.close();
  await once(server, 'close');
  return port;
}

// Server serves a folder with the command. After stop, start serves on the same port.
export class Server {
  constructor(dir = site) {
    this.dir = dir;
    this.port = 0;
  }

  async start() {
    this.running = new Started(command, ['serve', '-addr', `127.0.0.1:${this.port}`, '-dir', this.dir]);
    const [, port] = await this.running.tells(String.raw`http://127\.0\.0\.1:(\d+)/`);
    this.port = Number(port);
    this.url = `http://127.0.0.1:${port}`;
    return this;
  }

  // Offline means here that the server is gone.
  async stop() {
    await this.running?.stop();
    if (this.url && await reachable(this.url)) throw new Error(`${this.url} still answers`);
  }
}
