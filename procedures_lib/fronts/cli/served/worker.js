// While the manual is written nothing is kept for later: a worker from a built site takes its leave.

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.registration.unregister()));
