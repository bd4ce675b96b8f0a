// One query: terms to ids, ids to a ranking, the first of them to hits.

import { grouped, nearPhrase, question, toolRow } from "./find-asking.js";
import { isForCar, standing } from "./find-car.js";
import { everyWord, rowsOf, shardsOf, start } from "./find-index.js";
import { slips, slipsAllowed, stem } from "./find-spelling.js";
import { asked, joinable } from "./find-words.js";

const EXACT = 1, SAME_STEM = 0.9, BEGINS = 0.75, NEAR = 1, SAID_OF_IT = 0.35;
/** @type {Record<string, number>} */
const KIND = { f: 1.15, p: 1.2, c: 1.05, l: 1.1, t: 1.1, u: 1, s: 1, v: 1.6, k: 1.3, g: 1.15, h: 0.9 };
const TIER = [1, 0.8, 0.5]; // a kit's things stand on procedures, what they replace on the car alone
const HINTED = 1.4, HINT_SAID = 0.3, MARK = "=", MARK_SAID = 0.8, WHOLE_NAME = 0.5, ASKED = 2, ANSWERS = 1.3;
const MOST_WORDS = 40;
const MOST_STEPS = 3; // of a number alone, which may mean anything
const LOOKED_AT = 12;
const FASTENERS = /^(?:bolt|nut|screw|stud)s?$/u;

/**
 * Search the manual.
 * @param {string} text
 * @param {Part} part which of its indexes
 * @returns {Promise<Answer>}
 */
export async function search(text, part = "find") {
  const begun = await start(part);
  const asking = question(text, begun);
  const terms = asking.rest ? asked(asking.rest, begun) : [];
  const alone = terms.length === 1 && !asking.kinds && Number(/^\d{1,3}$/u.exec(terms[0]?.words[0] ?? "")?.[0]);
  const found = await withFasteners(await read(terms, begun), asking, begun);
  if (!alone) return found;
  const { stepTerm } = await numbers();
  const steps = await answered([stepTerm(alone)], asking, begun);
  const meant = steps.hits.filter((hit) => hit.distance < 3 && !hit.off);
  const near = meant.filter((hit) => hit.distance === meant[0]?.distance).slice(0, MOST_STEPS);
  if (!near.length) return found;
  return { ...found, hits: [...near, ...found.hits].slice(0, LOOKED_AT), total: found.total + near.length, missed: [] };
}

/** The answer to some terms; where it has no fastener, and one is asked for, a nut may be meant by "bolt".
 * @param {QueryTerm[]} terms @param {Question} asking @param {IndexStart} begun @returns {Promise<Answer>} */
async function withFasteners(terms, asking, begun) {
  const found = await answered(terms, asking, begun);
  const said = terms.findIndex(({ words: [word = ""] }) => FASTENERS.test(word));
  if (said < 0 || terms.length < 2 || found.hits.some((hit) => hit.joint)) return found;
  const near = ["bolt", "nut", "screw", "stud"].flatMap((guess) =>
    [guess, `${guess}s`].map((word) => ({ word, quality: SAME_STEM, guess })));
  const other = await answered(terms.map((term, at) => (at === said ? { ...term, near } : term)), asking, begun);
  return other.hits.some((hit) => hit.joint) && !other.loose ? other : found;
}

/** What reads amounts and the numbers of steps: only who types a number needs it. */
function numbers() {
  return import("./find-numbers.js");
}

/** Terms with what their numbers mean. @param {QueryTerm[]} terms @param {IndexStart} begun @returns {Promise<QueryTerm[]>} */
async function read(terms, begun) {
  const steps = terms.some(({ words: [word = ""] }) => /^steps?\d*$/u.test(word));
  const numbered = steps ? (await numbers()).withSteps(terms) : terms;
  const joined = await withPartNumbers(numbered, begun);
  return joined.some(({ figure }) => figure) ? (await numbers()).withAmounts(joined, begun) : joined;
}

