// What the page shows of the worker's state: a few words, the parts that are kept, what is newer.

import { made, phonePanel, sayPhoneState } from "../panel.js";

const MB = 1_000_000;
/** @type {Partial<Record<OfflineTrouble, string>>} */
const TROUBLES = {
  room: "There is not enough room on this device for all that was chosen.",
  network: "The network went away; what is still missing comes when it is back.",
  shut: "This browser keeps nothing of the manual: it needs a network.",
};

/** @param {number} bytes */
export function sizeText(bytes) {
  return bytes < MB ? `${Math.max(1, Math.round(bytes / 1000))} kB` : `${(bytes / MB).toFixed(1)} MB`;
}

/** How things stand, in the panel's summary. @param {OfflineReport} state */
export function showState(state) {
  const { ready, old, trouble, progress } = state;
  if (progress) {
    const share = Math.floor((100 * progress.done) / Math.max(1, progress.total));
    sayPhoneState(`keeps the manual: ${share} % of ${sizeText(progress.total)}`);
  } else if (trouble === "shut") sayPhoneState("needs a network");
  else if (ready) sayPhoneState("ready without a network");
  else if (old) sayPhoneState("ready without a network, update waits");
  else sayPhoneState("not ready without a network yet");
  line("kept-trouble").textContent = TROUBLES[trouble] ?? "";
}

/** A line of the panel that is made once. @param {string} name */
function line(name) {
  const found = phonePanel().querySelector(`.${name}`);
  if (found) return found;
  const made_ = made("p", name);
  made_.setAttribute("role", "status");
  phonePanel().append(made_);
  return made_;
}

let shown = "";

/** The parts of the manual, to choose what is kept; made anew when they change.
 * @param {OfflineReport} state @param {(parts: string[]) => void} choose told of their ids */
export function partsForm(state, choose) {
  const { parts = [], wanted = [], asks } = state;
  const now = JSON.stringify([parts, wanted, asks]);
  const [first, ...others] = parts;
  if (!first || now === shown) return;
  shown = now;
  const form = made("fieldset", "kept-parts choice");
  form.append(made("legend", "", "Kept without a network"));
  const boxes = others.map((part, n) => partBox(form, part, wanted.includes(n + 1)));
  const button = made("button", "", "Keep these");
  const total = made("p", "kept-total");
  const tellTotal = () => {
    const sum = others.reduce((all, part, n) => all + (boxes[n]?.checked ? part.packed : 0), first.packed);
    total.textContent = `About ${sizeText(sum)} in all, with lists and search (${sizeText(first.packed)}).`
      + " Every page that is opened is kept as well.";
  };
  form.addEventListener("change", tellTotal);
  button.addEventListener("click", (event) => {
    event.preventDefault();
    choose(others.filter((_, n) => boxes[n]?.checked).map((part) => part.id));
  });
  tellTotal();
  form.append(total, button);
  if (asks) form.append(made("p", "", "The manual is large: choose your cars, or all."));
  phonePanel().querySelector(".kept-parts")?.remove();
  phonePanel().append(form);
}

/** @param {HTMLElement} form @param {ManualPart} part @param {boolean} isChosen */
function partBox(form, part, isChosen) {
  const label = made("label", "");
  const box = document.createElement("input");
  Object.assign(box, { type: "checkbox", checked: isChosen });
  label.append(box, made("span", "", `${part.name} (${sizeText(part.packed)})`));
  form.append(label);
  return box;
}

/** Say that there is a newer edition of this page; `replace` shows it.
 * @param {OfflineReport} state @param {boolean} inProgress @param {() => void} replace */
export function newerNote(state, inProgress, replace) {
  const there = document.querySelector(".page-note.newer");
  if (!state.newer) return void there?.remove();
  if (there) return;
  const note = made("aside", "page-note newer");
  note.setAttribute("role", "status");
  const revision = state.revision ? ` It is revision ${state.revision}.` : "";
  const words = inProgress
    ? `There is a newer edition of this procedure.${revision} The one you began with stays until you take the new one.`
    : `There is a newer edition of this page.${revision}`;
  const button = made("button", "", inProgress ? "Take the new revision" : "Show it");
  button.addEventListener("click", replace);
  note.append(made("p", "", words), button);
  const bar = document.querySelector(".follow-news"); // the bar tells of it, and nothing moves
  if (bar && inProgress) bar.append(note);
  else document.querySelector("main")?.before(note);
}
