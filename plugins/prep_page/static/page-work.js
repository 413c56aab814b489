// The job in the order of the work: six parts, and what their figures rest on.

import { section, whyButton } from "/page-blocks.js";
import { el } from "/page-dom.js";
import { field, group, keyOf } from "/page-forms.js";
import { said } from "/page-words.js";
import { SEVERITIES, letterOf, mark, wordOf } from "/page-marks.js";

export const PARTS = [
  ["judge", "Judge", "What the artwork asks for, and what goes wrong if nothing is done."],
  ["screens", "Screens", "Mesh, frame, squeegee, place on the shirt, and how the screens line up."],
  ["film", "Film", "What is cut, weeded and laid on each screen."],
  ["ink", "Ink", "What to mix, what goes on the screen first, and when to top up."],
  ["run", "Run", "Printing step by step, keeping the ink open, and the hours it takes."],
  ["cure", "Cure", "Heat, wash test, cleaning up, and what to write down for next time."],
  ["rests", "What the figures rest on", "Formulas, limits and where each number comes from. A guess is called one."],
];
export const WHOLE = "whole order";
const FEW_RISKS = 4; // so many of them are told at length at once
const FEW_FAILS = 3; // and of those that will fail; of the others it is told what they are
const FIRST = ["climate", "retarder", "additives"];

function linkName(step) {
  const at = PARTS.findIndex(([key]) => key === step);
  if (at < 6) return `${at + 1} ${PARTS[at][1]}`;
  // in a narrow window the links are to stay in two lines
  return [el("span", { class: "long" }, PARTS[at][1]), el("span", { class: "short" }, "Why")];
}

/**
 * Make the parts.
 *
 * `now` = { order, result, setup (null = the whole order), busy, ended, inView, typed, shown (the finding
 * ringed) }
 */
export function work(now) {
  const { result, setup } = now;
  return el(
    "div",
    {},
    choose(now),
    links(now),
    el(
      "div",
      { class: "parts", "data-key": "parts" },
      partsOf(result, setup).map(one => part(one, now)),
    ),
    partsOf(result, setup).some(([step]) => step === "cure") ? null : afterwards(now),
  );
}

function choose({ result, setup }) {
  const all = result.setups.map(one => [one.key, `${one.name}: ${one.shirts} ${one.shirts === 1 ? "shirt" : "shirts"}`]);
  if (result.sections.length) all.push([WHOLE, "Whole order"]);
  if (all.length < 2) return null;
  return el(
    "fieldset",
    { class: "chips setups", "data-key": "setups" },
    el("legend", { class: "seen" }, "Set-up"),
    all.map(([key, words]) => {
      const radio = el("input", { type: "radio", name: "setup", value: key });
      radio.checked = key === (setup?.key ?? WHOLE);
      return el("label", { class: "chip", "data-key": key }, radio, el("span", {}, words));
    }),
  );
}

function links({ order, result, setup, inView }) {
  return el(
    "nav",
    { class: "parts-nav", "aria-label": "Parts of the work", "data-key": "nav" },
    el(
      "ol",
      {},
      partsOf(result, setup).map(([step]) =>
        el(
          "li",
          { "data-key": step },
          el("a", { href: `#${order}/${step}`, "aria-current": inView === step ? "true" : null }, linkName(step)),
        ),
      ),
    ),
    el("details", { class: "contents", "data-own": "contents", "data-key": "contents", hidden: true }),
  );
}

/** What stands in the part in view: [[key, title], ...]. */
export function contents(held) {
  return el(
    "div",
    {},
    el("summary", {}, "In this part"),
    el(
      "ul",
      {},
      held.map(([key, title]) =>
        el("li", { "data-key": key }, el("button", { type: "button", class: "plain", "data-do": "go-to-section", "data-section": key }, title)),
      ),
    ),
  );
}

/** Of the whole order only what is told of all its set-ups together. */
function partsOf(result, setup) {
  return PARTS.filter(([step]) => setup !== null || step === "judge" || of(result.sections, step).length);
}

function of(sections, step) {
  return (sections ?? []).filter(one => one.step === step);
}

