// A job: one procedure carried out on one car. Plain values; what is on the screen is made from them.

import { mayApply } from "./condition.js";
import { photographs } from "./photographs.js";
import { store } from "./store.js";

const PREFIX = "procedures-job:";
const FORMAT = 1;
const RESUME = "#begun=";

/** The options of a car as one word, sorted: "tow-eye=fitted,transmission=manual". @param {Car} car */
export function carWord(car) {
  return Object.keys(car).sort().map((option) => `${option}=${car[option]}`).join(",");
}

/** @param {{procedure: string, revision: string, car: Car}} job */
export function keyOf(job) {
  return `${PREFIX}${job.procedure}:${job.revision}:${carWord(job.car)}`;
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
    && Array.isArray(found.seen) && found.seen.every((pair) => Array.isArray(pair) && pair.length === 2);
  return right ? /** @type {Job} */ (/** @type {unknown} */ (found)) : null;
}

/** The job of a procedure on a car, as this phone has it; a new one where it has none.
 * @param {Procedure} page @param {Car} car @returns {Job} */
export function loadJob(page, car) {
  const blank = newJob(page, car);
  const found = readJob(store.get(keyOf(blank)));
  return found && found.procedure === page.id ? found : blank;
}

/** Keep a job. @param {Job} job */
export function saveJob(job) {
  store.set(keyOf(job), JSON.stringify(job));
}

/** Change what is kept, not what this tab thinks is kept: another tab may have ticked since.
 * @param {Procedure} page @param {Car} car @param {string} now @param {(job: Job) => void} change @returns {Job} */
export function changeJob(page, car, now, change) {
  const job = loadJob(page, car);
  if (!job.begun) job.begun = now;
  change(job);
  saveJob(job);
  return job;
}

/** The other jobs of a procedure on this phone: of other cars, or begun with another revision.
 * @param {Procedure} page @param {Car} car @returns {{key: string, job: Job}[]} */
export function otherJobs(page, car) {
  const own = keyOf(newJob(page, car));
  const found = [];
  for (const key of store.keys(`${PREFIX}${page.id}:`)) {
    const job = key === own ? null : readJob(store.get(key));
    if (job && job.procedure === page.id && isBegun(job)) found.push({ key, job });
  }
  return found;
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
