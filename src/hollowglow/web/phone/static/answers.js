// Answers that outlive a locked screen and a lost network: kept on the phone until the laptop has acknowledged them.

/**
 * @typedef {{id: string, [key: string]: unknown}} Answer
 * @typedef {{waiting: number, away: boolean, shut: boolean, kept: boolean}} State how many wait; whether the laptop is out
 *   of reach; whether it asks for its code again; whether they would outlive this page
 */

const PREFIX = "answer:";
const FIRST_WAIT_MS = 1000;
const LONGEST_WAIT_MS = 20000;
const PATIENCE_MS = 8000;

/** An id that no other answer has. `crypto.randomUUID` is missing on pages without encryption. @returns {string} */
export function makeId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** Where answers are kept if the browser allows no storage: until the page goes. @implements {Pick<Storage, "getItem">} */
class Memory {
  /** @type {Map<string, string>} */
  #held = new Map();
  get length() {
    return this.#held.size;
  }
  /** @param {number} index */
  key(index) {
    return [...this.#held.keys()][index] ?? null;
  }
  /** @param {string} key */
  getItem(key) {
    return this.#held.get(key) ?? null;
  }
  /** @param {string} key @param {string} value */
  setItem(key, value) {
    this.#held.set(key, value);
  }
  /** @param {string} key */
  removeItem(key) {
    this.#held.delete(key);
  }
}

/** @returns {Storage | null} */
function storage() {
  try {
    localStorage.setItem(PREFIX, "");
    localStorage.removeItem(PREFIX);
    return localStorage;
  } catch {
    return null;
  }
}

/**
 * The queue of this phone. Events: `change` (detail: State), `taken` and `refused` (detail: {answer, reply | words}).
 * Several tabs may send the same answer; its id makes that harmless.
 */
export class Answers extends EventTarget {
  #store = storage();
  #spare = new Memory();
  #sending = false;
  #again = false;
  #away = false;
  #shut = false;
  #wait = FIRST_WAIT_MS;
  #timer = 0;
  #count = 0;

