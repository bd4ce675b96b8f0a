// The state of a job in a link: "#job=1.PAYLOAD.CHECK". It is read whole or not at all.
//
// PAYLOAD is JSON in base64url: [procedure, revision, digest, car, begun, reference, ticks, readings, remarks]; the
// last is left out where there are none. Steps and
// readings are named by their place on the page, which the digest fixes. CHECK is the CRC-32 (ISO-HDLC, as in
// zip files) of what stands before it, in hex. It finds accidents, not forgers: who can make the link can make
// the check; that is why the receiving technician is asked.

import { carWord, newJob, readingKey } from "./job.js";
import { readingsOf } from "./page.js";
import { putRows, remarkRows } from "./remarks.js";

const MARK = "#job=";
const VERSION = "1";
const LONGEST = 60_000;

/** @param {string} text @returns {string} */
export function checksum(text) {
  let crc = 0xffffffff;
  for (const byte of new TextEncoder().encode(text)) {
    crc ^= byte;
    for (let n = 0; n < 8; n++) crc = crc & 1 ? (crc >>> 1) ^ 0xedb88320 : crc >>> 1;
  }
  return ((crc ^ 0xffffffff) >>> 0).toString(16).padStart(8, "0");
}

/** @param {Uint8Array} bytes */
function toBase64(bytes) {
  const text = Array.from(bytes, (byte) => String.fromCharCode(byte)).join("");
  return btoa(text).replaceAll("+", "-").replaceAll("/", "_").replace(/=+$/, "");
}

/** @param {string} text @returns {Uint8Array} */
function fromBase64(text) {
  if (!/^[\w-]*$/.test(text)) throw new Error("not base64url");
  return Uint8Array.from(atob(text.replaceAll("-", "+").replaceAll("_", "/")), (sign) => sign.charCodeAt(0));
}

/** Minutes since a job was begun. @param {string} begun @param {string|undefined} at */
function minutes(begun, at) {
  return Math.max(0, Math.round((Date.parse(at ?? "") - Date.parse(begun)) / 60_000)) || 0;
}

/** The fragment for a job on the page as it is now. @param {Job} job @param {Procedure} page @returns {string} */
export function fragmentOf(job, page) {
  const ticks = page.steps.flatMap((step) => (Object.hasOwn(job.ticks, step.key) ? [[step.number, minutes(job.begun, job.ticks[step.key])]] : []));
  const readings = readingsOf(page).flatMap(({ step, asked }, place) => {
    const found = job.readings[readingKey(step.key, asked)];
    return found ? [[place, found.value, found.unit, found.wrench, found.initials, found.at ? minutes(job.begun, found.at) : ""]] : [];
  });
  const remarks = remarkRows(job, page, (at) => minutes(job.begun, at));
  const value = [job.procedure, job.revision, job.digest, job.car, job.begun, job.reference, ticks, readings, ...(remarks.length ? [remarks] : [])];
  const payload = toBase64(new TextEncoder().encode(JSON.stringify(value)));
  return `${MARK}${VERSION}.${payload}.${checksum(`${VERSION}.${payload}`)}`;
}

/** Whether a fragment is meant to hand a job over. @param {string} fragment */
export function isHandover(fragment) {
  return fragment.startsWith(MARK);
}

/** The job in a fragment, or why it is refused. @param {string} fragment @param {Procedure} page
 * @param {CarOption[]} options @param {(time: Date) => string} stamp
 * @returns {{job: Job} | {refused: string}} */
export function jobIn(fragment, page, options, stamp) {
  const [version = "", payload = "", check, ...others] = fragment.slice(MARK.length).split(".");
  if (fragment.length > LONGEST) return { refused: "This link is longer than any that this manual makes." };
  if (version !== VERSION && /^\d+$/.test(version)) return { refused: "This link was made by another version of the manual." };
  if (others.length || checksum(`${version}.${payload}`) !== check) {
    return { refused: "This link is damaged or cut off. Nothing was taken from it. Ask for it again, or scan the code." };
  }
  try {
    return read(JSON.parse(new TextDecoder("utf-8", { fatal: true }).decode(fromBase64(payload))), page, options, stamp);
  } catch {
    return { refused: "This link holds no job that this page can read. Nothing was taken from it." };
  }
}

/** @param {unknown[]} value @param {Procedure} page @param {CarOption[]} options @param {(time: Date) => string} stamp */
function read(value, page, options, stamp) {
  const [procedure, revision, digest, car, begun, reference, ticks, readings, remarks = []] = value;
  if (procedure !== page.id) return { refused: `This link is for another procedure, ${String(procedure).slice(0, 80)}. Open it there.` };
  if (revision !== page.revision || digest !== page.digest) {
    return { refused: `This link was made on revision ${String(revision).slice(0, 20)}, and this page has ${page.revision} or was changed since. `
      + "Bring the page up to date on the other phone, and hand over again." };
  }
  const job = newJob(page, carOf(car, options));
  job.begun = text(begun);
  const start = Date.parse(job.begun);
  const at = (/** @type {unknown} */ after) => stamp(new Date(start + whole(after, 5_000_000) * 60_000));
  if (Number.isNaN(start) || job.begun.length > 40) throw new Error("begun");
  job.reference = text(reference);
  for (const [number, after] of rows(ticks)) job.ticks[nth(page.steps, whole(number, page.steps.length) - 1).key] = at(after);
  const places = readingsOf(page);
  for (const [place, typed, unit, wrench, initials, after] of rows(readings)) {
    const { step, asked } = nth(places, whole(place, places.length - 1));
    job.readings[readingKey(step.key, asked)] = {
      value: text(typed), unit: text(unit), wrench: text(wrench), initials: text(initials), at: after === "" ? "" : at(after),
    };
  }
  putRows(job, page, rows(remarks), at);
  return { job };
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

/** @param {unknown} value @param {number} most */
function whole(value, most) {
  if (typeof value !== "number" || !Number.isInteger(value) || value < 0 || value > most) throw new Error("not a whole number");
  return value;
}

/** @param {unknown} value */
function text(value) {
  if (typeof value !== "string" || value.length > 2000) throw new Error("not a text");
  return value;
}
