// The readings, typed at the step next to each joint that is tightened there.

import { fill, make, stamp } from "./dom.js";
import { mayApply } from "./condition.js";
import { readingKey } from "./job.js";
import { readingsOf } from "./page.js";
import { store } from "./store.js";

/** @typedef {import("./session.js").Session} Session */

const INITIALS = "procedures-initials";

/** The unit that leads on this phone, as it was chosen; N·m where none was. */
function leadingUnit() {
  const chosen = document.documentElement.dataset.unit ?? "";
  return { "lbf-ft": "lbf·ft", "lbf-in": "lbf·in" }[chosen] ?? "N·m";
}

/** The readings of a job that have a value, each with its step; one that differs from car to car only once.
 * @param {Session} session */
export function typedReadings(session) {
  const all = readingsOf(session.page);
  return all.flatMap(({ step, asked }) => {
    const key = readingKey(step.key, asked);
    const same = all.filter((each) => readingKey(each.step.key, each.asked) === key);
    const own = same.find((each) => mayApply(each.asked.when, session.job.car)) ?? same[0];
    if (own?.asked !== asked) return [];
    const found = Object.hasOwn(session.job.readings, key) ? session.job.readings[key] : null;
    return found?.value ? [{ step, asked, reading: found }] : [];
  });
}

/** @param {Session} session */
export function addReadings(session) {
  new MutationObserver(() => session.tell()).observe(document.documentElement, { attributeFilter: ["data-unit"] });
  for (const step of session.page.steps) {
    for (const { element, readings } of step.actions) {
      const summary = make("summary");
      const fields = readings.map((asked) => new Fields(session, readingKey(step.key, asked), asked, several(readings, asked)));
      const fold = make("details", { class: "joint-reading" }, summary, ...fields.map((each) => each.element));
      element.append(fold);
      session.onChange(() => {
        fields.forEach((each) => each.refresh());
        const typed = fields.filter((each, n) => each.reading.value && !each.element.hidden && fields.findIndex((other) => other.key === each.key && !other.element.hidden) === n).map((each) => judgedText(each.asked, each.reading));
        const ticked = fields.filter((each) => each.reading.at && !each.reading.value && !each.element.hidden).map((each) => each.asked.stage);
        fold.classList.toggle("outside", fields.some((each) => !each.element.hidden && judgement(each.asked, each.reading) !== ""));
        const texts = [...(typed.length ? [`Read: ${typed.join("; ")}`] : ["Reading"]), ...(ticked.length ? [`stage ${ticked.join(", ")} ticked`] : [])];
        summary.textContent = texts.join("; ");
      });
    }
  }
}

/** Whether the readings are of more than this one joint or stage. @param {ReadingRequest[]} readings @param {ReadingRequest} asked */
function several(readings, asked) {
  const joints = new Set(readings.map((each) => each.joint)).size > 1;
  const stages = readings.filter((each) => each.joint === asked.joint).length > 1;
  return { joints, stages };
}

/** A typed number; NaN for what is none. @param {string} text */
export function numberIn(text) {
  const typed = text.trim().replace(",", ".");
  return /^\d+(\.\d+)?$/.test(typed) ? Number(typed) : NaN;
}

/** How people write the units that a reading may be typed in, without signs between. */
const WRITTEN = new Map(Object.entries({
  "N·m": ["nm", "newtonmeter", "newtonmetre", "newtonmeters", "newtonmetres"],
  "lbf·ft": ["lbfft", "lbft", "ftlb", "ftlbf", "ftlbs", "lbsft", "footpounds"],
  "lbf·in": ["lbfin", "lbin", "inlb", "inlbf", "inlbs", "lbsin", "inchpounds"],
  "°": ["°", "º", "deg", "degree", "degrees"],
  mm: ["mm"],
  in: ["in", "inch", "inches", "\""],
}).flatMap(([unit, words]) => words.map((word) => [word, unit])));

/** What was typed as a number and its unit, where the unit is typed too and may be asked for; null for anything else.
 * @param {ReadingRequest} asked @param {string} text @returns {{value: string, unit: string}|null} */
export function withUnit(asked, text) {
  const [, value = "", word = ""] = /^\s*(\d+(?:[.,]\d+)?)\s*(\D+?)\.?\s*$/.exec(text) ?? [];
  const unit = WRITTEN.get(word.toLowerCase().replace(/[\s·⋅•.*×_-]/g, ""));
  return unit && asked.units.includes(unit) ? { value, unit } : null;
}

