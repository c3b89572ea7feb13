// Every prop as a glowing point on one canvas: WebGL, and plain 2D where there is none. The one that is selected is drawn by
// what lies above, so that nothing is drawn anew here while it is dragged.

/** @typedef {import("./place_view.js").View} View @typedef {import("./place_scene.js").Scene} Scene */
/** @typedef {{load: (scene: Scene) => void, draw: (view: View, held: number) => void, way: string}} Points */

const LEAST_PX = 5;

const VERTEX = `
attribute vec2 at; attribute float radius; attribute vec3 colour;
uniform vec2 middle; uniform vec2 scale; uniform float k; uniform float least;
varying vec3 light; varying float core;
void main() {
  float disc = max(2.0 * radius * k, least);
  float all = min(disc * 1.9 + 6.0, 500.0);
  gl_Position = vec4((at - middle) * scale, 0.0, 1.0);
  gl_PointSize = all;
  core = disc / all;
  light = colour;
}`;
const FRAGMENT = `
precision mediump float;
varying vec3 light; varying float core;
void main() {
  float away = length(gl_PointCoord - 0.5) * 2.0;
  if (away > 1.0) discard;
  float inside = 1.0 - smoothstep(core * 0.92, core, away);
  float rim = (1.0 - smoothstep(core, core * 1.12, away)) * (1.0 - inside);
  float halo = pow(max(0.0, (1.0 - away) / max(0.05, 1.0 - core)), 2.0) * 0.3 * (1.0 - inside);
  vec3 lamp = mix(light, vec3(1.0), 0.35 * (1.0 - away / core));
  gl_FragColor = vec4(lamp * inside + light * halo, clamp(inside + 0.55 * rim + 0.4 * halo, 0.0, 1.0));
}`;

/** @param {HTMLCanvasElement} canvas @returns {Points} */
export function pointsOn(canvas) {
  const gl = quick() ? canvas.getContext("webgl", { antialias: false, alpha: true, premultipliedAlpha: true }) : null;
  return gl ? shaded(canvas, gl) : flat(canvas);
}

/** @returns {boolean} Whether there is WebGL that is not imitated by the processor, where a frame takes longer than in plain 2D. */
function quick() {
  const gl = document.createElement("canvas").getContext("webgl", { failIfMajorPerformanceCaveat: true });
  if (!gl) return false;
  const known = gl.getExtension("WEBGL_debug_renderer_info");
  const name = known ? String(gl.getParameter(known.UNMASKED_RENDERER_WEBGL)) : "";
  gl.getExtension("WEBGL_lose_context")?.loseContext();
  return !/swiftshader|llvmpipe|softpipe|software|basic render/i.test(name);
}

/** @param {HTMLCanvasElement} canvas @param {View} view @returns {number} Device pixels a CSS pixel. */
function sized(canvas, view) {
  const ratio = Math.min(devicePixelRatio || 1, 2);
  const [wide, high] = [Math.round(view.wide * ratio), Math.round(view.high * ratio)];
  if (canvas.width !== wide || canvas.height !== high) {
    canvas.width = wide;
    canvas.height = high;
  }
  return ratio;
}

