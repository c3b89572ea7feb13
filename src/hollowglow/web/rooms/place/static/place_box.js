// What is to be seen of a yard as a whole: everything that has a place, and the photograph behind it.

/** @typedef {import("./place_scene.js").Scene} Scene */

const NOTHING_M = /** @type {[number, number, number, number]} */ ([-5, -1, 5, 4]);

/**
 * @param {Scene | null} scene @param {{wide: number, high: number}} size Of the photograph, in its own pixels.
 * @returns {[number, number, number, number]} Left, bottom, right and top, m.
 */
export function boxOf(scene, size) {
  const own = scene?.data.backdrop;
  const box = scene?.box() ?? null;
  if (!own?.matrix) return box ?? NOTHING_M;
  const corners = own.corners ?? [[0, 0], [size.wide, 0], [size.wide, size.high], [0, size.high]];
  const m = own.matrix;
  const places = corners.map(([x, y]) => {
    const w = m[6] * x + m[7] * y + m[8];
    return [(m[0] * x + m[1] * y + m[2]) / w, (m[3] * x + m[4] * y + m[5]) / w];
  });
  const [xs, ys] = [places.map((p) => p[0]), places.map((p) => p[1])];
  // A rectangle on a wall is a small part of what the wall holds.
  const pad = own.corners && !scene?.props ? 1.2 * Math.max(Math.max(...xs) - Math.min(...xs), Math.max(...ys) - Math.min(...ys)) : 0;
  for (const [all, less] of /** @type {[number[], number][]} */ ([[xs, pad], [ys, pad / 2]])) all.push(Math.min(...all) - less, Math.max(...all) + less);
  const [left, bottom, right, top] = box ?? [Infinity, Infinity, -Infinity, -Infinity];
  return [Math.min(...xs, left), Math.min(...ys, bottom), Math.max(...xs, right), Math.max(...ys, top)];
}
