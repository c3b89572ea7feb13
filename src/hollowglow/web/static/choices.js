// The list of what a field may say, opened by the button beside it; the browser's own list shows only what fits what is there.

const MOVED_PX = 40;

/** @type {HTMLElement | null} */
let list = null;
/** How far the page was scrolled when the list was opened. */
let opened = 0;

/** @param {HTMLInputElement} input @param {string} value */
function choose(input, value) {
  input.value = value;
  input.dispatchEvent(new Event("input", { bubbles: true }));
  input.dispatchEvent(new Event("change", { bubbles: true }));
  list?.hidePopover();
  input.focus();
}

/** @param {HTMLInputElement} input @param {string} value @param {string} words @returns {HTMLElement} */
function choice(input, value, words) {
  const button = document.createElement("button");
  button.type = "button";
  button.textContent = words;
  if (value === input.value) button.setAttribute("aria-current", "true");
  button.addEventListener("click", () => choose(input, value));
  return button;
}

/** @param {HTMLInputElement} input @param {HTMLElement} beside */
function open(input, beside) {
  list?.remove();
  opened = scrollY;
  list = document.createElement("div");
  list.className = "choices";
  list.popover = "auto";
  list.setAttribute("role", "dialog");
  list.setAttribute("aria-labelledby", beside.getAttribute("aria-describedby") ?? "");
  const values = [...(input.list?.options ?? [])].map((one) => one.value);
  if (input.placeholder) list.append(choice(input, "", input.placeholder));
  list.append(...values.map((one) => choice(input, one, one)));
  beside.after(list);
  const box = input.getBoundingClientRect();
  const below = innerHeight - box.bottom - 12;
  const over = box.top - 12;
  list.style.left = `${Math.max(8, box.left)}px`;
  list.style.minWidth = `${box.width}px`;
  list.style.maxHeight = `${Math.min(360, Math.max(below, over))}px`;
  if (below >= 200 || below >= over) list.style.top = `${box.bottom + 4}px`;
  else list.style.bottom = `${innerHeight - box.top + 4}px`;
  list.addEventListener("keydown", (event) => {
    if (!list) return;
    if (event.key === "Tab") {
      // It goes on from the field, and nothing stays open over the page.
      list.hidePopover();
      input.focus();
      return;
    }
    const all = /** @type {HTMLElement[]} */ ([...list.children]);
    const at = all.indexOf(/** @type {HTMLElement} */ (document.activeElement));
    const starts = (/** @type {HTMLElement} */ one) => one.textContent?.toLowerCase().startsWith(event.key.toLowerCase());
    /** @type {HTMLElement | undefined} */
    let next;
    if (event.key === "ArrowDown" || event.key === "ArrowUp") next = all[(at + (event.key === "ArrowDown" ? 1 : -1) + all.length) % all.length];
    else if (event.key === "Home") next = all[0];
    else if (event.key === "End") next = all[all.length - 1];
    else if (/^[\w.]$/.test(event.key) && !event.ctrlKey && !event.metaKey && !event.altKey) next = [...all.slice(at + 1), ...all].find(starts);
    else return;
    event.preventDefault();
    next?.focus();
  });
  const own = list;
  own.addEventListener("toggle", (event) => {
    if (/** @type {ToggleEvent} */ (event).newState === "closed") own.remove();
  });
  list.showPopover();
  /** @type {HTMLElement | null} */ (list.querySelector("[aria-current]") ?? list.firstElementChild)?.focus();
}

document.addEventListener("click", (event) => {
  const button = event.target instanceof Element ? event.target.closest("button.choose") : null;
  if (!(button instanceof HTMLElement)) return;
  const input = document.getElementById(button.dataset.choose ?? "");
  if (input instanceof HTMLInputElement) open(input, button);
});

// The last of a scroll is told after the click; only a page that moves on takes the list away.
addEventListener("scroll", () => {
  if (list?.isConnected && Math.abs(scrollY - opened) > MOVED_PX) list.hidePopover();
});
