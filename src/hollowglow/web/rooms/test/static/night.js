// The display in light: one canvas, every cell a point; colours come over a websocket and only the newest counts.

const VERTEX = `
attribute vec3 cell; attribute vec3 colour; uniform vec2 scale; uniform vec2 shift; uniform float pixels; varying vec3 shine;
void main() {
  gl_Position = vec4(cell.xy * scale + shift, 0.0, 1.0);
  shine = colour;
  gl_PointSize = clamp(cell.z * pixels * 2.8, 15.0, 96.0);
}`;
// A bright middle with a halo; a dark cell stays visible as a faint ring.
const FRAGMENT = `
precision mediump float; varying vec3 shine;
void main() {
  float r = 2.0 * length(gl_PointCoord - 0.5);
  if (r > 1.0) discard;
  float core = smoothstep(0.46, 0.34, r);
  float halo = (1.0 - r) * (1.0 - r) * 0.55;
  float ring = smoothstep(0.10, 0.0, abs(r - 0.36)) * 0.16;
  gl_FragColor = vec4(shine * max(core, halo) + vec3(0.72, 0.78, 0.85) * ring * (1.0 - max(shine.r, max(shine.g, shine.b))), 1.0);
}`;
const AGAIN_MS = 1000;
const MARGIN = 1.12;
const HEADER = 4;
// Width over height.
const [LEAST_SHAPE, MOST_SHAPE] = [1.2, 2.6];
const LINE_PX = 14;

/** @typedef {{stamp: number, cells: number[], names: [string, number, number][], placed: boolean}} Places */
/** @typedef {{left: number, low: number, wide: number, high: number}} Extent */

/** Draws points with WebGL. */
class Lamps {
  /** @param {WebGLRenderingContext} gl */
  constructor(gl) {
    this.gl = gl;
    const program = /** @type {WebGLProgram} */ (gl.createProgram());
    for (const [sort, text] of /** @type {[number, string][]} */ ([[gl.VERTEX_SHADER, VERTEX], [gl.FRAGMENT_SHADER, FRAGMENT]])) {
      const shader = /** @type {WebGLShader} */ (gl.createShader(sort));
      gl.shaderSource(shader, text);
      gl.compileShader(shader);
      gl.attachShader(program, shader);
    }
    gl.linkProgram(program);
    gl.useProgram(program);
    gl.enable(gl.BLEND);
    gl.blendFunc(gl.ONE, gl.ONE);
    gl.clearColor(0.05, 0.075, 0.1, 1);
    this.uniforms = ["scale", "shift", "pixels"].map((name) => gl.getUniformLocation(program, name));
    this.buffers = ["cell", "colour"].map((name) => {
      const at = gl.getAttribLocation(program, name);
      const buffer = gl.createBuffer();
      gl.bindBuffer(gl.ARRAY_BUFFER, buffer);
      gl.enableVertexAttribArray(at);
      gl.vertexAttribPointer(at, 3, name === "cell" ? gl.FLOAT : gl.UNSIGNED_BYTE, name !== "cell", 0, 0);
      return buffer;
    });
    this.count = 0;
  }

  /** @param {Float32Array} cells */
  place(cells) {
    const gl = this.gl;
    this.count = cells.length / 3;
    gl.bindBuffer(gl.ARRAY_BUFFER, this.buffers[0]);
    gl.bufferData(gl.ARRAY_BUFFER, cells, gl.STATIC_DRAW);
    gl.bindBuffer(gl.ARRAY_BUFFER, this.buffers[1]);
    gl.bufferData(gl.ARRAY_BUFFER, cells.length, gl.STREAM_DRAW);
  }

  /** @param {Uint8Array} colours @param {number} scale of pixels in a mm @param {Extent} extent */
  draw(colours, scale, extent) {
    const gl = this.gl;
    const { width, height } = gl.canvas;
    gl.viewport(0, 0, width, height);
    gl.clear(gl.COLOR_BUFFER_BIT);
    gl.bindBuffer(gl.ARRAY_BUFFER, this.buffers[1]);
    gl.bufferSubData(gl.ARRAY_BUFFER, 0, colours);
    const [x, y] = [(2 * scale) / width, (2 * scale) / height];
    gl.uniform2f(this.uniforms[0], x, y);
    gl.uniform2f(this.uniforms[1], -x * (extent.left + extent.wide / 2), -y * (extent.low + extent.high / 2));
    gl.uniform1f(this.uniforms[2], scale);
    gl.drawArrays(gl.POINTS, 0, this.count);
  }
}

