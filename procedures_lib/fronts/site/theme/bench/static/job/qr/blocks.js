// How a symbol's codewords are split into blocks, by version and error correction level (ISO/IEC 18004, table 9).

import { correction } from "./field.js";

/** Error correction codewords in each block, version 1 first. */
const EACH = {
  L: [7, 10, 15, 20, 26, 18, 20, 24, 30, 18, 20, 24, 26, 30, 22, 24, 28, 30, 28, 28,
      28, 28, 30, 30, 26, 28, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30],
  M: [10, 16, 26, 18, 24, 16, 18, 22, 22, 26, 30, 22, 22, 24, 24, 28, 28, 26, 26, 26,
      26, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28],
};

/** Blocks, version 1 first. */
const BLOCKS = {
  L: [1, 1, 1, 1, 1, 2, 2, 2, 2, 4, 4, 4, 4, 4, 6, 6, 6, 6, 7, 8,
      8, 9, 9, 10, 12, 12, 12, 13, 14, 15, 16, 17, 18, 19, 19, 20, 21, 22, 24, 25],
  M: [1, 1, 1, 2, 2, 4, 4, 4, 5, 5, 5, 8, 9, 9, 10, 10, 11, 13, 14, 16,
      17, 17, 18, 20, 21, 23, 25, 26, 28, 29, 31, 33, 35, 37, 38, 40, 43, 45, 47, 49],
};

/** @param {Record<QrLevel, number[]>} table @param {number} version @param {QrLevel} level */
function entry(table, version, level) {
  return table[level][version - 1] ?? 0;
}

/** All codewords of a version: the modules that are left for data, in bytes. @param {number} version */
function codewords(version) {
  let modules = (16 * version + 128) * version + 64;
  if (version >= 2) {
    const across = Math.floor(version / 7) + 2;
    modules -= (25 * across - 10) * across - 55;
  }
  if (version >= 7) modules -= 36;
  return Math.floor(modules / 8);
}

/** The data codewords of a version. @param {number} version @param {QrLevel} level */
export function dataCodewords(version, level) {
  return codewords(version) - entry(EACH, version, level) * entry(BLOCKS, version, level);
}

/** Data with error correction, block by block in turn (ISO/IEC 18004, 7.6).
 * @param {Uint8Array} data @param {number} version @param {QrLevel} level @returns {Uint8Array} */
export function interleaved(data, version, level) {
  const count = entry(BLOCKS, version, level);
  const degree = entry(EACH, version, level);
  const short = Math.floor(data.length / count);
  const longer = data.length % count;
  const blocks = [];
  for (let n = 0, at = 0; n < count; n++) {
    const length = short + (n >= count - longer ? 1 : 0);
    blocks.push(data.subarray(at, at + length));
    at += length;
  }
  return Uint8Array.from([...inTurn(blocks), ...inTurn(blocks.map((block) => correction(block, degree)))]);
}

/** @param {Uint8Array[]} blocks */
function inTurn(blocks) {
  const found = [];
  const longest = Math.max(...blocks.map((block) => block.length));
  for (let n = 0; n < longest; n++) {
    for (const block of blocks) found.push(...block.subarray(n, n + 1));
  }
  return found;
}
