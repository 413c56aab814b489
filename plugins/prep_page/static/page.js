// The page itself: which order is shown, what goes on with it, and what she asks for.

import { el, letScroll, settle } from "/page-dom.js";
import { Typed, asToml, isHalf, keyOf, rowsOf, sentText } from "/page-forms.js";
import { letterOf, placeInWords } from "/page-marks.js";
import { Picture } from "/page-picture.js";
import { Refused, ask, follow, post, send, tooMuch } from "/page-talk.js";
import { Views, cameOf, placeOf } from "/page-views.js";
import { why } from "/page-why.js";
import { said } from "/page-words.js";
import { PARTS, WHOLE, contents, work } from "/page-work.js";

const SAID_MS = 400; // steps follow each other faster than anybody reads or hears them
const AGAIN_MS = 1500;
const STEP_MS = 2500; // so long a bar may stand still
const byId = id => document.getElementById(id);
const parts = { top: byId("top"), work: byId("work"), drop: byId("drop"), trouble: byId("drop-trouble") };

const page = {
  order: null, // its key
  state: null,
  whole: null, // the last result that tells all
  coming: null, // a newer one, not all told yet
  fetched: 0,
  setup: null, // key of the one chosen
  inView: "judge",
  orders: [],
  told: null, // what came of a form beside the orders, and on which order's page it is told
  refused: [], // lines said against the files dropped last
  sending: false,
  filesMade: false, // by the work done last
  stepAt: 0, // when the step under way began
  stepTimer: null,
  closing: false,
  gone: null, // name of an order that lies open no more
  away: null,
  typed: new Typed(),
  ends: [], // of work, whose result isn't here yet
  lastEnd: 0,
  stop: null,
};
let picture = null;
const views = new Views({
  draw: ({ now = false } = {}) => (now ? drawNow() : draw()),
  say,
  lost,
  found,
  toHeading,
  elsewhere: (order, told) => {
    page.told = told.quiet ? null : { ...told, on: order ?? page.order };
    if (order !== null) location.hash = order;
    else drawTop();
    say(told.lines.join(" "), { now: true });
  },
});

// Said aloud: the last thing only, and not too often

let saidAt = 0;
let saying = null;

function say(text, { now = false } = {}) {
  clearTimeout(saying);
  const wait = now ? 0 : Math.max(0, saidAt + SAID_MS - Date.now());
  saying = setTimeout(() => {
    saidAt = Date.now();
    byId("said").textContent = text;
  }, wait);
}

// Which order is shown stands in the address, so that reloading and a second tab show the same

function addressed() {
  const [key, part] = location.hash.slice(1).split("/");
  return { key: key || null, part: part || null };
}

let begun = false;

async function route() {
  const place = placeOf(location.hash.slice(1));
  if (place !== null) {
    await lookBeside(place);
    return;
  }
  const { key, part } = addressed();
  const came = views.place !== null;
  views.leave();
  if (page.told?.on !== key) page.told = null;
  page.refused = [];
  if (key === page.order && key !== null && !came) {
    if (part) goTo(part);
    return;
  }
  const moved = begun;
  begun = true;
  putAway(key);
  settle(parts.work, el("div"));
  lookForViews().then(draw); // known only when the worker is there, which nothing else waits for
  await lookAtOrders();
  if (addressed().key !== key) return;
  if (key !== null && page.away === null && !page.orders.some(one => one.key === key)) {
    page.gone = "The order at this address";
    location.replace("#");
    return;
  }
  if (key !== null) {
    page.gone = null;
    page.setup = sessionStorage.getItem(`setup|${key}`);
    page.part = part;
    page.stop = follow(key, { heard, lost, closed });
  }
  drawTop();
  if (moved) toHeading();
}

/** Follow no order any more, and stand ready for another. */
function putAway(key) {
  page.stop?.();
  Object.assign(page, {
    order: key, state: null, whole: null, coming: null, fetched: 0, setup: null, inView: "judge", closing: false,
    typed: new Typed(), stop: null, ends: [], lastEnd: 0,
  });
  picture = null;
}

/** Show a page beside the orders. */
async function lookBeside(place) {
  begun = true;
  putAway(null);
  page.gone = null;
  page.told = null;
  page.refused = [];
  lookAtOrders().then(drawTop);
  await views.open(place);
}

async function lookForViews() {
  try {
    await views.know();
  } catch (error) {
    lost(error instanceof Refused ? "anew" : "away");
  }
}

async function lookAtOrders() {
  try {
    page.orders = await ask("/orders");
    found();
  } catch (error) {
    lost(error instanceof Refused ? "anew" : "away");
  }
}

// What is told of the order

