// The record: readings at the steps, and at the end of the page a sheet of them, to be saved, shared or printed.

import { goTo } from "./job/bar.js";
import { UNREACHED, button, counted, fill, make, saveFile, stamp, writtenTime } from "./job/dom.js";
import { mayApply } from "./job/condition.js";
import { readingKey } from "./job/job.js";
import { carPage, readingsOf } from "./job/page.js";
import { anew } from "./job/panel.js";
import { addReadings, askAtFields, isOutside, isUnread, judgedText, judgement, typedReadings } from "./job/readings.js";
import { onlyTicked, stagesLeft } from "./job/stages.js";

/** @typedef {import("./job/session.js").Session} Session */

/** @param {Session} session @param {string} vehicle */
export function addRecord(session, vehicle) {
  addReadings(session);
  addCard(session);
  footOfSheets(session);
  const reference = make("input", { type: "text", maxlength: 200, autocomplete: "off", oninput: () => session.change((job) => {
    job.reference = reference.value;
  }) });
  askAtFields(session, reference);
  const table = make("div", { class: "record-table" });
  const missing = make("div", { role: "status" });
  const left = make("div", { class: "record-left" });
  const closing = make("div", { class: "record-close" });
  const sheet = make("section", { class: "record-sheet", id: "record", "aria-labelledby": "record-title" },
    make("h2", { id: "record-title" }, "Record of this job"), make("label", {}, make("span", {}, "Order or number plate"), reference),
    missing, left, table, ...buttons(session, vehicle), closing);
  document.querySelector("main")?.append(sheet);
  session.onChange(() => {
    sheet.hidden = !session.isBegun;
    if (session.isBegun) void filing().catch(() => {}); // fetched while there is a network
    if (document.activeElement !== reference) reference.value = session.job.reference;
    fill(missing, ...stateOf(session, vehicle));
    fill(left, ...waysBack(session));
    fill(closing, anew(session, true));
    fill(table, ...tableOf(session));
  });
}

/** Whose record it is. @param {Session} session @param {string} vehicle */
function headOf(session, vehicle) {
  const { job, page } = session;
  const facts = [["Procedure", page.title], ["Revision", job.revision], ["Vehicle", carPage()?.name ?? vehicle], ["Car", session.carText()],
    ["Order or number plate", job.reference || "not given"], ["Begun", writtenTime(job.begun)], ["Record of", writtenTime(stamp())]];
  return make("dl", { class: "facts-list record-head" }, ...facts.map(([label = "", text = ""]) => make("div", {}, make("dt", {}, label), make("dd", {}, text))));
}

/** At the foot of each printed sheet: which job, and which sheet of how many. No script of ours is asked by a browser
 * that has no margin boxes, and its own foot stands there. @param {Session} session */
