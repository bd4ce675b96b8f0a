// The record: readings at the steps, and at the end of the page a sheet of them, to be saved, shared or printed.

import { button, counted, fill, make, shownTime } from "./job/dom.js";
import { mayApply } from "./job/condition.js";
import { readingKey } from "./job/job.js";
import { readingsOf } from "./job/page.js";
import { addReadings, isOutside } from "./job/readings.js";
import { recordFile, typedReadings } from "./job/record-file.js";

/** @typedef {import("./job/session.js").Session} Session */

/** @param {Session} session @param {string} vehicle */
export function addRecord(session, vehicle) {
  addReadings(session);
  const reference = make("input", { type: "text", maxlength: 200, autocomplete: "off", oninput: () => session.change((job) => {
    job.reference = reference.value;
  }) });
  const table = make("div", { class: "record-table" });
  const missing = make("p", { role: "status" });
  const sheet = make("section", { class: "record-sheet", id: "record", "aria-labelledby": "record-title" },
    make("h2", { id: "record-title" }, "Record of this job"), make("label", {}, make("span", {}, "Order or number plate"), reference),
    missing, table, ...buttons(session, vehicle));
  document.querySelector("main")?.append(sheet);
  session.onChange(() => {
    sheet.hidden = !session.isBegun;
    if (document.activeElement !== reference) reference.value = session.job.reference;
    fill(missing, missingText(session));
    fill(table, ...tableOf(session));
  });
}

/** @param {Session} session */
function missingText(session) {
  const steps = session.steps.filter((step) => !session.isTicked(step)).length;
  const own = readingsOf(session.page).filter(({ asked: each }) => mayApply(each.when, session.job.car));
  const asked = new Set(own.map(({ step, asked: each }) => readingKey(step.key, each))).size;
  const typed = typedReadings(session).filter(({ asked: each }) => mayApply(each.when, session.job.car)).length;
  const left = [steps && `${counted(steps, "step")} without a tick`, asked > typed && `${counted(asked - typed, "reading")} missing`].filter(Boolean);
  return `Revision ${session.job.revision}, ${session.carText()}, begun ${shownTime(session.job.begun)}. `
    + (left.length ? `${left.join(", ")}.` : "Every step ticked, every reading taken.");
}

/** @param {Session} session */
function tableOf(session) {
  const rows = typedReadings(session).map(({ step, asked, reading }) => {
    const outside = isOutside(asked, reading);
    const texts = [`${step.number}`, asked.text, `${reading.value} ${reading.unit}${outside ? " ! outside" : ""}`, reading.wrench, reading.initials, shownTime(reading.at)];
    return make("tr", { class: outside ? "outside" : null }, make("th", { scope: "row", "data-label": "Joint" }, asked.name),
      ...texts.map((text, n) => make("td", { "data-label": HEADS[n + 1] }, text)));
  });
  if (!rows.length) return [];
  const head = make("tr", {}, ...HEADS.map((text) => make("th", { scope: "col" }, text)));
  return [make("table", { class: "facts" }, make("thead", {}, head), make("tbody", {}, ...rows))];
}

const HEADS = ["Joint", "Step", "Asked for", "Read", "Tool", "Initials", "Time"];

/** @param {Session} session @param {string} vehicle */
function buttons(session, vehicle) {
  const save = button("Save the record", () => {
    const address = URL.createObjectURL(recordFile(session, vehicle));
    make("a", { href: address, download: recordFile(session, vehicle).name }).click();
    setTimeout(() => URL.revokeObjectURL(address), 60_000);
  });
  const print = button("Print", () => window.print(), "plain");
  const file = new File(["{}"], "record.json", { type: "application/json" });
  if (!("canShare" in navigator) || !navigator.canShare({ files: [file] })) return [save, print];
  const share = button("Share it", () => void navigator.share({ files: [recordFile(session, vehicle)], title: session.page.title }).catch(() => {}), "plain");
  return [save, share, print];
}
