// Reads a tagged PDF with pdf.js: tags.mjs FILE... prints, as JSON, for each file its
// language and the tree of its tags, in the order of reading. A node is
// {role, lang, alt, kids} or {text} for the text of one place on a page. loose lists
// text that is on a page and under no tag, artifacts (heads and feet of pages that a
// browser writes) left out.
import { readFileSync } from "node:fs";
import { getDocument, VerbosityLevel } from "pdfjs-dist/legacy/build/pdf.mjs";

async function read(file) {
  const task = getDocument({ data: new Uint8Array(readFileSync(file)), verbosity: VerbosityLevel.ERRORS });
  const doc = await task.promise;
  const { info } = await doc.getMetadata();
  const pages = [];
  for (let n = 1; n <= doc.numPages; n++) {
    const page = await doc.getPage(n);
    const texts = new Map(), loose = [], open = [];
    const { items } = await page.getTextContent({ includeMarkedContent: true, disableNormalization: true });
    for (const item of items) {
      if (item.type === "endMarkedContent") open.pop();
      else if (item.type) open.push(item.type === "beginMarkedContentProps" && item.id ? item.id : item.tag === "Artifact" ? "artifact" : "");
      else {
        const at = open.findLast((id) => id);
        if (at === "artifact") continue;
        if (at) texts.set(at, (texts.get(at) ?? "") + item.str + (item.hasEOL ? "\n" : ""));
        else if (item.str.trim()) loose.push(item.str);
      }
    }
    const used = new Set();
    const node = (n) => {
      if (n.type === "content") {
        used.add(n.id);
        return { text: texts.get(n.id) ?? "" };
      }
      if (n.type) return null; // a link's box and the like
      return { role: n.role, lang: n.lang, alt: n.alt, kids: (n.children ?? []).map(node).filter(Boolean) };
    };
    const tree = await page.getStructTree();
    const kids = tree ? tree.children.map(node).filter(Boolean) : [];
    for (const [id, text] of texts) if (!used.has(id) && text.trim()) loose.push(text);
    pages.push({ kids, loose });
  }
  await task.destroy();
  return { lang: info.Language ?? "", pages };
}

const out = [];
for (const file of process.argv.slice(2)) out.push(await read(file));
process.stdout.write(JSON.stringify(out));
