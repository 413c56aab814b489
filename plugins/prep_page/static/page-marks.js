// How bad a finding is, by word, shape and letter; colour comes last.

import { drawn } from "/page-dom.js";

export const SEVERITIES = ["will fail", "at risk", "note"];

export function wordOf(severity) {
  return { "will fail": "Will fail", "at risk": "At risk", note: "Note" }[severity] ?? severity;
}

/** A, B, ... Z, AA, AB, ... as on the sheet: in the order of the findings. */
export function letterOf(setup, finding) {
  let number = (setup.findings ?? []).indexOf(finding) + 1;
  let letters = "";
  while (number > 0) {
    number -= 1;
    letters = String.fromCharCode(65 + (number % 26)) + letters;
    number = Math.floor(number / 26);
  }
  return letters;
}

/** A square, a diamond or a circle, with the letter in it. The word is to stand beside it. */
export function mark(severity, letter) {
  const shapes = {
    "will fail": () => drawn("rect", { x: 2, y: 2, width: 28, height: 28 }),
    "at risk": () => drawn("path", { d: "M16 0.8L31.2 16L16 31.2L0.8 16Z" }),
    note: () => drawn("circle", { cx: 16, cy: 16, r: 14 }),
  };
  return drawn(
    "svg",
    { class: `mark ${severity.replace(" ", "-")}`, viewBox: "0 0 32 32", "aria-hidden": "true" },
    (shapes[severity] ?? shapes.note)(),
    drawn("text", { x: 16, y: 21, "text-anchor": "middle" }, letter),
  );
}

/** Where a finding is, from the top left, as the shop measures. */
export function placeInWords([x, y], units) {
  if (units === "metric") return `x ${x}, y ${y} mm`;
  return `x ${(x / 25.4).toFixed(2)}, y ${(y / 25.4).toFixed(2)} in`;
}
