// Pages on a phone: the code out of the scanned address, and a page that says so when it is old.

const REFRESH_MS = 15000;
const PATIENCE_MS = 8000;

function fillCode() {
  const field = document.getElementById("code");
  const code = location.hash.slice(1);
  if (!(field instanceof HTMLInputElement) || !/^\d{6}$/.test(code)) return;
  // Gone from the address, so that it is neither kept in the history nor tried twice.
  history.replaceState(null, "", location.pathname);
  field.value = code;
  field.form?.requestSubmit();
}

/** @param {string} words @param {boolean} link */
function say(words, link) {
  const state = document.getElementById("state");
  if (!state) return;
  if (!words) {
    state.replaceChildren();
    return;
  }
  const box = document.createElement("div");
  box.className = "say odd";
  const text = document.createElement("p");
  text.textContent = words;
  box.append(text);
  if (link) {
    const way = document.createElement("a");
    way.href = "/";
    way.textContent = "Type the code";
    box.append(way);
  }
  state.replaceChildren(box);
}

let made = new Date();

/** Take the newest state of the page, unless something on it is in use. */
async function refresh() {
  const work = document.getElementById("work");
  if (!work || document.visibilityState !== "visible" || document.body.dataset.still !== undefined) return;
  try {
    const answer = await fetch(location.href, { signal: AbortSignal.timeout(PATIENCE_MS) });
    if (new URL(answer.url).pathname === "/") {
      say("The laptop asks for its code again.", true);
      return;
    }
    if (!answer.ok) throw new Error(String(answer.status));
    const other = new DOMParser().parseFromString(await answer.text(), "text/html").getElementById("work");
    made = new Date();
    say("", false);
    if (other && other.innerHTML !== work.innerHTML) work.replaceChildren(...other.childNodes);
  } catch {
    const at = made.toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
    say(`The laptop is out of reach. This page is as it was at ${at}.`, false);
  }
}

if (document.getElementById("code")) {
  fillCode();
  addEventListener("hashchange", fillCode);
} else {
  setInterval(refresh, REFRESH_MS);
  addEventListener("online", refresh);
  addEventListener("offline", refresh);
  document.addEventListener("visibilitychange", refresh);
}

export {};
