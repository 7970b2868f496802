// The head of a sheet: undo, print, take away, what holds for the whole part; and above it how far reading is.

import { ask, attempt, fetchAnswer, make } from "./api.js";
import { makeToldField } from "./told_field.js";

const FILES = [["html", "Sheet"], ["musicxml", "MusicXML"], ["mid", "MIDI"], ["txt", "Chart in text"], ["tab", "Tablature"],
  ["chart", "Chart to set as homework (.chart)"],
  ["csv", "Rows (CSV)"], ["lab", "Labels"], ["svg", "Shapes (SVG)"], ["wav", "On strings (WAV)"], ["json", "Part document"]];

const FIELDS = [["title", { text: "Title", hint: "", size: 20 }], ["tempo", { text: "Beats a minute", hint: "96" }], ["metre", { text: "Metre", hint: "4/4" }],
  ["key", { text: "Key", hint: "G major" }], ["capo", { text: "Capo at fret", hint: "0" }], ["tuning", { text: "Tuning", hint: "drop D", size: 14 }]];

export function makeHead(shown) {
  const { undone, redone, take, html, tempo_bpm: tempo } = shown.sheet;
  const ready = take.state === "read";
  const button = (text, run, extra = {}) => make("button", { type: "button", onclick: run, ...extra }, text);
  const row = make("div", { class: "row" },
    button("Undo", () => shown.step("undo"), { disabled: !ready || !undone, title: undone || "Nothing to undo" }),
    button("Redo", () => shown.step("redo"), { disabled: !ready || !redone, title: redone || "Nothing to redo" }),
    button("Print", () => print(), { disabled: !html }),
    html ? button("Set as homework", () => attempt(() => setHomework(shown.ident)), { disabled: !ready }) : "");
  if (!html) return row; // nothing to take away, nothing to put right
  const fields = FIELDS.map(([what, look]) => makeToldField(shown, what, look));
  row.append(
    make("details", { class: "away" }, make("summary", {}, "Take away"),
      make("ul", {}, ...FILES.map(([kind, text]) => make("li", {}, make("a", { href: `/api/takes/${shown.ident}/files/${kind}`, download: "" }, text))))),
    make("details", { class: "right", open: fields.some(({ dataset }) => "draft" in dataset) }, make("summary", {}, "Put right"),
      make("div", { class: "fields" },
        make("p", {}, button("Twice as fast", () => attempt(() => shown.change({ what: "tempo", value: "×2" })), { disabled: !tempo }), " ",
          button("Half as fast", () => attempt(() => shown.change({ what: "tempo", value: "÷2" })), { disabled: !tempo })),
        ...fields,
        make("p", { class: "quiet" }, "An empty field goes back to what was heard."))));
  return row;
}

// What was played is what is to be played: its chart, which can be changed where the class is.
async function setHomework(ident) {
  const answer = await fetchAnswer(`/api/takes/${ident}/files/chart`);
  const made = await ask("/homework", { method: "POST", body: { chart: await answer.text() } });
  location.hash = `#/homework/${made.ident}`;
}

export function makeProgress(shown, news) {
  const { take } = shown.sheet;
  const words = { waiting: "Waiting for its turn…", reading: "Listening…", failed: take.message, stopped: "Reading was stopped." }[take.state];
  if (!words) return [];
  const told = make("p", { role: "status", class: take.state }, news ? `Listening… ${news.n_strokes} strums so far` : words);
  const button = (text, what) => make("button", { type: "button", onclick: () => attempt(() => ask(`/takes/${shown.ident}/${what}`, { method: "POST" })) }, text);
  if (take.state !== "waiting" && take.state !== "reading") return [told, button("Read it again", "read")];
  const share = news && take.duration_s ? { max: 1, value: Math.min(1, news.heard_s / take.duration_s) } : {};
  return [told, make("progress", { ...share, "aria-label": "Reading" }), button("Stop", "stop")];
}
