// Which car is it? Asked before the first tick or reading of a job, where the page depends on it.

import { chooseCar, chosenCar, isForCar, unstated } from "../car.js";
import { button, make } from "./dom.js";

/** @param {import("./session.js").Session} session */
export function addAsking(session) {
  session.gate = (goOn) => {
    if (!isForCar()) return true;
    const open = unstated();
    if (open.length) ask(open, goOn);
    return open.length > 0;
  };
}

/** @param {CarOption[]} options @param {() => void} goOn */
function ask(options, goOn) {
  const before = /** @type {HTMLElement|null} */ (document.activeElement);
  const form = make("form", { method: "dialog" }, make("h2", { id: "car-question" }, "Which car is it?"),
    make("p", {}, "Some steps are for some cars only. Look at the car, not at the order."), ...options.map(choice));
  const dialog = make("dialog", { class: "car-question", "aria-labelledby": "car-question" }, form);
  const begin = button("Begin on this car", () => {
    const said = new FormData(form);
    const car = { ...chosenCar() };
    for (const [option] of options) if (said.get(option)) car[option] = String(said.get(option));
    dialog.close();
    chooseCar(car);
    if (isForCar()) goOn();
  });
  form.append(make("p", { class: "car-question-answers" }, button("Not yet", () => dialog.close(), "plain"), begin));
  dialog.addEventListener("close", () => {
    dialog.remove();
    before?.focus({ preventScroll: true });
  });
  document.body.append(dialog);
  dialog.showModal();
}

/** @param {CarOption} given */
function choice([option, label, values]) {
  const labels = [...values, ""].map((value) => make("label", {},
    make("input", { type: "radio", name: option, value, checked: value === "" }), make("span", {}, value || "not known")));
  return make("fieldset", {}, make("legend", {}, label), ...labels);
}
