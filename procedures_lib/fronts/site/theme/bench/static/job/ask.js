// What is asked before a job begins or goes on: which car it is, and whether what was done to another edition counts here.

import {
  askedOptions, carElsewhere, carText, chooseCar, chosenCar, isForCar, isOtherInHand, needed, unstated,
} from "../car.js";
import { differencesText } from "./changes.js";
import { begunWords, button, make, spokenTime, stamp } from "./dom.js";
import { carWords, takeInHand, vehicleInHand } from "./in-hand.js";
import { isResuming, loadJob, resumedJob } from "./job.js";
import { carPage } from "./page.js";
import { amountText, bring, otherText } from "./panel.js";

/** @typedef {import("./session.js").Session} Session */

/** After so long the car may be another, in milliseconds. */
const OLD = 8 * 60 * 60 * 1000;
const MOST_OTHERS = 3;

/** @type {(() => void)[]} what goes on once all is answered */
let waiting = [];
/** The order or number plate that was typed with an answer. */
let reference = "";
/** Whether a question goes away just now: the focus then comes back to where it was, which asks nothing. */
let isClosing = false;

/** @param {Session} session */
export function addAsking(session) {
  session.gate = (goOn) => {
    if (!isForCar()) return true;
    const question = questionOf(session);
    if (!question) return take();
    if (isClosing) return true;
    if (document.querySelector(".car-question[open]")) waiting.push(goOn);
    else {
      waiting = [goOn];
      question(session);
    }
    return true;
  };
  session.newCar = () => askCar(session, true);
}

/** What has to be asked first; null for nothing. @param {Session} session @param {boolean} [isAnswered] whether the car's
 * options were asked for just now @returns {((session: Session) => void)|null} */
function questionOf(session, isAnswered = false) {
  if (isOtherInHand()) return askVehicle;
  if (session.resting) return askResting;
  if (carElsewhere()) return askElsewhere;
  if (!session.isCurrent) return askChange;
  if ((session.isBegun || isAnswered ? needed() : unstated()).length) return askCar;
  if (session.isBegun) return isOld(session.job) ? askAge : null;
  if (earlier(session)) return askRevision;
  return session.others().some(({ job }) => job.revision === session.page.revision) ? askOther : null;
}

/** Ask what is to be asked next, or go on. @param {Session} session */
function proceed(session) {
  const question = questionOf(session, true);
  if (question) question(session);
  else goOn(session);
}

/** The first car that is worked on is in hand: there is nothing to ask. */
function take() {
  const page = carPage();
  if (page?.vehicle && !vehicleInHand()) takeInHand(page);
  return false;
}

/** All is answered: the job begins, so that nothing is asked twice. @param {Session} session */
function goOn(session) {
  const all = waiting;
  waiting = [];
  session.apply((job) => {
    job.reference ||= reference;
  });
  reference = "";
  for (const each of all) each();
}

