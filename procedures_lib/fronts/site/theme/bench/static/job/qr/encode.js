// A text as a QR code, byte mode, with digits at its end in numeric mode; level L or M (ISO/IEC 18004).

import { dataCodewords, interleaved } from "./blocks.js";
import { MASKS, penalty } from "./mask.js";
import { Symbol } from "./symbol.js";

const LARGEST = 40;
/** Digits at the end that are worth a mode of their own. */
const DIGITS = /\d{12,}$/;

/** The code of a text in the smallest version that holds it; null when none does.
 * @param {string} text @param {QrLevel} [level] @param {number|null} [mask] the best one, if null @returns {QrCode|null} */
export function encode(text, level = "M", mask = null) {
  const parts = split(text);
  const version = smallest(parts, level);
  if (!version) return null;
  const words = interleaved(data(parts, version, level), version, level);
  const bare = new Symbol(version);
  bare.lay(words);
  if (mask !== null) return masked(bare, level, mask);
  const codes = MASKS.map((_, n) => masked(bare, level, n));
  const costs = codes.map((code) => penalty(code.rows));
  return codes[costs.indexOf(Math.min(...costs))] ?? null;
}

/** What is in byte mode, and the digits behind it. @typedef {{bytes: Uint8Array, digits: string}} Parts */

/** @param {string} text @returns {Parts} */
function split(text) {
  const [digits = ""] = DIGITS.exec(text) ?? [];
  return { bytes: new TextEncoder().encode(text.slice(0, text.length - digits.length)), digits };
}

/** The bits of the counts of bytes and of digits (table 3). @param {number} version */
function countBits(version) {
  return { bytes: version < 10 ? 8 : 16, digits: version < 10 ? 10 : version < 27 ? 12 : 14 };
}

/** @param {Parts} parts @param {number} version */
function length({ bytes, digits }, version) {
  const count = countBits(version);
  const ofBytes = bytes.length || !digits ? 4 + count.bytes + 8 * bytes.length : 0;
  return ofBytes + (digits ? 4 + count.digits + Math.ceil((10 * digits.length) / 3) : 0);
}

/** @param {Parts} parts @param {QrLevel} level */
function smallest(parts, level) {
  for (let version = 1; version <= LARGEST; version++) {
    if (length(parts, version) <= 8 * dataCodewords(version, level)) return version;
  }
  return 0;
}

/** Mode, count and content of each part, then the terminator and pad bytes (7.4).
 * @param {Parts} parts @param {number} version @param {QrLevel} level */
function data({ bytes, digits }, version, level) {
  const words = new Uint8Array(dataCodewords(version, level));
  const count = countBits(version);
  let at = 0;
  const put = (/** @type {number} */ value, /** @type {number} */ bits) => {
    for (let n = bits - 1; n >= 0; n--, at++) words[at >>> 3] = (words[at >>> 3] ?? 0) | (((value >>> n) & 1) << (7 - (at & 7)));
  };
  if (bytes.length || !digits) {
    put(4, 4);
    put(bytes.length, count.bytes);
    for (const byte of bytes) put(byte, 8);
  }
  if (digits) {
    put(1, 4);
    put(digits.length, count.digits);
    for (const group of digits.match(/\d{1,3}/g) ?? []) put(Number(group), [0, 4, 7, 10][group.length] ?? 0);
  }
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