function footOfSheets(session) {
  const rules = new CSSStyleSheet();
  document.adoptedStyleSheets = [...document.adoptedStyleSheets, rules];
  addEventListener("beforeprint", () => {
    const { job, page } = session;
    const words = [page.title, `revision ${page.revision}`, carPage()?.name, session.carText(), job.reference].filter(Boolean).join(", ");
    const plain = words.replace(/["\\\p{Cc}]/gu, (sign) => `\\${sign.codePointAt(0)?.toString(16)} `);
    rules.replaceSync(`@page { @bottom-left { content: "${plain}"; font: 8pt sans-serif; width: 85%; white-space: normal; } `
      + '@bottom-right { content: counter(page) " / " counter(pages); font: 8pt sans-serif; } }');
  });
}

/** How complete the record is: what is missing and what is outside, each by its name. @param {Session} session @param {string} vehicle */
function stateOf(session, vehicle) {
  const steps = session.steps.filter((step) => !session.isTicked(step)).length;
  const typed = typedReadings(session).filter(({ asked }) => mayApply(asked.when, session.job.car));
  const outside = typed.filter(({ asked, reading }) => isOutside(asked, reading));
  const missing = missingReadings(session);
  const stages = stagesLeft(session);
  const left = [steps && `${counted(steps, "step")} without a tick`, stages.length && `${counted(stages.length, "stage")} of done steps without a tick`, missing.length && `${counted(missing.length, "reading")} missing`].filter(Boolean);
  const text = (left.length ? `${left.join(", ")}.` : "Every step ticked, every reading taken.");
  return [headOf(session, vehicle), make("p", {}, text),
    ...named("Outside what is asked for: ", outside.map(({ step, asked, reading }) => `${asked.name} (step ${step.number}): ${reading.value} ${reading.unit}, asked for ${asked.text}`)),
    ...named("Done, with a stage without a tick: ", stages.map(({ step, asked }) => `${asked.name} (step ${step.number}, stage ${asked.stage}, ${asked.text})`)),
    ...named("Not one number: ", typed.filter(({ reading }) => isUnread(reading)).map(({ step, asked, reading }) => `${asked.name} (step ${step.number}, stage ${asked.stage}): “${reading.value}”`)),
    ...named("No reading yet: ", missing.map(({ step, asked }) => `${asked.name} (step ${step.number}${asked.stage > 1 ? `, stage ${asked.stage}` : ""})`)),
    ...named("Ticked without a reading: ", onlyTicked(session).map(({ step, asked, at }) => `${asked.name} (step ${step.number}, stage ${asked.stage}, ${asked.text}): ${writtenTime(at)}`))];
}

/** The ways to what is missing: the first step without a tick, the first stage of a done one, the first reading. @param {Session} session */
function waysBack(session) {
  const step = session.steps.find((each) => !session.isTicked(each));
  const [first] = missingReadings(session);
  const ways = step ? [button(`Go to step ${step.number}, without a tick`, () => goTo(step.element), "plain")] : [];
  const [stage] = stagesLeft(session);
  if (stage) ways.push(button(`Go to step ${stage.step.number}, stage without a tick`, () => goTo(stage.step.element), "plain"));
  if (first) ways.push(button(`Go to step ${first.step.number}, reading missing`, () => goTo(first.step.element), "plain"));
  return ways;
}

/** A line of names under a heading of its own; none for no names. @param {string} head @param {string[]} names */
function named(head, names) {
  return names.length ? [make("p", { class: "record-names" }, make("b", {}, head), `${names.join("; ")}.`)] : [];
}

/** The readings that this car asks for and that have no number, each once. @param {Session} session */
function missingReadings(session) {
  const { job, page } = session;
  const keys = new Set();
  return readingsOf(page).filter(({ step, asked }) => {
    const key = readingKey(step.key, asked);
    const isNew = mayApply(asked.when, job.car) && !keys.has(key);
    if (isNew) keys.add(key);
    const found = Object.hasOwn(job.readings, key) ? job.readings[key] : null;
    return isNew && (!found?.value.trim() || isUnread(found));
  });
}

/** @param {Session} session */
function tableOf(session) {
  const rows = typedReadings(session).map(({ step, asked, reading }) => {
    const texts = [`${step.number}`, asked.text, judgedText(asked, reading), reading.wrench, reading.initials, writtenTime(reading.at)];
    return make("tr", { class: judgement(asked, reading) ? "outside" : null }, make("th", { scope: "row", "data-label": "Joint" }, asked.name),
      ...texts.map((text, n) => make("td", { "data-label": HEADS[n + 1] }, text)));
  });
  if (!rows.length) return [];
  const head = make("tr", {}, ...HEADS.map((text) => make("th", { scope: "col" }, text)));
  return [make("table", { class: "facts" }, make("thead", {}, head), make("tbody", {}, ...rows))];
}

const HEADS = ["Joint", "Step", "Asked for", "Read", "Tool", "Initials", "Time"];

/** The link to the card, and its address on paper, lead to that of the car once its options are chosen.
 * @param {Session} session */
function addCard(session) {
  const link = cardLink();
  if (!link) return;
  const whole = link.getAttribute("href") ?? "";
  const asked = link.dataset.cardOptions?.split(" ") ?? [];
  const written = document.querySelector(".print-card strong");
  session.onChange(() => {
    const { car } = session.job;
    if (asked.length) {
      const isChosen = asked.every((option) => car[option]);
      const words = asked.map((option) => `--${option}-${encodeURIComponent(car[option] ?? "")}`).join("");
      link.href = isChosen ? whole.replace(/\.pdf$/, `--for${words}.pdf`) : whole;
      link.textContent = isChosen ? `Job card to print, ${session.carText()}` : "Job card to print, for every car";
    }
    if (written) written.textContent = link.href;
  });
}

/** @returns {HTMLAnchorElement|null} */
function cardLink() {
  return document.querySelector(".print-card > a");
}

/** The way to the card from the record, the same as at the head of the page. @param {Session} session */
function wayToCard(session) {
  const link = cardLink();
  if (!link) return [];
  const way = make("a", { class: "as-button", href: link.href }, "Print the job card");
  session.onChange(() => {
    way.href = link.href;
  });
  return [way];
}

/** Print the record alone: what is to be done stands on the card. */
function printRecord() {
  document.documentElement.dataset.print = "record";
  addEventListener("afterprint", () => delete document.documentElement.dataset.print, { once: true });
  window.print();
}

function filing() {
  return import("./job/record-file.js");
}

/** @param {Session} session @param {string} vehicle */
function buttons(session, vehicle) {
  const told = make("p", { role: "status" });
  /** @param {(record: File) => unknown} act */
  const withFile = (act) => filing().then(({ recordFile }) => recordFile(session, vehicle), () => void fill(told, UNREACHED)).then((record) => record && act(record));
  const save = button("Save the record", () => void withFile(saveFile));
  const print = [...wayToCard(session), button("Print the record", printRecord, "plain")];
  const file = new File(["{}"], "record.json", { type: "application/json" });
  if (!("canShare" in navigator) || !navigator.canShare({ files: [file] })) return [save, ...print, told];
  const share = button("Share it", () => void withFile((record) => navigator.share({ files: [record], title: session.page.title })).catch(() => {}), "plain");
  return [save, share, ...print, told];
}
