// News of the program, for every tab of a browser. A browser has six connections to a server for all its tabs together: one
// tab in sight listens and passes on what it hears, in its order. Which one is settled by a lock (W3C, Web Locks API): when
// that tab goes, or goes out of sight, the next one in the row listens.
//
// What is told before a tab is among those that hear goes by it, as does what is told while none listens. So whoever listens
// tells all to ask again once the stream is open, and the tab that greets it once it is heard.

const NEWS = "listen.news";
const listeners = new Set();
const stream = { source: null };
let channel = null, letGo = null;

export function onNews(listener) {
  listeners.add(listener);
  if (!channel) begin();
  return () => listeners.delete(listener);
}

function begin() {
  const name = crypto.randomUUID();
  const hear = ({ hello, to, ...news }) => {
    if (hello) { if (stream.source?.readyState === EventSource.OPEN) channel.postMessage({ again: true, to: hello }); }
    else if (!document.hidden && (!to || to === name)) spread(news);
  };
  const listenWhileSeen = () => {
    letGo?.();
    letGo = document.hidden ? null : lineUp();
    if (!document.hidden) channel.postMessage({ hello: name });
  };
  channel = new BroadcastChannel(NEWS);
  channel.onmessage = ({ data }) => hear(data);
  document.addEventListener("visibilitychange", listenWhileSeen);
  listenWhileSeen();
}

// Wait for one's turn, and listen until one lets go.
function lineUp() {
  const turn = new AbortController();
  const over = new Promise((done) => { turn.signal.onabort = done; });
  navigator.locks.request(NEWS, { signal: turn.signal }, async () => {
    const source = stream.source = new EventSource("/api/news");
    source.onopen = () => tell({ again: true });
    source.onmessage = (event) => tell(JSON.parse(event.data));
    await over;
    source.close();
  }).catch(() => {}); // let go before it came
  return () => turn.abort();
}

function tell(news) {
  channel.postMessage(news);
  spread(news);
}

function spread(news) {
  for (const listener of listeners) listener(news);
}