function part([step, name, about], now) {
  const { setup, result } = now;
  const number = PARTS.findIndex(([key]) => key === step) + 1;
  const sections = of(setup === null ? result.sections : setup.sections, step);
  return el(
    "section",
    { class: "part", id: `part-${step}`, "data-key": step, "aria-labelledby": `head-${step}` },
    el(
      "h2",
      { id: `head-${step}`, tabindex: "-1" },
      number < 7 ? el("span", { class: "number" }, String(number)) : null,
      name,
    ),
    el("p", { class: "about" }, step === "judge" && setup === null ? "The set-ups of the order, each with how it stands." : about),
    setup === null ? null : change(step, now),
    step === "judge" ? (setup === null ? overview(result) : judge(now)) : null,
    step === "screens" && setup?.done ? screenTable(setup) : null,
    sections.length ? inOrder(sections, now) : null,
    setup !== null && !setup.done && step !== "judge" ? el("p", { class: "small" }, waiting(now)) : null,
    setup?.done && !sections.length && step !== "judge" ? el("p", {}, "There is nothing to tell here.") : null,
    step === "cure" ? afterwards(now) : null,
  );
}

/** What is done about the order when it is printed: pages beside the orders that are about it. */
function afterwards({ beside: all, result, setup }) {
  const told = toldOf(result, setup);
  const beside = all.filter(([, , by]) => !told.some(one => one.by === by));
  if (!beside.length) return null;
  return el(
    "nav",
    { class: "section after", "aria-labelledby": "after-head", "data-key": "after" },
    el("h3", { id: "after-head" }, "When it is printed"),
    el("p", { class: "about" }, beside.map(([words, href]) => el("a", { class: "button main", href, "data-key": href }, words))),
  );
}

/** Sections that links of their own plugin may stand in. */
function toldOf(result, setup) {
  return (setup === null ? result.sections : setup.sections ?? []).filter(one => one.title && one.step !== "rests");
}

/** Links to pages of the plugin whose first section this is. */
function ownLinks(one, { beside, result, setup }) {
  if (toldOf(result, setup).find(each => each.by === one.by) !== one) return null;
  const own = beside.filter(([, , by]) => by === one.by);
  return own.length ? el("p", { "data-key": "own links" }, own.map(([words, href]) => el("a", { class: "button", href, "data-key": href }, words))) : null;
}

function waiting({ busy }) {
  return busy ? "This is being worked out." : "This was not worked out: the work ended before.";
}

/**
 * Sections in their order. Those of one screen stand under its heading, folded up where there are several
 * screens: what will fail there, what is at risk and that a caution stands there is told outside.
 */
function inOrder(sections, now) {
  const screens = now.setup?.screens ?? [];
  const general = sections.filter(one => !screens.some(screen => screen.key === one.screen));
  const words = text => said(text, { groups: now.result.groups, setup: now.setup });
  const about = { order: now.order, setup: now.setup?.key ?? WHOLE, withWhy: true, words };
  const groups = screens
    .map(screen => [screen, sections.filter(one => one.screen === screen.key)])
    .filter(([, own]) => own.length);
  // of each part its first figures stay open; of the screens their table does
  const main = general.find(
    one => !["rests", "screens"].includes(one.step) && one.blocks.some(block => block.kind === "figures" || (one.step === "ink" && block.kind === "table")),
  );
  const foldable = one => one.title && one.by && one !== main && (one.step !== "judge" || long(one));
  return [
    general.map(one => {
      const own = ownLinks(one, now);
      if (foldable(one)) return folded(one, about, own);
      const made = section(one, { ...about, level: 3 });
      if (own !== null) made.append(own);
      return made;
    }),
    groups.map(([screen, own]) =>
      el(
        "details",
        {
          class: "screen-group",
          "data-key": `screen ${screen.key}`,
          "data-fold": `${own[0].step} screen ${screen.key}`,
          "data-printed": true,
          open: foldedOut(`${own[0].step} screen ${screen.key}`) ?? groups.length === 1,
        },
        el(
          "summary",
          {},
          el(
            "h3",
            {},
            el("span", { class: "patch", look: { backgroundColor: screen.colour } }),
            `Screen ${screen.number}, ${screen.ink}`,
          ),
          el("span", { class: "small" }, `${screen.colour}, mesh ${screen.mesh}, ${times(screen.passes)}`),
          verdict(now.setup.findings.filter(each => each.screen === screen.key)),
          own.some(one => one.blocks.some(block => block.kind === "caution")) ? el("strong", { class: "small" }, "Caution inside") : null,
        ),
        own.map(one => section(one, { ...about, level: 4 })),
      ),
    ),
  ];
}

