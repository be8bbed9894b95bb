// Reads what a browser left on the disk as somebody would who has the device: for
// words, for a key, and for anything that opens what was encrypted.
import { createCipheriv, createDecipheriv } from 'node:crypto';
import { readFile, readdir } from 'node:fs/promises';
import path from 'node:path';

// What a browser writes for itself and no page can reach: compiled programs,
// pictures of its own, and the copies of the app's files.
const ITS_OWN = /\/(Cache|Code Cache|GPUCache|Dawn\w*|ShaderCache|GrShaderCache|GraphiteDawnCache|CacheStorage|cache2|startupCache|component_crx_cache|Safe Browsing)(\/|$)/;

// files gives every file under a folder with its bytes.
export async function files(dir) {
  const found = [];
  for (const entry of await readdir(dir, { withFileTypes: true, recursive: true })) {
    const name = path.join(entry.parentPath ?? entry.path, entry.name);
    if (!entry.isFile() || ITS_OWN.test(name.slice(dir.length))) continue;
    try {
      found.push({ name: name.slice(dir.length + 1), bytes: await readFile(name) });
    } catch (why) {
      if (why.code !== 'ENOENT') throw why;
    }
  }
  return found;
}

// holding names the files that hold a word, in UTF-8 or UTF-16.
export function holding(all, words) {
  const hits = [];
  for (const word of words) {
    for (const form of [Buffer.from(word), Buffer.from(word, 'utf16le')]) {
      for (const { name, bytes } of all) if (bytes.includes(form)) hits.push(`${name}: ${word}`);
    }
  }
  return hits;
}

// keyForms are the ways in which a key may be written down.
const keyForms = (key) => [key, Buffer.from(key.toString('hex')), Buffer.from(key.toString('hex').toUpperCase()),
  Buffer.from(key.toString('base64').replace(/=+$/, '')), Buffer.from(key.toString('base64url'))];

export function holdingKey(all, key) {
  return all.filter(({ bytes }) => keyForms(key).some((form) => bytes.includes(form))).map(({ name }) => name);
}

// opens tries each 32 bytes of the files as the key of a text that begins with
// start, encrypted by AES-256-GCM with a nonce of 96 bits. It gives the places
// where one is, and how many were tried. The first block of the keystream is the
// block cipher over the nonce and a counter of 2 (NIST SP 800-38D, section 7.1); 32
// bytes with few different ones among them are no random key and are left out.
export function opens(all, { iv, data }, start) {
  const counter = Buffer.concat([iv, Buffer.from([0, 0, 0, 2])]);
  const want = Buffer.from(start.slice(0, 16)).map((b, i) => b ^ data[i]);
  const found = [];
  let tried = 0;
  for (const { name, bytes } of all) {
    const seen = new Uint16Array(256);
    let different = 0;
    for (let i = 0; i < bytes.length; i++) {
      if (seen[bytes[i]]++ === 0) different++;
      if (i >= 32 && --seen[bytes[i - 32]] === 0) different--;
      if (i < 31 || different < 20) continue;
      const key = bytes.subarray(i - 31, i + 1);
      tried++;
      const block = createCipheriv('aes-256-ecb', key, null).update(counter);
      if (block.subarray(0, want.length).equals(want) && decrypts(key, iv, data)) found.push(`${name} at ${i - 31}`);
    }
  }
  return { found, tried };
}

function decrypts(key, iv, data, extra = 'plainleaf-draft 1') {
  try {
    const d = createDecipheriv('aes-256-gcm', key, iv).setAAD(Buffer.from(extra)).setAuthTag(data.subarray(-16));
    d.update(data.subarray(0, -16));
    d.final();
    return true;
  } catch {
    return false;
  }
}
