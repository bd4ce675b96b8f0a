// What is typed, as the terms of the index: the same forms as procedures_lib/fronts/search/terms.py.

/** @type {Record<string, string>} */
const ALIKE = {
  "×": "x", "–": "-", "—": "-", "−": "-", "‑": "-", "º": "°", "˚": "°", "″": '"', "”": '"',
  "⁄": "/", "’": "'", "₂": "2",
};
const NUMBER = "\\d+(?:\\.\\d+)?(?:/\\d+)?";
const THREAD = /\b(m\d+(?:\.\d+)?)\s*(?:[x*]\s*(?=\d)|-\s*(?=\d+\.\d))(\d+(?:\.\d+)?)/gu;
const BREAK = /[,;:()?!]/u;
const CHUNK = /[\p{L}\p{N}°%]+(?:[-.·*⋅∙•/'_]+[\p{L}\p{N}°%]+)*/gu;
const AMOUNT = new RegExp(
  `^(${NUMBER})(?:-(${NUMBER}))?(?:[-.·]?(\\p{L}[^\\d]*|[°%].*))?$`, "u");
const FIGURES = new RegExp(`^${NUMBER}(?:-${NUMBER})?$`, "u");
const METRIC = /^m(\d+(?:\.\d+)?)x(\d+(?:\.\d+)?)$/u;
const PLAIN = /^[\p{L}\p{N}°%]+$/u;
const LONGEST = 40;
const UNIT_CHUNKS = 3;

/** @param {string} text @returns {string} small letters without accents, look-alikes made one */
export function folded(text) {
  const alike = [...text].map((sign) => ALIKE[sign] ?? sign).join("");
  return alike
    .normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase()
    .replace(/(?<=\d)\s*"/gu, "in")
    .replace(/(?<=\d),(?=\d)/gu, ".")
    .replace(/(?<=\d)\s*(?:±|\+\/?-)\s*\d+(?:\.\d+)?/gu, " ")
    .replace(THREAD, "$1x$2");
}

/** @param {string} text @returns {string} a unit's spelling without joiners: "ft.-lbs" is "ftlbs" */
export function shortUnit(text) {
  /** @type {Record<string, string>} */
  const raised = { "²": "2", "³": "3", "⁻": "-", "¹": "1" };
  return text.replace(/[²³⁻¹]/gu, (sign) => raised[sign] ?? sign).toLowerCase()
    .replace(/[^\p{L}\p{N}°%/]/gu, "");
}

/** @param {string} text @returns {string} a number without zeros at its end */
export function plainNumber(text) {
  return /^\d+\.\d+$/u.test(text) ? text.replace(/0+$/u, "").replace(/\.$/u, "") : text;
}

/** @param {string} text @param {WordTables} tables @returns {QueryTerm[]} what is asked for, in order */
export function asked(text, tables) {
  const found = folded(text).split(BREAK).flatMap((phrase) => inPhrase(phrase, tables));
  const short = found.map((one) => ({ ...one, words: one.words.map((w) => w.slice(0, LONGEST)) }));
  const said = short.filter((one) => !tables.stop.includes(one.words[0] ?? ""));
  return said.length ? said : short;
}

/** @param {string} phrase @param {WordTables} tables @returns {QueryTerm[]} what is asked for between two commas or the like */
function inPhrase(phrase, tables) {
  const chunks = phrase.match(CHUNK) ?? [];
  const found = [];
  for (let at = 0; at < chunks.length;) {
    const [amounts, taken] = amount(chunks, at, tables);
    found.push(...(taken ? amounts : word(chunks[at] ?? "")));
    at += taken || 1;
  }
  return found;
}

/** @param {string[]} chunks @param {number} at @param {WordTables} tables @returns {[QueryTerm[], number]} a number with its unit, and how many chunks they take */
function amount(chunks, at, tables) {
  const match = AMOUNT.exec(chunks[at] ?? "");
  if (!match) return [[], 0];
  const numbers = [match[1], match[2]].filter((each) => each !== undefined).map(plainNumber);
  const own = match[3] ?? "";
  for (let more = Math.min(UNIT_CHUNKS, chunks.length - at - 1); more >= 0; more--) {
    const written = shortUnit(own + chunks.slice(at + 1, at + 1 + more).join(""));
    const unit = Object.hasOwn(tables.units, written) && tables.units[written];
    const readings = (Object.hasOwn(tables.readings, written) && tables.readings[written]) || [];
    if ((unit || readings.length) && (own || more)) {
      const meant = [...new Set([...(unit ? [unit] : []), ...readings])];
      const typed = [match[1], match[2]];
      return [numbers.map((n, at) => ({ words: meant.map((u) => n + u), plain: false, figure: typed[at] })), more + 1];
    }
  }
  return [[], 0];
}

/** @param {string} chunk @returns {QueryTerm[]} a chunk that is no amount */
function word(chunk) {
  const thread = METRIC.exec(chunk);
  if (thread) {
    const [, diameter, pitch] = thread.map(plainNumber);
    return [{ words: [`m${diameter}x${pitch}`], plain: false }];
  }
  if (PLAIN.test(chunk)) return [{ words: [plainNumber(chunk)], plain: true }];
  if (FIGURES.test(chunk)) return [{ words: [plainNumber(chunk)], plain: false }];
  const pieces = chunk.match(/[\p{L}\p{N}]+/gu) ?? [];
  if (/\d/u.test(chunk)) return pieces.length ? [{ words: inOne(pieces), plain: false }] : [];
  return pieces.map((piece) => ({ words: [piece], plain: true }));
}

/** Pieces of a part number in one, and with a nought before a last figure that stands alone: tf-220-7 is TF-220-07.
 * @param {string[]} pieces */
function inOne(pieces) {
  const last = pieces.at(-1) ?? "";
  const ends = /^\d$/u.test(last) && /\p{L}/u.test(pieces[0] ?? "") && pieces.length > 2 ? [last, `0${last}`] : [last];
  return ends.map((end) => [...pieces.slice(0, -1), end].join(""));
}

/**
 * The ways to read neighbouring words as one part number: "tf 220 07" as tf22007, longest first.
 * @param {QueryTerm[]} all
 * @returns {PartNumber[]}
 */
export function joinable(all) {
  const ways = [];
  for (let from = 0; from < all.length; from++) {
    const pieces = [];
    for (let to = from; to < from + 4; to++) {
      const word = onlyWord(all[to]);
      if (!word) break;
      pieces.push(word);
      const joined = pieces.join("");
      if (to > from && /\d/u.test(joined) && /\p{L}/u.test(joined)) {
        ways.push({ from, to, words: inOne(pieces) });
      }
    }
  }
  return ways.sort((a, b) => b.to - b.from - (a.to - a.from) || a.from - b.from);
}

/** @param {QueryTerm | undefined} one @returns {string} its word, "" where it has several or none that is plain */
function onlyWord(one) {
  const [word = "", ...others] = one?.words ?? [];
  return !others.length && PLAIN.test(word) ? word : "";
}
