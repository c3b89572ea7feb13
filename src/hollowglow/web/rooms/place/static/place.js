// <place-yard>: the drawing of the Place room. The server's picture stands in it until this script is there.

import { boxOf } from "./place_box.js";
import { hands, panBy } from "./place_hands.js";
import { Over } from "./place_over.js";
import { pointsOn } from "./place_points.js";
import { Scene } from "./place_scene.js";
import { Sender } from "./place_send.js";
import { KEYS, SHELL, STEPS } from "./place_shell.js";
import { crossWords, goingRound, putDown, stillPut, trayOf } from "./place_tools.js";
import { showTray } from "./place_tray.js";
import { View, keepView, keptView, told, typed } from "./place_view.js";

/** @typedef {"move" | "line" | "two" | "four" | "put"} Tool */

class PlaceYard extends HTMLElement {
  static observedAttributes = ["data-stamp", "data-string", "data-units", "data-shut"];

  views = { yard: new View(), raw: new View() };
  /** @type {Tool} */
  tool = "move";
  /** @type {Scene | null} */
  scene = null;
  /** @type {number} */
  selected = -1;
  held = false;
  /** @type {Map<string, [number, number]>} */
  pending = new Map();
  /** @type {number[][]} */
  marked = [];
  /** @type {number[] | null} */
  cursor = null;
  entering = false;
  dressed = false;
  trouble = "";
  /** What was painted last. */
  seen = "";
  size = { wide: 0, high: 0 };
  step = 1;
  fresh = true;
  asked = 0;
  loads = 0;
  /** @type {import("./place_tools.js").Source[]} */
  sources = [];

  connectedCallback() {
    if (this.shadowRoot) return;
    const root = this.attachShadow({ mode: "open" });
    root.append(document.createRange().createContextualFragment(SHELL));
    /** @template {Element} T @param {string} css @returns {T} */
    const one = (css) => /** @type {T} */ (root.querySelector(css));
    this.stage = /** @type {HTMLElement} */ (one(".stage"));
    this.photo = /** @type {HTMLImageElement} */ (one("img"));
    this.tray = /** @type {HTMLElement} */ (one(".tray"));
    this.status = /** @type {HTMLElement} */ (one(".say"));
    this.points = pointsOn(/** @type {HTMLCanvasElement} */ (one("canvas")));
    this.dataset.way = this.points.way;
    this.over = new Over(/** @type {SVGSVGElement} */ (one("svg.ground")), /** @type {SVGSVGElement} */ (one("svg.over")));
    this.sender = new Sender((words) => this.refused(words));
    this.sender.done = () => void this.load();
    root.addEventListener("click", (event) => this.pressed(event));
    root.addEventListener("change", (event) => {
      if (event.target instanceof HTMLSelectElement && event.target.name === "step") this.step = Number(event.target.value);
    });
    hands(this.stage, this.meant());
    this.stage.addEventListener("blur", () => void this.sender?.flush());
    addEventListener("pagehide", () => void this.sender?.flush());
    document.addEventListener("keydown", (event) => {
      if (event.ctrlKey || event.metaKey) void this.sender?.flush();
    }, true);
    new ResizeObserver(() => this.sized()).observe(this.stage);
    // Before its styles are there the stage has no size.
    for (const word of ["load", "error"]) one("link").addEventListener(word, () => this.styled());
    this.steps();
    if (keptView(this.views.yard)) this.fresh = false;
  }

  styled() {
    this.dressed = true;
    this.sized();
    void this.load();
  }

  attributeChangedCallback() {
    if (!this.shadowRoot) return;
    this.steps();
    void this.load();
  }

  /** @returns {"metric" | "us"} */
  get units() {
    return this.dataset.units === "us" ? "us" : "metric";
  }

  get view() {
    return this.tool === "two" || this.tool === "four" ? this.views.raw : this.views.yard;
  }

  get shut() {
    return this.hasAttribute("data-shut");
  }

