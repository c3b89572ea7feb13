// The strip under the drawing: what is selected or being marked, its numbers as fields, and what can be done with it.

/** @typedef {{name: string, label: string, value?: string, choices?: [string, string][], kept?: boolean}} Field `kept`: told only once it was changed. */
/** @typedef {{words: string, trouble?: string, fields?: Field[], buttons?: {words: string, main?: boolean, act: (values: Record<string, string>) => void}[]}} Tray */

/** @param {Element} one @returns {string} What a control is, to find it again in another strip. */
const named = (one) => `${one.getAttribute("name") ?? ""} ${one.tagName === "BUTTON" ? one.textContent : ""}`;

/**
 * @param {HTMLElement} place @param {Tray} tray @param {string} key What it is about: typed values stay while that is the same.
 * @param {() => void} away Takes the focus where what had it in the strip is gone.
 */
export function showTray(place, tray, key, away) {
  if (place.dataset.key === key) {
    for (const [css, told] of [["p", tray.words], [".why", tray.trouble ?? ""]]) {
      const words = place.querySelector(css);
      if (words && words.textContent !== told) words.textContent = told;
    }
    for (const { name, value, kept } of tray.fields ?? []) {
      const control = place.querySelector(`input[name="${name}"]`);
      if (kept && control instanceof HTMLInputElement && control.value === control.defaultValue) control.defaultValue = control.value = value ?? "";
    }
    return;
  }
  place.dataset.key = key;
  const form = document.createElement("form");
  const words = document.createElement("p");
  words.textContent = tray.words;
  const why = document.createElement("p");
  why.className = "why";
  why.setAttribute("role", "alert");
  why.textContent = tray.trouble ?? "";
  form.append(words, why, ...(tray.fields ?? []).map(field));
  const buttons = (tray.buttons ?? []).map((one, i) => {
    const button = document.createElement("button");
    button.type = i === 0 && one.main ? "submit" : "button";
    button.className = one.main ? "main" : "";
    button.textContent = one.words;
    if (button.type === "button") button.addEventListener("click", () => one.act(values(form)));
    return button;
  });
  form.append(...buttons);
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    event.stopPropagation();
    const first = tray.buttons?.[0];
    if (first?.main) first.act(values(form));
  });
  const root = place.getRootNode();
  const held = root instanceof ShadowRoot ? root.activeElement : null;
  const again = held && place.contains(held) ? named(held) : null;
  place.replaceChildren(form);
  if (again === null) return;
  const same = [...form.querySelectorAll("input, select, button")].find((one) => named(one) === again);
  if (same instanceof HTMLElement) same.focus({ preventScroll: true });
  else away();
}

/** @param {HTMLFormElement} form @returns {Record<string, string>} */
function values(form) {
  /** @type {Record<string, string>} */
  const made = {};
  for (const [key, value] of new FormData(form)) {
    const control = form.elements.namedItem(key);
    if (control instanceof HTMLInputElement && control.dataset.kept !== undefined && control.value === control.defaultValue) continue;
    made[key] = String(value);
  }
  return made;
}

/** @param {Field} one @returns {HTMLElement} */
function field(one) {
  const label = document.createElement("label");
  label.htmlFor = `tray-${one.name}`;
  label.textContent = one.label;
  const control = document.createElement(one.choices ? "select" : "input");
  control.id = label.htmlFor;
  control.name = one.name;
  if (control instanceof HTMLSelectElement) {
    for (const [value, words] of one.choices ?? []) control.append(new Option(words, value, false, value === one.value));
  } else {
    control.defaultValue = one.value ?? "";
    if (one.kept) control.dataset.kept = "";
    control.autocomplete = "off";
    control.spellcheck = false;
  }
  const made = document.createElement("span");
  made.className = "field";
  made.append(label, control);
  return made;
}
