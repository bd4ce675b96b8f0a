// How people ask: questions with the kind of row that answers them, and other words of the trade.

import { slips, slipsAllowed, stem } from "./find-spelling.js";
import { asked, folded } from "./find-words.js";

const OTHER_WORD = 0.8;
const LONGEST_PHRASE = 4;
const LAST = /^~ /u;
const SIZE = /(?:\d|mm|in|inch|hex|torx|point|key)\s*$/u;
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
    const at = asksAt(rest, phrase);
    if (at < 0) continue;
    const said = phrase.replace(LAST, "");
    rest = `${rest.slice(0, at)} , ${rest.slice(at + said.length + 2)}`;
    kinds += letters;
    if (answer) answers.add(answer);
    if (left) keeps.push(left);
  }
  const said = [rest, ...keeps].join(" , ");
  const left = /[\p{L}\p{N}]/u.test(said) ? said : "";
  const marks = [...answers].filter((name) => Object.hasOwn(begun.marks, name));
  return { rest: left || (marks.length ? "" : text), kinds, marks,
    answers: [...answers].map((name) => begun.marks[name] ?? name) };
}

/** Where a question stands: a phrase that begins with "~ " at the end only, and after no size ("13 mm socket").
 * @param {string} rest @param {string} phrase @returns {number} -1 for nowhere */
function asksAt(rest, phrase) {
  if (!LAST.test(phrase)) return rest.indexOf(` ${phrase} `);
  const end = ` ${phrase.replace(LAST, "")} `;
  const before = rest.slice(0, -end.length);
  return rest.endsWith(end) && before.trim() && !SIZE.test(before) ? before.length : -1;
}

/** The row of the tool that answers what a fastener takes; null where no list of tools has it.
 * @param {IndexRow} row @returns {IndexRow | null} */
export function toolRow([, name, shown, when, , facts = {}, tools]) {
  if (!facts.socket || !tools) return null;
  return ["t", facts.socket, [`for ${name}`, shown].filter(Boolean).join(", "), when, tools, facts];
}

/** The other words for what a word is a slip of, "disconect"; where the index has none like it, of the trade's.
 * @param {string} word @param {string[]} guessed those of the index @param {IndexStart} begun @returns {Way[]} */
export function nearPhrase(word, guessed, begun) {
  if (guessed.length) return guessed.flatMap((other) => phrases(begun).get(stem(other)) ?? []);
  const most = slipsAllowed(word);
  const own = stem(word);
  const near = [...phrases(begun)].filter(([key]) => most && !key.includes(" "))
    .map(([key, ways]) => ({ ways, off: slips(own, key, most) }))
    .filter(({ off }) => off <= most);
  const least = Math.min(...near.map(({ off }) => off));
  return near.filter(({ off }) => off === least).flatMap(({ ways }) => ways);
}

/** The phrases of the trade, by their stems, each with those that may stand for it.
 * @param {IndexStart} begun @returns {Map<string, Way[]>} */
function phrases(begun) {
  const known = alike.get(begun);
  if (known) return known;
  /** @type {Map<string, Way[]>} */
  const found = new Map();
  const add = (/** @type {string} */ key, /** @type {Way[]} */ ways) => found.set(key, [...(found.get(key) ?? []), ...ways]);
  const termsOf = (/** @type {string} */ text) => asked(text, begun).flatMap(({ words }) => words.slice(0, 1));
  for (const [words = [], instead = words] of begun.alike) {
    for (const phrase of words) {
      const stems = termsOf(phrase).map(stem);
      const others = instead.filter((other) => other !== phrase)
        .map((other) => ({ terms: termsOf(other), worth: OTHER_WORD, guess: other }));
      add(stems.join(" "), others);
      if (stems.length > 1) add(stems.join(""), [{ terms: termsOf(phrase), worth: OTHER_WORD, guess: phrase }, ...others]);
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
