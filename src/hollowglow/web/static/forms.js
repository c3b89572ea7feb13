// Forms without a reload: what was typed stays, and what came of them is told where the person is looking.

import { standing, visible } from "./focus.js";
import { behind, gone, parsed, refresh, take } from "./page.js";

const LONG_ENOUGH_MS = 6000;
/** Addresses of forms that change the file. */
const WRITING = /^\/(put|add|begin|errand\/use|place\/(do|path|backdrop))$/;

/** Forms are numbered as they are sent, since answers may overtake each other: the last one that was sent counts. */
let sentLast = 0;
let takenLast = 0;

/** @type {HTMLElement | null} */
let slip = null;
let timer = 0;

/** Take away what was told last. */
function hush() {
  clearTimeout(timer);
  slip?.remove();
  slip = null;
}

document.addEventListener("pointerdown", () => {
  if (slip && !slip.classList.contains("bad")) hush();
});

/** Tell something at the foot of the window, wherever the page is scrolled to. @param {string} words @param {string} sort */
function slipUnder(words, sort) {
  hush();
  slip = document.createElement("p");
  slip.className = `slip ${sort}`;
  slip.setAttribute("role", sort === "bad" ? "alert" : "status");
  slip.textContent = words;
  document.body.append(slip);
  if (sort !== "bad") timer = setTimeout(hush, LONG_ENOUGH_MS);
}

/** @param {HTMLFormElement} form That was sent. @param {boolean} taken @param {boolean} changed Whether the file says something else now. */
function tell(form, taken, changed) {
  const wrong = document.querySelector("main [aria-invalid=true]");
  if (wrong instanceof HTMLElement) {
    for (let fold = wrong.closest("details"); fold; fold = fold.parentElement?.closest("details") ?? null) fold.open = true;
    wrong.focus();
    return;
  }
  const words = document.querySelector("#told .say");
  if (words) {
    if (!visible(words)) slipUnder(words.textContent?.trim() ?? "", words.classList.contains("bad") ? "bad" : "good");
    return;
  }
  const own = new URL(form.action).pathname;
  if (!taken || !WRITING.test(own)) return;
  const name = document.querySelector(".which")?.textContent ?? "the file";
  slipUnder(changed ? `Written into ${name}.` : "Nothing was changed: the file says this already.", "good");
  if (document.activeElement === document.body) standing(form)?.querySelector("button")?.focus({ preventScroll: true });
}

/** What was typed last into each field, and when: an answer to a form may come after the person has gone on to type. */
/** @type {Map<string, { at: number, value: string }>} */
const typedLast = new Map();
document.addEventListener("input", (event) => {
  const field = event.target;
  if (field instanceof HTMLInputElement && field.id && field.type !== "file") {
    typedLast.set(field.id, { at: performance.now(), value: field.value });
  }
});

/** Put back what was typed after a moment. @param {number} since */
function keepTyped(since) {
  for (const [id, { at, value }] of typedLast) {
    const field = at > since ? document.getElementById(id) : null;
    if (field instanceof HTMLInputElement && field.value !== value) field.value = value;
  }
}

/** Return what is typed but not sent in the forms beside the one that was sent. @param {HTMLFormElement} sent
 * @returns {[string, string][]} the ids of the fields and what stands in them */
function unsent(sent) {
  const fields = [...document.querySelectorAll("main form input[id]")];
  return fields.flatMap((one) =>
    one instanceof HTMLInputElement && one.type === "text" && one.form !== sent && one.value !== one.defaultValue
      ? [/** @type {[string, string]} */ ([one.id, one.value])]
      : [],
  );
}

/** Put back what was typed in other forms. @param {[string, string][]} beside */
function putBack(beside) {
  for (const [id, value] of beside) {
    const field = document.getElementById(id);
    if (field instanceof HTMLInputElement) field.value = value;
  }
}

// A key that is held down presses once: what it began may have put the button that ends it in its place.
document.addEventListener("keydown", (event) => {
  const button = event.target instanceof Element && event.target.closest("button");
  if (event.repeat && button && (event.key === "Enter" || event.key === " ")) event.preventDefault();
});

document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (!(form instanceof HTMLFormElement) || form.method !== "post" || form.dataset.plain !== undefined) return;
  if (event.defaultPrevented) return;
  event.preventDefault();
  const body = form.enctype === "multipart/form-data" ? new FormData(form, event.submitter) : new URLSearchParams();
  if (body instanceof URLSearchParams) {
    for (const [key, value] of new FormData(form, event.submitter)) body.append(key, String(value));
  }
  const sent = performance.now();
  const number = ++sentLast;
  const was = document.body.dataset.of;
  hush();
  try {
    const own = event.submitter?.getAttribute("formaction");
    const answer = await fetch(own ?? form.action, { method: "POST", body });
    const other = parsed(await answer.text());
    if (number < takenLast) return void refresh();
    takenLast = number;
    const beside = unsent(form);
    take(other, true, true);
    // What was taken is no longer typed but not sent, also where the page does not show yet what came of it.
    if (answer.ok && answer.redirected && form.isConnected) form.reset();
    if (!answer.redirected || new URL(answer.url).pathname === location.pathname) putBack(beside);
    keepTyped(sent);
    tell(form, answer.ok, document.body.dataset.of !== was);
    if (answer.redirected && answer.url !== location.href.split("#")[0]) history.pushState(null, "", answer.url);
    if (behind()) void refresh();
  } catch {
    gone();
  }
});
