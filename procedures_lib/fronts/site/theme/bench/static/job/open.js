// What is open at this moment: what the page has worked out for the last step ticked, for the car chosen.

import { mayApply } from "./condition.js";

/** @typedef {{after: number, items: HTMLElement[], skipped: number[]}} OpenNow */

/** What is open after the last step ticked; null where the page does not know. It takes the steps before it as done;
 * those without a tick are `skipped`. @param {import("./session.js").Session} session @returns {OpenNow|null} */
export function openNow(session) {
  const last = session.last;
  if (!last) return { after: 0, items: [], skipped: [] };
  const before = session.page.steps.filter((step) => step.number <= last.number);
  if (before.some((step) => !("open" in step.element.dataset))) return null;
  const working = before.filter((step) => step.element.querySelector(".step-do")).at(-1);
  const found = working?.element.querySelectorAll(".open-after > .open-items > li") ?? [];
  const items = [.../** @type {NodeListOf<HTMLElement>} */ (found)]
    .filter((item) => mayApply(item.dataset.when, session.job.car))
    .map(copied);
  const skipped = session.steps.filter((step) => step.number < last.number && !session.isTicked(step));
  return { after: last.number, items, skipped: skipped.map((step) => step.number) };
}

/** @param {HTMLElement} item @returns {HTMLElement} */
function copied(item) {
  const copy = /** @type {HTMLElement} */ (item.cloneNode(true));
  copy.hidden = false;
  copy.removeAttribute("data-when");
  copy.classList.remove("other-car");
  return copy;
}
