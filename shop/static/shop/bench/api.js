/** Talking to the shop's computer: the public API, with the device's own token and clock. */

import { kept } from "./db.js";

const ROOT = "/api/v1/";
const PATIENCE = 20000;

/** No answer, or none that the program gave: try again later. */
export class NoSignal extends Error {}

/** An answer that declines: `status`, and `problem` with its sentence in `detail`. */
export class Declined extends Error {
  constructor(status, problem) {
    super(problem.detail || `The workshop computer answered with error ${status}.`);
    this.status = status;
    this.problem = problem;
  }
}

/** A name that nothing else has; also where the browser gives no randomUUID. */
export function newName() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

/**
 * Ask by the right of `token`, else of who is at the phone; return {data, etag}. Throws NoSignal or Declined.
 * An answer that is not the API's, such as a guest network's sign-in page, is no signal.
 */
export async function ask(method, path, { body, photo, headers = {}, token, anonymous = false } = {}) {
  const own = anonymous ? null : token ?? (await kept("token"));
  const sent = { "Device-Time": new Date().toISOString(), Accept: "application/json", ...headers };
  if (own) sent.Authorization = `Token ${own}`;
  let content;
  if (photo) {
    content = new FormData();
    for (const [name, value] of Object.entries(body)) if (value !== null) content.append(name, value);
    content.append("photo", photo, "photo.jpg");
  } else if (body !== undefined) {
    content = JSON.stringify(body);
    sent["Content-Type"] = "application/json";
  }
  const answer = await fetched(ROOT + path, { method, headers: sent, body: content });
  const data = await dataOf(answer);
  if (answer.ok) return { data, etag: answer.headers.get("ETag") };
  if (answer.status >= 500 || answer.status === 408 || answer.status === 429) throw new NoSignal();
  throw new Declined(answer.status, data || {});
}

async function fetched(url, options) {
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), PATIENCE);
  try {
    return await fetch(url, { ...options, signal: stop.signal, credentials: "omit", cache: "no-store", redirect: "error" });
  } catch {
    throw new NoSignal();
  } finally {
    clearTimeout(timer);
  }
}

async function dataOf(answer) {
  if (answer.status === 204) return null;
  const type = answer.headers.get("Content-Type") || "";
  if (!type.includes("json")) throw new NoSignal();
  try {
    return await answer.json();
  } catch {
    throw new NoSignal();
  }
}

/** Return every row of a paged list, up to `most` rows, and how many there are. */
export async function rows(path, most = 2000) {
  const found = [];
  for (let page = 1; ; page++) {
    const { data } = await ask("GET", `${path}${path.includes("?") ? "&" : "?"}page_size=200&page=${page}`);
    found.push(...data.results);
    if (!data.next || found.length >= most) return { rows: found, count: data.count };
  }
}
