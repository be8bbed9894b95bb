// Reads JSON on standard input and writes it by RFC 8785. With an argument, only
// that member of it.
import canonicalize from 'canonicalize';
import { readFileSync } from 'node:fs';

const value = JSON.parse(readFileSync(0, 'utf8'));
const member = process.argv[2];
process.stdout.write(canonicalize(member === undefined ? value : value[member]));
