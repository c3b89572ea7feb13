// What lies over the props: grid, scale bar, cables, supplies and controllers, and whatever is selected or being drawn.

import { told } from "./place_view.js";

/** @typedef {import("./place_view.js").View} View @typedef {import("./place_scene.js").Scene} Scene */
/**
 * @typedef {{scene: Scene, view: View, units: import("./place_view.js").Units, selected: number, held: boolean,
 *   points: number[][], cursor: number[] | null, tool: string, step: number}} Shown
 */

const SVG = "http://www.w3.org/2000/svg";

/** @param {string} name @param {Record<string, string | number>} values @param {string} [words] @returns {SVGElement} */
function part(name, values, words) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(values)) made.setAttribute(key, String(value));
  if (words !== undefined) made.textContent = words;
  return made;
}

export class Over {
  /** @param {SVGSVGElement} ground What changes with the view only. @param {SVGSVGElement} over What changes in a drag. */
  constructor(ground, over) {
    this.grid = part("g", { class: "grid" });
    this.ways = part("g", { class: "ways" });
    this.names = part("g", { class: "names" });
    this.live = part("g", { class: "live" });
    ground.replaceChildren(this.grid, this.ways, this.names);
    over.replaceChildren(this.live);
  }

  /** @param {Scene} scene New cables. */
  load(scene) {
    this.ways.replaceChildren(
      ...scene.strings.map((one, i) =>
        part("polyline", { points: one.way.map((p) => p.join(",")).join(" "), class: i === scene.chosen ? "chosen" : "way" }),
      ),
    );
  }

  /** @param {Shown} shown What only changes with the view. */
  ground({ scene, view, units, tool }) {
    const raw = tool === "two" || tool === "four";
    this.ways.setAttribute("transform", `translate(${view.wide / 2 - view.x * view.k} ${view.high / 2 + view.y * view.k}) scale(${view.k} ${-view.k})`);
    this.ways.setAttribute("visibility", raw ? "hidden" : "visible");
    const made = [];
    if (!raw) {
      const { step, bar } = view.grid(units);
      const [left, top] = view.place(0, 0);
      const [right, bottom] = view.place(view.wide, view.high);
      for (let n = Math.ceil(left / step); n * step <= right; n++) made.push(line(view, n * step, null, n));
      for (let n = Math.ceil(bottom / step); n * step <= top; n++) made.push(line(view, null, n * step, n));
      const long = bar * view.k;
      const y = view.high - 14;
      made.push(part("path", { class: "bar", d: `M14 ${y - 6}v6h${long}v-6` }));
      made.push(part("text", { x: 20 + long, y: y + 1 }, barWords(bar, units)));
    }
    this.grid.replaceChildren(...made);
    this.names.replaceChildren(...(raw ? [] : named(scene, view)));
  }

  /** @param {Shown} shown What changes while something is dragged. */
  draw(shown) {
    const { scene, view, units, selected, points, cursor, tool } = shown;
    const made = [];
    if (tool !== "two" && tool !== "four") {
      scene.marks.forEach((one, i) => {
        const [x, y] = at(shown, scene.props + i);
        const round = one.table === "controllers" ? 6 : 0;
        made.push(part("rect", { x: x - 8, y: y - 8, width: 16, height: 16, rx: round, class: "mark" }));
        const [side, down] = round ? ["middle", 24] : i % 2 ? ["start", 4] : ["end", 4];
        made.push(part("text", { x: x + (round ? 0 : i % 2 ? 13 : -13), y: y + down, "text-anchor": side }, one.name));
      });
    }
    if (tool === "move") {
      const first = scene.props + scene.marks.length;
      for (let i = 0; i < scene.vertices.length; i++) {
        const [x, y] = at(shown, first + i);
        made.push(part("path", { d: `M${x} ${y - 6}l6 6l-6 6l-6 -6z`, class: "vertex" }));
      }
    }
    if (tool === "move" && selected >= 0) made.push(...this.chosen(shown));
    if (points.length || cursor) {
      const raw = tool === "two" || tool === "four";
      const all = cursor && !(raw && points.length === (tool === "two" ? 2 : 4)) ? [...points, cursor] : points;
      const screen = all.map(([x, y]) => view.screen(x, y));
      const closed = tool === "four" && points.length === 4;
      made.push(part(closed ? "polygon" : "polyline", { points: screen.map((p) => p.join(",")).join(" "), class: "pending" }));
      screen.forEach(([x, y], i) => {
        const last = all !== points && i === all.length - 1;
        made.push(part("path", { d: `M${x - 9} ${y}h18M${x} ${y - 9}v18`, class: last ? "cross cursor" : "cross" }));
        if (raw && !last) made.push(part("text", { x: x + 10, y: y - 8 }, String(i + 1)));
      });
      const [a, b] = all.slice(-2);
      if (tool === "line" && b && Math.hypot(b[0] - a[0], b[1] - a[1]) * view.k > 2) {
        const [x, y] = screen[screen.length - 1];
        made.push(part("text", { x: x + 12, y: y - 12 }, told(Math.hypot(b[0] - a[0], b[1] - a[1]), units)));
      }
    }
    this.live.replaceChildren(...made);
  }