/** Open the job that a link of the first page names: its car is chosen, and its next step shown. @param {Session} session */
export function addResuming(session) {
  if (!isResuming(location.hash)) return;
  const job = resumedJob(location.hash);
  history.replaceState(null, "", location.pathname + location.search);
  if (!job) return;
  const before = vehicleInHand() && carWords();
  session.goTo(job);
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
    [waiting, reference] = [[], ""];
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

/** @param {Session} session @param {boolean} [isNew] whether it is another car than that of the job begun here */
function askCar(session, isNew = false) {
  const options = isNew ? askedOptions() : session.isBegun ? needed() : unstated();
  const must = needed(isNew ? {} : chosenCar());
  const form = make("form", {}, ...options.map((option) => choice(option, must.includes(option))));
  const order = make("input", { type: "text", maxlength: 200, autocomplete: "off" });
  const left = make("p", { class: "car-question-left", role: "alert" });
  const isReady = () => {
    const said = new FormData(form);
    const open = options.filter(([option]) => !said.has(option));
    const hint = open.some((option) => !must.includes(option)) ? " “Don't know” is an answer." : " This page is for some cars only: look at the car.";
    left.textContent = open.length ? `Not answered: ${open.map(([, label]) => label.toLowerCase()).join(", ")}.${hint}` : "";
    /** @type {HTMLElement|null} */ (form.querySelector(`input[name="${open[0]?.[0]}"]`))?.focus();
    return !open.length;
  };
  const act = () => {
    const said = Object.fromEntries([...new FormData(form)].filter(([, value]) => value).map(([option, value]) => [option, String(value)]));
    if (isNew) return beginNew(session, said, order.value.trim());
    reference = order.value.trim();
    chooseCar({ ...chosenCar(), ...said });
    if (isForCar()) proceed(session);
    else waiting = [];
  };
  const field = session.isBegun && !isNew ? [] : [make("label", { class: "car-question-order" }, make("span", {}, "Order or number plate"), order)];
  const kept = isNew ? " The job begun before stays on this device." : "";
  ask(isNew ? "Which car is the new one?" : "Which car is it?",
    [make("p", {}, `${options.length ? "Some steps are for some cars only. Look at the car, not at the order." : ""}${kept}`), form, ...field, left],
    { text: "Begin on this car", act, isReady });
}

/** The new car's job begins without a tick, and nothing that was tapped for the other. @param {Session} session
 * @param {Car} car @param {string} order */
function beginNew(session, car, order) {
  waiting = [];
  session.beginNew(car, order);
}

/** @param {CarOption} given @param {boolean} must whether the page has to know */
function choice([option, label, values], must) {
  const labels = [...values, ...(must ? [] : [""])].map((value) => make("label", {},
    make("input", { type: "radio", name: option, value }), make("span", {}, value || "don't know")));
  return make("fieldset", {}, make("legend", {}, label), ...labels);
}

/** Whether so long has passed since the car was last in mind that another may stand there. @param {Job} job */
function isOld(job) {
  return Date.now() - Date.parse(job.sure || job.begun) > OLD;
}

/** @param {Session} session */
function askAge(session) {
  const { job, last } = session;
  const ticked = last ? ` The last step ticked is ${last.number}, ${last.title}.` : " No step is ticked yet.";
  const same = () => {
    session.apply((each) => void (each.sure = stamp()));
    goOn(session);
  };
  ask("Is it still the same car?", [make("p", {}, "This job was begun ", make("b", {}, `${spokenTime(job.begun)}, ${job.reference || "without an order or number plate"}`), `, on a car with ${session.carText()}.${ticked}`)],
    { text: "It is a new car", css: "plain", act: () => askCar(session, true) },
    { text: "Go on with this car", act: same });
}

/** Another job of this procedure stands on this device: nobody begins a second one unasked. @param {Session} session */
function askOther(session) {
  const others = session.others().filter(({ job }) => job.revision === session.page.revision).slice(-MOST_OTHERS);
  const go = (/** @type {Job} */ job) => {
    waiting = []; // its page may have other steps: whoever sees them ticks
    session.goTo(job);
  };
  ask("This procedure is begun on another car", [make("p", {}, `Chosen here: ${session.carText()}. Begun: `),
    make("ul", {}, ...others.map(({ job }) => make("li", {}, amountText(session, job))))],
  { text: "Begin on this car too", css: "plain", act: () => goOn(session) },
  ...others.map(({ job }) => ({ text: others.length > 1 ? `Go on with ${job.reference || session.carText(job)}` : "Go on with that job", act: () => go(job) })));
}

/** @param {Session} session */
function askElsewhere(session) {
  const next = carElsewhere() ?? {};
  const here = chosenCar();
  ask("Which car is it?", [make("p", {}, `The car was changed elsewhere on this device. There: ${carText(next) || "not stated"}. Here: ${session.carText()}${session.isBegun ? ", with a job begun" : ""}.`)],
    { text: "The one chosen there", css: "plain", act: () => {
      waiting = [];
      chooseCar(next);
    } },
    { text: "Still the one here", act: () => {
      chooseCar(here);
      proceed(session);
    } });
}

/** Another tab works on a car of the same options. @param {Session} session */
function askResting(session) {
  const { resting } = session;
  if (!resting) return;
  const there = loadJob(session.page, chosenCar());
  ask("Which car is it?", [make("p", {}, `Another tab of this device has begun on another car of the same options${there.begun ? `: ${begunWords(there)}` : ""}. Here: ${begunWords(resting)}.`)],
    { text: "The one there", css: "plain", act: () => {
      waiting = [];
      session.goOver();
    } },
    { text: "Still the one here", act: () => {
      session.goTo(resting);
      proceed(session);
    } });
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
