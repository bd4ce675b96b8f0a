// The bar at the foot of the screen: where one is, what has to be seen, what is open, the way on. It keeps its shape.

import { changedText } from "./again.js";
import { button, fill, make } from "./dom.js";
import { followNews, notesOf } from "./notes.js";
import { openNow } from "./open.js";
import { stagesNow, stagesText } from "./stages.js";
import { setTick } from "./ticks.js";
import { findNear } from "../find-near.js";

/** @typedef {import("./session.js").Session} Session */
/** @typedef {import("./screen.js").Screen} Screen */

/** @param {Session} session @param {Screen} screen */
export function addBar(session, screen) {
  const progress = make("span", { class: "follow-progress" });
  const seen = make("span", { class: "bar-note", role: "status" });
  const sheet = make("div", { class: "bar-sheet", id: "follow-sheet", hidden: true });
  const list = make("div", { class: "bar-sheet follow-open", id: "follow-open", hidden: true });
  const notices = make("div", { class: "job-notices" });
  const steps = make("nav", { "aria-label": "Steps" });
  const early = document.querySelector(".page-note.newer"); // told before the bar was there
  sheet.append(notices, make("div", { class: "follow-news" }, ...(early && session.isBegun ? [early] : [])), steps);
  const state = unfolding(sheet, list, "bar-state", progress, seen);
  const open = unfolding(list, sheet, "follow-toggle");
  const find = button("Find", findNear, "bar-find");
  const bar = make("aside", { class: "follow-bar", "aria-label": "The job" }, sheet, list, make("div", { class: "bar-box" }, make("div", { class: "bar-row" },
    make("div", { class: "bar-now" }, state, open, find), make("div", { class: "bar-ways" }, ...ways(session, screen)))));
  document.body.append(bar);
  document.body.classList.add("following");
  sheet.addEventListener("click", (event) => {
    if (/** @type {Element} */ (event.target).closest("a")) state.click();
  });
  const show = () => {
    const notes = notesOf(session);
    const [first, ...others] = notes;
    seen.textContent = first ? `${first.isQuiet ? "" : "! "}${first.short}${others.length ? ` +${others.length}` : ""}` : session.isBegun ? "Kept" : "Not begun";
    state.classList.toggle("to-see", Boolean(first && !first.isQuiet));
    state.classList.toggle("telling", Boolean(first));
    fill(notices, ...notes.map((each) => each.element).filter((each) => each !== null));
    fill(progress, ...where(session, screen));
    tellSteps(session, screen, steps);
    tellOpen(session, open, list);
  };
  session.onChange(show);
  screen.onChange(show);
  followNews(session);
}

/** How far the job is. @param {Session} session @param {Screen} screen */
function where(session, screen) {
  const { steps } = session;
  const word = (/** @type {string} */ text) => make("span", { class: "bar-word" }, text);
  if (screen.step) return [word("Step "), `${screen.step.number} of ${steps.at(-1)?.number ?? 0}`];
  return [`${steps.filter((step) => session.isTicked(step)).length} of ${steps.length}`, word(" steps")];
}

/** A button that unfolds one part of the bar and folds the other; keys go into the part, and Escape back out.
 * @param {HTMLElement} part @param {HTMLElement} other @param {string} css @param {...Node} inside */
function unfolding(part, other, css, ...inside) {
  const press = make("button", { type: "button", class: css, "aria-controls": part.id, "aria-expanded": "false" }, ...inside);
  part.tabIndex = -1;
  press.addEventListener("click", () => {
    part.hidden = !part.hidden;
    other.hidden = true;
    for (const each of document.querySelectorAll(".follow-bar [aria-controls]")) {
      const target = document.getElementById(each.getAttribute("aria-controls") ?? "");
      each.setAttribute("aria-expanded", String(!target?.hidden));
    }
    if (!part.hidden) part.focus({ preventScroll: true });
  });
  addEventListener("keydown", (event) => {
    if (event.key !== "Escape" || event.defaultPrevented || part.hidden || document.querySelector("dialog[open], .find-near")) return;
    press.click();
    press.focus();
  });
  return press;
}

