// Measures the sheet in this window, laid out for print at the width between the
// margins. room is the height between the margins, px; sizes lists [selector, least type
// in px], of which the first that fits holds, and the last, "*", is for the body; want
// maps each language on the sheet to its direction. Gives {parts, signature, faults,
// small, characters}; small is type below what is asked, but for the body's.
(({ room, sizes, want }) => {
  const faults = [], small = new Map();
  const fault = (what, of) => { if (faults.length < 12) faults.push(what + ": " + String(of).replace(/\s+/g, " ").slice(0, 100)); };
  const leaf = document.querySelector(".leaf"), sheet = document.querySelector(".sheet");
  const say = (e) => "<" + e.tagName.toLowerCase() + " class=" + e.getAttribute("class") + "> " + e.textContent;

  // Languages and directions.
  const first = Object.keys(want)[0];
  for (const e of [document.documentElement, sheet]) {
    if (e.lang !== first || e.dir !== want[first]) fault("language", e.lang + " " + e.dir);
  }
  for (const e of leaf.querySelectorAll(".side[lang], .banner[lang], .specimen[lang]")) {
    if (e.lang in want ? getComputedStyle(e).direction !== want[e.lang] : true) fault("language", say(e));
  }
  const scripts = [[/\p{Script=Arabic}/u, "ar"], [/\p{Script=Han}/u, "zh"]];

  // Text: its lines as boxes, seen ones only.
  const edge = sheet.getBoundingClientRect();
  const lines = [], characters = new Set();
  const walk = document.createTreeWalker(leaf, NodeFilter.SHOW_TEXT);
  for (let n; (n = walk.nextNode()); ) {
    const e = n.parentElement;
    for (const c of n.data) characters.add(c);
    if (!n.data.trim() || e.closest(".unseen, title, desc")) continue;
    for (const [script, lang] of scripts) {
      const near = e.closest("[lang]:not([lang=''])");
      if (script.test(n.data) && !e.closest('svg, [data-value="verbatim"]') && !near.lang.startsWith(lang)) fault("language", near.lang + " " + n.data);
    }
    const range = document.createRange();
    range.selectNodeContents(n);
    if (!range.getClientRects().length) continue; // not laid out in this form
    const [of, least] = sizes.find(([selector]) => e.closest(selector)), size = parseFloat(getComputedStyle(e).fontSize);
    if (size < least - 0.01 && of === "*") fault("small type", say(e));
    else if (size < least - 0.01) small.set(of, Math.min(size, small.get(of) ?? size));
    for (const r of range.getClientRects()) {
      if (r.width < 1) continue;
      if (r.left < edge.left - 3 || r.right > edge.right + 3) fault("beyond the margin", n.data);
      // a font's box is higher than its letters: their middle is what must be free
      lines.push({ n, left: r.left, right: r.right, top: r.top + 0.3 * r.height, bottom: r.bottom - 0.3 * r.height });
    }
  }
  lines.sort((a, b) => a.top - b.top);
  lines.forEach((a, i) => {
    for (let j = i + 1; j < lines.length && lines[j].top < a.bottom - 1; j++) {
      const b = lines[j];
      if (Math.min(a.right, b.right) - Math.max(a.left, b.left) > 2) fault("overlap", a.n.data.slice(0, 40) + " | " + b.n.data.slice(0, 40));
    }
  });

  // Nothing is wider than its box, nothing is cut off.
  for (const e of leaf.querySelectorAll("*")) {
    if (e.closest(".unseen, svg")) continue;
    const s = getComputedStyle(e);
    if (s.display !== "inline" && s.display !== "contents" && e.scrollWidth > e.clientWidth + 2) fault("too wide", say(e));
    if (s.overflow !== "visible" && e.scrollHeight > e.clientHeight + 1) fault("cut off", say(e));
  }

  // Pages: head and foot are repeated on each.
  const main = leaf.querySelector(".body");
  const body = room - leaf.tHead.offsetHeight - leaf.tFoot.offsetHeight;
  let at = main.getBoundingClientRect().top;
  const { size, second } = document.documentElement.dataset, plain = size !== "large" && !second;
  const parts = []; // from the beginning of one page as drawn to the next, in pages
  const turn = (bottom) => { parts.push((bottom - at) / body); at = bottom; };
  let signature = false; // it stands alone
  for (const e of main.children) {
    const s = getComputedStyle(e);
    if ((s.breakBefore === "page" || plain && e.matches(".newpage")) && e.previousElementSibling) turn(e.getBoundingClientRect().top);
    if (e.matches(".signpage")) signature = s.breakBefore === "page" && !e.nextElementSibling;
  }
  turn(main.getBoundingClientRect().bottom);
  return { parts, signature, faults, small: [...small].map(([of, px]) => `small type: ${(0.75 * px).toFixed(1)} pt at ${of}`), characters: [...characters].join("") };
})
