// What lies beside the orders: pages of plugins with links, and forms that are filled in and sent.

import { section } from "/page-blocks.js";
import { el } from "/page-dom.js";
import { Typed, asToml, field, keyOf, rowsOf, shownText } from "/page-forms.js";
import { Refused, ask, post } from "/page-talk.js";
import { ofField } from "/page-words.js";

const SLOW_MS = 250; // what comes sooner needs no "is being opened"
const LOOK_MS = 1500;

/** Which page an address leads to: { view, at, of } with `of` the order it is about; null = none of these. */
export function placeOf(hash) {
  const [kind, ...words] = hash.split("/");
  if (kind !== "view" && kind !== "view-of") return null;
  let parts;
  try {
    parts = words.map(decodeURIComponent);
  } catch {
    return null;
  }
  const of = kind === "view-of" ? parts.shift() : null;
  const [view, ...at] = parts;
  return view ? { view, at: at.filter(word => word !== ""), of: of || null } : null;
}

/** The address of a page. */
export function hashOf({ view, at, of }) {
  const words = [...(of ? ["view-of", of] : ["view"]), view, ...at];
  return `#${words.map(encodeURIComponent).join("/")}`;
}

/** Give an answer, or raise what it says instead of it: a refusal is no fault, and comes like any answer. */
function notRefused(answer) {
  if (answer.lines) throw new Refused(422, answer.lines);
  return answer;
}

function same(one, other) {
  return one !== null && other !== null && hashOf(one) === hashOf(other);
}

/** What is looked at beside the orders, and what was typed there. */
export class Views {
  /** `now` = { draw, say, lost, found, toHeading }: how the page around it is told. */
  constructor(now) {
    this.now = now;
    this.all = [];
    this.trouble = []; // why nothing is known of them
    this.place = null;
    this.page = null;
    this.refused = null; // { lines, away }: why the page isn't there
    this.slow = false;
    this.waits = ""; // name of the order that is worked out first
    this.told = null; // what came of the form sent last
    this.forms = new Map();
  }

  /** Learn which views there are. */
  async know() {
    if (this.all.length) return;
    const { views, trouble } = await ask("/views");
    this.all = views;
    this.trouble = trouble;
  }

  /** Pages about an order: [[words, address], ...]. */
  about(order) {
    return this.all.flatMap(one => one.of_order.map(link => [link.words, hashOf({ view: one.name, at: link.address, of: order }), one.by]));
  }

  /** Go to a page. */
  async open(place) {
    if (!same(place, this.place)) {
      this.page = null;
      this.forms = new Map();
    }
    // what came of a form is told on the page it leads to, and nowhere else
    if (this.told !== null && this.told.on !== hashOf(place)) this.told = null;
    this.place = place;
    this.refused = null;
    this.slow = false;
    this.waits = "";
    const slow = setTimeout(() => this.isSlow(place), SLOW_MS);
    this.now.draw();
    try {
      await this.know();
      const query = new URLSearchParams([...place.at.map(word => ["at", word]), ...(place.of ? [["of", place.of]] : [])]);
      const page = notRefused(await ask(`/views/${encodeURIComponent(place.view)}?${query}`));
      if (this.place !== place) return;
      this.now.found();
      this.page = page;
      for (const form of page.forms) this.forms.set(form.name, new Form(place, form));
    } catch (error) {
      if (this.place !== place) return;
      if (error instanceof Refused) this.refused = { lines: error.lines, away: false };
      else if (error instanceof TypeError) {
        this.refused = { lines: [], away: true };
        this.now.lost("away");
      } else throw error;
    } finally {
      clearTimeout(slow);
    }
    this.now.draw();
    this.now.toHeading();
    if (this.told !== null && !this.told.quiet) this.now.say(this.told.lines.join(" "), { now: true });
    else if (this.refused !== null) this.now.say(`This can't be shown. ${this.refused.lines[0] ?? "No answer came."}`, { now: true });
  }

  /** Say what is waited for; about an order, whether that is worked out first. */
  async isSlow(place) {
    if (this.place !== place || this.page !== null) return;
    this.slow = true;
    if (place.of) {
      try {
        const state = await ask(`/orders/${encodeURIComponent(place.of)}`);
        if (this.place !== place || this.page !== null) return;
        this.waits = state.doing ? state.name : "";
      } catch {
        // what is wrong is told by the page's own answer
      }
      setTimeout(() => this.isSlow(place), LOOK_MS);
    }
    const words = this.waiting();
    if (words !== this.said) this.now.say(words);
    this.said = words;
    this.now.draw();
  }

