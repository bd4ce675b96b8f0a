// One step at a time: the same elements as on the long page, one step of them filling the screen. The address says
// which, so that the browser's way back works.

import { carText, carElsewhere, chosenCar, holdCar, isForCar, onCar } from "../car.js";
import { mayApply } from "./condition.js";
import { begunWords, button, make } from "./dom.js";
import { isWithin } from "./job.js";
import { addStages, takeBack } from "./stages.js";

/** @typedef {import("./session.js").Session} Session */

const HERE = /^#one-step-(\d+)$/;
/** Where keys have a meaning of their own. */
const FIELDS = "input:not([type=checkbox]), select, textarea";
/** What a key puts away, and the way back closes, before it leads out of the step. */
const OVER = "dialog[open], .find-near, .bar-sheet:not([hidden])";

/** @param {Session} session @param {CarPage} car */
export function addScreen(session, car) {
  const screen = new Screen(session, car);
  let place = numbered(0);
  addEventListener("hashchange", ({ oldURL }) => {
    const before = place;
    place = numbered(before + 1);
    if (place < before && closeOver()) {
      history.pushState({ place: before }, "", oldURL);
      place = before;
    } else screen.route();
  });
  holdCar((next) => (session.isBegun || screen.step !== null)
    && (!isWithin(chosenCar(), next) || (screen.step !== null && !mayApply(screen.step.when, next))));
  onCar(() => screen.route());
  addEventListener("beforeprint", () => screen.unfold());
  addEventListener("keydown", (event) => screen.key(event));
  screen.route();
  return screen;
}

/** The number of the place in the history where one is; one that has none yet gets it. @param {number} number @returns {number} */
function numbered(number) {
  const found = Object(history.state).place;
  if (typeof found === "number") return found;
  history.replaceState({ place: number }, "");
  return number;
}

/** Close what is open over the page, as Escape does; false where nothing is. */
function closeOver() {
  const over = [...document.querySelectorAll(OVER)].at(-1);
  if (over instanceof HTMLDialogElement) {
    over.dispatchEvent(new Event("cancel"));
    over.close();
  } else if (over) document.body.dispatchEvent(new KeyboardEvent("keydown", { key: "Escape", bubbles: true, cancelable: true }));
  return Boolean(over);
}

export class Screen {
  /** @param {Session} session @param {CarPage} car */
  constructor(session, car) {
    this.session = session;
    /** @type {Step|null} the step that fills the screen */
    this.step = null;
    /** @type {Set<() => void>} */
    this.listeners = new Set();
    /** @type {Record<string, HTMLButtonElement>} the buttons that keys press */
    this.ways = {};
    this.car = make("span", { class: "screen-car" });
    this.begun = make("span", { class: "screen-begun" });
    this.note = make("p", { class: "screen-note", role: "status", hidden: true });
    const out = button("Long page", () => {
      location.hash = `#step-${this.step?.number ?? 1}`;
    }, "plain");
    out.setAttribute("aria-keyshortcuts", "Escape");
    this.ways.Escape = out;
    this.top = make("div", { class: "screen-top" }, this.car, out, this.begun);
    session.onChange(() => {
      this.car.textContent = `${car.name}, ${session.carText()}`;
      this.begun.textContent = begunText(session);
    });
  }

  /** Call back when another step fills the screen, or none. @param {() => void} listener */
  onChange(listener) {
    this.listeners.add(listener);
    listener();
  }

  /** Show what the address says; nothing of a page that is not for the car. */
  route() {
    const wanted = isForCar() ? Number(HERE.exec(location.hash)?.[1] ?? NaN) : NaN;
    const { steps } = this.session;
    const found = steps.find((step) => step.number >= wanted) ?? (wanted ? steps.at(-1) : null) ?? null;
    const before = this.step;
    if (found) this.tellOther(wanted, found);
    this.tellElsewhere();
    if (found === before) return;
    if (before) this.restore(before);
    this.step = found;
    document.body.classList.toggle("one-step", Boolean(found));
    if (found) this.arrange(found);
    else if (before) leave(before);
    this.listeners.forEach((tell) => tell());
  }

  /** Say that another step is shown than the address asks for. @param {number} wanted @param {Step} step */
  tellOther(wanted, step) {
    const isHere = this.session.page.steps.some(({ number }) => number === wanted);
    this.note.hidden = step.number === wanted;
    this.note.textContent = `Step ${wanted} is not ${isHere ? "for your car" : "on this page"}: this is step ${step.number}.`;
  }

