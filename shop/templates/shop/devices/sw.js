/* Keeps version {{ version }} of the bench page on the phone, so that it opens without signal. */

const CACHE = "gramil-bench-{{ version }}";
const SHELL = "/bench/";
const FILES = {{ files|safe }};
let opened;
const kept = (path) => (opened ||= caches.open(CACHE)).then((cache) => cache.match(path));

addEventListener("install", (event) => {
  const fresh = FILES.map((path) => new Request(path, { cache: "reload" }));
  event.waitUntil(caches.open(CACHE).then((cache) => cache.addAll(fresh)));
});

addEventListener("activate", (event) => {
  event.waitUntil(
    caches
      .keys()
      .then((names) => Promise.all(names.filter((name) => name.startsWith("gramil-bench-") && name !== CACHE).map((name) => caches.delete(name))))
      .then(() => clients.claim()),
  );
});

addEventListener("message", (event) => {
  if (event.data === "take over") skipWaiting();
});

addEventListener("fetch", (event) => {
  const { method, mode, url } = event.request;
  const { origin, pathname } = new URL(url);
  if (method !== "GET" || origin !== location.origin) return;
  const wanted = mode === "navigate" ? SHELL : FILES.includes(pathname) ? pathname : null;
  if (wanted) event.respondWith(kept(wanted).then((answer) => answer || fetch(event.request)));
});
