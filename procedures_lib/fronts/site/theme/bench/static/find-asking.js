// How people ask: questions with the kind of row that answers them, and other words of the trade.

import { stem } from "./find-spelling.js";
import { asked, folded } from "./find-words.js";

const OTHER_WORD = 0.8;
const LONGEST_PHRASE = 4;
/** @type {WeakMap<IndexStart, Map<string, Way[]>>} */
const alike = new WeakMap();

/** What a query asks for, and the words that are left to search with.
 * @param {string} text @param {IndexStart} begun @returns {Question} */
export function question(text, begun) {
  let rest = ` ${folded(text).replace(/[^\p{L}\p{N}°%/.,'"#+*·-]+/gu, " ")} `;
  let kinds = "";
  const answers = new Set();
  const keeps = [];
  for (const [phrase, letters, answer, left] of begun.questions) {
    if (!rest.includes(` ${phrase} `)) continue;
    rest = rest.replace(` ${phrase} `, " , ");
    kinds += letters;
    if (answer) answers.add(answer);
    if (left) keeps.push(left);
  }
  const said = [rest, ...keeps].join(" , ");
  return { rest: /[\p{L}\p{N}]/u.test(said) ? said : text, kinds, answers: [...answers] };
}

/** The phrases of the trade, by their stems, each with those that may stand for it.
 * @param {IndexStart} begun @returns {Map<string, Way[]>} */
function phrases(begun) {
  const known = alike.get(begun);
  if (known) return known;
  /** @type {Map<string, Way[]>} */
  const found = new Map();
  const termsOf = (/** @type {string} */ text) => asked(text, begun).flatMap(({ words }) => words.slice(0, 1));
  for (const [words = [], instead = words] of begun.alike) {
    for (const phrase of words) {
      const key = termsOf(phrase).map(stem).join(" ");
      const others = instead.filter((other) => other !== phrase)
        .map((other) => ({ terms: termsOf(other), worth: OTHER_WORD, guess: other }));
      found.set(key, [...(found.get(key) ?? []), ...others]);
    }
  }
  alike.set(begun, found);
  return found;
}

/** Have words of the trade stand for one another: "sway bar" is searched as "anti-roll bar", too.
 * @param {QueryTerm[]} terms @param {IndexStart} begun @returns {QueryGroup[]} */
export function grouped(terms, begun) {
  const known = phrases(begun);
  const found = [];
  for (let at = 0; at < terms.length;) {
    let taken = 1;
    /** @type {Way[]} */
    let others = [];
    for (let n = Math.min(LONGEST_PHRASE, terms.length - at); n > 0 && !others.length; n--) {
      const words = terms.slice(at, at + n).map((one) => (one.plain ? one.words[0] ?? "" : ""));
      others = (words.every(Boolean) && known.get(words.map(stem).join(" "))) || [];
      taken = others.length ? n : 1;
    }
    found.push({ own: terms.slice(at, at + taken), others });
    at += taken;
  }
  return found;
}
