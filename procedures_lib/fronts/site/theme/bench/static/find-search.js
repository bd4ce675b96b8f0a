// One query: terms to ids, ids to a ranking, the first of them to hits.

import { grouped, nearPhrase, question, toolRow } from "./find-asking.js";
import { forChosenCar, vehicleInHand } from "./find-car.js";
import { everyWord, pageHere, rowsOf, shardsOf, start } from "./find-index.js";
import { slips, slipsAllowed, stem } from "./find-spelling.js";
import { asked, joinable } from "./find-words.js";

const EXACT = 1, SAME_STEM = 0.9, BEGINS = 0.75, NEAR = 1, SAID_OF_IT = 0.35;
/** @type {Record<string, number>} */
const KIND = { f: 1.15, p: 1.2, c: 1.05, l: 1.1, t: 1.1, u: 1, s: 1, v: 1.6, k: 1.3, g: 1.15, h: 0.9 };
const TIER = [1, 0.8, 0.5]; // a kit's things stand on procedures, what they replace on the car alone
const HERE = 1.6, HINTED = 1.4, HINT_SAID = 0.3, WHOLE_NAME = 0.5, ASKED = 2, ANSWERS = 1.3;
const FOREIGN = 0.5; // of a vehicle that is not in hand
const MOST_WORDS = 40;
const LOOKED_AT = 12;

/**
 * Search the manual.
 * @param {string} text
 * @param {Part} part which of its indexes
 * @returns {Promise<Answer>}
 */
export async function search(text, part = "find") {
  const begun = await start(part);
  const { rest, kinds, answers } = question(text, begun);
  const terms = await withPartNumbers(asked(rest, begun), begun);
  const groups = grouped(terms, begun);
  const scored = await Promise.all(groups.map((group) => scoredGroup(group, kinds, begun)));
  const known = scored.filter(({ scores }) => scores.size);
  const missed = scored.filter(({ scores, hint }) => !scores.size && !hint)
    .flatMap(({ group }) => group.own.flatMap(({ words }) => words.slice(0, 1)));
  const here = pageHere(begun);
  const own = begun.pages[here];
  const guests = new Set(own ? (await rowsOf(own[0], begun.part)).guests : []);
  const isHere = (/** @type {number} */ id) =>
    Math.floor(id / begun.stride) === here || guests.has(id);
  const inHand = begun.cars.indexOf(vehicleInHand());
  const isForeign = (/** @type {number} */ id) => {
    const car = begun.pages[Math.floor(id / begun.stride)]?.[4] ?? -1;
    return inHand >= 0 && car >= 0 && car !== inHand;
  };
  const { ranked, loose } = rank(known, (id) => (isForeign(id) ? FOREIGN : isHere(id) ? HERE : 1));
  const hits = await hitsOf(ranked.slice(0, LOOKED_AT), { known, answers, here, isForeign }, begun);
  return { hits, total: ranked.length, missed, loose };
}

/** Read neighbours as one part number where the index has it.
 * @param {QueryTerm[]} groups @param {IndexStart} begun @returns {Promise<QueryTerm[]>} */
async function withPartNumbers(groups, begun) {
  for (const { from, to, word } of joinable(groups)) {
    const shards = await shardsOf(begun, word);
    const starts = (/** @type {string} */ term) => term.startsWith(word);
    if (shards.some((shard) => Object.keys(shard).some(starts))) {
      const one = { words: [word], plain: false };
      const rest = [...groups.slice(0, from), one, ...groups.slice(to + 1)];
      return rest.length > 1 ? withPartNumbers(rest, begun) : rest;
    }
  }
  return groups;
}

/** What a group of words leads to, and for which ids it was read otherwise than it was typed.
 * @param {QueryGroup} group @param {string} kinds those asked for @param {IndexStart} begun
 * @returns {Promise<ScoredGroup>} */
async function scoredGroup(group, kinds, begun) {
  const said = group.own.length === 1 ? hintOf(group.own[0]?.words[0], begun) : "";
  const ways = await Promise.all(group.others.map((way) => wayScores(way, kinds, begun)));
  const typed = await ownScores(group, !said && !ways.some(({ size }) => size), kinds, begun);
  const { scores, guesses } = typed;
  takeIn(typed, group.others, ways, new Set(scores.keys())); // by what was typed: no guess
  const hint = said || [...guesses.values()].map((word) => hintOf(word, begun)).find(Boolean) || "";
  if (!hint && !ways.length && (guesses.size || !scores.size)) await readAsPhrase(group, kinds, begun, typed);
  return { group, hint, scores, guesses };
}

/** Add what a word leads to that is a slip of one of the trade: "disconect", "lugnutt".
 * @param {QueryGroup} group @param {string} kinds @param {IndexStart} begun
 * @param {{scores: Scores, guesses: Map<number, string>}} typed what it leads to otherwise */
