// Keys: each view brings its own; they are shown on request and can be turned off (WCAG 2.2, 2.1.4).

import { make } from "./api.js";

const OFF = "listen.keys.off";
let ofView = [], spaceTaken = false;
const always = [
  { key: "?", shown: "?", does: "Show the keys", run: () => showKeys() },
  { key: "g", shown: "G", does: "Go to the recordings", run: () => { location.hash = "#/"; } },
  { key: "n", shown: "N", does: "Go to the neck", run: () => { location.hash = "#/neck"; } },
];

export function setKeys(keys) {
  ofView = keys;
}

export function showKeys() {
  const dialog = document.getElementById("keys");
  const own = new Set(ofView.map(({ key }) => key)); // a view's own key goes first; one that does nothing now is not told
  const rows = [...ofView, ...always.filter(({ key }) => !own.has(key))].filter(({ does }) => does).map(({ shown, does }) =>
    make("div", {}, make("dt", {}, make("kbd", {}, shown)), make("dd", {}, does)));
  dialog.querySelector(".keymap").replaceChildren(make("dl", {}, ...rows));
  dialog.querySelector("#keys-on").checked = !localStorage.getItem(OFF);
  dialog.showModal();
}

export function listenToKeys() {
  document.getElementById("keys-on").addEventListener("change", (event) => {
    if (event.target.checked) localStorage.removeItem(OFF);
    else localStorage.setItem(OFF, "1");
  });
  document.addEventListener("keydown", (event) => {
    if (event.defaultPrevented || event.altKey || document.querySelector("dialog[open]")) return;
    const inField = event.target.matches("input:not([type=checkbox]):not([type=range]), textarea, select");
    if (inField) return;
    const ctrl = event.ctrlKey || event.metaKey;
    // Shift with a letter alone is another letter
    const held = (ctrl ? "Ctrl+" : "") + (event.shiftKey && (ctrl || event.key.length > 1) ? "Shift+" : "");
    const name = held + (ctrl && event.key.length === 1 ? event.key.toLowerCase() : event.key);
    const single = !held && event.key.length === 1;
    if (single && localStorage.getItem(OFF) && event.key !== "?") return;
    const onControl = event.target.closest("button, a, summary, input:not([type=range])");
    const ofBar = event.key === " " && event.target.matches("[data-plays] button"); // a bar is unfolded with Enter, played with Space
    if (onControl && !ofBar && (event.key === "Enter" || event.key === " ")) return;
    const found = [...ofView, ...always].find(({ key }) => key === name || key === name.toLowerCase());
    if (!found) return;
    event.preventDefault();
    spaceTaken = event.key === " ";
    if (!(spaceTaken && event.repeat)) found.run(event);
  });
  document.addEventListener("keyup", (event) => { // where a button is pressed as the key is let go
    if (event.key !== " ") return;
    if (spaceTaken) event.preventDefault();
    spaceTaken = false;
  });
}
