// Photographs of remarks: kept in this browser's IndexedDB, too large for what keeps the jobs. Where it is full or
// shut, the page's memory keeps them while it is open.

const DATABASE = "procedures-photographs";
const SHELF = "photographs";
const PATIENCE = 3_000;
const DAY = 24 * 60 * 60 * 1000;

/** After so many days a photograph that no job on this phone has is dropped. */
const UNUSED_DAYS = 30;

/** @returns {Promise<IDBDatabase>} */
function opened() {
  return new Promise((resolve, reject) => {
    const request = indexedDB.open(DATABASE, 1);
    request.onupgradeneeded = () => request.result.createObjectStore(SHELF);
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
    setTimeout(() => reject(new Error("no answer")), PATIENCE);
  });
}

/** @template T @param {IDBTransactionMode} mode @param {(shelf: IDBObjectStore) => IDBRequest<T>} act @returns {Promise<T>} */
async function onShelf(mode, act) {
  const database = await opened();
  try {
    return await new Promise((resolve, reject) => {
      const transaction = database.transaction(SHELF, mode);
      const request = act(transaction.objectStore(SHELF));
      transaction.oncomplete = () => resolve(request.result);
      transaction.onabort = () => reject(transaction.error);
    });
  } finally {
    database.close();
  }
}

class Photographs {
  constructor() {
    /** @type {Map<string, Uint8Array<ArrayBuffer>>} what the device did not take */
    this.held = new Map();
    window.addEventListener("beforeunload", (event) => {
      if (this.held.size) event.preventDefault();
    });
  }

  /** Keep a JPEG file and return its name: the time in base 36, then four signs by chance.
   * @param {Uint8Array<ArrayBuffer>} jpeg @returns {Promise<string>} */
  async keep(jpeg) {
    const chance = crypto.getRandomValues(new Uint32Array(1))[0] ?? 0;
    const name = `${Date.now().toString(36)}${(chance % 36 ** 4).toString(36).padStart(4, "0")}`;
    try {
      await onShelf("readwrite", (shelf) => shelf.put(jpeg.buffer, name));
    } catch {
      this.held.set(name, jpeg);
    }
    return name;
  }

  /** Whether a photograph lasts only as long as this page is open. @param {string} name */
  isHeld(name) {
    return this.held.has(name);
  }

  /** The JPEG file of that name, null where this phone has none. @param {string} name
   * @returns {Promise<Uint8Array<ArrayBuffer>|null>} */
  async get(name) {
    const held = this.held.get(name);
    if (held) return held;
    try {
      const found = await onShelf("readonly", (shelf) => shelf.get(name));
      return found instanceof ArrayBuffer ? new Uint8Array(found) : null;
    } catch {
      return null;
    }
  }

  /** @param {string} name */
  async drop(name) {
    this.held.delete(name);
    try {
      await onShelf("readwrite", (shelf) => shelf.delete(name));
    } catch {
      // nothing can be dropped where nothing can be kept
    }
  }

  /** Drop what has lain unused for long. @param {(name: string) => boolean} isUsed */
  async sweep(isUsed) {
    try {
      const names = (await onShelf("readonly", (shelf) => shelf.getAllKeys())).map(String);
      const old = names.filter((name) => Date.now() - parseInt(name.slice(0, -4), 36) > UNUSED_DAYS * DAY);
      for (const name of old) if (!isUsed(name)) await this.drop(name);
    } catch {
      // the next page that is opened tries again
    }
  }
}

export const photographs = new Photographs();