function heard(state) {
  const before = page.state;
  found();
  page.state = state;
  if (before === null) page.typed.restore(state.pending);
  if (before !== null && state.files.length > before.files.length) page.filesMade = true;
  else if (state.doing) page.filesMade = false;
  if (before === null || stepOf(before) !== stepOf(state) || before.doing !== state.doing) {
    page.stepAt = Date.now();
    clearTimeout(page.stepTimer);
    if (state.doing) page.stepTimer = setTimeout(drawTop, STEP_MS + 50);
  }
  const ended = before !== null && before.doing && !state.doing;
  const news = state.ends.filter(end => before !== null && end.number > page.lastEnd);
  page.lastEnd = state.ends.at(-1)?.number ?? 0;
  // what was taken stays typed until the result that holds it is here
  for (const end of news) page.ends.push({ ...end, made: end.ended === "" ? state.made : 0 });
  settleEnds();
  tell(before, state);
  const refused = news.findLast(end => end.ended === "refused");
  if (state.doing && refused) say(`Not taken: ${spoken(refused.lines[0] ?? "")}`);
  if (state.made !== page.fetched) fetchResult();
  // others of its name may be told apart from it by something else now
  if (ended) lookAtOrders().then(drawTop);
  if (ended) {
    if (page.whole !== null && !onItsWay(state)) page.coming = null;
    draw();
  } else if (news.length) draw();
  else drawTop();
}

/** Whether the work is over and what came of it isn't here yet: until then nothing is told of it. */
function onItsWay(state) {
  return !state.doing && state.made !== page.fetched;
}

function settleEnds() {
  page.ends = page.ends.filter(end => {
    if (end.made > page.fetched) return true;
    page.typed.settleEnd(end);
    return false;
  });
}

function tell(before, state) {
  if (state.doing) say(`${stepOf(state)}.`);
  else if (before?.doing || (before === null && state.ended)) {
    if (state.ended === "" && onItsWay(state)) return; // told with it
    const number = state.trouble.length === 1 ? "1 reason" : `${state.trouble.length} reasons`;
    say(
      {
        "": doneWords(),
        refused: `Not taken: ${number}. ${spoken(state.trouble[0] ?? "")}`,
        failed: "The work failed. The reason is told at the top.",
        cancelled: "Cancelled. What was there before is still shown.",
      }[state.ended],
      { now: true },
    );
  }
}

function doneWords() {
  return page.filesMade ? "The files are made." : summary() || "Done.";
}

let fetching = false;

/** Fetch what is newer; while one is on its way, it looks again when that has come. */
async function fetchResult() {
  if (fetching || page.state === null || page.state.made === page.fetched) return;
  fetching = true;
  const { order: key, state } = page;
  let result = null;
  try {
    result = await ask(`/orders/${key}/result`);
  } catch (error) {
    // whether the program is still there at all is seen by what follows the order
    if (!(error instanceof Refused)) setTimeout(fetchResult, AGAIN_MS);
  }
  fetching = false;
  if (page.order === key && result !== null) take(result, state.made);
  if (page.order !== key || result !== null) fetchResult();
}

function take(result, made) {
  page.fetched = made;
  settleEnds();
  page.coming = result.whole ? null : result;
  if (result.whole) page.whole = result;
  if (!page.state.doing && !onItsWay(page.state) && page.whole !== null) {
    page.coming = null;
    if (page.state.ended === "") say(doneWords(), { now: true });
  }
  drawTop();
  drawWork();
  if (page.part) goTo(page.part);
  page.part = null;
}

function lost(how) {
  if (page.away === how) return;
  page.away = how;
  settle(
    byId("lost"),
    el(
      "div",
      {},
      el(
        "p",
        { class: "away" },
        how === "anew"
          ? "The program behind this page was started anew. Open the address that it printed; what is shown here stays for reading."
          : "The program behind this page doesn't answer: it was ended, or the computer slept. What is shown stays for reading, but nothing can be changed. Start prep page again and open the address that it prints.",
      ),
    ),
  );
}

function found() {
  if (page.away === null) return;
  page.away = null;
  settle(byId("lost"), el("div"));
  say("The program answers again.");
}

function closed() {
  page.gone = page.state?.name ?? "The order";
  location.hash = "";
}

// What is shown: the last whole result; a newer one takes its place set-up by set-up

function shownResult() {
  if (page.whole === null) return page.coming;
  if (page.coming === null) return page.whole;
  const newer = new Map(page.coming.setups.filter(one => one.done).map(one => [one.at, one]));
  return { ...page.whole, setups: page.whole.setups.map(one => newer.get(one.at) ?? one) };
}

function shownSetup(result) {
  if (page.setup === WHOLE && result.sections.length) return null;
  const { setups } = result;
  let one = setups.find(each => each.key === page.setup);
  // a changed width gives a set-up a new key; the one at its place is meant
  one ??= setups.find(each => each.at === page.setupAt) ?? setups[0];
  return one;
}

// Drawing

let drawing = null;

function draw() {
  drawing ??= setTimeout(() => {
    drawing = null;
    drawTop();
    drawWork();
  }, 0);
}

function drawNow() {
  drawTop();
  drawWork();
}

