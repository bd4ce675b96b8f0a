// Hits as a list of links: kind, name, the number wanted, the page. Texts go in as texts.

import { carHere } from "./find-car.js";
import { top } from "./find-index.js";

const MOST_FURTHER = 4;

/** An element with a class and children; texts are never read as HTML.
 * @template {keyof HTMLElementTagNameMap} Name
 * @param {Name} name @param {string} css @param {...(Node | string)} children */
function made(name, css, ...children) {
  const element = document.createElement(name);
  if (css) element.className = css;
  element.append(...children);
  return element;
}

/** @param {HitPlace} place @returns {string} */
function address({ uri, anchor, here }) {
  const hash = anchor ? `#${encodeURIComponent(anchor)}` : "";
  return here && hash ? hash : String(new URL(uri, top)) + hash;
}

/**
 * @param {Hit} hit
 * @param {boolean} full whether there is room for its other pages
 */
function item(hit, full) {
  const [first, ...others] = hit.places;
  const link = made("a", "find-hit");
  link.href = address(first);
  link.append(made("span", "find-kind", hit.kind), " ", made("b", "find-name", hit.name));
  for (const fact of hit.answer) link.append(" ", made("b", "find-answer", fact));
  if (hit.shown) link.append(" ", made("span", "find-shown", ...unbroken(hit.shown)));
  if (hit.off) link.classList.add("find-off");
  const whose = [hit.foreign ? "another vehicle" : hit.off ? "not for my car" : "", hit.when && `only: ${hit.when}`];
  if (whose.some(Boolean)) link.append(" ", made("span", "find-when", whose.filter(Boolean).join(", ")));
  if (hit.replaced) link.append(" ", made("span", "find-when", `replaced by ${hit.replaced}`));
  if (hit.also) link.append(" ", made("span", "find-page", `also: ${hit.also}`));
  const pages = others.length === 1 ? "1 more page" : `${others.length} more pages`;
  const also = others.length ? `, and on ${pages}` : "";
  const where = first.here ? "on this page" : first.title;
  if (hit.name !== first.title) link.append(" ", made("span", "find-page", where + (full ? "" : also)));
  const entry = made("li", "", link);
  if (full && others.length) entry.append(further(others));
  return entry;
}

/** Texts between commas, none of which is broken over two lines: "10 N·m (89 lbf·in)". @param {string} text */
function unbroken(text) {
  const pieces = text.split(", ");
  return pieces.flatMap((piece, n) => {
    const more = n < pieces.length - 1;
    return [made("span", "find-piece", piece + (more ? "," : "")), ...(more ? [" "] : [])];
  });
}

/** @param {HitPlace[]} places */
function further(places) {
  const links = places.slice(0, MOST_FURTHER).map((place) => {
    const link = made("a", "", place.title);
    link.href = address(place);
    return made("li", "", link, ...(place.off ? [" ", made("span", "find-when", "not for my car")] : []));
  });
  const left = places.length - links.length;
  const more = left > 0 ? [made("li", "", `and ${left} more`)] : [];
  return made("ul", "find-further", made("li", "", "Also:"), ...links, ...more);
}

/** Show hits in a list. @param {HTMLElement} list @param {Hit[]} hits @param {boolean} full */
export function showHits(list, hits, full) {
  list.replaceChildren(...hits.map((hit) => item(hit, full)));
}

/**
 * @param {Answer} answer
 * @param {Hit[]} listed those of its hits that are shown
 * @returns {string} what was found, in a sentence that is read out, and what was guessed
 */
export function told({ hits, total, missed, loose }, listed) {
  const off = listed.filter((hit) => hit.off).length;
  const car = off ? carHere() : "";
  const lost = missed.length ? ` Nothing has ${missed.map((word) => `“${word}”`).join(", ")}.` : "";
  if (!hits.length) return `Nothing found.${lost}`;
  const count = total === 1 ? "1 found" : `${total} found`;
  const shown = total > listed.length ? `${count}, the first ${listed.length} listed` : count;
  const others = off ? `, ${off === listed.length ? "" : `the last ${off} `}not for my car${car && `: ${car}`}` : "";
  return `${shown}${others}${loose ? ", none with all words" : ""}.${lost}${guessed(listed)}`;
}

/** @param {Hit[]} listed @returns {string} which words were read as others */
function guessed(listed) {
  const told = listed.flatMap(({ guesses }) => guesses).map(({ typed, meant }) => `“${typed}” as “${meant}”`);
  return told.length ? ` Guessed: ${[...new Set(told)].join(", ")}.` : "";
}