/** Whether a section is more than a few lines. */
function long(one) {
  return one.blocks.length > 2 || one.blocks.some(block => ["table", "drawing", "steps"].includes(block.kind));
}

/** Whether something was folded out in this tab; null = nobody said. */
export function foldedOut(name) {
  const kept = sessionStorage.getItem(`fold|${name}`);
  return kept === null ? null : kept === "1";
}

function folded(one, about, own = null) {
  const name = `${one.step} ${one.by}|${one.title}`;
  const caution = one.blocks.some(block => block.kind === "caution");
  return el(
    "details",
    { class: "screen-group", "data-key": `fold ${name}`, "data-fold": name, "data-printed": true, open: foldedOut(name) === true },
    el("summary", {}, el("h3", {}, one.title), caution ? el("strong", { class: "small" }, "Caution inside") : null),
    section({ ...one, title: "" }, { ...about, level: 4 }),
    own,
  );
}

/** Marks and counts of what will fail and what is at risk; nothing where nothing is. */
function verdict(all) {
  const findings = all.filter(one => !one.too_large);
  const never = findings.length < all.length ? el("strong", { class: "verdict" }, mark("will fail", ""), "Can't be printed at this width") : null;
  return [never, ...SEVERITIES.slice(0, 2).map(severity => {
    const count = findings.filter(one => one.severity === severity).length;
    return count ? el("span", { class: "verdict" }, mark(severity, ""), `${wordOf(severity)}: ${count}`) : null;
  })];
}

/** The set-ups of an order, each with how it stands, leading to it. */
function overview(result) {
  return el(
    "ul",
    { class: "orders overview", "data-key": "overview" },
    result.setups.map(one => {
      const films = one.screens?.length ?? 0;
      const marks = verdict(one.findings ?? []);
      const said = one.done
        ? marks.some(Boolean)
          ? marks
          : "Nothing will fail, nothing is at risk"
        : "Not worked out yet";
      return el(
        "li",
        { "data-key": one.key },
        el("button", { type: "button", class: "plain", "data-do": "show-setup", "data-setup": one.key }, one.name),
        el("span", { class: "small" }, `${one.shirts} ${one.shirts === 1 ? "shirt" : "shirts"}${films ? `, ${films} ${films === 1 ? "film" : "films"}` : ""}`),
        el("span", { class: "verdicts" }, said),
      );
    }),
  );
}

function times(passes) {
  return passes === 1 ? "1 pass" : `${passes} passes`;
}

// Judge

function judge(now) {
  const { setup } = now;
  return [
    el(
      "div",
      { class: "judge", "data-key": "judge" },
      el(
        "div",
        { class: "picture-cell", "data-key": "picture" },
        el("h3", { class: "unseen" }, "The artwork"),
        el("div", { "data-own": "picture", "data-key": "own" }),
        facts(now),
      ),
      el("div", { "data-key": "findings" }, setup.done ? findings(now) : early(now)),
    ),
  ];
}

function facts({ result, setup }) {
  const [wide, high] = setup.size_mm;
  const shirts = setup.garments.map(one => `${one.count} × ${one.name} ${one.colour}`).join(", ");
  return [
    el(
      "p",
      { class: "small" },
      setup.garments.map(one => el("span", { class: "patch", look: { backgroundColor: one.colour } })),
      `${length(wide, setup.units)} wide, ${length(high, setup.units)} high. ${shirts}.`,
    ),
    setup.notes.map(note => el("p", { class: "small" }, said(note, { groups: result.groups, setup }))),
    (setup.lacking ?? []).map(line => el("p", { class: "notice" }, line)),
  ];
}

/** What is measured already, while the rest is worked out. */
function early(now) {
  const { setup } = now;
  return [
    el("h3", {}, "Measured so far"),
    measures(setup, setup.colours, "Colours of the artwork", one => [one.ink || "not chosen yet", one.hex]),
    el("p", { class: "small" }, waiting(now)),
  ];
}

