// Takes the lines that are drawn on a pad: an SVG element with data-pad and a path
// of class "live" in it. While a line is drawn it is shown here; when it ends, the
// element gets the event "stroke" and the program asks for the line with take,
// draws it and keeps it. Points are whole numbers, x, y, x, y ..., in a field of
// data-width by data-height units, whatever the size on the screen.
(() => {
  "use strict";
  const NEAR = 12; // units; a point nearer to the last one is left out
  const MOST = 6000; // numbers in one line
  let now = null; // {pad, id, line, width, height}
  const done = []; // lines that ended, oldest first

  const live = (pad) => pad.querySelector(".live");
  const put = (e) => {
    const { pad, line, width, height } = now;
    const r = pad.getBoundingClientRect();
    const clamp = (v, most) => Math.min(most, Math.max(0, Math.round(v)));
    const x = clamp((e.clientX - r.left) / r.width * width, width);
    const y = clamp((e.clientY - r.top) / r.height * height, height);
    const n = line.length;
    if (n >= MOST || (n > 0 && Math.abs(x - line[n - 2]) < NEAR && Math.abs(y - line[n - 1]) < NEAR)) return;
    line.push(x, y);
  };
  const show = () => {
    const { pad, line } = now;
    let d = "M" + line[0] + " " + line[1];
    for (let i = line.length > 2 ? 2 : 0; i < line.length; i += 2) d += "L" + line[i] + " " + line[i + 1];
    live(pad).setAttribute("d", d);
  };
  const end = () => {
    const { pad, line } = now;
    now = null;
    done.push(line);
    pad.dispatchEvent(new Event("stroke"));
  };

  document.addEventListener("pointerdown", (e) => {
    const pad = e.target.closest ? e.target.closest("[data-pad]") : null;
    // One line at a time: a hand that rests on the screen draws nothing.
    if (!pad || now || !e.isPrimary || e.button !== 0) return;
    e.preventDefault();
    now = { pad, id: e.pointerId, line: [], width: Number(pad.dataset.width), height: Number(pad.dataset.height) };
    try { pad.setPointerCapture(e.pointerId); } catch { /* a pointer that has gone already */ }
    put(e);
    show();
  });
  document.addEventListener("pointermove", (e) => {
    if (!now || e.pointerId !== now.id) return;
    const all = e.getCoalescedEvents ? e.getCoalescedEvents() : [];
    for (const p of all.length > 0 ? all : [e]) put(p);
    show();
  });
  for (const name of ["pointerup", "pointercancel"]) {
    document.addEventListener(name, (e) => { if (now && e.pointerId === now.id) end(); });
  }
  // A finger on a pad scrolls nothing.
  document.addEventListener("touchmove", (e) => { if (now) e.preventDefault(); }, { passive: false });

  window.plainleafPad = Object.freeze({
    // take answers the oldest line that ended, as JSON, or "".
    take: () => {
      if (done.length === 0) return "";
      const line = JSON.stringify(done.shift());
      // The program draws it now.
      requestAnimationFrame(() => requestAnimationFrame(() => {
        if (now) return;
        for (const path of document.querySelectorAll("[data-pad] .live")) path.removeAttribute("d");
      }));
      return line;
    },
  });
})();
