// What pages and worker say to each other. Nothing is taken from under a technician's hands: the
// worker tells that there is something newer, and the page asks.

const BETWEEN_TELLING = 250;
let toldAt = -BETWEEN_TELLING;

/** Do what a page asks; each answer is how things stand. @param {ExtendableMessageEvent} event */
async function heard(event) {
  const client = /** @type {Client | null} */ (event.source);
  const path = client && pathOf({ method: "GET", url: client.url });
  if (!path) return;
  const { kind, parts, shows } = /** @type {Partial<OfflineRequest>} */ (event.data ?? {});
  if (kind === "alive") return void event.ports[0]?.postMessage("alive");
  try {
    if (kind === "newest") return void event.ports[0]?.postMessage(await newestText(path));
    if (kind === "choose") await changeNotes((notes) => choose(notes, parts));
    if (kind === "hold") await hold(client, path);
    if (kind === "release") await release(path);
    event.ports[0]?.postMessage("done");
    await tell(client);
    if (kind === "choose") await bringChosen();
    else await lookForNew(client, [path, ...pathsIn(shows)]);
    if (kind === "hold") await hold(client, path);
    await tell(client);
  } catch (error) { // nothing can be kept, not even notes
    /** @type {OfflineReport} */
    const report = { kind: "state", trouble: isFull(error) ? "room" : "shut" };
    client.postMessage(report);
  }
}

/** The paths of what a page says that it shows. @param {unknown} shows */
function pathsIn(shows) {
  const urls = Array.isArray(shows) ? shows.filter((url) => typeof url === "string" && URL.canParse(url)) : [];
  return urls.map((url) => pathOf({ method: "GET", url })).filter((path) => path !== null);
}

/** Note which parts are wanted; until they are here, the version is not whole.
 * @param {WorkerNotes} notes @param {unknown} parts */
function choose(notes, parts) {
  notes.choice = Array.isArray(parts) ? parts.filter((part) => typeof part === "string") : null;
  notes.trouble = "unfinished";
}

/** Bring the parts just chosen: of the version kept here, where there is one. */
async function bringChosen() {
  await underWay;
  const notes = await readNotes();
  const list = (await askVersion().catch(() => null)) ?? (await listOf(notes.current));
  if (list) await bring(list);
}

/** Hold a page at its version while a job is done by it. @param {Client} client @param {string} path */
async function hold(client, path) {
  const notes = await readNotes();
  const list = await listOf(notes.pages[client.id]?.version || notes.current || notes.next);
  if (notes.holds[path] || !list || !Object.hasOwn(list.files, path)) return;
  if (!(await fileOf(list, path, true))) return;
  await changeNotes((now) => void (now.holds[path] ??= list.version));
}

/** The text of a page as it is in the newest version here, "" where it can't be had. @param {string} path */
async function newestText(path) {
  const list = await listOf((await readNotes()).current);
  const answer = list && (await fileOf(list, path, true).catch(() => null));
  return answer ? answer.text() : "";
}

/** @param {string} path */
async function release(path) {
  await changeNotes((notes) => void delete notes.holds[path]);
}

/** The room that the browser says the site has, in bytes; null where it does not say. @returns {Promise<OfflineRoom | null>} */
async function roomHere() {
  const { usage, quota } = (await self.navigator.storage?.estimate?.().catch(() => null)) ?? {};
  return usage === undefined || quota === undefined ? null : { used: usage, quota };
}

/** How things stand, for one page. @param {Client} client @returns {Promise<OfflineState>} */
async function stateFor(client) {
  const notes = await readNotes();
  const list = await listOf(notes.next || notes.current);
  const current = await listOf(notes.current);
  const path = pathOf({ method: "GET", url: client.url }) ?? "";
  const own = await listOf(notes.pages[client.id]?.version);
  const latest = current?.files[path];
  const here = Boolean(own?.files[path] && (await keptFile(own.files[path][0])));
  const newer = current && own && current.seen > own.seen && latest && latest[0] !== own.files[path]?.[0];
  return {
    kind: "state",
    ready: Boolean(current) && !notes.next && !progress && !notes.trouble,
    here,
    old: Boolean(current),
    trouble: progress ? "" : notes.trouble,
    progress,
    asks: list !== null && notes.choice === null && !isSmall(list),
    room: progress ? null : await roomHere(),
    parts: (list?.parts ?? []).map((part) => ({ id: part.id, name: part.name, stored: storedOf(part) })),
    wanted: list ? [...wantedParts(list, notes.choice)] : [],
    newer: Boolean(newer),
    revision: (newer && current.revisions[path]) || "",
    held: Boolean(notes.holds[path]),
    signedOut: notes.signedOut,
    compared: notes.compared,
    unreached,
  };
}

/** @param {Client} client */
async function tell(client) {
  client.postMessage(await stateFor(client));
}

async function tellAll() {
  for (const client of await self.clients.matchAll()) await tell(client);
}

/** Tell all pages how far the fetching is, a few times a second. */
async function tellNowAndThen() {
  if (performance.now() - toldAt < BETWEEN_TELLING) return;
  toldAt = performance.now();
  await tellAll();
}