/** The answer to some terms. @param {QueryTerm[]} terms @param {Question} asking @param {IndexStart} begun @returns {Promise<Answer>} */
async function answered(terms, { kinds, answers, marks }, begun) {
  const groups = await together(terms, begun);
  const scored = await Promise.all([
    ...groups.map((group) => scoredGroup(group, kinds, begun)), ...marks.map((mark) => marked(mark, kinds, begun))]);
  const known = scored.filter(({ scores }) => scores.size);
  const missed = scored.filter(({ scores, hint }) => !scores.size && !hint)
    .flatMap(({ group }) => group.own.flatMap(({ words, said }) => said ?? words.slice(0, 1)));
  const step = terms.find((term) => term.step)?.step ?? "";
  const stand = await standing(begun, step ? await (await numbers()).begunPages(begun) : new Set());
  const { ranked, loose } = rank(known, stand.worth);
  const hits = await hitsOf(ranked.slice(0, LOOKED_AT), { known, answers, stand, step }, begun);
  return { hits, total: ranked.length, missed, loose };
}

/** What a mark leads to: rows that can give an answer, such as "new every time". @param {string} mark @param {string} kinds
 * @param {IndexStart} begun @returns {Promise<ScoredGroup>} */
async function marked(mark, kinds, begun) {
  const groups = await groupsOf(MARK + mark, begun);
  const { scores, guesses } = scoresOf(groups ? [{ groups, quality: EXACT, guess: "" }] : [], kinds);
  return { group: { own: [], others: [] }, hint: MARK, scores, guesses };
}

/** Read neighbours as one part number where the index has it.
 * @param {QueryTerm[]} groups @param {IndexStart} begun @returns {Promise<QueryTerm[]>} */
async function withPartNumbers(groups, begun) {
  for (const { from, to, words } of joinable(groups)) {
    const shards = (await Promise.all(words.map((word) => shardsOf(begun, word)))).flat();
    const starts = (/** @type {string} */ term) => words.some((word) => term.startsWith(word));
    if (shards.some((shard) => Object.keys(shard).some(starts))) {
      const one = { words, plain: false };
      const rest = [...groups.slice(0, from), one, ...groups.slice(to + 1)];
      return rest.length > 1 ? withPartNumbers(rest, begun) : rest;
    }
  }
  return groups;
}

/** Words that belong together, two neighbours also where the index has them in one: "fly wheel".
 * @param {QueryTerm[]} terms @param {IndexStart} begun @returns {Promise<QueryGroup[]>} */
async function together(terms, begun) {
  const found = [];
  for (let rest = terms; rest.length;) {
    const [first = { own: rest.slice(0, 1), others: [] }, second] = grouped(rest, begun);
    const joined = first.others.length ? "" : await compound(rest, second, begun);
    const one = joined ? { own: rest.slice(0, 2), others: [{ terms: [joined], worth: EXACT, guess: joined }] } : first;
    found.push(one);
    rest = rest.slice(one.own.length);
  }
  return found;
}

/** The first two words in one, "" where the index has no such word, or where the second belongs to a phrase and the first is a word.
 * @param {QueryTerm[]} terms @param {QueryGroup | undefined} second @param {IndexStart} begun */
async function compound([one, next], second, begun) {
  const word = one?.words[0] ?? "", joined = word + (next?.words[0] ?? "");
  if (!one?.plain || !next?.plain || !/^\p{L}{6,}$/u.test(joined)) return "";
  const known = await isWord(joined, begun);
  return known && !(second?.others.length && await isWord(word, begun)) ? joined : "";
}

/** @param {string} word @param {IndexStart} begun */
async function isWord(word, begun) {
  const own = stem(word);
  return (await shardsOf(begun, word)).some((shard) => Object.keys(shard).some((term) => term === word || stem(term) === own));
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
  return inAll(each);
}

