// Sizes in words.

const UNITS = /** @type {const} */ ([[1e9, "GB"], [1e6, "MB"], [1e3, "kB"]]);

/** @param {number} bytes */
export function sizeText(bytes) {
  const [size, unit] = UNITS.find(([each]) => bytes >= each) ?? UNITS[2];
  const number = bytes / size;
  return `${unit === "kB" ? Math.max(1, Math.round(number)) : number.toFixed(1)} ${unit}`;
}
