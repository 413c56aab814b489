// Sentences that were written for whoever types commands and files, with the page's own fields in their place.

import { el } from "/page-dom.js";
import { keyOf } from "/page-forms.js";

const FILES = "(?:order|shop)\\.toml";
const KEY = "[a-z][a-z0-9_]*";
const VALUE = `"[^"\\n]*"|\\[[^\\]\\n]*\\]|\\{[^}\\n]*\\}|[\\w.#%+-]*[\\w#%]`;
const PART = `(?:${KEY}|"[^"\\n]*")(?:\\[\\d+\\])?`;
const DOTTED = `(?:shop\\.|colour\\.#[0-9a-f]{6}\\.|${KEY}(?:\\[\\d+\\])?\\.)(?:${PART}\\.)*${PART}(?:\\.[A-Z0-9]{1,4}\\b)?`;

/** Ways to name a setting, the first that fits taken: a pattern, and what of it is table, key, value, file. */
const WAYS = [
  // --width "372 mm"
  [`--(?<option>width|height|shirts|garment)(?: (?<value>"[^"\\n]*"))?`],
  // --set base.way=plain, --set 'colour.#1f3a5f.printed=false', --set "fill_in.thicken_most='0.3 mm'"
  [`--set (?<quote>['"]?)(?<dotted>${DOTTED})=(?<value>'[^'\\n]*'|[^\\s'",;)]*[^\\s'",;.)])\\k<quote>`],
  // thicken = true under [fill_in] in shop.toml
  [`(?<key>${KEY}) = (?<value>${VALUE}) under \\[(?<table>${KEY}(?:\\.${KEY})*)\\](?: (?:in|of) (?<file>${FILES}))?`],
  // mist = "never" in order.toml's [drying]
  [`(?<key>${KEY}) = (?<value>${VALUE}) in (?<file>${FILES})'s \\[(?<table>${KEY})\\]`],
  // platen_width, of platen_width and platen_height under [press]
  [`(?<key>${KEY})(?= and ${KEY} under \\[(?<table>${KEY}(?:\\.${KEY})*)\\](?: in (?<file>${FILES}))?)`],
  // choke under [base]
  [`(?<key>${KEY}) under \\[\\[?(?<table>${KEY}(?:\\.${KEY})*)\\]\\]?(?: (?:in|of) (?<file>${FILES}))?`],
  // order.toml: print[1].width = "2 km", and print[1].width alone
  [`(?:(?<file>${FILES}): )?(?<dotted>${DOTTED})(?: = (?<was>${VALUE}))?(?: (?:in|of) ${FILES})?`],
  // [drying] of shop.toml, shop.toml's [drying], under [press], [[inks]]; a word in brackets alone is none
  [`(?<file>${FILES})'s \\[\\[?(?<table>${KEY}(?:\\.${KEY})*)\\]\\]?`],
  [`\\[\\[?(?<table>${KEY}(?:\\.${KEY})*)\\]\\]? (?:in|of|to|into) (?<after>${FILES})`],
  [`\\[\\[(?<table>${KEY}(?:\\.${KEY})*)\\]\\]`],
  [`(?<=under )\\[(?<table>${KEY}(?:\\.${KEY})*)\\]`],
  // width_by_size in the order
  [`(?<key>[a-z]+_[a-z_]+) in the order`],
];
const ANY = WAYS.map(([pattern]) => new RegExp(pattern, "uy"));
const MAY_NAME = /--[a-z]|\[|_|[a-z]\.[a-z]/;
const BEGINS = /(?<![\w.#"'-])(?:--|\[|[a-z])/gu;
const OPTIONS = { width: "width", height: "height", shirts: "sizes", garment: "colour" };

/** Replace what only a printed sheet or a terminal has. */
function plainer(text) {
  return text
    .replace(/ \(on the sheet, or prep plan\)/g, " (in Run)")
    .replace(/ on the sheet, or prep plan/g, " in Run");
}

/**
 * Give a sentence as text and buttons that lead to the fields it speaks of, or set them.
 *
 * `about` = { groups, setup }: the forms' groups, and the set-up it is said of (null = the whole order)
 */
export function said(text, about) {
  const parts = [];
  const words = plainer(text);
  if (!MAY_NAME.test(words)) return [words];
  let from = 0;
  BEGINS.lastIndex = 0;
  for (let begin = BEGINS.exec(words); begin !== null; begin = BEGINS.exec(words)) {
    if (begin.index < from) continue;
    const found = named(words, begin.index, about);
    if (found === null) continue;
    parts.push(words.slice(from, begin.index), button(found, about));
    from = begin.index + found.length;
    BEGINS.lastIndex = from;
  }
  return [...parts, words.slice(from)].filter(part => part !== "");
}

function named(words, from, about) {
  for (const one of ANY) {
    one.lastIndex = from;
    const match = one.exec(words);
    const field = match === null ? null : fieldOf(match.groups, about);
    if (field !== null) return { field, length: match[0].length, value: valueOf(match.groups.value) };
  }
  return null;
}

function valueOf(text) {
  if (text === undefined) return null;
  return /^(["'])[^]*\1$/.test(text) ? text.slice(1, -1) : text;
}

function button({ field, value }, about) {
  const label = labelOf(field, about);
  const shared = { type: "button", class: "plain to-field", "data-path": keyOf(field.path) };
  if (value === null) return el("button", { ...shared, "data-do": "go-to-field" }, label);
  const shown = field.kind === "switch" ? { true: "yes", false: "no" }[value] ?? value : value;
  return el(
    "button",
    { ...shared, "data-do": "set-field", "data-kind": field.kind, "data-text": value },
    `Set ${label} to ${shown}`,
  );
}

function labelOf(field, { groups }) {
  const group = groups.find(one => one.fields.includes(field));
  if (group.of === "print" && field.path.length === 3) return field.label === "width" ? "print width" : field.label;
  return `${group.title}: ${field.label}`;
}

function fieldOf({ option, dotted, key, table, file, after }, about) {
  if (option !== undefined) return ofSetup(OPTIONS[option], about);
  if (dotted !== undefined) return at(pathOf(dotted), file, about);
  if (table === undefined) return ofSetup(key, about);
  const path = table.split(".");
  if (key === undefined) return under(path, file ?? after, about);
  return at([...path, key], file, about);
}

function pathOf(dotted) {
  return dotted.match(/(?:"[^"]*"|[^."])+/g).flatMap(part => {
    const [, name, number] = /^"?(.*?)"?(?:\[(\d+)\])?$/.exec(part);
    return number === undefined ? [name] : [name, Number(number) - 1];
  });
}

const all = groups => groups.flatMap(one => one.fields);

/** The field at a path; of one that the order and the shop have, the order's, unless the shop's is meant. */
function at(path, file, { groups, setup }) {
  const fields = all(groups);
  const find = wanted => fields.find(one => keyOf(one.path) === keyOf(wanted)) ?? null;
  if (path[0] === "colour") {
    const own = groups.find(one => one.of === "colour" && one.place === setup?.place && one.colour === path[1]);
    return own?.fields.find(one => keyOf(one.path) === keyOf([...own.path, ...path.slice(2)])) ?? null;
  }
  if (path[0] === "print" && path[2] === "colour" && typeof path[3] === "number") {
    const own = groups.find(one => one.of === "colour" && one.path[1] === path[1] && one.entry === path[3]);
    return own?.fields.find(one => keyOf(one.path) === keyOf([...own.path, ...path.slice(4)])) ?? null;
  }
  const ours = path[0] === "shop" ? path : ["shop", ...path];
  // of one size, or of one row of a list, the field of all of them is meant
  const near = start => {
    for (let end = start.length; end > Math.max(1, start.length - 3); end -= 1) {
      const found = find(start.slice(0, end));
      if (found !== null) return found;
    }
    return null;
  };
  return file === "shop.toml" ? near(ours) : near(path) ?? near(ours);
}

/** The first field of a table. */
function under(path, file, { groups }) {
  const find = start => all(groups).find(one => keyOf(one.path.slice(0, start.length)) === keyOf(start)) ?? null;
  return file === "shop.toml" ? find(["shop", ...path]) : find(path) ?? find(["shop", ...path]);
}

/** A field of the set-up's own print or garment. */
function ofSetup(key, { groups, setup }) {
  const has = (one, name, value) => one.fields.some(each => each.path.at(-1) === name && each.value === value);
  const prints = groups.filter(one => one.of === "print");
  const garments = groups.filter(one => one.of === "garment");
  const own = [
    ...(setup === null ? prints : prints.filter(one => has(one, "place", setup.place))),
    ...(setup === null ? garments : garments.filter(one => setup.garments.some(each => has(one, "name", each.name)))),
    ...groups.filter(one => one.of === "order"),
  ];
  return all(own).find(one => one.path.at(-1) === key) ?? null;
}

/** A line said of the field it stands at: without the name of that field, but with that of a size or row. */
export function ofField(line) {
  const match = new RegExp(`^(?:${FILES}: )?(${DOTTED}|${KEY})(?: = (?:${VALUE}))?: (.*)$`, "su").exec(
    line.replace(new RegExp(`^${FILES}: `, "u"), ""),
  );
  if (match === null) return line;
  const [, name, what] = match;
  const size = /\.(?:"([^"]*)"|([A-Z0-9]{1,4}))$/.exec(name);
  return size === null ? what.charAt(0).toUpperCase() + what.slice(1) : `${size[1] ?? size[2]}: ${what}`;
}
