// The bar at the foot of the screen while a job is under way: how far, where to go on, what is open.

import { button, fill, make } from "./dom.js";
import { openNow } from "./open.js";

/** @param {import("./session.js").Session} session */
export function addBar(session) {
  const progress = make("span", { class: "follow-progress", role: "status" });
  const list = make("div", { class: "follow-open", id: "follow-open", hidden: true });
  const next = button("", () => session.next && goTo(session.next.element), "follow-next");
  const open = button("", () => {
    list.hidden = !list.hidden;
    open.setAttribute("aria-expanded", String(!list.hidden));
  }, "follow-toggle");
  open.setAttribute("aria-controls", "follow-open");
  open.setAttribute("aria-expanded", "false");
  const bar = make("aside", { class: "follow-bar", "aria-label": "The job", hidden: true }, list, progress, open, next);
  document.body.append(bar);
  session.onChange(() => {
    const steps = session.steps;
    const ticked = steps.filter((step) => session.isTicked(step)).length;
    bar.hidden = !session.isBegun;
    document.body.classList.toggle("following", session.isBegun);
    progress.textContent = `${ticked} of ${steps.length} steps`;
    next.hidden = !session.next;
    next.textContent = session.next ? `Go to step ${session.next.number}` : "";
    tellOpen(session, open, list);
  });
}

/** @param {import("./session.js").Session} session @param {HTMLElement} toggle @param {HTMLElement} list */
function tellOpen(session, toggle, list) {
  const now = openNow(session);
  if (!now) {
    toggle.textContent = "Open: not known";
    fill(list, make("p", {}, "What is open is not known: the page does not add up, see the checks."));
    return;
  }
  toggle.textContent = `Open: ${now.items.length}`;
  fill(list, make("p", { class: "list-title" }, now.after ? `Open after step ${now.after}` : "Open"));
  if (now.skipped.length) {
    const steps = `${now.skipped.length === 1 ? "Step" : "Steps"} ${now.skipped.slice(0, 12).join(", ")}${now.skipped.length > 12 ? " …" : ""}`;
    list.append(make("p", { class: "follow-skipped" }, `${steps} without a tick: this list takes ${now.skipped.length === 1 ? "it" : "them"} as done.`));
  }
  list.append(now.items.length ? make("ul", { class: "open-items" }, ...now.items) : make("p", {}, "Nothing."));
}

/** Bring a step to the top of the screen, and the focus with it. @param {HTMLElement} element */
export function goTo(element) {
  element.scrollIntoView({ block: "start" });
  /** @type {HTMLElement|null} */ (element.querySelector(".step-number"))?.focus({ preventScroll: true });
}
