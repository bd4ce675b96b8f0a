// A text as a QR code, byte mode, level L or M (ISO/IEC 18004).

import { dataCodewords, interleaved } from "./blocks.js";
import { MASKS, penalty } from "./mask.js";
import { Symbol } from "./symbol.js";

const LARGEST = 40;

/** The code of a text in the smallest version that holds it; null when none does.
 * @param {string} text @param {QrLevel} [level] @param {number|null} [mask] the best one, if null @returns {QrCode|null} */
export function encode(text, level = "M", mask = null) {
  const bytes = new TextEncoder().encode(text);
  const version = smallest(bytes.length, level);
  if (!version) return null;
  const words = interleaved(data(bytes, version, level), version, level);
  const bare = new Symbol(version);
  bare.lay(words);
  if (mask !== null) return masked(bare, level, mask);
  const codes = MASKS.map((_, n) => masked(bare, level, n));
  const costs = codes.map((code) => penalty(code.rows));
  return codes[costs.indexOf(Math.min(...costs))] ?? null;
}

/** @param {number} version */
function countBits(version) {
  return version < 10 ? 8 : 16;
}

/** @param {number} length @param {QrLevel} level */
function smallest(length, level) {
  for (let version = 1; version <= LARGEST; version++) {
    if (4 + countBits(version) + 8 * length <= 8 * dataCodewords(version, level)) return version;
  }
  return 0;
}

/** Mode, count and bytes, then the terminator and pad bytes (7.4). @param {Uint8Array} bytes @param {number} version @param {QrLevel} level */
function data(bytes, version, level) {
  const words = new Uint8Array(dataCodewords(version, level));
  let at = 0;
  const put = (/** @type {number} */ value, /** @type {number} */ bits) => {
    for (let n = bits - 1; n >= 0; n--, at++) words[at >>> 3] = (words[at >>> 3] ?? 0) | (((value >>> n) & 1) << (7 - (at & 7)));
  };
  put(4, 4);
  put(bytes.length, countBits(version));
  for (const byte of bytes) put(byte, 8);
  const used = Math.ceil(Math.min(at + 4, 8 * words.length) / 8);
  for (let n = used; n < words.length; n++) words[n] = (n - used) % 2 ? 0x11 : 0xec;
  return words;
}

/** @param {Symbol} bare @param {QrLevel} level @param {number} mask @returns {QrCode} */
function masked(bare, level, mask) {
  const symbol = new Symbol(bare.version);
  symbol.rows = bare.rows.map((row, i) => row.map((dark, j) => dark !== (!bare.fixed[i]?.[j] && MASKS[mask]?.(i, j) === true)));
  symbol.format(level, mask);
  return { version: bare.version, level, mask, rows: symbol.rows };
}
