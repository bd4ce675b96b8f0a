// The photograph of the remark that is open: taken, shown, taken away.

import { button, fill, make, saveFile } from "./dom.js";
import { drawInto, jpegOf } from "./jpeg.js";
import { photographs } from "./photographs.js";
import { MOST_PHOTOGRAPHS, photographCount, remarkAt } from "./remarks.js";
import { photographFile } from "./sending.js";

/** The longer side of the picture that is shown, in pixels. */
const SHOWN = 480;

export class PhotographField {
  /** @param {import("./session.js").Session} session */
  constructor(session) {
    this.session = session;
    this.key = "";
    this.name = "";
    /** @type {Uint8Array<ArrayBuffer>|null} */
    this.jpeg = null;
    this.file = make("input", { type: "file", accept: "image/*", capture: "environment", onchange: () => this.take() });
    this.word = make("span");
    this.picture = make("canvas", { role: "img", "aria-label": "The photograph of this remark", hidden: true });
    this.state = make("span");
    this.remove = button("Remove photograph", () => this.put(""), "plain");
    this.save = button("Save photograph", () => this.jpeg && saveFile(photographFile("remark", this.jpeg)), "plain");
    this.note = make("p", { class: "remark-note" });
    this.element = make("div", { class: "remark-photograph" }, make("div", { class: "remark-picture", role: "status" }, this.state, this.picture),
      make("label", { class: "remark-file" }, this.word, this.file), this.remove, this.save, this.note);
  }

  /** Show the photograph of a remark. @param {string} key */
  async show(key) {
    const name = remarkAt(this.session.job, key)?.picture ?? "";
    if (key === this.key && name === this.name) return;
    this.key = key;
    this.name = name;
    this.jpeg = null;
    this.picture.hidden = true;
    this.word.textContent = name ? "Take another" : "Take a photograph";
    this.remove.disabled = !name;
    this.save.disabled = true;
    this.tell(name ? "" : "No photograph");
    if (name) await this.draw(name);
  }

  /** @param {string} name */
  async draw(name) {
    const jpeg = await photographs.get(name);
    if (name !== this.name) return;
    this.jpeg = jpeg;
    this.save.disabled = !jpeg;
    if (!jpeg) {
      this.tell("This phone does not have it.");
      return;
    }
    try {
      drawInto(this.picture, await createImageBitmap(new Blob([jpeg])), SHOWN);
      this.picture.hidden = false;
      this.tell(photographs.isHeld(name) ? "This phone does not keep the photograph: it lasts until this page is left. Save the record before that." : "");
    } catch {
      this.tell("It can't be shown.");
    }
  }

  /** Say something of the photograph: in its place, or below it where one is shown. @param {string} text */
  tell(text) {
    fill(this.state, this.picture.hidden ? text : "");
    fill(this.note, this.picture.hidden ? "" : text);
  }

  async take() {
    const [file] = this.file.files ?? [];
    const key = this.key;
    if (!file) return;
    if (!this.name && photographCount(this.session.job) >= MOST_PHOTOGRAPHS) {
      this.tell(`This job has ${MOST_PHOTOGRAPHS} photographs: a record holds no more.`);
      return;
    }
    this.tell("Making it smaller");
    try {
      const jpeg = await jpegOf(file);
      if (key === this.key) await this.put(await photographs.keep(jpeg));
    } catch {
      this.tell("This browser can't read that picture. Take it as JPEG.");
    }
    this.file.value = "";
  }

  /** Have another photograph in place of the one that is there. @param {string} name "" for none */
  async put(name) {
    const before = this.name;
    this.session.change((job) => {
      const remark = remarkAt(job, this.key);
      if (remark) job.remarks[this.key] = { ...remark, picture: name };
    });
    if (before) await photographs.drop(before);
  }
}
