// One query: terms to ids, ids to a ranking, the first of them to hits.

import { everyWord, pageHere, rowsOf, shardsOf, start } from "./find-index.js";
import { forChosenCar } from "./find-car.js";
import { slips, slipsAllowed, stem } from "./find-spelling.js";
import { asked, joinable } from "./find-words.js";

const EXACT = 1, SAME_STEM = 0.9, BEGINS = 0.75, NEAR = 1, SAID_OF_IT = 0.35;
/** @type {Record<string, number>} */
const KIND = { f: 1.3, p: 1.2, c: 1.05, l: 1.1, t: 1.1, u: 1, s: 1, v: 1.6, k: 1.3, g: 1.15, h: 0.9 };
const TIER = [1, 0.9, 0.5];
const HERE = 1.6, HINTED = 1.4, HINT_SAID = 0.3, WHOLE_NAME = 0.5;
const MOST_WORDS = 40;
const LOOKED_AT = 12;

/**
 * Search the manual.
 * @param {string} text
 * @returns {Promise<Answer>}
 */
export async function search(text) {
  const begun = await start();
  const groups = await withPartNumbers(asked(text, begun), begun);
  const scored = await Promise.all(groups.map(async (one) => ({ one, scores: await scoresOf(one, begun) })));
  const known = scored.filter(({ scores }) => scores.size);
  const missed = scored.filter(({ one, scores }) => !scores.size && !hintOf(one, begun))
    .flatMap(({ one }) => one.words.slice(0, 1));
  const here = pageHere(begun);
  const own = begun.pages[here];
  const guests = new Set(own ? (await rowsOf(own[0])).guests : []);
  const isHere = (/** @type {number} */ id) =>
    Math.floor(id / begun.stride) === here || guests.has(id);
  const { ranked, loose } = rank(known, begun, isHere);
  const hits = await hitsOf(ranked.slice(0, LOOKED_AT), groups.length, begun, here);
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

/** @param {QueryTerm} one @param {IndexStart} begun @returns {string} the kind that a word asks for, or "" */
function hintOf(one, begun) {
  const word = one.words[0] ?? "";
  return (Object.hasOwn(begun.hints, word) && begun.hints[word]) || "";
}

/** @param {QueryTerm} one @param {IndexStart} begun @returns {Promise<Scores>} */
async function scoresOf(one, begun) {
  const terms = (await Promise.all(one.words.map((word) => termsLike(word, begun)))).flat();
  /** @type {Scores} */
  const scores = new Map();
  for (const { groups, quality } of terms) {
    for (const [group, differences] of Object.entries(groups)) {
      const worth = quality * (group.endsWith("s") ? 1 : SAID_OF_IT);
      let id = 0;
      for (const step of differences) {
        id += step;
        const value = worth * (KIND[group.charAt(0)] ?? 0) * (TIER[Number(group[1])] ?? 0);
        if (value > (scores.get(id) ?? 0)) scores.set(id, value);
      }
    }
  }
  return scores;
}

/** The terms that a word may mean, each with its ids and how sure that is.
 * @param {string} word @param {IndexStart} begun @returns {Promise<Meaning[]>} */
async function termsLike(word, begun) {
  const close = like(word, await shardsOf(begun, word));
  if (close.length || !slipsAllowed(word)) return close;
  const most = slipsAllowed(word);
  const meant = (await everyWord()).map((other) => ({ other, off: slips(word, other, most) }))
    .filter(({ off }) => off <= most)
    .sort((a, b) => a.off - b.off)
    .slice(0, 5);
  const found = await Promise.all(meant.map(async ({ other, off }) => {
    const shards = await shardsOf(begun, other);
    const groups = shards.find((one) => Object.hasOwn(one, other))?.[other];
    return groups ? [{ groups, quality: NEAR / (1 + off) }] : [];
  }));
  return found.flat();
}

/** Terms of the shards that are the word, have its stem, or begin with it.
 * @param {string} word @param {Shard[]} shards @returns {Meaning[]} */
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
 * @param {ScoredTerm[]} known @param {IndexStart} begun @param {(id: number) => boolean} isHere
 * @returns {{ranked: RankedRow[], loose: boolean}} */
function rank(known, begun, isHere) {
  const all = known.every(({ one }) => hintOf(one, begun));
  const needed = known.filter(({ one }) => all || !hintOf(one, begun));
  const kinds = new Set(known.map(({ one }) => hintOf(one, begun)));
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
    for (const { one, scores } of known) {
      score += (scores.get(id) ?? 0) * (!all && hintOf(one, begun) ? HINT_SAID : 1);
    }
    ranked.push({ id, score: score * (isHere(id) ? HERE : 1) });
  }
  ranked.sort((a, b) => b.score - a.score || a.id - b.id);
  return { ranked: ranked.map((one) => ({ ...one, kinds })), loose: most < needed.length };
}

/** @param {RankedRow[]} ranked @param {number} words @param {IndexStart} begun @param {number} here @returns {Promise<Hit[]>} */
async function hitsOf(ranked, words, begun, here) {
  const hits = await Promise.all(ranked.map(async ({ id, score, kinds }) => {
    const home = Math.floor(id / begun.stride);
    const page = begun.pages[home];
    const row = page && (await rowsOf(page[0])).rows[id % begun.stride];
    if (!row) throw new Error(`the index has no row ${id}`);
    const hit = found(row, begun, here, begun.cars[page[4]] ?? "");
    const share = Math.min(1, words / Math.max(1, hit.name.split(/\s+/u).length));
    const hinted = kinds.has(row[0]) ? HINTED : 1;
    return { hit, score: score * hinted * (1 + WHOLE_NAME * share) };
  }));
  const sorted = hits.sort((a, b) => b.score - a.score).map(({ hit }) => hit);
  return [...sorted.filter((hit) => !hit.off), ...sorted.filter((hit) => hit.off)];
}

/** @param {IndexRow} row @param {IndexStart} begun @param {number} here @param {string} vehicle "" for none @returns {Hit} */
function found([kind, name, shown, when, byAnchor], begun, here, vehicle) {
  const places = byAnchor.flatMap(([anchor, pages]) => pages.map((page) => ({ page, anchor })));
  places.sort((a, b) => Number(b.page === here) - Number(a.page === here) || a.page - b.page);
  return {
    kind: begun.kinds[kind] ?? "", name, shown, when, off: !forChosenCar(vehicle, when),
    places: /** @type {Hit["places"]} */ (places.map(({ page, anchor }) => {
      const [, uri, title] = begun.pages[page] ?? [];
      return { uri, title, anchor, here: page === here };
    })),
  };
}
