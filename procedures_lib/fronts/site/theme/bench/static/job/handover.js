// Handing a job over to another phone, and taking one over: what either needs comes when it is asked for.

import { UNREACHED, button, fill, make } from "./dom.js";

/** @typedef {import("./session.js").Session} Session */

/** So long after the last change, in ms, the code is drawn again: not at every key that is pressed. */
const SETTLED = 250;
/** What the address of a job that is handed over begins with, behind the page. */
const MARK = "#job=";
const UNANSWERED = "Answer the question above first: this page was changed since the job was begun.";

/** @param {Session} session @param {HTMLElement} place */
export function addHandover(session, place) {
  const inner = make("div");
  const fold = make("details", { class: "fold handover-job", ontoggle: () => draw() }, make("summary", {}, "Hand this job over"), inner);
  place.append(fold);
  let waiting = 0;
  let turn = 0;
  const draw = async () => {
    if (!fold.open) return;
    const own = ++turn;
    const drawn = session.isCurrent ? await import("./handing-on.js").then(({ contents }) => contents(session), () => [UNREACHED]) : [UNANSWERED];
    if (own === turn) fill(inner, ...drawn);
  };
  session.onChange(() => {
    fold.hidden = !session.isBegun;
    clearTimeout(waiting);
    if (fold.open) waiting = setTimeout(draw, SETTLED);
  });
}

/** Look at the address for a job that is handed over, now and whenever it changes. @param {Session} session @param {CarPage} car */
export function addReceiving(session, car) {
  const box = make("div", { class: "job-received", role: "status" });
  const look = () => {
    if (!location.hash.startsWith(MARK)) return;
    document.querySelector("main")?.prepend(box); // above what says that the page is not for the car
    import("./taking-over.js").then(({ receive }) => receive(session, box, car), () => {
      fill(box, make("div", { class: "job-notice" }, make("p", {}, make("b", {}, "Not taken over. "), UNREACHED), button("Try again", look)));
    });
  };
  addEventListener("hashchange", look);
  look();
}
