// My car: its options are chosen once for each vehicle; what is not for it goes, on every page of that vehicle.

import { mayApply, optionsIn, readCondition, verdict } from "./job/condition.js";
import { counted, fill, make, button } from "./job/dom.js";
import { CAR, VEHICLE, carOf, takeInHand, vehicleInHand } from "./job/in-hand.js";
import { carPage } from "./job/page.js";
import { store } from "./job/store.js";

const page = carPage();
/** @type {Set<() => void>} */
const listeners = new Set();
let showAll = false;
/** Whether another vehicle came in hand while this page was worked by: it stays, and the next tick asks. */
let isWorkedBy = !isOtherInHand();
/** @type {Car} */
let car = kept();

/** Whether this page keeps its car although another tab has chosen this one. @type {(next: Car) => boolean} */
let holds = () => false;
/** The car that another tab has chosen, while this page keeps its own. @type {Car|null} */
let elsewhere = null;

/** The options as this phone has them. @returns {Car} */
function kept() {
  return known(carOf(page?.vehicle ?? ""));
}

/** Whether another vehicle than that of this page is in hand. */
export function isOtherInHand() {
  return Boolean(page?.vehicle && vehicleInHand() && vehicleInHand() !== page.vehicle);
}

/** What of a car is so on this vehicle: other options and values are left out. @param {unknown} found @returns {Car} */
function known(found) {
  /** @type {Car} */
  const chosen = {};
  for (const [option, , values] of page?.options ?? []) {
    const value = values.find((each) => each === Object(found)[option]);
    if (value !== undefined) chosen[option] = value;
  }
  return chosen;
}

/** The options chosen so far. @returns {Car} */
export function chosenCar() {
  return { ...car };
}

/** Call back when another car is chosen. @param {() => void} tell */
export function onCar(tell) {
  listeners.add(tell);
}

/** Have this page keep its car under a condition. @param {(next: Car) => boolean} test */
export function holdCar(test) {
  holds = test;
}

/** The car that another tab has chosen, while this page keeps its own; null for none. */
export function carElsewhere() {
  return elsewhere;
}

/** Choose a car. @param {Car} options */
export function chooseCar(options) {
  car = known(options);
  elsewhere = null;
  if (page) {
    store.set(CAR + page.vehicle, JSON.stringify(car));
    takeInHand(page);
    isWorkedBy = true;
  }
  show();
  listeners.forEach((tell) => tell());
}

/** A car in words: "transmission manual, tow eye not stated"; an option that nothing here depends on only if it
 * is stated. @param {Car} options */
export function carText(options) {
  const said = (page?.options ?? []).filter(([option]) => option in options || asked.has(option));
  return said.map(([option, label]) => `${label.toLowerCase()} ${options[option] ?? "not stated"}`).join(", ");
}

/** What a car had that the car of now has not: "transmission manual". @param {Car} before */
function changedText(before) {
  const changed = (page?.options ?? []).filter(([option]) => option in before && before[option] !== car[option]);
  return changed.map(([option, label]) => `${label.toLowerCase()} ${before[option]}`).join(", ");
}

/** The options that something on this page depends on. @returns {Set<string>} */
function askedHere() {
  return new Set([...limited().map((element) => element.dataset.when), page?.place.dataset.only].flatMap(optionsIn));
}

/** Whether this page is for the car in hand, as far as it is known. */
export function isForCar() {
  return (isWorkedBy || !isOtherInHand()) && mayApply(page?.place.dataset.only, car);
}

/** The options that something here depends on. @returns {CarOption[]} */
export function askedOptions() {
  return (page?.options ?? []).filter(([option]) => asked.has(option));
}

/** Those of them that are not stated. */
export function unstated() {
  return askedOptions().filter(([option]) => !(option in car));
}

/** The options without which nobody can tell whether this page is for the car. @param {Car} [of] */
export function needed(of = car) {
  const only = readCondition(page?.place.dataset.only ?? "");
  const options = only && verdict(only, of) === null ? optionsIn(page?.place.dataset.only) : [];
  return askedOptions().filter(([option]) => options.includes(option) && !(option in of));
}

const asked = askedHere();
const summary = make("summary");
const fields = make("div", { class: "car-options" });
const away = make("p", { class: "car-away", role: "status" });

/** @param {CarOption} given */
function optionField([option, label, values]) {
  const choices = [...values, ""].map((value) =>
    make("label", {}, make("input", {
      type: "radio", name: `car-${option}`, value, checked: (car[option] ?? "") === value,
      onchange: () => {
        const { [option]: _, ...others } = car;
        chooseCar(value ? { ...others, [option]: value } : others);
      },
    }), make("span", {}, value || "not known")));
  return make("fieldset", {}, make("legend", {}, label), ...choices);
}

