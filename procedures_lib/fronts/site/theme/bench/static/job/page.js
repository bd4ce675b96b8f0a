// What a page says of itself: its car, its procedure, its steps and the readings that it asks for.

import { readingKey } from "./job.js";

/** The value that a text holds, `none` for no text. @template T @param {string|undefined} text @param {T} none @returns {T} */
function parsed(text, none) {
  try {
    return JSON.parse(text ?? "null") ?? none;
  } catch {
    return none;
  }
}

/** The car that this page is about; null for none. @returns {CarPage|null} */
export function carPage() {
  const place = /** @type {HTMLElement|null} */ (document.querySelector(".page-car"));
  if (!place) return null;
  const { vehicle = "", car = "", options } = place.dataset;
  return { place, vehicle, name: car, options: parsed(options, []) };
}

/** The procedure of this page, or of another edition of it; null where there is none, or more than one.
 * @param {Document} [document] @returns {Procedure|null} */
export function procedurePage(document = window.document) {
  const heads = document.querySelectorAll(".page-car[data-procedure]");
  if (heads.length !== 1) return null;
  const { procedure, title, revision, digest, wrenches, gauges } = /** @type {HTMLElement} */ (heads[0]).dataset;
  if (!procedure || !revision || !digest) return null;
  const sections = /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("section.step[data-key]"));
  return {
    id: procedure,
    title: title ?? procedure,
    revision,
    digest,
    steps: [...sections].map(stepOf),
    tools: { wrenches: parsed(wrenches, []), gauges: parsed(gauges, []) },
  };
}

/** @param {HTMLElement} element @returns {Step} */
function stepOf(element) {
  const { step, key, digest, when } = element.dataset;
  const heading = element.querySelector(".step-title")?.textContent ?? "";
  const items = /** @type {NodeListOf<HTMLElement>} */ (element.querySelectorAll("li[data-readings]"));
  return {
    number: Number(step),
    key: key ?? "",
    digest: digest ?? "",
    when: when ?? "",
    title: heading.replace(/^\s*\d+\s*/, "").replace(/#\s*$/, "").trim(),
    element,
    actions: [...items].map((item) => ({ element: item, readings: parsed(item.dataset.readings, []) })),
    stages: [...element.querySelectorAll(".stages .stage")].map(stageOf),
  };
}

/** @param {Element} element @returns {JointStage} */
function stageOf(element) {
  const of = /** @type {HTMLElement|null} */ (element.closest(".stages"));
  const own = /** @type {HTMLElement} */ (element);
  const { joint = "", name = "", when = "" } = of?.dataset ?? {};
  return { joint, name, stage: Number(own.dataset.stage ?? 1), when, text: element.querySelector(".figure")?.textContent ?? "" };
}

/** All readings of a procedure, each with its step, in the order of the page: the order that a link counts by.
 * @param {Procedure} procedure @returns {{step: Step, asked: ReadingRequest}[]} */
export function readingsOf(procedure) {
  return procedure.steps.flatMap((step) =>
    step.actions.flatMap(({ readings }) => readings.map((asked) => ({ step, asked }))),
  );
}

/** All stages of a procedure's joints, each with its step, once, in the order of the page: what a link counts by.
 * @param {Procedure} procedure @returns {{step: Step, asked: JointStage}[]} */
export function stagesOf(procedure) {
  const keys = new Set();
  const all = procedure.steps.flatMap((step) => step.stages.map((asked) => ({ step, asked })));
  return all.filter(({ step, asked }) => {
    const key = readingKey(step.key, asked);
    return !keys.has(key) && keys.add(key);
  });
}
