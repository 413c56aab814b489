// Settings as fields. What she types is kept until it is taken, or taken back; nothing else touches it.

import { el } from "/page-dom.js";
import { ofField } from "/page-words.js";

const ONE_LINE = 7; // columns of a row that stand beside each other in a wide window

/** Tables that are typed as rows: the words for name and value, and how the value is written. */
const ROWS = {
  sizes: { name: "Size", value: "How many", number: true, add: "Add a size" },
  width_by_size: { name: "Size", value: "Width", number: false, add: "Add a size" },
  additives: { name: "Additive", value: "How much", number: false, add: "Add an additive" },
};
const NAMED = { name: "Name", value: "Value", number: true, add: "Add one" };

function rowsAbout(path) {
  return ROWS[path.at(-1)] ?? NAMED;
}

export function keyOf(path) {
  return JSON.stringify(path);
}

/** What was typed and not yet taken, what was sent, and what was refused. */
export class Typed {
  constructor() {
    this.texts = new Map();
    this.rows = new Map();
    this.columns = new Map(); // of the rows that are lists of tables
    this.sent = new Map();
    this.values = new Map(); // of rows that were sent before this window was opened
    this.refused = new Map();
    this.cells = new Map(); // of rows that are refused, those that are named: "row|column"
    this.unread = new Set();
  }

  /** What was sent before this window was opened, and is waiting or being worked out, stands in its field. */
  restore(pending) {
    for (const { path, text, value } of pending) {
      const key = keyOf(path);
      this.sent.set(key, text);
      if (text === null) this.values.set(key, []);
      else if (value !== null && typeof value === "object") this.values.set(key, value);
      this.texts.set(key, text ?? "");
    }
  }

  /** A piece of work on what was sent is over: taken, or refused with lines. */
  settleEnd({ ended, changes, lines }) {
    for (const { path, text } of changes) {
      const key = keyOf(path);
      // from another tab, or sent again with something else since
      if (this.sent.get(key) !== text) continue;
      this.sent.delete(key);
      if (ended === "refused") {
        this.refused.set(key, ownLines(key, lines));
        this.unread.add(key);
      } else if (ended !== "") {
        const how = ended === "cancelled" ? "was cancelled" : "failed";
        this.refused.set(key, [`Not in force: the work ${how}. Type it again, or take it back.`]);
      } else if (ended === "") {
        this.refused.delete(key);
        this.unread.delete(key);
        this.values.delete(key);
        if (this.texts.get(key) === (text ?? "")) this.texts.delete(key);
        if (this.rows.has(key) && asToml(this.rows.get(key), key, this.columns.get(key)) === text) this.rows.delete(key);
      }
    }
  }

  /** What was refused and not read yet, line by line. */
  unreadLines() {
    return [...new Set([...this.unread].flatMap(key => this.refused.get(key) ?? []))];
  }

  /** What was said against a value holds no more. */
  forgetSaid(key) {
    this.refused.delete(key);
    this.unread.delete(key);
    this.cells.delete(key);
  }

  forget(key) {
    this.texts.delete(key);
    this.rows.delete(key);
    this.values.delete(key);
    this.refused.delete(key);
    this.unread.delete(key);
  }
}

/** The lines that name a setting; all of them where none does. */
function ownLines(key, trouble) {
  const last = JSON.parse(key).at(-1);
  const own = trouble.filter(line => line.includes(last));
  return own.length ? own : trouble;
}

/** Make a group of fields. */
export function group(one, fields, typed) {
  return el(
    "fieldset",
    { class: "group", "data-key": keyOf(one.path) + one.of },
    el("legend", {}, titleOf(one)),
    el("div", { class: "fields" }, fields.map(each => field(each, typed))),
  );
}

function titleOf(one) {
  if (!one.colour) return one.title;
  const ink = one.fields.find(each => each.path.at(-1) === "ink")?.value;
  return [el("span", { class: "patch", look: { backgroundColor: one.colour } }), ink ? `${ink}, ${one.title}` : one.title];
}

