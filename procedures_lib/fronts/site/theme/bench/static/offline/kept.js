// Files kept by the hash of their content, and what is remembered: versions, choices, holds.

const FILES = "manual-files-1";
const NOTES = "manual-notes-1";
const HASH_DIGITS = 20;
/** How long a page may take to open, in milliseconds. */
const OPENING = 60_000;

/** What is kept is packed where the browser can: a page takes a tenth of the room. */
const PACKED = "X-Kept-Packed";
const canPack = typeof CompressionStream === "function";
/** Below so many bytes packing saves nothing. */
const TINY = 1000;

/** What a page that is held may show, whichever part it is in. */
const PICTURE = /\.(?:avif|jpe?g|png|svg|webp)$/;

/** @type {WorkerNotes} */
const BLANK = { current: "", next: "", choice: null, holds: {}, pages: {}, trouble: "", seen: 0, compared: 0, signedOut: false };

/** An address below the site that no server is ever asked for. @param {string} name */
const keptAt = (name) => new URL(`.kept/${name}`, self.registration.scope).href;

/** An answer as it is kept. @param {ArrayBuffer} body @param {string} type */
async function packed(body, type) {
  const headers = { "Content-Type": type };
  if (canPack && body.byteLength > TINY) {
    const stream = new Blob([body]).stream().pipeThrough(new CompressionStream("gzip"));
    const less = await new Response(stream).arrayBuffer();
    if (less.byteLength < body.byteLength) return new Response(less, { headers: { ...headers, [PACKED]: "gzip" } });
  }
  return new Response(body, { headers });
}

/** A kept answer as it was sent. @param {Response} kept */
function unpacked(kept) {
  if (!kept.body || !kept.headers.has(PACKED)) return kept;
  const type = kept.headers.get("Content-Type") ?? "";
  const stream = kept.body.pipeThrough(new DecompressionStream("gzip"));
  return new Response(stream, { headers: { "Content-Type": type } });
}

/** Read a kept value; null when it is not there. @param {string} name @returns {Promise<unknown>} */
async function readNote(name) {
  const found = await (await caches.open(NOTES)).match(keptAt(name));
  return found ? unpacked(found).json() : null;
}

/** @param {string} name @param {unknown} value */
async function writeNote(name, value) {
  const body = new TextEncoder().encode(JSON.stringify(value)).buffer;
  await (await caches.open(NOTES)).put(keptAt(name), await packed(body, "application/json"));
}

/** @type {WorkerNotes | null} as last read or written: no one else writes them */
let notesNow = null;

/** @returns {Promise<WorkerNotes>} */
async function readNotes() {
  notesNow ??= { ...structuredClone(BLANK), .../** @type {WorkerNotes | null} */ (await readNote("notes")) };
  return structuredClone(notesNow);
}

/** Changes follow one another: none is lost to another that began with the same notes. */
let lastChange = Promise.resolve();

/**
 * Change the notes.
 * @param {(notes: WorkerNotes) => void} change
 * @returns {Promise<WorkerNotes>} the notes as they are now
 */
function changeNotes(change) {
  const changed = lastChange.then(async () => {
    const notes = await readNotes();
    const before = JSON.stringify(notes);
    change(notes);
    if (JSON.stringify(notes) !== before) {
      await writeNote("notes", notes);
      notesNow = structuredClone(notes);
    }
    return notes;
  });
  lastChange = changed.then(() => undefined, () => undefined);
  return changed;
}

/** @param {string} hash @returns {Promise<Response | undefined>} a kept file. */
async function keptFile(hash) {
  const found = await (await caches.open(FILES)).match(keptAt(hash));
  return found && unpacked(found);
}

/** @returns {Promise<Set<string>>} the hashes of all kept files. */
async function keptHashes() {
  const keys = await (await caches.open(FILES)).keys();
  return new Set(keys.map((request) => request.url.slice(request.url.lastIndexOf("/") + 1)));
}

/** Keep a file; rejects when there is no room. @param {string} hash @param {ArrayBuffer} body @param {string} type */
async function keepFile(hash, body, type) {
  await (await caches.open(FILES)).put(keptAt(hash), await packed(body, type));
}

/** Whether an error says that there is no room left on the device. @param {unknown} error */
const isFull = (error) => Object(error).name === "QuotaExceededError";

/** The hash of a file's content, cut as in the list of files. @param {ArrayBuffer} body */
async function hashOf(body) {
  const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", body));
  const digits = Array.from(digest, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return digits.slice(0, HASH_DIGITS);
}

/** Forget the files that no version in use needs, and the lists of versions out of use. */
async function forgetUnused() {
  const notes = await readNotes();
  /** @type {Set<string>} */
  const needed = new Set();
  const whole = [notes.current, notes.next].filter(Boolean);
  for (const version of whole) addHashes(needed, await listOf(version), () => true);
  const isOpen = await openPages();
  const partly = Object.entries(notes.holds);
  for (const page of Object.entries(notes.pages)) {
    if (isOpen(page)) partly.push(["", page[1].version]);
  }
  for (const [path, version] of partly) {
    addHashes(needed, await listOf(version), (name, file) => name === path || file[2] === 0 || PICTURE.test(name));
  }
  const files = await caches.open(FILES);
  for (const hash of await keptHashes()) if (!needed.has(hash)) await files.delete(keptAt(hash));
  const versions = new Set([...whole, ...partly.map(([, version]) => version)]);
  await forgetLists(versions);
  await changeNotes((now) => {
    now.pages = Object.fromEntries(Object.entries(now.pages).filter(isOpen));
  });
}

/** What tells whether a page is open, or about to be: the browser does not name it then yet.
 * @returns {Promise<(page: [string, PageNote]) => boolean>} */
async function openPages() {
  const open = new Set((await self.clients.matchAll()).map((client) => client.id));
  return ([id, { at }]) => open.has(id) || Date.now() - at < OPENING;
}

/** @param {Set<string>} needed @param {SiteVersion | null} list @param {(name: string, file: VersionFile) => boolean} isWanted */
function addHashes(needed, list, isWanted) {
  for (const [name, file] of Object.entries(list?.files ?? {})) {
    if (isWanted(name, file)) needed.add(file[0]);
  }
}

/** @param {Set<string>} versions all but these */
async function forgetLists(versions) {
  const notes = await caches.open(NOTES);
  for (const request of await notes.keys()) {
    const name = request.url.slice(request.url.lastIndexOf("/") + 1);
    if (name === "notes" || versions.has(name)) continue;
    lists.delete(name);
    await notes.delete(request);
  }
}