/** The ways on: on the long page to the next step, in a step's screen back, done, and on. @param {Session} session @param {Screen} screen */
function ways(session, screen) {
  const one = button("One step at a time", () => screen.go(session.next ?? session.steps[0]), "way-long bar-one");
  const next = button("", () => (session.next ? goTo(session.next.element) : goToRecord()), "way-long follow-next");
  const back = button("Back", () => screen.go(screen.beside(-1)), "way-step bar-back");
  const forward = button("Next", () => (screen.beside(1) ? screen.go(screen.beside(1)) : goToRecord()), "way-step bar-forward");
  back.setAttribute("aria-keyshortcuts", "ArrowLeft");
  forward.setAttribute("aria-keyshortcuts", "ArrowRight");
  Object.assign(screen.ways, { ArrowLeft: back, ArrowRight: forward });
  const box = make("input", { type: "checkbox", onchange: () => void (screen.step && setTick(session, screen.step, box.checked)) });
  const done = make("label", { class: "way-step bar-done" }, box, make("span", {}, "Done"));
  const show = () => {
    const { step } = screen;
    next.textContent = session.next ? `Go to step ${session.next.number}` : "All ticked: record";
    back.disabled = !screen.beside(-1);
    const isLast = Boolean(step) && !screen.beside(1);
    forward.disabled = isLast && !session.isBegun;
    forward.textContent = isLast && session.isBegun ? "Record" : "Next";
    box.checked = Boolean(step && session.isTicked(step));
    box.setAttribute("aria-label", step ? `Done: step ${step.number}, ${step.title}` : "Done");
  };
  session.onChange(show);
  screen.onChange(show);
  return [back, done, forward, one, next];
}

/** The contents: every step of the car, ticked or not, or changed since. @param {Session} session @param {Screen} screen @param {HTMLElement} place */
function tellSteps(session, screen, place) {
  const address = screen.step ? "#one-step-" : "#step-";
  const stages = stagesNow(session);
  const items = session.steps.map((step) => {
    const changed = changedText(session, step);
    return make("li", {}, make("a", { href: `${address}${step.number}`, "aria-current": screen.step === step ? "step" : null },
      make("span", { class: "step-list-number" }, String(step.number)),
      make("span", {}, step.title, ...(changed ? [make("span", { class: "step-changed" }, changed)] : [])),
      make("span", { class: "step-list-done" }, session.isTicked(step) ? "done" : stagesText(stages, step))));
  });
  fill(place, make("ul", { class: "step-list" }, ...items));
}

/** @param {Session} session @param {HTMLElement} toggle @param {HTMLElement} list */
function tellOpen(session, toggle, list) {
  const now = openNow(session);
  if (!now) {
    toggle.textContent = "Open: ?";
    fill(list, make("p", {}, "What is open is not known: the page does not add up, see the checks."));
    return;
  }
  toggle.textContent = `Open: ${now.items.length}`;
  fill(list, make("p", { class: "list-title" }, now.after ? `Open after step ${now.after}` : "Open"));
  if (now.skipped.length) {
    const steps = `${now.skipped.length === 1 ? "Step" : "Steps"} ${now.skipped.slice(0, 12).join(", ")}${now.skipped.length > 12 ? " …" : ""}`;
    list.append(make("p", { class: "follow-skipped" }, `${steps} without a tick: this list takes ${now.skipped.length === 1 ? "it" : "them"} as done.`));
  }
  list.append(now.items.length ? make("ul", { class: "open-items" }, ...now.items) : make("p", {}, "Nothing."));
}

/** Bring the record into view, at the end of the long page: what is missing, and how the job is closed. */
export function goToRecord() {
  if (location.hash === "#record") document.getElementById("record")?.scrollIntoView({ block: "start" });
  location.hash = "#record";
}

/** Bring a step to the top of the screen, and the focus with it. @param {HTMLElement} element */
export function goTo(element) {
  element.scrollIntoView({ block: "start" });
  /** @type {HTMLElement|null} */ (element.querySelector(".step-number"))?.focus({ preventScroll: true });
}
