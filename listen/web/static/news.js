// News of the program, for every tab of a browser. A browser has six connections to a server for all its tabs together: one
// tab in sight listens and passes on what it hears, in its order. Which one is settled by a lock (W3C, Web Locks API): when
// that tab goes, or goes out of sight, the next one in the row listens.
//
// What is told before a tab is among those that hear goes by it, as does what is told while none listens. So whoever listens
// tells all to ask again once the stream is open, and the tab that greets it once it is heard.
//
// A program that was started anew has another token, and refuses the stream until its address was opened in this browser.

import { askWhy, NOT_LET_IN, say, unsay } from "./api.js";

const NEWS = "listen.news";
const TRY_AGAIN_MS = 2000;
const name = crypto.randomUUID();
const channel = new BroadcastChannel(NEWS);
const listeners = new Set();
let source = null, isRefused = false, later = 0, letGo = null;

export function onNews(listener) {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

export function listenToNews() {
  channel.onmessage = ({ data: { hello, to, ...news } }) => {
    if (hello) greet(hello);
    else if (!document.hidden && (!to || to === name)) spread(news);
  };
  document.addEventListener("visibilitychange", lineUpWhileSeen);
  lineUpWhileSeen();
}

function greet(to) {
  if (isRefused) channel.postMessage({ refused: true, to });
  else if (source?.readyState === EventSource.OPEN) channel.postMessage({ again: true, to });
}

function lineUpWhileSeen() {
  letGo?.();
  letGo = document.hidden ? null : lineUp();
  if (!document.hidden) channel.postMessage({ hello: name });
}

// Wait for one's turn, and listen until one lets go.
function lineUp() {
  const turn = new AbortController();
  const over = new Promise((done) => { turn.signal.onabort = done; });
  navigator.locks.request(NEWS, { signal: turn.signal }, async () => {
    listen();
    await over;
    source.close();
    clearTimeout(later);
    source = null;
    isRefused = false;
  }).catch(() => {}); // let go before it came
  return () => turn.abort();
}

function listen() {
  source = new EventSource("/api/news");
  source.onopen = () => { isRefused = false; tell({ again: true }); };
  source.onmessage = (event) => tell(JSON.parse(event.data));
  source.onerror = ({ target }) => { if (target.readyState === EventSource.CLOSED) tryAgain(target); };
}

// A stream that is refused does not say why, and is not tried again by the browser.
async function tryAgain(refused) {
  const why = await askWhy().then(() => null, (error) => error);
  if (source !== refused) return; // one let go meanwhile
  if (why?.status === 401 && !isRefused) { isRefused = true; tell({ refused: true }); }
  later = setTimeout(listen, TRY_AGAIN_MS);
}

function tell(news) {
  channel.postMessage(news);
  spread(news);
}

function spread(news) {
  if (news.refused) { say(NOT_LET_IN, { error: true }); return; }
  if (news.again) unsay(NOT_LET_IN);
  for (const listener of listeners) listener(news);
}
