// The state of a job in a link: "#job=3.DIGITS", digits alone, which a QR code holds in the least room. It is read
// whole or not at all.
//
// DIGITS are the number of the part and how many parts there are (two digits each), the CRC-32 of the whole payload
// (ten), a part of the payload, and the CRC-32 of all that stands before it from the "3" on. The payload is a list,
// packed as packed.js says: procedure, revision, digest, car, begun, reference, ticks, readings (these two as columns),
// and where there are any: remarks, as columns the stages that are ticked and have nothing to read, hand-overs, what
// was done of steps before they were changed (as columns the steps, and what was read or ticked of their stages), and
// the readings whose stage was ticked by hand. Steps, readings and stages are named by their place on the page, which
// the digest fixes; those of before by joint and stage, as the page may have them no longer. Times are seconds since
// the job was begun. "#job=2." of before, with minutes, and "#job=1.PAYLOAD.CHECK", JSON in base64url with its ticks
// and readings as rows, are still read, as are links without stages. The CRC (ISO-HDLC, as in zip files) finds
// accidents, not forgers: who can make the link can make the check; so the receiving technician is asked.

import { carWord, newJob, readingKey, stageTime } from "./job.js";
import { columnsOf, packed, rowsOf, unpacked } from "./packed.js";
import { readingsOf, stagesOf } from "./page.js";
import { putRows, remarkRows } from "./remarks.js";

const MARK = "#job=";
const VERSION = "3";
/** What a time of a link counts, in ms, by its version. */
const COUNTED = new Map([["1", 60_000], ["2", 60_000], [VERSION, 1000]]);
const LONGEST_JOB = 5_000_000 * 60_000;
const LONGEST = 60_000;
const MOST_PARTS = 99;
const PART = /^([23])\.(\d\d)(\d\d)(\d{10})(\d+)(\d{10})$/;
/** The columns of ticks (of steps, and of stages) and of readings, and those of them that mostly rise. */
const TICKS = { width: 2, rising: [0, 1] };
const READINGS = { width: 6, rising: [0, 5] };
/** The same of what was done before a change: of its steps, and of its stages. */
const BEFORE = { width: 3, rising: [0, 2] };
const READ_BEFORE = { width: 9, rising: [0, 7] };
/** The places of readings whose tick stays when the number goes. */
const BY_HAND = { width: 1, rising: [0] };
const MOST_STAGES = 1000;

/** @param {string} text @returns {string} */
export function checksum(text) {
  let crc = 0xffffffff;
  for (const byte of new TextEncoder().encode(text)) {
    crc ^= byte;
    for (let n = 0; n < 8; n++) crc = crc & 1 ? (crc >>> 1) ^ 0xedb88320 : crc >>> 1;
  }
  return ((crc ^ 0xffffffff) >>> 0).toString(16).padStart(8, "0");
}

/** @param {string} text @returns {Uint8Array} */
function fromBase64(text) {
  if (!/^[\w-]*$/.test(text)) throw new Error("not base64url");
  return Uint8Array.from(atob(text.replaceAll("-", "+").replaceAll("_", "/")), (sign) => sign.charCodeAt(0));
}

/** Seconds since a job was begun; less than 0 for a time that somebody has set before. @param {string} begun @param {string|undefined} at */
function seconds(begun, at) {
  return Math.round((Date.parse(at ?? "") - Date.parse(begun)) / 1000) || 0;
}

/** What a link says of a job on the page as it is now, packed. @param {Job} job @param {Procedure} page @returns {Promise<string>} */
export function payloadOf(job, page) {
  const ticks = page.steps.flatMap((step) => (Object.hasOwn(job.ticks, step.key) ? [[step.number, seconds(job.begun, job.ticks[step.key])]] : []));
  const readings = readingsOf(page).flatMap(({ step, asked }, place) => {
    const found = job.readings[readingKey(step.key, asked)];
    return found ? [[place, found.value, found.unit, found.wrench, found.initials, found.at ? seconds(job.begun, found.at) : ""]] : [];
  });
  const remarks = remarkRows(job, page, (at) => seconds(job.begun, at));
  const stages = stageRows(job, page);
  const handovers = page.steps.flatMap((step) => (Object.hasOwn(job.handovers, step.key) ? [[step.number, seconds(job.begun, job.handovers[step.key])]] : []));
  const more = [remarks, stages.length ? columnsOf(stages, TICKS.width, TICKS.rising) : [], handovers, beforeColumns(job, page), handColumns(job, page)];
  while (more.length && !more.at(-1)?.length) more.pop();
  return packed([job.procedure, job.revision, job.digest, job.car, job.begun, job.reference,
    columnsOf(ticks, TICKS.width, TICKS.rising), columnsOf(readings, READINGS.width, READINGS.rising), ...more]);
}

/** The stages that are ticked, but for those that go as readings. @param {Job} job @param {Procedure} page */
function stageRows(job, page) {
  const read = new Set(readingsOf(page).map(({ step, asked }) => readingKey(step.key, asked)));
  return stagesOf(page).flatMap(({ step, asked }, place) => {
    const key = readingKey(step.key, asked);
    const at = read.has(key) ? "" : stageTime(job, key);
    return at ? [[place, seconds(job.begun, at)]] : [];
  });
}

