// Keeps a page fresh: news from the server, keys for undo and redo, sliders, files.

import { holding } from "./focus.js";

/** @param {string} html @returns {Document} */
export const parsed = (html) => new DOMParser().parseFromString(html, "text/html");

/** Whether the person has typed or chosen something in a part of this page that was not sent yet. @param {ParentNode} part */
function dirty(part) {
  for (const input of part.querySelectorAll("input, textarea, select")) {
    if (input instanceof HTMLInputElement) {
      if (input.type === "hidden" || input.name === "pick") continue;
      if (input.type === "radio" || input.type === "checkbox") {
        if (input.checked !== input.defaultChecked) return true;
      } else if (input.type === "file") {
        if (input.files?.length) return true;
      } else if (input.value !== input.defaultValue) return true;
    } else if (input instanceof HTMLTextAreaElement && input.value !== input.defaultValue) return true;
    else if (input instanceof HTMLSelectElement && [...input.options].some((o) => o.selected !== o.defaultSelected)) {
      // A list without a chosen option shows its first one.
      if ([...input.options].some((o) => o.defaultSelected) || input.selectedIndex > 0) return true;
    }
  }
  return false;
}

const PARTS = ["told", "news", "tools", "tour", "work"];
/** What the server said last, part by part; widgets change what stands in the page itself. @type {Map<string, string>} */
const told = new Map();
for (const name of PARTS) told.set(name, document.getElementById(name)?.innerHTML ?? "");

/** A table that is wider than the page can be scrolled with the keyboard. */
function reachable() {
  for (const table of document.querySelectorAll("table")) {
    if (table.scrollWidth > table.clientWidth) table.tabIndex = 0;
    else table.removeAttribute("tabindex");
  }
}
addEventListener("resize", reachable);
document.addEventListener("bench:fresh", reachable);
document.addEventListener("toggle", reachable, true);
reachable();

/**
 * Put one part of another page in place of this one's; elements that keep themselves fresh stay, with new attributes.
 * @param {HTMLElement} here @param {HTMLElement} there
 */
function exchange(here, there) {
  const kept = here.querySelector(":scope > [data-keep]");
  const fresh = kept ? there.querySelector(`:scope > [data-keep]#${CSS.escape(kept.id)}`) : null;
  if (!kept || !fresh) {
    here.replaceChildren(...there.childNodes);
    return;
  }
  const all = [...there.childNodes];
  const at = all.indexOf(fresh);
  for (const node of [...here.childNodes]) if (node !== kept) node.remove();
  kept.before(...all.slice(0, at));
  kept.after(...all.slice(at + 1));
  kept.replaceChildren(...fresh.childNodes);
  for (const name of kept.getAttributeNames()) {
    if (name.startsWith("data-") && !fresh.hasAttribute(name) && name !== "data-way") kept.removeAttribute(name);
  }
  for (const { name, value } of fresh.attributes) if (kept.getAttribute(name) !== value) kept.setAttribute(name, value);
}

/** Return the ids of what changes on a page: all of its work, or the parts that it names, between which things stay that
 * live longer than one answer of the server. @param {Document} other */
function parts(other) {
  const [here, there] = [document, other].map((one) => one.querySelector("#work [data-parts]")?.getAttribute("data-parts"));
  return here && here === there ? here.split(" ") : ["work"];
}

/** Put the parts of another page that change into this one. What was told to the person stays until they do something
 * else: news may come right after it. @param {Document} other @param {boolean} whole @param {boolean} own */
export function take(other, whole, own) {
  document.querySelector(".gone")?.remove();
  const names = ["news", ...(own ? ["told"] : []), ...(whole ? ["tools", "tour", ...parts(other)] : [])];
  if (!whole) {
    for (const part of document.querySelectorAll("main [data-live][id]")) if (!dirty(part)) names.push(part.id);
  }
  for (const name of names) {
    const here = document.getElementById(name);
    const there = other.getElementById(name);
    if (!here || !there) continue;
    const html = there.innerHTML;
    if (html !== told.get(name)) {
      if (name === "work") for (const part of told.keys()) if (!PARTS.includes(part)) told.delete(part);
      if (!PARTS.includes(name)) told.delete("work");
      told.set(name, html);
      const again = holding(here);
      for (const fold of there.querySelectorAll("details")) {
        const words = fold.querySelector("summary")?.textContent;
        const now = [...here.querySelectorAll("details")].find((d) => d.querySelector("summary")?.textContent === words);
        if (now) fold.open = now.open;
      }
      exchange(here, there);
      again();
    }
  }
  document.body.dataset.version = other.body.dataset.version ?? "";
  document.body.dataset.of = other.body.dataset.of ?? "";
  if (whole) document.body.dataset.said = other.body.dataset.said ?? "";
  document.dispatchEvent(new CustomEvent("bench:fresh"));
}

/** @param {boolean} own whether what was told goes as well */
export async function refresh(own = false) {
  try {
    const answer = await fetch(location.href, { headers: { accept: "text/html" } });
    take(parsed(await answer.text()), !document.body.dataset.said && !dirty(document.getElementById("work") ?? document), own);
    if (behind()) void refresh();
  } catch {
    gone();
  }
}

let newest = "";

/** Whether this page is older than what the server has told since; answers may overtake each other. */
export function behind() {
  return Number(newest) > Number(document.body.dataset.version);
}

export function gone() {
  const state = document.getElementById("state");
  if (state && !state.querySelector(".gone")) {
    const say = document.createElement("div");
    say.className = "say odd gone";
    say.setAttribute("role", "alert");
    say.append("The workbench was closed or started again. This page goes on by itself once it is back.");
    state.append(say);
  }
}

function listen() {
  const news = new EventSource("/changes");
  news.onmessage = (event) => {
    newest = event.data;
    if (event.data !== document.body.dataset.version || document.querySelector(".gone")) void refresh();
  };
  news.onerror = gone;
}

document.addEventListener("keydown", (event) => {
  const target = event.composedPath()[0];
  const typing = target instanceof HTMLInputElement || target instanceof HTMLTextAreaElement;
  if (typing || !(event.ctrlKey || event.metaKey)) return;
  const key = event.shiftKey && event.key.toLowerCase() === "z" ? "y" : event.key.toLowerCase();
  const button = document.querySelector(`button[data-key="${CSS.escape(key)}"]`);
  if (button instanceof HTMLButtonElement) {
    event.preventDefault();
    button.click();
  }
});

document.addEventListener("input", (event) => {
  const slider = event.target;
  if (!(slider instanceof HTMLInputElement) || slider.type !== "range") return;
  const shown = document.querySelector(`output[data-of="${CSS.escape(slider.id)}"]`);
  if (shown) shown.textContent = slider.value;
});

const MOST_BYTES = 64 * 2 ** 20;

document.addEventListener("change", (event) => {
  const input = event.target;
  if (!(input instanceof HTMLInputElement) || input.type !== "file") return;
  const size = Math.max(0, ...[...(input.files ?? [])].map((file) => file.size));
  input.setCustomValidity(size >= MOST_BYTES ? "This is more than 64 MiB, so it would not be taken. Choose less." : "");
  input.reportValidity();
});

document.querySelector("nav [aria-current=page]")?.scrollIntoView({ block: "nearest", inline: "center" });
addEventListener("popstate", () => void refresh(true));
listen();
