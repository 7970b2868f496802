// The page: one view at a time, by the part of the address after #. A view is a module that shows itself and leaves.

import { listenToKeys, setKeys, showKeys } from "./keys.js";
import { make, notLoaded, say } from "./api.js";
import { listenToNews, onNews } from "./news.js";
import { VIEWS } from "./views/index.js";

const place = document.getElementById("view");
let leave = null;
let turn = 0;

async function show() {
  const path = location.hash.replace(/^#/, "") || "/";
  const view = VIEWS.find(({ path: pattern }) => pattern.test(path)) ?? VIEWS[0];
  const mine = ++turn;
  leave?.();
  leave = null;
  say(""); // of what was left
  setKeys([]);
  place.replaceChildren(make("p", { class: "quiet" }, "…"));
  document.body.className = `in-${view.name}`;
  for (const link of document.querySelectorAll(".rail a")) {
    if (link.dataset.view === (view.under ?? view.name)) link.setAttribute("aria-current", "page");
    else link.removeAttribute("aria-current");
  }
  const left = await showView(view, path, mine).catch((error) => notShown(error, view, mine));
  if (mine !== turn) { left?.(); return; }
  leave = left;
  if (!place.contains(document.activeElement) || document.activeElement === place) place.focus({ preventScroll: true });
}

async function showView(view, path, mine) {
  const module = await view.load().catch((error) => { if (error instanceof TypeError) return notLoaded(); throw error; });
  if (mine !== turn) return null;
  document.title = `${view.title} – listen`;
  return module.show(place, view.path.exec(path)?.groups ?? {});
}

// A view that cannot be shown says so: an address may have been cut off where it was copied, or what it shows is gone. It
// is tried again when something changed: it may have come, or have been checked.
function notShown(error, view, mine) {
  if (mine !== turn) return null;
  const why = error instanceof URIError ? "This address is broken: it may have been cut off." : `This cannot be shown: ${error.message}`;
  const { nav, home } = VIEWS.find(({ name }) => name === (view.under ?? view.name));
  document.title = "Not shown – listen";
  setKeys([]);
  place.replaceChildren(make("h1", {}, "Not shown"), make("p", { class: "note", role: "alert" }, why),
    make("p", {}, make("a", { href: `#${home}` }, `To ${nav}`)));
  return onNews(({ again, ended, changed, state }) => { if (again || ended || changed || state) show(); });
}

function fillRail() {
  const links = VIEWS.filter(({ nav }) => nav).map(({ name, nav, home }) =>
    make("a", { href: `#${home}`, "data-view": name }, nav));
  const keys = make("button", { type: "button", onclick: showKeys }, "Keys");
  document.querySelector(".rail").append(make("strong", { class: "mark" }, "listen"), ...links, keys);
}

// What is said can be closed, and one is where one was.
function listenToClose() {
  const close = document.querySelector("#said .close");
  let before = null;
  close.addEventListener("focus", (event) => { before = event.relatedTarget; });
  close.addEventListener("click", () => { say(""); (before?.isConnected ? before : place).focus({ preventScroll: true }); });
}

fillRail();
listenToClose();
listenToKeys();
listenToNews();
addEventListener("hashchange", show);
show();
