// While the manual is written: loads the page again when it was built, or its findings changed.

const EVERY = 1000; // milliseconds
const state = document.querySelector("meta[name=served-state]")?.content;

async function look() {
  try {
    const answer = await fetch("/_serve/state", { cache: "no-store" });
    if (answer.ok && (await answer.text()) !== state) {
      location.reload();
      return;
    }
  } catch {
    // the server has stopped, or is starting again
  }
  setTimeout(look, EVERY);
}

setTimeout(look, EVERY);