function drawTop() {
  const has = page.order !== null;
  const beside = views.place !== null;
  const kind = beside ? "has-order has-view" : has ? "has-order" : "no-order";
  if (document.body.className !== kind) {
    document.body.className = kind;
    if (has || beside) byId("main").append(parts.drop);
    else parts.top.after(parts.drop);
  }
  settle(
    byId("orders-link"),
    el(
      "div",
      {},
      has || beside ? el("a", { href: "#", "data-key": "orders" }, page.orders.length > 1 ? `All open orders (${page.orders.length})` : "All open orders") : null,
      views.links(),
    ),
  );
  const order = page.orders.find(one => one.key === views.place?.of);
  settle(parts.top, el("div", {}, beside ? views.top(order ? nameOf(order) : undefined) : has ? top() : empty()));
  settle(
    parts.trouble,
    el(
      "div",
      {},
      page.refused.length
        ? el(
            "div",
            { class: "problem" },
            el("p", {}, el("strong", {}, "The files were not taken.")),
            lines(page.refused),
            el("button", { type: "button", "data-do": "seen" }, "All right"),
          )
        : null,
    ),
  );
  const doing = page.state?.doing ? "working: " : "";
  if (beside) document.title = `${views.title} – Firstpull`;
  else document.title = has && page.state ? `${doing}${nameOf(page.state)} – Firstpull` : "Firstpull";
  if (!has && !beside) settle(parts.work, el("div", {}, openOrders(), views.list()));
}

function empty() {
  return [
    page.told === null ? null : cameOf(page.told),
    el("h1", { tabindex: "-1" }, "Begin with the customer's artwork"),
    page.gone ? el("p", { class: "notice" }, `${page.gone} doesn't lie open any more: it was closed, or the program was started anew.`) : null,
    page.sending ? el("p", {}, "The files are being sent …") : null,
  ];
}

function openOrders() {
  if (page.orders.length === 0) return null;
  return el(
    "section",
    { class: "sub", "aria-labelledby": "open-orders" },
    el("h2", { id: "open-orders" }, "Open orders"),
    el(
      "ul",
      { class: "orders" },
      page.orders.map(one =>
        el(
          "li",
          { "data-key": one.key },
          el("a", { href: `#${one.key}`, "aria-describedby": `about-${one.key}` }, nameOf(one)),
          el("span", { class: "small about", id: `about-${one.key}` }, [...one.about, `opened at ${timeOf(one.opened)}`, endOf(one)].join(". ")),
          page.closing === one.key ? confirmClose(one) : el("button", { type: "button", "data-do": "close", "data-order": one.key, "aria-label": `Close ${nameOf(one)}`, "aria-describedby": `about-${one.key}` }, "Close"),
        ),
      ),
    ),
  );
}

/** An order's name, and where others of that name lie open what tells it from them. */
function nameOf(one) {
  const others = page.orders.filter(each => each.key !== one.key && each.name === one.name);
  if (others.length === 0) return one.name;
  const facts = one.facts.filter((fact, i) => fact && others.some(each => each.facts[i] !== fact));
  const alike = others.some(each => each.facts.join() === one.facts.join());
  const apart = alike || facts.length === 0 ? [...facts, `opened at ${timeOf(one.opened)}`] : facts;
  return `${one.name} (${apart.join(", ")})`;
}

function timeOf(seconds) {
  return new Date(1000 * seconds).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", second: "2-digit" });
}

function endOf(state) {
  if (state.doing) return stepOf(state);
  return { "": "ready", refused: "not taken as it is", failed: "the work failed", cancelled: "cancelled" }[state.ended];
}

function stepOf(state) {
  if (state.doing === "waiting") return "Waiting to begin";
  const step = state.step || "beginning";
  const words = step.charAt(0).toUpperCase() + step.slice(1);
  return state.of > 0 ? `${words}, ${state.done} of ${state.of}` : words;
}

function top() {
  const { state } = page;
  if (state === null) return [el("h1", { tabindex: "-1" }, "Opening the order …")];
  return [
    el(
      "div",
      { class: "title" },
      el("h1", { tabindex: "-1" }, nameOf(state)),
      el(
        "div",
        { class: "actions" },
        el("button", { type: "button", "data-do": "files", class: "main", "aria-disabled": state.doing || onItsWay(state) || page.whole === null ? "true" : null }, "Make the files"),
        el("a", { class: "button", href: `/orders/${state.key}/order.toml`, download: "order.toml" }, "Order file"),
        el("button", { type: "button", "data-do": "close", "data-order": state.key }, "Close this order"),
      ),
    ),
    page.closing === state.key ? confirmClose(state) : null,
    page.told === null ? null : cameOf(page.told),
    going(state),
    problem(state),
    page.sending ? el("p", {}, "The files are being sent …") : null,
    files(state),
  ];
}