  waiting() {
    return this.waits ? `${this.waits} is being worked out first; this opens by itself then` : "This is being opened";
  }

  /** Nothing is looked at any more. */
  leave() {
    this.place = null;
    this.page = null;
    this.told = null;
    this.forms = new Map();
  }

  get title() {
    return this.page?.title ?? this.own?.title ?? "Firstpull";
  }

  get own() {
    return this.all.find(one => one.name === this.place?.view) ?? null;
  }

  /** Links to all of them. */
  links() {
    return this.all.map(one =>
      el("a", { href: hashOf({ view: one.name, at: [], of: null }), "data-key": one.name, "aria-current": this.place?.view === one.name && !this.place.of ? (this.place.at.length ? "true" : "page") : null }, one.title),
    );
  }

  /** For the page with which one begins. */
  list() {
    if (this.trouble.length) {
      return el("section", { class: "problem", "data-key": "views" }, el("p", {}, el("strong", {}, "What lies beside the orders can't be shown.")), el("ul", {}, this.trouble.map(line => el("li", {}, line))));
    }
    if (this.all.length === 0) return null;
    return el(
      "section",
      { class: "sub", "data-key": "views", "aria-labelledby": "views-head" },
      el("h2", { id: "views-head" }, "Beside the orders"),
      el(
        "ul",
        { class: "books" },
        this.all.map(one =>
          el(
            "li",
            { "data-key": one.name },
            el("a", { href: hashOf({ view: one.name, at: [], of: null }), "aria-describedby": `view-${one.name}` }, one.title),
            el("span", { class: "small about", id: `view-${one.name}` }, one.about),
          ),
        ),
      ),
    );
  }

  top(orderName) {
    const { place, own } = this;
    const ways = [
      place.of ? [`Back to ${orderName ?? "the order"}`, `#${place.of}`] : null,
      own !== null && (place.at.length || place.of) ? [own.title, hashOf({ view: place.view, at: [], of: null })] : null,
    ].filter(Boolean);
    return [
      ways.length ? el("nav", { class: "ways", "aria-label": "Where this page belongs", "data-key": "ways" }, ways.map(([words, href]) => el("a", { href, "data-key": href }, words))) : null,
      el("h1", { tabindex: "-1", "data-key": "title" }, this.title),
      this.came(),
      this.page === null && this.refused === null && this.slow
        ? el("div", { class: "going", "data-key": "going" }, el("p", {}, `${this.waiting()} …`), el("progress", { "aria-label": "Being opened", "data-key": "moving" }))
        : null,
      this.refused === null ? null : this.cantBeShown(),
    ];
  }

  cantBeShown() {
    const { lines, away } = this.refused;
    return el(
      "section",
      { class: "problem", "data-key": "problem", "aria-labelledby": "problem-head" },
      el("h2", { id: "problem-head" }, away ? "No answer came" : "This can't be shown as it is"),
      away ? el("p", {}, "The program behind this page doesn't answer. Once it does, try again.") : said(lines),
      el("div", { class: "actions" }, el("button", { type: "button", "data-do": "view-again" }, "Try again")),
    );
  }

  /** What came of the form sent last. */
  came() {
    return this.told === null || this.told.quiet ? null : cameOf(this.told);
  }

  work() {
    if (this.page === null) return [];
    const { place, page } = this;
    const about = { order: hashOf(place), setup: "", level: 2, withWhy: false, pictures: "/view-pictures" };
    return [
      page.sections.map(one => section(one.title === page.title ? { ...one, title: "" } : one, about)),
      page.links.length
        ? el(
            "nav",
            { class: "sub", "aria-label": "Look at", "data-key": "links" },
            page.links.length > 3 ? el("h2", {}, "Look at") : null,
            el(
              "ul",
              { class: "view-links" },
              page.links.map(one => el("li", { "data-key": keyOf(one.address) }, el("a", { href: this.link(one.address) }, one.words))),
            ),
          )
        : null,
      page.forms.map(one => this.forms.get(one.name)?.draw()),
    ];
  }

