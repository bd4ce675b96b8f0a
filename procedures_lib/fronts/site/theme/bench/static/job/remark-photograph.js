// The photograph of the remark that is open: taken, shown, taken away.

import { button, fill, make, saveFile } from "./dom.js";
import { drawInto, jpegOf } from "./jpeg.js";
import { photographs } from "./photographs.js";
import { MOST_PHOTOGRAPHS, photographCount, remarkAt } from "./remarks.js";
import { photographFile } from "./sending.js";

/** The longer side of the picture that is shown, in pixels. */
const SHOWN = 480;

const LEFT_OUT = "The photograph does not fit in a mail or an address: save it, and attach it.";

export class PhotographField {
  /** @param {import("./session.js").Session} session */
  constructor(session) {
    this.session = session;
    this.key = "";
    this.name = "";
    /** @type {Uint8Array<ArrayBuffer>|null} */
    this.jpeg = null;
    this.file = make("input", { type: "file", accept: "image/*", capture: "environment", onchange: () => void this.take() });
    this.word = make("span", {}, "Take a photograph");
    this.picture = make("canvas", { role: "img", "aria-label": "The photograph of this remark", hidden: true });
    this.remove = button("Remove the photograph", () => void this.put(""), "plain");
    this.save = button("Save the photograph", () => this.jpeg && saveFile(photographFile("remark", this.jpeg)), "plain");
    this.note = make("p", { class: "remark-note", role: "status" });
    this.element = make("div", { class: "remark-photograph" }, this.picture, make("label", { class: "remark-file" }, this.word, this.file), this.remove, this.save, this.note);
  }

  /** Show the photograph of a remark. @param {string} key @param {boolean} isSent whether it may have to be attached */
  async show(key, isSent) {
    const name = remarkAt(this.session.job, key)?.picture ?? "";
    if (key !== this.key || name !== this.name) {
      this.key = key;
      this.name = name;
      this.jpeg = null;
      this.picture.hidden = true;
      fill(this.note);
      if (name) await this.draw(name);
    }
    this.word.textContent = name ? "Take another photograph" : "Take a photograph";
    this.remove.hidden = !name;
    this.save.hidden = !(this.jpeg && isSent);
  }

  /** @param {string} name */
  async draw(name) {
    const jpeg = await photographs.get(name);
    if (name !== this.name) return;
    this.jpeg = jpeg;
    if (!jpeg) fill(this.note, "This phone does not have the photograph: it stayed where it was taken.");
    else if (photographs.isHeld(name)) fill(this.note, "This phone does not keep the photograph: it lasts until this page is left. Save the record before that.");
    else if (!this.save.hidden) fill(this.note, LEFT_OUT);
    try {
      if (jpeg) drawInto(this.picture, await createImageBitmap(new Blob([jpeg])), SHOWN);
      this.picture.hidden = !jpeg;
    } catch {
      fill(this.note, "The photograph can't be shown.");
    }
  }

  async take() {
    const [file] = this.file.files ?? [];
    const key = this.key;
    this.file.value = "";
    if (!file) return;
    if (!this.name && photographCount(this.session.job) >= MOST_PHOTOGRAPHS) {
      fill(this.note, `This job has ${MOST_PHOTOGRAPHS} photographs: a record holds no more.`);
      return;
    }
    fill(this.note, "Making the photograph smaller.");
    try {
      const jpeg = await jpegOf(file);
      if (key === this.key) await this.put(await photographs.keep(jpeg));
    } catch {
      fill(this.note, "This browser can't read that picture. Take it as JPEG.");
    }
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
