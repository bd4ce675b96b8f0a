// Elements made from plain values: no HTML is ever put together from text.

/** Why something of the page that is fetched when it is asked for did not come. */
export const UNREACHED = "There is no network, and this device does not have all of the page yet. Try again when there is one.";

/** An element. Attributes that begin with "on" are listeners; those that are false, null or undefined are left out.
 * @template {keyof HTMLElementTagNameMap} Name
 * @param {Name} name @param {Attributes} [attributes] @param {...(Node|string)} children */
export function make(name, attributes = {}, ...children) {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (typeof value === "function") element.addEventListener(key.slice(2), value);
    else if (value !== false && value !== null && value !== undefined) element.setAttribute(key, value === true ? "" : String(value));
  }
  element.append(...children);
  return element;
}

/** A button. @param {string} text @param {() => unknown} press @param {string} [css] */
export function button(text, press, css = "") {
  return make("button", { type: "button", class: css || null, onclick: press }, text);
}

/** Put these children into an element in place of what it has. @param {Element} element @param {...(Node|string)} children */
export function fill(element, ...children) {
  element.replaceChildren(...children);
}

/** Save a file where this browser saves files. @param {File} file */
export function saveFile(file) {
  const address = URL.createObjectURL(file);
  make("a", { href: address, download: file.name }).click();
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
}

/** "1 step", "2 steps". @param {number} number @param {string} noun */
export function counted(number, noun) {
  return `${number} ${noun}${number === 1 ? "" : "s"}`;
}

/** A date and time as this phone writes them, "" for what is none. @param {string|undefined} iso */
export function shownTime(iso) {
  const time = new Date(iso ?? "");
  if (Number.isNaN(time.getTime())) return "";
  const today = time.toDateString() === new Date().toDateString();
  return today
    ? time.toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" })
    : time.toLocaleString([], { dateStyle: "medium", timeStyle: "short" });
}

/** The same with the day said where it is near: "yesterday 16:40". @param {string|undefined} iso */
export function spokenTime(iso) {
  const time = new Date(iso ?? "");
  const yesterday = new Date();
  yesterday.setDate(yesterday.getDate() - 1);
  if (time.toDateString() !== yesterday.toDateString()) return shownTime(iso);
  return `yesterday ${time.toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hourCycle: "h23" })}`;
}

/** When a job was begun, and its order or number plate: "begun yesterday 16:40, WO 1234". @param {Job} job */
export function begunWords({ begun, reference }) {
  return `begun ${spokenTime(begun)}${reference && `, ${reference}`}`;
}

/** A date and time for paper, whoever reads it wherever: "2026-09-14 15:30 UTC+02:00"; "" for what is none.
 * @param {string|undefined} iso */
export function writtenTime(iso) {
  const time = new Date(iso ?? "");
  if (Number.isNaN(time.getTime())) return "";
  const [day, clock = ""] = stamp(time).split("T");
  return `${day} ${clock.slice(0, 5)} UTC${clock.slice(8)}`;
}

/** Now, or another time, after RFC 3339 with this phone's offset: 2026-09-14T15:30:00+02:00. @param {Date} [time] */
export function stamp(time = new Date()) {
  const offset = -time.getTimezoneOffset();
  const two = (/** @type {number} */ n) => String(Math.trunc(Math.abs(n))).padStart(2, "0");
  const zone = `${offset < 0 ? "-" : "+"}${two(offset / 60)}:${two(offset % 60)}`;
  const day = `${String(time.getFullYear()).padStart(4, "0")}-${two(time.getMonth() + 1)}-${two(time.getDate())}`;
  return `${day}T${two(time.getHours())}:${two(time.getMinutes())}:${two(time.getSeconds())}${zone}`;
}
