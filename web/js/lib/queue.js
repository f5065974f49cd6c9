/**
 * What is recorded without a network: kept in this browser, in order, and sent when it is back.
 *
 * Every request has a key of its own, so that the service does it once even where its answer got
 * lost. What the service refuses stays in the list with its sentence until somebody decides;
 * nothing is dropped silently.
 */

import { ApiError, get, send } from "./api.js";
import { whatChanged } from "./changes.js";

const DATABASE = "ribstitch-unsent";
const SHELF = "requests";
const CHANNEL = "ribstitch-unsent";
const LOCK = "ribstitch-unsent";
const FIRST_WAIT_MS = 3_000;
const LONGEST_WAIT_MS = 60_000;

/**
 * @typedef {object} Unsent A request that waits.
 * @property {number} id Its place in the order.
 * @property {string} key
 * @property {number} project
 * @property {string} what "Done: Rivet the fin".
 * @property {string | null} task Which task's card shows it.
 * @property {string | null} state What the task will be, where that changes.
 * @property {string} at When it was recorded.
 * @property {string} by Who recorded it, and so sends it.
 * @property {number | null} [account] Their account, where people sign in: names can be alike.
 * @property {string} method
 * @property {string} path
 * @property {any} body JSON, or a file.
 * @property {Record<string, string>} [query]
 * @property {number} [version] Of the thing, as it was read.
 * @property {string} [refused] The sentence with which the service refused it.
 * @property {boolean} [isStale] Somebody else was quicker.
 */

/** @type {Set<() => void>} */
const listeners = new Set();
const others = new BroadcastChannel(CHANNEL);
let timer = 0;
let wait = FIRST_WAIT_MS;
let mustSignIn = false;
let me = null;
/** The one that is on its way. */
let sendingId = null;

/** Be told when the list changes, in this window or another one. @param {() => void} listener */
export function watchUnsent(listener) {
  listeners.add(listener);
}

/**
 * Begin to send what waits: now, when the network is back, and now and then.
 * @param {{name: string, account?: number | null}} person Who is here: what somebody else recorded waits for them.
 */
export function startSending(person) {
  me = person;
  others.addEventListener("message", () => listeners.forEach((listener) => listener()));
  addEventListener("online", () => sendAll());
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && sendAll());
  sendAll();
}

/** What waits for a project, in order. @param {number} project @returns {Promise<Unsent[]>} */
export async function unsent(project) {
  const all = await onShelf("readonly", (shelf) => shelf.getAll()).catch(keepsNothing);
  return all.filter((one) => one.project === project);
}

/** Some browsers keep nothing for a page: then it works with a network only. */
function keepsNothing(error) {
  console.warn(`Nothing is kept for times without a network: ${error}`);
  return [];
}

/** The person has to sign in before anything is sent. */
export function isSignInNeeded() {
  return mustSignIn;
}

/**
 * Send a request, or keep it until the network is back. What the service refuses at once is
 * thrown as ever.
 * @param {import("./sheet.js").Sheet} sheet
 * @param {Omit<Unsent, "id" | "key" | "at" | "by" | "project">} request
 * @returns {Promise<any>} The answer; null where it waits.
 */
export async function sendOrKeep({ project, person }, request) {
  me ??= person;
  const entry = { ...request, project: project.id, by: person.name, account: person.account, key: freshKey(), at: new Date().toISOString() };
  const waiting = await unsent(project.id);
  let unreached = null;
  if (!waiting.some((one) => isMine(one) && !one.refused)) {
    try {
      return await deliver(entry);
    } catch (error) {
      mustSignIn = isSignedOut(error);
      if (!mustSignIn && !isUnreached(error)) throw error;
      unreached = error;
    }
  }
  await onShelf("readwrite", (shelf) => shelf.add(entry)).catch((error) => {
    throw unreached ?? error;
  });
  tell();
  plan(0);
  return null;
}

/** Take back what was not sent yet. @param {number} id @returns {Promise<boolean>} False: something is just being sent. */
export async function takeBackUnsent(id) {
  const drop = async (isFree) => isFree && id !== sendingId && (await onShelf("readwrite", (shelf) => shelf.delete(id)), true);
  const isDropped = navigator.locks ? await navigator.locks.request(LOCK, { ifAvailable: true }, (lock) => drop(lock !== null)) : await drop(true);
  tell();
  return isDropped;
}