function measures(setup, rows, caption, names) {
  return el(
    "div",
    { class: "scrolls", "data-label": caption },
    el(
      "table",
      {},
      el("caption", {}, el("span", {}, caption)),
      el(
        "thead",
        {},
        el("tr", {}, ["Ink", "Area", "Pieces", "Film islands", "Finest opening", "Finest gap"].map((text, i) =>
          el("th", { scope: "col", class: i ? "right" : null }, text))),
      ),
      el(
        "tbody",
        {},
        rows.map(one => {
          const [ink, hex] = names(one);
          return el(
            "tr",
            {},
            el("th", { scope: "row" }, el("span", { class: "patch", look: { backgroundColor: hex } }), `${ink}, ${hex}`),
            [
              area(one.area_mm2, setup.units),
              one.pieces,
              one.islands ?? "…",
              finest(one.finest_opening_mm, setup.units),
              finest(one.finest_gap_mm, setup.units),
            ].map(text => el("td", { class: "right" }, String(text))),
          );
        }),
      ),
    ),
  );
}

function length(mm, units) {
  return units === "metric" ? `${mm.toFixed(1)} mm` : `${(mm / 25.4).toFixed(2)} in`;
}

/** Of a detail that isn't there: none; of one that isn't measured yet: dots. */
function finest(mm, units) {
  if (mm === undefined) return "…";
  return mm === null ? "none" : fine(mm, units);
}

function fine(mm, units) {
  return units === "metric" ? `${mm.toFixed(2)} mm` : `${(mm / 25.4).toFixed(3)} in`;
}

function area(mm2, units) {
  return units === "metric" ? `${(mm2 / 100).toFixed(1)} cm²` : `${(mm2 / 645.16).toFixed(2)} in²`;
}

function screenTable(setup) {
  return el(
    "div",
    { class: "section", "data-key": "screen table" },
    el("h3", {}, "Screens in the order they are printed"),
    el(
      "div",
      { class: "scrolls", "data-label": "screens in the order they are printed" },
      el(
        "table",
        {},
        el("caption", { class: "unseen" }, "Screens in the order they are printed"),
        el("thead", {}, el("tr", {}, ["No.", "Ink", "Mesh", "Passes", "Prints", "Area", "Why here", "Changed from the artwork"].map((text, i) =>
          el("th", { scope: "col", class: i === 3 || i === 5 ? "right" : null }, text)))),
        el(
          "tbody",
          {},
          setup.screens.map(one =>
            el(
              "tr",
              {},
              el("th", { scope: "row" }, String(one.number)),
              el("td", {}, el("span", { class: "patch", look: { backgroundColor: one.colour } }), `${one.ink}, ${one.colour}`),
              el("td", {}, one.mesh),
              el("td", { class: "right" }, String(one.passes)),
              el("td", {}, one.does),
              el("td", { class: "right" }, area(one.area_mm2, setup.units)),
              el("td", {}, one.placed),
              el("td", {}, one.changes.length ? one.changes.join("; ") : "nothing"),
            ),
          ),
        ),
      ),
    ),
  );
}

function findings(now) {
  const { setup } = now;
  const never = setup.findings.filter(one => one.too_large);
  const bySeverity = SEVERITIES.map(severity => [severity, setup.findings.filter(one => one.severity === severity && !one.too_large)]);
  const grave = setup.findings.filter(one => one.severity !== "note" && !one.too_large);
  const fails = grave.filter(one => one.severity === "will fail");
  const risks = grave.filter(one => one.severity !== "will fail");
  const many = risks.length > FEW_RISKS;
  const notes = bySeverity.at(-1)[1];
  return [
    never.length
      ? el(
          "section",
          { class: "problem", "data-key": "too large", "aria-labelledby": "too-large" },
          el("h3", { id: "too-large" }, "Can't be printed at this width"),
          el("p", {}, "Settle this first. How many details fail says nothing until then."),
          setup.all_fit ? el("p", {}, setup.all_fit) : null,
          el("ul", { class: "findings" }, never.map(one => finding(one, now))),
        )
      : null,
    el("h3", {}, "What was found, worst first"),
    el(
      "ul",
      { class: "tally" },
      bySeverity.map(([severity, found]) =>
        el("li", {}, mark(severity, ""), `${wordOf(severity)}: ${found.length}`),
      ),
    ),
    grave.length
      ? [
          (many ? fails : grave).length ? el("ul", { class: "findings" }, (many ? fails : grave).map((one, i) => finding(one, now, i >= FEW_FAILS))) : null,
          many
            ? el(
                "details",
                { "data-key": "risks", "data-fold": "risks", "data-printed": true, open: foldedOut("risks") === true },
                el("summary", {}, `${risks.length} at risk`),
                el("ul", { class: "findings" }, risks.map(one => finding(one, now))),
              )
            : null,
        ]
      : el("p", {}, `${never.length ? "Of the details, nothing" : "Nothing here"} will fail, and nothing is at risk, as far as this can be told.`),
    notes.length
      ? el(
          "details",
          { "data-key": "notes", "data-printed": true },
          el("summary", {}, notes.length === 1 ? "1 note" : `${notes.length} notes`),
          el("ul", { class: "findings" }, notes.map(one => finding(one, now))),
        )
      : null,
  ];
}

