// The job at the head of the page: how it stands, what needs an answer, and what can be done with it.

import { chooseCar } from "../car.js";
import { goTo, goToRecord } from "./bar.js";
import { broughtTo, differencesText, merged } from "./changes.js";
import { button, counted, fill, make, shownTime, writtenTime } from "./dom.js";
import { dropJob, readingCount, tickedStageCount } from "./job.js";
import { store } from "./store.js";
import { canStayOn, stayOn } from "./wake.js";

/** @typedef {import("./session.js").Session} Session */

/** @param {Session} session @param {HTMLElement} place */
export function addPanel(session, place) {
  const status = make("div", { class: "job-status" });
  const screen = make("p", { class: "job-screen" });
  place.append(status, screen);
  session.onChange(() => {
    tellStatus(session, status);
    const working = session.isBegun && Boolean(session.next);
    stayOn(working, (on) => {
      screen.textContent = on ? "The screen stays on while this page is open." : "\u00a0";
    });
    if (working && !canStayOn()) screen.textContent = "This browser can't keep the screen on.";
    if (!working) screen.textContent = "\u00a0"; // a line is kept free: nothing below it moves
  });
}

/** @param {Session} session @param {HTMLElement} status */
function tellStatus(session, status) {
  const { job, last, next } = session;
  if (!session.isBegun) {
    fill(status, make("p", {}, "Tick each step when it is done: the phone remembers where you are."), one(session.next));
    return;
  }
  const ticked = session.steps.filter((step) => session.isTicked(step)).length;
  const text = `Job begun ${writtenTime(job.begun)}, ${ticked} of ${counted(session.steps.length, "step")} ticked`;
  const lately = last ? `, last step ${last.number} at ${shownTime(job.ticks[last.key])}` : "";
  fill(status, make("p", {}, `${text}${lately}.`));
  if (next) status.append(button(`Go on with step ${next.number}`, () => goTo(next.element)));
  status.append(one(next), button("It is a new car", () => session.newCar(), "plain"), next ? anew(session, false) : button("Go to the record", goToRecord));
}

/** The way to a step's own screen. @param {Step|undefined} step */
function one(step) {
  return button("One step at a time", () => {
    location.hash = `#one-step-${step?.number ?? 1}`;
  }, "plain");
}

/** The button that throws a job away, after a question. @param {Session} session @param {boolean} isDone whether the work is */
export function anew(session, isDone) {
  const [name, warning, yes] = isDone
    ? ["Close this job", "Its ticks and readings leave this phone: save or print its record first.", "Yes, close it"]
    : ["Begin anew", "All ticks, readings and remarks of this job go.", "Yes, begin anew"];
  return asking(name, warning, yes, () => session.drop());
}

/** A button that does nothing before a question is answered. @param {string} name @param {string} warning @param {string} yes @param {() => void} go */
function asking(name, warning, yes, go) {
  const ask = make("div", { class: "job-ask" });
  const press = button(name, () => {
    fill(ask, make("p", {}, warning), button(yes, go), " ", button("Keep it", () => fill(ask, press), "plain"));
  }, "plain");
  ask.append(press);
  return ask;
}

/** A question with its answers. @param {string} text @param {string} more @param {...HTMLElement} answers */
function notice(text, more, ...answers) {
  return make("div", { class: "job-notice" }, make("p", {}, make("b", {}, text), more ? ` ${more}` : ""), ...answers);
}

/** Whether what is written lasts. @param {Session} session */
export function keeping(session) {
  const lasting = session.isBegun ? store.lasting(session.key) : store.outlook();
  if (lasting === "device") return null;
  const until = lasting === "tab" ? "this tab is closed" : "this page is left or loaded again";
  return notice(`This phone ${session.isBegun ? "does" : "will"} not keep the job.`, `Its storage is full or blocked: ticks and readings last until ${until}. `
    + "Hand the job over by link, or save its record, before that.");
}

/** The page says something else than when the job was begun, without a new revision. @param {Session} session */
export function changed(session) {
  if (!session.isBegun || session.isCurrent) return null;
  return notice("This page was changed since the job was begun.", differencesText(session.kept, session.page),
    button("Keep my ticks", () => session.replace(session.job)), anew(session, false));
}

/** A job of this procedure that is not the one on the screen. @param {Session} session @param {{key: string, job: Job}} other */
export function offer(session, { key, job }) {
  if (job.revision !== session.page.revision) {
    const text = `A job was begun with revision ${job.revision}; this page has revision ${session.page.revision}.`;
    return notice(text, otherText(session, job), button("Keep its ticks on this revision", () => bring(session, { key, job })),
      asking("Throw it away", "All ticks, readings and remarks of that job go.", "Yes, throw it away", () => drop(session, key)));
  }
  const here = () => takeUp(session, { key, job });
  const answers = [button("Go to that car", () => session.goTo(job))];
  if (!session.isBegun) answers.push(button("It is this car", here, "plain"));
  return notice("There is a job on another car.", amountText(session, job), ...answers);
}

/** What a job on another revision has, and what is another now. @param {Session} session @param {Job} job */
export function otherText(session, job) {
  return `${amountText(session, job)} ${differencesText(job, session.page)}`;
}

/** @param {Session} session @param {Job} job */
export function amountText(session, job) {
  const stages = tickedStageCount(job);
  const amounts = [counted(Object.keys(job.ticks).length, "tick"), counted(readingCount(job), "reading"), ...(stages ? [`${counted(stages, "stage")} ticked`] : [])];
  return `${[session.carText(job), job.reference].filter(Boolean).join(", ")}: ${amounts.join(", ")}, begun ${writtenTime(job.begun)}.`;
}

/** Go on with a job of another revision here, on its car. @param {Session} session @param {{key: string, job: Job}} other */
export function bring(session, other) {
  chooseCar(other.job.car);
  takeUp(session, other);
}

/** Put another job on this page and its car; what is begun here already stays. @param {Session} session @param {{key: string, job: Job}} other */
function takeUp(session, { key, job }) {
  const brought = broughtTo(job, session.page, session.job.car);
  session.replace(session.isBegun ? merged(session.job, brought) : brought);
  dropJob(key);
  session.tell();
}

/** @param {Session} session @param {string} key */
function drop(session, key) {
  dropJob(key);
  session.tell();
}
