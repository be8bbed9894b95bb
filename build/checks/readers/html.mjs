// Checks files against the HTML standard: html.mjs FILE... prints one line for
// each fault: file, line, rule and message.
import { HtmlValidate, StaticConfigLoader } from 'html-validate';
import { readFileSync } from 'node:fs';

const checker = new HtmlValidate(new StaticConfigLoader({ root: true, extends: ['html-validate:standard'] }));
for (const file of process.argv.slice(2)) {
  const report = await checker.validateString(readFileSync(file, 'utf8'), file);
  for (const { messages } of report.results) {
    for (const m of messages) console.log(`${file}:${m.line}: ${m.ruleId}: ${m.message}`);
  }
}
