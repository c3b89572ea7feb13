// Mouse, pen, fingers and keys on the stage, turned into what is meant: pick, drag, drop, pan, zoom, mark, step.

/**
 * @typedef {{
 *   pick: (left: number, top: number, reach: number) => boolean, drag: (left: number, top: number) => void, drop: () => void,
 *   pan: (right: number, down: number) => void, zoom: (times: number, left?: number, top?: number) => void,
 *   mark: (left: number, top: number) => void, hover: (left: number, top: number, straight: boolean) => void,
 *   marking: () => boolean, arrow: (right: number, up: number) => void, key: (key: string) => boolean }} Meant
 */

const SLACK_PX = 4;
const FINGER_PX = 22;
const MOUSE_PX = 9;
const KEY_PX = 40;

/** @param {HTMLElement} stage @param {Meant} meant */
export function hands(stage, meant) {
  /** @type {Map<number, [number, number]>} */
  const down = new Map();
  /** @type {"" | "wait" | "drag" | "pan" | "pinch"} */
  let doing = "";
  let picked = false;
  /** @type {[number, number]} */
  let from = [0, 0];

  /** @param {PointerEvent | WheelEvent} event @returns {[number, number]} */
  function at(event) {
    const box = stage.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  }

  stage.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    stage.focus({ preventScroll: true });
    try {
      stage.setPointerCapture(event.pointerId);
    } catch {
      // a pointer that is gone already
    }
    down.set(event.pointerId, at(event));
    from = at(event);
    if (down.size === 2) {
      if (doing === "drag") meant.drop();
      doing = "pinch";
      return;
    }
    doing = "wait";
    picked = !meant.marking() && meant.pick(...from, event.pointerType === "mouse" ? MOUSE_PX : FINGER_PX);
  });

  stage.addEventListener("pointermove", (event) => {
    const now = at(event);
    const before = down.get(event.pointerId);
    if (!before) {
      if (meant.marking()) meant.hover(...now, event.shiftKey);
      return;
    }
    if (doing === "pinch") {
      const other = [...down].find(([id]) => id !== event.pointerId)?.[1] ?? before;
      const was = Math.hypot(before[0] - other[0], before[1] - other[1]);
      const is = Math.hypot(now[0] - other[0], now[1] - other[1]);
      meant.pan((now[0] - before[0]) / 2, (now[1] - before[1]) / 2);
      if (was > 10) meant.zoom(is / was, (now[0] + other[0]) / 2, (now[1] + other[1]) / 2);
    } else {
      if (doing === "wait" && Math.hypot(now[0] - from[0], now[1] - from[1]) > SLACK_PX) doing = picked ? "drag" : "pan";
      if (doing === "drag") meant.drag(...now);
      if (doing === "pan") meant.pan(now[0] - before[0], now[1] - before[1]);
    }
    down.set(event.pointerId, now);
  });

  /** @param {PointerEvent} event */
  function up(event) {
    if (!down.delete(event.pointerId)) return;
    if (doing === "drag") meant.drop();
    if (doing === "wait" && event.type === "pointerup" && meant.marking()) {
      const [left, top] = at(event);
      meant.hover(left, top, event.shiftKey);
      meant.mark(left, top);
    }
    doing = down.size ? "pan" : "";
  }
  stage.addEventListener("pointerup", up);
  stage.addEventListener("pointercancel", up);

  stage.addEventListener(
    "wheel",
    (event) => {
      // A page that is longer than the window has to scroll; the stage zooms once it has been taken into hand.
      if (!event.ctrlKey && stage.getRootNode() instanceof ShadowRoot && /** @type {ShadowRoot} */ (stage.getRootNode()).activeElement !== stage) return;
      event.preventDefault();
      meant.zoom(Math.exp(-Math.sign(event.deltaY) * Math.min(0.25, Math.abs(event.deltaY) / 400)), ...at(event));
    },
    { passive: false },
  );

  stage.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const times = event.shiftKey ? 10 : 1;
    /** @type {Record<string, [number, number]>} */
    const arrows = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
    if (event.key in arrows) {
      const [right, up] = arrows[event.key];
      meant.arrow(right * times, up * times);
    } else if (event.key === "+" || event.key === "=") meant.zoom(1.25);
    else if (event.key === "-") meant.zoom(0.8);
    else if (!meant.key(event.key)) return;
    event.preventDefault();
  });
}

/** @param {Meant} meant @param {number} right @param {number} up Move the view, the way the arrow points. */
export function panBy(meant, right, up) {
  meant.pan(-right * KEY_PX, up * KEY_PX);
}