function going(state) {
  if (!state.doing) {
    if (onItsWay(state)) {
      return el("div", { class: "going", "data-key": "going" }, el("p", {}, "Showing what was worked out …"), el("progress", { "aria-label": "Progress of this step", "data-key": "moving" }));
    }
    if (state.ended !== "" && page.whole === null) return null;
    return el(
      "div",
      { class: "going", "data-key": "going" },
      el("p", { class: "small" }, summary()),
      state.learnt_since
        ? [
            el("p", { class: "notice", "data-key": "learnt" }, "Readings were entered since: the figures here are from before."),
            el("button", { type: "button", "data-do": "again", "data-key": "again" }, "Work it out again"),
          ]
        : null,
    );
  }
  // a bar that stands still says nothing: what takes long, or is the last of its step, gets a moving one
  const stands = state.done >= state.of || Date.now() - page.stepAt > STEP_MS;
  const bar = stands ? {} : { value: state.done, max: state.of };
  return el(
    "div",
    { class: "going", "data-key": "going" },
    el("p", {}, `${stepOf(state)} …`),
    el("progress", { "aria-label": "Progress of this step", "data-key": stands ? "moving" : "bar", ...bar }),
    page.whole === null ? null : el("p", { class: "small" }, "Until then you see it as it was before."),
    el("button", { type: "button", "data-do": "cancel" }, "Cancel"),
  );
}

function seenName(state) {
  return `${state.key} ${state.version}`;
}

/** Say in one line how it stands. */
function summary() {
  const { whole } = page;
  if (whole === null) return "";
  const found = whole.setups.flatMap(one => one.findings ?? []);
  const count = severity => found.filter(one => one.severity === severity && !one.too_large).length;
  const never = [...new Set(found.filter(one => one.too_large).map(one => one.kind))];
  const [fail, risk] = [count("will fail"), count("at risk")];
  const where = whole.setups.length > 1 ? ` in ${whole.setups.length} set-ups` : "";
  if (never.length) {
    const some = whole.setups.filter(one => (one.findings ?? []).some(each => each.too_large)).map(one => one.name);
    const which = whole.setups.length > 1 ? ` (${some.join("; ")})` : "";
    return `Ready, but it can't be printed at this width: ${never.join(", ")}${which}. Of the details, ${fail} will fail, ${risk} at risk.`;
  }
  if (fail + risk === 0) return "Ready. Nothing will fail and nothing is at risk, as far as this can be told.";
  return `Ready. ${fail} will fail, ${risk} at risk${where}.`;
}

function problem(state) {
  if (state.doing) return null;
  // refused just before something else was taken
  const unread = state.ended === "" ? page.typed.unreadLines() : [];
  if ((state.ended === "" || page.read === seenName(state)) && unread.length === 0) return null;
  const ended = unread.length ? "refused" : state.ended;
  const trouble = unread.length ? unread : state.trouble;
  const kept = page.whole !== null;
  const unknown = kept ? null : unknownOf(state);
  const words = {
    refused: kept ? "The change was not taken; that setting stays as it was" : unknown ? "The order asks for what isn't known here" : "This can't be printed as it is",
    failed: kept ? "The work failed; what is shown is from before" : "The work failed",
    cancelled: kept ? "Cancelled; what is shown is from before" : "Cancelled before anything was worked out",
  }[ended];
  const more = {
    refused: kept || unknown ? null : "Mend it in the drawing program or the order file, then drop it here again.",
    failed: "This is no fault of the artwork.",
    cancelled: null,
  }[ended];
  return el(
    "section",
    { class: "problem", "data-key": "problem", "aria-labelledby": "problem-head" },
    el("h2", { id: "problem-head" }, words),
    trouble.length ? lines(trouble) : null,
    unknown ? el("p", {}, strangers(unknown)) : null,
    more ? el("p", {}, more) : null,
    el(
      "div",
      { class: "actions" },
      unknown ? el("button", { type: "button", "data-do": "leave-out" }, unknown.length === 1 ? "Leave it out and go on" : `Leave these ${unknown.length} out and go on`) : null,
      ended === "refused" ? null : el("button", { type: "button", "data-do": "again" }, "Work it out again"),
      kept
        ? el("button", { type: "button", "data-do": "read" }, "All right")
        : // nothing was worked out, so there is nothing to lose and nothing to ask
          el("button", { type: "button", "data-do": "really-close", "data-order": state.key }, "Close"),
    ),
  );
}

/** Settings that the order names and nobody here knows, where nothing else is wrong with it; else null. */
function unknownOf(state) {
  const last = state.ends.at(-1);
  return state.ended === "refused" && last?.ended === "refused" && last.unknown.length ? last.unknown : null;
}

function strangers(unknown) {
  const these = unknown.length === 1 ? "this setting" : "these settings";
  return (
    `Nothing here knows ${these}. A newer version may have written the order, a plugin may not be installed, or a word ` +
    "may be misspelt. Bring Firstpull up to date, install the plugin, or mend the file, and drop it here again. " +
    "Or leave out what isn't known: then nothing is reckoned with it, and your own file stays as it is."
  );
}

