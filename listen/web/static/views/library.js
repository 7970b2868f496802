// Recordings: bring one in, see how far each is, open one, throw one away and take it back.

import { ask, attempt, bringIn, make, RECORDING_FILES, say } from "../api.js";
import { clock } from "../clock.js";
import { setKeys } from "../keys.js";
import { onNews } from "../news.js";
import { recorderBox } from "../recorder.js";
import { damagedRow, ListWithThrown } from "../thrown.js";

const STATES = { waiting: "waits to be read", reading: "is being read", failed: "could not be read", stopped: "was stopped" };

export const thrown = new Map(); // recordings that were thrown away in this tab

export async function show(place) {
  const list = make("ul", { class: "takes" });
  const folder = make("code");
  const input = make("input", { type: "file", id: "file", multiple: true, accept: RECORDING_FILES });
  const recorder = recorderBox((blob, name) => bring([new File([blob], name)]));
  const drop = make("section", { class: "bring", "aria-label": "Bring a recording in" },
    make("h1", {}, "Bring a recording in"),
    make("p", {}, "Drop it anywhere here, choose a file, or record one. It stays on this machine."),
    make("div", { class: "row" }, make("label", { class: "button", for: "file" }, "Choose a file"), input, recorder.box),
    make("p", { class: "quiet" }, "One strum, or a part of up to an hour: WAV, AIFF, FLAC, OGG, Opus, MP3, M4A, AAC, MP4, MOV, 3GP, WebM or MKV."));
  const heard = new Map();
  let here = true, brought = 0;
  place.replaceChildren(drop, make("h2", {}, "Recordings"), list,
    make("p", { class: "quiet kept" }, "Kept in ", folder, ". listen page --library FOLDER keeps them elsewhere."));

  async function bring(files) {
    for (const file of files) {
      const path = `being brought in ${brought += 1}`;
      const bar = make("progress", { max: 1, value: 0, "aria-label": `Bringing ${file.name} in` });
      rows.stand(path, make("li", {}, make("span", { class: "name" }, file.name), bar));
      const take = await attempt(() => bringIn(file, file.name, (share) => { bar.value = share; }));
      rows.drop(path);
      if (take && !here) say(`${take.name} is kept among the recordings.`); // whoever went elsewhere stays there
      else if (take && files.length === 1) { location.hash = `#/take/${take.ident}`; return; }
    }
    if (here) rows.refresh();
  }

  const rows = new ListWithThrown(list, async () => {
    const library = await ask("/takes");
    folder.textContent = library.folder;
    return [...library.takes.map(row), ...library.damaged.map(damagedRow)];
  }, thrown);

  function row(take) {
    const told = heard.get(take.ident);
    const state = take.state === "reading" && told ? `${told.n_strokes} strums so far` : STATES[take.state];
    return make("li", { "data-path": `/takes/${take.ident}` },
      make("a", { class: "name", href: `#/take/${take.ident}` }, take.name),
      make("span", { class: "quiet" }, [take.duration_s && clock(take.duration_s), new Date(take.added_s * 1000).toLocaleString([], { dateStyle: "medium", timeStyle: "short" })].filter(Boolean).join(" · ")),
      state ? make("span", { class: `state ${take.state}` }, state + (take.message ? `: ${take.message}` : "")) : null,
      make("button", { type: "button", "aria-label": `Throw away: ${take.name}`, onclick: () => rows.throwAway(`/takes/${take.ident}`, take.name) }, "Throw away"));
  }

  input.addEventListener("change", () => { bring([...input.files]); input.value = ""; });
  const over = (event) => { event.preventDefault(); drop.classList.add("over"); };
  const out = () => drop.classList.remove("over");
  const dropped = (event) => { event.preventDefault(); out(); bring([...event.dataTransfer.files]); };
  document.addEventListener("dragover", over);
  document.addEventListener("dragleave", out);
  document.addEventListener("drop", dropped);
  const quiet = onNews((news) => {
    if (news.n_strokes !== undefined) heard.set(news.take, news);
    rows.refresh();
  });
  setKeys([
    { key: "o", shown: "O", does: "Choose a file", run: () => input.click() },
    { key: "r", shown: "R", does: "Record, and stop", run: () => recorder.toggle() },
  ]);
  await rows.refresh();
  return () => {
    here = false;
    quiet();
    recorder.leave();
    document.removeEventListener("dragover", over);
    document.removeEventListener("dragleave", out);
    document.removeEventListener("drop", dropped);
  };
}
