// Whether a hit is for the car that was chosen: as `car.js` keeps it, one choice for each vehicle, and which was the last.

import { mayApply } from "./job/condition.js";
import { carPage } from "./job/page.js";
import { store } from "./job/store.js";

/** The vehicle in hand, "" for none: that of this page, or the one that a car was last chosen of. @returns {string} */
export function vehicleInHand() {
  return carPage()?.vehicle || (store.get("procedures-vehicle") ?? "");
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
export function forChosenCar(vehicle, when) {
  return !vehicle || mayApply(when, chosen(vehicle));
}
