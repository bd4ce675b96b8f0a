// Handing a job on: a link that holds its state, the same as codes, and what goes along or does not.

import { stepsAgain } from "./again.js";
import { codes } from "./codes.js";
import { button, make } from "./dom.js";
import { fragmentsOf, payloadOf } from "./link.js";
import { photographsLeft } from "./remarks.js";
import { stagesLeft } from "./stages.js";

/** @typedef {import("./session.js").Session} Session */

/** What the other phone needs: a link, and its code. @param {Session} session @returns {Promise<Node[]>} */
export async function contents(session) {
  const payload = await payloadOf(session.job, session.page);
  const page = location.href.split("#")[0] ?? "";
  const address = page + fragmentsOf(payload)[0];
  const field = make("input", { class: "handover-link", readonly: true, value: address, "aria-label": "Link of this job", onfocus: () => void field.select() });
  const said = make("span", { role: "status" });
  const copy = button("Copy the link", async () => {
    try {
      await navigator.clipboard.writeText(address);
      said.textContent = "Copied.";
    } catch {
      field.focus();
      said.textContent = "Press and hold the link to copy it.";
    }
  });
  const parts = [make("p", {}, "Open this link, or scan the code, on the other phone. It shows the job as it stands now; "
    + "what is ticked later stays on the phone where it is ticked. It holds what was typed, initials too."), field, copy];
  if ("share" in navigator) parts.push(button("Share", () => void navigator.share({ title: session.page.title, url: address }).catch(() => {})));
  const again = stepsAgain(session).map((step) => step.number);
  const unsettled = again.length ? `What was done before a change goes along as such: the other phone asks at step ${again.join(", ")} too.` : "";
  const left = [...new Set(stagesLeft(session).map(({ step }) => step.number))];
  const undone = left.length ? `Done, with a stage without a tick: step ${left.join(", ")}.` : "";
  for (const more of [photographsLeft(session.job), unsettled, undone]) if (more) parts.splice(1, 0, make("p", {}, more));
  return [...parts, said, codes(page, payload)];
}