  /** @param {Shown} shown @returns {SVGElement[]} The ring around what is selected, and how far its neighbours are. */
  chosen(shown) {
    const { scene, view, units, selected, held } = shown;
    const [x, y] = at(shown, selected);
    const radius = selected < scene.props ? Math.max(scene.radius[selected] * view.k, 3) + 6 : 14;
    const made = [part("circle", { cx: x, cy: y, r: radius, class: held ? "ring held" : "ring" })];
    if (selected < scene.props) {
      const colour = scene.colour.subarray(3 * selected, 3 * selected + 3).map((v) => Math.round(v * 255)).join(" ");
      const own = Math.max(scene.radius[selected] * view.k, 3);
      made.push(part("circle", { cx: x, cy: y, r: own, fill: `rgb(${colour})`, class: "lamp" }));
    }
    for (const other of scene.neighbours(selected)) {
      const [left, top] = at(shown, other);
      made.push(part("line", { x1: x, y1: y, x2: left, y2: top, class: "gap" }));
      if (Math.hypot(left - x, top - y) < 44) continue;
      const away = Math.hypot(scene.at[2 * selected] - scene.at[2 * other], scene.at[2 * selected + 1] - scene.at[2 * other + 1]);
      made.push(part("text", { x: (x + left) / 2, y: (y + top) / 2 - 8, class: "gap" }, told(away, units)));
    }
    return made;
  }
}

/** @param {Scene} scene @param {View} view @returns {SVGElement[]} Names of strings, the chosen one first, as far as there is room. */
function named(scene, view) {
  /** @type {[number, number, number][]} */
  const taken = [];
  const order = scene.strings.map((_, i) => i).sort((a, b) => Number(b === scene.chosen) - Number(a === scene.chosen));
  const made = [];
  for (const i of order) {
    const { name, way } = scene.strings[i];
    if (!way.length) continue;
    const [left, top] = view.screen(way[0][0], way[0][1]);
    const wide = 7 * name.length + 8;
    if (taken.some(([x, y, w]) => Math.abs(y - top) < 16 && left < x + w && x < left + wide)) continue;
    taken.push([left, top, wide]);
    const x = left < 0 || left > view.wide ? left + 8 : Math.max(4, Math.min(left + 8, view.wide - wide));
    made.push(part("text", { x, y: top - 10, class: i === scene.chosen ? "chosen" : "" }, name));
  }
  return made;
}

/** @param {Shown} shown @param {number} item @returns {[number, number]} */
function at({ scene, view }, item) {
  return view.screen(scene.at[2 * item], scene.at[2 * item + 1]);
}

/** @param {View} view @param {number | null} x @param {number | null} y @param {number} number @returns {SVGElement} */
function line(view, x, y, number) {
  const [left, top] = view.screen(x ?? 0, y ?? 0);
  const d = x === null ? `M0 ${top.toFixed(1)}H${view.wide}` : `M${left.toFixed(1)} 0V${view.high}`;
  return part("path", { d, class: number === 0 ? "zero" : "fine" });
}

/** @param {number} metres @param {import("./place_view.js").Units} units @returns {string} */
function barWords(metres, units) {
  return units === "metric" ? `${Number(metres.toPrecision(3))} m` : `${Number((metres / 0.3048).toPrecision(3))} ft`;
}
