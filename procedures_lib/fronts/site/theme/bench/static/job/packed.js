// A value in few decimal digits: a QR code takes three of them in ten bits, almost without loss.
//
// The first digit says how: 1 for JSON packed with DEFLATE (RFC 1951), 0 for JSON as it is. Then seven bytes at
// a time are a number of seventeen digits; what is left over, of as many digits as it needs.

/** The digits of so many bytes, 0 to 7. */
const DIGITS = [0, 3, 5, 8, 10, 13, 15, 17];
const TOGETHER = 7;
const LONGEST = 400_000;

/** @param {Uint8Array} bytes @returns {string} */
export function digitsOf(bytes) {
  let digits = "";
  for (let at = 0; at < bytes.length; at += TOGETHER) {
    const group = bytes.subarray(at, at + TOGETHER);
    const number = group.reduce((sum, byte) => sum * 256n + BigInt(byte), 0n);
    digits += number.toString().padStart(DIGITS[group.length] ?? 0, "0");
  }
  return digits;
}

/** @param {string} digits @returns {Uint8Array<ArrayBuffer>} */
export function bytesIn(digits) {
  const bytes = [];
  const most = DIGITS[TOGETHER] ?? 0;
  for (let at = 0; at < digits.length; at += most) {
    const group = digits.slice(at, at + most);
    const count = DIGITS.indexOf(group.length);
    const number = BigInt(group);
    if (count < 1 || number >> BigInt(8 * count)) throw new Error("not bytes");
    for (let n = count - 1; n >= 0; n--) bytes.push(Number((number >> BigInt(8 * n)) & 255n));
  }
  return Uint8Array.from(bytes);
}

/** @param {Uint8Array<ArrayBuffer>} bytes @param {CompressionStream | DecompressionStream} turn @returns {Promise<Uint8Array<ArrayBuffer>>} */
async function turned(bytes, turn) {
  const reader = new Blob([bytes]).stream().pipeThrough(turn).getReader();
  const chunks = [];
  for (let length = 0; ;) {
    const { done, value } = await reader.read();
    if (done) return new Uint8Array(await new Blob(chunks).arrayBuffer());
    length += value.length;
    if (length > LONGEST) throw new Error("too long");
    chunks.push(value);
  }
}

/** @param {unknown} value @returns {Promise<string>} */
export async function packed(value) {
  const bytes = new TextEncoder().encode(JSON.stringify(value));
  if (typeof CompressionStream !== "function") return `0${digitsOf(bytes)}`;
  return `1${digitsOf(await turned(bytes, new CompressionStream("deflate-raw")))}`;
}

/** The value in some digits; rejects when there is none. @param {string} digits @returns {Promise<unknown>} */
export async function unpacked(digits) {
  const bytes = bytesIn(digits.slice(1));
  const plain = digits[0] === "1" ? await turned(bytes, new DecompressionStream("deflate-raw")) : bytes;
  return JSON.parse(new TextDecoder("utf-8", { fatal: true }).decode(plain));
}

/** Rows of the same length as columns; numbers that rise as their differences. @param {unknown[][]} rows @param {number} width
 * @param {number[]} rising the places of columns of numbers @returns {unknown[][]} */
export function columnsOf(rows, width, rising) {
  return Array.from({ length: width }, (_, n) => {
    const column = rows.map((row) => row[n]);
    return rising.includes(n) ? differences(column, (before, one) => one - before, true) : column;
  });
}

/** @param {unknown} columns @param {number[]} rising @returns {unknown[][]} what is no list of lists throws */
export function rowsOf(columns, rising) {
  const whole = /** @type {unknown[][]} */ (columns).map((column, n) =>
    rising.includes(n) ? differences(column, (before, one) => before + one, false) : column);
  const count = whole[0]?.length ?? 0;
  if (whole.some((column) => column.length !== count)) throw new Error("columns of several lengths");
  return Array.from({ length: count }, (_, row) => whole.map((column) => column[row]));
}

/** Each number by the one before; what is no number stays. @param {unknown[]} column @param {(before: number, one: number) => number} by
 * @param {boolean} isGiven whether the one before is that of the column, or that of the outcome */
function differences(column, by, isGiven) {
  let before = 0;
  return column.map((one) => {
    if (typeof one !== "number") return one;
    const found = by(before, one);
    before = isGiven ? one : found;
    return found;
  });
}
