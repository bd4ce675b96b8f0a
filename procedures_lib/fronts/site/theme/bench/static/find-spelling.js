// Words that are nearly one another: the same stem, or some slips of the finger apart.

const DOUBLED = 0.5;
const SCRIPTS = ["base-stemmer.js", "english-stemmer.js"];
/** @type {Promise<void> | null} */
let ready = null;
/** @type {Map<string, string>} */
const stems = new Map();

/** Load the Snowball stemmer that Sphinx brings; without it words are compared as they are. @param {URL} top */
export function stemmer(top) {
  ready ??= SCRIPTS.reduce((before, name) => before.then(() => script(name, top)), Promise.resolve());
  return ready;
}

/** @param {string} name @param {URL} top @returns {Promise<void>} */
function script(name, top) {
  return new Promise((done) => {
    const element = document.createElement("script");
    element.addEventListener("load", () => done());
    element.addEventListener("error", () => done());
    element.src = String(new URL(`_static/${name}`, top));
    document.head.append(element);
  });
}

/** @param {string} word @returns {string} */
export function stem(word) {
  if (!/^\p{L}{3,}$/u.test(word) || typeof globalThis.EnglishStemmer !== "function") return word;
  let found = stems.get(word);
  if (found === undefined) {
    found = String(new globalThis.EnglishStemmer().stemWord(word));
    stems.set(word, found);
  }
  return found;
}

/** @param {string} word @returns {number} how many slips are forgiven; none where digits count */
export function slipsAllowed(word) {
  if (!/^\p{L}+$/u.test(word) || word.length < 4) return 0;
  return word.length < 8 ? 1 : 2;
}

/**
 * Slips between two words: letters left out, put in, changed, or two of them swapped
 * (optimal string alignment); a letter written once for twice is half a slip, and so is the other
 * way round. More than `most` counts as most + 1.
 * @param {string} a @param {string} b @param {number} most
 */
export function slips(a, b, most) {
  if (Math.abs(a.length - b.length) > most) return most + 1;
  /** @type {number[]} */
  let before = [];
  let row = Array.from({ length: b.length + 1 }, (_, n) => n);
  for (let i = 1; i <= a.length; i++) {
    const next = [i];
    for (let j = 1; j <= b.length; j++) {
      const changed = (row[j - 1] ?? 0) + (a[i - 1] === b[j - 1] ? 0 : 1);
      const putIn = i > 1 && a[i - 1] === a[i - 2] ? DOUBLED : 1;
      const leftOut = j > 1 && b[j - 1] === b[j - 2] ? DOUBLED : 1;
      let least = Math.min((row[j] ?? 0) + putIn, (next[j - 1] ?? 0) + leftOut, changed);
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1]) {
        least = Math.min(least, (before[j - 2] ?? 0) + 1);
      }
      next[j] = least;
    }
    if (Math.min(...next) > most) return most + 1;
    [before, row] = [row, next];
  }
  return Math.min(row[b.length] ?? 0, most + 1);
}
