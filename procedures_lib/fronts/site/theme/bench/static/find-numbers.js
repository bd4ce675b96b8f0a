// Numbers that are typed: an amount in whatever unit, and the number of a step.

import { amountsOf, pageAt } from "./find-index.js";

const MOST_AMOUNTS = 5;
const HALF_DIGIT = 0.5, MOST_OFF = 0.05, STEP_OFF = 0.02, SLACK = 0.0002; // as conversion.py has them for a printed figure
const STEPS = [10, 5, 1, 0.5, 0.1, 0.05, 0.01];
const NEAREST = 0.9, FURTHEST = 0.7;

/** Terms with the amounts of the manual that round to what was typed: 7.4 lbf·ft leads to 10 N·m.
 * @param {QueryTerm[]} terms @param {IndexStart} begun @returns {Promise<QueryTerm[]>} */
export async function withAmounts(terms, begun) {
  const tables = await amountsOf(begun.part);
  return terms.map((term) => {
    const { figure = "", words } = term;
    const near = words.flatMap((word) => nearAmounts(word, figure, tables));
    if (!near.length) return term;
    const units = words.map((word) => tables.units[unitOf(word)]?.[1] ?? unitOf(word));
    return { ...term, said: `${figure} ${units.join(" or ")}`, near: near.slice(0, MOST_AMOUNTS) };
  });
}

/** @param {string} term @returns {string} the unit of an amount's term */
function unitOf(term) {
  return term.replace(/^[\d./]+/u, "");
}

/** The amounts that a figure may stand for, the nearest first; none in its own unit, where another figure is another value.
 * @param {string} word @param {string} figure as it was typed @param {AmountTables} tables */
function nearAmounts(word, figure, { units, amounts }) {
  const unit = unitOf(word);
  const value = Number(figure);
  const known = Object.hasOwn(units, unit) && units[unit];
  if (!known || !(value > 0)) return [];
  const [kind, , worth] = known;
  const reach = reachOf(figure, value) * worth + SLACK * value * worth;
  return (amounts[kind] ?? []).flatMap(([there, written, ...others]) => {
    const off = Math.abs(there - value * worth) / reach;
    const own = unitOf(written);
    if (off > 1 || own === unit || others.includes(word)) return [];
    const guess = `${written.slice(0, written.length - own.length)}\u00a0${units[own]?.[1] ?? own}`;
    return [{ word: written, quality: NEAREST - (NEAREST - FURTHEST) * off, guess }];
  }).sort((a, b) => b.quality - a.quality);
}

/** How far rounding may have moved a figure: half its last digit, or half the step that it is a multiple of.
 * @param {string} figure @param {number} value */
function reachOf(figure, value) {
  const digit = 10 ** -(figure.split(".")[1] ?? "").length;
  const step = STEPS.find((each) => Math.abs(value / each - Math.round(value / each)) < 1e-9) ?? 0;
  return Math.max(Math.min(HALF_DIGIT * digit, MOST_OFF * value), Math.min(step / 2, STEP_OFF * value));
}

/** The term of a step's number. @param {number} number @returns {QueryTerm} */
export function stepTerm(number) {
  return { words: [], plain: false, said: `step ${number}`, step: `step-${number}`,
    near: [{ word: `#${number}`, quality: 1, guess: "" }] };
}

/** Terms in which "step 16" is the number of a step. @param {QueryTerm[]} terms @returns {QueryTerm[]} */
export function withSteps(terms) {
  const found = [];
  for (let at = 0; at < terms.length; at++) {
    const word = terms[at]?.words[0] ?? "";
    const next = /^(?:number|no|nr)$/u.test(terms[at + 1]?.words[0] ?? "") ? at + 2 : at + 1;
    const apart = /^steps?$/u.test(word) ? Number(terms[next]?.words[0]) : NaN;
    const number = Number.isInteger(apart) ? apart : Number(/^step(\d{1,3})$/u.exec(word)?.[1]);
    found.push(number ? stepTerm(number) : /** @type {QueryTerm} */ (terms[at]));
    if (number && number === apart) at = next;
  }
  return found;
}

/** The numbers of the pages of which a job is begun on this device. @param {IndexStart} begun @returns {Promise<Set<number>>} */
export async function begunPages(begun) {
  const { begunJobs } = await import("./job/job.js");
  return new Set(begunJobs().flatMap((job) => (job.page ? [pageAt(begun, job.page)] : [])));
}
