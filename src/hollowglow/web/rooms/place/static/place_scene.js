// Everything that has a place, as flat arrays: props first, then supplies and controllers, then the points of one line.

/**
 * @typedef {{name: string, count: number, placed: boolean, line: number[][] | null, way: number[][], moved: number[]}} Line
 * @typedef {{picture: string, matrix: number[] | null, points: number[][] | null, corners: number[][] | null}} Backdrop
 * @typedef {{strings: Line[], props: {string: number[], number: number[], x: number[], y: number[], radius: number[],
 *   colour: number[]}, marks: {table: string, name: string, x: number, y: number}[], backdrop: Backdrop | null}} Data
 */

export class Scene {
  /** @param {Data} data As the server tells it. @param {string} chosen Name of the string whose line has handles. */
  constructor(data, chosen) {
    this.data = data;
    this.strings = data.strings;
    this.chosen = data.strings.findIndex((one) => one.name === chosen);
    this.marks = data.marks;
    this.vertices = (this.chosen >= 0 && data.strings[this.chosen].line) || [];
    this.props = data.props.x.length;
    this.count = this.props + this.marks.length + this.vertices.length;
    /** Where everything is, m: x and y in turn. */
    this.at = new Float32Array(2 * this.count);
    this.radius = Float32Array.from(data.props.radius);
    this.colour = Float32Array.from(data.props.colour, (v) => v / 255);
    for (let i = 0; i < this.props; i++) this.put(i, data.props.x[i], data.props.y[i]);
    this.marks.forEach((one, i) => this.put(this.props + i, one.x, one.y));
    this.vertices.forEach(([x, y], i) => this.put(this.props + this.marks.length + i, x, y));
  }

  /** @param {number} item @param {number} x @param {number} y */
  put(item, x, y) {
    this.at[2 * item] = x;
    this.at[2 * item + 1] = y;
  }

  /** @returns {number} The item to begin with: the first prop of the chosen string, where it has a place. */
  first() {
    return Math.max(this.data.props.string.indexOf(this.chosen), 0);
  }

  /** @param {number} item @returns {"prop" | "mark" | "vertex"} */
  sort(item) {
    return item < this.props ? "prop" : item < this.props + this.marks.length ? "mark" : "vertex";
  }

  /** @param {number} item @returns {Record<string, string>} What the server is told of it, but for its place. */
  command(item) {
    const sort = this.sort(item);
    if (sort === "prop") {
      const { string, number } = this.data.props;
      return { act: "move", string: this.strings[string[item]].name, prop: String(number[item]) };
    }
    if (sort === "mark") {
      const { table, name } = this.marks[item - this.props];
      return { act: "at", table, name };
    }
    return { act: "vertex", string: this.strings[this.chosen].name, number: String(item - this.props - this.marks.length + 1) };
  }

  /** @param {number} item @returns {string} What stays the same about it when the server tells everything again. */
  key(item) {
    return JSON.stringify(this.command(item));
  }

  /** @param {string} key @returns {number} The item of a key, -1 where it is gone. */
  find(key) {
    for (let item = 0; item < this.count; item++) if (this.key(item) === key) return item;
    return -1;
  }

  /** @param {number} item @returns {string} */
  words(item) {
    const one = this.command(item);
    if (one.act === "move") return `${one.string}, prop ${one.prop}`;
    return one.act === "at" ? one.name : `${one.string}, point ${one.number} of its line`;
  }

  /** @param {number} item @returns {boolean} Whether it is a prop that sits off its line. */
  moved(item) {
    if (this.sort(item) !== "prop") return false;
    return this.strings[this.data.props.string[item]].moved.includes(this.data.props.number[item]);
  }

  /** @param {number} item @returns {number[]} The items before and after it along the same string or line. */
  neighbours(item) {
    const sort = this.sort(item);
    if (sort === "mark") return [];
    const { string } = this.data.props;
    return [item - 1, item + 1].filter(
      (one) => one >= 0 && one < this.count && this.sort(one) === sort && (sort === "vertex" || string[one] === string[item]),
    );
  }

  /**
   * @param {import("./place_view.js").View} view @param {number} left @param {number} top @param {number} reach In pixels.
   * @returns {number} What is at a point of the stage, -1 where nothing is.
   */
  nearest(view, left, top, reach) {
    const [x, y] = view.place(left, top);
    let found = -1;
    let best = Infinity;
    for (let item = this.count - 1; item >= 0; item--) {
      const own = item < this.props ? this.radius[item] * view.k : 0;
      const away = Math.hypot(this.at[2 * item] - x, this.at[2 * item + 1] - y) * view.k;
      if (away <= Math.max(own, reach) && away - own < best - 1e-6) {
        best = away - own;
        found = item;
      }
    }
    return found;
  }

  /** @returns {[number, number, number, number] | null} Left, bottom, right and top of all of it. */
  box() {
    const xs = [];
    const ys = [];
    for (let item = 0; item < this.count; item++) {
      xs.push(this.at[2 * item]);
      ys.push(this.at[2 * item + 1]);
    }
    if (!xs.length) return null;
    return [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
  }
}
