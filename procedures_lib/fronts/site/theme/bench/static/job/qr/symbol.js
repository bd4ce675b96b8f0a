// The modules of a symbol: what has its fixed place, and the way the data runs through the rest.

const LEVEL_BITS = { L: 1, M: 0 };

/** A value followed by its check bits, by a generator of the given degree. */
function checked(/** @type {number} */ value, /** @type {number} */ generator, /** @type {number} */ degree) {
  let rest = value;
  for (let n = 0; n < degree; n++) rest = (rest << 1) ^ ((rest >>> (degree - 1)) * generator);
  return (value << degree) | rest;
}

/** The middles of the alignment patterns, in both directions (ISO/IEC 18004, annex E). @param {number} version */
function alignments(version) {
  if (version === 1) return [];
  const across = Math.floor(version / 7) + 2;
  const step = version === 32 ? 26 : Math.ceil((4 * version + 4) / (2 * across - 2)) * 2;
  const found = [6];
  for (let at = 4 * version + 10; found.length < across; at -= step) found.splice(1, 0, at);
  return found;
}

export class Symbol {
  /** @param {number} version */
  constructor(version) {
    this.version = version;
    this.size = 4 * version + 17;
    /** @type {boolean[][]} rows of modules, true for dark */
    this.rows = Array.from({ length: this.size }, () => Array(this.size).fill(false));
    /** @type {boolean[][]} what holds no data */
    this.fixed = Array.from({ length: this.size }, () => Array(this.size).fill(false));
    this.draw();
  }

  /** @param {number} row @param {number} column @param {boolean} dark */
  fix(row, column, dark) {
    const [modules, fixed] = [this.rows[row], this.fixed[row]];
    if (!modules || !fixed || column < 0 || column >= this.size) return;
    modules[column] = dark;
    fixed[column] = true;
  }

  draw() {
    for (let n = 0; n < this.size; n++) {
      this.fix(6, n, n % 2 === 0);
      this.fix(n, 6, n % 2 === 0);
    }
    const far = this.size - 4;
    for (const [row, column] of /** @type {[number, number][]} */ ([[3, 3], [3, far], [far, 3]])) this.square(row, column, 4, [0, 1, 3]);
    const middles = alignments(this.version);
    for (const row of middles) {
      for (const column of middles) {
        if (!this.byFinder(row, column)) this.square(row, column, 2, [0, 2]);
      }
    }
    this.format("L", 0); // keeps the place
    this.versions();
  }

  /** Whether an alignment pattern would lie on a finder pattern. @param {number} row @param {number} column */
  byFinder(row, column) {
    const edge = this.size - 7;
    return (row === 6 && (column === 6 || column === edge)) || (column === 6 && row === edge);
  }

  /** Rings round a middle, dark at these distances from it. */
  square(/** @type {number} */ row, /** @type {number} */ column, /** @type {number} */ reach, /** @type {number[]} */ dark) {
    for (let down = -reach; down <= reach; down++) {
      for (let right = -reach; right <= reach; right++) {
        const ring = Math.max(Math.abs(down), Math.abs(right));
        this.fix(row + down, column + right, dark.includes(ring));
      }
    }
  }

  /** Level and mask, twice (ISO/IEC 18004, 7.9). @param {QrLevel} level @param {number} mask */
  format(level, mask) {
    const bits = checked((LEVEL_BITS[level] << 3) | mask, 0x537, 10) ^ 0x5412;
    const bit = (/** @type {number} */ n) => ((bits >>> n) & 1) === 1;
    for (let n = 0; n < 15; n++) {
      const along = n < 6 ? n : n < 8 ? n + 1 : this.size - 15 + n;
      this.fix(along, 8, bit(n));
      const across = n < 8 ? this.size - 1 - n : n === 8 ? 7 : 14 - n;
      this.fix(8, across, bit(n));
    }
    this.fix(this.size - 8, 8, true);
  }

  /** The version, twice, from version 7 up (ISO/IEC 18004, 7.10). */
  versions() {
    if (this.version < 7) return;
    const bits = checked(this.version, 0x1f25, 12);
    for (let n = 0; n < 18; n++) {
      const dark = ((bits >>> n) & 1) === 1;
      const near = Math.floor(n / 3);
      const far = this.size - 11 + (n % 3);
      this.fix(near, far, dark);
      this.fix(far, near, dark);
    }
  }

  /** Lay codewords into what is free: in pairs of columns, from the right, up and down in turn (7.7.3).
   * @param {Uint8Array} words */
  lay(words) {
    let at = 0;
    for (let right = this.size - 1; right >= 1; right -= 2) {
      if (right === 6) right = 5;
      const up = ((right + 1) & 2) === 0;
      for (let n = 0; n < this.size; n++) {
        const row = up ? this.size - 1 - n : n;
        const [modules, fixed] = [this.rows[row] ?? [], this.fixed[row] ?? []];
        for (const column of [right, right - 1]) {
          if (fixed[column]) continue;
          modules[column] = (((words[at >>> 3] ?? 0) >>> (7 - (at & 7))) & 1) === 1;
          at++;
        }
      }
    }
  }
}
