// What the page sums up over its steps, for the car chosen: where a thing is used, how many steps, how long, how many people.

/** @type {WeakMap<Element, HTMLAnchorElement[]>} the links of a list, those that are away among them */
const lists = new WeakMap();

/** Show of each list the links that lead to what is shown, and the sums of the steps that are shown. */
export function showOwnAmounts() {
  for (const list of document.querySelectorAll(".facts td, .signal-steps")) {
    const all = lists.get(list) ?? linksOf(list);
    const own = all.filter((link) => !isAway(link));
    if (own.length !== list.querySelectorAll("a").length) list.replaceChildren(...opening(list, own.length), ...own.flatMap((link, n) => (n ? [", ", link] : [link])));
  }
  const steps = /** @type {HTMLElement[]} */ ([...document.querySelectorAll("section.step")]).filter((step) => !step.hidden);
  for (const place of document.querySelectorAll("[data-sum]")) {
    if (steps.length) place.textContent = sumOf(steps, place.getAttribute("data-sum") ?? "");
  }
}

/** The links of a list that is nothing else. @param {Element} list */
function linksOf(list) {
  const links = [...list.querySelectorAll("a")];
  const words = list.classList.contains("signal-steps") ? /^(Steps? |, )$/ : /^, $/;
  const isList = [...list.childNodes].every((node) => (node instanceof Text ? words.test(node.data) : node instanceof HTMLAnchorElement));
  const found = isList && links.every((link) => link.getAttribute("href")?.startsWith("#")) ? links : [];
  if (found.length) lists.set(list, found);
  return found.length ? found : links;
}

/** What stands before the links. @param {Element} list @param {number} count */
function opening(list, count) {
  return list.classList.contains("signal-steps") ? [count > 1 ? "Steps " : "Step "] : [];
}

/** Whether what a link leads to is not for the car. @param {HTMLAnchorElement} link */
function isAway(link) {
  const place = document.getElementById(decodeURIComponent(link.hash.slice(1)));
  if (place instanceof HTMLTableSectionElement) return [...place.rows].every((row) => row.hidden);
  return Boolean(place?.hidden);
}

/** @param {HTMLElement[]} steps @param {string} what */
function sumOf(steps, what) {
  if (what === "steps") return String(steps.length);
  if (what === "people") return String(Math.max(1, ...steps.map((step) => Number(step.dataset.people ?? 1))));
  const timed = steps.filter((step) => step.dataset.seconds);
  const all = Math.round(timed.reduce((sum, step) => sum + Number(step.dataset.seconds), 0) / 60);
  const [hours, minutes] = [Math.floor(all / 60), all % 60];
  const words = [hours && `${hours}\u00a0h`, (minutes || !hours) && `${minutes}\u00a0min`].filter(Boolean).join(" ");
  return timed.length < steps.length ? `${words}, and ${steps.length - timed.length} steps without a time` : words;
}
