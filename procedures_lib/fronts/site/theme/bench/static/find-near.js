// The search of the page's head, brought to where one is.

/** Show it at the top of the screen until a hit is followed, or something else is touched. */
export function findNear() {
  const form = /** @type {HTMLFormElement|null} */ (document.querySelector("form.find"));
  if (!form) return;
  if (form.closest("main")) form.scrollIntoView({ block: "center" }); // it has its place there
  else nearby(form);
  form.querySelector("input")?.focus({ preventScroll: true });
}

/** @param {HTMLFormElement} form */
function nearby(form) {
  const { activeElement } = document;
  form.classList.add("find-near");
  const away = (/** @type {Event} */ event) => {
    const leaves = event instanceof KeyboardEvent ? event.key === "Escape" : !form.contains(/** @type {Node} */ (event.target));
    const follows = /** @type {Element} */ (event.target).closest?.("form.find a");
    if (!leaves && !follows) return;
    form.classList.remove("find-near");
    if (event instanceof KeyboardEvent) {
      event.preventDefault(); // one key puts away one thing
      /** @type {HTMLElement|null} */ (activeElement)?.focus({ preventScroll: true });
    }
    for (const name of ["click", "keydown"]) removeEventListener(name, away, true);
  };
  setTimeout(() => {
    for (const name of ["click", "keydown"]) addEventListener(name, away, true);
  });
}

document.querySelector(".find-bar > a")?.addEventListener("click", (event) => {
  event.preventDefault();
  findNear();
});
