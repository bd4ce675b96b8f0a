// Before the page is drawn: the colours and the torque unit chosen on this device.

(function () {
  const root = document.documentElement;
  root.classList.add("scripted");
  try {
    const chosen = JSON.parse(localStorage.getItem("procedures-display") || "{}");
    if (["light", "dark"].includes(chosen.colours)) root.dataset.colours = chosen.colours;
    if (["lbf-ft", "lbf-in"].includes(chosen.unit)) root.dataset.unit = chosen.unit;
  } catch {
    // Storage is shut, or what it holds was not written by this site: the page stays as it is.
  }
})();
