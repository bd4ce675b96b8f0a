// Answers the browser. Each open page belongs to one version, and gets nothing from another.

/** A page: the version it is held at, else the site as it is now, else the version kept here.
 * @param {FetchEvent} event @param {string} path @returns {Promise<Response>} */
async function answerPage(event, path) {
  const found = await pageFromVersions(event, path).catch(() => null);
  try {
    return found ?? (await fetch(event.request));
  } catch {
    return notHere(path);
  }
}

/** @param {FetchEvent} event @param {string} path @returns {Promise<Response | null>} */
async function pageFromVersions(event, path) {
  const notes = await readNotes();
  const held = await listOf(notes.holds[path]);
  if (held) {
    const answer = await fileOf(held, path, false);
    if (answer) return bound(event, held, answer);
  }
  const latest = await latestSoon((asked) => event.waitUntil(asked.then((list) => goOn(list))));
  if (latest) {
    const answer = await fileOf(latest, path, true);
    if (answer) return bound(event, latest, answer);
  }
  for (const version of [notes.current, notes.next]) {
    const list = await listOf(version);
    const answer = list && (await fileOf(list, path, false));
    if (answer) return bound(event, list, answer);
  }
  return null;
}

/** Bring a version that a page has asked for; its first files are those of the page itself. @param {SiteVersion | null} list */
async function goOn(list) {
  if (list) await bringIfNeeded(list, await readNotes());
}

/** Note that the page which is about to open belongs to a version.
 * @param {FetchEvent} event @param {SiteVersion} list @param {Response} answer */
async function bound(event, list, answer) {
  const id = event.resultingClientId;
  if (id) await changeNotes((notes) => belongs(notes, id, list));
  return answer;
}

/** Note the version of an open page, unless it has one. @param {WorkerNotes} notes @param {string} id @param {SiteVersion} list */
function belongs(notes, id, list) {
  notes.pages[id] ??= { version: list.version, at: Date.now() };
}

/** Any other file: of the version of the page that asks; the network, where the page has none.
 * @param {FetchEvent} event @param {string} path @returns {Promise<Response>} */
async function answerFile(event, path) {
  let list = null;
  try {
    const notes = await readNotes();
    list = await listOf(notes.pages[event.clientId]?.version);
    if (list && path in list.files) return (await fileOf(list, path, true)) ?? Response.error();
  } catch {
    // Nothing can be kept here: the network answers.
  }
  try {
    return await fetch(event.request);
  } catch {
    return (list ? null : await fileOfAny(path)) ?? Response.error();
  }
}

/** A file for a page that was opened before there was a version here. @param {string} path */
async function fileOfAny(path) {
  const notes = await readNotes();
  const list = await listOf(notes.next || notes.current);
  return list && fileOf(list, path, false);
}

/** A file of a version: as kept, else from the network if it may be, and then kept.
 * @param {SiteVersion} list @param {string} path @param {boolean} fromNetwork @returns {Promise<Response | null>} */
async function fileOf(list, path, fromNetwork) {
  const file = Object.hasOwn(list.files, path) && list.files[path];
  if (!file) return null;
  const kept = await keptFile(file[0]);
  if (kept || !fromNetwork) return kept ?? null;
  try {
    return await fetchFile(list, path);
  } catch {
    return null; // no room to keep it: the caller asks the network itself
  }
}

/** What stands in place of a page that is not kept here while there is no network. @param {string} path */
function notHere(path) {
  const home = new URL("./", self.registration.scope).pathname;
  const name = path.replace(/[&<>"]/g, " ");
  const text = `<!DOCTYPE html><html lang="en"><meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark"><title>Not on this device</title>
<link rel="stylesheet" href="${home}_static/bench.css">
<main><h1>This page is not on this device</h1>
<p>There is no network, and ${name} was not kept. Pages that were kept open as usual.</p>
<p><a href="${home}index.html">To the first page</a></p></main></html>`;
  return new Response(text, {
    status: 503,
    headers: { "Content-Type": "text/html; charset=utf-8" },
  });
}
