// The manual without a network: registers the worker, shows how much is kept, and says when there is
// something newer. A page with a job in progress is never replaced before the technician agrees.

import { isJobInProgress, onJobChange } from "./offline/job.js";
import { newerNote, showState } from "./offline/panel.js";
import { tellNews, tellSite } from "./news.js";
import { phonePanel } from "./panel.js";

/** How often an open page asks whether there is something newer, in milliseconds: seldom, for the phone's sake. */
const AGAIN = 600_000;
/** How soon it asks while somebody works by it. */
const WORKING = 60_000;
/** How soon what is not here yet is tried again: twice as long each time, up to that. */
const SOON = 20_000;
/** A page that nobody has touched this long after it was opened may be replaced, in milliseconds. */
const FRESH = 3000;
const opened = performance.now();
let isTouched = false;
const root = new URL(document.documentElement.dataset.content_root ?? "./", location.href);
const panel = phonePanel().closest("details");
const workers = location.protocol.startsWith("http") ? navigator.serviceWorker : undefined;

/** @type {OfflineReport | null} */
let state = null;
let isHeld = false;
let pause = SOON;
let waiting = 0;
let looked = 0;

/** Ask the worker something, once there is one; resolves when it is done.
 * @param {OfflineRequest["kind"]} kind @param {Omit<OfflineRequest, "kind">} [more] */
async function ask(kind, more = {}) {
  const registration = await workers?.ready;
  const { port1, port2 } = new MessageChannel();
  registration?.active?.postMessage({ kind, ...more }, [port2]);
  return new Promise((resolve) => (port1.onmessage = resolve));
}

/** Hold the page at its version while a job is in progress; let it go when there is none. */
function holdOrRelease() {
  const inProgress = isJobInProgress();
  if (inProgress !== isHeld) ask(inProgress ? "hold" : "release");
  isHeld = inProgress;
}

/** Show what the worker says. @param {OfflineReport} said */
function show(said) {
  state = said;
  isHeld ||= Boolean(said.held);
  holdOrRelease();
  tellSite(said);
  showState(said);
  void tellParts();
  tryAgain(said);
  const isFree = !said.held && !isJobInProgress();
  const isReplaced = said.newer && isFree && !isTouched && performance.now() - opened < FRESH;
  if (isReplaced) location.reload();
  const text = () => ask("newest").then((answer) => String(/** @type {MessageEvent} */ (answer).data ?? ""));
  tellNews(said.newer ? { revision: said.revision ?? "", text } : null);
  if (!isReplaced) newerNote(said, !isFree, () => ask("release").then(() => location.reload()));
}

/** Show what is kept and what else there is, once somebody opens the panel. */
async function tellParts() {
  const found = panel?.open ? await import("./offline/parts.js").catch(() => null) : null;
  if (state) found?.partsForm(state, choose);
}

/** Keep these parts; where the browser asks whether the site may keep its storage for good, it is now.
 * @param {string[]} parts their ids */
function choose(parts) {
  navigator.storage?.persist?.().catch(() => false);
  ask("choose", { parts });
}

function look() {
  looked = performance.now();
  if (document.visibilityState === "visible") ask("look", { shows: [...document.images].map((image) => image.currentSrc) });
}

/** Try again what is not here yet, after longer and longer pauses. @param {OfflineReport} said */
function tryAgain(said) {
  const isMissing = !said.ready && !said.progress && said.trouble !== "room" && said.trouble !== "shut";
  if (said.ready) pause = SOON;
  if (!isMissing || waiting) return;
  waiting = setTimeout(() => {
    waiting = 0;
    look();
  }, pause);
  pause = Math.min(2 * pause, AGAIN);
}

/** Replace a page that nobody works by, when the device is taken up again. */
function takenUp() {
  if (document.visibilityState !== "visible") return;
  if (state?.newer && !isJobInProgress()) location.reload();
  else look();
}

/** The worker of this site, registered; rejects where the browser takes none. @param {ServiceWorkerContainer} workers */
async function registered(workers) {
  const found = await workers.getRegistration(root);
  const registration = found?.scope === root.href ? found : await workers.register(new URL("worker.js", root), { scope: root.pathname });
  if (!registration) return; // a browser may take none in silence
  import("./offline/whole.js").then(({ watch }) => watch(registration, workers, root)).catch(() => {}); // the page opened next tries again
}

/** Say that nothing is kept. */
function shut() {
  const said = /** @type {OfflineReport} */ ({ trouble: "shut" });
  tellSite(said);
  showState(said);
}

function start() {
  if (!workers) return location.protocol.startsWith("http") ? shut() : undefined;
  workers.addEventListener("message", (event) => {
    if (event.data?.kind === "state") show(event.data);
  });
  workers.startMessages();
  panel?.addEventListener("toggle", tellParts);
  document.addEventListener("visibilitychange", takenUp);
  addEventListener("online", look);
  for (const name of ["pointerdown", "keydown"]) addEventListener(name, () => (isTouched = true));
  onJobChange(() => {
    holdOrRelease();
    if (performance.now() - looked > WORKING) look();
  });
  holdOrRelease();
  setInterval(look, AGAIN); // the server may go, or the page be changed, while one works by it
  registered(workers).then(look, shut);
}

start();
