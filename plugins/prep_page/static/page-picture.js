// The picture of a set-up: the design or what a screen prints, zoomed and moved, places ringed.

import { el, settle } from "/page-dom.js";
import { letterOf, mark, wordOf, placeInWords } from "/page-marks.js";

const MOST_PX_PER_MM = 110;
const STEP = 1.6;
const GLIDE_MS = 260;
const calm = matchMedia("(prefers-reduced-motion: reduce)");

export class Picture {
  constructor(said) {
    this.said = said;
    this.setup = null;
    this.shown = "design";
    this.finding = null;
    // the middle of what is seen, as shares of the picture, and how many times the whole
    this.view = { x: 0.5, y: 0.5, times: 1 };
    this.fingers = new Map();
    this.img = el("img", { alt: "", draggable: "false" });
    this.rings = el("div", { class: "rings", "aria-hidden": "true" });
    this.box = el(
      "div",
      {
        class: "view",
        tabindex: "0",
        role: "group",
        "aria-label": "Picture. Plus and minus enlarge, arrows move it, 0 shows the whole.",
      },
      this.img,
      this.rings,
    );
    this.which = el("div", { class: "which" });
    this.caption = el("p", { class: "caption" });
    this.root = el("div", { class: "picture" }, this.which, this.box, tools(), this.caption);
    this.#listen();
    new ResizeObserver(() => this.#place()).observe(this.box);
  }

  /** Show a set-up; the view stays where it was as long as the picture shows the same stretch. */
  set(order, setup) {
    const before = this.setup;
    this.order = order;
    this.setup = setup;
    if (before === null || before.key !== setup.key) {
      this.finding = null;
      this.view = { x: 0.5, y: 0.5, times: 1 };
    } else if (this.finding !== null) {
      this.finding = (setup.findings ?? []).find(one => same(one, this.finding)) ?? null;
    }
    if (this.#picture() === null) this.shown = "design";
    this.#draw();
  }

  /** Zoom to a finding and ring its places. */
  show(finding) {
    this.finding = finding;
    this.shown = (this.setup.screens ?? []).some(one => one.key === finding.screen)
      ? finding.screen
      : "design";
    this.#draw();
    const [x, y] = this.#share(finding.at_mm);
    const whole = this.setup.design.width_mm;
    const seen = Math.min(whole, Math.max(14, 14 * (finding.size_mm ?? 1)));
    this.#go({ x, y, times: whole / seen });
  }

  /** Take the rings away. */
  clear() {
    this.finding = null;
    this.#draw();
  }

  #picture() {
    if (this.shown === "design") return this.setup.design;
    return (this.setup.screens ?? []).find(one => one.key === this.shown)?.picture ?? null;
  }

  #share([x, y]) {
    const [x0, y0, x1, y1] = this.setup.design.bounds_mm;
    return [(x - x0) / (x1 - x0), (y - y0) / (y1 - y0)];
  }

