// Handing a job over to another phone: a link that holds its state, the same as a QR code, and taking one over.

import { carText, chooseCar } from "../car.js";
import { button, counted, fill, make, shownTime, stamp } from "./dom.js";
import { loadJob, readingCount } from "./job.js";
import { fragmentOf, isHandover, jobIn } from "./link.js";
import { drawing } from "./qr/drawing.js";
import { encode } from "./qr/encode.js";

/** @typedef {import("./session.js").Session} Session */

/** The largest code with the better correction: beyond it the modules get too small for most cameras. */
const LARGE = 20;

/** So long after the last change, in ms, the code is drawn again: not at every key that is pressed. */
const SETTLED = 250;

/** @param {Session} session @param {HTMLElement} place */
export function addHandover(session, place) {
  const inner = make("div");
  const fold = make("details", { class: "fold handover-job", ontoggle: () => draw() }, make("summary", {}, "Hand this job over"), inner);
  place.append(fold);
  let waiting = 0;
  const draw = () => {
    if (fold.open) fill(inner, ...contents(session));
  };
  session.onChange(() => {
    fold.hidden = !session.isBegun;
    clearTimeout(waiting);
    if (fold.open) waiting = setTimeout(draw, SETTLED);
  });
}

/** @param {Session} session */
function contents(session) {
  if (!session.isCurrent) return [make("p", {}, "Answer the question above first: this page was changed since the job was begun.")];
  const address = location.href.split("#")[0] + fragmentOf(session.job, session.page);
  const field = make("input", { class: "handover-link", readonly: true, value: address, "aria-label": "Link of this job", onfocus: () => void field.select() });
  const said = make("span", { role: "status" });
  const copy = button("Copy the link", async () => {
    try {
      await navigator.clipboard.writeText(address);
      said.textContent = "Copied.";
    } catch {
      field.focus();
      said.textContent = "Press and hold the link to copy it.";
    }
  });
  const parts = [make("p", {}, "Open this link, or scan the code, on the other phone. It shows the job as it stands now; "
    + "what is ticked later stays on the phone where it is ticked. It holds what was typed, initials too."), field, copy];
  if ("share" in navigator) parts.push(button("Share", () => void navigator.share({ title: session.page.title, url: address }).catch(() => {})));
  return [...parts, said, code(address)];
}

/** @param {string} address */
function code(address) {
  const best = encode(address, "M");
  const found = best && best.version <= LARGE ? best : encode(address, "L");
  if (!found) return make("p", {}, "The job holds too much for a code: use the link.");
  return make("figure", { class: "handover-code" }, drawing(found, "QR code of the link of this job"));
}

/** Look at the address for a job that is handed over, now and whenever it changes. @param {Session} session @param {HTMLElement} place
 * @param {CarOption[]} options */
export function addReceiving(session, place, options) {
  const box = make("div", { class: "job-received", role: "status" });
  place.prepend(box);
  const look = () => {
    if (isHandover(location.hash)) receive(session, box, options);
  };
  addEventListener("hashchange", look);
  look();
}

/** @param {Session} session @param {HTMLElement} box @param {CarOption[]} options */
function receive(session, box, options) {
  const found = jobIn(location.hash, session.page, options, stamp);
  const done = () => {
    history.replaceState(null, "", location.pathname + location.search);
    fill(box);
  };
  if ("refused" in found) {
    fill(box, make("div", { class: "job-notice" }, make("p", {}, make("b", {}, "Not taken over. "), found.refused), button("Go on", done)));
  } else {
    const { job } = found;
    const own = loadJob(session.page, job.car);
    const text = `${carText(job.car) || "This car"}: ${amounts(job)}, begun ${shownTime(job.begun)}.`;
    const over = own.begun ? ` This phone has a job on that car already, with ${amounts(own)}. Taking over replaces it.` : "";
    const take = button(own.begun ? "Replace mine" : "Take it over", () => {
      chooseCar(job.car);
      session.replace(job);
      done();
    });
    fill(box, make("div", { class: "job-notice" }, make("p", {}, make("b", {}, "A job is handed over to you. "), text + over), take, button("Leave it", done, "plain")));
  }
  box.scrollIntoView({ block: "center" });
}

/** @param {Job} job */
function amounts(job) {
  return `${counted(Object.keys(job.ticks).length, "tick")} and ${counted(readingCount(job), "reading")}`;
}
