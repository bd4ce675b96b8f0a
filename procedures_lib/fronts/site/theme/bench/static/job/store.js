// What a phone remembers. localStorage first; where that is full or blocked, the tab's own storage, and
// always the page's memory: nothing that was typed is lost while the page is open. What a tab alone has is put together
// with what other tabs write meanwhile, and goes where it lasts once there is room.

/** The tab's own is newer, if it has one. */
const STORAGES = /** @type {const} */ (["sessionStorage", "localStorage"]);
/** Before the key of the text that lasts, as it was when a tab went on alone. */
const BASE = "procedures-base:";

/** @param {"localStorage"|"sessionStorage"} name @returns {Storage|null} */
function storage(name) {
  try {
    return window[name];
  } catch {
    return null; // blocked by the browser's settings
  }
}

/** @param {"localStorage"|"sessionStorage"} name @param {string} key @returns {string|null} */
function textIn(name, key) {
  try {
    return storage(name)?.getItem(key) ?? null;
  } catch {
    return null;
  }
}

class Store {
  constructor() {
    /** @type {Map<string, string>} what no lasting storage took */
    this.held = new Map();
    /** @type {Map<string, string>} what lasted when no lasting storage took any more, where the tab's own is full too */
    this.bases = new Map();
    /** What a tab alone has, put together with what another tab has written since; the base is "" for nothing.
     * @type {(base: string, own: string, other: string) => string} */
    this.together = (_, own) => own;
    /** @type {Lasting|null} */
    this.promise = null;
    /** @type {Set<() => void>} */
    this.listeners = new Set();
    window.addEventListener("beforeunload", (event) => {
      const work = [...this.held.keys()].some((key) => key.startsWith("procedures-job:"));
      if (work) event.preventDefault();
    });
  }

  /** The text under a key, null for none. @param {string} key @returns {string|null} */
  get(key) {
    const own = this.own(key);
    const lasting = textIn("localStorage", key);
    if (own === null) return lasting;
    const base = this.bases.get(key) ?? textIn("sessionStorage", BASE + key) ?? "";
    return lasting === null || lasting === base ? own : this.together(base, own, lasting);
  }

  /** What this tab alone has under a key. @param {string} key */
  own(key) {
    return this.held.get(key) ?? textIn("sessionStorage", key);
  }

  /** Keep a text; tell how long it will last. @param {string} key @param {string} text @returns {Lasting} */
  set(key, text) {
    const before = this.held.size;
    const there = textIn("localStorage", key);
    const lasting = this.put(key, text);
    if (lasting === "page") this.held.set(key, text);
    else this.held.delete(key);
    if (lasting === "device") this.bases.delete(key);
    else this.stand(key, there ?? "");
    if (before !== this.held.size || lasting !== "device") this.listeners.forEach((tell) => tell());
    return lasting;
  }

  /** @param {string} key @param {string} text @returns {Lasting} */
  put(key, text) {
    try {
      const local = storage("localStorage");
      if (local) {
        local.setItem(key, text);
        for (const each of [key, BASE + key]) storage("sessionStorage")?.removeItem(each);
        return "device";
      }
    } catch {
      // full, or blocked
    }
    try {
      const session = storage("sessionStorage");
      session?.setItem(key, text);
      if (session?.getItem(key) === text) return "tab";
    } catch {
      // full, or blocked
    }
    return "page";
  }

  /** Remember what lasts while the tab goes on alone. @param {string} key @param {string} base */
  stand(key, base) {
    this.bases.set(key, base);
    try {
      storage("sessionStorage")?.setItem(BASE + key, base);
    } catch {
      // the page's memory has it
    }
  }

  /** Try again to keep what this tab alone has. */
  tryAgain() {
    for (const key of this.keys("")) {
      const text = this.own(key) === null || key.startsWith(BASE) ? null : this.get(key);
      if (text !== null) this.set(key, text);
    }
  }

  /** @param {string} key */
  remove(key) {
    this.held.delete(key);
    this.bases.delete(key);
    for (const name of STORAGES) {
      try {
        for (const each of [key, BASE + key]) storage(name)?.removeItem(each);
      } catch {
        // nothing can be removed where nothing can be kept
      }
    }
  }

  /** All keys that begin so, sorted. @param {string} prefix @returns {string[]} */
  keys(prefix) {
    const found = new Set([...this.held.keys()]);
    for (const name of STORAGES) {
      try {
        const kept = storage(name);
        for (let n = 0; n < (kept?.length ?? 0); n++) found.add(kept?.key(n) ?? "");
      } catch {
        // try the next
      }
    }
    return [...found].filter((key) => key.startsWith(prefix)).sort();
  }

  /** How long lasts what was written under a key last. @param {string} key @returns {Lasting} */
  lasting(key) {
    if (this.held.has(key)) return "page";
    return this.own(key) !== null || textIn("localStorage", key) === null ? "tab" : "device";
  }

  /** How long will last what is not written yet: tried once, with about as much as a job takes. @returns {Lasting} */
  outlook() {
    const key = "procedures-trial";
    if (!this.promise) {
      this.promise = this.put(key, "x".repeat(10_000));
      this.remove(key);
    }
    return this.promise;
  }

  /** Call back when another tab has changed a key, and with null when the page comes back as it was left.
   * @param {(key: string|null) => void} tell */
  onOtherTab(tell) {
    window.addEventListener("storage", (event) => {
      if (event.newValue === null) this.tryAgain(); // something has gone: there may be room
      tell(event.key);
    });
    window.addEventListener("pageshow", (event) => event.persisted && tell(null));
  }
}

export const store = new Store();
