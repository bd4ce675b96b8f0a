// The sheet over the page on which a remark is written: what was tapped is noted already, the rest may be added.

import { button, counted, fill, make, shownTime } from "./dom.js";
import { keyOf } from "./job.js";
import { photographs } from "./photographs.js";
import { PhotographField } from "./remark-photograph.js";
import { fitting, LONGEST, kindText, MOST_REMARKS, remarkAt } from "./remarks.js";
import { handOn, issueAddress, letterOf, mailAddress, waysOf } from "./sending.js";
import { store } from "./store.js";

/** @typedef {import("./session.js").Session} Session */

export class RemarkSheet {
  /** @param {Session} session */
  constructor(session) {
    this.session = session;
    this.ways = waysOf();
    this.key = "";
    /** @type {Step|null} */
    this.step = null;
    this.title = make("h2", { id: "remark-title" });
    this.noted = make("p", { role: "status" });
    this.text = make("textarea", { rows: 2, "aria-describedby": "remark-room", oninput: () => this.type() });
    this.room = make("p", { id: "remark-room" });
    this.photograph = new PhotographField(session);
    this.send = make("div", { class: "remark-send" });
    const done = button("Done", () => this.close());
    done.autofocus = true;
    this.writing = make("div", { class: "remark-writing" },
      make("div", { class: "remark-line" }, make("label", {}, make("span", {}, "In a line, if you want"), this.text), this.room), this.photograph.element, this.send);
    this.withdraw = button("Withdraw it", () => void this.drop(), "plain");
    this.element = make("dialog", { class: "remark-sheet", "aria-labelledby": "remark-title" },
      this.title, this.noted, this.writing, make("div", { class: "remark-end" }, this.withdraw, done));
    this.element.addEventListener("click", (event) => {
      if (event.target === this.element) this.close();
    });
    this.element.addEventListener("cancel", (event) => {
      event.preventDefault();
      this.close();
    });
    document.body.append(this.element);
    session.onChange(() => this.refresh());
  }

  /** Write on a remark. @param {string} key @param {Step|null} step null for one that is gone */
  open(key, step) {
    this.key = key;
    this.step = step;
    this.element.showModal();
    this.refresh();
  }

  /** Say why there is no remark. @param {Step} step */
  refuse(step) {
    this.open("", step);
    this.title.textContent = `Step ${step.number}`;
    fill(this.noted, `This job has ${MOST_REMARKS} remarks: a record holds no more. Save the record, and close the job.`);
  }

  type() {
    this.session.change((job) => {
      const remark = remarkAt(job, this.key);
      if (remark) job.remarks[this.key] = { ...remark, text: fitting(this.text.value) };
    });
    this.tellRoom();
  }

  /** How many characters of the remark on the screen are too many for a record. */
  get over() {
    return this.text.dataset.key === this.key ? Math.max(0, this.text.value.length - LONGEST) : 0;
  }

  /** Close, unless what is on the screen does not fit: it would be gone. */
  close() {
    if (!this.over) return this.element.close();
    this.text.focus();
    this.text.setSelectionRange(LONGEST, this.text.value.length);
  }

  tellRoom() {
    const { over } = this;
    this.room.textContent = over ? `${counted(over, "character")} too many: a record has room for ${LONGEST}. Shorten it; only its beginning is kept till then.`
      : `${counted(LONGEST - this.text.value.length, "character")} left`;
    this.text.setAttribute("aria-invalid", String(over > 0));
  }

  async drop() {
    const { picture = "" } = remarkAt(this.session.job, this.key) ?? {};
    this.session.change((job) => {
      delete job.remarks[this.key];
    });
    if (picture) await photographs.drop(picture);
  }

  /** Show the remark as it is kept; what is being typed is left alone. */
  refresh() {
    if (!this.element.open) return;
    const remark = remarkAt(this.session.job, this.key);
    this.writing.hidden = this.withdraw.hidden = !remark;
    if (!remark) {
      this.text.value = "";
      if (this.key) this.element.close();
      return;
    }
    this.title.textContent = `${this.step ? `Step ${this.step.number}` : "A step that is gone"}: ${kindText(remark.kind).toLowerCase()}`;
    fill(this.noted, `Noted ${shownTime(remark.at)}. ${this.lasting()}`);
    if (!this.over && (document.activeElement !== this.text || this.text.dataset.key !== this.key)) this.text.value = remark.text;
    this.text.dataset.key = this.key;
    this.tellRoom();
    void this.photograph.show(this.key);
    fill(this.send, ...this.sending(remark));
  }

  lasting() {
    const lasting = store.lasting(keyOf(this.session.job));
    if (lasting === "device") return "It stays with the job, and goes into its record.";
    return `This phone does not keep it: it lasts until ${lasting === "tab" ? "this tab is closed" : "this page is left"}. Send it, or save the record, before that.`;
  }

  /** The ways to send a remark at once, those that the shop names. @param {Remark} remark */
  sending(remark) {
    const { mail, issue, share } = this.ways;
    const letter = letterOf(this.session, this.step, remark);
    const parts = [];
    if (mail) parts.push(make("a", { href: mailAddress(mail, letter) }, "Mail it"));
    if (issue) parts.push(make("a", { href: issueAddress(issue, letter), target: "_blank", rel: "noopener noreferrer" }, "Open an issue"));
    const name = `remark-${this.session.page.id}-step-${this.step?.number ?? "gone"}-${remark.kind}`;
    if (share) parts.push(button("Share it", () => handOn(letter, name, this.photograph.jpeg), "plain"));
    const attach = mail || issue ? " A photograph has to be attached by hand." : "";
    return parts.length ? [make("p", {}, `Send it now, if you want.${attach}`), ...parts] : [];
  }
}
