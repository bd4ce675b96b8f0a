// The service worker: the whole manual without a network, and never a mixture of two builds.
//
// It is copied to the top of the site, so that it answers for every page. It is a classic script, as
// not every browser takes a worker made of modules; its parts share their names.
//
//   kept.js      files by the hash of their content, and what is remembered about versions
//   version.js   what a build of the site consists of, and which of it is wanted here
//   fetching.js  brings what is missing, and makes a version the current one when it is whole
//   answer.js    answers the browser's requests, each page from one version
//   talk.js      tells the open pages how things stand, and does what they ask

importScripts(
  "_static/offline/kept.js",
  "_static/offline/version.js",
  "_static/offline/fetching.js",
  "_static/offline/answer.js",
  "_static/offline/talk.js",
);

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

self.addEventListener("fetch", (event) => {
  const path = pathOf(event.request);
  if (path === null) return;
  const isPage = event.request.mode === "navigate";
  event.respondWith(isPage ? answerPage(event, path) : answerFile(event, path));
});

self.addEventListener("message", (event) => event.waitUntil(heard(event)));
