// On a page that is about no car: which one is in hand. Read where it stands, so that nothing below it moves.

(function () {
  const line = /** @type {HTMLElement} */ (document.querySelector(".in-hand"));
  tell();
  for (const event of ["storage", "pageshow"]) addEventListener(event, tell);

  /** The car in words, as job/in-hand.js has them. */
  function tell() {
    const vehicle = kept("procedures-vehicle");
    line.hidden = !vehicle;
    /** @type {Record<string, string>} */
    let car = {};
    try {
      car = Object(JSON.parse(kept(`procedures-car:${vehicle}`) || "{}"));
    } catch {
      // chosen anew
    }
    const options = Object.entries(car).map(([option, value]) => `${option.replaceAll("-", " ")} ${value}`);
    const name = document.createElement("b");
    name.textContent = [kept("procedures-vehicle-name") || vehicle.replaceAll("-", " "), ...options].join(", ");
    line.replaceChildren("Car in hand: ", name);
  }

  /** What this device has under a key, "" for nothing. @param {string} key */
  function kept(key) {
    try {
      return sessionStorage.getItem(key) ?? localStorage.getItem(key) ?? "";
    } catch {
      return "";
    }
  }
})();
