// What the drawing consists of before anything is drawn: its tools, its stage, its strip, its keys in words.

/** @type {Record<"metric" | "us", [number, string][]>} */
export const STEPS = {
  metric: [[0.001, "1 mm"], [0.01, "1 cm"], [0.05, "5 cm"], [0.1, "10 cm"], [0.5, "50 cm"]],
  us: [[0.003175, "1/8 in"], [0.0254, "1 in"], [0.0762, "3 in"], [0.1524, "6 in"], [0.3048, "1 ft"]],
};
const ARROWS = "by the step, ten times that with Shift.";
/** What keys do while something is moved, and while something is marked. */
export const KEYS = {
  move: `n and p: next and previous. Arrows: move ${ARROWS} Enter: as numbers. + and -: zoom. 0: see all. Escape: deselect.`,
  mark: `Arrows: move the cross ${ARROWS} Space: mark there. Backspace: last point away. Enter: to the fields. + and -: zoom. 0: see all. Escape: cancel.`,
};

export const SHELL = `
<link rel="stylesheet" href="/static/place.css">
<div class="bar" role="group" aria-label="Tools of the drawing">
  <button data-tool="move" aria-pressed="true">Move</button><button data-tool="line" aria-pressed="false">Draw a line</button><button data-tool="put" aria-pressed="false">Put a supply</button>
  <button data-tool="two" aria-pressed="false" hidden>Two points</button><button data-tool="four" aria-pressed="false" hidden>Four corners</button>
  <span class="gap"></span>
  <label for="step">Step</label><select id="step" name="step"></select>
  <button data-do="out" aria-label="Zoom out">−</button><button data-do="in" aria-label="Zoom in">+</button><button data-do="fit">See all</button>
</div>
<div class="stage" tabindex="0" role="application" aria-label="Drawing of the yard" aria-describedby="keys">
  <img alt="" hidden><canvas></canvas><svg class="ground" aria-hidden="true"></svg><svg class="over" aria-hidden="true"></svg>
</div>
<div class="tray"></div>
<p class="say" role="status" aria-live="polite"></p>
<p class="keys" id="keys">${KEYS.move}</p>`;
