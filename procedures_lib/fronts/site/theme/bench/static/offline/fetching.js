// Brings what is missing of a version. The version before it serves until the new one is whole.

const AT_ONCE = 6;

/** @type {FetchProgress | null} null when none is under way */
let progress = null;
/** @type {Promise<void> | null} */
let underWay = null;

/** Fetch a file of a version and keep it; null when the network or the site is not as it should be.
 * @param {SiteVersion} list @param {string} path one of its files */
async function fetchFile(list, path) {
  const hash = list.files[path]?.[0] ?? "";
  let answer;
  try {
    answer = await fetch(new URL(encodeURI(path), self.registration.scope), { cache: "no-cache" });
  } catch {
    quietUntil = performance.now() + QUIET;
    return null;
  }
  if (isRefused(answer)) await noteAnswer(true);
  if (!answer.ok) return null;
  const type = answer.headers.get("Content-Type") ?? "application/octet-stream";
  const body = await answer.arrayBuffer().catch(() => null);
  if (body === null || (await hashOf(body)) !== hash) return null;
  await keepFile(hash, body, type);
  return new Response(body, { headers: { "Content-Type": type } });
}

/** Bring a version here, one call at a time; what was brought before is not fetched again. @param {SiteVersion} list */
function bring(list) {
  underWay ??= bringOne(list).finally(() => {
    underWay = null;
    progress = null;
  });
  return underWay;
}

/** @param {SiteVersion} list */
async function bringOne(list) {
  const notes = await changeNotes((now) => {
    now.next = now.current === list.version ? "" : list.version;
    now.trouble = "unfinished"; // should the browser stop the worker on the way
  });
  const hashes = await keptHashes();
  const wanted = await wantedFiles(list, notes, hashes);
  const missing = wanted.filter(([, file]) => !hashes.has(file[0]));
  const total = packedOf(wanted.map(([, file]) => file));
  progress = { done: total - packedOf(missing.map(([, file]) => file)), total };
  const trouble = await fetchAll(list, missing);
  await changeNotes((now) => {
    now.trouble = trouble;
    if (trouble) return;
    now.current = list.version;
    now.next = "";
  });
  if (!trouble) await forgetUnused();
  progress = null;
  await tellAll();
}

/** Fetch files, a few at a time, until one fails.
 * @param {SiteVersion} list @param {[string, VersionFile][]} missing @returns {Promise<OfflineTrouble>} what failed */
async function fetchAll(list, missing) {
  const queue = [...missing];
  /** @type {OfflineTrouble} */
  let trouble = "";
  const worker = async () => {
    for (let item = queue.shift(); item && !trouble; item = queue.shift()) {
      const [path, file] = item;
      try {
        if (!(await fetchFile(list, path))) trouble ||= "network";
      } catch {
        trouble = "room";
      }
      if (progress) progress.done += file[1];
      await tellNowAndThen();
    }
  };
  await Promise.all(Array.from({ length: AT_ONCE }, worker));
  return trouble;
}

/** Ask whether the site is another than the one kept here, and bring what is missing.
 * @param {Client} client @param {string[]} paths what the page is made of: kept first, whatever was chosen */
async function lookForNew(client, paths) {
  const list = await askVersion().catch((error) => {
    if (isFull(error)) throw error;
    return null; // no network
  });
  if (!list) return;
  // A page that was opened before the worker was there is of the site as it is now.
  const notes = await changeNotes((now) => belongs(now, client.id, list));
  const own = (await listOf(notes.pages[client.id]?.version)) ?? list;
  for (const path of paths) await fileOf(own, path, true);
  await bringIfNeeded(list, notes);
}

/** Bring a version unless it is here already, whole. @param {SiteVersion} list @param {WorkerNotes} notes */
async function bringIfNeeded(list, notes) {
  if (list.version !== notes.current || notes.trouble) await bring(list);
}
