// A server between a browser and the site that can lose files, spoil them and never
// answer, with everything that the site's own server sends otherwise.
import http from 'node:http';
import { once } from 'node:events';

export class Front {
  // Patterns of paths: lost ones get 404, spoiled ones other bytes, and hung ones
  // no answer before release.
  lost = null;
  spoiled = null;
  hung = null;
  waiting = [];
  asked = [];

  constructor(server) {
    this.server = server;
    this.port = 0;
  }

  async start() {
    this.http = http.createServer((request, response) => this.answer(request, response)).listen(this.port, '127.0.0.1');
    await once(this.http, 'listening');
    this.port = this.http.address().port;
    this.url = `http://127.0.0.1:${this.port}`;
    return this;
  }

  // stop takes the server away: the browser is offline.
  async stop() {
    this.http.closeAllConnections();
    this.http.close();
    await once(this.http, 'close');
  }

  fault({ lost = null, spoiled = null, hung = null }) {
    Object.assign(this, { lost, spoiled, hung });
  }

  release() {
    this.hung = null;
    for (const go of this.waiting.splice(0)) go();
  }

  answer(request, response) {
    const path = request.url.split('?')[0];
    this.asked.push(path);
    if (this.hung?.test(path)) {
      this.waiting.push(() => this.answer(request, response));
      return;
    }
    if (this.lost?.test(path)) {
      response.writeHead(404, { 'Content-Type': 'text/plain' }).end('not here\n');
      return;
    }
    const { host, 'accept-encoding': coding, 'if-none-match': etag, ...headers } = request.headers;
    http.request(this.server.url + request.url, { headers, method: request.method }, (from) => {
      // Nothing stays in the browser's own cache, where a fault would not be met.
      response.writeHead(from.statusCode, { ...from.headers, 'cache-control': 'no-store' });
      if (!this.spoiled?.test(path)) return from.pipe(response);
      const parts = [];
      from.on('data', (part) => parts.push(part)).on('end', () => {
        const all = Buffer.concat(parts);
        all[all.length - 1] ^= 1;
        response.end(all);
      });
    }).on('error', () => response.destroy()).end();
  }
}
