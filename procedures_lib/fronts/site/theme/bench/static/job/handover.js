// Handing a job over to another phone: a link that holds its state, the same as a QR code, and taking one over.

import { carText, chooseCar, chosenCar } from "../car.js";
import { stepsAgain } from "./again.js";
import { button, counted, fill, make, shownTime, stamp } from "./dom.js";
import { carWord, loadJob, readingCount, tickedStageCount } from "./job.js";
import { fragmentsOf, isHandover, jobIn, partIn, payloadOf } from "./link.js";
import { photographsLeft } from "./remarks.js";
import { store } from "./store.js";

/** @typedef {import("./session.js").Session} Session */

/** Parts of a job that came so far. */
const COMING = "procedures-handover:";

/** So long after the last change, in ms, the code is drawn again: not at every key that is pressed. */
const SETTLED = 250;

/** @param {Session} session @param {HTMLElement} place */
export function addHandover(session, place) {
  const inner = make("div");
  const fold = make("details", { class: "fold handover-job", ontoggle: () => draw() }, make("summary", {}, "Hand this job over"), inner);
  place.append(fold);
  let waiting = 0;
  let turn = 0;
  const draw = async () => {
    if (!fold.open) return;
    const own = ++turn;
    const drawn = session.isCurrent ? await contents(session, await payloadOf(session.job, session.page)) : [UNANSWERED];
    if (own === turn) fill(inner, ...drawn);
  };
  session.onChange(() => {
    fold.hidden = !session.isBegun;
    clearTimeout(waiting);
    if (fold.open) waiting = setTimeout(draw, SETTLED);
  });
}

const UNANSWERED = "Answer the question above first: this page was changed since the job was begun.";

/** @param {Session} session @param {string} payload */
async function contents(session, payload) {
  const page = location.href.split("#")[0] ?? "";
  const address = page + fragmentsOf(payload)[0];
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
  const again = stepsAgain(session).map((step) => step.number);
  const unsettled = again.length ? `What was done to an earlier edition does not go along: answer at step ${again.join(", ")} first.` : "";
  for (const left of [photographsLeft(session.job), unsettled]) if (left) parts.splice(1, 0, make("p", {}, left));
  const drawn = await import("./codes.js") // only who hands a job over needs it
    .then(({ codes }) => codes(page, payload), () => make("p", {}, "There is no network for the code: use the link."));
  return [...parts, said, drawn];
}

/** Look at the address for a job that is handed over, now and whenever it changes. @param {Session} session @param {CarPage} car */
export function addReceiving(session, car) {
  const box = make("div", { class: "job-received", role: "status" });
  const look = () => {
    if (!isHandover(location.hash)) return;
    document.querySelector("main")?.prepend(box); // above what says that the page is not for the car
    void receive(session, box, car);
  };
  addEventListener("hashchange", look);
  look();
}

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

/** @param {Session} session @param {HTMLElement} box @param {CarPage} car */
async function receive(session, box, car) {
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
  const more = [stages && `${counted(stages, "stage")} ticked`, remarks && counted(remarks, "remark")].filter(Boolean);
  return more.length ? `${work}, with ${more.join(" and ")}` : work;
}
