// Keeps the screen on while a job is under way, where the browser can (Screen Wake Lock).

let wanted = false;
/** @type {WakeLockSentinel|null} */
let lock = null;
/** @type {(on: boolean) => void} */
let tell = () => {};

/** Whether this browser can do it at all. */
export function canStayOn() {
  return "wakeLock" in navigator;
}

async function ask() {
  if (!wanted || lock || document.visibilityState !== "visible" || !canStayOn()) return;
  try {
    lock = await navigator.wakeLock.request("screen");
    lock.addEventListener("release", () => {
      lock = null;
      tell(false);
    });
    if (!wanted) await lock.release();
    else tell(true);
  } catch {
    tell(false); // refused: a low battery, say
  }
}

/** Keep the screen on from now on, or no longer. @param {boolean} on @param {(on: boolean) => void} report */
export function stayOn(on, report) {
  wanted = on;
  tell = report;
  if (on) void ask();
  else void lock?.release();
}

document.addEventListener("visibilitychange", () => void ask());
