// What is asked of the program behind the page, and what it tells by itself.

export const LARGEST_BYTES = 20_000_000;
export const MOST_FILES = 20;
const AGAIN_MS = 3000;

/** It answered, but not with what was asked for: `lines` say why. */
export class Refused extends Error {
  constructor(status, lines) {
    super(lines.join(" "));
    this.status = status;
    this.lines = lines;
  }
}

/** Ask, and give the answer's JSON. Raises Refused, or TypeError where nobody answers. */
export async function ask(path, method = "GET", body = undefined) {
  const answer = await fetch(path, {
    method,
    body,
    headers: method === "GET" ? {} : { "X-Firstpull": "1" },
  });
  if (answer.status === 204) return null;
  if (answer.ok) return answer.json();
  let lines;
  try {
    lines = (await answer.json()).lines;
  } catch {
    lines = ["The program behind this page was started anew. Open the address it printed last."];
  }
  throw new Refused(answer.status, lines);
}

export function post(path, value) {
  return ask(path, "POST", value === undefined ? undefined : JSON.stringify(value));
}

/** Say what keeps files from being sent at all; null = nothing. */
export function tooMuch(files) {
  if (files.length > MOST_FILES) {
    return `${files.length} files are more than the ${MOST_FILES} that go together; drop fewer.`;
  }
  const all = files.reduce((sum, file) => sum + file.size, 0);
  if (all <= LARGEST_BYTES) return null;
  const largest = files.reduce((a, b) => (a.size >= b.size ? a : b));
  const mb = (largest.size / 1e6).toFixed(1);
  return (
    `${largest.name}: is ${mb} MB, and no more than ${LARGEST_BYTES / 1e6} MB can be taken at once; ` +
    "take out pictures and simplify the drawing's paths, then drop it again"
  );
}

/** Send files as a new order, and give its state. */
export async function send(files) {
  const contents = await Promise.all(files.map(file => file.arrayBuffer()));
  const head = JSON.stringify(files.map((file, i) => [file.name, contents[i].byteLength]));
  return ask("/orders", "POST", new Blob([head, "\n", ...contents]));
}

/**
 * Follow an order until told to stop. Calls `heard(state)` at each state, `lost(why)` when nobody answers any
 * more ("away", or "anew" when another start of the program does), `closed()` when the order lies open no more.
 */
export function follow(key, { heard, lost, closed }) {
  let source = null;
  let timer = null;
  let stopped = false;

  function open() {
    source = new EventSource(`/orders/${key}/events`);
    source.onmessage = event => heard(JSON.parse(event.data));
    source.addEventListener("closed", () => {
      stop();
      closed();
    });
    source.onerror = () => {
      shut();
      lost("away");
      later();
    };
  }

  function shut() {
    source?.close();
    source = null;
  }

  function later() {
    clearTimeout(timer);
    if (!stopped) timer = setTimeout(look, AGAIN_MS);
  }

  async function look() {
    try {
      const orders = await ask("/orders");
      if (stopped) return;
      if (orders.some(order => order.key === key)) open();
      else {
        stop();
        closed();
      }
    } catch (error) {
      lost(error instanceof Refused ? "anew" : "away");
      later();
    }
  }

  // a browser holds few connections to one address; a tab nobody looks at gives its own back
  function seen() {
    if (document.visibilityState === "hidden") {
      clearTimeout(timer);
      shut();
    } else if (source === null && !stopped) {
      look();
    }
  }

  function stop() {
    stopped = true;
    clearTimeout(timer);
    shut();
    document.removeEventListener("visibilitychange", seen);
  }

  document.addEventListener("visibilitychange", seen);
  if (document.visibilityState !== "hidden") open();
  return stop;
}