/** What all of some terms lead to, with the mean of its scores. @param {Scores[]} each @returns {Scores} */
function inAll(each) {
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
  const each = await Promise.all(own.map(async ({ words, near = [] }) => {
    const meant = await Promise.all([
      ...words.map((word) => termsLike(word, guessing, begun)),
      ...near.map(async ({ word, quality, guess }) => {
        const groups = await groupsOf(word, begun);
        return groups ? [{ groups, quality, guess }] : [];
      })]);
    return scoresOf(meant.flat(), kinds);
  }));
  const guesses = new Map(each.flatMap((one) => [...one.guesses]));
  return { scores: inAll(each.map(({ scores }) => scores)), guesses };
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
    for (const { hint, scores } of known) score += (scores.get(id) ?? 0) * (all || !hint ? 1 : hint === MARK ? MARK_SAID : HINT_SAID);
    ranked.push({ id, score: score * worthOf(id), kinds });
  }
  ranked.sort((a, b) => b.score - a.score || a.id - b.id);
  return { ranked, loose: most < needed.length };
}

/** @param {RankedRow[]} ranked @param {Wanted} wanted @param {IndexStart} begun @returns {Promise<Hit[]>} */
async function hitsOf(ranked, { known, answers, stand, step }, begun) {
  const hits = await Promise.all(ranked.map(async ({ id, score, kinds }) => {
    const page = begun.pages[Math.floor(id / begun.stride)];
    const row = page && (await rowsOf(page[0], begun.part)).rows[id % begun.stride];
    if (!row) throw new Error(`the index has no row ${id}`);
    const facts = row[5] ?? {};
    const answer = answers.flatMap((name) => facts[name] ?? []);
    const guesses = known.flatMap(({ group, guesses: read }) => {
      const meant = read.get(id);
      return meant ? [{ typed: group.own.map((one) => one.said ?? one.words[0]).join(" "), meant }] : [];
    });
    const words = known.reduce((sum, { group, guesses: read }) =>
      sum + (read.get(id)?.split(" ").length ?? group.own.length), 0);
    const told = answers.includes("socket") ? toolRow(row) : null;
    const numbered = step ? [step.replace("-", " ")] : []; // "step 16"
    const { first, ...shown } = found(told ?? row, begun, stand, step);
    const at = begun.pages[first] ?? page;
    const foreign = [first, Math.floor(id / begun.stride)].some(stand.foreign);
    const off = foreign || !isForCar(begun.cars[page[4]], row[3], page[5]) || (Boolean(step) && !isForCar(begun.cars[at[4]], at[5]));
    const hit = { ...shown, off, foreign, joint: row[0] === "f", distance: stand.distance(first), answer: told ? [] : [...numbered, ...answer], guesses };
    const named = row[1].split(/\s+/u).filter((word) => !/\d/u.test(word)).length;
    const share = Math.min(1, words / Math.max(1, named));
    const nearer = step ? stand.nearness(first) : 1;
    const factor = (kinds.has(row[0]) ? HINTED : 1) * (answer.length ? ANSWERS : 1) * nearer;
    return { hit, score: score * factor * (1 + WHOLE_NAME * share) };
  }));
  const sorted = hits.sort((a, b) => b.score - a.score).map(({ hit }) => hit);
  return [...sorted.filter((hit) => !hit.off), ...sorted.filter((hit) => hit.off)];
}

/** A row with its places, the nearest first; of a step that is asked for by its number, those where it has it.
 * @param {IndexRow} row @param {IndexStart} begun @param {Standing} stand @param {string} step its anchor, or "" */
function found([kind, name, shown, when, byAnchor, facts = {}], begun, { here, distance }, step) {
  const numbered = byAnchor.filter(([anchor]) => step && anchor === step);
  const places = (numbered.length ? numbered : byAnchor)
    .flatMap(([anchor, pages]) => pages.map((page) => ({ page, anchor })));
  places.sort((a, b) => distance(a.page) - distance(b.page) || a.page - b.page);
  return {
    first: places[0]?.page ?? -1,
    kind: begun.kinds[kind] ?? "", name, shown, when,
    also: facts.also ?? "", replaced: facts.replaced ?? "",
    places: /** @type {Hit["places"]} */ (places.map(({ page, anchor }) => {
      const [, uri, title] = begun.pages[page] ?? [];
      return { uri, title, anchor, here: page === here };
    })),
  };
}