/** Make a field with its label, help, and what was said against it. */
export function field(one, typed, { label = one.label, help = one.help, patch = null } = {}) {
  const key = keyOf(one.path);
  const id = `field-${key.replace(/[^\w-]+/g, "_")}`;
  const refused = typed.refused.get(key);
  const [about, force] = [`${emptied(help, one)}${inUnit(one, help)}`, inForce(one)];
  const described = [about || force ? `${id}-help` : "", refused ? `${id}-trouble` : ""].join(" ").trim();
  const needed = one.blank && !one.optional ? " (needed)" : "";
  const words = label.charAt(0).toUpperCase() + label.slice(1) + needed;
  const shared = {
    id,
    "data-path": key,
    "data-kind": one.kind,
    "aria-describedby": described || null,
    "aria-invalid": refused ? "true" : null,
  };
  if (one.blank && one.tick) return tickBox(one, typed, words, shared, about);
  const rows = rowsOf(one, typed);
  const back =
    !one.blank && ((one.set && one.optional) || refused)
      ? el(
          "button",
          {
            type: "button",
            class: "plain back",
            "data-do": refused ? "take-back" : "usual",
            "data-path": key,
            "data-kind": one.kind,
            "aria-label": refused ? `Take back what was typed for ${label}` : `Back to usual: ${label}`,
          },
          refused ? "take back" : "back to usual",
        )
      : null;
  return el(
    "div",
    { class: rows || one.words || (one.blank && one.long) ? "field wide" : "field", "data-key": key },
    rows || one.words
      ? [one.words ? wordBoxes(one, typed, words, shared) : table(one, rows, words, shared, typed.cells.get(key)), back]
      : [
          el("div", { class: "label" }, el("label", { for: id }, patch ? el("span", { class: "patch", look: { backgroundColor: patch } }) : null, words), back),
          input(one, typed, shared, key, id),
        ],
    about || force ? el("p", { class: "small", id: `${id}-help` }, force, about ? ` ${about}` : "") : null,
    one.names ? knownNames(one.names, label) : null,
    refused
      ? el("ul", { class: "trouble", id: `${id}-trouble` }, refused.map(line => el("li", {}, ofField(line))))
      : null,
  );
}

/** What is said of no value, as of an empty field; what holds then is told of settings, but not in blank forms. */
function emptied(help, { blank }) {
  const words = help.replace(/\bnone = /g, "empty: ");
  return blank ? words.replace(/\bas in \[([a-z_]+)\]/g, "as stated for the $1") : words;
}

/** Say in which unit a number alone is taken. */
function inUnit({ unit, kind }, help) {
  const words = { in: "inches", F: "°F", C: "°C" }[unit] ?? unit;
  return unit && kind !== "number" ? `${help ? (/[.!?]$/.test(help) ? " " : ". ") : ""}Without a unit: ${words}.` : "";
}

/** Say the value that holds, where it isn't in the field itself, and where it comes from. */
function inForce({ value, in_force: force, kind }) {
  if (force === null || force.text === "") return "";
  if (force.from === "job") return `As usual this job takes ${force.text}.`;
  const whose = { usual: "usual", log: "measured here", shop: "your shop's", order: "set in this order" }[force.from];
  if (value !== "") return `${whose.charAt(0).toUpperCase()}${whose.slice(1)}.`;
  const text = kind === "switch" ? { true: "yes", false: "no" }[force.text] ?? force.text : force.text;
  return `In force: ${text}, ${whose}.`;
}

/** What is so or isn't, where nothing else is meant by an empty box. */
function tickBox(one, typed, words, shared, about) {
  const key = keyOf(one.path);
  const refused = typed.refused.get(key);
  const box = el("input", { ...shared, type: "checkbox" });
  box.checked = (typed.texts.get(key) ?? one.value) === "true";
  return el(
    "div",
    { class: "field", "data-key": key },
    el("label", { class: "word" }, box, el("span", {}, words)),
    about ? el("p", { class: "small", id: `${shared.id}-help` }, about) : null,
    refused ? el("ul", { class: "trouble", id: `${shared.id}-trouble` }, refused.map(line => el("li", {}, ofField(line)))) : null,
  );
}

/** Say which names a table may have, and lead to where another is added. */
function knownNames({ known, path }, label) {
  return el(
    "p",
    { class: "small", "data-key": "names" },
    known.length ? `Listed in your shop: ${known.join(", ")}. ` : "None is listed in your shop yet. ",
    el("button", { type: "button", class: "plain to-field", "data-do": "go-to-field", "data-path": keyOf(path), "aria-label": `List another for ${label}` }, "List another"),
  );
}

