// A job: one procedure carried out on one car. Plain values; what is on the screen is made from them.

import { mayApply } from "./condition.js";
import { photographs } from "./photographs.js";
import { store } from "./store.js";

const PREFIX = "procedures-job:";
const FORMAT = 1;
const RESUME = "#begun=";
/** What of a job is kept by step or reading. */
const PARTS = /** @type {const} */ (["ticks", "readings", "before", "aside", "remarks", "handovers"]);

/** The options of a car as one word, sorted: "tow-eye=fitted,transmission=manual". @param {Car} car */
export function carWord(car) {
  return Object.keys(car).sort().map((option) => `${option}=${car[option]}`).join(",");
}

/** @param {{procedure: string, revision: string, car: Car, rests?: string}} job */
export function keyOf(job) {
  return `${PREFIX}${job.procedure}:${job.revision}:${carWord(job.car)}${job.rests ? `:${job.rests}` : ""}`;
}

/** Whether all that is known of one car is so on another, of which as much or more is known. @param {Car} less @param {Car} more */
export function isWithin(less, more) {
  return Object.entries(less).every(([option, value]) => more[option] === value);
}

/** What the job of a procedure on a car is kept under: options that were not known when it was begun, and that say
 * nothing else than the job, make no other car of it. @param {Procedure} page @param {Car} car */
export function keptKey(page, car) {
  const own = keyOf(newJob(page, car));
  if (readJob(store.get(own))) return own;
  const same = jobsOf(page).filter(({ job }) => job.revision === page.revision && !job.rests && isWithin(job.car, car));
  return same.length === 1 && same[0] ? same[0].key : own;
}

/** The part of an address that opens a job that is begun here, on its own car. @param {Job} job */
export function resumeFragment(job) {
  return RESUME + encodeURIComponent(keyOf(job).slice(PREFIX.length));
}

/** @param {string} fragment */
export function isResuming(fragment) {
  return fragment.startsWith(RESUME);
}

/** The job that such a part names; null where this phone has it no longer. @param {string} fragment @returns {Job|null} */
export function resumedJob(fragment) {
  return begunJobs().find((job) => resumeFragment(job) === fragment) ?? null;
}

/** What a reading or the tick of a stage is kept under. @param {string} step the step's key @param {{joint: string, stage: number}} asked */
export function readingKey(step, asked) {
  return `${step}|${asked.joint}|${asked.stage}`;
}

/** A job that is not begun yet. @param {Procedure} page @param {Car} car @returns {Job} */
export function newJob(page, car) {
  return {
    format: FORMAT, procedure: page.id, revision: page.revision, digest: page.digest, car: { ...car },
    title: page.title, page: pathHere(), steps: page.steps.filter((step) => mayApply(step.when, car)).length,
    begun: "", reference: "", ticks: {}, readings: {}, seen: page.steps.map((step) => [step.key, step.digest]), before: {}, aside: {},
    remarks: {}, handovers: {},
  };
}

/** The path of this page below the first page. */
function pathHere() {
  const root = new URL(document.documentElement.dataset.content_root ?? "./", location.href).pathname;
  return location.pathname.startsWith(root) ? location.pathname.slice(root.length) : "";
}

/** How many readings of a job have a number. @param {Job} job */
export function readingCount(job) {
  return Object.values(job.readings).filter((each) => each.value).length;
}

/** How many stages are ticked and have no number. @param {Job} job */
export function tickedStageCount(job) {
  return Object.values(job.readings).filter((each) => each.at && !each.value).length;
}

/** When a stage was ticked or read; "" where it was not. @param {Job} job @param {string} key */
export function stageTime(job, key) {
  return (Object.hasOwn(job.readings, key) && job.readings[key]?.at) || "";
}

/** All jobs that are begun on this device. @returns {Job[]} */
export function begunJobs() {
  return store.keys(PREFIX).flatMap((key) => {
    const job = readJob(store.get(key));
    return job && isBegun(job) ? [job] : [];
  });
}

/** Whether anything was ticked or typed. @param {Job} job */
export function isBegun(job) {
  return Boolean(job.begun);
}

