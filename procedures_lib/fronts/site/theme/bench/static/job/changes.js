// What has changed on a page since a job on it was begun, and how the job comes over to the page as it is now.

import { newJob, readingKey } from "./job.js";
import { readingsOf, stagesOf } from "./page.js";

/** Whether a job was begun with the page as it is now. @param {Job} job @param {Procedure} page */
export function isCurrent(job, page) {
  return job.revision === page.revision && job.digest === page.digest;
}

/** The key of the step that a reading belongs to. @param {string} key */
function stepOf(key) {
  return key.split("|").slice(0, -2).join("|");
}

/** The steps that say something else now, those that are new, and how many are gone; of those that say something else,
 * which have a tick (`done`), and which have ticks of stages or readings alone (`part`). @param {Job} job @param {Procedure} page */
export function differences(job, page) {
  const before = new Map(job.seen);
  const changed = page.steps.filter((step) => before.has(step.key) && before.get(step.key) !== step.digest);
  const added = page.steps.filter((step) => !before.has(step.key));
  const now = new Set(page.steps.map((step) => step.key));
  const gone = [...before.keys()].filter((key) => !now.has(key)).length;
  const done = changed.filter((step) => Object.hasOwn(job.ticks, step.key));
  const begun = new Set(Object.entries(job.readings).filter(([, { value, at }]) => value || at).map(([key]) => stepOf(key)));
  const part = changed.filter((step) => begun.has(step.key) && !done.includes(step));
  const numbers = (/** @type {Step[]} */ some) => some.map((step) => step.number);
  return { changed: numbers(changed), added: numbers(added), gone, done: numbers(done), part: numbers(part) };
}

/** The differences in words. @param {Job} job @param {Procedure} page */
export function differencesText(job, page) {
  const { changed, added, gone, done, part } = differences(job, page);
  const parts = [];
  if (changed.length) parts.push(`Changed: ${steps(changed)}.`);
  if (added.length) parts.push(`New: ${steps(added)}.`);
  if (gone) parts.push(`Gone: ${gone === 1 ? "1 step" : `${gone} steps`}.`);
  if (done.length) parts.push(`Already ticked: ${steps(done)}: look at ${done.length === 1 ? "it" : "them"} again.`);
  if (part.length) parts.push(`Stages ticked or read: ${steps(part)}: look at ${part.length === 1 ? "it" : "them"} again.`);
  if (changed.length && !done.length && !part.length) parts.push("None of these is ticked yet.");
  return parts.join(" ") || "No step says anything else.";
}

/** @param {number[]} numbers */
function steps(numbers) {
  const most = 12;
  const shown = numbers.slice(0, most).join(", ");
  const more = numbers.length > most ? ` and ${numbers.length - most} more` : "";
  return `step${numbers.length === 1 ? "" : "s"} ${shown}${more}`;
}

/** A job taken over to the page as it is now, and to a car. What was done of steps that say the same is kept; what was done
 * of those that say something else stands in `before`; other readings are put aside, not thrown away.
 * @param {Job} job @param {Procedure} page @param {Car} car @returns {Job} */
export function broughtTo(job, page, car) {
  const made = newJob(page, car);
  const now = new Map(page.steps.map((step) => [step.key, step.digest]));
  const asked = askedKeys(page);
  const seen = new Map(job.seen);
  const isOther = (/** @type {string} */ step) => now.has(step) && seen.has(step) && seen.get(step) !== now.get(step);
  made.begun = job.begun;
  made.reference = job.reference;
  made.aside = { ...job.aside };
  made.remarks = { ...job.remarks };
  made.handovers = { ...job.handovers };
  for (const [step, before] of Object.entries(job.before)) {
    if (now.has(step)) made.before[step] = { ...before, readings: { ...before.readings } };
    else putAside(made, before.readings);
  }
  for (const [step, at] of Object.entries(job.ticks)) {
    if (isOther(step)) beforeOf(made, step, job.revision).tick = at;
    else if (now.has(step)) made.ticks[step] = at;
  }
  for (const [key, reading] of Object.entries(job.readings)) {
    const step = stepOf(key);
    if (isOther(step) && (reading.value || reading.at)) {
      const { readings } = beforeOf(made, step, job.revision);
      if (readings[key]) putAside(made, { [key]: readings[key] });
      readings[key] = reading;
    } else if (asked.has(key)) made.readings[key] = reading;
    else putAside(made, { [key]: reading });
  }
  return made;
}

/** @param {Procedure} page */
function askedKeys(page) {
  return new Set([...readingsOf(page), ...stagesOf(page)].map(({ step, asked }) => readingKey(step.key, asked)));
}

/** What a job has of a step as it was before. @param {Job} job @param {string} step @param {string} revision @returns {Before} */
function beforeOf(job, step, revision) {
  const { tick = "", readings = {} } = job.before[step] ?? {};
  return job.before[step] = { revision, tick, readings };
}

/** Put readings with a number aside, beside those of the same key. @param {Job} job @param {Record<string, Reading>} readings */
function putAside(job, readings) {
  for (const [key, reading] of Object.entries(readings)) {
    if (!reading.value) continue;
    let free = key;
    for (let n = 2; Object.hasOwn(job.aside, free); n++) free = `${key}|${n}`;
    job.aside[free] = reading;
  }
}

/** Two jobs on one car as one: what is ticked or read in `own` goes before, what was read in the other is put aside there.
 * @param {Job} own @param {Job} other both of the page as it is now @returns {Job} */
export function merged(own, other) {
  const made = { ...own, begun: other.begun, reference: own.reference || other.reference, aside: { ...other.aside } };
  made.ticks = { ...other.ticks, ...own.ticks };
  made.remarks = { ...other.remarks, ...own.remarks };
  made.handovers = { ...other.handovers, ...own.handovers };
  made.readings = { ...other.readings };
  made.before = { ...other.before, ...own.before };
  putAside(made, own.aside);
  for (const step of Object.keys(own.before)) putAside(made, other.before[step]?.readings ?? {});
  for (const [key, reading] of Object.entries(own.readings)) {
    const there = other.readings[key];
    if (there && there.value !== reading.value) putAside(made, { [key]: there });
    made.readings[key] = reading;
  }
  for (const step of Object.keys(own.ticks)) doneAnew(made, step);
  return made;
}

/** What was done of a step before it was changed holds: it stands again as it stood. @param {Job} job @param {Procedure} page @param {string} step */
export function stillHolds(job, page, step) {
  const before = Object.hasOwn(job.before, step) ? job.before[step] : null;
  if (!before) return;
  const asked = askedKeys(page);
  if (before.tick) job.ticks[step] ??= before.tick;
  for (const [key, reading] of Object.entries(before.readings)) {
    const { value = "", at = "" } = job.readings[key] ?? {};
    if (asked.has(key) && !value && !at) job.readings[key] = reading;
    else putAside(job, { [key]: reading });
  }
  delete job.before[step];
}

/** A step is done anew: what was read before it was changed is put aside. @param {Job} job @param {string} step */
export function doneAnew(job, step) {
  const before = Object.hasOwn(job.before, step) ? job.before[step] : null;
  if (before) putAside(job, before.readings);
  delete job.before[step];
}
