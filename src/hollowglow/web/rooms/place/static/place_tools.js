// What the strip under the drawing says and offers, for each tool.

import { told, typed } from "./place_view.js";

/** @typedef {import("./place_tray.js").Tray} Tray */
/** @typedef {{table: string, word: string, name: string, x: string}} Source A supply or a controller, with or without a place. */

/** @type {[string, string][]} */
const WAYS = [["keep", "as it is spaced now"], ["even", "spread evenly"], ["pitch", "at a pitch"], ["fill", "as many as fit at a pitch"]];

/** @param {any} yard The element. @returns {[Tray, string]} The strip, and what it is about. */
export function trayOf(yard) {
  if (yard.shut) return [{ words: "Nothing can be moved until the display file is mended or read again." }, "shut"];
  if (yard.tool === "line") return drawing(yard);
  if (yard.tool === "two" || yard.tool === "four") return scaling(yard);
  if (yard.tool === "put") return putting(yard);
  const { scene, selected, units } = yard;
  if (selected < 0) return [{ words: "Drag a prop, a supply, a controller or a point of a line. Drag the ground to move the view." }, "none"];
  const [x, y] = [scene.at[2 * selected], scene.at[2 * selected + 1]];
  const { trouble } = yard;
  const words = `${scene.words(selected)}: ${told(x, units)} across, ${told(y, units)} ${scene.data.plane === "plan" ? "ahead" : "up"}.`;
  const own = scene.command(selected);
  if (yard.entering) {
    const write = (/** @type {Record<string, string>} */ values) => {
      yard.entering = false;
      yard.stage.focus();
      if (Object.keys(values).length) void yard.sender.send({ ...own, ...values });
      yard.paint();
    };
    const cancel = () => {
      yard.entering = false;
      yard.stage.focus();
      yard.paint();
    };
    const fields = [
      { name: "x", label: "Across", value: typed(x, units), kept: true },
      { name: "y", label: scene.data.plane === "plan" ? "Ahead" : "Up", value: typed(y, units), kept: true },
    ];
    return [{ words, trouble, fields, buttons: [{ words: "Put it there", main: true, act: write }, { words: "Cancel", act: cancel }] }, `enter ${scene.key(selected)}`];
  }
  const buttons = [{ words: "As numbers", act: () => yard.enter() }];
  if (scene.moved(selected)) {
    buttons.push({
      words: "Back onto the line",
      act: () => {
        yard.pending.delete(scene.key(selected));
        void yard.sender.send({ ...own, act: "back" });
      },
    });
  }
  return [{ words, trouble, buttons }, `item ${scene.key(selected)} ${scene.moved(selected)}`];
}

/** @param {any} yard @returns {string} Where the cross is; on a photograph that has no scale yet it is nowhere. */
export function crossWords({ cursor, tool, units, scene }) {
  if (!cursor || tool === "two" || tool === "four") return "";
  return `Cross: ${told(cursor[0], units)} across, ${told(cursor[1], units)} ${scene.data.plane === "plan" ? "ahead" : "up"}.`;
}

/** @param {any} yard @returns {[Tray, string]} */
function drawing(yard) {
  const { marked, units, scene } = yard;
  const string = yard.dataset.string;
  let long = 0;
  for (let i = 1; i < marked.length; i++) long += Math.hypot(marked[i][0] - marked[i - 1][0], marked[i][1] - marked[i - 1][1]);
  const placed = scene.strings[scene.chosen]?.placed;
  const words = marked.length
    ? `${string}: ${marked.length} ${marked.length === 1 ? "point" : "points"}, ${told(long, units)}. ${crossWords(yard)}`
    : yard.cursor
    ? `${crossWords(yard)} Mark where the cable of ${string} begins.`
    : `Mark where the cable of ${string} runs, from its first prop on. Shift keeps it level or upright. Keys: arrows, space, Backspace.`;
  if (marked.length < 2) return [{ words, trouble: yard.trouble, buttons: [cancel(yard)] }, "line 0"];
  const write = async (/** @type {Record<string, string>} */ values) => {
    const line = JSON.stringify(marked.map((/** @type {number[]} */ p) => p.map((v) => Number(v.toFixed(4)))));
    if (await yard.sender.send({ act: "line", string, line, way: values.way, pitch: values.pitch })) yard.turn("move");
    else yard.paint();
  };
  return [
    {
      words,
      trouble: yard.trouble,
      fields: [
        { name: "way", label: "Set out", value: placed ? "keep" : "even", choices: placed ? WAYS : WAYS.slice(1) },
        { name: "pitch", label: "Pitch", value: units === "metric" ? "1 m" : "3 ft" },
      ],
      buttons: [{ words: "Set it out", main: true, act: write }, lastAway(yard), cancel(yard)],
    },
    "line 2",
  ];
}