/** Why a text is no reading, in words. @param {ReadingRequest} asked @param {string} text */
function refusal(asked, text) {
  if (/^\s*[-\u2212\u2013]\s*\d/.test(text)) return `“${text}” is below 0: write the number that was read, without a sign.`;
  if (/^\s*\d+([.,]\d+)?\s*\D+$/.test(text)) return `“${text}” is not read: after the number may stand ${asked.units.join(", ").replace(/, ([^,]*)$/, " or $1")}.`;
  return `“${text}” is not one number.`;
}

/** Whether a reading lies outside what the page asks for. @param {ReadingRequest} asked @param {{value: string, unit: string}} reading */
export function isOutside(asked, { value, unit }) {
  const [low, high] = asked.limits[unit] ?? [-Infinity, Infinity];
  const number = numberIn(value);
  return number < low || number > high;
}

/** What is wrong with a reading at a first look; "" for nothing, and for none. @param {ReadingRequest} asked @param {{value: string, unit: string}} reading */
export function judgement(asked, reading) {
  if (!reading.value.trim()) return "";
  return isUnread(reading) ? "not one number" : isOutside(asked, reading) ? "outside" : "";
}

/** Whether something stands in place of a number. @param {{value: string}} reading */
export function isUnread({ value }) {
  return Boolean(value.trim()) && Number.isNaN(numberIn(value));
}

/** A reading with what is wrong with it. @param {ReadingRequest} asked @param {{value: string, unit: string}} reading */
export function judgedText(asked, reading) {
  const wrong = judgement(asked, reading);
  return `${reading.value}\u00a0${reading.unit}${wrong && ` ✗ ${wrong}`}`;
}

/** Have what must be answered before a job may be changed asked as soon as a field is touched: nothing typed is cut short.
 * @param {Session} session @param {HTMLElement} element */
export function askAtFields(session, element) {
  element.addEventListener("focusin", (event) => {
    const field = /** @type {HTMLElement} */ (event.target);
    if (!session.asks(() => field.focus()) || document.activeElement !== field) return;
    const summary = field.closest("details")?.querySelector("summary");
    if (summary) summary.focus({ preventScroll: true });
    else field.blur();
  });
}

/** The fields of one reading. */
class Fields {
  /** @param {Session} session @param {string} key @param {ReadingRequest} asked @param {{joints: boolean, stages: boolean}} among */
  constructor(session, key, asked, among) {
    this.session = session;
    this.key = key;
    this.asked = asked;
    /** @type {Partial<Reading>} what was typed and can't be kept yet */
    this.typed = {};
    const name = [among.joints ? asked.name : "", among.stages ? `stage ${asked.stage}` : "", asked.text].filter(Boolean).join(", ");
    this.value = this.field("value", { inputmode: "decimal", autocomplete: "off", size: 7, onblur: () => this.refresh() });
    this.isStretch = asked.unit === "mm";
    this.unit = asked.angle ? null : this.choice("Unit", asked.units.map((unit) => [unit, unit]), (unit) => this.type("unit", unit));
    const { wrenches, gauges } = session.page.tools;
    const tools = this.isStretch ? [] : asked.angle ? [...gauges, ...wrenches] : wrenches;
    this.known = new Set(tools.map(([id]) => id));
    this.other = this.field("wrench", { "aria-label": "Another tool", maxlength: 100 });
    this.select = this.toolChoice(tools);
    this.initials = this.field("initials", { autocomplete: "off", autocapitalize: "characters", size: 5, maxlength: 40 });
    this.at = make("input", { type: "datetime-local", onchange: () => void this.type("at", this.at.value ? stamp(new Date(this.at.value)) : "") });
    this.note = make("p", { class: "reading-note", role: "status" });
    this.element = make("fieldset", { "data-joint": asked.joint, "data-stage": asked.stage }, make("legend", {}, name),
      labelled(asked.angle ? "Angle" : this.isStretch ? "Stretch" : "Torque reached", this.value, this.unit ?? make("span", {}, "°")),
      labelled(asked.angle || this.isStretch ? "Gauge" : "Wrench", this.select, this.other),
      labelled("Initials", this.initials), labelled("Time", this.at), this.note);
    askAtFields(session, this.element);
  }

