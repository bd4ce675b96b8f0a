// What a phone remembers. localStorage first; where that is full or blocked, the tab's own storage, and
// always the page's memory: nothing that was typed is lost while the page is open.

/** The tab's own is newer, if it has one. */
const STORAGES = /** @type {const} */ (["sessionStorage", "localStorage"]);

/** @param {"localStorage"|"sessionStorage"} name @returns {Storage|null} */
function storage(name) {
  try {
    return window[name];
  } catch {
    return null; // blocked by the browser's settings
  }
}

class Store {
  constructor() {
    /** @type {Map<string, string>} what no lasting storage took */
    this.held = new Map();
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
    if (this.held.has(key)) return this.held.get(key) ?? null;
    for (const name of STORAGES) {
      try {
        const found = storage(name)?.getItem(key);
        if (found !== null && found !== undefined) return found;
      } catch {
        // try the next
      }
    }
    return null;
  }

  /** Keep a text; tell how long it will last. @param {string} key @param {string} text @returns {Lasting} */
  set(key, text) {
    const before = this.held.size;
    const lasting = this.put(key, text);
    if (lasting === "page") this.held.set(key, text);
    else this.held.delete(key);
    if (before !== this.held.size || lasting !== "device") this.listeners.forEach((tell) => tell());
    return lasting;
  }

  /** @param {string} key @param {string} text @returns {Lasting} */
  put(key, text) {
    try {
      const local = storage("localStorage");
      if (local) {
        local.setItem(key, text);
        storage("sessionStorage")?.removeItem(key);
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

  /** @param {string} key */
  remove(key) {
    this.held.delete(key);
    for (const name of STORAGES) {
      try {
        storage(name)?.removeItem(key);
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

  /** How long lasts what was written under a key. @param {string} key @returns {Lasting} */
  lasting(key) {
    if (this.held.has(key)) return "page";
    try {
      return (storage("localStorage")?.getItem(key) ?? null) === null ? "tab" : "device";
    } catch {
      return "tab";
    }
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
    window.addEventListener("storage", (event) => tell(event.key));
    window.addEventListener("pageshow", (event) => event.persisted && tell(null));
  }
}

export const store = new Store();
