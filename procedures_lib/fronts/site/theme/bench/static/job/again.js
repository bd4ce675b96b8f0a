// Steps that were done, in whole or in part, to an edition before: a mark at the step, in the sheet and in the contents,
// until somebody has looked.

import { doneAnew, stillHolds } from "./changes.js";
import { button, fill, make, shownTime } from "./dom.js";

/** @typedef {import("./session.js").Session} Session */

/** Mark these steps, with the two answers. @param {Session} session */
export function addAgain(session) {
  for (const step of session.page.steps) {
    const place = make("div", { class: "changed step-again", hidden: true });
    const listed = make("span", { class: "step-changed", hidden: true });
    step.element.querySelector(".step-title")?.after(place);
    document.querySelector(`.contents-steps a[href="#step-${step.number}"]`)?.after(listed);
    session.onChange(() => {
      const before = beforeAt(session, step);
      place.hidden = listed.hidden = !before;
      listed.textContent = changedText(session, step);
      if (!before) return fill(place);
      fill(place, make("p", {}, make("b", {}, `${when(session, before)}: `), `${doneText(step, before)}. The step says something else now.`),
        make("p", {}, button("It still holds", () => session.change((job) => stillHolds(job, session.page, step.key))),
          button("Do it anew", () => session.change((job) => doneAnew(job, step.key)), "plain")));
    });
  }
}

/** What was done of a step to an edition before. @param {Session} session @param {Step} step */
function beforeAt({ job }, step) {
  return Object.hasOwn(job.before, step.key) ? job.before[step.key] ?? null : null;
}

/** The steps of the car that somebody has to look at again. @param {Session} session */
export function stepsAgain(session) {
  return session.steps.filter((step) => beforeAt(session, step));
}

/** That a step was changed since it was done, for a list of steps; "" where it was not, or somebody has looked.
 * @param {Session} session @param {Step} step */
export function changedText(session, step) {
  const before = beforeAt(session, step);
  if (!before) return "";
  return before.revision === session.page.revision ? "changed since it was done" : `changed since revision ${before.revision}`;
}

/** The steps to look at again, for the sheet; null for none. @param {Session} session */
export function againNotice(session) {
  const items = stepsAgain(session).map((step) => {
    const before = /** @type {Before} */ (beforeAt(session, step));
    return make("li", {}, make("a", { href: `#step-${step.number}` }, `Step ${step.number}`), `. ${when(session, before)}: ${doneText(step, before)}.`);
  });
  if (!items.length) return null;
  return make("div", { class: "job-notice" }, make("p", {}, make("b", {}, "Done, and changed since:"),
    " look at each, and say at the step whether it holds."), make("ul", {}, ...items));
}

/** @param {Session} session @param {Before} before */
function when({ page }, { revision }) {
  return revision === page.revision ? "Done before the change" : `Done to revision ${revision}`;
}

/** What was done of a step, in words. @param {Step} step @param {Before} before */
function doneText(step, { tick, readings }) {
  const parts = Object.entries(readings).map(([key, { value, unit, at }]) => {
    const [joint, stage] = key.split("|").slice(-2);
    const name = step.stages.find((each) => each.joint === joint)?.name ?? joint;
    return `${name}, stage ${stage}, ${value ? `read ${value} ${unit}` : "ticked"}${at ? ` ${shownTime(at)}` : ""}`;
  });
  return [...(tick ? [`ticked ${shownTime(tick)}`] : []), ...parts].join("; ");
}