/** `brief`: only its kind and screen stand open. */
function finding(one, { order, result, setup, shown }, brief = false) {
  const words = text => said(text, { groups: result.groups, setup });
  const letter = letterOf(setup, one);
  const screen = setup.screens.find(each => each.key === one.screen);
  const where = screen ? `Screen ${screen.number}, ${screen.ink}` : "";
  const whole = [
    one.close ? el("img", { class: "close", src: `/orders/${order}/pictures/${one.close.picture}`, alt: one.close.alt, loading: "lazy", decoding: "async" }) : null,
    el("p", {}, words(one.what)),
    el("p", { class: "do" }, words(one.do)),
    el(
      "div",
      { class: "where" },
      one.at_mm
        ? el(
            "button",
            { type: "button", "data-do": "show-finding", "data-letter": letter, "aria-pressed": String(shown === one), "aria-describedby": `finding-${letter}` },
            `Show ${letter} in the picture`,
          )
        : null,
      where
        ? el("span", { class: "small" }, el("span", { class: "patch", look: { backgroundColor: screen.colour } }), where)
        : null,
      whyButton({ by: one.by, name: `${letter}. ${wordOf(one.severity)}: ${one.kind}`, value: "", note: one.why, screen: one.screen, what: one.what }),
    ),
  ];
  const name = `finding ${setup.key} ${one.kind} ${one.screen} ${one.at_mm}`;
  return el(
    "li",
    { class: shown === one ? "finding shown" : "finding", id: `finding-${letter}`, "data-key": letter },
    el("h4", {}, mark(one.severity, letter), el("span", {}, el("span", { class: "unseen" }, `${letter}. `), `${wordOf(one.severity)}: ${one.kind}`)),
    brief
      ? el(
          "details",
          { "data-key": "whole", "data-fold": name, "data-printed": true, open: foldedOut(name) === true },
          el("summary", {}, where ? `${where}: what it is and what to do` : "What it is and what to do"),
          whole,
        )
      : whole,
  );
}

// Settings

/** Where a plugin's settings stand: where its sections do, those of the whole set-up before those of a screen. */
export function homeOf(plugin, result, setup) {
  const own = [...(setup?.sections ?? []), ...(result.sections ?? [])].filter(
    one => one.by === plugin && one.step !== "rests",
  );
  const first = own.filter(one => one.screen === null);
  const steps = (first.length ? first : own).map(one => PARTS.findIndex(([step]) => step === one.step));
  return steps.length ? PARTS[Math.min(...steps)][0] : "judge";
}

function homeOfGroup(one, result, setup) {
  if (one.of === "shop") return "rests";
  if (one.of === "colour") return "screens";
  if (["order", "print", "garment"].includes(one.of)) return "judge";
  return homeOf(one.of, result, setup);
}

/** A colour's mesh that isn't set: of those in stock only what this job takes is told. */
function asTaken(one, each, setup) {
  if (one.of !== "colour" || last(each) !== "mesh" || each.value !== "") return each;
  const own = (setup.place === one.place ? setup.screens ?? [] : []).filter(screen => screen.colour === one.colour);
  const meshes = [...new Set(own.map(screen => screen.mesh))];
  return { ...each, in_force: meshes.length ? { text: meshes.join(" and "), from: "job" } : null };
}

function last(one) {
  return one.path.at(-1);
}

