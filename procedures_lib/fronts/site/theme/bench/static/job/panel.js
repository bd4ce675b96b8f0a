// The job at the head of the page: how it stands, what needs an answer, and what can be done with it.

import { chooseCar } from "../car.js";
import { goTo } from "./bar.js";
import { broughtTo, differencesText } from "./changes.js";
import { button, counted, fill, make, shownTime, writtenTime } from "./dom.js";
import { dropJob, keyOf, readingCount } from "./job.js";
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
  status.append(one(next), anew(session));
}

/** The way to a step's own screen. @param {Step|undefined} step */
function one(step) {
  return button("One step at a time", () => {
    location.hash = `#one-step-${step?.number ?? 1}`;
  }, "plain");
}

/** The button that throws a job away, after a question. @param {Session} session */
function anew(session) {
  const [name, warning, yes] = session.next
    ? ["Begin anew", "All ticks, readings and remarks of this job go. ", "Yes, begin anew"]
    : ["Close this job", "Its ticks and readings leave this phone: save or print its record first. ", "Yes, close it"];
  const ask = make("span", { class: "job-ask" });
  const press = button(name, () => {
    fill(ask, warning, button(yes, () => session.drop()), " ", button("Keep it", () => fill(ask, press), "plain"));
  }, "plain");
  ask.append(press);
  return ask;
}

/** A question with its answers. @param {string} text @param {string} more @param {...HTMLButtonElement} answers */
function notice(text, more, ...answers) {
  return make("div", { class: "job-notice" }, make("p", {}, make("b", {}, text), more ? ` ${more}` : ""), ...answers);
}

/** Whether what is written lasts. @param {Session} session */
export function keeping(session) {
  if (!session.isBegun) return null;
  const lasting = store.lasting(keyOf(session.job));
  if (lasting === "device") return null;
  const until = lasting === "tab" ? "this tab is closed" : "this page is left or loaded again";
  return notice("This phone does not keep the job.", `Its storage is full or blocked: ticks and readings last until ${until}. `
    + "Hand the job over by link, or save its record, before that.");
}

/** The page says something else than when the job was begun, without a new revision. @param {Session} session */
export function changed(session) {
  if (!session.isBegun || session.isCurrent) return null;
  return notice("This page was changed since the job was begun.", differencesText(session.job, session.page),
    button("Keep my ticks", () => session.replace(broughtTo(session.job, session.page, session.job.car))),
    button("Begin anew", () => session.drop(), "plain"));
}

/** A job of this procedure that is not the one on the screen. @param {Session} session @param {{key: string, job: Job}} other */
export function offer(session, { key, job }) {
  const ticks = counted(Object.keys(job.ticks).length, "tick");
  const readings = counted(readingCount(job), "reading");
  const bring = () => {
    chooseCar(job.car);
    session.replace(broughtTo(job, session.page, job.car));
    dropJob(key);
    session.tell();
  };
  if (job.revision !== session.page.revision) {
    const text = `A job was begun with revision ${job.revision}; this page has revision ${session.page.revision}.`;
    return notice(text, `${session.carText(job)}: ${ticks}, ${readings}, begun ${writtenTime(job.begun)}. ${differencesText(job, session.page)}`,
      button("Keep its ticks on this revision", bring), button("Throw it away", () => drop(session, key), "plain"));
  }
  const here = () => {
    session.replace(broughtTo(job, session.page, session.job.car));
    dropJob(key);
    session.tell();
  };
  const answers = [button("Go to that car", () => chooseCar(job.car))];
  if (!session.isBegun) answers.push(button("It is this car", here, "plain"));
  return notice("There is a job on another car.", `${session.carText(job)}: ${ticks}, ${readings}, begun ${writtenTime(job.begun)}.`, ...answers);
}

/** @param {Session} session @param {string} key */
function drop(session, key) {
  dropJob(key);
  session.tell();
}
