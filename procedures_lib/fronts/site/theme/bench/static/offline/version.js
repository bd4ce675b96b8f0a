// Versions: what one build of the site consists of, and what of it is wanted on this device.

const FORMAT = 1;
/** Up to so many bytes on the device the whole manual is kept without asking. */
const UNASKED = 12_000_000;
const GUIDE = "guide";
/** What a browser needs for a kept file beside its content, in bytes: measured, with its line in the list. */
const EACH = 540;
/** How long a page waits for a network that may not be there, in milliseconds. */
const PATIENCE = 1500;
/** How long a server may take to begin an answer before it counts as silent. */
const SILENCE = 8000;
/** How long the network is left alone after it did not answer. */
const QUIET = 15_000;

/** By the clock that nobody sets: performance.now(). */
let quietUntil = 0;
/** Whether the server did not answer when it was last asked, whatever the browser says of the network. */
let unreached = false;

/** A page that only a server answers: who opens it is asked to sign in. */
const SIGN_IN = "_static/sign-in.html";
/** So long a time of comparing is not written anew, in milliseconds. */
const MINUTE = 60_000;

/** The server gives nothing to who is not signed in. */
class SignInEnded extends Error {}

/** @param {{method: string, url: string}} request @returns {string | null} the path below the site that a request is for; null: leave it alone. */
function pathOf(request) {
  const scope = self.registration.scope;
  const url = new URL(request.url);
  const bare = url.origin + url.pathname;
  if (request.method !== "GET" || !bare.startsWith(scope)) return null;
  const path = decodeURI(bare.slice(scope.length));
  if (path.startsWith("offline/") || /^worker(-2)?\.js$/.test(path) || path === SIGN_IN) return null;
  return path === "" || path.endsWith("/") ? `${path}index.html` : path;
}

/** @type {Map<string, KeptVersion>} lists that were read, by version */
const lists = new Map();

/** @param {string | undefined} version @returns {Promise<KeptVersion | null>} its list, if it is kept here. */
async function listOf(version) {
  if (!version) return null;
  const list = lists.get(version) ?? /** @type {KeptVersion | null} */ (await readNote(version));
  if (list) lists.set(version, list);
  return list;
}

/** Keep a list, and when it was last seen to be that of the site: later than all before, also when the clock was set back.
 * @param {SiteVersion} list */
async function keepList(list) {
  const { seen } = await changeNotes((now) => void (now.seen = Math.max(Date.now(), now.seen + 1)));
  const stamped = { ...list, seen };
  await writeNote(list.version, stamped);
  lists.set(list.version, stamped);
  return stamped;
}

/** Whether an answer says that nobody is signed in. @param {Response} answer */
const isRefused = ({ status }) => status === 401 || status === 403;

/** Whether a page to sign in came in place of a list. @param {Response} answer */
function isLedAway({ type, ok, headers }) {
  return type === "opaqueredirect" || (ok && (headers.get("Content-Type") ?? "").startsWith("text/html"));
}

/** Note that the site was compared with what is here, or that nobody is signed in. @param {boolean} signedOut */
async function noteAnswer(signedOut) {
  await changeNotes((now) => {
    now.signedOut = signedOut;
    if (!signedOut && Math.abs(Date.now() - now.compared) > MINUTE) now.compared = Date.now();
  }).catch(() => undefined); // no room for it
}

/** An answer as the site gives it now; rejects when none has begun in time. @param {string} name @returns {Promise<Response>} */
async function askSite(name) {
  const given = new AbortController();
  const timer = setTimeout(() => given.abort(), SILENCE);
  const asked = { cache: /** @type {const} */ ("no-cache"), redirect: /** @type {const} */ ("manual"), signal: given.signal };
  return fetch(new URL(name, self.registration.scope), asked).finally(() => clearTimeout(timer));
}

