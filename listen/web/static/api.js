// Asking the server: JSON in and out, sounds and files, and every refusal as one sentence.

import { accept, refuse, say } from "./said.js";

export { say, unsay } from "./said.js";

export const NO_ANSWER = "The program does not answer: it may have been stopped. Start listen page again.";
export const NOT_LET_IN = "This browser is not let in: the program was started anew, or the page's cookie was deleted. "
  + "Open the address that the program printed, in this browser; then go on here.";

// As fetch, but every refusal, and a program that does not answer, is an error with one sentence of ours.
export async function fetchAnswer(address, options = {}) {
  let answer;
  try {
    answer = await fetch(address, options);
  } catch (error) {
    if (error.name === "AbortError") throw error;
    throw new Error(NO_ANSWER);
  }
  if (answer.ok) return answer;
  const told = await answer.json().catch(() => ({}));
  throw refusal(answer.status, told.error || "Something went wrong.");
}

// The page was let in once: whoever does not know it now has another token, or the browser's cookie is gone.
function refusal(status, words) {
  return Object.assign(new Error(status === 401 ? NOT_LET_IN : words), { status });
}

export async function ask(path, { method = "GET", body, signal } = {}) {
  const options = { method, signal, headers: {} };
  if (body !== undefined) {
    options.headers["Content-Type"] = "application/json";
    options.body = JSON.stringify(body);
  }
  const answer = await fetchAnswer(`/api${path}`, options);
  return answer.status === 204 ? null : answer.json().catch(() => ({}));
}

// What does not say why it did not come: the program was stopped, or does not let this browser in; otherwise nothing is thrown.
export async function askWhy() {
  await ask("/homework/template");
}

// A script that does not come.
export async function notLoaded() {
  await askWhy();
  throw new Error(NO_ANSWER);
}

const LONGEST_NAME = 120, KEPT_END = 30;

// A long name keeps its beginning, by which it is known, and its ending, which says what kind of file it is.
export function shorten(name) {
  const letters = [...name];
  if (letters.length <= LONGEST_NAME) return name;
  return [...letters.slice(0, LONGEST_NAME - KEPT_END - 1), "…", ...letters.slice(-KEPT_END)].join("");
}

// What a picker of files offers: by kind, and by the ending where a system knows no kind for it.
export const RECORDING_FILES = "audio/*,video/3gpp,video/mp4,video/quicktime,video/webm,video/x-matroska,"
  + ".3gp,.aac,.aif,.aiff,.flac,.m4a,.mka,.mkv,.mov,.mp3,.mp4,.oga,.ogg,.opus,.wav,.webm";

export function bringIn(file, name, onProgress, path = "/takes", more = {}) {
  // fetch cannot tell how far an upload is
  return new Promise((resolve, reject) => {
    const request = new XMLHttpRequest();
    request.open("POST", `/api${path}?${new URLSearchParams({ name: shorten(name), ...more })}`);
    request.responseType = "json";
    request.upload.onprogress = (event) => event.lengthComputable && onProgress?.(event.loaded / event.total);
    request.onload = () => request.status === 201 ? resolve(request.response)
      : reject(refusal(request.status, request.response?.error || "The recording could not be brought in."));
    request.onerror = () => reject(new Error(NO_ANSWER));
    request.send(file);
  });
}

// What goes wrong is said; where what stands in a field was refused, it is marked.
export async function attempt(work, { field = null } = {}) {
  try {
    const done = await work();
    if (field) accept(field);
    return done;
  } catch (error) {
    if (error.name === "AbortError") return undefined;
    say(error.message, { error: true, stays: error.message === NOT_LET_IN });
    if (field && isRefused(error)) refuse(field, error.message);
    return undefined;
  }
}

export function isRefused(error) {
  return error.status === 400 || error.status === 422;
}

export function make(name, attributes = {}, ...children) {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (key.startsWith("on")) element.addEventListener(key.slice(2), value);
    else if (value === true) element.setAttribute(key, "");
    else if (value !== false && value !== null && value !== undefined) element.setAttribute(key, value);
  }
  element.append(...children.filter((child) => child !== null && child !== undefined));
  return element;
}
