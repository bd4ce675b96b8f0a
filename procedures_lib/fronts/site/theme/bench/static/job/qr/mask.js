// Masks, and the penalty by which one is chosen (ISO/IEC 18004, 7.8).

/** @type {((row: number, column: number) => boolean)[]} */
export const MASKS = [
  (i, j) => (i + j) % 2 === 0,
  (i) => i % 2 === 0,
  (_, j) => j % 3 === 0,
  (i, j) => (i + j) % 3 === 0,
  (i, j) => (Math.floor(i / 2) + Math.floor(j / 3)) % 2 === 0,
  (i, j) => ((i * j) % 2) + ((i * j) % 3) === 0,
  (i, j) => (((i * j) % 2) + ((i * j) % 3)) % 2 === 0,
  (i, j) => (((i + j) % 2) + ((i * j) % 3)) % 2 === 0,
];

const FINDER_LIKE = ["10111010000", "00001011101"];

/** The penalty of a symbol: the less, the better it is read. @param {boolean[][]} rows @returns {number} */
export function penalty(rows) {
  const lines = [...rows, ...rows.map((_, n) => rows.map((row) => row[n]))];
  const texts = lines.map((line) => line.map((dark) => (dark ? "1" : "0")).join(""));
  const runs = texts.reduce((sum, text) => sum + runsOf(text) + 40 * finders(text), 0);
  return runs + 3 * squares(rows) + balance(rows);
}

/** @param {string} text */
function runsOf(text) {
  let sum = 0;
  for (const run of text.match(/0{5,}|1{5,}/g) ?? []) sum += run.length - 2;
  return sum;
}

/** @param {string} text */
function finders(text) {
  let count = 0;
  for (const pattern of FINDER_LIKE) {
    for (let at = text.indexOf(pattern); at >= 0; at = text.indexOf(pattern, at + 1)) count++;
  }
  return count;
}

/** @param {boolean[][]} rows */
function squares(rows) {
  let count = 0;
  rows.slice(1).forEach((row, n) => {
    const above = rows[n] ?? [];
    for (let j = 1; j < row.length; j++) {
      if (row[j] === above[j] && row[j] === row[j - 1] && row[j] === above[j - 1]) count++;
    }
  });
  return count;
}

/** @param {boolean[][]} rows */
function balance(rows) {
  const dark = rows.flat().filter(Boolean).length;
  const share = (100 * dark) / rows.length ** 2;
  return 10 * Math.floor(Math.abs(share - 50) / 5);
}
