// The files of the index, fetched when they are needed and kept while the page is open.

import { stemmer } from "./find-spelling.js";

export const FORMAT = 5;
const MOST_SHARDS = 4;

/** The address of the top of the site. */
export const top = new URL(document.documentElement.dataset.content_root ?? "./", location.href);

/** The index could not be had; the message is for the reader. */
export class NoIndex extends Error {
  /** @override known by it where this module is not loaded yet */
  name = "NoIndex";
}

/** @type {Map<string, Promise<unknown>>} */
const kept = new Map();

/** @template T @param {string} path from the top @returns {Promise<T>} */
function file(path) {
  const loading = kept.get(path) ?? fetchJson(path);
  if (!kept.has(path)) {
    loading.catch(() => kept.delete(path)); // the next search asks again
    kept.set(path, loading);
  }
  return /** @type {Promise<T>} */ (loading);
}

/** @param {string} path @returns {Promise<unknown>} */
async function fetchJson(path) {
  let answer;
  try {
    answer = await fetch(new URL(path, top));
  } catch {
    throw new NoIndex("The search index can’t be reached: no network, and no copy on this phone.");
  }
  if (!answer.ok) throw new NoIndex(`The search index is not complete (${answer.status}).`);
  return answer.json();
}

/** @param {Part} part @returns {Promise<IndexStart>} */
export async function start(part) {
  /** @type {[IndexStart, unknown]} */
  const [found] = await Promise.all([file(`${part}/start.json`), stemmer(top)]);
  if (found.format !== FORMAT) throw new NoIndex("The manual has changed: load this page again.");
  return found;
}

/** @param {Part} part @returns {Promise<string[]>} every word of letters alone that leads somewhere */
export function everyWord(part) {
  return file(`${part}/words.json`);
}

/** @param {Part} part @returns {Promise<AmountTables>} the amounts of the manual, in every unit */
export function amountsOf(part) {
  return file(`${part}/amounts.json`);
}

/** @param {string} name of a page @param {Part} part @returns {Promise<PageRows>} */
export async function rowsOf(name, part) {
  const { pages, pagesAFile } = await start(part);
  const page = pages.findIndex(([own]) => own === name);
  /** @type {PageRows[]} */
  const together = await file(`${part}/rows/${Math.floor(page / pagesAFile)}.json`);
  return together[page % pagesAFile] ?? { rows: [], guests: [] };
}

/**
 * The shards with a word and with words that begin like it.
 * @param {IndexStart} begun
 * @param {string} word
 * @returns {Promise<Shard[]>}
 */
export function shardsOf(begun, word) {
  let own = "";
  for (let n = 1; n <= word.length; n++) {
    if (Object.hasOwn(begun.shards, word.slice(0, n))) own = word.slice(0, n);
  }
  const longer = Object.keys(begun.shards)
    .filter((prefix) => prefix.startsWith(word) && prefix !== own)
    .slice(0, MOST_SHARDS);
  const names = [...(own ? [own] : []), ...longer];
  return Promise.all(names.map((prefix) => file(`${begun.part}/terms/t-${begun.shards[prefix]}.json`)));
}

/** @param {IndexStart} begun @returns {number} the number of the page that is open, or -1 */
export function pageHere(begun) {
  return pageAt(begun, location.href);
}

/** @param {IndexStart} begun @param {string} address @returns {number} the number of the page there, or -1 */
export function pageAt(begun, address) {
  const bare = (/** @type {string} */ path) => path.replace(/(^|\/)index\.html$/u, "$1");
  const there = bare(new URL(address, top).pathname);
  return begun.pages.findIndex(([, uri]) => bare(new URL(uri, top).pathname) === there);
}