  /** Say that another tab has chosen another car: the screen stays. */
  tellElsewhere() {
    const next = carElsewhere();
    if (!next) return;
    this.note.hidden = false;
    this.note.textContent = `The car was changed elsewhere on this device: ${carText(next)}. This page stays as it is; its next tick asks.`;
  }

  /** On paper stands the long page, with its title, its car and its revision; the screen comes back behind it. */
  unfold() {
    const { step } = this;
    if (!step) return;
    const top = scrollY;
    this.restore(step);
    document.body.classList.remove("one-step");
    addEventListener("afterprint", () => {
      if (this.step !== step) return;
      document.body.classList.add("one-step");
      this.arrange(step);
      scrollTo(0, top);
    }, { once: true });
  }

  /** Back, next and out by keys, but not out of a field. @param {KeyboardEvent} event */
  key(event) {
    const { altKey, ctrlKey, metaKey, shiftKey, repeat, defaultPrevented, key, target } = event;
    if (!this.step || altKey || ctrlKey || metaKey || shiftKey || repeat || defaultPrevented) return;
    if (!this.ways[key] || document.querySelector(OVER) || /** @type {Element} */ (target).matches?.(FIELDS)) return;
    event.preventDefault();
    this.ways[key]?.click();
  }

  /** The step before or after, of those for the car. @param {-1|1} by @returns {Step|undefined} */
  beside(by) {
    const { steps } = this.session;
    const at = this.step ? steps.indexOf(this.step) : -1;
    return at < 0 ? undefined : steps[at + by];
  }

  /** @param {Step|undefined} step */
  go(step) {
    if (step) location.hash = `#one-step-${step.number}`;
  }

  /** Put a step's parts in the order of its screen: hazards, actions, drawings and pictures, words. @param {Step} step */
  arrange({ element }) {
    const [signs, work, views, words] = ["signs", "work", "views", "words"].map((name) => make("div", { class: `screen-${name}` }));
    if (!signs || !work || !views || !words) return;
    const parts = [...element.children];
    this.parts = parts;
    for (const part of parts) {
      if (part.matches(".step-title, .tick, .applies, span, .changed")) continue;
      if (part.matches(".signal")) signs.append(part);
      else if (part.matches(".step-do")) work.append(part);
      else if (part.matches("figure") || part.querySelector("figure")) views.append(part);
      else words.append(part);
    }
    this.slots = [signs, make("div", { class: "screen-body" }, work, views), words];
    element.prepend(this.top, this.note);
    element.append(...this.slots);
    element.classList.toggle("with-views", views.children.length > 0);
    element.classList.add("screen-step");
    for (let each = element.parentElement; each && each !== document.body; each = each.parentElement) each.classList.add("screen-path");
    addStages(this.session, this.step, element);
    scrollTo(0, 0);
    focusOn(element);
    if (document.documentElement.dataset.waits) addEventListener("DOMContentLoaded", () => focusOn(element), { once: true }); // nothing is seen before
  }

  /** @param {Step} step */
  restore({ element }) {
    takeBack(element);
    for (const part of this.parts ?? []) element.append(part);
    this.slots?.forEach((slot) => slot.remove());
    this.top.remove();
    this.note.remove();
    element.classList.remove("screen-step", "with-views");
    for (const each of document.querySelectorAll(".screen-path")) each.classList.remove("screen-path");
  }
}

/** Put the focus on a step's heading: a key that is pressed once more leads nowhere. @param {HTMLElement} element */
function focusOn(element) {
  const heading = /** @type {HTMLElement|null} */ (element.querySelector(".step-title"));
  if (!heading) return;
  heading.tabIndex = -1;
  heading.focus({ preventScroll: true });
}

/** Leave the screen for what the address names; else for the step itself on the long page. @param {Step} step */
function leave({ element }) {
  if (!isForCar()) return scrollTo(0, 0);
  focusOn(element);
  const named = document.querySelector(":target");
  for (let fold = named?.closest("details"); fold; fold = fold.parentElement?.closest("details")) fold.open = true;
  (named ?? element).scrollIntoView({ block: "start" });
}

/** Which job it is: when it was begun, and its order or number plate. The line is there from the start: nothing moves. @param {Session} session */
function begunText({ job, isBegun }) {
  return isBegun ? begunWords(job).replace("b", "B") : "Not begun";
}