async function readAsPhrase({ own }, kinds, begun, typed) {
  const word = (own.length === 1 && own[0]?.plain && own[0].words[0]) || "";
  const ways = word ? nearPhrase(word, [...new Set(typed.guesses.values())], begun) : [];
  takeIn(typed, ways, await Promise.all(ways.map((way) => wayScores(way, kinds, begun))), new Set());
}

/** Take in what other ways to say a thing lead to, where that is better than what was found so far.
 * @param {{scores: Scores, guesses: Map<number, string>}} typed @param {Way[]} ways @param {Scores[]} each those of each way
 * @param {Set<number>} sure rows of which it is no guess */
function takeIn({ scores, guesses }, ways, each, sure) {
  ways.forEach(({ worth, guess }, n) => {
    for (const [id, score] of each[n] ?? []) {
      if (score * worth <= (scores.get(id) ?? 0)) continue;
      scores.set(id, score * worth);
      if (!sure.has(id)) guesses.set(id, guess);
    }
  });
}

/** @param {string | undefined} word @param {IndexStart} begun @returns {string} the kind that a word asks for, or "" */
function hintOf(word = "", begun) {
  return (Object.hasOwn(begun.hints, word) && begun.hints[word]) || "";
}

/** @param {Way} way @param {string} kinds @param {IndexStart} begun @returns {Promise<Scores>} */
async function wayScores({ terms }, kinds, begun) {
  const each = await Promise.all(terms.map(async (term) =>
    scoresOf(like(term, await shardsOf(begun, term)).map((one) => ({ ...one, guess: "" })), kinds).scores));
  return together(each);
}

/** What all of some terms lead to, with the mean of its scores. @param {Scores[]} each @returns {Scores} */
function together(each) {
  const [first = new Map(), ...others] = each;
  if (!others.length) return first;
  /** @type {Scores} */
  const all = new Map();
  for (const [id, score] of first) {
    if (!others.every((one) => one.has(id))) continue;
    all.set(id, others.reduce((sum, one) => sum + (one.get(id) ?? 0), score) / each.length);
  }
  return all;
}

/** @param {QueryGroup} group @param {boolean} guessing whether a slip may be put right @param {string} kinds @param {IndexStart} begun */
async function ownScores({ own }, guessing, kinds, begun) {
  const each = await Promise.all(own.map(async ({ words }) => {
    const meant = await Promise.all(words.map((word) => termsLike(word, guessing, begun)));
    return scoresOf(meant.flat(), kinds);
  }));
  const guesses = new Map(each.flatMap((one) => [...one.guesses]));
  return { scores: together(each.map(({ scores }) => scores)), guesses };
}

/** @param {Meaning[]} terms @param {string} kinds those asked for */
function scoresOf(terms, kinds) {
  /** @type {Scores} */
  const scores = new Map();
  /** @type {Map<number, string>} */
  const guesses = new Map();
  for (const { groups, quality, guess } of terms) {
    for (const [group, differences] of Object.entries(groups)) {
      const letter = group.charAt(0);
      const worth = quality * (group.endsWith("s") ? 1 : SAID_OF_IT) * (kinds.includes(letter) ? ASKED : 1);
      let id = 0;
      for (const step of differences) {
        id += step;
        const value = worth * (KIND[letter] ?? 0) * (TIER[Number(group[1])] ?? 0);
        if (value <= (scores.get(id) ?? 0)) continue;
        scores.set(id, value);
        if (guess) guesses.set(id, guess);
      }
    }
  }
  return { scores, guesses };
}

/** The terms that a word may mean, each with its ids and how sure that is.
 * @param {string} word @param {boolean} guessing @param {IndexStart} begun @returns {Promise<Meaning[]>} */
async function termsLike(word, guessing, begun) {
  const close = like(word, await shardsOf(begun, word)).map((one) => ({ ...one, guess: "" }));
  if (close.length || !guessing || !slipsAllowed(word)) return close;
  const most = slipsAllowed(word);
  const every = await everyWord(begun.part);
  const meant = every.map((other) => ({ other, off: slips(word, other, most) }))
    .filter(({ off }) => off <= most)
    .sort((a, b) => a.off - b.off)
    .slice(0, 5);
  const found = await Promise.all(meant.map(async ({ other, off }) => {
    const groups = await groupsOf(other, begun);
    return groups ? [{ groups, quality: NEAR / (1 + off), guess: other }] : [];
  }));
  return found.flat();
}

/** @param {string} term @param {IndexStart} begun @returns {Promise<TermGroups | undefined>} */
async function groupsOf(term, begun) {
  const shards = await shardsOf(begun, term);
  return shards.find((one) => Object.hasOwn(one, term))?.[term];
}

/** Terms of the shards that are the word, have its stem, or begin with it.
 * @param {string} word @param {Shard[]} shards */