/** @param {unknown} value @returns {value is Record<string, unknown>} */
function isObject(value) {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

/** @param {unknown} value */
function isBefore(value) {
  return isObject(value) && typeof value.revision === "string" && typeof value.tick === "string"
    && isObject(value.readings) && Object.values(value.readings).every(textsOnly);
}

/** @param {unknown} value */
function textsOnly(value) {
  return isObject(value) && Object.values(value).every((text) => typeof text === "string");
}

/** A stored text as a job; null when it is none: it is then left where it is. @param {string|null} text @returns {Job|null} */
export function readJob(text) {
  let found;
  try {
    found = JSON.parse(text ?? "null");
  } catch {
    return null;
  }
  if (!isObject(found) || found.format !== FORMAT) return null;
  found.remarks ??= {}; // a job that was begun before there were any
  found.handovers ??= {};
  found.before ??= {};
  const texts = ["procedure", "revision", "digest", "begun", "reference"];
  const right = texts.every((key) => typeof found[key] === "string") && [found.car, found.ticks, found.handovers].every(textsOnly)
    && [found.readings, found.aside, found.remarks].every((all) => isObject(all) && Object.values(all).every(textsOnly))
    && isObject(found.before) && Object.values(found.before).every(isBefore)
    && [found.rests ?? "", found.sure ?? ""].every((text) => typeof text === "string")
    && Array.isArray(found.seen) && found.seen.every((pair) => Array.isArray(pair) && pair.length === 2);
  return right ? /** @type {Job} */ (/** @type {unknown} */ (found)) : null;
}

/** The job of a procedure on a car, as this phone has it; a new one where it has none.
 * @param {Procedure} page @param {Car} car @returns {Job} */
export function loadJob(page, car) {
  const blank = newJob(page, car);
  const found = readJob(store.get(keptKey(page, car)));
  return found && found.procedure === page.id ? { ...found, car: blank.car, steps: blank.steps } : blank;
}

/** Keep a job, in place of what stood under another key. @param {Job} job @param {string} [before] */
export function saveJob(job, before) {
  const [key, text] = [keyOf(job), JSON.stringify(job)];
  const lasting = store.set(key, text);
  if (before === undefined || before === key) return;
  const old = store.get(before);
  store.remove(before);
  if (old !== null && lasting !== "device" && store.set(key, text) !== "device") store.set(before, old);
}

/** Lay a job aside as it is kept, as another car of the same options comes in: it stays on this phone.
 * @param {string} key @param {string} now */
export function layAside(key, now) {
  const job = readJob(store.get(key));
  if (!job || !isBegun(job)) return;
  let rests = now;
  while (store.get(keyOf({ ...job, rests })) !== null) rests += "+"; // another was laid aside in the same second
  saveJob({ ...job, rests }, key);
}

/** Take up a job that was laid aside; the one on such a car is laid aside for it.
 * @param {Procedure} page @param {Job} job @param {string} now */
export function takeUpAgain(page, job, now) {
  layAside(keptKey(page, job.car), now);
  saveJob({ ...job, rests: "", sure: now }, keyOf(job));
}

/** Change what is kept, not what this tab thinks is kept: another tab may have ticked since.
 * @param {Procedure} page @param {Car} car @param {string} now @param {(job: Job) => void} change @returns {Job} */
export function changeJob(page, car, now, change) {
  const before = keptKey(page, car);
  const job = loadJob(page, car);
  if (!job.begun) job.begun = now;
  change(job);
  saveJob(job, before);
  return job;
}

/** All jobs of a procedure that are begun on this phone. @param {Procedure} page @returns {{key: string, job: Job}[]} */
function jobsOf(page) {
  return store.keys(`${PREFIX}${page.id}:`).flatMap((key) => {
    const job = readJob(store.get(key));
    return job && job.procedure === page.id && isBegun(job) ? [{ key, job }] : [];
  });
}

/** A job as it was laid aside since, for one on another car of the same options; null where it was not.
 * @param {Procedure} page @param {Job} job @returns {Job|null} */
export function laidAside(page, job) {
  const found = job.begun && !job.rests ? jobsOf(page).find(({ job: other }) => other.rests && other.begun === job.begun) : null;
  return found?.job ?? null;
}

/** The other jobs of a procedure on this phone: of other cars, or begun with another revision.
 * @param {Procedure} page @param {Car} car @returns {{key: string, job: Job}[]} */
export function otherJobs(page, car) {
  const own = keptKey(page, car);
  return jobsOf(page).filter(({ key }) => key !== own);
}

/** Drop a job, and the photographs that no other job has. @param {string} key */
export function dropJob(key) {
  const job = readJob(store.get(key));
  store.remove(key);
  for (const { picture } of Object.values(job?.remarks ?? {})) if (picture && !isUsed(picture)) void photographs.drop(picture);
}

/** Whether a job on this phone has a photograph. @param {string} picture its name */
export function isUsed(picture) {
  return store.keys(PREFIX).some((key) => store.get(key)?.includes(picture));
}

/** What one tab has of a job that could not be kept, with what another tab has kept since: each has what it changed.
 * @param {string} base what was kept before @param {string} own @param {string} other */
store.together = (base, own, other) => {
  const [was, mine, made] = [readJob(base), readJob(own), readJob(other)];
  if (!mine || !made) return own;
  if (mine.reference !== was?.reference) made.reference = mine.reference;
  for (const [key, reading] of Object.entries(made.readings)) {
    const here = mine.readings[key];
    if (here && here.value !== reading.value && reading.value && reading.value !== was?.readings[key]?.value) made.aside[key] ??= reading;
  }
  const parts = PARTS.map((part) => [part, changedIn(/** @type {Record<string, unknown>} */ (was?.[part] ?? {}), mine[part], made[part])]);
  return JSON.stringify({ ...made, ...Object.fromEntries(parts) });
};

/** @template T @param {Record<string, T>} was @param {Record<string, T>} mine @param {Record<string, T>} other */
function changedIn(was, mine, other) {
  const made = { ...other };
  for (const key of new Set([...Object.keys(was), ...Object.keys(mine)])) {
    const here = mine[key];
    if (JSON.stringify(here) === JSON.stringify(was[key])) continue;
    if (here === undefined) delete made[key];
    else made[key] = here;
  }
  return made;
}
