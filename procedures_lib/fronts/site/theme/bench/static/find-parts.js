// One query in several indexes: what technicians look for, and the writers' guide where it is asked for.

import { search } from "./find-search.js";

/** @param {string} text @param {[Part, ...Part[]]} parts the first goes first @returns {Promise<Answer>} */
export async function searchIn(text, parts) {
  const found = await Promise.all(parts.map((part) => search(text, part)));
  const best = found.filter(({ hits, missed, loose }) => hits.length && !missed.length && !loose);
  const [first, ...others] = best.length ? best : found;
  return others.reduce((all, one) => ({
    hits: [...all.hits, ...one.hits],
    total: all.total + one.total,
    missed: all.missed.filter((word) => one.missed.includes(word)),
    loose: all.loose && one.loose,
  }), /** @type {Answer} */ (first));
}
