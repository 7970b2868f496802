// The head of a sheet: undo, print, take away, what holds for the whole part; and above it how far reading is.

import { ask, attempt, fetchAnswer, make } from "./api.js";
import { makeToldField } from "./told_field.js";
import { thrown } from "./views/library.js";

const FILES = [["html", "Sheet"], ["musicxml", "MusicXML"], ["mid", "MIDI"], ["txt", "Chart in text"], ["tab", "Tablature"],
  ["chart", "Chart to set as homework (.chart)"], ["csv", "Table of all strums (CSV)"], ["lab", "Chords with their times (.lab)"],
  ["svg", "Shapes (SVG)"], ["wav", "The part on strings (WAV)"], ["json", "Part document, to go on with (JSON)"]];

const FIELDS = [["title", { text: "Title", size: 20 }], ["tempo", { text: "Beats a minute" }], ["metre", { text: "Metre" }],
  ["key", { text: "Key" }], ["capo", { text: "Capo at fret" }], ["tuning", { text: "Tuning", size: 14 }]];

export function makeHead(shown) {
  const { undone, redone, take, html, tempo_bpm: tempo, has_chords: hasChords } = shown.sheet;
  if (!html) return ""; // nothing to take away, nothing to put right
  const ready = take.state === "read";
  const button = (text, run, extra = {}) => make("button", { type: "button", onclick: run, ...extra }, text);
  const row = make("div", { class: "row" },
    button("Undo", () => shown.step("undo"), { disabled: !ready || !undone, title: undone || "Nothing to undo" }),
    button("Redo", () => shown.step("redo"), { disabled: !ready || !redone, title: redone || "Nothing to redo" }),
    button("Print", () => print()),
    button("Set as homework", () => attempt(() => setHomework(shown.ident)), { disabled: !ready || !hasChords, title: hasChords ? "" : "There is no chord to set" }));
  const fields = FIELDS.map(([what, look]) => makeToldField(shown, what, look));
  row.append(
    make("details", { class: "away" }, make("summary", {}, "Take away"),
      make("ul", {}, ...FILES.map(([kind, text]) => make("li", {}, make("a", { href: `/api/takes/${shown.ident}/files/${kind}`, download: "" }, text))))),
    make("details", { class: "right", open: fields.some(({ dataset }) => "draft" in dataset) }, make("summary", {}, "Put right"),
      make("div", { class: "fields" },
        make("p", {}, button("Count it twice as fast", () => attempt(() => shown.change({ what: "tempo", value: "×2" })), { disabled: !tempo }), " ",
          button("Count it half as fast", () => attempt(() => shown.change({ what: "tempo", value: "÷2" })), { disabled: !tempo })),
        ...fields,
        make("p", { class: "quiet" }, "In grey: what was heard. An emptied field goes back to that. For a left-handed player, or another reach of the hand: ", make("a", { href: "#/neck" }, "Neck"), "."))));
  return row;
}

// What was played is what is to be played: its chart, which can be changed where the class is.
async function setHomework(ident) {
  const answer = await fetchAnswer(`/api/takes/${ident}/files/chart`);
  const made = await ask("/homework", { method: "POST", body: { chart: await answer.text() } });
  location.hash = `#/homework/${made.ident}`;
}

function throwAway({ ident, sheet: { take } }) {
  const path = `/takes/${ident}`;
  const run = () => attempt(async () => {
    await ask(path, { method: "DELETE" });
    thrown.set(path, take.name); // among the recordings it can be taken back
    location.hash = "#/";
  });
  return make("button", { type: "button", onclick: run }, "Throw away");
}

export function makeProgress(shown, news) {
  const { take, damage } = shown.sheet;
  const button = (text, what) => make("button", { type: "button", onclick: () => attempt(() => ask(`/takes/${shown.ident}/${what}`, { method: "POST" })) }, text);
  if (damage) {
    return [make("p", { role: "status", class: "failed" }, damage), button("Restore it", "restore"), throwAway(shown),
      make("p", { class: "quiet" }, "It goes on from the last part that can be read, or is read anew. What cannot be read is put aside in its folder.")];
  }
  const words = { waiting: "Waiting for its turn…", reading: "Listening…", failed: take.message, stopped: "Reading was stopped." }[take.state];
  if (!words) return [];
  const told = make("p", { role: "status", class: take.state }, news ? `Listening… ${news.n_strokes} strums so far` : words);
  if (take.state !== "waiting" && take.state !== "reading") {
    const others = shown.sheet.html ? [] : [throwAway(shown), make("a", { class: "button", href: "#/" }, "Bring another in")];
    return [told, button("Read it again", "read"), ...others];
  }
  const share = news && take.duration_s ? { max: 1, value: Math.min(1, news.heard_s / take.duration_s) } : {};
  return [told, make("progress", { ...share, "aria-label": "Reading" }), button("Stop", "stop")];
}
