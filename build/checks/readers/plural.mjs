// For each language on standard input (a JSON list), the plural categories that Intl
// gives it, and the category of each count named in the arguments.
import { readFileSync } from 'node:fs';

const order = ['zero', 'one', 'two', 'few', 'many', 'other'];
const out = {};
for (const tag of JSON.parse(readFileSync(0, 'utf8'))) {
  if (!Intl.PluralRules.supportedLocalesOf(tag).length) continue;
  const rules = new Intl.PluralRules(tag);
  const known = rules.resolvedOptions().pluralCategories;
  out[tag] = { categories: order.filter((c) => known.includes(c)), of: Object.fromEntries(process.argv.slice(2).map((n) => [n, rules.select(Number(n))])) };
}
process.stdout.write(JSON.stringify(out));
