// Reed-Solomon codes over GF(256) with x^8 + x^4 + x^3 + x^2 + 1 (ISO/IEC 18004, 7.5.2).

const EXP = new Uint8Array(512);
const LOG = new Uint8Array(256);

for (let n = 0, power = 1; n < 255; n++) {
  EXP[n] = EXP[n + 255] = power;
  LOG[power] = n;
  power = power & 0x80 ? (power << 1) ^ 0x11d : power << 1;
}

/** @param {number} a @param {number} b */
function times(a, b) {
  return a && b ? EXP[(LOG[a] ?? 0) + (LOG[b] ?? 0)] ?? 0 : 0;
}

/** The generator polynomial of a degree, highest power first, without its leading 1. @param {number} degree */
function generator(degree) {
  let factors = Uint8Array.of(1);
  for (let n = 0; n < degree; n++) {
    const [before, root] = [factors, EXP[n] ?? 0];
    factors = Uint8Array.from({ length: n + 2 }, (_, at) => (before[at] ?? 0) ^ times(before[at - 1] ?? 0, root));
  }
  return factors.subarray(1);
}

/** The error correction codewords of a block. @param {Uint8Array} data @param {number} degree */
export function correction(data, degree) {
  const factors = generator(degree);
  let rest = new Uint8Array(degree);
  for (const byte of data) {
    const [before, lead] = [rest, byte ^ (rest[0] ?? 0)];
    rest = factors.map((factor, at) => (before[at + 1] ?? 0) ^ times(factor, lead));
  }
  return rest;
}
