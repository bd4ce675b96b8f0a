// What is asked before a job begins or goes on: which car it is, and whether what was done to another edition counts here.

import { chooseCar, chosenCar, isForCar, isOtherInHand, unstated } from "../car.js";
import { differencesText } from "./changes.js";
import { button, make } from "./dom.js";
import { carWords, takeInHand, vehicleInHand } from "./in-hand.js";
import { isResuming, resumedJob } from "./job.js";
import { carPage } from "./page.js";
import { bring, otherText } from "./panel.js";

/** @typedef {import("./session.js").Session} Session */

/** @type {(() => void)[]} what goes on once all is answered */
let waiting = [];
/** Whether a question goes away just now: the focus then comes back to where it was, which asks nothing. */
let isClosing = false;

/** @param {Session} session */
export function addAsking(session) {
  session.gate = (goOn) => {
    if (!isForCar() || isClosing) return true;
    if (document.querySelector(".car-question[open]")) waiting.push(goOn);
    else {
      const question = questionOf(session);
      if (!question) return take();
      waiting = [goOn];
      question(session);
    }
    return true;
  };
}

/** The first car that is worked on is in hand: there is nothing to ask. */
function take() {
  const page = carPage();
  if (page?.vehicle && !vehicleInHand()) takeInHand(page);
  return false;
}

/** What has to be answered first. @param {Session} session */
function questionOf(session) {
  if (isOtherInHand()) return askVehicle;
  if (!session.isCurrent) return askChange;
  if (session.isBegun) return null;
  return unstated().length ? askCar : earlier(session) ? askRevision : null;
}

/** All is answered: the job begins, so that nothing is asked twice. @param {Session} session */
function goOn(session) {
  const all = waiting;
  waiting = [];
  session.apply(() => {});
  for (const each of all) each();
}

/** Open the job that a link of the first page names: its car is chosen, and its next step shown. @param {Session} session */
export function addResuming(session) {
  if (!isResuming(location.hash)) return;
  const job = resumedJob(location.hash);
  history.replaceState(null, "", location.pathname + location.search);
  if (!job) return;
  const before = vehicleInHand() && carWords();
  chooseCar(job.car);
  if (before && before !== carWords()) {
    session.carNews = `It is ${carWords()}. Before, it was ${before}.`;
    session.tell();
  }
  const go = () => session.next && location.replace(`#one-step-${session.next.number}`);
  if (!session.asks(go)) go();
}

/** A question over the page. @param {string} title @param {(Node|string)[]} parts
 * @param {...{text: string, css?: string, act: () => void, isReady?: () => boolean}} answers */
function ask(title, parts, ...answers) {
  const dialog = make("dialog", { class: "car-question", "aria-labelledby": "car-question" });
  const close = () => {
    isClosing = true;
    dialog.close();
    isClosing = false;
    dialog.remove();
  };
  const presses = answers.map(({ text, css, act, isReady }) => button(text, () => {
    if (isReady && !isReady()) return;
    close();
    act();
  }, css));
  const leave = () => {
    waiting = [];
    close();
  };
  dialog.addEventListener("cancel", leave); // Escape, or the phone's way back
  dialog.append(make("h2", { id: "car-question" }, title), ...parts,
    make("p", { class: "car-question-answers" }, button("Not yet", leave, "plain"), ...presses));
  document.body.append(dialog);
  dialog.showModal();
}

/** Which of two vehicles stands here: the job of the other stays as it is. @param {Session} session */
function askVehicle(session) {
  const name = carPage()?.name ?? "";
  const act = () => {
    chooseCar(chosenCar());
    const question = questionOf(session);
    if (!isForCar()) waiting = [];
    else if (question) question(session);
    else goOn(session);
  };
  ask("Which car stands here?", [make("p", {}, `In hand: ${carWords()}.`), make("p", {}, `This page is for the ${name}.`)],
    { text: `The ${name} is the car now`, act });
}

/** @param {Session} session */
function askCar(session) {
  const options = unstated();
  const form = make("form", {}, ...options.map(choice));
  const left = make("p", { class: "car-question-left", role: "alert" });
  const isReady = () => {
    const said = new FormData(form);
    const open = options.filter(([option]) => !said.has(option));
    left.textContent = open.length ? `Not answered: ${open.map(([, label]) => label.toLowerCase()).join(", ")}. “Don't know” is an answer.` : "";
    /** @type {HTMLElement|null} */ (form.querySelector(`input[name="${open[0]?.[0]}"]`))?.focus();
    return !open.length;
  };
  const act = () => {
    const said = [...new FormData(form)].filter(([, value]) => value).map(([option, value]) => [option, String(value)]);
    chooseCar({ ...chosenCar(), ...Object.fromEntries(said) });
    if (!isForCar()) waiting = [];
    else if (!session.isCurrent) askChange(session);
    else if (!session.isBegun && earlier(session)) askRevision(session);
    else goOn(session);
  };
  ask("Which car is it?", [make("p", {}, "Some steps are for some cars only. Look at the car, not at the order."), form, left],
    { text: "Begin on this car", act, isReady });
}

/** @param {CarOption} given */
function choice([option, label, values]) {
  const labels = [...values, ""].map((value) => make("label", {},
    make("input", { type: "radio", name: option, value }), make("span", {}, value || "don't know")));
  return make("fieldset", {}, make("legend", {}, label), ...labels);
}

/** @param {Session} session */
function askChange(session) {
  const keep = () => {
    session.replace(session.job);
    goOn(session);
  };
  ask("This page was changed since the job was begun", [make("p", {}, differencesText(session.kept, session.page))],
    { text: "Keep my ticks", act: keep });
}

/** A job on another revision that may be the one of this car. @param {Session} session */
function earlier(session) {
  const { car } = session.job;
  return session.others().find(({ job }) => job.revision !== session.page.revision
    && Object.entries(job.car).every(([option, value]) => (car[option] ?? value) === value));
}

/** @param {Session} session */
function askRevision(session) {
  const other = earlier(session);
  if (!other) return;
  const keep = () => {
    bring(session, other);
    goOn(session);
  };
  ask(`A job was begun with revision ${other.job.revision}`, [make("p", {}, `This page has revision ${session.page.revision}. ${otherText(session, other.job)}`)],
    { text: "Begin anew beside it", css: "plain", act: () => goOn(session) },
    { text: "Keep its ticks on this revision", act: keep });
}
