// One large tick at the end of each step.

import { make, shownTime, stamp } from "./dom.js";

/** @param {import("./session.js").Session} session */
export function addTicks(session) {
  for (const step of session.page.steps) {
    const done = make("span", { class: "tick-time" });
    const box = make("input", {
      type: "checkbox",
      "aria-label": `Step ${step.number} done: ${step.title}`,
      onchange: () => session.change((job) => {
        if (box.checked) job.ticks[step.key] = stamp();
        else delete job.ticks[step.key];
      }),
    });
    step.element.append(make("label", { class: "tick" }, box, make("span", {}, `Step ${step.number} done`), done));
    session.onChange(() => {
      const ticked = session.isTicked(step);
      box.checked = ticked;
      step.element.classList.toggle("ticked", ticked);
      done.textContent = ticked ? shownTime(session.job.ticks[step.key]) : "";
    });
  }
}
