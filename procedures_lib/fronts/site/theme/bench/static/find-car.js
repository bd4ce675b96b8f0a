// Whether a hit is for the car that was chosen: as `car.js` keeps it, one choice for each vehicle, and which was the last.

import { pageHere, rowsOf } from "./find-index.js";
import { mayApply } from "./job/condition.js";
import { carOf, carWords, vehicleInHand } from "./job/in-hand.js";

const HERE = 1.6, BEGUN = 1.3, FOREIGN = 0.5; // what a row counts for: on the page that is open, of a begun job, of a vehicle that is not in hand

/** The car that the page is about, as it says. */
function pageCar() {
  return /** @type {HTMLElement | null} */ (document.querySelector(".page-car"))?.dataset ?? {};
}

/** The vehicle that is searched for first, "" for none: that of this page, or the one in hand. @returns {string} */
function vehicleHere() {
  return pageCar().vehicle || vehicleInHand();
}

/** The car that rows are held against, in words; "" for none. */
export function carHere() {
  return vehicleHere() && carWords(vehicleHere(), pageCar().car);
}

/** @param {string} vehicle "" for none @param {string} when an option expression @returns {boolean} */
function forChosenCar(vehicle, when) {
  return !vehicle || mayApply(when, carOf(vehicle));
}

/** Whether a row is for the car that was chosen, and its page too. @param {string | undefined} vehicle none for all
 * @param {...(string | undefined)} when the cars that each is for, "" for all */
export function isForCar(vehicle, ...when) {
  return when.every((cars) => forChosenCar(vehicle ?? "", cars ?? ""));
}

/** Where the reader stands: what is on the page that is open, what is of another vehicle, what is begun.
 * @param {IndexStart} begun @param {Set<number>} jobs the pages of begun jobs @returns {Promise<Standing>} */
export async function standing(begun, jobs) {
  const here = pageHere(begun);
  const own = begun.pages[here];
  const guests = new Set(own ? (await rowsOf(own[0], begun.part)).guests : []);
  const inHand = begun.cars.indexOf(vehicleHere());
  const about = (/** @type {number} */ page) => begun.pages[page]?.[4] ?? -1;
  const foreign = (/** @type {number} */ page) => inHand >= 0 && about(page) >= 0 && about(page) !== inHand;
  /** @type {Map<number, boolean>} */
  const known = new Map();
  const fits = (/** @type {number} */ page) => {
    const found = known.get(page) ?? (!foreign(page) && isForCar(begun.cars[about(page)], begun.pages[page]?.[5]));
    known.set(page, found);
    return found;
  };
  const distance = (/** @type {number} */ page) =>
    (!fits(page) ? 4 : page === here ? 0 : jobs.has(page) ? 1 : inHand >= 0 && about(page) === inHand ? 2 : 3);
  const nearness = (/** @type {number} */ page) => [HERE, BEGUN, 1, 1, FOREIGN][distance(page)] ?? 1;
  const worth = (/** @type {number} */ id) => {
    const page = Math.floor(id / begun.stride);
    return guests.has(id) && !foreign(page) ? HERE : nearness(page);
  };
  return { here, foreign, fits, distance, nearness, worth };
}
