// Looks at the colors of the sheet in this window, laid out for print: text that is too
// pale on white paper, and what is said by color or by a background alone. Gives a list.
(() => {
  const leaf = document.querySelector(".leaf"), out = [];
  const fault = (what, e) => { if (out.length < 12) out.push(what + ": <" + e.tagName.toLowerCase() + " class=" + (e.getAttribute("class") ?? "") + "> " + e.textContent.replace(/\s+/g, " ").slice(0, 50)); };
  const rgb = (c) => { const m = c.match(/[\d.]+/g).map(Number); return m.length > 3 && m[3] < 1 ? m.slice(0, 3).map((v) => 255 - (255 - v) * m[3]) : m.slice(0, 3); };
  // Relative luminance and contrast as in WCAG 2.2.
  const light = (c) => { const [r, g, b] = c.map((v) => ((v /= 255) <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4)); return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
  const contrast = (a, b) => { const [x, y] = [light(a), light(b)].sort((p, q) => q - p); return (x + 0.05) / (y + 0.05); };
  const ground = (e) => { for (let x = e; x; x = x.parentElement) { const c = getComputedStyle(x).backgroundColor; if (c !== "rgba(0, 0, 0, 0)" && c !== "transparent") return rgb(c); } return [255, 255, 255]; };

  const walk = document.createTreeWalker(leaf, NodeFilter.SHOW_TEXT), range = document.createRange();
  for (let n; (n = walk.nextNode()); ) {
    const e = n.parentElement, s = getComputedStyle(e);
    range.selectNodeContents(n);
    if (!n.data.trim() || e.closest(".unseen, style, title, desc") || !range.getClientRects().length) continue;
    const ink = rgb(e.closest("svg") ? s.fill : s.color);
    if (e.closest("svg")) { // a number in a drawing may be white on the dark shape before it
      let shape = e.closest("text").previousElementSibling;
      while (shape && shape.tagName === "text") shape = shape.previousElementSibling;
      const on = shape && /^rgb/.test(getComputedStyle(shape).fill) ? rgb(getComputedStyle(shape).fill) : [255, 255, 255];
      if (contrast(ink, [255, 255, 255]) < 4.5 && contrast(ink, on) < 4.5) fault("pale in a drawing", e);
      continue;
    }
    if (contrast(ink, [255, 255, 255]) < 4.5) fault("pale on white", e);
    if (contrast(ink, ground(e)) < 4.5) fault("pale on its ground", e);
    // A word of another color than the sentence around it has to differ in another way, too.
    const around = e.parentElement;
    if (!around || s.display !== "inline") continue;
    const a = getComputedStyle(around), beside = [...around.childNodes].some((x) => x !== e && x.nodeType === 3 && x.data.trim());
    const hue = Math.max(...ink) - Math.min(...ink) > 40; // grays only quieten
    if (beside && hue && s.color !== a.color && s.fontWeight === a.fontWeight && s.fontSize === a.fontSize && s.fontStyle === a.fontStyle && s.textDecorationLine === a.textDecorationLine)
      fault("color alone", e);
  }
  // A ground has to come with a line around it, bold words or the place of a header.
  for (const e of leaf.querySelectorAll("*")) {
    const s = getComputedStyle(e), c = s.backgroundColor;
    if (e.closest("svg") || c === "rgba(0, 0, 0, 0)" || c === "transparent" || contrast(rgb(c), [255, 255, 255]) < 1.005) continue;
    const lined = ["Top", "Right", "Bottom", "Left"].some((side) => parseFloat(s["border" + side + "Width"]) > 0 && contrast(rgb(s["border" + side + "Color"]), [255, 255, 255]) >= 1.5);
    if (!lined && !e.matches("th, caption") && Number(s.fontWeight) < 600 && !e.querySelector("th")) fault("ground alone", e);
  }
  return JSON.stringify(out);
})()