  #draw() {
    const picture = this.#picture();
    const source = `/orders/${this.order}/pictures/${picture.picture}`;
    if (this.img.getAttribute("src") !== source) this.img.setAttribute("src", source);
    this.img.alt = picture.alt;
    const { width_mm: wide, height_mm: high } = this.setup.design;
    this.box.style.aspectRatio = `${wide} / ${high}`;
    // never higher than the window lets it be seen whole
    this.box.style.maxWidth = `calc(${(wide / high).toFixed(4)} * 62vh)`;
    settle(this.which, el("div", {}, choices(this.setup, this.shown)));
    this.#ring();
    this.#place();
  }

  #ring() {
    const fresh = el("div");
    const one = this.finding;
    if (one?.at_mm) {
      for (const place of one.also_at_mm ?? []) fresh.append(ring(place, "ring also", this));
      const main = ring(one.at_mm, `ring ${one.severity.replace(" ", "-")}`, this);
      main.append(el("span", { class: "ring-letter" }, letterOf(this.setup, one)));
      fresh.append(main);
    }
    settle(this.rings, fresh);
    [...this.rings.children].forEach((shown, i) => {
      const places = [...(one.also_at_mm ?? []), one.at_mm];
      shown.share = this.#share(places[i]);
    });
    const words = one?.at_mm
      ? [
          mark(one.severity, letterOf(this.setup, one)),
          ` ${wordOf(one.severity)}: ${one.kind}, at ${placeInWords(one.at_mm, this.setup.units)} from the top left`,
          one.also_at_mm?.length ? `; small rings: ${one.also_at_mm.length} more like it` : "",
          ". ",
          el("button", { type: "button", "data-do": "back-to-finding", class: "plain" }, "Back to the list"),
        ]
      : [];
    settle(this.caption, el("p", {}, ...words));
  }

  /** Put picture and rings where the view has them. */
  #place() {
    const { clientWidth: wide, clientHeight: high } = this.box;
    if (wide === 0 || this.setup === null) return;
    const most = Math.max(1, (MOST_PX_PER_MM * this.setup.design.width_mm) / wide);
    const view = this.view;
    view.times = Math.min(most, Math.max(1, view.times));
    this.box.classList.toggle("enlarged", view.times > 1);
    const half = 0.5 / view.times;
    view.x = Math.min(1 - half, Math.max(half, view.x));
    view.y = Math.min(1 - half, Math.max(half, view.y));
    const left = (half - view.x) * wide * view.times;
    const up = (half - view.y) * high * view.times;
    this.img.style.transform = `translate(${left}px, ${up}px) scale(${view.times})`;
    for (const one of this.rings.children) {
      if (one.share === undefined) continue;
      const x = left + one.share[0] * wide * view.times;
      const y = up + one.share[1] * high * view.times;
      one.style.transform = `translate(${x}px, ${y}px)`;
      const inside = x > -60 && y > -60 && x < wide + 60 && y < high + 60;
      one.style.visibility = inside ? "visible" : "hidden";
    }
  }

  #go(view) {
    cancelAnimationFrame(this.frame);
    if (calm.matches) {
      this.view = view;
      this.#place();
      return;
    }
    const from = { ...this.view };
    const began = performance.now();
    this.img.style.willChange = "transform";
    const step = now => {
      const t = Math.min(1, Math.max(0, (now - began) / GLIDE_MS));
      const eased = t * t * (3 - 2 * t);
      const times = from.times * (view.times / from.times) ** eased;
      // the middle moves as fast as the enlargement lets it be seen
      const share = view.times === from.times ? eased : (1 / times - 1 / from.times) / (1 / view.times - 1 / from.times);
      this.view = {
        x: from.x + (view.x - from.x) * share,
        y: from.y + (view.y - from.y) * share,
        times,
      };
      this.#place();
      if (t < 1) this.frame = requestAnimationFrame(step);
      else this.img.style.willChange = "";
    };
    this.frame = requestAnimationFrame(step);
  }

  zoom(factor, at = null) {
    const view = { ...this.view };
    if (at === null) {
      view.times = Math.max(1, view.times * factor);
      this.#go(view);
      return;
    }
    // what lies under the pointer stays there
    const before = view.times;
    const { clientWidth: wide, clientHeight: high } = this.box;
    const most = Math.max(1, (MOST_PX_PER_MM * this.setup.design.width_mm) / wide);
    view.times = Math.min(most, Math.max(1, before * factor));
    view.x += (at[0] / wide - 0.5) * (1 / before - 1 / view.times);
    view.y += (at[1] / high - 0.5) * (1 / before - 1 / view.times);
    this.view = view;
    this.#place();
  }

  move(x, y) {
    this.#go({ ...this.view, x: this.view.x + x / this.view.times, y: this.view.y + y / this.view.times });
  }

  whole() {
    this.#go({ x: 0.5, y: 0.5, times: 1 });
  }

  choose(which) {
    this.shown = which;
    this.#draw();
    this.said(which === "design" ? "The design is shown." : this.img.alt);
  }

  #listen() {
    const does = {
      "zoom-in": () => this.zoom(STEP),
      "zoom-out": () => this.zoom(1 / STEP),
      whole: () => this.whole(),
      left: () => this.move(-0.25, 0),
      right: () => this.move(0.25, 0),
      up: () => this.move(0, -0.25),
      down: () => this.move(0, 0.25),
    };
    const keys = {
      "+": "zoom-in", "=": "zoom-in", "-": "zoom-out", 0: "whole",
      ArrowLeft: "left", ArrowRight: "right", ArrowUp: "up", ArrowDown: "down",
    };
    this.root.addEventListener("click", event => {
      does[event.target.closest("[data-view]")?.dataset.view]?.();
    });
    this.root.addEventListener("change", event => {
      if (event.target.name === "which") this.choose(event.target.value);
    });
    this.box.addEventListener("keydown", event => {
      if (event.ctrlKey || event.altKey || event.metaKey || !(event.key in keys)) return;
      event.preventDefault();
      does[keys[event.key]]();
    });
    this.box.addEventListener(
      "wheel",
      event => {
        // the page scrolls on, until she has enlarged, or pinches
        if (!event.ctrlKey && this.view.times <= 1 && event.deltaY > 0) return;
        if (!event.ctrlKey && !this.box.matches(":focus-within") && this.view.times <= 1) return;
        event.preventDefault();
        cancelAnimationFrame(this.frame);
        const by = Math.exp(-event.deltaY * (event.deltaMode === 1 ? 0.06 : event.ctrlKey ? 0.01 : 0.002));
        this.zoom(by, this.#inBox(event));
      },
      { passive: false },
    );
    this.box.addEventListener("pointerdown", event => {
      if (event.button !== 0) return;
      this.fingers.set(event.pointerId, [event.clientX, event.clientY]);
      if (this.view.times > 1 || this.fingers.size > 1) this.box.setPointerCapture(event.pointerId);
    });
    this.box.addEventListener("pointermove", event => this.#drag(event));
    for (const kind of ["pointerup", "pointercancel", "pointerleave"]) {
      this.box.addEventListener(kind, event => this.fingers.delete(event.pointerId));
    }
  }

  #inBox(event) {
    const { left, top } = this.box.getBoundingClientRect();
    return [event.clientX - left, event.clientY - top];
  }

  #drag(event) {
    const before = this.fingers.get(event.pointerId);
    if (before === undefined) return;
    cancelAnimationFrame(this.frame);
    const now = [event.clientX, event.clientY];
    const other = [...this.fingers].find(([id]) => id !== event.pointerId)?.[1];
    if (other !== undefined) {
      const apart = p => Math.max(10, Math.hypot(p[0] - other[0], p[1] - other[1]));
      const { left, top } = this.box.getBoundingClientRect();
      this.zoom(apart(now) / apart(before), [(now[0] + other[0]) / 2 - left, (now[1] + other[1]) / 2 - top]);
    }
    const share = other === undefined ? 1 : 0.5;
    this.view.x -= (share * (now[0] - before[0])) / (this.box.clientWidth * this.view.times);
    this.view.y -= (share * (now[1] - before[1])) / (this.box.clientHeight * this.view.times);
    this.fingers.set(event.pointerId, now);
    this.#place();
  }
}