function like(word, shards) {
  const own = stem(word);
  const found = shards.flatMap((shard) => Object.entries(shard).flatMap(([term, groups]) => {
    const quality = likeness(word, own, term);
    return quality ? [{ term, groups, quality }] : [];
  }));
  found.sort((a, b) => b.quality - a.quality || a.term.length - b.term.length);
  return found.slice(0, MOST_WORDS);
}

/** @param {string} word @param {string} own its stem @param {string} term */
function likeness(word, own, term) {
  if (term === word) return EXACT;
  const goesOn = word.length > 1 && term.startsWith(word);
  const figures = /^\p{L}?[\d.]+$/u.test(word); // 10 begins 10nm, not 100nm; m8 not m80
  if (goesOn && !(figures && /[\d.]/u.test(term.charAt(word.length)))) return BEGINS;
  return own.length > 2 && stem(term) === own ? SAME_STEM : 0;
}

/** Hits that have all words; where there are none, those that have most of them.
 * @param {ScoredGroup[]} known @param {(id: number) => number} worthOf what a row counts for where it stands
 * @returns {{ranked: RankedRow[], loose: boolean}} */
function rank(known, worthOf) {
  const all = known.every(({ hint }) => hint);
  const needed = known.filter(({ hint }) => all || !hint);
  const kinds = new Set(known.map(({ hint }) => hint));
  /** @type {Scores} */
  const counted = new Map();
  for (const { scores } of needed) for (const id of scores.keys()) {
    counted.set(id, (counted.get(id) ?? 0) + 1);
  }
  const most = Math.max(0, ...new Set(counted.values()));
  const ranked = [];
  for (const [id, count] of counted) {
    if (count < most) continue;
    let score = 0;
    for (const { hint, scores } of known) score += (scores.get(id) ?? 0) * (!all && hint ? HINT_SAID : 1);
    ranked.push({ id, score: score * worthOf(id), kinds });
  }
  ranked.sort((a, b) => b.score - a.score || a.id - b.id);
  return { ranked, loose: most < needed.length };
}

/** @param {RankedRow[]} ranked @param {Wanted} wanted @param {IndexStart} begun @returns {Promise<Hit[]>} */
async function hitsOf(ranked, { known, answers, here, isForeign }, begun) {
  const hits = await Promise.all(ranked.map(async ({ id, score, kinds }) => {
    const page = begun.pages[Math.floor(id / begun.stride)];
    const row = page && (await rowsOf(page[0], begun.part)).rows[id % begun.stride];
    if (!row) throw new Error(`the index has no row ${id}`);
    const facts = row[5] ?? {};
    const answer = answers.flatMap((name) => facts[name] ?? []);
    const guesses = known.flatMap(({ group, guesses: read }) => {
      const meant = read.get(id);
      return meant ? [{ typed: group.own.map((one) => one.words[0]).join(" "), meant }] : [];
    });
    const words = known.reduce((sum, { group, guesses: read }) =>
      sum + (read.get(id)?.split(" ").length ?? group.own.length), 0);
    const told = answers.includes("socket") ? toolRow(row) : null;
    const foreign = isForeign(id);
    const off = foreign || !isForCar(begun.cars[page[4]] ?? "", row[3], page[5]);
    const hit = { ...found(told ?? row, begun, here), off, foreign, answer: told ? [] : answer, guesses };
    const named = row[1].split(/\s+/u).filter((word) => !/\d/u.test(word)).length;
    const share = Math.min(1, words / Math.max(1, named));
    const factor = (kinds.has(row[0]) ? HINTED : 1) * (answer.length ? ANSWERS : 1);
    return { hit, score: score * factor * (1 + WHOLE_NAME * share) };
  }));
  const sorted = hits.sort((a, b) => b.score - a.score).map(({ hit }) => hit);
  return [...sorted.filter((hit) => !hit.off), ...sorted.filter((hit) => hit.off)];
}

/** Whether a row is for the car that was chosen, and its page too. @param {string} vehicle "" for none
 * @param {string} when @param {string} only the cars that the page is for, "" for all */
function isForCar(vehicle, when, only = "") {
  return [when, only].every((cars) => forChosenCar(vehicle, cars));
}

/** @param {IndexRow} row @param {IndexStart} begun @param {number} here */
function found([kind, name, shown, when, byAnchor, facts = {}], begun, here) {
  const places = byAnchor.flatMap(([anchor, pages]) => pages.map((page) => ({ page, anchor })));
  places.sort((a, b) => Number(b.page === here) - Number(a.page === here) || a.page - b.page);
  return {
    kind: begun.kinds[kind] ?? "", name, shown, when,
    also: facts.also ?? "", replaced: facts.replaced ?? "",
    places: /** @type {Hit["places"]} */ (places.map(({ page, anchor }) => {
      const [, uri, title] = begun.pages[page] ?? [];
      return { uri, title, anchor, here: page === here };
    })),
  };
}
