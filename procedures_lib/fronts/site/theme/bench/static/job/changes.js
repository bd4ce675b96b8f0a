// What has changed on a page since a job on it was begun, and how the job comes over to the page as it is now.

import { newJob, readingKey } from "./job.js";
import { readingsOf, stagesOf } from "./page.js";

/** Whether a job was begun with the page as it is now. @param {Job} job @param {Procedure} page */
export function isCurrent(job, page) {
  return job.revision === page.revision && job.digest === page.digest;
}

/** The steps that say something else now, those that are new, and how many are gone.
 * @param {Job} job @param {Procedure} page 
 * `done` are those of them that have a tick.
 * @returns {{changed: number[], added: number[], gone: number, done: number[]}} */
export function differences(job, page) {
  const before = new Map(job.seen);
  const changed = page.steps.filter((step) => before.has(step.key) && before.get(step.key) !== step.digest);
  const added = page.steps.filter((step) => !before.has(step.key));
  const now = new Set(page.steps.map((step) => step.key));
  const gone = [...before.keys()].filter((key) => !now.has(key)).length;
  const done = changed.filter((step) => Object.hasOwn(job.ticks, step.key));
  const [changes, news, ticked] = [changed, added, done].map((some) => some.map((step) => step.number));
  return { changed: changes ?? [], added: news ?? [], gone, done: ticked ?? [] };
}

/** The differences in words. @param {Job} job @param {Procedure} page */
export function differencesText(job, page) {
  const { changed, added, gone, done } = differences(job, page);
  const parts = [];
  if (changed.length) parts.push(`Changed: ${steps(changed)}.`);
  if (added.length) parts.push(`New: ${steps(added)}.`);
  if (gone) parts.push(`Gone: ${gone === 1 ? "1 step" : `${gone} steps`}.`);
  if (done.length) parts.push(`Already ticked: ${steps(done)}: look at ${done.length === 1 ? "it" : "them"} again.`);
  else if (changed.length) parts.push("None of these is ticked yet.");
  return parts.join(" ") || "No step says anything else.";
}

/** @param {number[]} numbers */
function steps(numbers) {
  const most = 12;
  const shown = numbers.slice(0, most).join(", ");
  const more = numbers.length > most ? ` and ${numbers.length - most} more` : "";
  return `step${numbers.length === 1 ? "" : "s"} ${shown}${more}`;
}

/** A job taken over to the page as it is now, and to a car. Ticks and readings of steps that are still there
 * are kept; other readings are put aside, not thrown away.
 * @param {Job} job @param {Procedure} page @param {Car} car @returns {Job} */
export function broughtTo(job, page, car) {
  const made = newJob(page, car);
  const steps = new Set(page.steps.map((step) => step.key));
  const asked = new Set([...readingsOf(page), ...stagesOf(page)].map(({ step, asked: each }) => readingKey(step.key, each)));
  made.begun = job.begun;
  made.reference = job.reference;
  made.ticks = Object.fromEntries(Object.entries(job.ticks).filter(([key]) => steps.has(key)));
  made.aside = { ...job.aside };
  made.remarks = { ...job.remarks };
  made.handovers = { ...job.handovers };
  for (const [key, reading] of Object.entries(job.readings)) {
    if (asked.has(key)) made.readings[key] = reading;
    else if (reading.value) made.aside[key] = reading;
  }
  return made;
}
