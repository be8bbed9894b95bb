// Reads an XLIFF 2.0 file from standard input with a library of another project.
//
//   node xliff.mjs         its units as JSON: id, notes, source and target, a mark as {{.id}}
//   node xliff.mjs again   the file as that library writes it
import { readFileSync } from 'node:fs';
import { js2xliff, xliff2js } from 'xliff';

const file = await xliff2js(readFileSync(0, 'utf8'));
if (process.argv[2] === 'again') {
  process.stdout.write(await js2xliff(file));
} else {
  const units = [];
  const text = (parts) => [parts ?? ''].flat().map((p) => (typeof p === 'string' ? p : `{{.${p.Standalone.id}}}`)).join('');
  const walk = (resources) => {
    for (const [id, unit] of Object.entries(resources)) {
      if (unit.groupUnits) walk(unit.groupUnits);
      else units.push({ id, notes: [unit.note ?? []].flat(), source: text(unit.source), target: text(unit.target) });
    }
  };
  for (const resources of Object.values(file.resources)) walk(resources);
  process.stdout.write(JSON.stringify({ source: file.sourceLanguage, target: file.targetLanguage, units }));
}