/** The settings changed most: [[field, label], ...] of shirts and width, of each colour, of air and additives. */
function common(result, setup) {
  const prints = result.groups.filter(
    one => one.of === "print" && one.fields.some(each => last(each) === "place" && each.value === setup.place),
  );
  const garments = result.groups.filter(one => one.of === "garment");
  const named = garments.filter(one =>
    one.fields.some(each => last(each) === "name" && setup.garments.some(garment => garment.name === each.value)),
  );
  const these = named.length ? named : garments;
  const label = (one, each) => {
    const words = { width: "print width", colour: "garment colour", sizes: "how many of each size" }[last(each)] ?? each.label;
    const several = one.of === "garment" && these.length > 1;
    return several ? `${words}, ${one.fields.find(f => last(f) === "name")?.value ?? ""}` : words;
  };
  const pick = (one, names) =>
    names.flatMap(name => one.fields.filter(each => last(each) === name && each.path.length === one.path.length + 1))
      .map(each => [each, label(one, each)]);
  const colours = result.groups.filter(one => one.of === "colour" && one.place === setup.place);
  const own = result.groups.filter(
    one => !["order", "print", "garment", "colour", "shop"].includes(one.of) && one.path[0] !== "shop",
  );
  return {
    shirts: [
      ...prints.flatMap(one => pick(one, ["width"])).map(([each, words]) => [
        each,
        words,
        each.value === "" ? `In force: ${length(setup.size_mm[0], setup.units)}, by the drawing or the height.` : undefined,
      ]),
      ...these.flatMap(one => pick(one, ["colour", "fibre"])),
      ...these.flatMap(one => pick(one, ["sizes"])),
      ...prints.flatMap(one => pick(one, ["width_by_size"]).filter(([each]) => each.set)),
    ],
    inks: colours.map(one => [one, pick(one, ["ink"])]),
    colours: colours.map(one => [one, pick(one, ["mesh", "passes"]).map(([each, words]) => [asTaken(one, each, setup), words])]),
    air: own.flatMap(one => pick(one, FIRST)),
  };
}

function change(step, now) {
  const { result, setup, typed } = now;
  const groups = result.groups.filter(one => homeOfGroup(one, result, setup) === step);
  const first = common(result, setup);
  const shown = new Set(
    [...first.shirts, ...[...first.inks, ...first.colours].flatMap(([, fields]) => fields), ...first.air].map(([each]) => keyOf(each.path)),
  );
  const made = list =>
    list
      .map(one => [one, one.fields.filter(each => !shown.has(keyOf(each.path)))])
      .filter(([, fields]) => fields.length)
      .map(([one, fields]) => group(one, fields.map(each => asTaken(one, each, setup)), typed));
  const here = made(groups.filter(one => one.path[0] !== "shop"));
  const shop = made(groups.filter(one => one.path[0] === "shop"));
  const all =
    here.length || shop.length
      ? el(
          "details",
          { class: "change", "data-key": "change" },
          el("summary", {}, step === "judge" ? "All else of the order" : "Change"),
          here,
          shop.length
            ? el(
                "details",
                { "data-key": "shop", class: "change" },
                el("summary", {}, "As it is in your shop"),
                el("p", { class: "small" }, "Changed here, these hold for this order alone; shop.toml stays as it is."),
                shop,
              )
            : null,
        )
      : null;
  return step === "judge" ? quick(first, all, typed) : all;
}

function quick({ shirts, inks, colours, air }, all, typed) {
  return el(
    "div",
    { class: "quick", "data-key": "quick" },
    el("h3", {}, "Change"),
    el("div", { class: "fields" }, shirts.map(([each, label, help]) => field(each, typed, { label, help }))),
    el(
      "div",
      { class: "fields", "data-key": "inks" },
      inks.flatMap(([one, fields]) => fields.map(([each]) => field(each, typed, { label: `ink of ${one.colour}`, patch: one.colour }))),
    ),
    el(
      "div",
      { class: "more" },
      colours.length
        ? el(
            "details",
            { class: "change", "data-key": "colours" },
            el("summary", {}, "Mesh and passes"),
            el(
              "div",
              { class: "colour-fields" },
              colours.map(([one, fields]) => group(one, fields.map(([each]) => each), typed)),
            ),
          )
        : null,
      air.length
        ? el(
            "details",
            { class: "change", "data-key": "air" },
            el("summary", {}, "Air and additives"),
            el("div", { class: "fields" }, air.map(([each]) => field(each, typed))),
          )
        : null,
      all,
    ),
  );
}