/** Everything that is for some cars only. @returns {HTMLElement[]} */
function limited() {
  return [.../** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll(":is(main, .page-contents) [data-when]"))];
}

/** Hide what is not for the car, and say how much that is. @param {Car} [before] the car before another tab changed it */
function show(before) {
  if (!page) return;
  const others = limited().filter((element) => !mayApply(element.dataset.when, car));
  for (const element of limited()) {
    const off = others.includes(element);
    element.hidden = off && !showAll;
    element.classList.toggle("other-car", off && showAll);
  }
  commas();
  amounts();
  countOpen();
  tellAway(others);
  tellWhose(page, before);
  const stated = page.options.filter(([option]) => option in car).length;
  fill(summary, make("b", {}, "My car: "), page.name);
  if (stated) summary.append(`, ${carText(car)}`);
  else if (asked.size) summary.append(make("span", { class: "car-ask" }, ", choose its options; everything is shown until then"));
  for (const input of fields.querySelectorAll("input")) input.checked = (car[input.name.slice(4)] ?? "") === input.value;
}

let areOwn = false;

/** Lists and sums of the car alone, by what is fetched once a car is chosen. */
function amounts() {
  areOwn ||= Object.keys(car).length > 0;
  if (areOwn) import("./job/own-amounts.js").then(({ showOwnAmounts }) => showOwnAmounts()).catch(() => {}); // all is listed then
}

let told = 0;

/** Put away what is for another car, and have it said first, by what is fetched where it is needed.
 * @param {CarPage} page @param {Car} [before] the car before another tab changed it */
function tellWhose(page, before) {
  const main = /** @type {HTMLElement} */ (document.querySelector("main"));
  const turn = ++told;
  const isOther = isOtherInHand(), isWrong = !isForCar(), isSaid = isWrong || isOther;
  main.classList.toggle("not-for-car", isWrong && (Boolean(page.place.dataset.procedure) || !mayApply(page.place.dataset.only, car)));
  main.classList.toggle("car-awaited", isSaid && turn === 1); // later, what is read stays where it is
  document.body.classList.toggle("wrong-car-here", isWrong);
  main.classList.remove("read-anyway");
  if (!isSaid) return main.querySelector(".wrong-car")?.remove();
  import("./job/wrong-car.js").then(({ tellOtherVehicle, tellWrongCar }) => {
    if (turn !== told) return;
    if (isOther) tellOtherVehicle(page, () => chooseCar(car));
    else tellWrongCar(page, carText(car), before && mayApply(page.place.dataset.only, before)
      ? { words: changedText(before), choose: () => chooseCar(before) } : undefined);
  }, () => main.prepend(make("aside", { class: "wrong-car" }, make("p", { class: "wrong-car-word" }, "Not for this car"))))
    .finally(() => {
      main.classList.remove("car-awaited");
      if (turn === 1) document.querySelector(":target")?.scrollIntoView();
    });
}

/** Commas only between the things of an action that are shown. */
function commas() {
  for (const comma of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll(".step-do .comma, .by-car .comma"))) {
    const before = [...(comma.parentElement?.querySelectorAll(":scope > .object:not([hidden])") ?? [])]
      .some((each) => each.compareDocumentPosition(comma) & Node.DOCUMENT_POSITION_FOLLOWING);
    comma.hidden = !before || /** @type {HTMLElement} */ (comma.nextElementSibling)?.hidden;
  }
  for (const item of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll(".step-do > li"))) {
    const objects = [...item.querySelectorAll(":scope > .object")];
    item.hidden = objects.length > 0 && objects.every((each) => /** @type {HTMLElement} */ (each).hidden);
  }
}

/** How many items are open after a step, of those that are shown. */
function countOpen() {
  for (const fold of document.querySelectorAll("details.open-after")) {
    const count = fold.querySelectorAll(".open-items > li:not([hidden])").length;
    const summary = fold.querySelector("summary");
    if (summary) summary.textContent = `Open after this step: ${count}`;
  }
}

/** @param {HTMLElement[]} others */
function tellAway(others) {
  const steps = others.filter((element) => element.matches("section.step")).length;
  const rows = others.filter((element) => element.matches("tr")).length;
  const said = [steps && counted(steps, "step"), rows && counted(rows, "row")].filter(Boolean).join(" and ");
  fill(away);
  if (!said) return;
  const press = () => {
    showAll = !showAll;
    show();
    /** @type {HTMLElement|null} */ (away.querySelector("button"))?.focus();
  };
  away.append(`${said} not for this car${showAll ? ", shown and marked" : ""}. `, button(showAll ? "Hide them" : "Show all", press));
}

/** A link may lead to what is hidden: then it is shown. */
function showTarget() {
  const target = document.querySelector(":target");
  if (target?.closest("[hidden]")) {
    showAll = true;
    show();
    target.scrollIntoView();
  }
}

if (page?.options.length) {
  const here = page.options.filter(([option]) => asked.has(option));
  const others = page.options.filter(([option]) => !asked.has(option));
  fields.append(...here.map(optionField));
  if (!here.length) fields.append(make("p", {}, "Nothing on this page depends on the options of the car."));
  if (others.length) {
    fields.append(make("details", { class: "car-others" }, make("summary", {}, `Other options of this car: ${others.length}`), ...others.map(optionField)));
  }
  page.place.append(make("details", { class: "car-choice" }, summary, fields), away);
} else if (page?.vehicle) {
  page.place.append(make("p", { class: "car-only" }, make("b", {}, "Car: "), page.name));
}
if (page?.vehicle) {
  show();
  addEventListener("hashchange", showTarget);
  showTarget();
  store.onOtherTab((key) => {
    if (key !== null && key !== CAR + page.vehicle && key !== VEHICLE) return;
    const [before, next] = [car, kept()];
    elsewhere = key !== null && mayApply(page.place.dataset.only, next) && holds(next) ? next : null;
    if (!elsewhere) car = next;
    if (!isOtherInHand()) isWorkedBy = true;
    show(before);
    listeners.forEach((tell) => tell());
  });
}