/** A line as it is said aloud: fields by the page's own words. */
function spoken(line) {
  const result = shownResult();
  if (result === null) return line;
  const bare = line.replace(/^(?:order|shop)\.toml: /, "");
  return said(bare, { groups: result.groups, setup: shownSetup(result) ?? null })
    .map(one => (typeof one === "string" ? one : one.textContent))
    .join("");
}

/** Each line reads "where: what; what to do". */
function lines(all) {
  const result = shownResult();
  const words = text => (result === null ? text : said(text, { groups: result.groups, setup: shownSetup(result) ?? null }));
  return el(
    "ul",
    {},
    all.map(line => {
      const [, where, rest] = /^([^;]{1,120}?): (.*)$/s.exec(line) ?? [null, "", line];
      const cut = rest.indexOf("; ");
      const what = cut < 0 ? rest : rest.slice(0, cut);
      return el(
        "li",
        {},
        where ? el("strong", {}, words(`${where}: `)) : null,
        words(what),
        cut < 0 ? null : el("span", { class: "do" }, "→ ", words(rest.slice(cut + 2))),
      );
    }),
  );
}

function confirmClose(state) {
  return el(
    "div",
    { class: "confirm", "data-key": "confirm", role: "group", "aria-label": `Close ${state.name}?` },
    el("p", {}, "Close this order? What was not downloaded is gone then."),
    el(
      "div",
      { class: "actions" },
      el("button", { type: "button", "data-do": "keep-open", id: "keep-open" }, "Keep it open"),
      el("button", { type: "button", "data-do": "really-close", "data-order": state.key }, "Close it"),
    ),
  );
}

function files(state) {
  if (state.files.length === 0) return null;
  const link = (one, name) =>
    el(
      "a",
      { href: `/orders/${state.key}/files/${one.name.split("/").map(encodeURIComponent).join("/")}`, download: true, class: name },
      `${one.name} (${size(one.size)})`,
    );
  const isFirst = one => one.name === "everything.zip" || (one.name.endsWith(".pdf") && !one.name.includes("/"));
  const first = state.files.filter(isFirst).sort((a, b) => (b.name === "everything.zip") - (a.name === "everything.zip"));
  const others = state.files.filter(one => !isFirst(one));
  return el(
    "section",
    { class: "files-part", "data-key": "files", "aria-labelledby": "files-head" },
    el("h2", { id: "files-head", tabindex: "-1" }, "Files"),
    el("div", { class: "first-files" }, first.map((one, i) => link(one, i === 0 ? "button main" : "button"))),
    others.length
      ? el(
          "details",
          { "data-key": "others" },
          el("summary", {}, `${others.length} single files`),
          el("ul", { class: "files" }, others.map(one => el("li", { "data-key": one.name }, link(one, null)))),
        )
      : null,
  );
}

function size(bytes) {
  if (bytes < 1000) return `${bytes} bytes`;
  return bytes < 1e6 ? `${Math.round(bytes / 1000)} kB` : `${(bytes / 1e6).toFixed(1)} MB`;
}

// The set-up that is looked at is reckoned first; nothing hangs on it, so a failure is no trouble
function tellShown(order, at) {
  post(`/orders/${order}/shown`, at).catch(() => {});
}

function drawWork() {
  if (views.place !== null) {
    settle(parts.work, el("div", {}, el("div", { class: "parts", "data-key": "beside" }, views.work())));
    letScroll(parts.work);
    return;
  }
  const result = shownResult();
  if (page.order === null) return;
  if (result === null || result.setups.length === 0) {
    settle(parts.work, el("div"));
    return;
  }
  const setup = shownSetup(result);
  if (setup !== null) {
    page.setup = setup.key;
    if (page.setupAt !== setup.at) tellShown(page.order, setup.at);
    page.setupAt = setup.at;
    picture ??= new Picture(say);
    picture.set(page.order, setup);
  }
  const fresh = work({
    order: page.order,
    result,
    setup,
    busy: Boolean(page.state.doing),
    inView: page.inView,
    typed: page.typed,
    shown: setup === null ? null : picture.finding,
    beside: views.about(page.order),
  });
  settle(parts.work, fresh);
  const own = parts.work.querySelector("[data-own=picture]");
  if (own !== null && picture !== null && !own.contains(picture.root)) own.append(picture.root);
  letScroll(parts.work);
  watchParts();
  drawContents();
}

// Which part is in view

/** What the part in view holds, in the list that stays at the top. */
function drawContents() {
  const shown = parts.work.querySelector(".contents");
  if (shown === null) return;
  const held = [...(byId(`part-${page.inView}`)?.querySelectorAll(":scope > .section, :scope > .screen-group") ?? [])]
    .map(one => [one.dataset.key, one.querySelector("h3")?.textContent ?? ""])
    .filter(([, title]) => title);
  shown.hidden = held.length < 2;
  settle(shown, contents(held));
}

