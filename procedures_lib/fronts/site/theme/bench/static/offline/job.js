// Whether a job is in progress on this page's procedure: what "Follow" keeps says so.

const PREFIX = "procedures-job:";

/** @param {"localStorage" | "sessionStorage"} name @returns {string[]} the keys of a storage; none when it is shut. */
function keysOf(name) {
  try {
    return Object.keys(window[name]);
  } catch {
    return [];
  }
}

/** Whether a job of one of the page's procedures is in progress on this device. */
export function isJobInProgress() {
  const heads = /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll(".page-car[data-procedure]"));
  const begins = [...heads].map((head) => `${PREFIX}${head.dataset.procedure}:`);
  const keys = [...keysOf("localStorage"), ...keysOf("sessionStorage")];
  return begins.some((begin) => keys.some((key) => key.startsWith(begin)));
}

/** Call back when a job may have begun or ended: after a tap, after typing, in another tab. @param {() => void} listener */
export function onJobChange(listener) {
  for (const name of ["click", "change"]) {
    document.addEventListener(name, () => setTimeout(listener, 50));
  }
  addEventListener("storage", listener);
}