  /** @returns {Reading} */
  get reading() {
    const own = this.session.job.readings;
    const kept = Object.hasOwn(own, this.key) ? own[this.key] : {};
    return { value: "", unit: this.asked.angle || this.isStretch ? this.asked.unit : leadingUnit(), wrench: "", initials: "", at: "", ...kept };
  }

  /** @param {"value"|"initials"|"wrench"} name @param {Attributes} attributes */
  field(name, attributes) {
    const input = make("input", { type: "text", ...attributes, oninput: () => void this.type(name, input.value) });
    return input;
  }

  /** @param {string|null} label @param {[string, string][]} choices @param {(value: string) => void} keep */
  choice(label, choices, keep) {
    const options = choices.map(([value, text]) => make("option", { value }, text));
    const select = make("select", { "aria-label": label, onchange: () => void keep(select.value) }, ...options);
    return select;
  }

  /** The shop's tools to choose from; "another" shows the field for it. @param {ShopTool[]} tools */
  toolChoice(tools) {
    return this.choice(null, [["", "–"], ...tools, ["*", "another"]], (tool) => {
      this.other.hidden = tool !== "*";
      this.type("wrench", tool === "*" ? this.other.value : tool);
      if (tool === "*") this.other.focus();
    });
  }

  /** Keep what was typed. The first number brings the time and the initials typed last on this phone; the time goes with it.
   * @param {keyof Reading} name @param {string} text */
  type(name, text) {
    this.typed[name] = text;
    this.session.change((job) => {
      const before = { ...this.reading, ...(Object.hasOwn(job.readings, this.key) ? job.readings[this.key] : {}) };
      const reading = { ...before, ...this.typed };
      Object.assign(reading, withUnit(this.asked, reading.value) ?? {});
      if ("at" in this.typed) reading.hand = reading.at && "yes";
      if (!before.value && reading.value) {
        reading.unit = withUnit(this.asked, this.typed.value ?? "")?.unit ?? this.unit?.value ?? reading.unit;
        reading.initials ||= store.get(INITIALS) ?? "";
      }
      timeOf(reading, before);
      this.typed = {};
      job.readings[this.key] = reading;
    });
    if (name === "initials" && text) store.set(INITIALS, text);
  }

  /** Show the reading as it is kept; a field that is being typed in is left alone. */
  refresh() {
    this.element.hidden = !mayApply(this.asked.when, this.session.job.car);
    const { value, unit, wrench, initials, at } = { ...this.reading, ...this.typed };
    put(this.value, value);
    if (this.unit) put(this.unit, unit);
    put(this.initials, initials);
    put(this.at, at.slice(0, 16));
    const another = wrench !== "" && !this.known.has(wrench);
    if (document.activeElement !== this.other) {
      put(this.select, another ? "*" : wrench || (this.select.value === "*" ? "*" : ""));
      this.other.hidden = this.select.value !== "*";
      if (another) put(this.other, wrench);
    }
    this.look(value, unit);
  }

  /** A first look at the number: is it anywhere near? The command `procedures record` looks closer.
   * @param {string} value @param {string} unit */
  look(value, unit) {
    if (Object.keys(this.typed).length) fill(this.note, "Not kept yet: say first which car it is.");
    else if (!value.trim()) fill(this.note);
    else if (isUnread({ value })) fill(this.note, `${refusal(this.asked, value)} It counts as missing.`);
    else if (isOutside(this.asked, { value, unit })) fill(this.note, `The page asks for ${this.asked.text}. Is ${value} ${unit} what was read?`);
    else fill(this.note);
  }
}

/** A number brings its time, unless there is one, and takes it along when it goes; the time of a tick set by hand stays.
 * @param {Reading} reading @param {Reading} before */
function timeOf(reading, before) {
  const wasNumber = !Number.isNaN(numberIn(before.value));
  if (!wasNumber && !Number.isNaN(numberIn(reading.value))) reading.at ||= stamp();
  const typing = /^\s*\d+[.,]?\d*\s*$/.test(reading.value); // "4." on the way to "4.5"
  if (before.value && !typing && !reading.hand && reading.at === before.at) reading.at = "";
}

/** @param {HTMLInputElement|HTMLSelectElement} input @param {string} text */
function put(input, text) {
  if (document.activeElement !== input && input.value !== text) input.value = text;
}

/** @param {string} text @param {...Node} fields */
function labelled(text, ...fields) {
  return make("label", {}, make("span", { class: "reading-label" }, text), ...fields);
}

