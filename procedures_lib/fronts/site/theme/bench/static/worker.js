// The service worker: the whole manual without a network, and never a mixture of two builds.
//
// The build puts its parts together into one file at the top of the site, so that it answers for every page:
// one function, called with the hash of its own text. It is a classic script, as not every browser takes a
// worker made of modules; its parts share their names.
//
//   kept.js      files by the hash of their content, and what is remembered about versions
//   version.js   what a build of the site consists of, and which of it is wanted here
//   fetching.js  brings what is missing, and makes a version the current one when it is whole
//   answer.js    answers the browser's requests, each page from one version
//   talk.js      tells the open pages how things stand, and does what they ask

/** Fail unless this very script is what the build wrote: a damaged one does not take over. */
async function proveWhole() {
  const text = new TextEncoder().encode(manualWorker.toString());
  if ((await hashOf(text.buffer)) !== wholeHash) throw new Error("this worker is damaged");
}

self.addEventListener("install", (event) => event.waitUntil(proveWhole().then(() => self.skipWaiting())));
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

self.addEventListener("fetch", (event) => {
  const path = pathOf(event.request);
  if (path === null) return;
  const isPage = event.request.mode === "navigate";
  event.respondWith(isPage ? answerPage(event, path) : answerFile(event, path));
});

self.addEventListener("message", (event) => event.waitUntil(heard(event)));
