// Keeps the site for use without a connection. Each folder with an offline.json is kept whole: a new version is taken
// only when every file of it has arrived with its digest, so that a page and its data are always of one piece. Files
// arrive in the order in which they are needed; what is broken off goes on where it was, and of a piece that was never
// whole serves what is there.

const LISTS = "lists";
const SOUNDS = "sounds";
const NOT_KEPT = "not-kept.html";
const BEGINS = /\/sounds\/begin\//;
const AT_ONCE = 4;
/** Of a hundred parts of a folder, how many arrive between two words about it. */
const TOLD_EACH = 5;

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

self.addEventListener("message", (event) => {
  const { keep, order, sounds } = event.data ?? {};
  if (keep) event.waitUntil(keepOnce(keep, order));
  if (sounds) event.waitUntil(keepSounds(sounds));
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method !== "GET" || new URL(request.url).origin !== location.origin) return;
  event.respondWith(answer(request));
});

/** The kept file where there is one, else the network, else what came of a piece before it was broken off. @param {Request} request */
async function answer(request) {
  const url = plainUrl(request.url);
  // A device that lets nothing be kept refuses the question too.
  const kept = await find(url).catch(() => undefined);
  if (kept) return kept;
  try {
    const response = await fetch(request);
    // A recording that the page has fetched need not be fetched once more to be kept.
    if (response.status === 200 && url.startsWith(`${self.registration.scope}sounds/`) && !BEGINS.test(url)) {
      const copy = response.clone();
      caches.open(SOUNDS).then((cache) => cache.put(url, copy)).catch(() => undefined);
    }
    return response;
  } catch (fault) {
    const part = await findPart(url).catch(() => undefined);
    if (part) return part;
    const page = self.registration.scope + NOT_KEPT;
    // Sent there, so that the links of the page lead where they should.
    if (request.mode === "navigate" && (await find(page).catch(() => undefined))) return Response.redirect(page);
    throw fault;
  }
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
  // A whole recording has its begin too.
  return (await caches.open(SOUNDS)).match(url.replace(BEGINS, "/sounds/"));
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

/** The file in a version that is still on its way, the one begun last. @param {string} url */
async function findPart(url) {
  const names = (await caches.keys()).reverse();
  const folders = names.filter((name) => name.includes(" ")).map((name) => name.split(" ")[0]);
  for (const folder of [...new Set(folders)].sort((a, b) => b.length - a.length)) {
    if (!url.startsWith(folder) || (await currentCache(folder))) continue;
    const newest = names.find((name) => name.startsWith(`${folder} `));
    const found = newest && (await (await caches.open(newest)).match(url));
    if (found) return found;
  }
}

/** Folders that are being kept. @type {Map<string, Promise<void>>} */
const running = new Map();

/** @param {string} folder @param {Order} [order] */
function keepOnce(folder, order) {
  const begun = running.get(folder) ?? keepFolder(folder, order).finally(() => running.delete(folder));
  running.set(folder, begun);
  return begun;
}

/** @typedef {{stages: string[], layout: string}} Order stages as they are needed, and the layout of this screen */

/**
 * The order in which files are needed: those of the whole piece and of the first stage, then stage after stage in the
 * layout of this screen, and other layouts after all of these.
 * @param {string[]} paths @param {Order} [order]
 */
function asNeeded(paths, { stages, layout } = { stages: [], layout: "" }) {
  /** @param {string} path */
  const rank = (path) => {
    const [, slug, drawn] = path.match(/^stages\/([^/]+)\/(?:([a-z]+)-\d+\.svg)?/) ?? [];
    const turn = slug === undefined ? 0 : (stages.indexOf(slug) + stages.length + 1) % (stages.length + 1);
    return turn + (drawn && layout && drawn !== layout ? stages.length + 1 : 0);
  };
  return [...paths].sort((a, b) => rank(a) - rank(b));
}

/** @param {string} folder @param {Order} [order] */
async function keepFolder(folder, order) {
  try {
    await keepVersion(folder, order);
  } catch (fault) {
    await tell({ about: "stopped", folder, why: /** @type {any} */ (fault)?.name === "QuotaExceededError" ? "full" : "line" });
  }
}

/** @param {string} folder @param {Order} [order] */
async function keepVersion(folder, order) {
  const response = await fetch(folder + "offline.json", { cache: "no-cache" });
  if (!response.ok) throw new Error(`${folder}: ${response.status}`);
  const name = `${folder} ${await digest(await response.clone().arrayBuffer())}`;
  const before = await currentCache(folder);
  if (before === name) {
    await tell({ about: "kept", folder });
    return;
  }
  const { files } = await response.clone().json();
  const next = await caches.open(name);
  const names = (await caches.keys()).filter((each) => each.startsWith(`${folder} `) && each !== name);
  const others = await Promise.all(names.map((each) => caches.open(each)));
  const waiting = asNeeded(Object.keys(files), order);
  const all = waiting.length;
  let done = 0;
  let bytes = 0;
  /** @type {unknown} */
  let fault = null;
  const take = async () => {
    for (let path = waiting.shift(); path !== undefined && !fault; path = waiting.shift()) {
      const url = new URL(path, folder).href;
      try {
        // What is in the next version has been looked at when it came.
        const there = await next.match(url);
        const file = there ?? (await unchanged(others, url, files[path])) ?? (await fetched(url, files[path]));
        bytes += (await file.clone().blob()).size;
        if (!there) await next.put(url, file);
      } catch (met) {
        fault ??= met;
        return;
      }
      done += 1;
      const told = Math.floor((100 * done) / all / TOLD_EACH) - Math.floor((100 * (done - 1)) / all / TOLD_EACH);
      if (told) await tell({ about: "progress", folder, done, all, bytes });
    }
  };
  await Promise.all(Array.from({ length: AT_ONCE }, take));
  // What has come stays, and the next visit goes on with it; the old version serves until the new one is whole.
  if (fault) throw fault;
  await (await caches.open(LISTS)).put(folder + "offline.json", response);
  for (const each of names) await caches.delete(each);
  await tell({ about: before ? "newer" : "kept", folder, bytes });
}

/** @param {object} news */
async function tell(news) {
  for (const client of await self.clients.matchAll()) client.postMessage(news);
}

/** @param {Cache[]} others @param {string} url @param {string} wanted */
async function unchanged(others, url, wanted) {
  for (const other of others) {
    const file = await other.match(url);
    if (file && (await digest(await file.clone().arrayBuffer())) === wanted) return file;
  }
  return undefined;
}

/** Rejects where it does not come, or is of another version than the list. @param {string} url @param {string} wanted */
async function fetched(url, wanted) {
  const file = await fetch(url, { cache: "no-cache" });
  if (!file.ok || (await digest(await file.clone().arrayBuffer())) !== wanted) throw new Error(`${url}: ${file.status}`);
  return file;
}

/** @param {string[]} urls in the order in which they are needed */
async function keepSounds(urls) {
  try {
    const cache = await caches.open(SOUNDS);
    for (const url of urls) {
      if (await cache.match(url)) continue;
      const file = await fetch(url).catch(() => null);
      if (file?.ok) await cache.put(url, file);
    }
  } catch {
    // No room for more: what is there sounds for its neighbours.
  }
  await tell({ about: "sounds" });
}

/** SHA-256 in hexadecimal. @param {ArrayBuffer} bytes */
async function digest(bytes) {
  const hash = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  return [...hash].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}