/** The readings with a number whose stage was ticked by hand; an empty list for none. @param {Job} job @param {Procedure} page */
function handColumns(job, page) {
  const found = readingsOf(page).flatMap(({ step, asked }, place) => {
    const { value, hand } = job.readings[readingKey(step.key, asked)] ?? {};
    return value && hand ? [[place]] : [];
  });
  return found.length ? columnsOf(found, BY_HAND.width, BY_HAND.rising) : [];
}

/** What was done of steps before they were changed; an empty list for nothing. @param {Job} job @param {Procedure} page */
function beforeColumns(job, page) {
  const found = page.steps.flatMap((step) => {
    const before = Object.hasOwn(job.before, step.key) ? job.before[step.key] : null;
    return before ? [{ ...before, number: step.number }] : [];
  });
  if (!found.length) return [];
  const after = (/** @type {string} */ at) => at && seconds(job.begun, at);
  const steps = found.map(({ number, revision, tick }) => [number, revision, after(tick)]);
  const readings = found.flatMap((before) => Object.entries(before.readings).map(([key, { value, unit, wrench, initials, at, hand }]) => {
    const [joint, stage] = key.split("|").slice(-2);
    return [before.number, joint, Number(stage), value, unit, wrench, initials, after(at), hand ? 1 : 0];
  }));
  return [columnsOf(steps, BEFORE.width, BEFORE.rising), columnsOf(readings, READ_BEFORE.width, READ_BEFORE.rising)];
}

/** @param {string} text @returns {string} its CRC-32 in ten digits */
function check(text) {
  return String(Number.parseInt(checksum(text), 16)).padStart(10, "0");
}

/** A payload in so many fragments, of about the same length. @param {string} payload @param {number} [count] @param {string} [version] @returns {string[]} */
export function fragmentsOf(payload, count = 1, version = VERSION) {
  const two = (/** @type {number} */ n) => String(n).padStart(2, "0");
  const length = Math.ceil(payload.length / count);
  return Array.from({ length: count }, (_, n) => {
    const body = `${version}.${two(n + 1)}${two(count)}${check(payload)}${payload.slice(n * length, (n + 1) * length)}`;
    return `${MARK}${body}${check(body)}`;
  });
}

/** @typedef {{version: string, number: number, of: number, whole: string, text: string}} Part a part of a payload, with the check of the whole */

/** The part of a payload in a fragment; null for another kind of link, or a damaged one. @param {string} fragment @returns {Part|null} */
export function partIn(fragment) {
  const [body, version = "", number, of, whole = "", text = "", own] = PART.exec(fragment.slice(MARK.length)) ?? [];
  if (!body || check(body.slice(0, -10)) !== own) return null;
  const part = { version, number: Number(number), of: Number(of), whole, text };
  return part.number >= 1 && part.number <= part.of && part.of <= MOST_PARTS ? part : null;
}

/** The list in a fragment that holds a whole job, or why it is refused. @param {string} fragment
 * @returns {Promise<{value: unknown[]} | {refused: string}>} */
async function valueIn(fragment) {
  const [version = "", payload = "", crc, ...others] = fragment.slice(MARK.length).split(".");
  if (fragment.length > LONGEST) return { refused: "This link is longer than any that this manual makes." };
  if (!COUNTED.has(version) && /^\d+$/.test(version)) return { refused: "This link was made by another version of the manual." };
  const part = partIn(fragment);
  const old = version === "1" && !others.length && checksum(`${version}.${payload}`) === crc;
  if (!old && (part?.of !== 1 || check(part.text) !== part.whole)) {
    return { refused: "This link is damaged or cut off. Nothing was taken from it. Ask for it again, or scan the code." };
  }
  if (part?.text.startsWith("1") && typeof DecompressionStream !== "function") {
    return { refused: "This browser is too old for this link. Open it with a newer one." };
  }
  if (!part) return { value: JSON.parse(new TextDecoder("utf-8", { fatal: true }).decode(fromBase64(payload))) };
  const value = /** @type {unknown[]} */ (await unpacked(part.text));
  const [ticks, readings, remarks = [], stages = [], handovers = [], before = [], byHand = []] = value.slice(6);
  const [steps = [], read = []] = rows(before);
  return { value: [...value.slice(0, 6), rowsOf(ticks, TICKS.rising), rowsOf(readings, READINGS.rising), remarks, rowsOf(stages, TICKS.rising), handovers,
    [rowsOf(steps, BEFORE.rising), rowsOf(read, READ_BEFORE.rising)], rowsOf(byHand, BY_HAND.rising)] };
}

/** The job in a fragment, or why it is refused. @param {string} fragment @param {Procedure} page
 * @param {CarOption[]} options @param {(time: Date) => string} stamp
 * @returns {Promise<{job: Job} | {refused: string}>} */
