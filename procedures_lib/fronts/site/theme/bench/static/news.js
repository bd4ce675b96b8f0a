// What the worker knows of the page that is open, for the parts of the page that show it.

import { shownTime } from "./job/dom.js";

const root = new URL(document.documentElement.dataset.content_root ?? "./", location.href);

/** @type {PageNews | null} */
let news = null;
let signedOut = false;
let unreached = false;
let isShut = false;
let compared = 0;
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

/** Whether the server asks for a sign-in before it tells of anything newer. */
export function isSignedOut() {
  return signedOut;
}

/** Whether nothing can be heard of the site: no network, or a server that does not answer. */
export function isOffLine() {
  return unreached || !navigator.onLine;
}

/** Whether this browser keeps nothing of the manual. */
export function isKeptNowhere() {
  return isShut;
}

/** Tell how the device stands with the site. @param {OfflineReport} said */
export function tellSite(said) {
  const before = [signedOut, unreached, isShut].join();
  isShut = said.trouble === "shut";
  [signedOut, unreached, compared] = [Boolean(said.signedOut), Boolean(said.unreached), said.compared ?? compared];
  if ([signedOut, unreached, isShut].join() !== before) listeners.forEach((tell) => tell());
}

/** When the site was last compared with what is here, short: "14:05", or the day where it is another; "" where it never was. */
export function comparedShort() {
  if (!compared) return "";
  const time = new Date(compared);
  const isToday = time.toDateString() === new Date().toDateString();
  return isToday ? time.toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hourCycle: "h23" })
    : time.toLocaleDateString([], { day: "numeric", month: "short" });
}

/** Since when this device has not seen the site as it is, in words; "" where it never did. */
export function comparedText() {
  return compared ? ` This edition was last compared with the shop's manual: ${shownTime(new Date(compared).toISOString())}.` : "";
}

/** A link to where the server asks for the sign-in, and from there back to this place. */
export function signInLink() {
  const link = document.createElement("a");
  const lead = () => {
    const here = `${location.pathname.slice(root.pathname.length)}${location.search}${location.hash}`;
    link.href = new URL(`_static/sign-in.html?to=${encodeURIComponent(here)}`, root).href;
  };
  lead();
  link.addEventListener("click", lead);
  link.className = "sign-in-link";
  link.textContent = "Sign in again";
  return link;
}

/** Call back when there is news. @param {() => void} tell */
export function onNews(tell) {
  listeners.add(tell);
}
