// One tap of a glove is one tap: what bounces on the same spot or the same control does nothing.

/** A tap this soon after the one before is the same one, in milliseconds. */
const BOUNCE = 400;
/** So far a finger may slip meanwhile, in CSS pixels. */
const SLIP = 24;
const CONTROLS = "button, label, summary, a, input:is([type=checkbox], [type=radio])";

let isTouch = false;
/** @type {{control: Element, x: number, y: number, at: number}|null} */
let last = null;
/** @type {Element|null} a box that its label is just about to press */
let passing = null;

/** Let a second tap do nothing; keys and a mouse press as often as they like. */
export function stillTaps() {
  addEventListener("pointerdown", (event) => (isTouch = event.pointerType !== "mouse"), true);
  addEventListener("keydown", () => (isTouch = false), true);
  addEventListener("click", tapped, true);
}

/** @param {MouseEvent} event */
function tapped(event) {
  const found = /** @type {Element} */ (event.target).closest?.(CONTROLS);
  if (!isTouch || !event.isTrusted || !found) return;
  const label = found instanceof HTMLLabelElement ? found : null;
  const control = label?.control ?? found;
  if (control === passing && !label) return;
  const { clientX: x, clientY: y, timeStamp: at } = event;
  const isSame = last && at - last.at < BOUNCE
    && (last.control === control || Math.hypot(x - last.x, y - last.y) < SLIP);
  if (isSame) {
    event.preventDefault();
    event.stopImmediatePropagation();
    return;
  }
  last = { control, x, y, at };
  passing = label?.control ?? null;
  setTimeout(() => (passing = null));
}