/** @param {any} yard @returns {[Tray, string]} */
function scaling(yard) {
  const { marked, tool, units } = yard;
  const most = tool === "two" ? 2 : 4;
  const words =
    tool === "two"
      ? "Mark two points whose distance you know, the first one is the place 0, 0."
      : `Mark the four corners of a rectangle on the wall whose size you know, such as a window; ${4 - marked.length} to go.`;
  if (marked.length < most) return [{ words, trouble: yard.trouble, buttons: [lastAway(yard), cancel(yard)] }, `${tool} ${marked.length}`];
  const pixels = JSON.stringify(marked.map((/** @type {number[]} */ [x, y]) => [Number(x.toFixed(1)), Number((-y).toFixed(1))]));
  const example = units === "metric" ? "2 m" : "6 ft 6 in";
  const fields =
    tool === "two"
      ? [{ name: "length", label: "How far apart they are", value: "" }]
      : [{ name: "width", label: "Width", value: "" }, { name: "height", label: "Height", value: "" }];
  const write = async (/** @type {Record<string, string>} */ values) => {
    if (await yard.sender.send({ act: "scale", [tool === "two" ? "points" : "corners"]: pixels, ...values })) {
      yard.fresh = true;
      yard.turn("move");
    } else yard.paint();
  };
  return [
    { words: `As you measured it, like ${example}.`, trouble: yard.trouble, fields, buttons: [{ words: "Scale it", main: true, act: write }, lastAway(yard), cancel(yard)] },
    `${tool} ${most}`,
  ];
}

/**
 * @param {number[][]} corners Four places, y upwards, in any order.
 * @returns {number[][]} The same ones going round from the bottom left one by the bottom right one.
 */
export function goingRound(corners) {
  const [xs, ys] = [corners.map((p) => p[0]), corners.map((p) => p[1])];
  const [left, bottom] = [Math.min(...xs), Math.min(...ys)];
  const [wide, high] = [Math.max(...xs) - left || 1, Math.max(...ys) - bottom || 1];
  const [x, y] = [xs.reduce((a, b) => a + b) / 4, ys.reduce((a, b) => a + b) / 4];
  const turned = [...corners].sort((a, b) => Math.atan2(a[1] - y, a[0] - x) - Math.atan2(b[1] - y, b[0] - x));
  const low = turned.map((p) => (p[0] - left) / wide + (p[1] - bottom) / high);
  const first = low.indexOf(Math.min(...low));
  return [...turned.slice(first), ...turned.slice(0, first)];
}

/** @param {Source} one @param {Source} other */
const same = (one, other) => one.table === other.table && one.name === other.name;

/**
 * What was put down a moment ago is told only once the numbers are those of the file.
 * @param {Source[]} told @param {Source[]} before @returns {Source[]}
 */
export const stillPut = (told, before) => told.map((one) => ({ ...one, x: one.x || (before.find((own) => same(own, one))?.x ?? "") }));

/** @param {any} yard @returns {[Tray, string]} */
function putting(yard) {
  /** @type {Source[]} */
  const all = yard.sources;
  const open = all.findIndex((one) => !one.x);
  const fields = [
    {
      name: "which",
      label: "Put here",
      value: String(Math.max(open, 0)),
      choices: /** @type {[string, string][]} */ (all.map((one, i) => [String(i), `${one.name} (${one.word}${one.x ? "" : ", no place yet"})`])),
    },
  ];
  const words = `Choose a supply or a controller and click where it stands. Leads and feeds that follow the drawing are measured from it. ${crossWords(yard)}`;
  return [{ words, trouble: yard.trouble, fields, buttons: [cancel(yard)] }, `put ${open} ${all.length}`];
}

/** Put the supply or controller that is chosen where the cross is. @param {any} yard */
export async function putDown(yard) {
  const one = yard.sources[Number(yard.tray.querySelector("select")?.value)];
  if (!one || !yard.cursor) return;
  yard.trouble = "";
  const [x, y] = yard.cursor;
  if (!(await yard.sender.send({ act: "at", table: one.table, name: one.name, x: typed(x, yard.units), y: typed(y, yard.units) }))) return yard.paint();
  for (const other of yard.sources) if (same(other, one)) other.x = typed(x, yard.units);
  if (yard.sources.some((/** @type {{x: string}} */ other) => !other.x)) return yard.paint();
  yard.turn("move");
  yard.say(`${one.name} is placed. Everything has a place now; drag to move it.`);
}

/** @param {any} yard */
const lastAway = (yard) => ({
  words: "Last point away",
  act: () => {
    yard.marked.pop();
    yard.paint();
  },
});

/** @param {any} yard */
const cancel = (yard) => ({ words: "Cancel", act: () => yard.turn("move") });