export async function jobIn(fragment, page, options, stamp) {
  try {
    const found = await valueIn(fragment);
    if ("refused" in found) return found;
    const counted = COUNTED.get(fragment.slice(MARK.length).split(".")[0] ?? "") ?? 1000;
    const most = LONGEST_JOB / counted;
    return read(found.value, page, options, (begun, after) => stamp(new Date(Date.parse(begun) + whole(after, most, counted === 1000 ? -most : 0) * counted)));
  } catch {
    return { refused: "This link holds no job that this page can read. Nothing was taken from it." };
  }
}

/** @param {unknown[]} value @param {Procedure} page @param {CarOption[]} options @param {(begun: string, after: unknown) => string} timeAfter */
function read(value, page, options, timeAfter) {
  const [procedure, revision, digest, car, begun, reference, ticks, readings, remarks = [], stages = [], handovers = [], before = [], byHand = []] = value;
  if (procedure !== page.id) return { refused: `This link is for another procedure, ${String(procedure).slice(0, 80)}. Open it there.` };
  if (revision !== page.revision || digest !== page.digest) {
    return { refused: `This link was made on revision ${String(revision).slice(0, 20)}, and this page has ${page.revision} or was changed since. `
      + "Bring the page up to date on the other phone, and hand over again." };
  }
  const job = newJob(page, carOf(car, options));
  job.begun = text(begun);
  const at = (/** @type {unknown} */ after) => timeAfter(job.begun, after);
  if (Number.isNaN(Date.parse(job.begun)) || job.begun.length > 40) throw new Error("begun");
  job.reference = text(reference);
  for (const [kept, told] of /** @type {const} */ ([[job.ticks, ticks], [job.handovers, handovers]])) {
    for (const [number, after] of rows(told)) kept[stepKey(page, number)] = at(after);
  }
  const places = readingsOf(page);
  for (const [place, ...typed] of rows(readings)) {
    const { step, asked } = nth(places, whole(place, places.length - 1));
    job.readings[readingKey(step.key, asked)] = readingIn(typed, at);
  }
  for (const [place] of rows(byHand)) {
    const { step, asked } = nth(places, whole(place, places.length - 1));
    const reading = job.readings[readingKey(step.key, asked)];
    if (!reading) throw new Error("no such reading");
    reading.hand = "yes";
  }
  const all = stagesOf(page);
  for (const [place, after] of rows(stages)) {
    const { step, asked } = nth(all, whole(place, all.length - 1));
    job.readings[readingKey(step.key, asked)] ??= readingIn(["", "", "", "", after], at);
  }
  putRows(job, page, rows(remarks), at);
  putBefore(job, page, rows(before), at);
  return { job };
}

/** Put what was done of steps before they were changed into a job; throws at the first that is none. @param {Job} job
 * @param {Procedure} page @param {unknown[][]} before @param {(after: unknown) => string} at */
function putBefore(job, page, [steps = [], readings = []], at) {
  for (const [number, revision, tick] of rows(steps)) {
    job.before[stepKey(page, number)] = { revision: text(revision), tick: tick === "" ? "" : at(tick), readings: {} };
  }
  for (const [number, joint, stage, ...typed] of rows(readings)) {
    const step = stepKey(page, number);
    const before = job.before[step];
    if (!before || !joint || text(joint).includes("|")) throw new Error("nothing of before");
    before.readings[readingKey(step, { joint: text(joint), stage: whole(stage, MOST_STAGES, 1) })] = readingIn(typed, at);
  }
}

/** A reading as a link tells it; a time without a number is a tick, and set by hand. @param {unknown[]} told
 * @param {(after: unknown) => string} timeOf @returns {Reading} */
function readingIn([typed, unit, wrench, initials, after, hand], timeOf) {
  const value = text(typed);
  const at = after === "" ? "" : timeOf(after);
  return { value, unit: text(unit), wrench: text(wrench), initials: text(initials), at, ...(hand === 1 || (at && !value) ? { hand: "yes" } : {}) };
}

/** @param {Procedure} page @param {unknown} number */
function stepKey(page, number) {
  return nth(page.steps, whole(number, page.steps.length) - 1).key;
}

/** @param {unknown} value @returns {unknown[][]} what is no list of lists throws when it is gone through */
function rows(value) {
  return /** @type {unknown[][]} */ (value);
}

/** @template T @param {T[]} list @param {number} place @returns {T} */
function nth(list, place) {
  const found = list[place];
  if (found === undefined) throw new Error("no such place");
  return found;
}

/** @param {unknown} value @param {CarOption[]} options @returns {Car} */
function carOf(value, options) {
  const car = /** @type {Car} */ (value);
  const known = new Map(options.map(([option, , values]) => [option, values]));
  for (const [option, value] of Object.entries(car)) {
    if (!known.get(option)?.includes(value)) throw new Error(`no such car: ${carWord(car)}`);
  }
  return car;
}

/** @param {unknown} value @param {number} most @param {number} [least] */
function whole(value, most, least = 0) {
  if (typeof value !== "number" || !Number.isInteger(value) || value < least || value > most) throw new Error("not a whole number");
  return value;
}

/** @param {unknown} value */
function text(value) {
  if (typeof value !== "string" || value.length > 2000) throw new Error("not a text");
  return value;
}