/** Draws points where there is no WebGL. */
class Dots {
  /** @param {CanvasRenderingContext2D} context */
  constructor(context) {
    this.context = context;
    /** @type {Float32Array} */ this.cells = new Float32Array();
  }

  /** @param {Float32Array} cells */
  place(cells) {
    this.cells = cells;
  }

  /** @param {Uint8Array} colours @param {number} scale of pixels in a mm @param {Extent} extent */
  draw(colours, scale, extent) {
    const { context, cells } = this;
    const { width, height } = context.canvas;
    context.globalCompositeOperation = "source-over";
    context.fillStyle = "#0d131a";
    context.fillRect(0, 0, width, height);
    const [left, low] = [extent.left + extent.wide / 2, extent.low + extent.high / 2];
    for (let at = 0; at < cells.length; at += 3) {
      const radius = Math.max(2.5, (cells[at + 2] * scale) / 2);
      const [red, green, blue] = [colours[at], colours[at + 1], colours[at + 2]];
      context.fillStyle = red + green + blue ? `rgb(${red},${green},${blue})` : "#27323c";
      context.beginPath();
      context.arc(width / 2 + (cells[at] - left) * scale, height / 2 - (cells[at + 1] - low) * scale, radius, 0, 7);
      context.fill();
    }
  }
}

class NightGlow extends HTMLElement {
  constructor() {
    super();
    /** @type {Uint8Array | null} */ this.newest = null;
    /** @type {Uint8Array | null} */ this.painted = null;
    /** @type {Float32Array} */ this.cells = new Float32Array();
    /** @type {[string, number, number][]} */ this.names = [];
    /** @type {Extent} */ this.extent = { left: 0, low: 0, wide: 1, high: 1 };
    this.stamp = -1;
    this.asking = false;
    this.due = false;
    /** @type {WebSocket | null} */ this.socket = null;
    this.shown = 0;
  }

  connectedCallback() {
    if (this.socket) return;
    this.classList.add("drawn");
    this.canvas = document.createElement("canvas");
    this.canvas.setAttribute("role", "img");
    this.canvas.setAttribute("aria-label", "The display in light: every cell at its place, in the colour it has now");
    this.replaceChildren(this.canvas);
    this.prepare();
    this.canvas.addEventListener("webglcontextlost", (event) => event.preventDefault());
    this.canvas.addEventListener("webglcontextrestored", () => {
      this.prepare();
      this.painter?.place(this.cells);
      this.soon();
    });
    this.watching = new ResizeObserver(() => this.soon());
    this.watching.observe(this);
    this.listen();
  }

  disconnectedCallback() {
    this.watching?.disconnect();
    const socket = this.socket;
    this.socket = null;
    socket?.close();
  }

  prepare() {
    const canvas = /** @type {HTMLCanvasElement} */ (this.canvas);
    const plain = new URLSearchParams(location.search).get("canvas") === "2d";
    const gl = plain ? null : canvas.getContext("webgl", { alpha: false, antialias: false });
    const flat = gl ? null : canvas.getContext("2d");
    this.painter = gl ? new Lamps(gl) : flat ? new Dots(flat) : null;
    this.dataset.painter = gl ? "webgl" : "2d";
  }

  async fetchPlaces() {
    if (this.asking) return;
    this.asking = true;
    try {
      /** @type {Places} */
      const places = await (await fetch(this.dataset.places ?? "")).json();
      this.cells = Float32Array.from(places.cells);
      this.names = places.names;
      this.stamp = places.stamp;
      this.extent = extentOf(this.cells);
      const shape = Math.min(Math.max(this.extent.wide / this.extent.high, LEAST_SHAPE), MOST_SHAPE);
      this.style.aspectRatio = shape.toFixed(3);
      this.painter?.place(this.cells);
      this.label();
      this.soon();
    } catch {
      // The next colours ask again.
    }
    setTimeout(() => (this.asking = false), AGAIN_MS);
  }

