/* Keeps a lesson for later: what is named above with the first visit, the rest when it is opened. */

const CACHE = `porchswing ${VERSION}`;

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(CACHE).then((cache) => cache.addAll(NAMES)).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  event.waitUntil(caches.keys().then((names) => Promise.all(
    names.filter((name) => name.startsWith("porchswing ") && name !== CACHE).map((name) => caches.delete(name)),
  )).then(() => self.clients.claim()));
});

/** A part of a kept file, as players ask for it. */
async function part(response, range) {
  const [, first, last] = /^bytes=(\d+)-(\d*)$/.exec(range) || [];
  if (first === undefined) return response;
  const body = await response.arrayBuffer();
  const from = Number(first);
  const to = last ? Math.min(Number(last), body.byteLength - 1) : body.byteLength - 1;
  if (from > to) return new Response(null, { status: 416 });
  return new Response(body.slice(from, to + 1), {
    status: 206,
    headers: {
      "Content-Range": `bytes ${from}-${to}/${body.byteLength}`,
      "Content-Length": String(to - from + 1),
      "Content-Type": response.headers.get("Content-Type") || "application/octet-stream",
    },
  });
}

async function answer(request) {
  const cache = await caches.open(CACHE);
  const address = request.url.split("#")[0];
  const range = request.headers.get("Range");
  let kept = await cache.match(address);
  if (!kept) {
    const fetched = await fetch(range ? address : request);
    if (!fetched.ok || fetched.status === 206) return fetched;
    await cache.put(address, fetched.clone());
    kept = fetched;
  }
  return range ? part(kept, range) : kept;
}

self.addEventListener("fetch", (event) => {
  const isOurs = event.request.url.startsWith(self.registration.scope);
  if (event.request.method === "GET" && isOurs) event.respondWith(answer(event.request));
});