  steps() {
    const select = /** @type {HTMLSelectElement} */ (this.shadowRoot?.querySelector("select[name=step]"));
    if (select.dataset.units === this.units) return;
    select.dataset.units = this.units;
    select.replaceChildren(...STEPS[this.units].map(([value, words]) => new Option(words, String(value), value > 0.02 && value < 0.06, value > 0.02 && value < 0.06)));
    this.step = Number(select.value);
  }

  /** Take what the server tells; what is being dragged, or not yet written, stays where it is. */
  async load() {
    if (!this.dressed || this.held || this.sender?.busy) return;
    const asked = ++this.asked;
    const string = this.dataset.string ?? "";
    const answer = await fetch(`/place.json?string=${encodeURIComponent(string)}`).catch(() => null);
    const told = answer?.ok ? await answer.json() : null;
    if (!told?.room?.scene || asked !== this.asked || this.held) return;
    /** @type {string} */
    const key = this.scene && this.selected >= 0 ? this.scene.key(this.selected) : "";
    const scene = new Scene(told.room.scene, string);
    if (told.current && !this.sender?.busy) this.pending.clear();
    for (const [item, [x, y]] of this.pending) {
      const found = scene.find(item);
      if (found >= 0) scene.put(found, x, y);
    }
    this.scene = scene;
    this.sources = told.current ? told.room.sources : stillPut(told.room.sources, this.sources);
    this.loads = (this.loads ?? 0) + 1;
    this.selected = key ? scene.find(key) : -1;
    this.points?.load(scene);
    this.over?.load(scene);
    await this.backdrop();
    if (this.fresh && this.views.yard.wide) this.fit();
    this.dispatchEvent(new CustomEvent("place:loaded"));
    this.paint();
  }

  async backdrop() {
    const own = this.scene?.data.backdrop ?? null;
    for (const tool of ["two", "four"]) {
      const button = /** @type {HTMLButtonElement} */ (this.shadowRoot?.querySelector(`[data-tool=${tool}]`));
      button.hidden = !own;
    }
    if (!own) {
      this.photo?.setAttribute("hidden", "");
      if (this.tool === "two" || this.tool === "four") this.turn("move");
      return;
    }
    if (this.photo && this.photo.dataset.of !== own.picture) {
      const answer = await fetch("/place/backdrop.json").catch(() => null);
      const size = await answer?.json().catch(() => null);
      if (!size?.width) {
        this.say(size?.error?.message ?? "The backdrop cannot be shown.");
        return;
      }
      this.size = { wide: size.width, high: size.height };
      this.photo.dataset.of = own.picture;
      this.photo.src = `/place/backdrop.jpg?of=${encodeURIComponent(own.picture)}`;
      await this.photo.decode().catch(() => undefined);
      this.views.raw.fit([0, -this.size.high, this.size.wide, 0]);
      this.fresh = this.fresh || !this.scene?.props;
    }
    this.photo?.removeAttribute("hidden");
  }

  sized() {
    if (!this.dressed) return;
    const first = !this.views?.yard.wide || this.views.yard.high === 400;
    for (const view of Object.values(this.views ?? {})) {
      view.wide = this.stage?.clientWidth ?? 600;
      view.high = this.stage?.clientHeight ?? 400;
    }
    if (first && this.scene && this.fresh) this.fit();
    if (this.size?.wide && first) this.views?.raw.fit([0, -this.size.high, this.size.wide, 0]);
    this.paint();
  }

  fit() {
    if (this.view === this.views.raw) return this.views.raw.fit([0, -(this.size.high || 1), this.size.wide || 1, 0]);
    this.views.yard.fit(boxOf(this.scene, this.size));
    this.fresh = false;
  }

  /** @param {string} words */
  say(words) {
    if (this.status && this.status.textContent !== words) this.status.textContent = words;
  }

  /** @param {string} words Why the server did not do it; everything goes back to where the file has it. */
  refused(words) {
    this.pending?.clear();
    this.trouble = words;
    this.say(words);
  }

  /** Draw at the next frame. */
  paint() {
    if (this.frame) return;
    this.frame = requestAnimationFrame(() => {
      this.frame = 0;
      this.drawn();
    });
  }

