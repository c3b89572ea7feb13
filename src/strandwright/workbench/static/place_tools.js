// What the strip under the drawing says and offers, for each tool.

import { told, typed } from "./place_view.js";

/** @typedef {import("./place_tray.js").Tray} Tray */

/** @type {[string, string][]} */
const WAYS = [["keep", "as it is spaced now"], ["even", "spread evenly"], ["pitch", "at a pitch"], ["fill", "as many as fit at a pitch"]];

/** @param {any} yard The element. @returns {[Tray, string]} The strip, and what it is about. */
export function trayOf(yard) {
  if (yard.shut) return [{ words: "Nothing can be moved until the display file is mended or read again." }, "shut"];
  if (yard.tool === "line") return drawing(yard);
  if (yard.tool === "two" || yard.tool === "four") return scaling(yard);
  const { scene, selected, units } = yard;
  if (selected < 0) return [{ words: "Drag a prop, a supply, a controller or a point of a line. Drag the ground to move the view." }, "none"];
  const [x, y] = [scene.at[2 * selected], scene.at[2 * selected + 1]];
  const words = `${yard.trouble ? `${yard.trouble} ` : ""}${scene.words(selected)}: ${told(x, units)} across, ${told(y, units)} ${scene.data.plane === "plan" ? "ahead" : "up"}.`;
  const own = scene.command(selected);
  if (yard.entering) {
    const write = (/** @type {Record<string, string>} */ values) => {
      yard.entering = false;
      yard.stage.focus();
      void yard.sender.send({ ...own, ...values });
      yard.paint();
    };
    const cancel = () => {
      yard.entering = false;
      yard.stage.focus();
      yard.paint();
    };
    const fields = [
      { name: "x", label: "Across", value: typed(x, units) },
      { name: "y", label: scene.data.plane === "plan" ? "Ahead" : "Up", value: typed(y, units) },
    ];
    return [{ words, fields, buttons: [{ words: "Put it there", main: true, act: write }, { words: "Cancel", act: cancel }] }, `enter ${scene.key(selected)}`];
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
  return [{ words, buttons }, `item ${scene.key(selected)} ${scene.moved(selected)}`];
}

/** @param {any} yard @returns {[Tray, string]} */
function drawing(yard) {
  const { marked, units, scene } = yard;
  const string = yard.dataset.string;
  let long = 0;
  for (let i = 1; i < marked.length; i++) long += Math.hypot(marked[i][0] - marked[i - 1][0], marked[i][1] - marked[i - 1][1]);
  const placed = scene.strings[scene.chosen]?.placed;
  const words = marked.length
    ? `${string}: ${marked.length} ${marked.length === 1 ? "point" : "points"}, ${told(long, units)}.`
    : `Mark where the cable of ${string} runs, from its first prop on. Shift keeps it level or upright. Keys: arrows, space, Backspace.`;
  if (marked.length < 2) return [{ words: `${yard.trouble} ${words}`.trim(), buttons: [cancel(yard)] }, "line 0"];
  const write = async (/** @type {Record<string, string>} */ values) => {
    const line = JSON.stringify(marked.map((/** @type {number[]} */ p) => p.map((v) => Number(v.toFixed(4)))));
    if (await yard.sender.send({ act: "line", string, line, way: values.way, pitch: values.pitch })) yard.turn("move");
    else yard.paint();
  };
  return [
    {
      words: `${yard.trouble} ${words}`.trim(),
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
  const order = ["bottom left", "bottom right", "top right", "top left"][marked.length];
  const words =
    tool === "two"
      ? "Mark two points whose distance you know, the first one is the place 0, 0."
      : `Mark the corners of a rectangle on the wall whose size you know: now the ${order} one.`;
  if (marked.length < most) return [{ words: `${yard.trouble} ${words}`.trim(), buttons: [lastAway(yard), cancel(yard)] }, `${tool} ${marked.length}`];
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
    { words: `${yard.trouble} As you measured it, like ${example}.`.trim(), fields, buttons: [{ words: "Scale it", main: true, act: write }, lastAway(yard), cancel(yard)] },
    `${tool} ${most}`,
  ];
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