/** @param {HTMLCanvasElement} canvas @param {WebGLRenderingContext} gl @returns {Points} */
function shaded(canvas, gl) {
  /** @type {Scene | null} */
  let scene = null;
  /** @type {WebGLProgram} */
  let program;
  const names = ["at", "radius", "colour"];
  /** @type {WebGLBuffer[]} */
  let buffers = [];

  function ready() {
    program = /** @type {WebGLProgram} */ (gl.createProgram());
    for (const [sort, text] of /** @type {[number, string][]} */ ([[gl.VERTEX_SHADER, VERTEX], [gl.FRAGMENT_SHADER, FRAGMENT]])) {
      const shader = /** @type {WebGLShader} */ (gl.createShader(sort));
      gl.shaderSource(shader, text);
      gl.compileShader(shader);
      gl.attachShader(program, shader);
    }
    names.forEach((name, place) => gl.bindAttribLocation(program, place, name));
    gl.linkProgram(program);
    gl.useProgram(program);
    gl.enable(gl.BLEND);
    gl.blendFunc(gl.ONE, gl.ONE_MINUS_SRC_ALPHA);
    buffers = names.map(() => /** @type {WebGLBuffer} */ (gl.createBuffer()));
    if (scene) load(scene);
  }

  let drawn = "";
  let version = 0;

  /** @param {Scene} made */
  function load(made) {
    scene = made;
    version += 1;
    const parts = [made.at.subarray(0, 2 * made.props), made.radius, made.colour];
    parts.forEach((part, place) => {
      gl.bindBuffer(gl.ARRAY_BUFFER, buffers[place]);
      gl.bufferData(gl.ARRAY_BUFFER, part, place ? gl.STATIC_DRAW : gl.DYNAMIC_DRAW);
      gl.enableVertexAttribArray(place);
      gl.vertexAttribPointer(place, [2, 1, 3][place], gl.FLOAT, false, 0, 0);
    });
  }

  canvas.addEventListener("webglcontextlost", (event) => event.preventDefault());
  canvas.addEventListener("webglcontextrestored", ready);
  ready();
  return {
    way: "webgl",
    load,
    draw(view, held) {
      const ratio = sized(canvas, view);
      const wanted = [view.x, view.y, view.k, canvas.width, canvas.height, held, version].join();
      if (wanted === drawn) return;
      drawn = wanted;
      gl.viewport(0, 0, canvas.width, canvas.height);
      gl.clearColor(0, 0, 0, 0);
      gl.clear(gl.COLOR_BUFFER_BIT);
      if (!scene || !scene.props) return;
      gl.uniform2f(gl.getUniformLocation(program, "middle"), view.x, view.y);
      gl.uniform2f(gl.getUniformLocation(program, "scale"), (2 * view.k) / view.wide, (2 * view.k) / view.high);
      gl.uniform1f(gl.getUniformLocation(program, "k"), view.k * ratio);
      gl.uniform1f(gl.getUniformLocation(program, "least"), LEAST_PX * ratio);
      gl.bindBuffer(gl.ARRAY_BUFFER, buffers[0]);
      gl.bufferSubData(gl.ARRAY_BUFFER, 0, scene.at.subarray(0, 2 * scene.props));
      const one = held >= 0 && held < scene.props ? held : scene.props;
      gl.drawArrays(gl.POINTS, 0, one);
      if (one + 1 < scene.props) gl.drawArrays(gl.POINTS, one + 1, scene.props - one - 1);
    },
  };
}

/** @param {HTMLCanvasElement} canvas @returns {Points} */
function flat(canvas) {
  const pen = /** @type {CanvasRenderingContext2D} */ (canvas.getContext("2d"));
  /** @type {Scene | null} */
  let scene = null;
  let drawn = "";
  let version = 0;
  /** @type {Map<string, HTMLCanvasElement>} */
  const lamps = new Map();

  /** @param {number} radius In device pixels. @param {string} colour @returns {HTMLCanvasElement} A lamp and its glow. */
  function lamp(radius, colour) {
    const key = `${radius} ${colour}`;
    const known = lamps.get(key);
    if (known) return known;
    if (lamps.size > 200) lamps.clear();
    const made = document.createElement("canvas");
    const all = Math.ceil(1.9 * radius + 6);
    made.width = made.height = 2 * all;
    const own = /** @type {CanvasRenderingContext2D} */ (made.getContext("2d"));
    const glow = own.createRadialGradient(all, all, radius, all, all, all);
    glow.addColorStop(0, `rgb(${colour} / 0.35)`);
    glow.addColorStop(1, `rgb(${colour} / 0)`);
    own.fillStyle = glow;
    own.fillRect(0, 0, 2 * all, 2 * all);
    own.beginPath();
    own.arc(all, all, radius, 0, 7);
    const core = own.createRadialGradient(all, all, 0, all, all, radius);
    core.addColorStop(0, "rgb(255 255 255)");
    core.addColorStop(0.8, `rgb(${colour})`);
    own.fillStyle = core;
    own.fill();
    own.strokeStyle = "rgb(0 0 0 / 0.5)";
    own.stroke();
    lamps.set(key, made);
    return made;
  }

  /** @param {CanvasRenderingContext2D} on @param {View} view @param {number} ratio @param {number} item */
  function dot(on, view, ratio, item) {
    const made = /** @type {Scene} */ (scene);
    const [left, top] = view.screen(made.at[2 * item], made.at[2 * item + 1]);
    const radius = Math.round(2 * Math.min(Math.max(made.radius[item] * view.k, LEAST_PX / 2) * ratio, 500)) / 2;
    if (left < -radius || top < -radius || left > view.wide + radius || top > view.high + radius) return;
    const colour = Array.from(made.colour.subarray(3 * item, 3 * item + 3), (v) => Math.round(v * 255)).join(" ");
    const image = lamp(radius, colour);
    on.drawImage(image, left * ratio - image.width / 2, top * ratio - image.height / 2);
  }

  return {
    way: "2d",
    load(made) {
      scene = made;
      version += 1;
    },
    draw(view, held) {
      const ratio = sized(canvas, view);
      const wanted = [view.x, view.y, view.k, canvas.width, canvas.height, held, version].join();
      if (wanted === drawn) return;
      drawn = wanted;
      pen.clearRect(0, 0, canvas.width, canvas.height);
      for (let item = 0; item < (scene?.props ?? 0); item++) if (item !== held) dot(pen, view, ratio, item);
    },
  };
}