  drawn() {
    if (!this.scene || !this.points || !this.over || !this.photo || !this.tray) return;
    const { view, scene } = this;
    const raw = view === this.views?.raw;
    const shown = { scene, view, units: this.units, selected: this.selected, held: this.held ?? false, points: this.marked ?? [], cursor: this.cursor ?? null, tool: this.tool ?? "move", step: this.step ?? 1 };
    const canvas = /** @type {HTMLElement} */ (this.shadowRoot?.querySelector("canvas"));
    canvas.style.visibility = raw ? "hidden" : "visible";
    this.points.draw(view, this.tool === "move" ? this.selected : -1);
    const seen = `${view.x} ${view.y} ${view.k} ${view.wide} ${view.high} ${this.tool} ${this.units} ${this.loads} ${this.photo.naturalWidth}`;
    if (seen !== this.seen) {
      this.seen = seen;
      this.over.ground(shown);
      const matrix = raw ? [1, 0, 0, 0, -1, 0, 0, 0, 1] : scene.data.backdrop?.matrix;
      if (matrix && this.photo.naturalWidth) this.photo.style.transform = view.photograph(matrix, (this.size?.wide ?? 1) / this.photo.naturalWidth);
      this.photo.classList.toggle("dusk", !raw);
      keepView(this.views?.yard);
    }
    this.over.draw(shown);
    showTray(this.tray, ...trayOf(this), () => this.stage?.focus({ preventScroll: true }));
  }

  /** @param {Tool} tool */
  turn(tool) {
    void this.sender?.flush();
    this.tool = tool;
    this.marked = [];
    this.cursor = null;
    this.entering = false;
    this.trouble = "";
    for (const button of this.shadowRoot?.querySelectorAll("[data-tool]") ?? []) button.setAttribute("aria-pressed", String(button.getAttribute("data-tool") === tool));
    this.stage?.toggleAttribute("data-marking", tool !== "move");
    const keys = this.shadowRoot?.querySelector("#keys");
    if (keys) keys.textContent = tool === "move" ? KEYS.move : KEYS.mark;
    this.say("");
    this.paint();
  }

  /** @param {Event} event */
  pressed(event) {
    const button = event.target instanceof Element ? event.target.closest("button") : null;
    if (button?.dataset.tool) {
      this.turn(/** @type {Tool} */ (button.dataset.tool));
      // Pressed by a key, which has far to go from here to the drawing.
      if (event instanceof MouseEvent && event.detail === 0) this.stage?.focus({ preventScroll: true });
    }
    if (button?.dataset.do === "in") this.view.zoom(1.5);
    if (button?.dataset.do === "out") this.view.zoom(1 / 1.5);
    if (button?.dataset.do === "fit") this.fit();
    this.paint();
  }

  /** @param {number} item */
  select(item) {
    if (item !== this.selected) void this.sender?.flush();
    this.selected = item;
    this.entering = false;
    this.trouble = "";
    const scene = this.scene;
    if (scene && item >= 0) this.say(`${scene.words(item)}: ${told(scene.at[2 * item], this.units)} across, ${told(scene.at[2 * item + 1], this.units)} up`);
    else this.say("");
    this.paint();
  }

  /** @param {number} x @param {number} y Put what is selected at a place, here only. */
  put(x, y) {
    const scene = this.scene;
    if (!scene || this.selected < 0 || this.shut) return;
    scene.put(this.selected, x, y);
    this.pending?.set(scene.key(this.selected), [x, y]);
    this.paint();
  }

  /** @returns {Record<string, string>} The command that writes where what is selected is. */
  command() {
    const scene = /** @type {Scene} */ (this.scene);
    const [x, y] = [scene.at[2 * this.selected], scene.at[2 * this.selected + 1]];
    return { ...scene.command(this.selected), x: typed(x, this.units), y: typed(y, this.units) };
  }

