/**
 * Today without a network: keeps the sheet, what it is made of and what it was last told.
 *
 * The network is always asked first. Only where it does not answer does what was kept stand in,
 * marked with the time at which it was true. Nothing that changes something is ever kept here:
 * that waits in the page's own list (js/lib/queue.js).
 *
 * The service writes the release into the first line below; a new release brings new files.
 */

const RELEASE = "unknown";
const FILES = `ribstitch-files-${RELEASE}`;
const ANSWERS = "ribstitch-answers";
const KEPT_AT = "Ribstitch-Kept-At";
const SHEET = "/today";
const NO_NETWORK = "/assets/no-network.html";
const WORDS = "/assets/words/glossary.json";
const FIRST_FILES = [SHEET, NO_NETWORK, WORDS];
/** A file that this release does not have any more. */
const GONE = 404;
/** Whoever comes next on this device does not see what was kept for who left. */
const SIGN_OUT = "/api/v1/sign-out";
/** What Today asks: who is looking, which projects, and of one project what stands on the sheet. */
const KEPT_ANSWERS = /^\/api\/v1\/(session|projects|projects\/\d+\/(today|title-block|airframe|drawings(\/[^/]+\/file)?))$/;

self.addEventListener("install", (event) => {
  event.waitUntil(takeIn());
});

self.addEventListener("activate", (event) => {
  event.waitUntil(takeOver());
});

/** A sheet tells which files it is made of, and what it asked before it was looked after. */
self.addEventListener("message", (event) => {
  const { keep, answers } = event.data ?? {};
  if (keep) event.waitUntil(Promise.all([keepFiles(keep), keepAnswers(answers)]));
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  if (pathname === SIGN_OUT) event.waitUntil(caches.delete(ANSWERS));
  if (request.method !== "GET" || origin !== self.location.origin) return;
  if (request.mode === "navigate") event.respondWith(sheet(request, pathname));
  else if (pathname.startsWith("/assets/")) event.respondWith(file(request));
  else if (KEPT_ANSWERS.test(pathname)) event.respondWith(answer(request));
});

/**
 * The files of the release before this one, read anew; where that fails, that release stays. This
 * one takes over once no page of the other is open: a page that is drawn anew without a network in
 * the middle of a change would wait for ever.
 */
async function takeIn() {
  const wanted = new Set(FIRST_FILES);
  for (const name of await olderFiles()) {
    const older = await caches.open(name);
    for (const { url } of await older.keys()) wanted.add(new URL(url).pathname);
  }
  await keepFiles([...wanted]);
}

async function takeOver() {
  await Promise.all((await olderFiles()).map((name) => caches.delete(name)));
  await self.clients.claim();
}

async function olderFiles() {
  const names = await caches.keys();
  return names.filter((name) => name.startsWith("ribstitch-files-") && name !== FILES);
}

async function keepFiles(paths) {
  const kept = await caches.open(FILES);
  const keep = async (path) => {
    if (await kept.match(path)) return;
    const found = await fetch(path, { cache: "no-cache" });
    if (found.ok) await kept.put(path, found);
    else if (found.status !== GONE) throw new Error(`${path}: ${found.status}`);
  };
  await Promise.all(paths.map(keep));
}

async function keepAnswers(addresses) {
  const kept = await caches.open(ANSWERS);
  const wanted = addresses.filter((one) => KEPT_ANSWERS.test(new URL(one).pathname));
  await Promise.all(wanted.map(async (one) => (await kept.match(one)) || answer(new Request(one))));
}

async function sheet(request, pathname) {
  try {
    return await fetch(request);
  } catch {
    const kept = await caches.open(FILES);
    return (await kept.match(pathname === SHEET || pathname === "/" ? SHEET : NO_NETWORK)) ?? Response.error();
  }
}

async function file(request) {
  try {
    return await fetch(request);
  } catch {
    const kept = await caches.open(FILES);
    return (await kept.match(request, { ignoreSearch: true })) ?? Response.error();
  }
}

async function answer(request) {
  const kept = await caches.open(ANSWERS);
  try {
    const found = await fetch(request);
    if (found.ok) await kept.put(request.url, await dated(found.clone()));
    if (found.status === 401) await caches.delete(ANSWERS);
    return found;
  } catch {
    return (await kept.match(request.url)) ?? Response.error();
  }
}

/** An answer with the time at which it was given. */
async function dated(found) {
  const headers = new Headers(found.headers);
  headers.set(KEPT_AT, new Date().toISOString());
  return new Response(await found.blob(), { status: found.status, headers });
}
