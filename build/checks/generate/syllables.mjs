// Writes build/out/syllables.tsv: each English word of the dictionary with the
// number of vowels in its first pronunciation, which is its syllables.
//
//   cd build/checks && npm ci --ignore-scripts && npm run syllables
//   go run ./i18n/readability/exceptions build/out/syllables.tsv
import { mkdirSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import path from 'node:path';
import { dictionary } from 'cmu-pronouncing-dictionary';

const out = path.join(path.dirname(fileURLToPath(import.meta.url)), '..', '..', 'out');
const lines = [];
for (const [word, sounds] of Object.entries(dictionary)) {
  if (/^[a-z]+('[a-z]+)?$/.test(word)) lines.push(`${word}\t${sounds.match(/\d/g)?.length ?? 1}`);
}
mkdirSync(out, { recursive: true });
writeFileSync(path.join(out, 'syllables.tsv'), lines.sort().join('\n') + '\n');