  /** Where a page of this view is; it stays about the order if it is one of those that are. */
  link(address) {
    const { view, of } = this.place;
    const stays = of && this.own?.of_order.some(one => one.address.every((word, i) => word === address[i]));
    return hashOf({ view, at: address, of: stays ? of : null });
  }

  formOf(element) {
    return this.forms.get(element.closest("[data-view-form]")?.dataset.viewForm) ?? null;
  }

  /** Something was typed. */
  input({ target }) {
    const form = this.formOf(target);
    const { path, row, column, word } = target.dataset;
    if (form === null || path === undefined) return;
    if (word !== undefined) {
      const boxes = [...target.closest("fieldset").querySelectorAll("[data-word]:checked")];
      form.typed.texts.set(path, boxes.length ? JSON.stringify(boxes.map(one => one.dataset.word)) : "");
    } else if (row !== undefined) form.rowsOf(path)[Number(row)][Number(column)] = target.value;
    else if (target.type === "checkbox") form.typed.texts.set(path, target.checked ? "true" : "");
    else form.typed.texts.set(path, target.value);
    form.keep();
  }

  addRow(button) {
    const form = this.formOf(button);
    const rows = form.rowsOf(button.dataset.path);
    rows.push((form.fieldAt(button.dataset.path).columns ?? ["", ""]).map(() => ""));
    form.keep();
    this.now.draw({ now: true });
    document.getElementById(`${button.id.replace(/-add$/, "")}-${rows.length - 1}-0`)?.focus();
  }

  dropRow(button) {
    const form = this.formOf(button);
    const { path, row } = button.dataset;
    const add = button.closest(".rows").querySelector("[data-do=add-row]");
    form.rowsOf(path).splice(Number(row), 1);
    form.keep();
    this.now.draw({ now: true });
    add?.focus();
  }

  /** Empty a form, as it was given. */
  clear(button) {
    const form = this.formOf(button);
    form.forget();
    this.now.draw({ now: true });
    this.now.say("The form is as it was before anything was typed.");
    document.getElementById(form.id)?.focus();
  }

  /** Send a form; while it is on its way it can't be sent again. */
  async send(button) {
    const form = this.formOf(button);
    if (form === null || form.sending) return;
    const { place } = this;
    form.begin();
    this.now.draw({ now: true });
    this.now.say("Being sent.");
    let came = null;
    try {
      const sent = { at: place.at, of: place.of, form: form.name, key: form.key, typed: form.filled() };
      came = notRefused(await post(`/views/${encodeURIComponent(place.view)}`, sent));
      this.now.found();
    } catch (error) {
      form.sending = false;
      if (error instanceof Refused) form.refuse(error);
      else if (error instanceof TypeError) {
        form.away = true;
        this.now.lost("away");
      } else throw error;
    }
    if (came === null) {
      this.now.say(form.away ? "No answer came. What you typed stays." : `Not entered. ${form.plain()[0]?.words ?? ""}`, { now: true });
      if (!same(this.place, place)) return;
      this.now.draw({ now: true });
      document.getElementById(`${form.id}-trouble`)?.focus();
      return;
    }
    form.forget();
    await this.take(came, form.sentKey, place);
  }

  async take(came, key, place) {
    const lines = [...came.said];
    if (came.again) lines.unshift(came.same ? "This had been sent before; it was entered once." : "This form had been sent before, and that was entered. What you changed in it since was not; fill it in anew for that.");
    this.told = { lines, trouble: came.trouble, files: came.files, key, on: null };
    if (!lines.length && !came.trouble.length && !came.files.length) this.told = { ...this.told, quiet: true };
    if (came.opens !== null || !same(this.place, place)) {
      // told where she is, or where it leads
      const told = this.told;
      this.told = null;
      this.now.elsewhere(came.opens, told);
      return;
    }
    const next = came.go === null ? hashOf(place) : this.link(came.go);
    this.told.on = next;
    if (next === hashOf(place)) await this.open(place);
    else location.hash = next;
  }
}

