// Where the person is on a page, so that they are still there when parts of it were exchanged.

const CONTROLS = "input:not([type=hidden]), select, textarea, button, a[href], summary";

/** What a form is for: its address and whatever it does not ask. @param {HTMLFormElement} form @returns {string} */
function purpose(form) {
  const told = [...form.querySelectorAll("input[type=hidden]")].filter(
    (one) => one instanceof HTMLInputElement && !/^(was|seen):|^(back|id)$/.test(one.name),
  );
  return JSON.stringify([form.getAttribute("action"), ...told.map((one) => /** @type {HTMLInputElement} */ (one).value)]);
}

/** @param {HTMLFormElement} form A form that may be gone by now. @returns {HTMLFormElement | null} The same one, as it stands on the page. */
export function standing(form) {
  if (form.isConnected) return form;
  const wanted = purpose(form);
  return [...document.forms].find((one) => purpose(one) === wanted) ?? null;
}

/** @param {Element} part @returns {Element[]} */
const controls = (part) => [...part.querySelectorAll(CONTROLS)];

/** What a control says. @param {Element} one @returns {string} */
const words = (one) => `${one.tagName} ${one.getAttribute("name") ?? ""} ${one.getAttribute("href") ?? ""} ${one.textContent}`;

/**
 * @param {HTMLElement} part Of the page, about to be exchanged.
 * @returns {() => void} Puts the focus back to where it was in it, or as near to it as there is something.
 */
export function holding(part) {
  const held = document.activeElement;
  if (!(held instanceof HTMLElement) || !part.contains(held) || held === part) return () => undefined;
  const form = held.closest("form");
  const place = controls(form ?? part).indexOf(held);
  const { id } = held;
  const said = words(held);
  return () => {
    if (held.isConnected && document.activeElement === held) return;
    const now = form ? standing(form) : part;
    const others = now ? controls(now) : [];
    const same = (id && document.getElementById(id)) || others.find((one) => words(one) === said) || others[place];
    if (same instanceof HTMLElement) same.focus({ preventScroll: true });
  };
}
