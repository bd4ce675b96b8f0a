// A worker that is whole: where one gives no sign of life, a page takes the other of two files, if that is whole.
// An empty script is a worker for a browser, which installs it unasked.

const FILES = ["worker.js", "worker-2.js"];
/** The function and its hash, as the build writes them. */
const WHOLE = /\((function manualWorker[\s\S]*)\)\("([0-9a-f]+)"\); \}\s*$/;
/** How soon a worker that waits gives a sign of life, and one that works, in milliseconds. */
const SOON = 1000;
const PATIENCE = 5000;

/** Prove each worker of a registration, those that are there and those to come.
 * @param {ServiceWorkerRegistration} registration @param {ServiceWorkerContainer} workers @param {URL} root */
export function watch(registration, workers, root) {
  const follow = () => {
    const { installing } = registration;
    installing?.addEventListener("statechange", () => {
      if (installing.state === "installed") void prove(installing, SOON, workers, root);
    });
  };
  registration.addEventListener("updatefound", follow);
  follow();
  if (registration.waiting) void prove(registration.waiting, SOON, workers, root);
  if (registration.active) void prove(registration.active, PATIENCE, workers, root);
}

/** Register the first file that is whole. @param {ServiceWorkerContainer} workers @param {URL} root @param {string[]} files */
async function register(workers, root, files) {
  for (const name of files) {
    if (await isWhole(new URL(name, root))) return workers.register(new URL(name, root), { scope: root.pathname });
  }
  throw new Error("no worker is whole");
}

/** @param {URL} file */
async function isWhole(file) {
  const answer = await fetch(file, { cache: "no-cache" });
  const [, code, digits] = WHOLE.exec(answer.ok ? await answer.text() : "") ?? [];
  if (!code || !digits) return false;
  const hash = new Uint8Array(await crypto.subtle.digest("SHA-256", new TextEncoder().encode(code)));
  return Array.from(hash, (byte) => byte.toString(16).padStart(2, "0")).join("").startsWith(digits);
}

/** Put another worker in place of one that gives no sign of life. @param {ServiceWorker} worker
 * @param {number} patience @param {ServiceWorkerContainer} workers @param {URL} root */
async function prove(worker, patience, workers, root) {
  const { port1, port2 } = new MessageChannel();
  worker.postMessage({ kind: "alive" }, [port2]);
  const isAlive = await new Promise((resolve) => {
    port1.onmessage = () => resolve(true);
    setTimeout(resolve, patience, false);
  });
  port1.close();
  if (isAlive || worker.state === "redundant") return;
  const others = FILES.filter((name) => !worker.scriptURL.endsWith(`/${name}`));
  await register(workers, root, others).catch(() => undefined); // the page opened next tries again
}