function input(one, typed, shared, key, id) {
  const value = typed.texts.get(key) ?? shownText(one);
  if (one.kind === "switch" || one.only_choices) {
    const options = one.kind === "switch" ? [["true", "yes"], ["false", "no"]] : one.choices.map(word => [word, word]);
    if (one.blank) options.unshift(["", one.optional ? "not said" : "choose one"]);
    else if (one.value === "") options.unshift(["", "as usual"]); // else a button leads back
    const made = el("select", shared, options.map(([text, words]) => el("option", { value: text }, words)));
    made.value = value;
    return made;
  }
  if (one.long && one.blank && one.kind === "text") {
    const made = el("textarea", { ...shared, rows: "4", spellcheck: "true" });
    made.value = value;
    return made;
  }
  const list = one.choices.length ? `${id}-list` : null;
  const made = el("input", {
    ...shared,
    type: "text",
    inputmode: one.kind === "number" ? "decimal" : null,
    list,
    autocomplete: "off",
    spellcheck: "false",
    placeholder: one.value === "" && !one.blank ? "as usual" : null,
  });
  made.value = value;
  const colour = /^#[0-9a-f]{6}$/i.test(value) && one.path.at(-1) === "colour";
  return [
    colour
      ? el("span", { class: "with-patch" }, el("span", { class: "patch", look: { backgroundColor: value } }), made)
      : made,
    list ? el("datalist", { id: list }, one.choices.map(word => el("option", { value: word }))) : null,
  ];
}

/** Words of a few, any number of them. */
function wordBoxes(one, typed, label, { id, ...shared }) {
  const text = typed.texts.get(keyOf(one.path));
  const chosen = text ? JSON.parse(text) : text === "" ? [] : one.words;
  return el(
    "fieldset",
    { class: "rows", id },
    el("legend", {}, label),
    one.choices.map((word, i) => {
      const box = el("input", { ...shared, type: "checkbox", id: `${id}-${i}`, "data-word": word });
      box.checked = chosen.includes(word);
      return el("label", { class: "word", "data-key": word }, box, el("span", {}, ` ${word}`));
    }),
  );
}

