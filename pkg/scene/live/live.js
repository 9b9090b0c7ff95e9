// Makes the pictures of a page live: zoom and move along a horizontal axis in
// all its panels together, values at the pointer. Needs nothing from elsewhere; what
// it reads from a picture are numbers and texts.
(function () {
  "use strict";
  const NS = "http://www.w3.org/2000/svg";
  const all = (root, what) => [...root.querySelectorAll(what)];

  function make(name, attributes, parent) {
    const e = document.createElementNS(NS, name);
    for (const k in attributes) e.setAttribute(k, attributes[k]);
    if (parent) parent.appendChild(e);
    return e;
  }

  function numbers(text) { return (text || "").split(" ").map(Number); }

  // decimals that a step of this size needs
  function decimals(step) { return Math.min(6, Math.max(0, Math.ceil(-Math.log10(step) - 1e-9))); }

  function written(v, digits) {
    const text = v.toFixed(digits);
    return (Number(text) === 0 ? text.replace("-", "") : text).replace("-", "\u2212");
  }

  function withUnit(text, unit) { return unit ? text + "\u00a0" + unit : text; }

  function splitUnit(label) {
    const m = /^(.*) \(([^()]*)\)$/.exec(label || "");
    return m ? [m[1], m[2]] : [label || "", ""];
  }

  // readArea learns from the invisible rectangle what a plot holds.
  function readArea(rect) {
    const d = rect.dataset, at = k => Number(rect.getAttribute(k));
    const scale = text => {
      const m = /^(\S+) (\S+) (.*)$/.exec(text || "");
      return m && { factor: Number(m[1]), offset: Number(m[2]), unit: m[3].replace(" of difference", "") };
    };
    return {
      index: d.plot, group: d.group || "0", left: at("x"), top: at("y"), width: at("width"), height: at("height"),
      x: numbers(d.x), y: numbers(d.y), axis: d.axis || "", unit: d.unit || "",
      second: scale(d.second), below: scale(d.below),
      categories: d.categories === undefined ? null : d.categories.split("|"),
    };
  }

  // readPath returns the points of a path of ours in tenths of a point, with
  // the runs they belong to.
  function readPath(d) {
    const x = [], y = [], run = [];
    let n = 0;
    for (const part of d.split("M").slice(1)) {
      n++;
      const [start, rest] = part.replace(/z|h0/g, "").split("l");
      const p = (start.match(/-?\d+/g) || []).map(Number), q = ((rest || "").match(/-?\d+/g) || []).map(Number);
      let cx = p[0], cy = p[1];
      x.push(cx); y.push(cy); run.push(n);
      for (let i = 0; i + 1 < q.length; i += 2) {
        x.push(cx += q[i]); y.push(cy += q[i + 1]); run.push(n);
      }
    }
    return { x, y, run };
  }

  function ticks(lo, hi, about) {
    const raw = (hi - lo) / about, power = Math.pow(10, Math.floor(Math.log10(raw)));
    const step = [1, 2, 5, 10].map(m => m * power).find(s => s >= raw * 0.999);
    const out = [];
    for (let k = Math.ceil(lo / step - 1e-9); k * step <= hi + 1e-9 * step; k++)
      out.push([k * step, written(k * step, decimals(step))]);
    return out;
  }

  // Axis is a horizontal axis of some panels, with the stretch that is shown.
  class Axis {
    constructor(areas) {
      this.areas = areas;
      this.whole = areas[0].x;
      this.shown = this.whole.slice();
      this.zooms = !areas[0].categories;
    }

    share(v) { return (v - this.shown[0]) / (this.shown[1] - this.shown[0]); }

    // valueAt is the place on the axis that lies at x in an area.
    valueAt(area, x) { return this.shown[0] + (x - area.left) / area.width * (this.shown[1] - this.shown[0]); }

    // at is where in an area a place on the axis lies.
    at(area, v) { return area.left + this.share(v) * area.width; }

    // moved tells how the drawing of an area is stretched and moved to show what
    // is shown: by a factor, and then by points to the right.
    moved(area) { return [(this.whole[1] - this.whole[0]) / (this.shown[1] - this.shown[0]), this.share(this.whole[0]) * area.width]; }

    get isWhole() { return !(this.shown[1] - this.shown[0] < this.whole[1] - this.whole[0]); }
  }

  // Picture is one drawing with its axes.
  class Picture {
    constructor(svg) {
      this.svg = svg;
      this.areas = all(svg, ".bb-area").map(readArea);
      if (!this.areas.length) return;
      const groups = new Map();
      for (const a of this.areas) groups.set(a.group, [...(groups.get(a.group) || []), a]);
      this.axes = [...groups.values()].map(areas => new Axis(areas));
      for (const axis of this.axes) for (const a of axis.areas) a.of = axis;
      this.zooms = this.axes.some(a => a.zooms);
      this.series = all(svg, "[data-name]").map(e => ({
        name: e.dataset.name, dots: e.classList.contains("bb-d"), area: this.areas[e.closest(".bb-v").dataset.plot],
        color: e, path: null, d: e.getAttribute("d") }));
      this.label();
      this.edge = make("g", { class: "bb-edge", "pointer-events": "none" }, svg);
      this.cross = make("g", { class: "bb-cross", "pointer-events": "none" }, svg);
      this.listen();
    }

    // show shows a stretch of an axis in all its panels.
    show(axis, lo, hi) {
      if (!axis.zooms) return;
      const [a, b] = axis.whole, least = (b - a) / 2000;
      let width = Math.min(b - a, Math.max(least, hi - lo));
      lo = Math.max(a, Math.min(lo, b - width));
      axis.shown = [lo, lo + width];
      for (const v of all(this.svg, ".bb-v")) {
        const area = this.areas[v.dataset.plot];
        if (area.of !== axis) continue;
        const [k, shift] = axis.moved(area);
        for (const g of all(v, ".bb-s")) g.setAttribute("transform", `matrix(${k} 0 0 1 ${shift} 0) scale(.1)`);
        for (const g of all(v, ".bb-f")) {
          const at = Number(g.dataset.at);
          g.setAttribute("transform", `translate(${k * at + shift - at} 0)`);
        }
      }
      for (const g of all(this.svg, ".bb-t")) if (this.areas[g.dataset.plot].of === axis) this.axis(g);
      this.names();
      this.forget();
      if (this.onshow) this.onshow();
    }

    // label finds the names that stand beside lines.
    label() {
      for (const g of all(this.svg, ".bb-f")) {
        const text = g.querySelector("text");
        if (!text || g.querySelector("rect")) continue;
        const area = this.areas[g.closest(".bb-v").dataset.plot];
        const s = this.series.find(s => s.area === area && !s.dots && !s.label && s.name === text.textContent);
        if (s) s.label = { at: Number(g.dataset.at), text, width: Number(text.getAttribute("textLength")) || 0 };
      }
    }

    // names puts a name that was moved out of the stretch that is shown to the
    // right end of its line, below others that stand there.
    names() {
      this.edge.textContent = "";
      for (const axis of this.axes) if (!axis.isWhole) for (const area of axis.areas) {
        const [k, shift] = axis.moved(area), away = [];
        for (const s of this.series) if (s.area === area && s.label) {
          const at = k * s.label.at + shift, y = this.height(s);
          if ((at < 0 || at + s.label.width > area.width) && y !== null) away.push({ s, y: area.top + y - 4 });
        }
        away.sort((a, b) => a.y - b.y);
        let least = area.top + 10, right = area.left + area.width - 4;
        for (const { s, y } of away) {
          const t = s.label.text.cloneNode(true), row = Math.max(y, least);
          if (row > area.top + area.height - 8) break;
          least = row + 11;
          make("rect", { x: right - s.label.width - 1, y: row - 8.5, width: s.label.width + 2, height: 11, fill: "#ffffff", "fill-opacity": 0.8 }, this.edge);
          for (const [a, v] of Object.entries({ x: right, y: row, "text-anchor": "end" })) t.setAttribute(a, v);
          this.edge.appendChild(t);
        }
      }
    }

    // height is how far below the upper edge a line ends in the stretch that is
    // shown; null where it is not there.
    height(s) {
      const p = s.path || (s.path = readPath(s.d)), end = s.area.width, [k, shift] = s.area.of.moved(s.area);
      let best = null, last = -1;
      for (let i = 0; i < p.x.length; i++) {
        const x = k * p.x[i] / 10 + shift;
        if (x <= end && x >= last && x > 0.7 * end) { last = x; best = i; }
      }
      return best === null ? null : p.y[best] / 10;
    }

    // axis draws grid lines or ticks with their numbers anew.
    axis(g) {
      const area = this.areas[g.dataset.plot], axis = area.of;
      const sample = g.querySelector("path"), number = g.querySelector("text");
      if (!sample) return;
      const y = /M\S+ ([-\d.]+)L\S+ ([-\d.]+)/.exec(sample.getAttribute("d"));
      g.textContent = "";
      const { factor, offset } = g.dataset.scale ? area.below : { factor: 1, offset: 0 };
      const ends = axis.shown.map(v => factor * v + offset).sort((a, b) => a - b);
      for (const [v, label] of ticks(ends[0], ends[1], Math.max(4, Math.floor(area.width / 68)))) {
        const x = axis.at(area, (v - offset) / factor);
        const line = sample.cloneNode();
        line.setAttribute("d", `M${x} ${y[1]}L${x} ${y[2]}`);
        g.appendChild(line);
        if (!number) continue;
        const t = number.cloneNode();
        t.removeAttribute("textLength");
        t.setAttribute("x", x);
        t.textContent = label;
        g.appendChild(t);
      }
    }

    zoom(axis, factor, about) {
      const [a, b] = axis.shown;
      if (about === undefined) about = (a + b) / 2;
      this.show(axis, about - (about - a) / factor, about + (b - about) / factor);
    }

    move(axis, share) {
      const d = share * (axis.shown[1] - axis.shown[0]);
      this.show(axis, axis.shown[0] + d, axis.shown[1] + d);
    }

    wholly(axis) { this.show(axis, ...axis.whole); }

    every(act) { this.axes.forEach(act); }

    // place tells where an event is: in or nearest to which area.
    place(event) {
      const p = new DOMPoint(event.clientX, event.clientY).matrixTransform(this.svg.getScreenCTM().inverse());
      const off = (v, from, size) => Math.max(0, from - v, v - from - size);
      const far = a => Math.hypot(off(p.x, a.left, a.width), off(p.y, a.top, a.height));
      const area = this.areas.reduce((best, a) => far(a) < far(best) ? a : best);
      return { x: p.x, y: p.y, area, axis: area.of, inside: p.x >= area.left && p.x <= area.left + area.width, value: area.of.valueAt(area, p.x) };
    }

    forget() { this.cross.textContent = ""; }

    // read draws the line at the pointer, in all panels of its axis, and the
    // values on it.
    read(here, x, y) {
      this.forget();
      const axis = here.of, v = axis.valueAt(here, x);
      for (const area of axis.areas) {
        const at = axis.at(area, v);
        make("path", { d: `M${at} ${area.top}v${area.height}`, stroke: "#5f686c", "stroke-width": 0.8, fill: "none" }, this.cross);
        const lines = [];
        for (const s of this.series) if (s.area === area) lines.push(...this.value(s, at, area === here ? y : area.top));
        const first = area === axis.areas[0];
        if (first || lines.length) this.words(area, at, first ? this.where(axis, v) : "", lines);
      }
    }

    // where names the place on the axis.
    where(axis, v) {
      const area = axis.areas[0];
      if (area.categories) return area.categories[Math.round(v)] || "";
      const [name, unit] = splitUnit(area.axis), step = (axis.shown[1] - axis.shown[0]) / area.width;
      if (unit === "min" && v >= 0) {
        const s = Math.round(v * 60);
        return `${Math.floor(s / 60)}:${String(s % 60).padStart(2, "0")} min`;
      }
      let text = (name && name.length < 30 ? name + " " : "") + withUnit(written(v, decimals(step)), unit);
      if (area.below) {
        const { factor, offset } = area.below;
        text += " = " + withUnit(written(factor * v + offset, decimals(Math.abs(factor) * step)), area.below.unit);
      }
      return text;
    }

    // value reads a series off at x, points near (x, y).
    value(s, x, y) {
      const area = s.area, p = s.path || (s.path = readPath(s.d)), [k, shift] = area.of.moved(area);
      const at = i => area.left + k * p.x[i] / 10 + shift;
      let best = -1, distance = s.dots ? 14 : 9;
      for (let i = 0; i < p.x.length; i++) {
        let d = Math.abs(at(i) - x);
        if (s.dots) d = Math.hypot(d, area.top + p.y[i] / 10 - y);
        else if (i + 1 < p.x.length && p.run[i] === p.run[i + 1] && at(i) <= x && at(i + 1) >= x)
          d = Math.min(d, 8) * (x - at(i) <= at(i + 1) - x ? 0.5 : 1.1);
        else if (i > 0 && p.run[i] === p.run[i - 1] && at(i - 1) <= x && at(i) >= x) d = Math.min(d, 8);
        if (d < distance) { distance = d; best = i; }
      }
      if (best < 0) return [];
      const step = (area.y[1] - area.y[0]) / area.height, v = area.y[1] - p.y[best] / 10 * step;
      let text = withUnit(written(v, decimals(step)), area.unit);
      if (area.second) {
        const f = area.second.factor;
        text += " = " + withUnit(written(f * v + area.second.offset, decimals(Math.abs(f) * step)), area.second.unit);
      }
      return [{ name: s.name, text, color: s.color }];
    }

    // words writes what was read beside the pointer, on the side with room.
    words(area, x, head, lines) {
      const g = make("g", { "font-size": 9.5, fill: "#1c2326" }, this.cross), pad = 5;
      const ground = make("rect", { fill: "#ffffff", "fill-opacity": 0.92, stroke: "#5f686c", "stroke-width": 0.5, rx: 2 }, g);
      let row = area.top + 12;
      const texts = [];
      if (head) {
        const t = make("text", { y: row, "font-weight": "bold" }, g);
        t.textContent = head;
        texts.push([t, 0]);
        row += 12.5;
      }
      for (const l of lines) {
        const mark = make("path", { fill: "none", "stroke-width": 3, stroke: l.color.getAttribute("stroke") || "#1c2326" }, g);
        const t = make("text", { y: row }, g);
        t.textContent = (l.name + " " + l.text).trim();
        t.setAttribute("class", "bb-value");
        texts.push([t, 12, mark, row - 3]);
        row += 12.5;
      }
      const width = Math.max(...texts.map(([t, indent]) => t.getComputedTextLength() + indent)) + 2 * pad;
      let left = x + 8;
      if (left + width > area.left + area.width) left = x - 8 - width;
      left = Math.max(2, left);
      for (const [t, indent, mark, y] of texts) {
        t.setAttribute("x", left + pad + indent);
        if (mark) mark.setAttribute("d", `M${left + pad} ${y}h8`);
      }
      for (const [k, v] of Object.entries({ x: left, y: area.top + 1, width, height: row - area.top - 8 })) ground.setAttribute(k, v);
    }

    listen() {
      const svg = this.svg, fingers = new Map();
      let from = null, band = null;
      svg.style.touchAction = "pan-y";
      svg.setAttribute("tabindex", "0");
      const end = () => { from = null; if (band) band.remove(); band = null; };
      svg.addEventListener("pointerdown", e => {
        const p = this.place(e);
        fingers.set(e.pointerId, p);
        if (!p.axis.zooms || !p.inside || e.button) return;
        from = { ...p, shown: p.axis.shown.slice(), touch: e.pointerType === "touch", pan: !e.shiftKey && !p.axis.isWhole };
        if (e.pointerType !== "touch") { try { svg.setPointerCapture(e.pointerId); } catch (ignored) { /* a pointer that is gone */ } e.preventDefault(); svg.focus({ preventScroll: true }); }
      });
      svg.addEventListener("pointermove", e => {
        const p = this.place(e);
        if (fingers.size === 2 && fingers.has(e.pointerId) && p.axis.zooms) {
          const other = [...fingers].find(([id]) => id !== e.pointerId)[1], before = fingers.get(e.pointerId);
          const ratio = Math.abs(p.x - other.x) / Math.max(1, Math.abs(before.x - other.x));
          if (ratio > 0) this.zoom(other.axis, ratio, other.value);
          fingers.set(e.pointerId, this.place(e));
          return;
        }
        if (from && from.pan) {
          const d = (from.x - p.x) / from.area.width * (from.shown[1] - from.shown[0]);
          this.show(from.axis, from.shown[0] + d, from.shown[1] + d);
          return;
        }
        if (from && !from.touch && Math.abs(p.x - from.x) > 3) {
          const beside = from.axis.areas.filter(a => a.left === from.area.left), last = beside[beside.length - 1];
          band = band || make("rect", { fill: "#5f686c", "fill-opacity": 0.25, y: beside[0].top }, svg);
          band.setAttribute("x", Math.min(p.x, from.x));
          band.setAttribute("width", Math.abs(p.x - from.x));
          band.setAttribute("height", last.top + last.height - beside[0].top);
        }
        if (p.inside) { this.here = p.area; this.read(p.area, p.x, p.y); } else this.forget();
      });
      svg.addEventListener("pointerup", e => {
        fingers.delete(e.pointerId);
        const p = this.place(e), start = from, chosen = band;
        end();
        if (!chosen) return;
        const value = start.axis.valueAt(start.area, p.x);
        this.show(start.axis, Math.min(value, start.value), Math.max(value, start.value));
      });
      svg.addEventListener("pointercancel", e => { fingers.delete(e.pointerId); end(); });
      svg.addEventListener("pointerleave", e => { if (!from) { fingers.delete(e.pointerId); this.forget(); } });
      svg.addEventListener("dblclick", () => { this.every(a => this.wholly(a)); });
      svg.addEventListener("wheel", e => {
        if (!this.zooms || !(e.ctrlKey || e.metaKey)) return;
        e.preventDefault();
        const p = this.place(e);
        this.zoom(p.axis, Math.exp(-e.deltaY / 300), p.value);
      }, { passive: false });
      svg.addEventListener("keydown", e => this.key(e));
    }

    key(e) {
      const area = this.here || this.areas[0], axis = area.of, step = area.width / 100;
      const go = d => {
        this.at = Math.max(area.left, Math.min(area.left + area.width, (this.at || area.left) + d));
        this.read(area, this.at, area.top);
      };
      const actions = { ArrowLeft: () => e.shiftKey ? this.move(axis, -0.2) : go(-step), ArrowRight: () => e.shiftKey ? this.move(axis, 0.2) : go(step) };
      if (axis.zooms) Object.assign(actions, { "+": () => this.zoom(axis, 1.5), "-": () => this.zoom(axis, 1 / 1.5), 0: () => this.wholly(axis) });
      const act = actions[e.key];
      if (!act || e.ctrlKey || e.metaKey || e.altKey) return;
      e.preventDefault();
      e.stopPropagation();
      act();
    }

    // tools are the buttons below the picture.
    tools(holder) {
      if (!this.zooms) return;
      const bar = document.createElement("div");
      bar.className = "bb-tools";
      const add = (text, title, act) => {
        const b = document.createElement("button");
        b.type = "button"; b.textContent = text; b.title = title;
        b.addEventListener("click", act);
        bar.appendChild(b);
        return b;
      };
      add("+", "show a shorter stretch", () => this.every(a => this.zoom(a, 1.5)));
      add("\u2212", "show a longer stretch", () => this.every(a => this.zoom(a, 1 / 1.5)));
      add("\u2190", "show what is before", () => this.every(a => this.move(a, -0.25)));
      add("\u2192", "show what is after", () => this.every(a => this.move(a, 0.25)));
      add("whole", "show everything", () => this.every(a => this.wholly(a)));
      const hint = document.createElement("span");
      hint.textContent = "drag over a stretch to zoom";
      bar.appendChild(hint);
      this.onshow = () => {
        hint.textContent = !this.axes.every(a => a.isWhole) ? "drag to move; double-click for the whole" : "drag over a stretch to zoom";
      };
      holder.appendChild(bar);
    }
  }

  function start(svg, holder) {
    if (svg.dataset.live) return;
    svg.dataset.live = "1";
    const p = new Picture(svg);
    if (p.areas.length) p.tools(holder);
  }

  // isDark looks for the ground that an element stands on.
  function isDark(e) {
    for (; e; e = e.parentElement) {
      const m = /rgba?\(([\d.]+), ([\d.]+), ([\d.]+)(?:, ([\d.]+))?\)/.exec(getComputedStyle(e).backgroundColor);
      if (m && m[4] !== "0") return 0.2126 * m[1] + 0.7152 * m[2] + 0.0722 * m[3] < 110;
    }
    return false;
  }

  function suit(svg) {
    const dark = isDark(svg.parentElement);
    svg.classList.remove("bb-auto");
    svg.classList.toggle("bb-dark", dark);
  }

  const unpacked = code => Uint8Array.from(atob(code), c => c.charCodeAt(0));

  function parse(text) {
    return document.importNode(new DOMParser().parseFromString(text, "image/svg+xml").documentElement, true);
  }

  // replace puts the drawings in the place of the still picture of a cell: the
  // wide one now, the narrow one where it is first needed.
  function replace(img) {
    const holder = img.parentElement, packed = img.dataset.narrow;
    img.classList.remove("bb-picture");
    const add = (kind, text, width) => {
      const box = document.createElement("div"), svg = parse(text);
      box.className = "bb-" + kind;
      box.appendChild(svg);
      holder.appendChild(box);
      svg.style.cssText = "width:100%;height:auto;display:block;max-width:" + width;
      svg.querySelector(".bb-paper").setAttribute("fill", "none");
      suit(svg);
      start(svg, box);
      return box;
    };
    const wide = add("wide", new TextDecoder().decode(unpacked(img.src.split(",")[1])), "830px");
    let narrow = null;
    img.remove();
    const fit = async () => {
      const small = holder.clientWidth > 0 && holder.clientWidth < 690;
      if (small && !narrow) {
        const stream = new Blob([unpacked(packed)]).stream().pipeThrough(new DecompressionStream("gzip"));
        narrow = new Response(stream).text().then(text => add("narrow", text, "480px"));
      }
      const box = narrow && await narrow;
      wide.style.display = small && box ? "none" : "";
      if (box) box.style.display = small ? "" : "none";
    };
    new ResizeObserver(fit).observe(holder);
    new MutationObserver(() => all(holder, "svg.bb").forEach(suit)).observe(document.body, { attributes: true });
  }

  if (!document.querySelector("#bb-style")) {
    const style = document.createElement("style");
    style.id = "bb-style";
    style.textContent = ".bb-tools{font:12px system-ui,sans-serif;margin:2px 0 6px;opacity:.85}" +
      ".bb-tools button{font:inherit;min-width:26px;margin-right:4px;padding:1px 6px;color:inherit;background:transparent;border:1px solid currentColor;border-radius:3px;cursor:pointer}" +
      "svg.bb{user-select:none}svg.bb:focus{outline:1px dotted}@media print{.bb-tools{display:none}}";
    document.head.appendChild(style);
  }
  function enliven() {
    all(document, "img.bb-picture").forEach(img => {
      try { replace(img); } catch (e) { console.error(e); }
    });
  }
  enliven();
  // A control's picture on a page that was loaded anew comes without a script.
  if (!window.bbWatches && document.querySelector(".jp-Notebook, #notebook-container")) {
    window.bbWatches = true;
    let asked = false;
    new MutationObserver(() => {
      if (asked) return;
      asked = true;
      requestAnimationFrame(() => { asked = false; enliven(); });
    }).observe(document.body, { childList: true, subtree: true });
  }
  all(document, "svg.bb").forEach(svg => start(svg, svg.parentElement));
})();