let watching = null;
const seen = new Map();

function watchParts() {
  watching ??= new IntersectionObserver(
    entries => {
      for (const entry of entries) seen.set(entry.target, entry.isIntersecting);
      const first = [...document.querySelectorAll(".part")].find(one => seen.get(one));
      const step = first?.id.replace("part-", "");
      if (step && step !== page.inView) {
        page.inView = step;
        for (const link of document.querySelectorAll(".parts-nav a")) {
          if (link.hash.endsWith(`/${step}`)) link.setAttribute("aria-current", "true");
          else link.removeAttribute("aria-current");
        }
        drawContents();
      }
    },
    { rootMargin: "-25% 0px -70% 0px" },
  );
  for (const one of document.querySelectorAll(".part")) watching.observe(one);
}

function choose(key) {
  page.setup = key;
  sessionStorage.setItem(`setup|${page.order}`, key);
  drawWork();
  const chosen = parts.work.querySelector(".setups input:checked");
  if (chosen !== null) say(`${chosen.closest("label").textContent} is shown.`);
}

function goTo(step) {
  const head = byId(`head-${step}`);
  if (head === null || !PARTS.some(([key]) => key === step)) return;
  byId(`part-${step}`).scrollIntoView();
  head.focus({ preventScroll: true });
}

// What she does

async function open(list) {
  const given = [...list];
  if (given.length === 0 || page.sending) return;
  const much = tooMuch(given);
  page.refused = much === null ? [] : [much];
  if (much === null) {
    page.sending = true;
    drawTop();
    say("The files are being sent.");
    try {
      const state = await send(given);
      page.gone = null;
      location.hash = state.key;
    } catch (error) {
      page.refused = error instanceof Refused ? error.lines : [unread(error)];
    }
    page.sending = false;
  }
  byId("files").value = "";
  drawTop();
  if (page.refused.length) parts.trouble.scrollIntoView({ block: "nearest" });
}

function unread(error) {
  return error instanceof DOMException
    ? "What was dropped can't be read: it is a folder, or it was moved away; drop the files themselves"
    : "The files could not be sent: the program behind this page doesn't answer; start prep page again";
}

async function asking(does) {
  try {
    await does();
  } catch (error) {
    if (error instanceof Refused) {
      page.refused = error.lines;
      drawTop();
      parts.trouble.scrollIntoView({ block: "nearest" });
    } else if (error instanceof TypeError) lost("away");
    else throw error;
  }
}

function fieldAt(key) {
  for (const one of shownResult()?.groups ?? []) {
    const found = one.fields.find(each => keyOf(each.path) === key);
    if (found) return found;
  }
  return null;
}

function change(key, kind, text) {
  const typed = page.typed;
  if (typed.sent.has(key) && typed.sent.get(key) === text) return null;
  typed.refused.delete(key);
  typed.sent.set(key, text);
  return asking(async () => {
    try {
      await post(`/orders/${page.order}/changes`, [{ path: JSON.parse(key), kind, text }]);
    } catch (error) {
      typed.sent.delete(key);
      typed.refused.set(key, ["This was not sent; press Enter here once the program answers again."]);
      draw();
      throw error;
    }
  });
}

/** Judge rows anew; `cell` = what was typed last, where that is one of them. */
function changeRows(key, cell = null) {
  const one = fieldAt(key);
  const { typed } = page;
  const rows = typed.rows.get(key);
  if (one === null || rows === undefined) return;
  const half = rows.findIndex(row => isHalf(row, one.columns));
  if (half >= 0) {
    const emptied = cell !== null && cell.value.trim() === "";
    // a row half typed waits for its other half; what was said of it before holds no more
    if (emptied || typed.refused.has(key)) {
      typed.forgetSaid(key);
      if (page.state.ended !== "" && typed.refused.size === 0) page.read = seenName(page.state);
      if (emptied) typed.refused.set(key, [emptyWords(one, rows[half])]);
      draw();
    }
    return;
  }
  const text = asToml(rows, key, one.columns);
  const before = asToml(rowsOf(one, new Typed()) ?? [], key, one.columns);
  if (text !== before) change(key, "toml", text);
  else if (typed.refused.has(key)) {
    typed.forgetSaid(key);
    if (typed.refused.size === 0) page.read = seenName(page.state);
    draw();
  }
}

/** Say what an emptied cell means. */
function emptyWords(one, row) {
  const name = row[0].trim();
  const of = name && !one.columns ? `${name}: ` : "";
  return `${of}nothing is typed here, so what held before still holds; type a value, or remove the row with ×.`;
}

function rowsFor(key) {
  const { rows, columns } = page.typed;
  const one = fieldAt(key);
  if (!rows.has(key)) rows.set(key, rowsOf(one, page.typed).map(row => [...row]));
  if (one?.columns) columns.set(key, one.columns);
  return rows.get(key);
}

