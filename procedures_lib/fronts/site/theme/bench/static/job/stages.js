// The stages of a joint in a step's own screen: each with a tick, or with what was read.

import { mayApply } from "./condition.js";
import { counted, make, shownTime, stamp } from "./dom.js";
import { readingKey, stageTime } from "./job.js";
import { readingsOf, stagesOf } from "./page.js";
import { judgedText, judgement } from "./readings.js";

/** @typedef {import("./session.js").Session} Session */

/** @type {{field: Element, home: Element}[]} fields that are lent to the screen */
let lent = [];
/** @type {WeakMap<Element, () => void>} what shows each stage as the job has it */
const shows = new WeakMap();
/** @type {WeakSet<Session>} */
const followed = new WeakSet();

/** Give each stage of a step its tick and its fields. @param {Session} session @param {Step|null} step @param {Element} element */
export function addStages(session, step, element) {
  if (!step) return;
  for (const item of element.querySelectorAll(".step-do > li")) {
    const fields = [...item.querySelectorAll(":scope > .joint-reading > fieldset")];
    for (const stage of item.querySelectorAll(".stages .stage")) {
      const { joint = "", name = "" } = /** @type {HTMLElement|null} */ (stage.closest(".stages"))?.dataset ?? {};
      const number = stage.getAttribute("data-stage") ?? "";
      const at = fields.findIndex((field) => field.getAttribute("data-joint") === joint && field.getAttribute("data-stage") === number);
      const [field] = at < 0 ? [] : fields.splice(at, 1);
      if (!shows.has(stage)) addTick(session, step, `${step.key}|${joint}|${number || 1}`, stage, `${name}, stage ${number || 1} done`, field);
      if (field?.parentElement) lent.push({ field, home: field.parentElement });
      if (field) stage.querySelector(".stage-reading")?.append(field);
      shows.get(stage)?.();
    }
  }
  if (followed.has(session)) return;
  followed.add(session);
  session.onChange(() => document.querySelectorAll(".screen-step .stage").forEach((stage) => shows.get(stage)?.()));
}

/** Give the fields back to the long page. @param {Element} element */
export function takeBack(element) {
  for (const { field, home } of lent) home.append(field);
  lent = [];
  element.querySelectorAll(".stage-reading[open]").forEach((fold) => fold.removeAttribute("open"));
}

/** @param {Session} session @param {Step} step @param {string} key @param {Element} stage @param {string} name @param {Element|undefined} field */
function addTick(session, step, key, stage, name, field) {
  const time = make("span", { class: "stage-time" });
  const box = make("input", { type: "checkbox", "aria-label": name });
  box.addEventListener("change", () => tick(session, key, box.checked, unitOf(field)));
  stage.prepend(make("label", { class: "stage-tick" }, box, time));
  const summary = make("summary");
  if (field) stage.append(make("details", { class: "stage-reading" }, summary));
  shows.set(stage, () => {
    const found = Object.hasOwn(session.job.readings, key) ? session.job.readings[key] : null;
    box.checked = Boolean(found?.at);
    const asked = found?.value ? requestOf(session, key) : null;
    const wrong = found && asked ? judgement(asked, found) : "";
    const isLeft = !found?.at && !found?.value && session.isTicked(step);
    time.textContent = isLeft ? "no tick" : `${wrong && "✗ "}${found?.at ? shownTime(found.at) : ""}`;
    stage.classList.toggle("stage-done", box.checked);
    stage.classList.toggle("stage-outside", wrong !== "");
    summary.textContent = found && asked ? `Read: ${judgedText(asked, found)}` : "Reading";
  });
}

/** What the page asks to be read under a key on this car. @param {Session} session @param {string} key */
function requestOf({ job, page }, key) {
  const all = readingsOf(page).filter(({ step, asked }) => readingKey(step.key, asked) === key).map(({ asked }) => asked);
  return all.find((asked) => mayApply(asked.when, job.car)) ?? all[0] ?? null;
}

/** The unit that a reading would have. @param {Element|undefined} field */
function unitOf(field) {
  const unit = /** @type {HTMLSelectElement|null|undefined} */ (field?.querySelector('select[aria-label="Unit"]'));
  return unit?.value ?? (field ? "°" : "");
}

/** A stage that is done is a reading with its time, and perhaps without a number yet.
 * @param {Session} session @param {string} key @param {boolean} on @param {string} unit */
function tick(session, key, on, unit) {
  session.change((job) => {
    const before = Object.hasOwn(job.readings, key) ? job.readings[key] : null;
    const reading = { value: "", unit, wrench: "", initials: "", ...before, at: on ? stamp() : "", hand: on ? "yes" : "" };
    if (on || reading.value) job.readings[key] = reading;
    else delete job.readings[key];
  });
}

/** @typedef {{step: Step, asked: JointStage, key: string, at: string}} StageNow a stage with its time, "" for one that is not done */

/** The stages of the car, each as the job has it. @param {Session} session @returns {StageNow[]} */
export function stagesNow({ job, page }) {
  return stagesOf(page).filter(({ asked }) => mayApply(asked.when, job.car)).map((each) => {
    const key = readingKey(each.step.key, each.asked);
    return { ...each, key, at: stageTime(job, key) };
  });
}

/** How far the stages of a step are, "" where none is ticked. @param {StageNow[]} stages @param {Step} step */
export function stagesText(stages, step) {
  const all = stages.filter((each) => each.step === step);
  const done = all.filter(({ at }) => at).length;
  return done ? `${done} of ${counted(all.length, "stage")}` : "";
}

/** The stages without a tick or a reading, of steps that are ticked. @param {Session} session */
export function stagesLeft(session) {
  return stagesNow(session).filter(({ step, key, at }) => !at && session.isTicked(step) && !session.job.readings[key]?.value);
}

/** The stages that are ticked and have no number, those with nothing to read among them. @param {Session} session */
export function onlyTicked(session) {
  return stagesNow(session).filter(({ key, at }) => at && !session.job.readings[key]?.value);
}

/** Say on the long page which stages with nothing to read are ticked: the others stand at their readings. @param {Session} session */
export function tellStages(session) {
  const read = new Set(readingsOf(session.page).map(({ step, asked }) => readingKey(step.key, asked)));
  const places = session.page.steps.flatMap((step) => [...step.element.querySelectorAll(".stages")].map((of) => {
    const place = make("p", { class: "stages-ticked" });
    of.after(place);
    return { step, of: /** @type {HTMLElement} */ (of), place };
  }));
  session.onChange(() => {
    const ticked = stagesNow(session).filter(({ key, at }) => at && !read.has(key));
    for (const { step, of, place } of places) {
      const own = ticked.filter((each) => each.step === step && each.asked.joint === of.dataset.joint);
      place.hidden = !own.length;
      place.textContent = `Ticked: ${own.map(({ asked, at }) => `${asked.name}, stage ${asked.stage}, ${asked.text} (${shownTime(at)})`).join("; ")}`;
    }
  });
}
