// Before the page is drawn: the colours and the torque unit chosen on this device, or the shop's unit; and whether
// the page has to wait, because a step's own screen or the word that it is for other cars comes in its place.

(function () {
  const root = document.documentElement;
  root.classList.add("scripted");
  if (root.dataset.shopUnit) root.dataset.unit = root.dataset.shopUnit;
  try {
    const chosen = JSON.parse(localStorage.getItem("procedures-display") || "{}");
    if (["light", "dark"].includes(chosen.colours)) root.dataset.colours = chosen.colours;
    if (["lbf-ft", "lbf-in"].includes(chosen.unit)) root.dataset.unit = chosen.unit;
    else if (chosen.unit === "n-m") delete root.dataset.unit;
  } catch {
    // Storage is shut, or what it holds was not written by this site: the page stays as it is.
  }
  const waits = waiting();
  if (!waits) return;
  root.dataset.waits = waits;
  document.addEventListener("DOMContentLoaded", () => delete root.dataset.waits); // all scripts have run, or failed

  /** What the page waits for, "" for nothing. */
  function waiting() {
    const { pageCars: only = "", pageVehicle } = root.dataset;
    const inHand = pageVehicle && kept("procedures-vehicle");
    if (inHand && inHand !== pageVehicle) return "car";
    const car = only ? keptCar(`procedures-car:${pageVehicle}`) : {};
    const [, option = "", value] = /^([\w.+-]+)=([\w.+-]+)$/.exec(only) ?? [];
    if (option && car[option] && car[option] !== value) return "other-car";
    if (only && !option && Object.keys(car).length) return "car";
    return /^#one-step-\d+$/.test(location.hash) ? "step" : "";
  }

  /** The options of a car, as this device has them; none if it has none. @param {string} key @returns {Record<string, string>} */
  function keptCar(key) {
    try {
      return Object(JSON.parse(kept(key) || "{}"));
    } catch {
      return {};
    }
  }

  /** What this device has under a key. @param {string} key */
  function kept(key) {
    try {
      return sessionStorage.getItem(key) ?? localStorage.getItem(key);
    } catch {
      return ""; // storage is shut
    }
  }
})();