/** A plain text in TOML is shown without its quotes. */
export function shownText(one) {
  if (one.kind !== "toml") return one.value;
  const text = /^"((?:[^"\\]|\\["\\])*)"$/.exec(one.value);
  return text ? text[1].replace(/\\(["\\])/g, "$1") : one.value;
}

/** What is sent for a typed text; null = back to usual. */
export function sentText(kind, text, optional) {
  const bare = text.trim();
  if (bare === "" && optional) return null;
  if (kind !== "toml" || /^[[{"'+\-\d]|^(true|false)$/.test(bare)) return bare;
  return quoted(bare);
}

function quoted(text) {
  return JSON.stringify(text);
}

/** Rows of a table that can be typed as rows; null where it can't. */
export function rowsOf(one, typed) {
  const key = keyOf(one.path);
  const own = typed.rows.get(key);
  const sent = typed.values.get(key);
  if (one.columns) return own ?? (Array.isArray(sent) ? sent.map(row => cellsOf(row, one.columns)) : one.rows);
  if (one.kind !== "toml" || !(one.path.at(-1) in ROWS || one.named)) return null;
  if (own) return own;
  if (sent) return Object.entries(sent).map(([name, value]) => [name, String(value)]);
  return one.value === "" ? [] : one.pairs;
}

function cellsOf(row, columns) {
  const text = value => (value === undefined ? "" : typeof value === "object" ? JSON.stringify(value) : String(value));
  return columns[0].key === "" ? [text(row)] : columns.map(one => text(row[one.key]));
}

/** Write rows as an inline table; those without a name or a value are left out, null = nothing is left. */
export function asToml(rows, key, columns = null) {
  if (columns) return listOf(rows, columns);
  const { number } = rowsAbout(JSON.parse(key));
  const whole = rows.filter(([name, value]) => name.trim() && value.trim());
  if (whole.length === 0) return null;
  const parts = whole.map(([name, value]) => {
    const bare = value.trim();
    return `${quoted(name.trim())} = ${number && /^\d+([.,]\d+)?$/.test(bare) ? bare.replace(",", ".") : quoted(bare)}`;
  });
  return `{ ${parts.join(", ")} }`;
}

/** Whether a row waits for more to be typed. */
export function isHalf(row, columns) {
  if (columns) return row.some(text => text.trim()) && columns.some((one, i) => one.required && !row[i].trim());
  return Boolean(row[0].trim()) !== Boolean(row[1].trim());
}

/** Write rows as a list of tables, or of values where the only column has no key; empty rows are left out. */
function listOf(rows, columns) {
  const whole = rows.filter(row => row.some(text => text.trim()));
  const cell = (text, { kind }) => {
    const bare = text.trim();
    if (kind === "number") return /^[\d.,+-]+$/.test(bare) ? bare.replace(",", ".") : quoted(bare);
    if (kind === "switch") return bare;
    return kind === "toml" ? sentText(kind, bare, false) : quoted(bare);
  };
  const made = row => columns.flatMap((one, i) => (row[i].trim() ? [`${one.key} = ${cell(row[i], one)}`] : []));
  const parts = whole.map(row => (columns[0].key === "" ? cell(row[0], columns[0]) : `{ ${made(row).join(", ")} }`));
  return `[${parts.join(", ")}]`;
}

function listTable(one, rows, words, { id, "data-path": path, ...rest }, cells) {
  const { columns } = one;
  const wrong = (row, i) => (cells && !cells.includes(`${row}|${columns[i].key}`) ? null : rest["aria-invalid"]);
  const cell = (row, i, value) => {
    const about = columns[i];
    const shared = {
      id: `${id}-${row}-${i}`,
      "data-row": row,
      "data-column": i,
      "data-path": path,
      "aria-label": about.label ? `${about.label}, row ${row + 1} of ${rows.length}${one.blank && i && rows[row][0] ? `, ${rows[row][0]}` : ""}` : `${words}, row ${row + 1} of ${rows.length}`,
      "aria-invalid": wrong(row, i),
      "aria-describedby": rest["aria-describedby"],
      title: `${about.help}${inUnit(about, about.help)}` || null,
    };
    const choices = about.kind === "switch" ? ["true", "false"] : about.kind === "text" ? about.choices : [];
    const made = choices.length
      ? el("select", shared, ["", ...choices].map(word => el("option", { value: word }, about.kind === "switch" ? { true: "yes", false: "no" }[word] ?? "" : word)))
      : el("input", { ...shared, type: "text", autocomplete: "off", spellcheck: "false", size: "9", inputmode: about.kind === "number" ? "decimal" : null });
    made.value = value;
    return about.label ? el("label", { class: "cell" }, el("span", { class: "small" }, about.label), made) : made;
  };
  return el(
    "fieldset",
    { class: "rows" },
    el("legend", {}, words),
    el(
      "div",
      { class: "row-list" },
      rows.map((values, row) =>
        el(
          "div",
          { class: columns.length <= ONE_LINE ? "row cells few" : "row cells" },
          values.map((value, i) => cell(row, i, value)),
          el(
            "button",
            { type: "button", class: "plain", "data-do": "drop-row", "data-row": row, "data-path": path, "aria-label": `Remove ${values[0] || "this row"}` },
            "×",
          ),
        ),
      ),
      el("button", { type: "button", class: "plain", "data-do": "add-row", "data-path": path, id: `${id}-add` }, "Add one"),
    ),
  );
}

function table(one, rows, words, shared, cells) {
  if (one.columns) return listTable(one, rows, words, shared, cells);
  const about = rowsAbout(one.path);
  const { id, "data-path": path, ...rest } = shared;
  const cell = (row, column, value) => {
    const made = el("input", {
      id: `${id}-${row}-${column}`,
      type: "text",
      inputmode: column === 1 && about.number ? "numeric" : null,
      autocomplete: "off",
      spellcheck: "false",
      size: "8",
      list: column === 0 && one.names?.known.length ? `${id}-names` : null,
      "data-row": row,
      "data-column": column,
      "data-path": path,
      "aria-label": column && rows[row][0] ? `${about.value} of ${rows[row][0]}` : `${column ? about.value : about.name}, row ${row + 1} of ${rows.length}`,
      "aria-invalid": rest["aria-invalid"],
      "aria-describedby": rest["aria-describedby"],
    });
    made.value = value;
    return made;
  };
  return el(
    "fieldset",
    { class: "rows" },
    el("legend", {}, words),
    one.names?.known.length ? el("datalist", { id: `${id}-names` }, one.names.known.map(name => el("option", { value: name }))) : null,
    el(
      "div",
      { class: "row-list" },
      rows.map(([name, value], row) =>
        el(
          "div",
          { class: about.number && about !== NAMED ? "row counts" : "row" },
          cell(row, 0, name),
          cell(row, 1, value),
          el(
            "button",
            { type: "button", class: "plain", "data-do": "drop-row", "data-row": row, "data-path": path, "aria-label": `Remove ${name || "this row"}` },
            "×",
          ),
        ),
      ),
      el("button", { type: "button", class: "plain", "data-do": "add-row", "data-path": path, id: `${id}-add` }, about.add),
    ),
  );
}
