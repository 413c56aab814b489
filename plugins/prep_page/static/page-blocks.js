// Sections of a sheet as elements: paragraphs, cautions, steps to tick, figures, tables, drawings.

import { el } from "/page-dom.js";

/** Where ticks are kept: in this tab, for as long as it is open. */
export function ticked(name) {
  return sessionStorage.getItem(name) === "1";
}

/**
 * Make a section.
 *
 * `about` = { order, setup, level, withWhy, words }: which order and set-up it is of, the level of its heading,
 * whether figures get a button that tells what they rest on, what makes elements of sentences (none = text), and
 * where pictures are asked for (none = at the order's).
 */
export function section(one, about) {
  const heading = `h${about.level}`;
  return el(
    "section",
    { class: "section", "data-key": `${one.by}|${one.rank}|${one.title}|${one.screen ?? ""}`, id: about.id ?? null },
    one.title ? el(heading, { tabindex: about.id ? "-1" : null }, one.title) : null,
    one.blocks.map((block, i) => made(block, one, about, i)),
  );
}

function words(about, text) {
  return about.words ? about.words(text) : text;
}

function made(block, one, about, i) {
  switch (block.kind) {
    case "paragraph":
      return el("p", {}, words(about, block.text));
    case "caution":
      return el("div", { class: "caution", role: "note", "aria-label": "Caution" }, el("strong", {}, "Caution "), words(about, block.text));
    case "steps":
      return steps(block, one, about);
    case "figures":
      return figures(block, one, about);
    case "table":
      return tableWithWhy(block, one, about);
    case "drawing":
      return drawing(block, about);
    default:
      throw new Error(`a block of the unknown kind ${block.kind}`);
  }
}

function tableWithWhy(block, one, about) {
  const made = table(block, one.title, about);
  const numbers = block.rows.some(row => row.some(cell => /\d/.test(cell)));
  if (!about.withWhy || one.step === "rests" || !numbers) return made;
  const name = block.caption || one.title || block.head.join(", ");
  return [made, el("p", { class: "table-why" }, whyButton({ by: one.by, name, value: "", note: "", screen: one.screen, rests: one.rests_on }))];
}

function steps(block, one, about) {
  return el(
    "ul",
    { class: "steps" },
    block.steps.map((text, i) => {
      const name = ["tick", about.order, about.setup, one.title, one.screen ?? "", text].join("|");
      const box = el("input", { type: "checkbox", "data-tick": name });
      box.checked = ticked(name);
      return el("li", { "data-key": `${i}${text}` }, el("label", {}, box, el("span", {}, text)));
    }),
  );
}

function figures(block, one, about) {
  return el(
    "dl",
    { class: "figures" },
    block.rows.map(([name, value, note]) =>
      el(
        "div",
        {},
        el("dt", {}, name),
        el("dd", {}, el("span", { class: "value" }, value), note ? el("span", { class: "small" }, words(about, note)) : null),
        about.withWhy
          ? el("dd", { class: "why-button" }, whyButton({ by: one.by, name, value, note, screen: one.screen, rests: one.rests_on }))
          : null,
      ),
    ),
  );
}

/** A button that tells what a figure, a table's figures or a finding rest on. */
export function whyButton({ by, name, value, note, screen, what, rests }) {
  return el(
    "button",
    {
      type: "button",
      class: "plain",
      "data-do": "why",
      "data-by": by,
      "data-name": name,
      "data-value": value,
      "data-what": what ?? "",
      "data-note": note ?? "",
      "data-screen": screen ?? "",
      "data-rests": JSON.stringify(rests ?? []),
      "aria-label": value ? `Why? ${name}: ${value}` : `Why? ${name}`,
      "aria-haspopup": "dialog",
    },
    "Why?",
  );
}

/** Make a table in a box of its own, so that a wide one never makes the page scroll sideways. */
export function table(block, title, about = {}) {
  const side = i => ({ r: "right", c: "middle" })[block.align[i]] ?? null;
  return el(
    "div",
    { class: "scrolls", "data-label": title || block.caption || block.head.join(", ") },
    el(
      "table",
      {},
      block.caption ? el("caption", {}, el("span", {}, words(about, block.caption))) : el("caption", { class: "unseen" }, title),
      el(
        "thead",
        {},
        el(
          "tr",
          {},
          block.head.map((text, i) => el(text ? "th" : "td", { class: side(i), scope: text ? "col" : null }, text)),
        ),
      ),
      el(
        "tbody",
        {},
        block.rows.map(row =>
          el(
            "tr",
            {},
            row.map((cell, i) => {
              // a formula's brackets hold its values, not the names of settings
              const told = block.literal?.includes(i) ? cell : words(about, cell);
              return i === 0 && cell !== ""
                ? el("th", { scope: "row", class: side(i) }, told)
                : el("td", { class: side(i) }, told);
            }),
          ),
        ),
      ),
    ),
  );
}

function drawing(block, about) {
  // drawn for paper held in the hand; a screen stands farther away
  const times = block.width_mm <= 25 ? 4 : block.width_mm <= 90 ? 2 : 1;
  const larger = times > 1 && !about.pictures ? `Here ${times} times as large as on the sheet.` : "";
  return el(
    "figure",
    { class: "drawing", "data-key": block.picture },
    el("img", {
      src: `${about.pictures ?? `/orders/${about.order}/pictures`}/${block.picture}`,
      alt: block.alt,
      loading: "lazy",
      decoding: "async",
      look: {
        aspectRatio: `${block.width_mm} / ${block.height_mm}`,
        width: `min(100%, ${(block.width_mm * times).toFixed(1)}mm, ${((80 * block.width_mm) / block.height_mm).toFixed(2)}vh)`,
      },
    }),
    block.caption || larger ? el("figcaption", {}, words(about, `${block.caption} ${larger}`.trim())) : null,
  );
}