  /** @param {string} address where answers are posted */
  constructor(address = "/answers") {
    super();
    this.address = address;
    addEventListener("online", () => this.send());
    addEventListener("pageshow", () => this.send());
    addEventListener("storage", () => this.#tell());
    document.addEventListener("visibilitychange", () => {
      if (document.visibilityState === "visible") this.send();
    });
  }

  /** The keys of what waits, oldest first. @returns {[Storage | Memory, string][]} */
  #keys() {
    /** @type {[Storage | Memory, string][]} */
    const found = [];
    for (const store of [this.#store, this.#spare]) {
      for (let i = 0; store && i < store.length; i += 1) {
        const key = store.key(i);
        if (key?.startsWith(PREFIX) && key !== PREFIX) found.push([store, key]);
      }
    }
    return found.sort((a, b) => (a[1] < b[1] ? -1 : 1));
  }

  /** @returns {State} */
  get state() {
    const waiting = this.#keys().length;
    return { waiting, away: this.#away, shut: this.#shut, kept: this.#store !== null && this.#spare.length === 0 };
  }

  /**
   * Keep an answer and send it as soon as that can be.
   * @param {Record<string, unknown>} what plain data
   * @returns {string} its id
   */
  give(what) {
    const answer = { ...what, id: makeId() };
    this.#count += 1;
    const order = `${String(Date.now()).padStart(15, "0")}-${String(this.#count).padStart(6, "0")}`;
    const key = `${PREFIX}${order}-${answer.id}`;
    try {
      if (this.#store === null) throw new Error("no storage");
      this.#store.setItem(key, JSON.stringify(answer));
    } catch {
      this.#spare.setItem(key, JSON.stringify(answer));
    }
    this.#tell();
    void this.send();
    return answer.id;
  }

  /** Send what waits, in order, until one does not go through. */
  async send() {
    if (this.#sending) {
      this.#again = true;
      return;
    }
    this.#sending = true;
    clearTimeout(this.#timer);
    do {
      this.#again = false;
      for (const [store, key] of this.#keys()) {
        if (!(await this.#post(store, key))) {
          this.#timer = setTimeout(() => this.send(), this.#wait);
          this.#wait = Math.min(2 * this.#wait, LONGEST_WAIT_MS);
          this.#again = false;
          break;
        }
        this.#wait = FIRST_WAIT_MS;
      }
    } while (this.#again);
    this.#sending = false;
    this.#tell();
  }

  /** @param {Storage | Memory} store @param {string} key @returns {Promise<boolean>} whether to go on with the next */
  async #post(store, key) {
    const body = store.getItem(key);
    if (body === null) return true;
    /** @type {Response} */
    let reply;
    /** @type {any} */
    let said;
    try {
      const headers = { "content-type": "application/json" };
      const signal = AbortSignal.timeout(PATIENCE_MS);
      reply = await fetch(this.address, { method: "POST", headers, body, signal, redirect: "error" });
      said = await reply.json().catch(() => null);
    } catch {
      this.#away = true;
      this.#tell();
      return false;
    }
    this.#shut = reply.status === 401 || reply.status === 403;
    // Only the workbench's own words let go of an answer; whatever else stands at this address by now may not.
    this.#away = !this.#shut && !(reply.ok ? said?.taken === true : reply.status === 422 && said?.error);
    if (this.#away || this.#shut) {
      this.#tell();
      return false;
    }
    store.removeItem(key);
    const answer = JSON.parse(body);
    const detail = reply.ok ? { answer, reply: said.answer } : { answer, words: said.error.message };
    this.dispatchEvent(new CustomEvent(reply.ok ? "taken" : "refused", { detail }));
    this.#tell();
    return true;
  }

  #tell() {
    this.dispatchEvent(new CustomEvent("change", { detail: this.state }));
  }
}

/** The one queue of a page. */
export const answers = new Answers();

/** Says how many answers wait, and why: `<answers-waiting>`. */
class AnswersWaiting extends HTMLElement {
  #refused = "";

  connectedCallback() {
    this.setAttribute("role", "status");
    this.classList.add("answers");
    for (const name of ["change", "taken", "refused"]) answers.addEventListener(name, this);
    this.#show();
    void answers.send();
  }

  disconnectedCallback() {
    for (const name of ["change", "taken", "refused"]) answers.removeEventListener(name, this);
  }

  /** What was refused is told until the next answer is taken. @param {Event} event */
  handleEvent(event) {
    if (event.type === "refused" && event instanceof CustomEvent) this.#refused = event.detail.words;
    if (event.type === "taken") this.#refused = "";
    this.#show();
  }

  #show() {
    const { waiting, away, shut, kept } = answers.state;
    const many = `${waiting} answer${waiting === 1 ? " waits" : "s wait"}`;
    const lasting = kept ? "kept on this phone" : "kept only while this page is open";
    const why = shut ? "the laptop asks for its code again" : away ? "the laptop is out of reach" : "on the way";
    const words = [this.#refused, waiting ? `${many} (${why}), ${lasting}.` : ""].filter(Boolean).join(" ");
    if (this.dataset.words === words) return;
    this.dataset.words = words;
    this.textContent = words;
    if (shut && waiting) {
      const link = document.createElement("a");
      link.href = "/";
      link.textContent = "Type the code";
      this.append(" ", link);
    }
  }
}
customElements.define("answers-waiting", AnswersWaiting);

// A form that answers works by itself; with script its answer is kept first.
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!(form instanceof HTMLFormElement) || form.dataset.answer === undefined) return;
  event.preventDefault();
  /** @type {Record<string, unknown>} */
  const what = {};
  for (const [key, value] of new FormData(form, event.submitter)) {
    if (key !== "id" && key !== "back") what[key] = String(value);
  }
  const id = answers.give(what);
  form.dispatchEvent(new CustomEvent("answer:kept", { bubbles: true, detail: { ...what, id } }));
});
