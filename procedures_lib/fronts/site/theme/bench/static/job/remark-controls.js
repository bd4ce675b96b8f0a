// Four words at the end of each step: one tap notes a remark. At the end of the page, the remarks of the job.

import { UNREACHED, button, fill, make, stamp } from "./dom.js";
import { isUsed } from "./job.js";
import { photographs } from "./photographs.js";
import { kindText, KINDS, MOST_REMARKS, remarkAt, remarkKey, remarksOf } from "./remarks.js";

/** @typedef {import("./session.js").Session} Session */
/** @typedef {(place: Element, use: (sheet: import("./remark-sheet.js").RemarkSheet) => void) => void} WithSheet uses the
 * sheet once it is there; where it does not come, that is told at the place */

/** @param {Session} session */
export function addRemarks(session) {
  const withSheet = sheetOf(session);
  for (const step of session.page.steps) step.element.append(kindsOf(session, withSheet, step));
  addList(session, withSheet);
  void photographs.sweep(isUsed);
}

/** The sheet, fetched when a job begins: while there is a network. @param {Session} session @returns {WithSheet} */
function sheetOf(session) {
  /** @type {Promise<import("./remark-sheet.js").RemarkSheet>|null} */
  let made = null;
  const sheet = () => made ??= import("./remark-sheet.js").then(({ RemarkSheet }) => new RemarkSheet(session));
  const retry = () => {
    made = null;
  };
  const told = make("p", { class: "job-notice", role: "alert" }, UNREACHED);
  session.onChange(() => {
    if (session.isBegun) sheet().catch(retry);
  });
  return (place, use) => sheet().then(use, () => {
    retry();
    place.append(told);
  });
}

/** The four words of a step. @param {Session} session @param {WithSheet} withSheet @param {Step} step */
function kindsOf(session, withSheet, step) {
  const label = `remark-step-${step.number}`;
  const words = KINDS.map(([kind, text]) => {
    const key = remarkKey(step.key, kind);
    const press = button(text, () => note(session, withSheet, step, kind), "remark-kind");
    press.setAttribute("aria-haspopup", "dialog");
    session.onChange(() => press.setAttribute("aria-pressed", String(remarkAt(session.job, key) !== null)));
    return press;
  });
  return make("div", { class: "remark-kinds", role: "group", "aria-labelledby": label },
    make("span", { id: label, class: "remark-ask" }, `Anything off at step ${step.number}?`), ...words);
}

/** Note a remark, unless it is noted already, and open it. @param {Session} session @param {WithSheet} withSheet
 * @param {Step} step @param {RemarkKind} kind */
function note(session, withSheet, step, kind) {
  const key = remarkKey(step.key, kind);
  if (session.asks(() => note(session, withSheet, step, kind))) return;
  if (!remarkAt(session.job, key)) {
    if (Object.keys(session.job.remarks).length >= MOST_REMARKS) {
      withSheet(step.element, (sheet) => sheet.refuse(step));
      return;
    }
    inPlace(step.element, () => session.change((job) => {
      job.remarks[key] ??= { step: step.key, kind, text: "", at: stamp(), picture: "" };
    }));
  }
  withSheet(step.element, (sheet) => sheet.open(key, step));
}

/** Do something that may change the page above an element, and leave the element where it is on the screen.
 * @param {HTMLElement} element @param {() => void} act */
function inPlace(element, act) {
  const before = element.getBoundingClientRect().bottom;
  act();
  scrollBy({ top: element.getBoundingClientRect().bottom - before, behavior: "instant" });
}

/** The remarks of the job on its record. @param {Session} session @param {WithSheet} withSheet */
function addList(session, withSheet) {
  const list = make("ul");
  const place = make("section", { class: "record-remarks", "aria-labelledby": "record-remarks" }, make("h3", { id: "record-remarks" }, "Remarks"), list);
  document.querySelector(".record-table")?.after(place);
  session.onChange(() => {
    const found = remarksOf(session.job, session.page);
    place.hidden = !found.length;
    fill(list, ...found.map(({ key, step, remark }) => {
      const where = step ? `Step ${step.number}` : "A step that is gone";
      const text = `${where}, ${kindText(remark.kind).toLowerCase()}${remark.text ? `: ${remark.text}` : ""}${remark.picture ? " (photograph)" : ""}`;
      const change = button("Change", () => withSheet(place, (sheet) => sheet.open(key, step)), "plain");
      change.setAttribute("aria-label", `Change: ${where}, ${kindText(remark.kind).toLowerCase()}`);
      return make("li", {}, make("span", {}, text), change);
    }));
  });
}
