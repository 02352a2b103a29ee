// Keeps the bench page and its files, so that a reload works while the network or the book is away.
// What answers over the network is always taken first; only the bench is kept, no other page.
const SHELF = 'stillroom-bench-1';
const FILES = [/* files */];
const PATIENCE_MS = 4000;

self.addEventListener('install', event => {
  event.waitUntil((async () => {
    const shelf = await caches.open(SHELF);
    await Promise.allSettled(FILES.map(file => shelf.add(file)));
    const page = await fetch('/bench', { credentials: 'same-origin' });
    if (page.ok) await shelf.put('/bench', page);
    await self.skipWaiting();
  })());
});

self.addEventListener('activate', event => {
  event.waitUntil((async () => {
    for (const name of await caches.keys()) if (name.startsWith('stillroom-bench') && name !== SHELF) await caches.delete(name);
    await self.clients.claim();
  })());
});

async function freshOrKept(request, keptAs) {
  const shelf = await caches.open(SHELF);
  const late = new Promise((_, fail) => setTimeout(() => fail(new Error('no answer')), PATIENCE_MS));
  try {
    const fresh = await Promise.race([fetch(request), late]);
    if (fresh.ok && !fresh.redirected) await shelf.put(keptAs, fresh.clone());
    return fresh;
  } catch (error) {
    // Files are asked for with a print of what is in them, and by modules without one.
    const kept = await shelf.match(keptAs) ?? await shelf.match(keptAs, { ignoreSearch: true });
    if (kept) return kept;
    throw error;
  }
}

self.addEventListener('fetch', event => {
  const { request } = event, { pathname, origin } = new URL(request.url);
  if (request.method !== 'GET' || origin !== self.location.origin) return;
  if (request.mode === 'navigate' && pathname === '/bench') event.respondWith(freshOrKept(request, '/bench'));
  else if (pathname.startsWith('/static/')) event.respondWith(freshOrKept(request, request.url));
});
