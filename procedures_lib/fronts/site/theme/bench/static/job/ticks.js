// One large tick at the end of each step.

import { doneAnew } from "./changes.js";
import { mayApply } from "./condition.js";
import { counted, make, shownTime, stamp } from "./dom.js";
import { stagesLeft } from "./stages.js";

/** Tick a step, or take its tick off. @param {import("./session.js").Session} session @param {Step} step @param {boolean} on */
export function setTick(session, step, on) {
  session.change((job) => {
    if (!on) delete job.ticks[step.key];
    else if (mayApply(step.when, job.car)) {
      job.ticks[step.key] = stamp();
      doneAnew(job, step.key);
    }
  });
}

/** @param {import("./session.js").Session} session */
export function addTicks(session) {
  for (const step of session.page.steps) {
    const done = make("span", { class: "tick-time" });
    const box = make("input", {
      type: "checkbox",
      "aria-label": `Step ${step.number} done: ${step.title}`,
    });
    box.addEventListener("change", () => setTick(session, step, box.checked));
    const left = make("span", { class: "tick-left" });
    step.element.append(make("label", { class: "tick" }, box, make("span", {}, `Step ${step.number} done`), done, ...(step.stages.length ? [left] : [])));
    session.onChange(() => {
      const ticked = session.isTicked(step);
      box.checked = ticked;
      step.element.classList.toggle("ticked", ticked);
      const stages = ticked && step.stages.length ? stagesLeft(session).filter((each) => each.step === step).length : 0;
      left.textContent = stages ? `${counted(stages, "stage")} without a tick` : "";
      done.textContent = ticked ? shownTime(session.job.ticks[step.key]) : "";
    });
  }
}
