// Sending a remark at once, by the ways that the shop names in its shop.toml: they stand on the page's outermost
// element, where no text of a page can put one. Nothing is sent before somebody presses.

import { carText } from "../car.js";
import { saveFile, shownTime } from "./dom.js";
import { kindText } from "./remarks.js";

/** @typedef {import("./session.js").Session} Session */
/** @typedef {{title: string, body: string}} Letter */

const MAIL = /^[A-Za-z0-9][A-Za-z0-9._+-]*@[A-Za-z0-9-]+(\.[A-Za-z0-9-]+)+$/;

/** The ways of the shop, those left out that are no mail address and no https address. @returns {RemarkWays} */
export function waysOf(text = document.documentElement.dataset.remarkWays) {
  let found;
  try {
    found = JSON.parse(text ?? "{}");
  } catch {
    found = {};
  }
  const { mail = "", issue = "", share = false } = found ?? {};
  return {
    mail: typeof mail === "string" && MAIL.test(mail) ? mail : "",
    issue: typeof issue === "string" && isTemplate(issue) ? issue : "",
    share: share === true,
  };
}

/** Whether an address takes title and body behind its "?", at a host of its own. @param {string} text */
function isTemplate(text) {
  const [before = "", query = ""] = text.split("?", 2);
  return /^https:\/\/[A-Za-z0-9]/.test(text) && !/[{}@\\\s]/.test(before) && query.includes("{title}") && query.includes("{body}");
}

/** What is sent, as text: without the order, the number plate and initials. @param {Session} session
 * @param {Step|null} step @param {Remark} remark @returns {Letter} */
export function letterOf(session, step, remark) {
  const { page, job } = session;
  const where = step ? `step ${step.number}` : "a step of an earlier revision";
  const kind = kindText(remark.kind);
  const lines = [
    `${page.title} (${page.id}), revision ${job.revision}`,
    step ? `Step ${step.number}: ${step.title}` : `A step that revision ${job.revision} no longer has`,
    remark.text ? `${kind}: ${remark.text}` : kind,
    carText(job.car) && `Car: ${carText(job.car)}`,
    shownTime(remark.at) && `Noted: ${remark.at}`,
    `${location.origin}${location.pathname}${step ? `#step-${step.number}` : ""}`,
    remark.picture && "There is a photograph: it is attached, or goes with the record of the job.",
  ];
  return { title: wellFormed(`${kind}: ${where} of ${page.title}, revision ${job.revision}`), body: wellFormed(lines.filter(Boolean).join("\n")) };
}

/** A text that can stand in an address: halves of signs are replaced. @param {string} text */
function wellFormed(text) {
  return text.replace(/\p{Cs}/gu, "\ufffd");
}

/** The address of a mail that is filled in (RFC 6068). @param {string} mail @param {Letter} letter */
export function mailAddress(mail, { title, body }) {
  return `mailto:${mail}?subject=${encodeURIComponent(title)}&body=${encodeURIComponent(body.replaceAll("\n", "\r\n"))}`;
}

/** The address at which an issue is begun, filled in. @param {string} template @param {Letter} letter */
export function issueAddress(template, { title, body }) {
  return template.replace("{title}", () => encodeURIComponent(title)).replace("{body}", () => encodeURIComponent(body));
}

/** Hand a remark on by whatever the phone offers, else save it as files. @param {Letter} letter @param {string} name
 * what the files are called @param {Uint8Array<ArrayBuffer>|null} jpeg */
export async function handOn(letter, name, jpeg) {
  const files = jpeg ? [photographFile(name, jpeg)] : [];
  const shared = { title: letter.title, text: `${letter.title}\n\n${letter.body}`, ...(files.length ? { files } : {}) };
  if ("canShare" in navigator && navigator.canShare(shared)) {
    try {
      await navigator.share(shared);
      return;
    } catch (error) {
      if (error instanceof DOMException && error.name === "AbortError") return;
    }
  }
  [new File([`${letter.title}\n\n${letter.body}\n`], `${name}.txt`, { type: "text/plain" }), ...files].forEach(saveFile);
}

/** @param {string} name @param {Uint8Array<ArrayBuffer>} jpeg */
export function photographFile(name, jpeg) {
  return new File([jpeg], `${name}.jpg`, { type: "image/jpeg" });
}
