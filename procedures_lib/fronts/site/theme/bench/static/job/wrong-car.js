// A page that is not for the car in hand: it says so first, and leads to what is.

import { mayApply } from "./condition.js";
import { button, fill, make } from "./dom.js";
import { carOf, carWords, nameInHand, vehicleInHand } from "./in-hand.js";

const root = new URL(document.documentElement.dataset.content_root ?? "./", location.href);
const list = make("ul");
const banner = make("aside", { class: "wrong-car" });

/** @typedef {{words: string, choose: () => void}} CarBefore the car in words, and what goes back to it */

/** Say at the top of the page that it is not for the options of the car.
 * @param {CarPage} page @param {string} words the car in words
 * @param {CarBefore} [before] where another tab has changed it */
export function tellWrongCar(page, words, before) {
  const { only = "" } = page.place.dataset;
  const said = [make("p", {}, "This page is only for ", make("b", {}, only.replaceAll("=", " ")), ". ",
    make("span", {}, `Your car: ${page.name}, ${words}.`))];
  if (before?.words) said.push(make("p", {}, `The car was changed elsewhere on this device; here it was ${before.words}.`));
  const ways = [button("It is another car", () => askCar(page.place)), reading()];
  if (before?.words) ways.unshift(button(`It is still ${before.words}`, before.choose));
  tell("Not for this car", said, ways, "For your car:", page, page.vehicle);
}

/** Say at the top of the page that it is for another vehicle than the one in hand.
 * @param {CarPage} page @param {() => void} take what takes its vehicle in hand */
export function tellOtherVehicle(page, take) {
  const isAway = main().classList.contains("not-for-car");
  const said = make("p", {}, "This page is for the ", make("b", {}, page.name), ". ", make("span", {}, `In hand: ${carWords()}.`));
  const ways = [button(`The ${page.name} is the car now`, take), ...(isAway ? [reading()] : [])];
  tell("Another car is in hand", [said], ways, `For the ${nameInHand()}:`, page, vehicleInHand());
  banner.classList.add("other-vehicle");
}

function main() {
  return /** @type {HTMLElement} */ (document.querySelector("main"));
}

/** @param {string} word @param {Node[]} said @param {Node[]} ways @param {string} title that of the list
 * @param {CarPage} page @param {string} vehicle that of the list */
function tell(word, said, ways, title, page, vehicle) {
  banner.classList.remove("other-vehicle");
  banner.setAttribute("aria-label", word);
  fill(banner, make("p", { class: "wrong-car-word" }, word), ...said, make("p", { class: "wrong-car-answers" }, ...ways),
    make("div", { class: "wrong-car-ways" }, make("p", { class: "list-title" }, title), list));
  main().prepend(banner);
  void lead(page, vehicle);
}

/** Open the choice of the car. @param {HTMLElement} place */
function askCar(place) {
  const choice = /** @type {HTMLDetailsElement|null} */ (place.querySelector(".car-choice"));
  if (choice) choice.open = true;
  choice?.querySelector("summary")?.focus();
  choice?.scrollIntoView({ block: "start" });
}

/** The button that shows the page below its warning, and puts it away again. */
function reading() {
  const isRead = () => main().classList.contains("read-anyway");
  const text = () => (isRead() ? "Put it away again" : "Read it all the same");
  const press = button(text(), () => {
    main().classList.toggle("read-anyway");
    press.textContent = text();
    main().querySelector(isRead() ? "h1" : ".wrong-car")?.scrollIntoView({ block: "start" });
  }, "plain");
  return press;
}

/** The procedures for a car, as the first page lists them. @param {CarPage} page @param {string} vehicle */
async function lead(page, vehicle) {
  const home = new URL("index.html", root);
  const all = make("li", {}, make("a", { href: home.href }, "All procedures"));
  if (!list.children.length) fill(list, all);
  try {
    const there = new DOMParser().parseFromString(await (await fetch(home)).text(), "text/html");
    const links = /** @type {NodeListOf<HTMLElement>} */ (there.querySelectorAll("[data-vehicle] a[data-procedure]"));
    const own = [...links].filter((link) => link.closest("[data-vehicle]")?.getAttribute("data-vehicle") === vehicle
      && link.dataset.procedure !== page.place.dataset.procedure && mayApply(link.dataset.when, carOf(vehicle)));
    const items = own.map((link) => make("li", {},
      make("a", { href: new URL(link.getAttribute("href") ?? "", home).href }, link.textContent ?? "")));
    fill(list, ...items, all);
  } catch {
    // without a network, and not kept: the first page says so itself
  }
}
