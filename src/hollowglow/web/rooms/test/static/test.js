// The room Test's numbers as they change, and keys for cold thumbs: answers, moves, and any key to stop a trial.

/** @typedef {{id: string, current: number | null, peak: number, limit: number, over: boolean}} Row */
/** @typedef {{sources: string[], rate: number, lost: number, late: number, lowest: {string: string, volts: number | null}[]}} Heard */
/** @typedef {{draws: Row[], limited: string, trial: number | null, heard: Heard | null}} State */

/** @type {State | null} */
let last = null;

/** Always with as many places, as the server writes it. @param {number | null} value @param {string} unit */
const quantity = (value, unit) => (value === null ? "–" : `${value.toFixed(2)} ${unit}`);

/** @param {HTMLTableRowElement} row @param {string[]} words */
function write(row, words) {
  words.forEach((text, at) => {
    const cell = row.cells[at];
    if (cell && cell.textContent !== text) cell.textContent = text;
  });
}

/** @param {Row[]} rows */
function draws(rows) {
  const body = document.querySelector("[data-draws] tbody");
  if (!(body instanceof HTMLTableSectionElement) || !rows.length) return;
  if (body.rows.length !== rows.length || body.rows[0]?.cells[0]?.textContent !== rows[0]?.id) {
    body.replaceChildren(
      ...rows.map((one) => {
        const row = document.createElement("tr");
        for (let at = 0; at < 5; at += 1) row.append(document.createElement("td"));
        for (const cell of [row.cells[1], row.cells[2], row.cells[3]]) cell?.classList.add("n");
        const bar = document.createElement("meter");
        bar.setAttribute("aria-label", `${one.id}, share of what it may carry`);
        row.cells[4]?.append(bar, "");
        return row;
      }),
    );
  }
  rows.forEach((one, at) => {
    const row = /** @type {HTMLTableRowElement} */ (body.rows[at]);
    write(row, [one.id, quantity(one.current, "A"), quantity(one.peak, "A"), quantity(one.limit, "A")]);
    row.classList.toggle("over", one.over);
    const bar = row.querySelector("meter");
    if (bar) bar.value = one.limit ? (one.current ?? 0) / one.limit : 0;
    const words = row.cells[4]?.lastChild;
    if (words instanceof Text) words.data = one.over ? " over" : "";
  });
}

/** @param {Heard} heard */
function show(heard) {
  const line = document.querySelector("[data-heard]");
  const who = heard.sources.join(", ") || "Nobody sends";
  if (line) line.textContent = `${who}: ${heard.rate} frames a second, ${heard.lost} packets lost, ${heard.late} late.`;
  const whole = document.querySelector("[data-lowest]");
  const table = whole?.querySelector("table");
  if (!(whole instanceof HTMLElement) || !table) return;
  whole.hidden = false;
  const body = table.tBodies[0] ?? table.createTBody();
  while (body.rows.length < heard.lowest.length) {
    const row = body.insertRow();
    row.insertCell();
    row.insertCell().className = "n";
  }
  heard.lowest.forEach((one, at) => {
    const row = body.rows[at];
    if (row) write(row, [one.string, quantity(one.volts, "V")]);
  });
}

function fill() {
  if (!last) return;
  draws(last.draws);
  if (last.heard) show(last.heard);
  for (const line of document.querySelectorAll("[data-limited]")) {
    if (!(line instanceof HTMLElement)) continue;
    line.hidden = !last.limited;
    if (line.textContent !== last.limited) line.textContent = last.limited;
  }
  const ramp = document.querySelector("[data-ramp]");
  if (ramp instanceof HTMLProgressElement && last.trial !== null) ramp.value = last.trial;
}

document.addEventListener("night:state", (event) => {
  last = /** @type {CustomEvent<State>} */ (event).detail;
  fill();
});
document.addEventListener("bench:fresh", fill);

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || ["Shift", "Control", "Alt", "Meta"].includes(event.key)) return;
  const trial = document.querySelector('[data-trial="running"] button');
  if (trial instanceof HTMLButtonElement) {
    event.preventDefault();
    trial.click();
    return;
  }
  const at = event.target;
  if (at instanceof HTMLSelectElement || at instanceof HTMLTextAreaElement) return;
  if (at instanceof HTMLInputElement) return;
  // Arrows move a table that is wider than its place.
  if (at instanceof HTMLTableElement && event.key.startsWith("Arrow")) return;
  for (const button of document.querySelectorAll("button[data-press]")) {
    if (!(button instanceof HTMLButtonElement)) continue;
    if ((button.dataset.press ?? "").split(" ").includes(event.key)) {
      event.preventDefault();
      button.click();
      return;
    }
  }
});

export {};
