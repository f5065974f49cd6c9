/**
 * The only module that talks to the service: JSON both ways (and files on their way in), a time
 * limit, the edit version, and one typed error made from the service's problem details.
 */

import { t, told } from "./text.js";

const ROOT = "/api/v1";
const TIME_LIMIT_MS = 20_000;
const FILE_TIME_LIMIT_MS = 180_000;

/** A refusal or failure, as the service explained it. */
export class ApiError extends Error {
  /**
   * @param {number} status HTTP status; 0 when the service was not reached.
   * @param {Record<string, any>} problem Problem details (RFC 9457).
   */
  constructor(status, problem) {
    super(told(problem.detail || problem.title || "") || t`The service answered with status ${status}.`);
    this.name = "ApiError";
    this.status = status;
    this.problem = problem;
  }

  /** Somebody else changed the same thing first. */
  get isStale() {
    return this.status === 412;
  }

  /** Nobody is signed in (any more). */
  get isSignedOut() {
    return this.status === 401;
  }

  /** The service was not reached, or not in time. */
  get isOffline() {
    return this.status === 0;
  }
}

/**
 * @typedef {object} RequestOptions
 * @property {Record<string, any>} [query] Left out where undefined, null or "".
 * @property {number} [version] Edit version for If-Match.
 * @property {string} [key] Names the request, so that it is done once however often it is sent.
 * @property {AbortSignal} [signal]
 */

/** @param {string} path @param {RequestOptions} [options] @returns {Promise<any>} */
export function get(path, options) {
  return request("GET", path, undefined, options);
}

/** @param {string} path @param {any} body @param {RequestOptions} [options] @returns {Promise<any>} */
export function post(path, body, options) {
  return request("POST", path, body, options);
}

/** @param {string} path @param {any} body @param {RequestOptions} [options] @returns {Promise<any>} */
export function put(path, body, options) {
  return request("PUT", path, body, options);
}

/** @param {string} path @param {any} body @param {RequestOptions} [options] @returns {Promise<any>} */
export function patch(path, body, options) {
  return request("PATCH", path, body, options);
}

/** Send a file as it is. @param {string} path @param {File} file @param {RequestOptions} [options] @returns {Promise<any>} */
export function upload(path, file, options) {
  return request("POST", path, file, options);
}

/** @param {string} path @param {RequestOptions} [options] @returns {Promise<any>} */
export function remove(path, options) {
  return request("DELETE", path, undefined, options);
}

/**
 * Send what changes something, by the name of its method.
 * @param {string} method @param {string} path @param {any} body @param {RequestOptions} [options] @returns {Promise<any>}
 */
export function send(method, path, body, options) {
  return request(method, path, body, options);
}

/** Read a JSON file that the pages come with. @param {string} path @returns {Promise<any>} */
export async function asset(path) {
  const answer = await reach("GET", `/assets${path}`, { headers: { Accept: "application/json" } });
  if (!answer.ok) throw new ApiError(answer.status, { title: answer.statusText });
  return answer.json();
}

/** Address of an endpoint, for links that download. @param {string} path @param {Record<string, any>} [query] */
export function address(path, query = {}) {
  const filled = Object.entries(query).filter(([, value]) => value != null && value !== "");
  const search = new URLSearchParams(filled.map(([key, value]) => [key, String(value)]));
  return `${ROOT}${path}${search.size ? `?${search}` : ""}`;
}

/** How many changes are on their way. */
let changing = 0;

/** Whether this page waits for the answer to a change of its own. */
export function isChanging() {
  return changing > 0;
}

async function request(method, path, body, { query, version, key, signal } = {}) {
  const headers = { Accept: "application/json" };
  const isFile = body instanceof Blob;
  if (body !== undefined) headers["Content-Type"] = isFile ? body.type || "application/octet-stream" : "application/json";
  if (version !== undefined) headers["If-Match"] = `"${version}"`;
  if (key !== undefined) headers["Idempotency-Key"] = key;
  const isChange = method !== "GET";
  changing += isChange ? 1 : 0;
  try {
    const answer = await reach(method, address(path, query), { body, headers, signal });
    if (answer.status === 401 && !isChange) tell("signed-out", {});
    const content = await read(answer);
    if (isChange && content?.change !== undefined) tell("changed", { planVersion: content.plan_version });
    return content;
  } finally {
    changing -= isChange ? 1 : 0;
  }
}

async function reach(method, where, { body, headers, signal }) {
  const isFile = body instanceof Blob;
  const limit = AbortSignal.timeout(isFile ? FILE_TIME_LIMIT_MS : TIME_LIMIT_MS);
  try {
    return await fetch(where, {
      method,
      headers,
      body: body === undefined || isFile ? body : JSON.stringify(body),
      signal: signal ? AbortSignal.any([signal, limit]) : limit,
      credentials: "same-origin",
    });
  } catch (cause) {
    if (signal?.aborted) throw cause;
    throw new ApiError(0, { detail: unreached(limit.aborted) });
  }
}

function unreached(tooSlow) {
  return tooSlow
    ? t`The service did not answer in time. Nothing is lost: try again.`
    : t`The service cannot be reached. Check the network, then try again.`;
}

async function read(answer) {
  if (answer.status === 204) return null;
  const type = answer.headers.get("Content-Type") ?? "";
  if (answer.ok && type.startsWith("text/csv")) return answer.blob();
  tellIfKept(answer);
  const isJson = /[/+]json/.test(type);
  const content = isJson ? await answer.json() : { title: answer.statusText };
  if (!answer.ok) throw new ApiError(answer.status, content);
  return content;
}

/** Without a network the browser answers with what it kept: then the page says as of when. */
function tellIfKept(answer) {
  tell("answered", { keptAt: answer.headers.get("Ribstitch-Kept-At") });
}

function tell(what, detail) {
  document.dispatchEvent(new CustomEvent(what, { detail }));
}
