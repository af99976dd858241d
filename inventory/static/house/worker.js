// The service worker. It keeps static files and one page that names nobody; a page with
// a person in it is never kept. KNOWN = { version, shell, files } comes with /sw.js.

const KEPT = `dock-${self.KNOWN.version}`;

self.addEventListener("install", (event) => {
  const whole = [self.KNOWN.shell, ...self.KNOWN.files];
  event.waitUntil(caches.open(KEPT).then((cache) => cache.addAll(whole)).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  const clear = (names) => Promise.all(names.filter((name) => name !== KEPT).map((name) => caches.delete(name)));
  event.waitUntil(caches.keys().then(clear).then(() => self.clients.claim()));
});

async function pageOrShell(request) {
  try {
    return await fetch(request);
  } catch (error) {
    // Back to a form that had come back with what was wrong: no browser sends it again by
    // itself. The form is opened anew.
    const isBack = request.method === "POST" && request.isHistoryNavigation;
    const fresh = isBack && (await fetch(request.url, { redirect: "manual" }).catch(() => null));
    if (fresh) return fresh;
    const shell = await caches.match(self.KNOWN.shell);
    if (shell) return shell;
    throw error;
  }
}

async function keptOrFetched(request) {
  return (await caches.match(request)) ?? fetch(request);
}

self.addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.mode === "navigate") event.respondWith(pageOrShell(request));
  else if (self.KNOWN.files.includes(new URL(request.url).pathname)) event.respondWith(keptOrFetched(request));
});
