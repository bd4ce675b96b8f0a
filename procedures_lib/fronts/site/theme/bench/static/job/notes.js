// What has to be seen of a job, wherever one looks: the gravest first, short for the bar, whole for its sheet.

import { carElsewhere, carText } from "../car.js";
import { againNotice, stepsAgain } from "./again.js";
import { differencesText } from "./changes.js";
import { counted, make } from "./dom.js";
import { procedurePage } from "./page.js";
import { changed, keeping, offer } from "./panel.js";
import { isOutside, isUnread, typedReadings } from "./readings.js";
import { stagesLeft } from "./stages.js";
import { comparedShort, comparedText, isKeptNowhere, isOffLine, isSignedOut, onNews, pageNews, signInLink } from "../news.js";

/** @typedef {import("./session.js").Session} Session */

/** @param {Session} session @returns {JobNote[]} */
export function notesOf(session) {
  /** @type {(JobNote|null)[]} */
  const found = [
    note("Not kept", keeping(session)),
    note("Car changed", elsewhere(session)),
    note("Page changed", changed(session)),
    note("Car changed", carNews(session)),
    news(),
    note(`Look again: ${stepsAgain(session).length}`, againNotice(session)),
    outside(session),
    unread(session),
    ...session.others().map((other) => note(other.job.revision === session.page.revision ? "Another car" : `Revision ${session.page.revision}`, offer(session, other))),
    isSignedOut() ? note("Sign in again", signedOutNote()) : null,
    isOffLine() ? offLine() : null,
    left(session),
    isKeptNowhere() ? quiet("Needs a network", make("p", { class: "job-notice" }, make("b", {}, "The manual is not kept on this device:"),
      " without a network this page can't be opened again. What you tick and type is kept.")) : null,
  ];
  return found.filter((each) => each !== null);
}

/** @param {string} short @param {HTMLElement|null} element @returns {JobNote|null} */
function note(short, element) {
  return element && { short, element };
}

/** That another tab has chosen another car. @param {Session} session */
function elsewhere(session) {
  if (session.resting) {
    return make("p", { class: "job-notice" }, make("b", {}, "Another tab has begun on another car of the same options."),
      " This page stays with its own job, and its next tick asks which car it is.");
  }
  const next = carElsewhere();
  return next && make("p", { class: "job-notice" }, make("b", {}, "The car was changed elsewhere on this device."),
    ` There it is ${carText(next) || "not stated"}; this page stays with ${session.carText()}, and its next tick asks which it is.`);
}

/** Said, and no more. @param {string} short @param {HTMLElement} element @returns {JobNote} */
function quiet(short, element) {
  return { isQuiet: true, short, element };
}

/** That nothing newer can be heard of, with when it last could. */
function offLine() {
  const time = navigator.onLine ? comparedShort() : "";
  return note(time ? `Last check ${time}` : "Off line", make("p", { class: "job-notice" },
    make("b", {}, navigator.onLine ? "The shop's server does not answer." : "There is no network."),
    ` What you tick and type is kept on this device; whether the page has a newer revision can't be told.${comparedText()}`));
}

/** @param {Session} session */
function carNews(session) {
  return session.carNews ? make("p", { class: "job-notice" }, make("b", {}, "Opening this job has changed the car in hand. "), session.carNews) : null;
}

function signedOutNote() {
  return make("div", { class: "job-notice" }, make("p", {}, make("b", {}, "Your sign-in has ended."),
    ` What you tick and type is kept on this device, and the page stays as it is; whether it has a newer revision can't be told.${comparedText()}`),
  make("p", {}, signInLink()));
}

const told = make("p", { class: "job-notice", hidden: true });

/** The newer edition: its note stands in the bar's sheet already, or above the bar. */
function news() {
  const found = pageNews();
  told.hidden = !found || !told.textContent;
  return found && { short: found.revision ? `Revision ${found.revision}` : "Newer page", element: told };
}

/** Say what the newer edition changes for the job, once its text is here. @param {Session} session */
export function followNews(session) {
  const look = async () => {
    const text = await pageNews()?.text().catch(() => "");
    const other = text ? procedurePage(new DOMParser().parseFromString(text, "text/html")) : null;
    if (other) told.textContent = differencesText(session.job, other);
    session.tell();
  };
  onNews(() => {
    session.tell();
    void look();
  });
  for (const event of ["online", "offline"]) addEventListener(event, () => session.tell());
  if (pageNews()) void look();
}

/** @param {Session} session */
function outside(session) {
  const found = typedReadings(session).filter(({ asked, reading }) => isOutside(asked, reading));
  if (!found.length) return null;
  const items = found.map(({ step, asked, reading }) => make("li", {}, make("a", { href: `#step-${step.number}` }, `Step ${step.number}`),
    `: ${asked.name}, stage ${asked.stage}: ${reading.value} ${reading.unit} was read, the page asks for ${asked.text}.`));
  return note(`${found.length} outside`, make("div", { class: "job-notice" }, make("p", {}, make("b", {}, "Outside what the page asks:")), make("ul", {}, ...items)));
}

/** What stands in place of numbers. @param {Session} session */
function unread(session) {
  const found = typedReadings(session).filter(({ reading }) => isUnread(reading));
  if (!found.length) return null;
  const items = found.map(({ step, asked, reading }) => make("li", {}, make("a", { href: `#step-${step.number}` }, `Step ${step.number}`),
    `: ${asked.name}, stage ${asked.stage}: “${reading.value}” is not one number.`));
  return note(`${found.length} not read`, make("div", { class: "job-notice" }, make("p", {}, make("b", {}, "No number was read:")), make("ul", {}, ...items)));
}

/** The stages that nobody ticked of steps that are done. @param {Session} session @returns {JobNote|null} */
function left(session) {
  const stages = stagesLeft(session);
  if (!stages.length) return null;
  const steps = [...new Set(stages.map(({ step }) => step))];
  const items = steps.map((step) => make("li", {}, make("a", { href: `#step-${step.number}` }, `Step ${step.number}`),
    `: ${stages.filter((each) => each.step === step).map(({ asked }) => `${asked.name}, stage ${asked.stage}`).join("; ")}`));
  return quiet(`${stages.length} without a tick`, make("div", { class: "job-notice" },
    make("p", {}, make("b", {}, `Done, with ${counted(stages.length, "stage")} without a tick:`)), make("ul", {}, ...items)));
}
