// "This device": the one place on a page for what is chosen or kept on this device alone.

/** @type {HTMLElement | null} */
let body = null;

/**
 * Return the panel's body, made and folded away the first time it is asked for.
 * @returns {HTMLElement}
 */
export function phonePanel() {
  if (body) return body;
  const panel = document.createElement("details");
  panel.className = "this-phone";
  const summary = document.createElement("summary");
  summary.append(made("span", "", "This device"), made("span", "phone-state"));
  body = made("div", "phone-body");
  panel.append(summary, body);
  const region = made("section", "this-device");
  region.setAttribute("aria-label", "This device");
  region.append(panel);
  document.querySelector(".page-bar")?.append(region);
  return body;
}

/**
 * Say in the panel's summary how things stand, in a few words.
 * @param {string} text
 */
export function sayPhoneState(text) {
  const place = phonePanel().parentElement?.querySelector(".phone-state");
  if (place && place.textContent !== text) place.textContent = text;
}

/**
 * Make an element with a class and a text.
 * @template {keyof HTMLElementTagNameMap} Name
 * @param {Name} name
 * @param {string} className
 * @param {string} [text]
 */
export function made(name, className, text = "") {
  const element = document.createElement(name);
  if (className) element.className = className;
  element.textContent = text;
  return element;
}