/** Put on top of what somebody else did. @param {Unsent} entry */
export async function sendOnTop(entry) {
  const { refused, isStale, ...again } = entry;
  if (again.version !== undefined) ({ version: again.version } = await get(again.path));
  await onShelf("readwrite", (shelf) => shelf.put({ ...again, key: freshKey() }));
  tell();
  await sendAll();
}

/** Send all that waits, in order; one window at a time. */
async function sendAll() {
  clearTimeout(timer);
  if (navigator.locks) await navigator.locks.request(LOCK, { ifAvailable: true }, (lock) => lock && sendInOrder());
  else await sendInOrder();
}

async function sendInOrder() {
  if (sendingId !== null) return;
  const stuck = new Set();
  for (;;) {
    const all = await onShelf("readonly", (shelf) => shelf.getAll()).catch(keepsNothing);
    for (const one of all) if (one.refused) stuck.add(one.path);
    const next = all.find((one) => isMine(one) && !one.refused && !(one.version && stuck.has(one.path)));
    if (!next) return;
    sendingId = next.id;
    try {
      const isThere = await tryOne(next);
      if (!isThere) return;
    } finally {
      sendingId = null;
    }
    tell();
  }
}

/** @returns {Promise<boolean>} Whether the service was reached. */
async function tryOne(entry) {
  try {
    const done = await deliver(entry);
    mustSignIn = false;
    wait = FIRST_WAIT_MS;
    await forget(entry, done);
  } catch (error) {
    mustSignIn = isSignedOut(error);
    if (mustSignIn || isUnreached(error)) {
      tell();
      plan(wait);
      wait = Math.min(wait * 2, LONGEST_WAIT_MS);
      return false;
    }
    if (!(error instanceof ApiError)) throw error;
    const refusal = { refused: error.isStale ? whatChanged(error) : error.message, isStale: error.isStale };
    await onShelf("readwrite", (shelf) => shelf.put({ ...entry, ...refusal }));
  }
  return true;
}

/** It is done. What waits for the same thing was recorded on top of it: it goes with the new version. */
async function forget(entry, done) {
  const all = await onShelf("readonly", (shelf) => shelf.getAll());
  const later = all.filter(({ id, path, version }) => id > entry.id && path === entry.path && version === entry.version);
  await onShelf("readwrite", (shelf) => {
    if (done?.version !== undefined) for (const one of later) shelf.put({ ...one, version: done.version });
    return shelf.delete(entry.id);
  });
}

function deliver({ method, path, body, query, version, key }) {
  return send(method, path, body, { query, version, key });
}

/** Whether it was recorded by who is here. @param {Unsent} entry */
export function isMine({ by, account }) {
  return account == null ? by === me.name : account === me.account;
}

function isSignedOut(error) {
  return error instanceof ApiError && error.isSignedOut;
}

/** There is no network, or the service is just starting or stopping. */
function isUnreached(error) {
  return error instanceof ApiError && (error.isOffline || error.status >= 502);
}

function plan(ms) {
  clearTimeout(timer);
  timer = setTimeout(sendAll, ms || wait);
}

function tell() {
  others.postMessage("changed");
  listeners.forEach((listener) => listener());
}

/** A name that no other request has; a plain http address has no random UUID. */
function freshKey() {
  const parts = crypto.getRandomValues(new Uint32Array(4));
  return [...parts].map((part) => part.toString(16).padStart(8, "0")).join("-");
}

/**
 * Do something in one transaction of this browser's database.
 * @param {IDBTransactionMode} mode @param {(shelf: IDBObjectStore) => IDBRequest} work
 */
async function onShelf(mode, work) {
  const database = await opened();
  const transaction = database.transaction(SHELF, mode);
  const request = work(transaction.objectStore(SHELF));
  await new Promise((resolve, reject) => {
    transaction.addEventListener("complete", resolve);
    transaction.addEventListener("abort", () => reject(transaction.error));
  });
  return request.result;
}

let opening = null;

function opened() {
  opening ??= new Promise((resolve, reject) => {
    const request = indexedDB.open(DATABASE, 1);
    request.addEventListener("upgradeneeded", () => request.result.createObjectStore(SHELF, { keyPath: "id", autoIncrement: true }));
    request.addEventListener("success", () => resolve(request.result));
    request.addEventListener("error", () => reject(request.error));
  });
  return opening;
}
