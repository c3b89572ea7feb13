// Answers of the room Test on a phone go through its queue, so that none is lost with the network.

import { answers } from "./answers.js";

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!(form instanceof HTMLFormElement) || !form.action.endsWith("/test/answer")) return;
  event.preventDefault();
  /** @type {Record<string, string>} */
  const given = {};
  for (const [key, value] of new FormData(form, event.submitter)) given[key] = String(value);
  const tapped = [1, 2, 3, 4].map((place) => given[`seen${place}`] ?? "").join("");
  const seen = given.seen?.trim() || (tapped.length === 4 ? tapped : "");
  const asked = given.answer === "seen";
  answers.give({
    answer: asked ? "wrong colour" : (given.answer ?? ""),
    step: given.step ?? "",
    seen: asked ? seen : "",
    note: given.note ?? "",
  });
});

// The walk may have gone on with the answer.
answers.addEventListener("taken", () => location.assign("/test"));