/** What came of a form, wherever it is told. */
export function cameOf({ lines, trouble, files, key }) {
  return el(
    "section",
    { class: "done", "data-key": "done", "aria-labelledby": "done-head" },
    el("h2", { class: "unseen", id: "done-head" }, "What came of it"),
    lines.map((line, i) => el("p", {}, i === 0 ? el("strong", {}, line) : line)),
    trouble.length ? [el("p", {}, "What was to follow failed:"), said(trouble)] : null,
    files.length
      ? el(
          "div",
          { class: "first-files" },
          files.map(one => el("a", { class: "button", href: `/view-files/${key}/${one.name.split("/").map(encodeURIComponent).join("/")}`, download: true }, `Save ${one.name}`)),
        )
      : null,
  );
}

/** Lines that read "what; what to do". */
function said(lines) {
  return el(
    "ul",
    {},
    lines.map(line => {
      const cut = line.lastIndexOf("; ");
      return el("li", {}, cut < 0 ? line : line.slice(0, cut), cut < 0 ? null : el("span", { class: "do" }, "→ ", line.slice(cut + 2)));
    }),
  );
}

/** A form as it stands on the page, with what was typed in it. */
class Form {
  constructor(place, shown) {
    this.shown = shown;
    this.name = shown.name;
    this.id = `form-${shown.name.replace(/[^\w-]+/g, "_")}`;
    this.stored = `form|${hashOf(place)}|${shown.name}`;
    this.parts = shown.parts.map(part => ({
      ...part,
      fields: part.fields.map(one => ({ ...one, path: ["view", shown.name, part.key, ...one.path], own: one.path })),
    }));
    this.sending = false;
    this.away = false;
    this.failed = false;
    this.lines = [];
    this.sentKey = "";
    this.restore();
  }

  restore() {
    this.typed = new Typed();
    this.key = crypto.randomUUID();
    let kept = null;
    try {
      kept = JSON.parse(sessionStorage.getItem(this.stored) ?? "null");
    } catch {
      // not ours: as if nothing had been typed
    }
    if (kept === null) return;
    const known = new Map(this.fields().map(one => [keyOf(one.path), one]));
    for (const [key, text] of kept.texts) if (known.has(key)) this.typed.texts.set(key, text);
    for (const [key, rows] of kept.rows) {
      const columns = known.get(key)?.columns;
      if (columns && rows.every(row => row.length === columns.length)) this.typed.rows.set(key, rows);
    }
    // sent, and the page was loaded anew before the answer came: sent again, it is known
    this.key = kept.key;
  }

  /** Keep what was typed for as long as this tab is open. */
  keep() {
    try {
      sessionStorage.setItem(this.stored, JSON.stringify({ key: this.key, texts: [...this.typed.texts], rows: [...this.typed.rows] }));
    } catch {
      // no room: it stays on the page all the same
    }
  }

  forget() {
    this.sentKey = this.key;
    this.key = crypto.randomUUID();
    this.typed = new Typed();
    this.lines = [];
    this.failed = this.away = this.sending = false;
    sessionStorage.removeItem(this.stored);
  }

  fields() {
    return this.parts.flatMap(part => part.fields);
  }

  fieldAt(path) {
    return this.fields().find(one => keyOf(one.path) === path);
  }

  rowsOf(path) {
    const { rows } = this.typed;
    if (!rows.has(path)) rows.set(path, rowsOf(this.fieldAt(path), this.typed).map(row => [...row]));
    return rows.get(path);
  }

  /** What stands in the fields: part's key -> [[path, text or rows], ...]. */
  filled() {
    const of = one => {
      const key = keyOf(one.path);
      const rows = rowsOf(one, this.typed);
      if (one.columns) return rows;
      if (rows) return asToml(rows, key) ?? "";
      const typed = this.typed.texts.get(key);
      if (one.words) return typed ?? (one.words.length ? JSON.stringify(one.words) : "");
      return typed ?? shownText(one);
    };
    return Object.fromEntries(this.parts.map(part => [part.key, part.fields.map(one => [one.own, of(one)])]));
  }

  begin() {
    this.sending = true;
    this.away = this.failed = false;
    this.lines = [];
    this.typed.refused.clear();
    this.typed.cells.clear();
    this.keep();
  }