/** Buttons go when they have done their work; what has the focus then is not left to chance. */
function toHeading() {
  parts.top.querySelector("h1")?.focus();
}

function toField(button) {
  const own = button.closest(".field");
  (own.querySelector("input, select") ?? own.querySelector("[data-do=add-row]")).focus();
}

/** Go to the field of a setting, wherever it is folded away. */
function toSetting(path) {
  byId("why").close();
  // settings stand with each set-up, not with the whole order
  const result = shownResult();
  if (result !== null && views.place === null && shownSetup(result) === null) choose(result.setups[0].key);
  const all = [...parts.work.querySelectorAll("input, select, textarea")].filter(one => one.dataset.path === path);
  const shown = all.find(one => one.hasAttribute("aria-invalid")) ?? all[0];
  const own = shown ?? parts.work.querySelector(`.field[data-key="${CSS.escape(path)}"] button`);
  if (!own) return;
  for (let fold = own.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
  own.scrollIntoView({ block: "center" });
  own.focus({ preventScroll: true });
}

const does = {
  cancel: () => {
    toHeading();
    return asking(() => post(`/orders/${page.order}/cancel`));
  },
  again: () => {
    toHeading();
    return asking(() => post(`/orders/${page.order}/changes`, []));
  },
  "leave-out": () => {
    const unknown = unknownOf(page.state);
    toHeading();
    return asking(() => post(`/orders/${page.order}/changes`, unknown.map(path => ({ path, kind: "text", text: null }))));
  },
  files: () => asking(() => post(`/orders/${page.order}/files`)),
  read: () => {
    page.read = seenName(page.state);
    page.typed.unread.clear();
    drawTop();
    toHeading();
  },
  seen: () => {
    page.refused = [];
    drawTop();
    toHeading();
  },
  close: button => {
    page.closing = button.dataset.order;
    drawTop();
    byId("keep-open").focus();
  },
  "keep-open": () => {
    const was = page.closing;
    page.closing = null;
    drawTop();
    document.querySelector(`[data-do=close][data-order="${was}"]`)?.focus();
  },
  "really-close": button =>
    asking(async () => {
      const key = button.dataset.order;
      page.closing = null;
      if (key === page.order) page.stop?.();
      await ask(`/orders/${key}`, "DELETE");
      say("Closed.");
      if (key === page.order) location.hash = "";
      else {
        await lookAtOrders();
        drawTop();
        toHeading();
      }
    }),
  "show-finding": button => {
    const setup = shownSetup(shownResult());
    const one = setup.findings.find(each => letterOf(setup, each) === button.dataset.letter);
    picture.show(one);
    draw();
    const box = picture.box.getBoundingClientRect();
    const nav = parts.work.querySelector(".parts-nav").getBoundingClientRect();
    if (box.top < nav.bottom || box.bottom > innerHeight) picture.root.scrollIntoView({ block: "start" });
    say(`${one.kind} is shown in the picture, at ${placeInWords(one.at_mm, setup.units)}.`);
  },
  "show-setup": button => {
    choose(button.dataset.setup);
    goTo("judge");
  },
  "go-to-field": button => toSetting(button.dataset.path),
  "set-field": button => {
    const { path, kind, text } = button.dataset;
    page.typed.forget(path);
    page.typed.texts.set(path, text);
    draw();
    toSetting(path);
    return change(path, kind, sentText(kind, text, true));
  },
  "go-to-section": button => {
    button.closest("details").open = false;
    const own = [...parts.work.querySelectorAll(".part .section, .part .screen-group")].find(one => one.dataset.key === button.dataset.section);
    if (!own) return;
    for (let fold = own.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
    const head = own.querySelector("h3, h4");
    own.scrollIntoView();
    head.setAttribute("tabindex", "-1");
    head.focus({ preventScroll: true });
  },
  "back-to-finding": () => {
    const setup = shownSetup(shownResult());
    const item = byId(`finding-${letterOf(setup, picture.finding)}`);
    item?.closest("details")?.setAttribute("open", "");
    item?.querySelector("details")?.setAttribute("open", "");
    item?.scrollIntoView({ block: "center" });
    item?.querySelector("button")?.focus({ preventScroll: true });
  },
  why: button => {
    const result = shownResult();
    const dialog = byId("why");
    const told = why(button.dataset, { order: page.order, result, setup: shownSetup(result) });
    dialog.replaceChildren(...el("div", {}, told).childNodes);
    dialog.showModal();
    dialog.scrollTop = 0;
    letScroll(dialog);
  },
  "close-why": button => {
    byId("why").close();
    if (button.hash) goTo("rests");
  },
  usual: button => {
    toField(button);
    page.typed.forget(button.dataset.path);
    return change(button.dataset.path, button.dataset.kind, null);
  },
  "take-back": button => {
    toField(button);
    page.typed.forget(button.dataset.path);
    if (page.typed.refused.size === 0) page.read = seenName(page.state);
    draw();
  },
  "view-again": () => views.open(views.place),
  "view-send": button => views.send(button),
  "view-clear": button => views.clear(button),
  "view-to-field": button => toSetting(button.dataset.path),
  "add-row": button => {
    if (views.formOf(button) !== null) {
      views.addRow(button);
      return;
    }
    const rows = rowsFor(button.dataset.path);
    rows.push((fieldAt(button.dataset.path).columns ?? ["", ""]).map(() => ""));
    drawWork();
    byId(`${button.id.replace(/-add$/, "")}-${rows.length - 1}-0`)?.focus();
  },
  "drop-row": button => {
    if (views.formOf(button) !== null) {
      views.dropRow(button);
      return;
    }
    const rows = rowsFor(button.dataset.path);
    rows.splice(Number(button.dataset.row), 1);
    drawWork();
    changeRows(button.dataset.path);
    byId(`field-${button.dataset.path.replace(/[^\w-]+/g, "_")}-add`)?.focus();
  },
};

document.addEventListener("click", event => {
  const button = event.target.closest("[data-do]");
  if (button !== null && button.getAttribute("aria-disabled") !== "true") does[button.dataset.do]?.(button);
});

document.addEventListener("input", event => {
  if (event.target.closest("[data-view-form]") !== null) {
    views.input(event);
    return;
  }
  const { path, row, column } = event.target.dataset;
  if (path === undefined) return;
  if (event.target.dataset.word !== undefined) return;
  if (row !== undefined) rowsFor(path)[Number(row)][Number(column)] = event.target.value;
  else page.typed.texts.set(path, event.target.value);
});

document.addEventListener("change", event => {
  const { target } = event;
  const { path, row, kind, tick, word } = target.dataset;
  if (target.id === "files") open(target.files);
  else if (target.closest("[data-view-form]") !== null) {
    views.input(event);
    draw();
  } else if (tick !== undefined) {
    if (target.checked) sessionStorage.setItem(tick, "1");
    else sessionStorage.removeItem(tick);
  } else if (target.name === "setup") {
    choose(target.value);
  } else if (word !== undefined) {
    const boxes = [...target.closest("fieldset").querySelectorAll("[data-word]:checked")];
    const text = boxes.length ? JSON.stringify(boxes.map(one => one.dataset.word)) : "";
    page.typed.texts.set(path, text);
    change(path, kind, text === "" && fieldAt(path)?.optional ? null : text || "[]");
  } else if (path !== undefined && row !== undefined) changeRows(path, target);
  else if (path !== undefined) change(path, kind, sentText(kind, target.value, fieldAt(path)?.optional));
});

document.addEventListener("keydown", event => {
  const { path, row, kind, word } = event.target.dataset ?? {};
  if (event.target.closest?.("[data-view-form]")) return;
  if (word !== undefined) return;
  if (event.key === "Enter" && row === undefined && page.typed.refused.has(path)) {
    change(path, kind, sentText(kind, event.target.value, fieldAt(path)?.optional));
  }
  if (event.key !== "Escape" || path === undefined || row !== undefined) return;
  page.typed.forget(path);
  draw();
});

// A drop that misses must never take her away from the page

let inside = 0;

function hasFiles(event) {
  return [...(event.dataTransfer?.types ?? [])].includes("Files");
}

addEventListener("dragenter", event => {
  if (!hasFiles(event)) return;
  event.preventDefault();
  inside += 1;
  document.documentElement.classList.add("dragging");
});
addEventListener("dragover", event => event.preventDefault());
addEventListener("dragleave", event => {
  if (!hasFiles(event)) return;
  inside = Math.max(0, inside - 1);
  if (inside === 0) document.documentElement.classList.remove("dragging");
});
addEventListener("drop", event => {
  event.preventDefault();
  inside = 0;
  document.documentElement.classList.remove("dragging");
  if (hasFiles(event)) open(event.dataTransfer.files);
});

// a table that was folded up has no width to tell whether it scrolls
document.addEventListener("toggle", ({ target }) => {
  letScroll(document);
  const { fold, folded } = target.dataset ?? {};
  if (fold !== undefined && folded === undefined) sessionStorage.setItem(`fold|${fold}`, target.open ? "1" : "0");
}, true);

byId("skip").addEventListener("click", event => {
  event.preventDefault();
  byId("main").focus();
});

// what is folded up on the screen is printed all the same, where it belongs on paper
addEventListener("beforeprint", () => {
  for (const one of document.querySelectorAll("details[data-printed]:not([open])")) {
    one.dataset.folded = "";
    one.open = true;
  }
});
addEventListener("afterprint", () => {
  for (const one of document.querySelectorAll("details[data-folded]")) {
    delete one.dataset.folded;
    one.open = false;
  }
});

addEventListener("hashchange", route);
route();
