// Builds the command and the site once, before the first test.
import { execFileSync } from 'node:child_process';
import { command, root, site } from './site.mjs';

export default function build() {
  const run = (name, args) => execFileSync(name, args, { cwd: root, stdio: ['ignore', 'inherit', 'inherit'] });
  run('go', ['build', '-buildvcs=false', '-o', command, './app']);
  const program = process.env.PLAINLEAF_WASM;
  run(command, ['site', ...(program ? ['-wasm', program] : []), '-brotli', '1', '-out', site]);
}
