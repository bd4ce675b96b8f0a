// A QR code as a drawing: one path, black on white whatever the page's colours, with its quiet zone.

const SVG = "http://www.w3.org/2000/svg";
const QUIET = 4;

/** @param {string} name @param {Record<string, string>} attributes */
function part(name, attributes) {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  return element;
}

/** @param {QrCode} code @param {string} label @returns {SVGElement} */
export function drawing(code, label) {
  const side = code.rows.length + 2 * QUIET;
  const svg = part("svg", { viewBox: `0 0 ${side} ${side}`, role: "img", "aria-label": label, class: "qr", "shape-rendering": "crispEdges" });
  svg.append(part("rect", { width: String(side), height: String(side), fill: "#fff" }));
  svg.append(part("path", { d: path(code.rows), fill: "#000" }));
  return /** @type {SVGElement} */ (svg);
}

/** @param {boolean[][]} rows */
function path(rows) {
  /** @type {string[]} */
  const runs = [];
  rows.forEach((row, i) => {
    for (let j = 0; j < row.length; j++) {
      const from = j;
      while (row[j]) j++;
      if (j > from) runs.push(`M${from + QUIET} ${i + QUIET}h${j - from}v1h${from - j}z`);
    }
  });
  return runs.join("");
}