  /** @returns {import("./place_hands.js").Meant} */
  meant() {
    /** @type {[number, number]} */
    let grip = [0, 0];
    return {
      pick: (left, top, reach) => {
        const item = this.scene?.nearest(this.view, left, top, reach) ?? -1;
        this.select(item);
        if (item < 0 || !this.scene) return false;
        const [x, y] = this.view.place(left, top);
        grip = [this.scene.at[2 * item] - x, this.scene.at[2 * item + 1] - y];
        return !this.shut;
      },
      drag: (left, top) => {
        this.held = true;
        const [x, y] = this.view.place(left, top);
        this.put(x + grip[0], y + grip[1]);
      },
      drop: () => {
        this.held = false;
        if (this.selected >= 0) void this.sender?.send(this.command());
        this.paint();
      },
      pan: (right, down) => {
        this.view.pan(right, down);
        this.paint();
      },
      zoom: (times, left, top) => {
        this.view.zoom(times, left, top);
        this.paint();
      },
      marking: () => this.tool !== "move" && !this.shut,
      hover: (left, top, straight) => {
        let [x, y] = this.view.place(left, top);
        const last = this.marked?.at(-1);
        if (straight && last) [x, y] = Math.abs(x - last[0]) > Math.abs(y - last[1]) ? [x, last[1]] : [last[0], y];
        this.cursor = [x, y];
        this.paint();
      },
      mark: () => this.mark(),
      arrow: (right, up) => {
        const step = this.view === this.views?.raw ? 1 : (this.step ?? 0.05);
        if (this.tool !== "move") {
          const [x, y] = this.cursor ?? this.view.middle(step);
          this.cursor = [x + right * step, y + up * step];
          this.say(crossWords(this));
          this.reveal(this.cursor);
          this.paint();
        } else if (this.selected < 0 || !this.scene) panBy(this.meant(), Math.sign(right), Math.sign(up));
        else if (!this.shut) {
          const at = this.scene.at;
          this.put(at[2 * this.selected] + right * step, at[2 * this.selected + 1] + up * step);
          this.reveal(at.subarray(2 * this.selected));
          this.sender?.later(this.command());
        }
      },
      key: (key) => this.key(key),
    };
  }

  mark() {
    const most = this.tool === "two" ? 2 : this.tool === "four" ? 4 : Infinity;
    if (!this.cursor || !this.marked || this.marked.length >= most) return;
    if (this.tool === "put") return void putDown(this);
    this.marked.push([...this.cursor]);
    if (this.tool === "four" && this.marked.length === 4) this.marked = goingRound(this.marked);
    this.say(trayOf(this)[0].words);
    this.paint();
  }

  /** @param {string} key @returns {boolean} Whether it means something here. */
  key(key) {
    const count = this.scene?.count ?? 0;
    const marking = this.tool !== "move";
    if (key === "0") this.fit();
    else if (key === "Escape") marking ? this.turn("move") : this.select(-1);
    else if (marking && key === " ") {
      this.cursor ??= this.view.middle(this.view === this.views.raw ? 1 : this.step);
      this.mark();
    }
    else if (marking && key === "Backspace") this.marked?.pop();
    else if (!marking && (key === "n" || key === "p") && count) {
      const step = key === "n" ? 1 : -1;
      const first = this.scene?.first() ?? 0;
      this.select(this.selected < 0 ? (step > 0 ? first : count - 1) : (this.selected + step + count) % count);
      this.reveal(/** @type {Scene} */ (this.scene).at.subarray(2 * this.selected));
    } else if (key === "Enter") {
      if (marking) /** @type {HTMLElement | null} */ (this.tray?.querySelector("select, input, button.main"))?.focus();
      else if (this.selected >= 0) this.enter();
      else return false;
    } else return false;
    this.paint();
    return true;
  }

  /** Show what is selected as numbers. */
  enter() {
    this.entering = true;
    this.drawn();
    /** @type {HTMLInputElement | null} */ (this.tray?.querySelector("input"))?.select();
  }

  /** Bring a place onto the stage. @param {ArrayLike<number>} place */
  reveal({ 0: x, 1: y }) {
    const [left, top] = this.view.screen(x, y);
    if (left > 20 && top > 20 && left < this.view.wide - 20 && top < this.view.high - 20) return;
    [this.view.x, this.view.y] = [x, y];
  }
}

customElements.define("place-yard", PlaceYard);
