// The job that is on the screen: one place that changes it, and tells all parts of the page.

import { carText, chooseCar, chosenCar, isForCar, onCar } from "../car.js";
import { broughtTo, isCurrent } from "./changes.js";
import { mayApply } from "./condition.js";
import { stamp } from "./dom.js";
import { changeJob, dropJob, isBegun, isWithin, keptKey, keyOf, laidAside, layAside, loadJob, newJob, otherJobs, saveJob, takeUpAgain } from "./job.js";
import { store } from "./store.js";

export class Session {
  /** @param {Procedure} page */
  constructor(page) {
    this.page = page;
    /** @type {Set<() => void>} */
    this.listeners = new Set();
    /** Asks something before a job begins or goes on, and goes on by itself; false where there is nothing to ask.
     * @type {(goOn: () => void) => boolean} */
    this.gate = () => false;
    /** What has to be seen of the car in hand: that opening this job has changed it; "" for nothing. */
    this.carNews = "";
    /** Asks for another car of the same procedure, and begins its job. */
    this.newCar = () => {};
    /** The job on this page, where another tab has laid it aside for another car of the same options: the page stays with it.
     * @type {Job|null} */
    this.resting = null;
    /** The job as this phone has it. */
    this.kept = newJob(page, {});
    /** The job as it is on the page as it is now. */
    this.job = this.kept;
    this.read();
    onCar(() => this.reload());
    store.onOtherTab((key) => {
      if (key !== null && !key.startsWith("procedures-job:")) return;
      this.resting = laidAside(this.page, this.kept);
      this.reload();
    });
    store.listeners.add(() => this.tell());
  }

  /** Call back when the job is another than before. @param {() => void} listener */
  onChange(listener) {
    this.listeners.add(listener);
    listener();
  }

  tell() {
    this.listeners.forEach((listener) => listener());
  }

  reload() {
    this.read();
    this.tell();
  }

  read() {
    if (this.resting) return;
    this.kept = loadJob(this.page, chosenCar());
    this.job = this.isCurrent ? this.kept : broughtTo(this.kept, this.page, this.kept.car);
  }

  /** Ask what has to be answered before the job may be changed, and go on once it is; false where there is nothing to ask.
   * @param {() => void} goOn */
  asks(goOn) {
    return this.gate(goOn);
  }

  /** Change the job; the first change begins it. @param {(job: Job) => void} change */
  change(change) {
    if (this.asks(() => this.apply(change))) this.tell();
    else this.apply(change);
  }

  /** @param {(job: Job) => void} change */
  apply(change) {
    this.carNews = "";
    changeJob(this.page, chosenCar(), stamp(), change);
    this.reload();
  }

  /** Put a job in place of the one on this car. @param {Job} job */
  replace(job) {
    if (this.resting) this.goTo(this.resting); // the other car's job is laid aside, not replaced
    saveJob({ ...job, sure: stamp() }, keptKey(this.page, job.car));
    this.reload();
  }

  /** Throw the job on this car away. */
  drop() {
    dropJob(this.key);
    this.resting = null;
    this.reload();
  }

  /** Go on with another job of this procedure, on its car. @param {Job} job */
  goTo(job) {
    this.resting = null;
    if (job.rests) takeUpAgain(this.page, job, stamp());
    chooseCar(!job.rests && isWithin(job.car, chosenCar()) ? chosenCar() : job.car);
    this.reload();
  }

  /** Go over to the job that another tab has put in place of the one here. */
  goOver() {
    this.resting = null;
    this.reload();
  }

  /** Begin a job on another car; what is begun on one of the same options is laid aside.
   * @param {Car} car @param {string} reference */
  beginNew(car, reference) {
    chooseCar(car);
    layAside(keptKey(this.page, chosenCar()), stamp());
    this.reload();
    if (isForCar()) this.apply((job) => void (job.reference = reference));
  }

  /** The other jobs of this procedure on this phone. */
  others() {
    return otherJobs(this.page, chosenCar());
  }

  /** What the job is kept under. */
  get key() {
    return this.resting ? keyOf(this.resting) : keptKey(this.page, this.job.car);
  }

  get isBegun() {
    return isBegun(this.job);
  }

  get isCurrent() {
    return isCurrent(this.kept, this.page);
  }

  /** The steps that are not surely for other cars. @returns {Step[]} */
  get steps() {
    return this.page.steps.filter((step) => mayApply(step.when, this.job.car));
  }

  /** Whether a step is ticked. @param {Step} step */
  isTicked(step) {
    return Object.hasOwn(this.job.ticks, step.key);
  }

  /** The ticked step with the highest number; undefined before the first. @returns {Step|undefined} */
  get last() {
    return this.steps.filter((step) => this.isTicked(step)).at(-1);
  }

  /** The step to go on with: the first without a tick behind the last with one, else the first without.
   * @returns {Step|undefined} */
  get next() {
    const left = this.steps.filter((step) => !this.isTicked(step));
    return left.find((step) => step.number > (this.last?.number ?? 0)) ?? left[0];
  }

  /** The car in words. @param {Job} [job] */
  carText(job = this.job) {
    return carText(job.car) || "any car of this vehicle";
  }
}
