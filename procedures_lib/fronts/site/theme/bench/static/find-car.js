// Whether a hit is for the car that was chosen: as `car.js` keeps it, one choice for each vehicle, and which was the last.

import { pageHere, rowsOf } from "./find-index.js";
import { mayApply } from "./job/condition.js";
import { store } from "./job/store.js";

const HERE = 1.6, BEGUN = 1.3, FOREIGN = 0.5; // what a row counts for: on the page that is open, of a begun job, of a vehicle that is not in hand

/** The vehicle in hand, "" for none: that of this page, or the one that a car was last chosen of. @returns {string} */
function vehicleInHand() {
  const page = /** @type {HTMLElement | null} */ (document.querySelector(".page-car"));
  return page?.dataset.vehicle || (store.get("procedures-vehicle") ?? "");
}

/** The options chosen for a vehicle, none if nothing was. @param {string} vehicle @returns {Car} */
function chosen(vehicle) {
  try {
    return Object(JSON.parse(store.get(`procedures-car:${vehicle}`) ?? "{}"));
  } catch {
    return {}; // chosen anew
  }
}

/** @param {string} vehicle "" for none @param {string} when an option expression @returns {boolean} */
function forChosenCar(vehicle, when) {
  return !vehicle || mayApply(when, chosen(vehicle));
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
  const inHand = begun.cars.indexOf(vehicleInHand());
  const carOf = (/** @type {number} */ page) => begun.pages[page]?.[4] ?? -1;
  const foreign = (/** @type {number} */ page) => inHand >= 0 && carOf(page) >= 0 && carOf(page) !== inHand;
  const distance = (/** @type {number} */ page) =>
    (page === here ? 0 : foreign(page) ? 4 : jobs.has(page) ? 1 : inHand >= 0 && carOf(page) === inHand ? 2 : 3);
  const nearness = (/** @type {number} */ page) => [HERE, BEGUN, 1, 1, FOREIGN][distance(page)] ?? 1;
  const worth = (/** @type {number} */ id) => {
    const page = Math.floor(id / begun.stride);
    return guests.has(id) && !foreign(page) ? HERE : nearness(page);
  };
  return { here, foreign, distance, nearness, worth };
}
