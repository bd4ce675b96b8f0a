// Remarks on the steps of a job, as plain values: in the job, in a link, in a record.

import { photographs } from "./photographs.js";

/** What a remark may say, each with its words on the screen; a link counts by this order. */
export const KINDS = /** @type {[RemarkKind, string][]} */ ([["wrong", "Wrong"], ["missing", "Missing"], ["unclear", "Unclear"], ["slow", "Took longer"]]);

/** What a record holds at most. */
export const MOST_REMARKS = 50;
export const MOST_PHOTOGRAPHS = 30;

/** The characters of a remark. */
export const LONGEST = 300;

/** As much of a text as a remark may have; no character is cut in two. @param {string} text */
export function fitting(text) {
  return text.slice(0, LONGEST).replace(/[\ud800-\udbff]$/, "");
}

/** @param {string} step the step's key @param {string} kind */
export function remarkKey(step, kind) {
  return `${step}|${kind}`;
}

/** @param {Job} job @param {string} key @returns {Remark|null} */
export function remarkAt(job, key) {
  return (Object.hasOwn(job.remarks, key) && job.remarks[key]) || null;
}

/** The words for a kind. @param {string} kind */
export function kindText(kind) {
  return KINDS.find(([each]) => each === kind)?.[1] ?? kind;
}

/** All remarks of a job in the order of the page, those whose step is gone at the end.
 * @param {Job} job @param {Procedure} page @returns {{key: string, step: Step|null, remark: Remark}[]} */
export function remarksOf(job, page) {
  const steps = new Map(page.steps.map((step) => [step.key, step]));
  const place = (/** @type {Step|null} */ step) => step?.number ?? Infinity;
  return Object.entries(job.remarks)
    .filter(([, { kind }]) => KINDS.some(([each]) => each === kind))
    .map(([key, remark]) => ({ key, step: steps.get(remark.step) ?? null, remark }))
    .sort((a, b) => (place(a.step) === place(b.step) ? 0 : place(a.step) - place(b.step)));
}

/** @param {Job} job */
export function photographCount(job) {
  return Object.values(job.remarks).filter((remark) => remark.picture).length;
}

/** What a link leaves behind, in words; "" for nothing. @param {Job} job */
export function photographsLeft(job) {
  const count = photographCount(job);
  const those = count === 1 ? "1 photograph does" : `${count} photographs do`;
  return count ? `${those} not fit in a link: save the record on this phone before you close the job here.` : "";
}

// In a link

/** The remarks on steps of the page, as a link holds them. @param {Job} job @param {Procedure} page
 * @param {(at: string) => number} seconds */
export function remarkRows(job, page, seconds) {
  return remarksOf(job, page).flatMap(({ step, remark: { kind, text, at, picture } }) =>
    (step ? [[step.number, KINDS.findIndex(([each]) => each === kind), text, seconds(at), picture]] : []));
}

/** Put the remarks of a link into a job; throws at the first that is none. @param {Job} job @param {Procedure} page
 * @param {unknown[][]} rows @param {(seconds: unknown) => string} at */
export function putRows(job, page, rows, at) {
  if (rows.length > MOST_REMARKS) throw new Error("too many remarks");
  for (const [number, place, text, after, picture] of rows) {
    const step = page.steps.find((each) => each.number === number);
    const [kind] = KINDS[Number(place)] ?? [];
    const right = typeof text === "string" && text.length <= LONGEST && typeof picture === "string" && /^[a-z0-9]{0,20}$/.test(picture);
    if (!step || !kind || typeof place !== "number" || !right) throw new Error("no remark");
    job.remarks[remarkKey(step.key, kind)] = { step: step.key, kind, text, at: at(after), picture };
  }
}

// In a record

/** The remarks on steps of the page as a record holds them. @param {Job} job @param {Procedure} page */
export function recordedRemarks(job, page) {
  const found = remarksOf(job, page).slice(0, MOST_REMARKS);
  return Promise.all(found.flatMap(({ step, remark }) => (step ? [recorded({ step: step.number }, remark)] : [])));
}

/** The remarks on steps that the page no longer has. @param {Job} job @param {Procedure} page */
export function asideRemarks(job, page) {
  return Promise.all(remarksOf(job, page).flatMap(({ key, step, remark }) => (step ? [] : [recorded({ key }, remark)])));
}

/** @param {{step: number}|{key: string}} place @param {Remark} remark */
async function recorded(place, { kind, text, at, picture }) {
  const jpeg = picture ? await photographs.get(picture) : null;
  const more = jpeg ? { picture: { type: "image/jpeg", data: toBase64(jpeg) } } : {};
  return { ...place, kind, text, at, ...more };
}

/** @param {Uint8Array} bytes */
function toBase64(bytes) {
  return btoa(Array.from(bytes, (byte) => String.fromCharCode(byte)).join(""));
}
