// The unit that leads and the colours: chosen in the panel, remembered on this device.
//
// Nothing is converted here. Every torque carries its texts, worked out when the site was built; a
// choice only says which one is shown. On paper it is the same text.

import { made, phonePanel } from "./panel.js";

const KEY = "procedures-display";
const root = document.documentElement;
const dark = matchMedia("(prefers-color-scheme: dark)");

/** Choices: what is kept under which name, the words for each value, and where one begins. */
const CHOICES = [
  {
    name: "unit",
    title: "Torque first in",
    values: { "n-m": "N·m", "lbf-ft": "lbf·ft", "lbf-in": "lbf·in" },
    begin: root.dataset.shopUnit ?? "n-m",
    apply: showUnit,
  },
  {
    name: "colours",
    title: "Colours",
    values: { "": "as the device", light: "light", dark: "dark" },
    begin: "",
    apply: showColours,
  },
];

/** @returns {Record<string, string>} what is kept; empty when storage is shut or spoilt. */
function kept() {
  try {
    const read = JSON.parse(localStorage.getItem(KEY) || "{}");
    return read && typeof read === "object" ? read : {};
  } catch {
    return {};
  }
}

/** Keep a choice; tell whether it will be there on the next page. @param {string} name @param {string} value */
function keep(name, value) {
  try {
    localStorage.setItem(KEY, JSON.stringify({ ...kept(), [name]: value }));
    return true;
  } catch {
    return false;
  }
}

/** Show each torque led by a unit. The text it was built with, in N·m, is kept beside it. @param {string} unit */
function showUnit(unit) {
  if (unit !== "n-m") root.dataset.unit = unit;
  else delete root.dataset.unit;
  const attribute = `data-${unit}`;
  for (const element of document.querySelectorAll("[data-lbf-ft]")) {
    if (!element.hasAttribute("data-n-m")) element.setAttribute("data-n-m", element.textContent);
    const text = element.getAttribute(attribute);
    if (text && text !== element.textContent) element.textContent = text;
  }
}

/** Show the page light or dark, or ("") as the device is set. @param {string} colours */
function showColours(colours) {
  if (colours) root.dataset.colours = colours;
  else delete root.dataset.colours;
  const isDark = colours ? colours === "dark" : dark.matches;
  for (const link of /** @type {NodeListOf<HTMLLinkElement>} */ (document.querySelectorAll('link[href*="pygments_dark"]'))) {
    link.media = isDark ? "screen" : "not all";
  }
}

/** Make one choice as a row of radio buttons. @param {typeof CHOICES[number]} choice @param {string} chosen */
function choiceRow(choice, chosen) {
  const row = made("fieldset", "choice");
  row.append(made("legend", "", choice.title));
  const trouble = made("p", "choice-trouble");
  trouble.setAttribute("role", "status");
  for (const [value, words] of Object.entries(choice.values)) {
    const label = made("label", "");
    const input = document.createElement("input");
    Object.assign(input, { type: "radio", name: `phone-${choice.name}`, value });
    input.checked = value === chosen;
    input.addEventListener("change", () => {
      choice.apply(value);
      const stays = keep(choice.name, value);
      trouble.textContent = stays ? "" : "This browser keeps nothing: it holds on this page only.";
    });
    label.append(input, made("span", "", words));
    row.append(label);
  }
  row.append(trouble);
  return row;
}

for (const choice of CHOICES) {
  const value = kept()[choice.name];
  const chosen = typeof value === "string" && Object.hasOwn(choice.values, value) ? value : choice.begin;
  choice.apply(chosen);
  phonePanel().append(choiceRow(choice, chosen));
}
dark.addEventListener("change", () => showColours(root.dataset.colours ?? ""));

// A table that fits needs no stop of the keyboard's; one that does not can be scrolled with its keys.
const frames = new ResizeObserver((entries) => {
  for (const { target } of entries) {
    if (!(target instanceof HTMLElement)) continue;
    if (target.scrollWidth > target.clientWidth) target.tabIndex = 0;
    else target.removeAttribute("tabindex");
  }
});
for (const frame of document.querySelectorAll(".wide-table, .fact-table")) frames.observe(frame);
