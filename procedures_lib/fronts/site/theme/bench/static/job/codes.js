// The link of a job as QR codes, one or several in turn, to be scanned by the other phone.

import { button, fill, make } from "./dom.js";
import { fragmentsOf } from "./link.js";
import { drawing } from "./qr/drawing.js";
import { encode } from "./qr/encode.js";

/** The largest code: beyond it the modules get too small for most cameras, and there are several codes. */
const LARGE = 20;
const MOST_CODES = 9;

/** @param {string} page @param {string} payload */
export function codes(page, payload) {
  const found = codesOf(page, payload);
  return found.length ? inTurn(found) : make("p", {}, "The job holds too much for codes: use the link.");
}

/** The codes of a payload: one, or as few as can be read off a phone. @param {string} page @param {string} payload @returns {QrCode[]} */
export function codesOf(page, payload) {
  for (let count = 1; count <= MOST_CODES; count++) {
    const found = fragmentsOf(payload, count).map((fragment) => codeOf(page + fragment)).filter((each) => each !== null);
    if (found.length === count) return found;
  }
  return [];
}

/** @param {string} address @returns {QrCode|null} null for one that is too fine to be read */
export function codeOf(address) {
  const best = encode(address, "M");
  const found = best && best.version <= LARGE ? best : encode(address, "L");
  return found && found.version <= LARGE ? found : null;
}

/** One code after the other, each until the other phone has it. @param {QrCode[]} found */
function inTurn(found) {
  const figure = make("figure", { class: "handover-code" });
  const show = (/** @type {number} */ n) => {
    const one = /** @type {QrCode} */ (found[n]);
    const name = found.length > 1 ? `Code ${n + 1} of ${found.length}` : "";
    fill(figure, drawing(one, `${name || "QR code"} of the link of this job`));
    if (!name) return;
    const next = (n + 1) % found.length;
    figure.append(make("figcaption", { role: "status" }, `${name}. Scan them all, in any order.`),
      button(next ? `Next code: ${next + 1} of ${found.length}` : "Again from the first", () => {
        show(next);
        figure.querySelector("button")?.focus({ preventScroll: true });
      }));
  };
  show(0);
  return figure;
}
