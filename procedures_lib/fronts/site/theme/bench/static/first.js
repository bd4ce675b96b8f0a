// Before the page is drawn: the colours and the torque unit chosen on this device, or the shop's unit.

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
})();
