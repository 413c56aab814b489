// What a figure rests on: formula, inputs, limits and sources as the plugin tells them, and the settings in force.

import { section } from "/page-blocks.js";
import { el } from "/page-dom.js";
import { said } from "/page-words.js";
import { WHOLE } from "/page-work.js";

/**
 * Tell why a figure is what it is.
 *
 * `about` = { name, value, what, note, by, screen, rests }: the figure or finding, what was said with it, the
 * plugin that told it, the screen it is of ("" = none), and the titles of what it rests on as JSON ([] = all
 * that its plugin tells).
 */
export function why({ name, value, what, note, by, screen, rests }, { order, result, setup }) {
  const sections = restsOf(by, JSON.parse(rests), result, setup);
  const tellers = new Set(sections.length ? sections.map(one => one.by) : [by]);
  const settings = [...tellers].flatMap(one => settingsOf(one, screen, result, setup));
  const number = (setup?.screens ?? []).find(one => one.key === screen)?.number;
  const words = text => said(text, { groups: result.groups, setup });
  return [
    el(
      "div",
      { class: "dialog-head" },
      el("h2", { id: "why-title", tabindex: "-1" }, value ? `${name}: ${value}` : name),
      el("button", { type: "button", "data-do": "close-why" }, "Close"),
    ),
    what ? el("p", {}, words(what)) : null,
    note ? el("p", {}, words(note)) : null,
    sections.map(one => section(ownFirst(one, name, number), { order, setup: setup?.key ?? WHOLE, level: 3, withWhy: false, words })),
    sections.length
      ? null
      : el(
          "p",
          {},
          "The part that reckoned this tells no formula of its own. It follows from the artwork and from the settings " +
            "below, where there are any; figures of other parts that enter it are told with those parts.",
        ),
    settings.length
      ? el(
          "section",
          { class: "section" },
          el("h3", {}, "Settings it was worked out with"),
          el(
            "dl",
            { class: "figures" },
            settings.map(each =>
              el(
                "div",
                {},
                el("dt", {}, each.label),
                el(
                  "dd",
                  {},
                  el("span", { class: "value" }, each.value),
                  el("span", { class: "small" }, [each.set ? "set by you" : "usual", each.help].filter(Boolean).join("; ")),
                ),
              ),
            ),
          ),
        )
      : null,
    setup !== null && allOf(result, setup).length ? el("p", {}, el("a", { href: `#${order}/rests`, "data-do": "close-why" }, "What all the figures rest on")) : null,
  ];
}

/** Put what a section tells of one figure, and of its screen, ahead of what it tells of others, in each table. */
function ownFirst(one, name, number) {
  const said = name.toLowerCase();
  const own = row => {
    const [of, ...where] = row[0].toLowerCase().split(", ");
    if (of === "" || !(of.startsWith(said) || said.startsWith(of))) return 0;
    return where.includes(`screen ${number}`) ? 2 : 1;
  };
  const sorted = block => {
    if (block.kind !== "table") return block;
    const rows = [...block.rows].sort((a, b) => own(b) - own(a));
    const best = rows.length ? own(rows[0]) : 0;
    // of formulas the figure's own alone: the others stand where all of them do
    return { ...block, rows: block.literal?.length && best ? rows.filter(row => own(row) === best) : rows };
  };
  return { ...one, blocks: one.blocks.map(sorted) };
}

/** Of the whole order what it tells itself, then what its first set-up tells. */
function allOf(result, setup) {
  const sections = setup?.sections ?? [...(result.sections ?? []), ...(result.setups[0]?.sections ?? [])];
  return sections.filter(one => one.step === "rests");
}

/** The sections named, else all of the plugin's; what is worked out with the job's values stands first. */
function restsOf(by, titles, result, setup) {
  const all = allOf(result, setup);
  const named = titles.flatMap(title => all.filter(one => one.title === title));
  return named.length ? named : all.filter(one => one.by === by).sort((a, b) => b.rank - a.rank);
}

/** Settings of a plugin for the order, the shop, and the colour of the screen. */
function settingsOf(by, screen, result, setup) {
  const colour = (setup?.screens ?? []).find(one => one.key === screen)?.colour;
  const own = result.groups.filter(one => one.of === by).flatMap(one => one.fields);
  const ofColour = result.groups
    .filter(one => one.of === "colour" && one.colour === colour && one.place === setup?.place)
    .flatMap(one => one.fields.filter(each => each.plugin === by));
  // as sentences have them: what is a list of tables by their names; of an empty one there is nothing to say
  return [...ofColour, ...own]
    .filter(each => each.value !== "" && each.in_force?.text !== "")
    .map(each => ({ ...each, value: each.in_force?.text ?? each.value }));
}
