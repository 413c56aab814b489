// Elements made from plain calls, and a shown tree brought up to date without losing what she is doing in it.

const SVG = "http://www.w3.org/2000/svg";

/** Make an element. Attributes that are null or false are left out; true gives an empty one. */
export function el(name, attributes = {}, ...children) {
  const made = document.createElement(name);
  return filled(made, attributes, children);
}

/** Make an element of a drawing. */
export function drawn(name, attributes = {}, ...children) {
  return filled(document.createElementNS(SVG, name), attributes, children);
}

function filled(made, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    if (name === "look") {
      // the page's rules allow no style attribute, but styles set by script
      made.look = value;
      Object.assign(made.style, value);
    } else {
      made.setAttribute(name, value === true ? "" : String(value));
    }
  }
  for (const child of children.flat(Infinity)) {
    if (child !== null && child !== undefined && child !== false) made.append(child);
  }
  return made;
}

/**
 * Make a shown element's children like those of a fresh one, in place: focus, scroll place, opened details
 * and ticks stay. Children are matched by `data-key`, the others one after another.
 * What carries `data-own` is looked after by somebody else, and left alone.
 */
export function settle(shown, fresh) {
  const keyed = new Map();
  const plain = [];
  const kept = new Set([...fresh.childNodes].map(keyOf));
  for (const child of [...shown.childNodes]) {
    const key = keyOf(child);
    if (key === null) plain.push(child);
    else if (kept.has(key) && !keyed.has(key)) keyed.set(key, child);
    else child.remove();
  }
  let next = shown.firstChild;
  for (const wanted of [...fresh.childNodes]) {
    const key = keyOf(wanted);
    let found = null;
    if (key !== null) {
      found = keyed.get(key) ?? null;
      if (found !== null && found.nodeName !== wanted.nodeName) found = null;
      else keyed.delete(key);
    } else {
      const at = plain.findIndex(one => one.nodeName === wanted.nodeName);
      if (at >= 0) {
        for (const passed of plain.splice(0, at)) {
          if (passed === next) next = next.nextSibling;
          passed.remove();
        }
        found = plain.shift();
      }
    }
    if (found === null) {
      shown.insertBefore(wanted, next);
      continue;
    }
    if (found === next) next = next.nextSibling;
    else shown.insertBefore(found, next);
    become(found, wanted);
  }
  for (const left of [...plain, ...keyed.values()]) left.remove();
}

function keyOf(node) {
  return node.nodeType === Node.ELEMENT_NODE ? node.getAttribute("data-key") : null;
}

function become(shown, wanted) {
  if (shown.nodeType !== Node.ELEMENT_NODE) {
    if (shown.data !== wanted.data) shown.data = wanted.data;
    return;
  }
  if (shown.hasAttribute("data-own") && wanted.hasAttribute("data-own")) return;
  for (const { name } of [...shown.attributes]) {
    if (!wanted.hasAttribute(name) && !isHers(shown, name)) shown.removeAttribute(name);
  }
  for (const { name, value } of [...wanted.attributes]) {
    if (isHers(shown, name)) continue;
    if (shown.getAttribute(name) !== value) shown.setAttribute(name, value);
  }
  if (wanted.look !== undefined) {
    Object.assign(shown.style, wanted.look);
    shown.look = wanted.look;
  }
  settle(shown, wanted);
  if (["INPUT", "SELECT", "TEXTAREA"].includes(shown.nodeName)) {
    if (shown.type === "checkbox" || shown.type === "radio") shown.checked = wanted.checked;
    else if (shown.value !== wanted.value) shown.value = wanted.value;
  }
}

/** Whether an attribute follows what she did, or what the browser set, not what is to be shown. */
function isHers(shown, name) {
  return (
    name === "style" ||
    (name === "open" && shown.nodeName === "DETAILS") ||
    (["tabindex", "role", "aria-label"].includes(name) && shown.classList.contains("scrolls"))
  );
}

/** Let boxes that scroll sideways be reached by keyboard, each as a region with a name of its own, and only those. */
export function letScroll(root) {
  const names = new Map();
  for (const box of root.querySelectorAll(".scrolls")) {
    const name = [box.closest("details")?.querySelector("h3")?.textContent, box.dataset.label].filter(Boolean).join(": ");
    const count = (names.get(name) ?? 0) + 1;
    names.set(name, count);
    if (box.scrollWidth > box.clientWidth + 1) {
      box.setAttribute("tabindex", "0");
      box.setAttribute("role", "region");
      box.setAttribute("aria-label", `Table: ${name}${count > 1 ? `, ${count}` : ""}`);
    } else {
      for (const own of ["tabindex", "role", "aria-label"]) box.removeAttribute(own);
    }
  }
}
