// Keeps the site for use without a connection. Each folder with an offline.json is kept whole: a new version is taken
// only when every file of it has arrived with its digest, so that a page and its data are always of one piece.

const LISTS = "lists";
const SOUNDS = "sounds";
const AT_ONCE = 4;

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

self.addEventListener("message", (event) => {
  const { keep, sounds } = event.data ?? {};
  if (keep) event.waitUntil(keepFolder(keep));
  if (sounds) event.waitUntil(keepSounds(sounds));
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method !== "GET" || new URL(request.url).origin !== location.origin) return;
  event.respondWith(answer(request));
});

/** The kept file where there is one, else the network. @param {Request} request */
async function answer(request) {
  const url = plainUrl(request.url);
  const kept = await find(url);
  if (kept) return kept;
  return fetch(request);
}

/** @param {string} url */
async function find(url) {
  const lists = await (await caches.open(LISTS)).keys();
  // The piece's own folder before the site's.
  const folders = lists.map((request) => folderOf(request.url)).sort((a, b) => b.length - a.length);
  for (const folder of folders.filter((each) => url.startsWith(each))) {
    const current = await currentCache(folder);
    const found = current && (await (await caches.open(current)).match(url));
    if (found) return found;
  }
  return (await caches.open(SOUNDS)).match(url);
}

/** A folder is answered by its index, and what stands after # or ? is nothing to a file. @param {string} address */
function plainUrl(address) {
  const url = new URL(address);
  return url.origin + url.pathname + (url.pathname.endsWith("/") ? "index.html" : "");
}

/** @param {string} list */
const folderOf = (list) => list.slice(0, list.lastIndexOf("/") + 1);

/** The name of the cache that holds a folder now. @param {string} folder */
async function currentCache(folder) {
  const list = await (await caches.open(LISTS)).match(folder + "offline.json");
  return list ? `${folder} ${await digest(await list.clone().arrayBuffer())}` : null;
}

/** @param {string} folder */
async function keepFolder(folder) {
  const response = await fetch(folder + "offline.json", { cache: "no-cache" }).catch(() => null);
  if (!response?.ok) return;
  const name = `${folder} ${await digest(await response.clone().arrayBuffer())}`;
  const before = await currentCache(folder);
  if (before === name) return;
  const { files } = await response.clone().json();
  const next = await caches.open(name);
  const old = before ? await caches.open(before) : null;
  const waiting = Object.entries(files);
  let whole = true;
  const take = async () => {
    for (let each = waiting.pop(); each && whole; each = waiting.pop()) {
      const url = new URL(each[0], folder).href;
      const file = (await unchanged(old, url, each[1])) ?? (await fetched(url, each[1]));
      if (file) await next.put(url, file);
      else whole = false;
    }
  };
  await Promise.all(Array.from({ length: AT_ONCE }, take));
  if (!whole) {
    // The site changed while it was fetched: the old version stays, the next visit tries again.
    await caches.delete(name);
    return;
  }
  await (await caches.open(LISTS)).put(folder + "offline.json", response);
  if (before) await caches.delete(before);
  for (const client of await self.clients.matchAll()) {
    client.postMessage({ about: before ? "newer" : "kept", folder });
  }
}

/** @param {Cache | null} old @param {string} url @param {string} wanted */
async function unchanged(old, url, wanted) {
  const file = await old?.match(url);
  return file && (await digest(await file.clone().arrayBuffer())) === wanted ? file : null;
}

/** @param {string} url @param {string} wanted */
async function fetched(url, wanted) {
  const file = await fetch(url, { cache: "no-cache" }).catch(() => null);
  return file?.ok && (await digest(await file.clone().arrayBuffer())) === wanted ? file : null;
}

/** @param {string[]} urls */
async function keepSounds(urls) {
  const cache = await caches.open(SOUNDS);
  for (const url of urls) {
    if (await cache.match(url)) continue;
    const file = await fetch(url).catch(() => null);
    if (file?.ok) await cache.put(url, file);
  }
  for (const client of await self.clients.matchAll()) client.postMessage({ about: "sounds" });
}

/** SHA-256 in hexadecimal. @param {ArrayBuffer} bytes */
async function digest(bytes) {
  const hash = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  return [...hash].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}
