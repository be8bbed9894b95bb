// Keeps keys in files that can be overwritten. It is a worker of its own, since a
// browser opens such a file for writing in place in a worker only.
//
// A browser's database cannot forget: what is deleted from it stays on the disk,
// keys that cannot be read out included. A file of the origin-private file system
// that is opened this way is written where it is, so random bytes over a key leave
// nothing of it. What the disk itself copies aside cannot be reached from here.
//
// A message is {id, op, args}; the answer is {id, value} or {id, why}.
"use strict";
const FOLDER = encodeURIComponent("plainleaf " + new URL(".", self.location).pathname);
const SIZE = 32;
const TRIES = 40, PAUSE = 50; // ms; another window may have the file open

const folder = async () => (await navigator.storage.getDirectory()).getDirectoryHandle(FOLDER, { create: true });

async function inside(name, create, work) {
  const dir = await folder();
  let handle;
  try {
    handle = await dir.getFileHandle(name, { create });
  } catch (e) {
    if (e.name === "NotFoundError" && !create) return null;
    throw e;
  }
  let file;
  for (let tries = 1; !file; tries++) {
    try {
      file = await handle.createSyncAccessHandle();
    } catch (e) {
      if (e.name !== "NoModificationAllowedError" || tries === TRIES) throw e;
      await new Promise((done) => setTimeout(done, PAUSE));
    }
  }
  try {
    return work(file);
  } finally {
    file.close();
  }
}

const put = (bytes) => (file) => {
  if (file.write(bytes, { at: 0 }) !== bytes.length) throw new Error("not written whole");
  file.truncate(bytes.length);
  file.flush();
};
const take = (file) => {
  const bytes = new Uint8Array(file.getSize());
  file.read(bytes, { at: 0 });
  return bytes;
};
const random = (n) => crypto.getRandomValues(new Uint8Array(n));

const ops = {
  // write puts bytes into a file; without bytes it makes a key. It answers them.
  async write(name, bytes = random(SIZE)) {
    await inside(name, true, put(bytes));
    return bytes;
  },
  // read answers the bytes of a file, or null.
  read: (name) => inside(name, false, take),
  // wipe overwrites the files whose names begin so, but one, and takes them away.
  async wipe(start, but) {
    const dir = await folder();
    const names = [];
    for await (const name of dir.keys()) if (name.startsWith(start) && name !== but) names.push(name);
    for (const name of names) {
      await inside(name, false, (file) => put(random(Math.max(SIZE, file.getSize())))(file));
      await dir.removeEntry(name);
    }
    return names.length;
  },
};

// One after another, or two that were asked together could meet at one file.
let last = Promise.resolve();
self.onmessage = ({ data: { id, op, args } }) => {
  last = last.then(async () => {
    try {
      self.postMessage({ id, value: await ops[op](...args) });
    } catch (e) {
      self.postMessage({ id, why: String(e) });
    }
  });
};