function same(one, other) {
  return one.kind === other.kind && one.screen === other.screen && String(one.at_mm) === String(other.at_mm);
}

function ring(place, name) {
  return el("div", { class: name });
}

function choices(setup, shown) {
  const screens = setup.screens ?? [];
  if (screens.length === 0) return [];
  const all = [
    ["design", "Design"],
    ...screens.map(one => [one.key, `Screen ${one.number}, ${one.ink}`]),
  ];
  return el(
    "fieldset",
    { class: "chips" },
    el("legend", { class: "unseen" }, "What the picture shows"),
    all.map(([key, words]) =>
      el(
        "label",
        { class: "chip", "data-key": key },
        radio(key, key === shown),
        el("span", {}, words),
      ),
    ),
  );
}

function radio(value, checked) {
  const made = el("input", { type: "radio", name: "which", value });
  made.checked = checked;
  return made;
}

function tools() {
  const all = [
    ["zoom-in", "+", "Enlarge"],
    ["zoom-out", "−", "Make smaller"],
    ["whole", "Whole", "Show the whole picture"],
    ["left", "←", "Move to the left"],
    ["up", "↑", "Move up"],
    ["down", "↓", "Move down"],
    ["right", "→", "Move to the right"],
  ];
  return el(
    "div",
    { class: "tools", role: "group", "aria-label": "Enlarge and move the picture" },
    all.map(([does, sign, words]) =>
      el("button", { type: "button", "data-view": does, "aria-label": words, title: words }, sign),
    ),
  );
}
