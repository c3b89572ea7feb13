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

/** @param {Element} part @returns {HTMLElement[]} */
const controls = (part) => [...part.querySelectorAll(CONTROLS)].filter((one) => one instanceof HTMLElement);

/** What a control says; fields of one choice bear one name. @param {Element} one @returns {string} */
function words(one) {
  const value = one.matches("input[type=radio], input[type=checkbox]") ? one.getAttribute("value") : "";
  return `${one.tagName} ${one.getAttribute("name") ?? ""} ${one.getAttribute("href") ?? ""} ${value} ${one.textContent}`;
}

/** @param {Element} one @returns {boolean} Whether some of it is in the window. */
export function visible(one) {
  const box = one.getBoundingClientRect();
  return box.bottom > 0 && box.top < innerHeight;
}

/** @param {Element} part @param {Element} held @returns {HTMLElement[]} The controls of a part that are of one sort with another. */
const alike = (part, held) => controls(part).filter((one) => one.tagName === held.tagName);

/** Where a person is in a part of a page: the things beside what they hold, and what stands above it.
 * @param {HTMLElement} part @param {HTMLElement} held */
function around(part, held) {
  const box = held.parentElement?.closest("[id]");
  const own = box && part.contains(box) ? box : part;
  const over = [...part.querySelectorAll("h1, h2, h3")].filter(
    (one) => one.compareDocumentPosition(held) & Node.DOCUMENT_POSITION_FOLLOWING,
  );
  // On a page as a whole a number says nothing about what a control is for.
  const nth = own.id === "work" ? -1 : alike(own, held).indexOf(held);
  return { box: own.id, nth, over: over.reverse().map((one) => one.textContent) };
}

/** @param {HTMLElement} one @returns {boolean} Whether it has the focus now: what is folded away or shut takes none. */
function focused(one) {
  one.focus({ preventScroll: true });
  return document.activeElement === one;
}

/** Focus something that is only read, until the person goes on. @param {HTMLElement} one */
function read(one) {
  if (one.tabIndex < 0 && !one.hasAttribute("tabindex")) {
    one.tabIndex = -1;
    one.addEventListener("blur", () => one.removeAttribute("tabindex"), { once: true });
  }
  if (focused(one)) one.scrollIntoView({ block: "nearest" });
}

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
  const seen = visible(held);
  const { box, nth, over } = around(part, held);
  return () => {
    if (held.isConnected && document.activeElement === held) return;
    const now = form ? standing(form) : part;
    const others = now ? controls(now) : [];
    const all = [id && document.getElementById(id), others.find((one) => words(one) === said), form && others[place]];
    // What came in its place, such as the button that stops what it began.
    all.push(alike(document.getElementById(box) ?? part, held)[nth]);
    const same = all.find((one) => one instanceof HTMLElement && focused(one));
    if (same instanceof HTMLElement) {
      if (seen && !visible(same)) same.scrollIntoView({ block: "nearest" });
      return;
    }
    const headings = [...part.querySelectorAll("h1, h2, h3")];
    const above = over.map((told) => headings.find((one) => one.textContent === told)).find((one) => one);
    const near = above ?? headings[0] ?? document.querySelector("#work h1") ?? document.getElementById("work");
    if (near instanceof HTMLElement) read(near);
  };
}

/** Whether what has the focus was in the window when the person last went or scrolled to somewhere. */
let wasSeen = false;
const look = () => (wasSeen = document.activeElement !== document.body && visible(document.activeElement ?? document.body));
addEventListener("focusin", look);
addEventListener("scroll", look, { passive: true });
// A picture that comes late takes its room from what stands below it.
document.addEventListener("load", () => {
  const held = document.activeElement;
  if (wasSeen && held && held !== document.body && !visible(held)) held.scrollIntoView({ block: "nearest" });
}, true);
