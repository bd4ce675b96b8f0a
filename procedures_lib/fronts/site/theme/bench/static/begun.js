// The first page: the jobs that are begun on this device, with car, step and age; what is not for a car that was chosen.

import { mayApply } from "./job/condition.js";
import { counted, fill, make, shownTime } from "./job/dom.js";
import { begunJobs, resumeFragment } from "./job/job.js";
import { store } from "./job/store.js";

const place = /** @type {HTMLElement|null} */ (document.querySelector(".begun-jobs"));
const links = /** @type {HTMLAnchorElement[]} */ ([...document.querySelectorAll("[data-vehicle] a[data-procedure]")]);

/** How long ago, in words; when, where the clock was set back since. @param {string} begun */
function age(begun) {
  const minutes = Math.round((Date.now() - Date.parse(begun)) / 60_000);
  if (minutes < 0) return `begun ${shownTime(begun)}, later than this device's clock`;
  if (minutes < 60) return `begun ${minutes} min ago`;
  const hours = Math.round(minutes / 60);
  return hours < 48 ? `begun ${hours} h ago` : `begun ${Math.round(hours / 24)} days ago`;
}

/** @param {Job} job */
function item(job) {
  const link = links.find((each) => each.dataset.procedure === job.procedure);
  const page = link?.href ?? job.page ?? "";
  const href = page && page + resumeFragment(job);
  const ticked = Object.keys(job.ticks).length;
  const far = ticked ? `${job.steps ? `${ticked} of ` : ""}${counted(job.steps ?? ticked, "step")} ticked` : "no step ticked yet";
  const vehicle = link?.closest("[data-vehicle]")?.querySelector("summary")?.textContent ?? "";
  const car = Object.entries(job.car).map(([option, value]) => `${option.replaceAll("-", " ")} ${value}`).join(", ");
  const title = link?.textContent || job.title || job.procedure;
  const said = [vehicle, car || "any car of this vehicle", far, age(job.begun)];
  if (job.reference) said.unshift(job.reference);
  const name = href ? make("a", { href }, title) : title;
  return make("li", {}, name, make("span", { class: "begun-facts" }, said.filter(Boolean).join(" · ")));
}

function show() {
  if (!place) return;
  const jobs = begunJobs().sort((one, other) => Date.parse(other.begun) - Date.parse(one.begun));
  place.hidden = !jobs.length;
  fill(place, make("h2", {}, "Begun on this device"), make("ul", {}, ...jobs.map(item)));
}

/** Say which procedures are not for the car that was chosen of a vehicle. */
function mark() {
  for (const link of links) {
    const vehicle = link.closest("[data-vehicle]")?.getAttribute("data-vehicle");
    /** @type {Car} */
    let car = {};
    try {
      car = JSON.parse(store.get(`procedures-car:${vehicle}`) ?? "{}") ?? {};
    } catch {
      // chosen anew
    }
    if (!mayApply(link.dataset.when, car)) link.after(make("span", { class: "applies" }, "not for the car you chose"));
  }
}

show();
mark();
store.onOtherTab(show);
