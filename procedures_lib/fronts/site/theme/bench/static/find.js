// The search boxes: search as one types, rows in a list below, keyboard and thumb alike.

import "./find-near.js";

/** What searches and lists: only who looks for something needs it. */
async function engine() {
  const [hits, index, parts] = await Promise.all(
    [import("./find-hits.js"), import("./find-index.js"), import("./find-parts.js")]).catch(() => {
    throw new Unreached("The search can’t be reached: load this page again when there is a network.");
  });
  return { ...hits, ...index, ...parts };
}

const PAUSE = 150; // ms after the last key
const IN_HEAD = 6;

/** The scripts of the search did not come. */
class Unreached extends Error {}

/** One box: a form, its status line and its list. */
class Box {
  /** @param {HTMLFormElement} form */
  constructor(form) {
    this.form = form;
    this.full = form.dataset.find === "page";
    this.input = /** @type {HTMLInputElement} */ (form.elements.namedItem("q"));
    this.status = /** @type {HTMLElement} */ (form.querySelector("[role=status]"));
    this.list = /** @type {HTMLUListElement} */ (form.querySelector("ul"));
    this.turn = 0;
    this.timer = 0;
    this.guide = /** @type {HTMLInputElement | null} */ (form.elements.namedItem("guide"));
    this.input.addEventListener("focus", () => this.warm(), { once: true });
    this.input.addEventListener("input", () => this.later());
    this.guide?.addEventListener("change", () => this.run());
    if (this.full) this.warm();
    form.addEventListener("keydown", (event) => this.key(event));
    form.addEventListener("submit", (event) => this.submit(event));
    this.list.addEventListener("click", (event) => this.follow(event));
  }

  /** The indexes to search in: the guide's where it is asked for, first where it is read.
   * @returns {[Part, ...Part[]]} */
  parts() {
    if (this.guide?.type === "hidden") return ["find-guide", "find"];
    return this.guide?.checked ? ["find", "find-guide"] : ["find"];
  }

  /** Have what a search needs before it is asked for. */
  warm() {
    engine().then(({ start }) => start(this.parts()[0])).catch(() => {}); // told when it is asked for
  }

  later() {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.run(), PAUSE);
  }

  async run() {
    clearTimeout(this.timer);
    const turn = ++this.turn;
    const text = this.input.value.trim();
    if (this.full) remember(text, Boolean(this.guide?.checked));
    if (!text) {
      this.close();
      return;
    }
    try {
      const { searchIn, showHits, told } = await engine();
      const found = await searchIn(text, this.parts());
      if (turn !== this.turn) return;
      const hits = this.full ? found.hits : found.hits.slice(0, IN_HEAD);
      showHits(this.list, hits, this.full);
      this.say(told(found, hits));
    } catch (error) {
      if (turn === this.turn) this.fail(error);
    }
    this.form.classList.add("find-open");
    this.form.dataset.shown = text; // the query that the list answers
  }

  /** @param {unknown} error */
  fail(error) {
    const isKnown = error instanceof Unreached || (error instanceof Error && error.name === "NoIndex");
    this.list.replaceChildren();
    this.say(isKnown ? error.message : "The search failed: load this page again.");
    if (!isKnown) throw error;
  }

  /** @param {string} text */
  say(text) {
    if (this.status.textContent !== text) this.status.textContent = text;
  }

  close() {
    clearTimeout(this.timer);
    this.turn++;
    this.list.replaceChildren();
    this.say("");
    this.form.classList.remove("find-open");
    delete this.form.dataset.shown;
  }

  /** @param {KeyboardEvent} event */
  key(event) {
    const step = Number(event.key === "ArrowDown") - Number(event.key === "ArrowUp");
    if (event.key === "Escape" && this.form.classList.contains("find-open") && !this.full) {
      event.preventDefault();
      this.close();
      this.input.focus();
    } else if (step) {
      const stops = [this.input, ...this.list.querySelectorAll("a")];
      const at = stops.findIndex((stop) => stop === document.activeElement);
      const next = at < 0 ? undefined : stops[at + step];
      if (!next) return;
      event.preventDefault();
      next.focus();
    }
  }

  /** On the search page the hits are already here; elsewhere the form leads to it. @param {SubmitEvent} event */
  async submit(event) {
    if (!this.full) return;
    event.preventDefault();
    await this.run();
    this.list.querySelector("a")?.focus();
  }

  /** A hit on the page that is open: out of the way, or it would cover the row. @param {Event} event */
  follow(event) {
    const link = /** @type {Element} */ (event.target).closest("a");
    if (link?.getAttribute("href")?.startsWith("#")) this.close();
  }
}

/** Keep the query in the address, so that it can be sent on. @param {string} text @param {boolean} guide */
function remember(text, guide) {
  const address = new URL(location.href);
  if (text) address.searchParams.set("q", text);
  else address.searchParams.delete("q");
  if (guide) address.searchParams.set("guide", "on");
  else address.searchParams.delete("guide");
  history.replaceState(history.state, "", address);
}

const boxes = [...document.querySelectorAll("form[data-find]")].map((form) =>
  new Box(/** @type {HTMLFormElement} */ (form)));
document.addEventListener("click", (event) => {
  for (const box of boxes) {
    if (!box.full && !box.form.contains(/** @type {Node} */ (event.target))) box.close();
  }
});
for (const box of boxes.filter((one) => one.full)) {
  if (box.guide) box.guide.checked = new URLSearchParams(location.search).has("guide");
  box.input.value = new URLSearchParams(location.search).get("q") ?? "";
  if (box.input.value) box.run();
  else box.input.focus();
}