  listen() {
    const socket = new WebSocket(new URL(this.dataset.stream ?? "", location.href.replace(/^http/, "ws")));
    this.socket = socket;
    socket.binaryType = "arraybuffer";
    socket.onmessage = (event) => {
      if (typeof event.data === "string") {
        socket.send("s");
        document.dispatchEvent(new CustomEvent("night:state", { detail: JSON.parse(event.data) }));
        return;
      }
      this.newest = new Uint8Array(event.data);
      this.soon();
    };
    socket.onclose = () => {
      if (this.socket === socket) setTimeout(() => this.isConnected && this.socket === socket && this.listen(), AGAIN_MS);
    };
  }

  /** Draw before the next picture of the screen, once however much has come until then. */
  soon() {
    if (this.due) return;
    this.due = true;
    requestAnimationFrame(() => {
      this.due = false;
      this.paint();
    });
    // A page that nobody sees is given no pictures, so it asks for no colours either.
  }

  paint() {
    const newest = this.newest;
    if (newest && newest !== this.painted && this.socket?.readyState === WebSocket.OPEN) {
      this.painted = newest;
      this.socket.send("f");
      this.shown += 1;
      this.dataset.shown = String(this.shown);
    }
    const canvas = this.canvas;
    if (!newest || !canvas) return;
    const stamp = new DataView(newest.buffer).getUint32(0, true);
    if (stamp !== this.stamp || newest.length !== HEADER + this.cells.length) {
      void this.fetchPlaces();
      return;
    }
    const dense = Math.min(devicePixelRatio, 2);
    const [width, height] = [Math.round(this.clientWidth * dense), Math.round(this.clientHeight * dense)];
    if (canvas.width !== width || canvas.height !== height) {
      canvas.width = width;
      canvas.height = height;
      this.label();
    }
    this.painter?.draw(newest.subarray(HEADER), this.scale() * dense, this.extent);
  }

  /** Return how many CSS pixels a mm has. */
  scale() {
    return Math.min(this.clientWidth / this.extent.wide, this.clientHeight / this.extent.high) / MARGIN;
  }

  /** Write the strings' names where they begin. */
  label() {
    for (const old of this.querySelectorAll(".night-name")) old.remove();
    const { left, low, wide, high } = this.extent;
    /** @type {HTMLElement[]} */ const tags = [];
    for (const [name, x, y] of this.names) {
      const tag = document.createElement("p");
      tag.className = "night-name";
      tag.textContent = name;
      const across = this.clientWidth / 2 + (x - left - wide / 2) * this.scale();
      tag.style.left = `${Math.min(Math.max(across, 40), this.clientWidth - 40)}px`;
      const down = this.clientHeight / 2 - (y - low - high / 2) * this.scale();
      this.append(tag);
      // Below where the string begins, else above, else a line farther; where there is no room it goes unnamed.
      const free = [0, -2.6, 1.2, -3.8].find((lines) => {
        const top = down + lines * LINE_PX;
        tag.style.top = `${Math.min(top, this.clientHeight - 2 * LINE_PX)}px`;
        const mine = tag.getBoundingClientRect();
        return top > -LINE_PX && !tags.some((earlier) => touching(mine, earlier.getBoundingClientRect()));
      });
      if (free === undefined) tag.remove();
      else tags.push(tag);
    }
  }
}

/** @param {DOMRect} one @param {DOMRect} other @returns {boolean} */
const touching = (one, other) =>
  one.right >= other.left && one.left <= other.right && one.bottom >= other.top && one.top <= other.bottom;

/** @param {Float32Array} cells @returns {Extent} */
function extentOf(cells) {
  let [left, low, right, top] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let at = 0; at < cells.length; at += 3) {
    const around = cells[at + 2];
    left = Math.min(left, cells[at] - around);
    right = Math.max(right, cells[at] + around);
    low = Math.min(low, cells[at + 1] - around);
    top = Math.max(top, cells[at + 1] + around);
  }
  return left < right ? { left, low, wide: right - left, high: top - low } : { left: 0, low: 0, wide: 1, high: 1 };
}

customElements.define("night-glow", NightGlow);

export {};
