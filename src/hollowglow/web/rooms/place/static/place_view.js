// Which part of the yard is on the screen: pan, zoom, grid steps, and the photograph's way onto it.

const FOOT_M = 0.3048;

/** @typedef {"metric" | "us"} Units */

/** @param {number} metres @param {Units} units @returns {string} A length as it is shown. */
export function told(metres, units) {
  if (units === "metric") return Math.abs(metres) < 0.1 && metres !== 0 ? `${Math.round(metres * 1000)} mm` : `${metres.toFixed(2)} m`;
  return feet(metres, 8);
}

/** @param {number} metres @param {number} parts Of an inch: 8 or 16. @returns {string} As a tape in inches shows it. */
function feet(metres, parts) {
  const all = Math.round((Math.abs(metres) / FOOT_M) * 12 * parts);
  const [whole, rest] = [Math.floor(all / (12 * parts)), all % (12 * parts)];
  const inches = Math.floor(rest / parts);
  let [over, under] = [rest % parts, parts];
  for (; over && over % 2 === 0; under /= 2) over /= 2;
  const said = [inches || "", over ? `${over}/${under}` : ""].filter(Boolean).join(" ");
  const words = [whole || !rest ? `${whole} ft` : "", said && `${said} in`].filter(Boolean).join(" ");
  return metres < 0 && all ? `-${words}` : words;
}

/** @param {number} metres @param {Units} units @returns {string} A length as it is typed into the file. */
export function typed(metres, units) {
  return units === "metric" ? `${Number(metres.toFixed(4))} m` : feet(metres, 16);
}

export class View {
  constructor() {
    this.x = 0; // place in the middle of the stage, m
    this.y = 0;
    this.k = 40; // CSS pixels a metre
    this.wide = 600;
    this.high = 400;
  }

  /** @param {number} x @param {number} y @returns {[number, number]} */
  screen(x, y) {
    return [(x - this.x) * this.k + this.wide / 2, (this.y - y) * this.k + this.high / 2];
  }

  /** @param {number} left @param {number} top @returns {[number, number]} */
  place(left, top) {
    return [(left - this.wide / 2) / this.k + this.x, this.y - (top - this.high / 2) / this.k];
  }

  /** @param {number} step @returns {number[]} The middle of what is seen, on a whole step. */
  middle(step) {
    return [this.x, this.y].map((v) => Math.round(v / step) * step);
  }

  /** @param {number} right @param {number} down Move what is seen by so many pixels. */
  pan(right, down) {
    this.x -= right / this.k;
    this.y += down / this.k;
  }

  /** @param {number} times @param {number} left @param {number} top Zoom about a point of the stage. */
  zoom(times, left = this.wide / 2, top = this.high / 2) {
    const [x, y] = this.place(left, top);
    this.k = Math.min(20000, Math.max(0.005, this.k * times));
    const [nowX, nowY] = this.place(left, top);
    this.x += x - nowX;
    this.y += y - nowY;
  }

  /** @param {[number, number, number, number]} box Left, bottom, right, top of what is to be seen. */
  fit([left, bottom, right, top]) {
    const wide = Math.max(right - left, 0.5);
    const high = Math.max(top - bottom, 0.5);
    this.k = Math.min(20000, 0.86 * Math.min(this.wide / wide, this.high / high));
    this.x = (left + right) / 2;
    this.y = (bottom + top) / 2;
  }

  /** @param {Units} units @returns {{step: number, bar: number}} Distance of grid lines and length of the scale bar, m. */
  grid(units) {
    const unit = units === "metric" ? 1 : FOOT_M;
    return { step: round(64 / this.k / unit) * unit, bar: round(Math.min(150, this.wide / 4) / this.k / unit) * unit };
  }

  /**
   * @param {number[]} matrix From the picture's own pixels to places, nine numbers.
   * @param {number} times How many of the picture's own pixels are one pixel of what is shown.
   * @returns {string} As a CSS transform.
   */
  photograph(matrix, times) {
    const [a, b, c, d, e, f, g, h, i] = matrix;
    const across = this.wide / 2 - this.k * this.x;
    const down = this.high / 2 + this.k * this.y;
    const rows = [
      [(this.k * a + across * g) * times, (this.k * b + across * h) * times, this.k * c + across * i],
      [(-this.k * d + down * g) * times, (-this.k * e + down * h) * times, -this.k * f + down * i],
      [g * times, h * times, i],
    ].map((row) => row.map((v) => v / i));
    const [m, n, p] = rows;
    return `matrix3d(${[m[0], n[0], 0, p[0], m[1], n[1], 0, p[1], 0, 0, 1, 0, m[2], n[2], 0, p[2]].join(",")})`;
  }
}

/** @param {number} value @returns {number} The greatest of 1, 2 and 5 times a power of ten that is not above it. */
function round(value) {
  const ten = 10 ** Math.floor(Math.log10(value));
  return value >= 5 * ten ? 5 * ten : value >= 2 * ten ? 2 * ten : ten;
}

const KEPT = "place-view";

/** Keep what is seen for the next page. @param {View} view */
export function keepView(view) {
  try {
    sessionStorage.setItem(KEPT, JSON.stringify([view.x, view.y, view.k]));
  } catch {
    // a browser that keeps nothing
  }
}

/** Take what was kept. @param {View} view @returns {boolean} Whether there was something. */
export function keptView(view) {
  try {
    const kept = JSON.parse(sessionStorage.getItem(KEPT) ?? "null");
    if (!Array.isArray(kept) || kept.length !== 3 || !kept.every(Number.isFinite)) return false;
    [view.x, view.y, view.k] = kept;
    return true;
  } catch {
    return false;
  }
}
