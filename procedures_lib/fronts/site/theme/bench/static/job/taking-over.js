// Taking a job over that another phone hands on: the parts of its code, the job in it, and the answer.

import { carText, chooseCar, chosenCar } from "../car.js";
import { button, counted, fill, make, shownTime, stamp } from "./dom.js";
import { carWord, loadJob, readingCount, tickedStageCount } from "./job.js";
import { fragmentsOf, jobIn, partIn } from "./link.js";
import { store } from "./store.js";

/** @typedef {import("./session.js").Session} Session */

/** Parts of a job that came so far. */
const COMING = "procedures-handover:";

/** The fragment of the whole job, once all its parts have come; what is missing, until then.
 * @param {string} fragment @param {Procedure} page @returns {{fragment: string} | {text: string}} */
function wholeOf(fragment, page) {
  const part = partIn(fragment);
  if (!part || part.of === 1) return { fragment };
  const key = `${COMING}${page.id}`;
  const came = comingOf(store.get(key));
  const texts = came.whole === part.whole ? came.texts : {};
  texts[part.number] = part.text;
  const numbers = Array.from({ length: part.of }, (_, n) => n + 1);
  const missing = numbers.filter((n) => texts[n] === undefined);
  if (!missing.length) {
    store.remove(key);
    return { fragment: fragmentsOf(numbers.map((n) => texts[n]).join(""), 1, part.version)[0] ?? "" };
  }
  store.set(key, JSON.stringify({ whole: part.whole, texts }));
  const [first = 0] = missing;
  return { text: `Code ${part.number} of ${part.of} is here. Scan code ${missing.join(", ").replace(/, (\d+)$/, " and $1") || first} too: it opens this page again.` };
}

/** @param {string|null} text @returns {{whole: string, texts: Record<number, string>}} */
function comingOf(text) {
  try {
    const { whole, texts } = JSON.parse(text ?? "");
    return { whole, texts };
  } catch {
    return { whole: "", texts: {} };
  }
}

let turn = 0;

/** Say what came, and ask. @param {Session} session @param {HTMLElement} box @param {CarPage} car */
export async function receive(session, box, car) {
  const own = ++turn;
  const came = wholeOf(location.hash, session.page);
  const found = "text" in came ? null : await jobIn(came.fragment, session.page, car.options, stamp);
  if (own !== turn) return;
  const done = () => {
    history.replaceState(null, "", location.pathname + location.search);
    fill(box);
  };
  if ("text" in came || !found) {
    fill(box, make("div", { class: "job-notice" }, make("p", {}, make("b", {}, "A job is handed over to you. "), "text" in came ? came.text : ""), button("Leave it", done, "plain")));
  } else if ("refused" in found) {
    fill(box, make("div", { class: "job-notice" }, make("p", {}, make("b", {}, "Not taken over. "), found.refused), button("Go on", done)));
  } else {
    const { job } = found;
    const own = loadJob(session.page, job.car);
    const text = `${session.page.title}, ${car.name}, ${carText(job.car) || "any car of this vehicle"}: ${amounts(job)}, begun ${shownTime(job.begun)}.${otherCar(job, car)}`;
    const over = own.begun ? ` This phone has a job on that car already, with ${amounts(own)}. Taking over replaces it.` : "";
    const take = button(own.begun ? "Replace mine" : "Take it over", () => {
      chooseCar(job.car);
      session.replace(job);
      const { next } = session;
      if (next) session.apply((each) => void (each.handovers[next.key] = stamp()));
      done();
    });
    fill(box, make("div", { class: "job-notice" }, make("p", {}, make("b", {}, "A job is handed over to you. "), text + over), take, button("Leave it", done, "plain")));
  }
  box.scrollIntoView({ block: "center" });
}

/** That taking a job over changes the car of this phone; "" where it does not. @param {Job} job @param {CarPage} car */
function otherCar(job, car) {
  const here = chosenCar();
  if (carWord(here) === carWord(job.car) || !Object.keys(here).length) return "";
  return ` This phone is set to ${carText(here)}. Taking the job over changes that on all pages of ${car.name}.`;
}

/** @param {Job} job */
function amounts(job) {
  const remarks = Object.keys(job.remarks).length;
  const stages = tickedStageCount(job);
  const work = `${counted(Object.keys(job.ticks).length, "tick")} and ${counted(readingCount(job), "reading")}`;
  const again = Object.keys(job.before).length;
  const more = [stages && `${counted(stages, "stage")} ticked`, remarks && counted(remarks, "remark"),
    again && `${counted(again, "step")} done before a change, to be looked at again`].filter(Boolean);
  return more.length ? `${work}, with ${more.join(" and ")}` : work;
}