  refuse({ status, lines }) {
    this.lines = lines;
    this.failed = status >= 500;
    // answered, it may be mended and sent anew
    this.key = crypto.randomUUID();
    this.keep();
    for (const { line, field: own, cell } of this.plain()) {
      if (own === null) continue;
      const key = keyOf(own.path);
      if (cell) this.typed.cells.set(key, [...(this.typed.cells.get(key) ?? []), cell]);
      this.typed.refused.set(key, [...(this.typed.refused.get(key) ?? []), line]);
    }
  }

  /** What was said, each line with the field it names, if it names one, and in the form's own words. */
  plain() {
    return this.lines.map(line => {
      let best = null;
      for (const part of this.parts) {
        for (const one of part.fields) {
          const name = [part.key, ...one.own].join(".");
          const at = line.search(new RegExp(`(?<![\\w.])${name.replace(/[.*+?^${}()|[\]\\]/g, "\\$&")}(?![\\w-])`, "u"));
          if (at >= 0 && (best === null || name.length > best.name.length)) best = { name, one, part };
        }
      }
      if (best === null) return { line, field: null, words: line };
      const [, number, column] = /^\[(\d+)\](?:\.([\w-]+))?/.exec(line.slice(line.indexOf(best.name) + best.name.length)) ?? [];
      const row = number && this.rowAt(best.one, Number(number));
      const cell = row && column ? `${row - 1}|${column}` : null;
      const label = best.one.columns?.find(each => each.key === column)?.label ?? "";
      const where = row ? `, row ${row}${label ? `, ${label}` : ""}` : "";
      const title = this.parts.length > 1 ? `${best.part.title}: ` : "";
      return { cell, line: row ? `Row ${row}${label ? `, ${label}` : ""}: ${lower(ofField(line))}` : line, field: best.one, words: `${title}${best.one.label}${where}: ${lower(ofField(line))}` };
    });
  }

  /** Which row as it stands is the one of a number; empty ones weren't sent. */
  rowAt(one, number) {
    const filled = (rowsOf(one, this.typed) ?? []).flatMap((row, i) => (row.some(text => text.trim()) ? [i] : []));
    return (filled[number - 1] ?? number - 1) + 1;
  }

  draw() {
    const { shown, id } = this;
    return el(
      "div",
      { class: "entry", role: "form", "aria-labelledby": id, "data-view-form": this.name, "data-key": `form ${this.name}` },
      el("h2", { id, tabindex: "-1" }, shown.title),
      this.trouble(),
      this.parts.map(part =>
        el(
          "fieldset",
          { class: "group", "data-key": part.key },
          part.title ? el("legend", {}, part.title) : el("legend", { class: "unseen" }, shown.title),
          part.about ? el("p", { class: "small" }, part.about) : null,
          el("div", { class: "fields" }, part.fields.map(one => field(one, this.typed))),
        ),
      ),
      el(
        "div",
        { class: "actions", "data-key": "actions" },
        el("button", { type: "button", class: "main", "data-do": "view-send", "aria-disabled": this.sending ? "true" : null, "data-key": "send" }, shown.do),
        this.typed.texts.size + this.typed.rows.size && !this.sending ? el("button", { type: "button", "data-do": "view-clear", "data-key": "clear" }, "Take back what was typed") : null,
        this.sending ? el("p", { class: "small", "data-key": "sending" }, "Being sent …") : null,
      ),
    );
  }

  trouble() {
    if (!this.lines.length && !this.away) return null;
    const head = this.away ? "No answer came" : this.failed ? "This failed" : "Not entered yet";
    const about = this.away
      ? "What you typed stays here. Once the program answers, send it again: what had come in isn't entered a second time. If the program was started anew, look first whether it came in."
      : null;
    return el(
      "div",
      { class: "problem", "data-key": "trouble" },
      el("h3", { id: `${this.id}-trouble`, tabindex: "-1" }, head),
      about ? el("p", {}, about) : null,
      this.lines.length
        ? el(
            "ul",
            {},
            this.plain().map(({ field: own, words }) =>
              el("li", {}, own === null ? words : el("button", { type: "button", class: "plain to-field", "data-do": "view-to-field", "data-path": keyOf(own.path) }, words)),
            ),
          )
        : null,
    );
  }
}

function lower(text) {
  return /^[A-Z][a-z ]/.test(text) ? text.charAt(0).toLowerCase() + text.slice(1) : text;
}
