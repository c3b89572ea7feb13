// Props of the numbered photograph, named by clicking on them; the radio fields beneath hold what was chosen.

/** Numbers and kinds of "1-6=float,7=acorn". @param {string} text @returns {[number, string][]} */
export function labelsOf(text) {
  /** @type {[number, string][]} */
  const found = [];
  for (const piece of text.split(",")) {
    const match = /^\s*(\d{1,6})\s*(?:(?:-|\.\.|–)\s*(\d{1,6})\s*)?=\s*(.+?)\s*$/.exec(piece);
    if (!match) continue;
    const first = Number(match[1]);
    const last = Math.min(Number(match[2] ?? match[1]), first + 10000);
    for (let number = first; number <= last; number++) found.push([number, match[3]]);
  }
  return found;
}

class PropNames extends HTMLElement {
  connectedCallback() {
    for (const prop of this.props()) {
      prop.hidden = false;
      prop.addEventListener("click", () => this.toggle(prop));
      prop.addEventListener("keydown", (event) => this.key(event, prop));
    }
    for (const note of this.querySelectorAll("[data-script]")) note.removeAttribute("hidden");
    this.addEventListener("change", (event) => {
      const input = event.target;
      if (!(input instanceof HTMLInputElement)) return;
      if (input.name === "labels") for (const [number, kind] of labelsOf(input.value)) this.choose(number, kind);
      if (input.name === "labels" || input.name.startsWith("of:")) this.show();
    });
    this.show();
  }

  /** @returns {HTMLButtonElement[]} */
  props() {
    return [...this.querySelectorAll("button.prop")].filter((b) => b instanceof HTMLButtonElement);
  }

  /** @returns {HTMLInputElement[]} */
  picks() {
    return [...this.querySelectorAll("input[name=pick]")].filter((i) => i instanceof HTMLInputElement);
  }

  /** @param {number} number @returns {HTMLInputElement[]} */
  fields(number) {
    return [...this.querySelectorAll(`input[name="of:${number}"]`)].filter((i) => i instanceof HTMLInputElement);
  }

  /** @param {number} number @param {string} kind */
  choose(number, kind) {
    for (const field of this.fields(number)) field.checked = field.value === kind;
  }

  /** @param {number} number */
  kindOf(number) {
    return this.fields(number).find((field) => field.checked)?.value ?? "";
  }

  /** What was typed counts more than what is chosen, so it goes once something else is chosen. */
  typedGoes() {
    const typed = this.querySelector("input[name=labels]");
    if (typed instanceof HTMLInputElement) typed.value = "";
  }

  /** @param {HTMLButtonElement} prop */
  toggle(prop) {
    const kind = this.picks().find((pick) => pick.checked)?.value ?? "";
    const number = Number(prop.dataset.number);
    this.typedGoes();
    this.choose(number, this.kindOf(number) === kind ? "" : kind);
    this.show();
  }

  /** @param {KeyboardEvent} event @param {HTMLButtonElement} prop */
  key(event, prop) {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const all = this.props();
    const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
    if (step) {
      event.preventDefault();
      all[(all.indexOf(prop) + step + all.length) % all.length].focus();
      return;
    }
    const number = Number(prop.dataset.number);
    if (event.key === "Backspace" || event.key === "Delete") {
      this.typedGoes();
      this.choose(number, "");
    } else {
      const pick = this.picks().find((one) => one.dataset.letters?.toLowerCase() === event.key.toLowerCase());
      if (!pick) return;
      pick.checked = true;
      this.typedGoes();
      this.choose(number, pick.value);
    }
    event.preventDefault();
    this.show();
  }

  show() {
    const letters = new Map(this.picks().map((pick) => [pick.value, pick.dataset.letters ?? ""]));
    let named = 0;
    for (const prop of this.props()) {
      const kind = this.kindOf(Number(prop.dataset.number));
      named += kind ? 1 : 0;
      const out = kind === this.dataset.leftOut;
      prop.classList.toggle("named", kind !== "");
      const words = prop.querySelector("span");
      if (words) words.textContent = letters.get(kind) ?? "";
      const trouble = prop.classList.contains("bad") ? ", cannot be measured" : "";
      const told = out ? "left out" : kind || "no kind yet";
      prop.setAttribute("aria-label", `Prop ${prop.dataset.number}${trouble}: ${told}`);
      prop.title = `${prop.dataset.number}: ${told}`;
    }
    const count = this.querySelector("[data-count]");
    if (count) count.textContent = `${named} of ${this.props().length} props named`;
  }
}

customElements.define("prop-names", PropNames);
