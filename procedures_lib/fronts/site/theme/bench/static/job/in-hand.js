// The car in hand: the vehicle that a car was last chosen of or worked on, and the options chosen for it.

import { store } from "./store.js";

export const VEHICLE = "procedures-vehicle", CAR = "procedures-car:";
const NAME = "procedures-vehicle-name";

/** The options chosen for a vehicle, none if nothing was. @param {string} vehicle @returns {Car} */
export function carOf(vehicle) {
  try {
    return Object(JSON.parse(store.get(CAR + vehicle) ?? "{}"));
  } catch {
    return {}; // chosen anew
  }
}

/** The vehicle in hand, "" for none. @returns {string} */
export function vehicleInHand() {
  return store.get(VEHICLE) ?? "";
}

/** The vehicle in hand by its name. */
export function nameInHand() {
  return store.get(NAME) || vehicleInHand().replaceAll("-", " ");
}

/** A car in words, the one in hand if no other is named: "Tarrow Finch 1.6 turbo, transmission manual". */
export function carWords(vehicle = vehicleInHand(), name = nameInHand()) {
  return [name, ...Object.entries(carOf(vehicle)).map(([option, value]) => `${option.replaceAll("-", " ")} ${value}`)].join(", ");
}

/** Take the vehicle of a page in hand. @param {CarPage} page */
export function takeInHand({ vehicle, name }) {
  store.set(NAME, name);
  store.set(VEHICLE, vehicle); // other tabs look when it is another
}
