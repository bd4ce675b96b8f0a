// Following a procedure: a tick for each step, remembered; what is open; handing over; the record.

import { addAgain } from "./job/again.js";
import { addAsking, addResuming } from "./job/ask.js";
import { addBar } from "./job/bar.js";
import { make } from "./job/dom.js";
import { addHandover, addReceiving } from "./job/handover.js";
import { carPage, procedurePage } from "./job/page.js";
import { addPanel } from "./job/panel.js";
import { addRemarks } from "./job/remark-controls.js";
import { addScreen } from "./job/screen.js";
import { Session } from "./job/session.js";
import { tellStages } from "./job/stages.js";
import { stillTaps } from "./job/taps.js";
import { addTicks } from "./job/ticks.js";
import { addRecord } from "./record.js";

const page = procedurePage();
const car = carPage();
if (page?.steps.length && car) {
  stillTaps();
  const session = new Session(page);
  const panel = make("section", { class: "job-panel", "aria-label": "The job" });
  car.place.after(panel);
  addRecord(session, car.vehicle);
  addTicks(session);
  tellStages(session);
  addAgain(session);
  addRemarks(session);
  addAsking(session);
  addBar(session, addScreen(session, car));
  addPanel(session, panel);
  addHandover(session, panel);
  addReceiving(session, car);
  addResuming(session);
}
