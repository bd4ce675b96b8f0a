// What the worker knows of the page that is open, for the parts of the page that show it.

/** @type {PageNews | null} */
let news = null;
/** @type {Set<() => void>} */
const listeners = new Set();

/** The newer edition of this page; null for none. */
export function pageNews() {
  return news;
}

/** Tell of a newer edition, or that there is none. @param {PageNews | null} found */
export function tellNews(found) {
  if (found?.revision === news?.revision && Boolean(found) === Boolean(news)) return;
  news = found;
  listeners.forEach((tell) => tell());
}

/** Call back when there is news. @param {() => void} tell */
export function onNews(tell) {
  listeners.add(tell);
}
