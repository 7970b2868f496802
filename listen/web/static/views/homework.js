// Homework: set a chart, open a class, throw one away and take it back.

import { ask, attempt, make } from "../api.js";
import { setKeys } from "../keys.js";
import { onNews } from "../news.js";
import { damagedRow, ListWithThrown } from "../thrown.js";

const DRAFT = "listen.homework.draft"; // a chart that is being written, until it is set
const thrown = new Map(); // what was thrown away here

export async function show(place) {
  const list = make("ul", { class: "takes" });
  const chart = make("textarea", { id: "chart", rows: 16, maxlength: 50000, spellcheck: "false", "aria-label": "Chart", oninput: () => sessionStorage.setItem(DRAFT, chart.value) });
  const file = make("input", { type: "file", id: "chart-file", accept: ".chart,.txt,.text,.md,text/plain" });
  const form = make("form", { class: "bring set-chart", onsubmit: (event) => { event.preventDefault(); set(); } },
    make("h1", {}, "Set homework"),
    make("p", {}, "Write what is to be played. Recordings are brought in afterwards; everything stays on this machine."),
    chart,
    make("div", { class: "row" }, make("button", {}, "Set it"),
      make("label", { class: "button", for: "chart-file" }, "Read a chart file"), file,
      make("span", { class: "quiet" }, "Bars stand between lines: | C | G/B | Am F |. A few chords do, too: C G Am F")));
  place.replaceChildren(make("h1", { class: "unseen" }, "Homework"), make("h2", {}, "Homework"), list, form);

  const set = () => attempt(async () => {
    const made = await ask("/homework", { method: "POST", body: { chart: chart.value } });
    sessionStorage.removeItem(DRAFT);
    location.hash = `#/homework/${made.ident}`;
  }, { field: chart });
  const rows = new ListWithThrown(list, async () => {
    const { homework, damaged } = await ask("/homework");
    return [...homework.map(row), ...damaged.map(damagedRow)];
  }, thrown);

  function row(one) {
    const path = `/homework/${one.ident}`, state = one.is_running ? "is being checked" : one.is_due ? "not all checked yet" : "";
    return make("li", { "data-path": path },
      make("a", { class: "name", href: `#${path}` }, one.title),
      make("span", { class: "quiet" }, `${one.n_students} student${one.n_students === 1 ? "" : "s"} · ${new Date(one.added_s * 1000).toLocaleDateString([], { dateStyle: "medium" })}`),
      state ? make("span", { class: "state" }, state) : null,
      make("button", { type: "button", "aria-label": `Throw away: ${one.title}`, onclick: () => rows.throwAway(path, one.title) }, "Throw away"));
  }

  const readFile = () => attempt(async () => {
    if (file.files[0]) chart.value = await file.files[0].text();
    file.value = "";
    sessionStorage.setItem(DRAFT, chart.value);
  });

  file.addEventListener("change", readFile);
  const quiet = onNews((news) => { if (news.again || (news.homework && (news.ended || news.changed))) rows.refresh(); });
  setKeys([{ key: "c", shown: "C", does: "Write a chart", run: () => chart.focus() }]);
  await rows.refresh();
  chart.value = sessionStorage.getItem(DRAFT) || (await ask("/homework/template")).chart;
  return quiet;
}
