// What the page shows of the worker's state: a few words, and what is newer. What is kept: parts.js.

import { comparedText, signInLink } from "../news.js";
import { made, phonePanel, sayPhoneState } from "../panel.js";
import { sizeText } from "./size.js";

/** @param {OfflineReport} state */
function troubleText({ trouble, old, room }) {
  const left = room ? ` The browser has room for ${sizeText(room.quota)} here, and ${sizeText(room.used)} of it is used.` : "";
  if (trouble === "room" && old) return `There is not enough room on this device for the newer edition: the older one stays, whole.${left}`;
  if (trouble === "room") return `There is not enough room on this device for all that was chosen. Choose less, or make room.${left}`;
  if (trouble === "network") return "The network went away; what is still missing comes when it is back.";
  if (trouble !== "shut") return "";
  const why = isSecureContext ? "" : " A browser keeps it from an address that begins with https, and this one does not.";
  return `Nothing of the manual is kept on this device: every page needs a network.${why}`;
}

/** How things stand, in a few words. @param {OfflineReport} state */
function stateText({ ready, here, old, asks, trouble, progress, signedOut }) {
  if (progress) {
    const share = Math.floor((100 * progress.done) / Math.max(1, progress.total));
    return `keeps the manual: ${share} % of ${sizeText(progress.total)}`;
  }
  if (trouble === "shut") return "not kept: needs a network";
  if (signedOut) return old ? "kept; sign in again" : "sign in again";
  if (trouble === "room") return old ? "no room for the newer edition" : "no room for all of it";
  if (ready && here === false) return "this page needs a network";
  if (ready) return asks ? "this page is kept; choose your cars" : "ready without a network";
  return old ? "ready without a network, update waits" : "not ready without a network yet";
}

/** How things stand, in the panel's summary. @param {OfflineReport} state */
export function showState(state) {
  sayPhoneState(stateText(state));
  const text = troubleText(state);
  const place = line("kept-trouble");
  if (place.textContent !== text) place.textContent = text;
  tellSignIn(Boolean(state.signedOut));
}

const ENDED = "Your sign-in has ended, or the server does not know this device. All that is kept here stays and works, but"
  + " nothing newer is heard of until you sign in.";

/** @param {boolean} signedOut */
function tellSignIn(signedOut) {
  const place = line("kept-sign-in");
  if (Boolean(place.firstChild) === signedOut) return;
  phonePanel().prepend(place);
  place.replaceChildren();
  if (signedOut) place.append(`${ENDED}${comparedText()} `, signInLink());
}

/** A line of the panel that is made once. @param {string} name */
function line(name) {
  const found = phonePanel().querySelector(`.${name}`);
  if (found) return found;
  const made_ = made("p", name);
  made_.setAttribute("role", "status");
  phonePanel().append(made_);
  return made_;
}

/** Say that there is a newer edition of this page; `replace` shows it.
 * @param {OfflineReport} state @param {boolean} inProgress @param {() => void} replace */
export function newerNote(state, inProgress, replace) {
  const there = document.querySelector(".page-note.newer");
  if (!state.newer) return void there?.remove();
  if (there) return;
  const note = made("aside", "page-note newer");
  note.setAttribute("role", "status");
  const revision = state.revision ? ` It is revision ${state.revision}.` : "";
  const words = inProgress
    ? `There is a newer edition of this procedure.${revision} The one you began with stays until you take the new one.`
    : `There is a newer edition of this page.${revision}`;
  const button = made("button", "", inProgress ? "Take the new revision" : "Show it");
  button.addEventListener("click", replace);
  note.append(made("p", "", words), button);
  const bar = document.querySelector(".follow-news"); // the bar tells of it, and nothing moves
  if (bar && inProgress) bar.append(note);
  else document.querySelector("main")?.before(note);
}
