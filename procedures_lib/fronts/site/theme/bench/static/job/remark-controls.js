// Four words at the end of each step: one tap notes a remark. At the end of the page, the remarks of the job.

import { button, fill, make, stamp } from "./dom.js";
import { isUsed } from "./job.js";
import { photographs } from "./photographs.js";
import { RemarkSheet } from "./remark-sheet.js";
import { kindText, KINDS, MOST_REMARKS, remarkAt, remarkKey, remarksOf } from "./remarks.js";

/** @typedef {import("./session.js").Session} Session */

/** @param {Session} session */
export function addRemarks(session) {
  const sheet = new RemarkSheet(session);
  for (const step of session.page.steps) step.element.append(kindsOf(session, sheet, step));
  addList(session, sheet);
  void photographs.sweep(isUsed);
}

/** The four words of a step. @param {Session} session @param {RemarkSheet} sheet @param {Step} step */
function kindsOf(session, sheet, step) {
  const label = `remark-step-${step.number}`;
  const words = KINDS.map(([kind, text]) => {
    const key = remarkKey(step.key, kind);
    const press = button(text, () => note(session, sheet, step, kind), "remark-kind");
    press.setAttribute("aria-haspopup", "dialog");
    session.onChange(() => press.setAttribute("aria-pressed", String(remarkAt(session.job, key) !== null)));
    return press;
  });
  return make("div", { class: "remark-kinds", role: "group", "aria-labelledby": label },
    make("span", { id: label, class: "remark-ask" }, `Anything off at step ${step.number}?`), ...words);
}

/** Note a remark, unless it is noted already, and open it. @param {Session} session @param {RemarkSheet} sheet
 * @param {Step} step @param {RemarkKind} kind */
function note(session, sheet, step, kind) {
  const key = remarkKey(step.key, kind);
  if (session.asks(() => note(session, sheet, step, kind))) return;
  if (!remarkAt(session.job, key)) {
    if (Object.keys(session.job.remarks).length >= MOST_REMARKS) {
      sheet.refuse(step);
      return;
    }
    inPlace(step.element, () => session.change((job) => {
      job.remarks[key] ??= { step: step.key, kind, text: "", at: stamp(), picture: "" };
    }));
  }
  sheet.open(key, step);
}

/** Do something that may change the page above an element, and leave the element where it is on the screen.
 * @param {HTMLElement} element @param {() => void} act */
function inPlace(element, act) {
  const before = element.getBoundingClientRect().bottom;
  act();
  scrollBy({ top: element.getBoundingClientRect().bottom - before, behavior: "instant" });
}

/** The remarks of the job on its record. @param {Session} session @param {RemarkSheet} sheet */
function addList(session, sheet) {
  const list = make("ul");
  const place = make("section", { class: "record-remarks", "aria-labelledby": "record-remarks" }, make("h3", { id: "record-remarks" }, "Remarks"), list);
  document.querySelector(".record-table")?.after(place);
  session.onChange(() => {
    const found = remarksOf(session.job, session.page);
    place.hidden = !found.length;
    fill(list, ...found.map(({ key, step, remark }) => {
      const where = step ? `Step ${step.number}` : "A step that is gone";
      const text = `${where}, ${kindText(remark.kind).toLowerCase()}${remark.text ? `: ${remark.text}` : ""}${remark.picture ? " (photograph)" : ""}`;
      const change = button("Change", () => sheet.open(key, step), "plain");
      change.setAttribute("aria-label", `Change: ${where}, ${kindText(remark.kind).toLowerCase()}`);
      return make("li", {}, make("span", {}, text), change);
    }));
  });
}
