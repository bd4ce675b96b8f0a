// The parts of the manual, to choose which of them the device keeps.

import { made, phonePanel } from "../panel.js";
import { sizeText } from "./size.js";

/** Above so many, only those are listed that are ticked, of this page, or found by their name. */
const MANY = 12;

let shown = "";
/** @type {PartsForm | null} */
let form = null;

/** The parts of the manual, to choose what is kept; made anew when they change.
 * @param {OfflineReport} state @param {(parts: string[]) => void} choose told of their ids */
export function partsForm(state, choose) {
  const { parts = [], wanted = [], asks } = state;
  const now = JSON.stringify([parts, wanted, asks]);
  if (!parts.length) return;
  if (now !== shown) {
    form?.element.remove();
    form = new PartsForm(parts, wanted, Boolean(asks), choose);
    phonePanel().append(form.element);
  }
  shown = now;
  if (state.room) form?.tellRoom(state.room);
}

class PartsForm {
  /** @param {ManualPart[]} parts @param {number[]} wanted numbers of those that are kept @param {boolean} asks
   * @param {(parts: string[]) => void} choose */
  constructor([first, ...others], wanted, asks, choose) {
    this.first = first?.stored ?? 0;
    this.here = /** @type {HTMLElement | null} */ (document.querySelector(".page-car"))?.dataset.vehicle ?? "";
    this.find = made("input", "");
    this.more = made("p", "kept-more");
    this.all = made("button", "plain", "Show all");
    this.total = made("p", "kept-total");
    this.room = made("p", "kept-room");
    this.left = Infinity;
    this.boxes = others.map((part, n) => this.box(part, wanted.includes(n + 1)));
    this.boxes.sort((one, other) => Number(other.isTop) - Number(one.isTop));
    this.element = made("fieldset", "kept-parts choice");
    this.fill(asks, choose);
  }

  /** @param {boolean} asks @param {(parts: string[]) => void} choose */
  fill(asks, choose) {
    const button = made("button", "", "Keep these");
    button.addEventListener("click", () => choose(this.chosen.map(({ part }) => part.id)));
    this.element.append(made("legend", "", "Kept without a network"));
    if (asks) this.element.append(made("p", "", "The manual is large: choose your cars, or all."));
    if (this.isMany) this.element.append(this.finder());
    this.element.append(...this.boxes.map(({ label }) => label), this.more, this.total, this.room, button);
    this.element.addEventListener("change", () => this.tellTotal());
    this.list("");
    this.tellTotal();
  }

  get isMany() {
    return this.boxes.length > MANY;
  }

  /** @param {ManualPart} part @param {boolean} isKept */
  box(part, isKept) {
    const label = made("label", "");
    const box = made("input", "");
    Object.assign(box, { type: "checkbox", checked: isKept });
    label.append(box, made("span", "", `${part.name} (${sizeText(part.stored)})`));
    return { part, label, box, isKept, isTop: isKept || part.id === this.here };
  }

  /** The field that finds a car by its name. */
  finder() {
    const label = made("label", "kept-find");
    Object.assign(this.find, { type: "search", autocomplete: "off" });
    this.find.addEventListener("input", () => this.list(this.find.value));
    this.all.addEventListener("click", () => this.list(null));
    this.all.type = "button";
    this.more.setAttribute("role", "status");
    label.append(made("span", "", "Find a car"), this.find);
    return label;
  }

  /** List the boxes for what was typed, null for all. @param {string | null} typed */
  list(typed) {
    if (!this.isMany) return;
    const words = plain(typed ?? "").split(/\s+/u).filter(Boolean);
    for (const { part, label, box, isTop } of this.boxes) {
      const isFound = typed === null || (words.length > 0 && words.every((word) => plain(part.name).includes(word)));
      label.hidden = !isFound && !box.checked && !(isTop && !words.length);
    }
    const left = this.boxes.filter(({ label }) => label.hidden).length;
    this.more.textContent = left ? `${left} more are not listed. ` : "";
    if (left) this.more.append(this.all);
  }

  get chosen() {
    return this.boxes.filter(({ box }) => box.checked);
  }

  /** @param {OfflineRoom} room */
  tellRoom({ used, quota }) {
    this.room.textContent = `Used on this device now: ${sizeText(used)}. The browser says that it has room for ${sizeText(quota)} here.`;
    this.left = quota - used;
    this.tellTotal();
  }

  tellTotal() {
    const sum = this.chosen.reduce((all, { part }) => all + part.stored, this.first);
    const more = this.chosen.reduce((all, { part, isKept }) => all + (isKept ? 0 : part.stored), 0);
    this.total.textContent = `About ${sizeText(sum)} on this device, with lists and search (${sizeText(this.first)}).`
      + ` Every page that is opened is kept as well.${more > this.left ? " That may be more than there is room for." : ""}`;
  }
}

/** Small letters without accents. @param {string} text */
function plain(text) {
  return text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();
}
