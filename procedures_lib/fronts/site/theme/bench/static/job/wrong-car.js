// A page that is not for the car that was chosen: it says so first, and leads to what is.

import { mayApply } from "./condition.js";
import { button, fill, make } from "./dom.js";

const root = new URL(document.documentElement.dataset.content_root ?? "./", location.href);
const list = make("ul");
const banner = make("aside", { class: "wrong-car", "aria-label": "Not for this car" });

/** @typedef {{words: string, choose: () => void}} CarBefore the car in words, and what goes back to it */

/** Say at the top of the page that it is not for a car, or no longer.
 * @param {CarPage} page @param {Car} car @param {string} words the car in words
 * @param {CarBefore} [before] where another tab has changed it */
export function tellWrongCar(page, car, words, before) {
  const main = /** @type {HTMLElement} */ (document.querySelector("main"));
  const { only } = page.place.dataset;
  const wrong = !mayApply(only, car);
  main.classList.toggle("not-for-car", wrong);
  document.body.classList.toggle("wrong-car-here", wrong);
  main.classList.remove("read-anyway");
  if (!wrong) return banner.remove();
  const said = [make("p", {}, "This page is only for ", make("b", {}, (only ?? "").replaceAll("=", " ")), ". ",
    make("span", {}, `Your car: ${page.name}, ${words}.`))];
  if (before?.words) said.push(make("p", {}, `The car was changed elsewhere on this device; here it was ${before.words}.`));
  const ways = [button("It is another car", () => askCar(page.place)), reading(main)];
  if (before?.words) ways.unshift(button(`It is still ${before.words}`, before.choose));
  fill(banner, make("p", { class: "wrong-car-word" }, "Not for this car"), ...said, make("p", {}, ...ways),
    make("div", { class: "wrong-car-ways" }, make("p", { class: "list-title" }, "For your car:"), list));
  main.prepend(banner);
  void lead(page, car);
}

/** Open the choice of the car. @param {HTMLElement} place */
function askCar(place) {
  const choice = /** @type {HTMLDetailsElement|null} */ (place.querySelector(".car-choice"));
  if (choice) choice.open = true;
  choice?.querySelector("summary")?.focus();
  choice?.scrollIntoView({ block: "start" });
}

/** The button that shows the page below its warning, and puts it away again. @param {HTMLElement} main */
function reading(main) {
  const text = () => (main.classList.contains("read-anyway") ? "Put it away again" : "Read it all the same");
  const press = button(text(), () => {
    main.classList.toggle("read-anyway");
    press.textContent = text();
    main.querySelector(main.classList.contains("read-anyway") ? "h1" : ".wrong-car")?.scrollIntoView({ block: "start" });
  }, "plain");
  return press;
}

/** The procedures for the car, as the first page lists them. @param {CarPage} page @param {Car} car */
async function lead(page, car) {
  const home = new URL("index.html", root);
  const all = make("li", {}, make("a", { href: home.href }, "All procedures"));
  if (!list.children.length) fill(list, all);
  try {
    const there = new DOMParser().parseFromString(await (await fetch(home)).text(), "text/html");
    const links = /** @type {NodeListOf<HTMLElement>} */ (there.querySelectorAll("[data-vehicle] a[data-procedure]"));
    const own = [...links].filter((link) => link.closest("[data-vehicle]")?.getAttribute("data-vehicle") === page.vehicle
      && link.dataset.procedure !== page.place.dataset.procedure && mayApply(link.dataset.when, car));
    const items = own.map((link) => make("li", {},
      make("a", { href: new URL(link.getAttribute("href") ?? "", home).href }, link.textContent ?? "")));
    fill(list, ...items, all);
  } catch {
    // without a network, and not kept: the first page says so itself
  }
}
