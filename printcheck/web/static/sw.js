// The page without a network: its own files, newest first, as they were when none is there.
const KEPT = "printcheck-page-1";
const FILES = [
  "/", "/?lang=en", "/?lang=de", "/static/page.css", "/static/icon.svg", "/static/manifest.json",
  ...["app", "dom", "words", "store", "photo", "guide", "server", "picture", "print", "mark", "project", "layout", "card", "compare"]
    .map((name) => `/static/${name}.js`),
];

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(KEPT).then((kept) => kept.addAll(FILES)).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  const old = caches.keys().then((names) => Promise.all(names.filter((n) => n !== KEPT).map((n) => caches.delete(n))));
  event.waitUntil(old.then(() => self.clients.claim()));
});

self.addEventListener("fetch", (event) => {
  const address = new URL(event.request.url);
  const ours = address.origin === location.origin && (address.pathname === "/" || address.pathname.startsWith("/static/"));
  if (event.request.method !== "GET" || !ours || address.searchParams.has("code")) return;
  event.respondWith(fresh(event.request));
});

async function fresh(request) {
  const kept = await caches.open(KEPT);
  try {
    const answer = await fetch(request);
    if (answer.ok) await kept.put(request, answer.clone());
    return answer;
  } catch {
    return (await kept.match(request)) || (await kept.match("/"));
  }
}
