// Keeps a page fresh: news from the server, forms without a reload, keys for undo and redo.

/** @param {string} html @returns {Document} */
const parsed = (html) => new DOMParser().parseFromString(html, "text/html");

/** Whether the person has typed something on this page that is not yet in the file. */
function dirty() {
  for (const input of document.querySelectorAll("main input[name^='put:']")) {
    if (input instanceof HTMLInputElement && input.value !== input.defaultValue) return true;
  }
  return false;
}

const PARTS = ["state", "tools", "tour", "work"];
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

/** Put the parts of another page that change into this one. @param {Document} other @param {boolean} whole */
function take(other, whole) {
  const names = whole ? PARTS : ["state"];
  for (const name of names) {
    const here = document.getElementById(name);
    const there = other.getElementById(name);
    if (!here || !there) continue;
    const html = there.innerHTML;
    if (html !== told.get(name)) {
      told.set(name, html);
      const focus = document.activeElement instanceof HTMLElement ? document.activeElement.id : "";
      here.replaceChildren(...there.childNodes);
      if (focus) document.getElementById(focus)?.focus();
    }
  }
  document.body.dataset.version = other.body.dataset.version ?? "";
  document.dispatchEvent(new CustomEvent("bench:fresh"));
}

async function refresh() {
  try {
    const answer = await fetch(location.href, { headers: { accept: "text/html" } });
    take(parsed(await answer.text()), !dirty());
  } catch {
    gone();
  }
}

function gone() {
  const state = document.getElementById("state");
  if (state && !state.querySelector(".gone")) {
    const say = document.createElement("div");
    say.className = "say odd gone";
    say.setAttribute("role", "alert");
    say.append("The workbench was closed or started again. This page goes on by itself once it is back.");
    state.append(say);
    told.delete("state");
  }
}

function listen() {
  const news = new EventSource("/changes");
  news.onmessage = (event) => {
    if (event.data !== document.body.dataset.version || document.querySelector(".gone")) void refresh();
  };
  news.onerror = gone;
}

document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (!(form instanceof HTMLFormElement) || form.method !== "post" || form.dataset.plain !== undefined) return;
  if (form.enctype === "multipart/form-data") return;
  event.preventDefault();
  const body = new URLSearchParams();
  for (const [key, value] of new FormData(form, event.submitter)) body.append(key, String(value));
  try {
    const answer = await fetch(form.action, { method: "POST", body });
    take(parsed(await answer.text()), true);
    if (answer.redirected && answer.url !== location.href) history.pushState(null, "", answer.url);
  } catch {
    gone();
  }
});

document.addEventListener("keydown", (event) => {
  const typing = event.target instanceof HTMLInputElement || event.target instanceof HTMLTextAreaElement;
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
  const size = [...(input.files ?? [])].reduce((sum, file) => sum + file.size, 0);
  input.setCustomValidity(size >= MOST_BYTES ? "This is more than 64 MiB, so it would not be taken. Choose less." : "");
  input.reportValidity();
});

addEventListener("popstate", () => void refresh());
listen();
