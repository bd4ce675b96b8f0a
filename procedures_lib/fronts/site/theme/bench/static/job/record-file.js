// A job as a record file: schema/record.json of the site says what stands in it.

import { stamp } from "./dom.js";
import { typedReadings } from "./readings.js";
import { asideRemarks, recordedRemarks } from "./remarks.js";
import { onlyTicked, stagesLeft } from "./stages.js";

/** @typedef {import("./session.js").Session} Session */

/** @param {Session} session @param {string} vehicle */
export async function recordOf(session, vehicle) {
  const { job, page } = session;
  const remarks = await recordedRemarks(job, page);
  return {
    format: 1,
    procedure: job.procedure,
    title: page.title,
    revision: job.revision,
    digest: job.digest,
    vehicle,
    car: job.car,
    reference: job.reference,
    begun: job.begun,
    saved: stamp(),
    steps: page.steps.filter((step) => session.isTicked(step))
      .map((step) => ({ number: step.number, title: step.title, done: job.ticks[step.key] })),
    readings: typedReadings(session).map(({ step, asked, reading }) => ({ step: step.number, joint: asked.joint, stage: asked.stage, ...typed(reading) })),
    stages: onlyTicked(session).map(({ step, asked, at }) => ({ step: step.number, joint: asked.joint, stage: asked.stage, done: at })),
    stages_left: stagesLeft(session).map(({ step, asked }) => ({ step: step.number, joint: asked.joint, stage: asked.stage })),
    remarks,
    handovers: page.steps.filter((step) => Object.hasOwn(job.handovers, step.key))
      .map((step) => ({ step: step.number, at: job.handovers[step.key] })),
    set_aside: [...asideReadings(job), ...(await asideRemarks(job, page))],
  };
}

/** The readings that the page does not ask for as it is now. @param {Job} job */
function asideReadings(job) {
  const before = Object.values(job.before).flatMap(({ readings }) => Object.entries(readings).filter(([, { value }]) => value));
  return [...Object.entries(job.aside), ...before].map(([key, reading]) => ({ key, ...typed(reading) }));
}

/** A reading as a record has it. @param {Reading} reading */
function typed({ value, unit, wrench, initials, at }) {
  return { value, unit, wrench, initials, at };
}

/** @param {Session} session */
export function fileName(session) {
  const { procedure, revision, reference, begun } = session.job;
  const words = [procedure, revision, reference || begun.slice(0, 10)].join("-");
  return `${words.replace(/[^A-Za-z0-9.-]+/g, "-").slice(0, 100)}.json`;
}

/** @param {Session} session @param {string} vehicle @returns {Promise<File>} */
export async function recordFile(session, vehicle) {
  const text = `${JSON.stringify(await recordOf(session, vehicle), null, 2)}\n`;
  return new File([text], fileName(session), { type: "application/json" });
}
