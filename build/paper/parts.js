// Tells what a sheet in this window holds, laid out for print: what is seen in its
// text, piece by piece, where a page leaves room, and what must not be parted. Gives
// {top, bottom, texts, items, tables, urgencies, signature, decides, breaks}.
(() => {
  const sheet = document.querySelector(".sheet") ?? document.body;
  const leaf = document.querySelector(".leaf"), main = leaf.querySelector("main, [role=main]");
  const hidden = ".unseen, svg, style, title, desc, [hidden]";

  // Texts that are seen, in the order of reading.
  const seen = (e) => {
    const out = [];
    const walk = document.createTreeWalker(e, NodeFilter.SHOW_TEXT);
    const range = document.createRange();
    for (let n; (n = walk.nextNode()); ) {
      if (!n.data.trim() || n.parentElement.closest(hidden)) continue;
      range.selectNodeContents(n);
      if (range.getClientRects().length) out.push(n);
    }
    return out;
  };
  const text = (e) => (e ? seen(e).map((n) => n.data).join(" ") : "");
  const all = (selector, of = main) => [...of.querySelectorAll(selector)].filter((e) => seen(e).length);

  // The room that page and table leave: margins of the @page rule, head and foot.
  const px = (v) => { const m = /^([\d.]+)(mm|pt|px|in|cm)?$/.exec(v.trim()); return m ? m[1] * { mm: 96 / 25.4, cm: 96 / 2.54, in: 96, pt: 96 / 72, px: 1 }[m[2] ?? "px"] : 0; };
  const name = getComputedStyle(sheet).page;
  let top = 0, bottom = 0;
  for (const s of document.styleSheets) for (const r of s.cssRules) {
    if (r.type !== CSSRule.PAGE_RULE || r.selectorText && r.selectorText !== name) continue;
    top = r.style.marginTop ? px(r.style.marginTop) : top;
    bottom = r.style.marginBottom ? px(r.style.marginBottom) : bottom;
  }
  top += leaf.tHead?.offsetHeight ?? 0;
  bottom += leaf.tFoot?.offsetHeight ?? 0;

  // What must not be parted: nothing of it is as high as a page, and no page may end in it.
  const breaks = [];
  const room = innerHeight - (leaf.tHead?.offsetHeight ?? 0) - (leaf.tFoot?.offsetHeight ?? 0);
  const whole = (e) => { for (let x = e; x !== main.parentElement; x = x.parentElement) if (/^avoid/.test(getComputedStyle(x).breakInside) && x.getBoundingClientRect().height < room) return true; return false; };
  for (const e of all("li, tr, .one, .facts > div")) {
    const s = getComputedStyle(e), high = e.getBoundingClientRect().height, say = e.tagName.toLowerCase() + "." + e.className + ": " + text(e).replace(/\s+/g, " ").slice(0, 60);
    if (s.display === "contents" || e.querySelector(":scope :is(li, tr, .one)")) continue; // what it holds is looked at
    if (high >= room) breaks.push(`higher than a page: ${say}`);
    else if (!whole(e) && high > 1.7 * parseFloat(s.lineHeight || s.fontSize)) breaks.push(`may be parted: ${say}`);
  }

  const tables = all("table").map((t) => ({
    head: text(t.tHead),
    rows: [...t.rows].filter((r) => r.parentElement !== t.tHead).map(text).filter((s) => s),
    headers: all("th", t).length, shown: getComputedStyle(t).display === "table",
  }));
  return JSON.stringify({
    top, bottom, breaks, tables,
    texts: seen(main).map((n) => ({ text: n.data, lang: n.parentElement.closest("[lang]:not([lang=''])").lang })),
    items: all("li").map(text),
    lists: all("ul, ol").length,
    urgencies: all(".urg, .notice:is(.emergency, .urgent, .caution)").map((e) => ({
      text: text(e), heading: text(e.querySelector("h2")), now: e.matches(".emergency, .urgent"), life: e.matches(".emergency") })),
    signature: all(".signpage").map(text).join(" "),
    lines: all(".sign").length,
    decides: all(".decide, .keep:has(.sign)").filter((e) => !e.parentElement.closest(".decide, .keep")).map((e) => ({ text: text(e), repeat: text(e.querySelector(".repeat, th[scope=row]")), lines: all(".sign", e).length + (e.matches(".sign") ? 1 : 0) })),
  });
})()