/** @param {string} name @returns {Promise<unknown>} */
async function fetchJson(name) {
  const answer = await askSite(name);
  if (isRefused(answer) || isLedAway(answer)) throw new SignInEnded(name);
  if (!answer.ok) throw new Error(`${name}: ${answer.status}`);
  const read = await answer.json();
  if (read?.format !== FORMAT) throw new Error(`${name}: another format`);
  return read;
}

/**
 * Ask the site for its version, and have its list here.
 * @returns {Promise<KeptVersion | null>} null when the list was replaced meanwhile
 */
async function askVersion() {
  try {
    const found = await listNow();
    unreached = false;
    await noteAnswer(false);
    return found;
  } catch (error) {
    unreached = !(error instanceof SignInEnded) && !isFull(error);
    if (error instanceof SignInEnded) await noteAnswer(true);
    throw error;
  }
}

/** @returns {Promise<KeptVersion | null>} */
async function listNow() {
  const { version } = /** @type {{version: string}} */ (await fetchJson("offline/version.json"));
  const [kept, { current, next }] = [await listOf(version), await readNotes()];
  if (kept) return [current, next].includes(version) ? kept : keepList(kept);
  const list = /** @type {SiteVersion} */ (await fetchJson("offline/files.json"));
  return list.version === version ? keepList(list) : null;
}

/**
 * The list of the site as it is now, if the network says so soon; null if not.
 * @param {(list: Promise<KeptVersion | null>) => void} goOn told of an answer that takes longer
 * @returns {Promise<KeptVersion | null>}
 */
async function latestSoon(goOn) {
  if (!self.navigator.onLine || performance.now() < quietUntil) return null;
  const asked = askVersion().catch(() => {
    quietUntil = performance.now() + QUIET;
    return null;
  });
  /** @type {Promise<"late">} */
  const late = new Promise((resolve) => setTimeout(resolve, PATIENCE, "late"));
  const first = await Promise.race([asked, late]);
  goOn(asked);
  if (first !== "late") return first;
  quietUntil = performance.now() + QUIET;
  unreached = true;
  return null;
}

/** Whether a version is small enough to be kept whole without asking. @param {SiteVersion} list */
function isSmall(list) {
  return storedOf(list.all ?? { files: 0, packed: Infinity, size: Infinity }) <= UNASKED;
}

/** What files take on the device, in bytes. @param {FileTotal} total */
function storedOf({ files, packed, size }) {
  return (canPack ? packed : size ?? packed) + EACH * files;
}

/** @param {VersionFile[]} files */
function packedOf(files) {
  return files.reduce((sum, file) => sum + file[1] + EACH, 0);
}

/**
 * The numbers of the parts that are wanted whole; part 0 always is, the writers' guide when it is chosen.
 * @param {SiteVersion} list @param {string[] | null} choice @returns {Set<number>}
 */
function wantedParts(list, choice) {
  const all = list.parts.map((_, number) => number);
  if (choice === null) return new Set(isSmall(list) ? all.filter((n) => list.parts[n]?.id !== GUIDE) : [0]);
  return new Set(all.filter((n) => n === 0 || choice.includes(list.parts[n]?.id ?? "")));
}

/**
 * The files of a version that are wanted here: those of the parts chosen, and each page that was
 * kept before because it was opened.
 * @param {SiteVersion} list @param {WorkerNotes} notes @param {Set<string>} hashes of what is kept
 * @returns {Promise<[string, VersionFile][]>} by path, part 0 first
 */
async function wantedFiles(list, notes, hashes) {
  const parts = wantedParts(list, notes.choice);
  const before = (await listOf(notes.current))?.files ?? {};
  const wasKept = (/** @type {string} */ path) => hashes.has(before[path]?.[0] ?? "");
  const wanted = Object.entries(list.files).filter(
    ([path, [, , ...own]]) => own.some((n) => parts.has(n)) || wasKept(path),
  );
  return wanted.sort((one, other) => (one[1][2] ? 1 : 0) - (other[1][2] ? 1 : 0));
}
