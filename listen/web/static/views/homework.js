// Homework: set a chart, open a class, throw one away and take it back.

import { ask, attempt, make, onNews, say } from "../api.js";
import { setKeys } from "../keys.js";

const DRAFT = "listen.homework.draft"; // a chart that is being written, until it is set
const gone = new Map(); // what was thrown away here: each row stays until it is used

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
      make("span", { class: "quiet" }, "Bars stand between lines: | C | G/B | Am F |")));
  place.replaceChildren(make("h1", { class: "unseen" }, "Homework"), make("h2", {}, "Homework"), list, form);

  const set = () => attempt(async () => {
    const made = await ask("/homework", { method: "POST", body: { chart: chart.value } });
    sessionStorage.removeItem(DRAFT);
    location.hash = `#/homework/${made.ident}`;
  });
  const refresh = () => attempt(async () => {
    const told = await ask("/homework");
    for (const { ident } of told) gone.delete(ident); // another tab may have taken it back
    const rows = [...[...gone.values()].map(goneRow), ...told.map(row)], on = document.activeElement;
    const wasOn = list.contains(on) ? on.closest("li").dataset.ident : null;
    list.replaceChildren(...(rows.length ? rows : [make("li", { class: "quiet" }, "None yet.")]));
    if (wasOn) focusOn(wasOn, on.localName);
  });
  const focusOn = (ident, what) => list.querySelector(`[data-ident="${ident}"] ${what}`)?.focus();

  function row(one) {
    const state = one.is_running ? "is being checked" : one.is_due ? "not all checked yet" : "";
    return make("li", { "data-ident": one.ident },
      make("a", { class: "name", href: `#/homework/${one.ident}` }, one.title),
      make("span", { class: "quiet" }, `${one.n_students} student${one.n_students === 1 ? "" : "s"} · ${new Date(one.added_s * 1000).toLocaleDateString([], { dateStyle: "medium" })}`),
      state ? make("span", { class: "state" }, state) : null,
      make("button", { type: "button", "aria-label": `Throw ${one.title} away`, onclick: () => throwAway(one) }, "Throw away"));
  }

  function goneRow(one) {
    const back = () => attempt(async () => {
      await ask(`/homework/${one.ident}/bring-back`, { method: "POST" });
      gone.delete(one.ident);
      await refresh();
      focusOn(one.ident, "a");
    });
    return make("li", { class: "gone", "data-ident": one.ident }, `${one.title} was thrown away. `, make("button", { type: "button", onclick: back }, "Take it back"));
  }

  const throwAway = (one) => attempt(async () => {
    await ask(`/homework/${one.ident}`, { method: "DELETE" });
    gone.set(one.ident, one);
    await refresh();
    focusOn(one.ident, "button");
    say(`${one.title} was thrown away.`);
  });

  const readFile = () => attempt(async () => {
    if (file.files[0]) chart.value = await file.files[0].text();
    file.value = "";
    sessionStorage.setItem(DRAFT, chart.value);
  });

  file.addEventListener("change", readFile);
  const quiet = onNews((news) => { if (news.again || (news.homework && (news.ended || news.changed))) refresh(); });
  setKeys([{ key: "c", shown: "C", does: "Write a chart", run: () => chart.focus() }]);
  await refresh();
  chart.value = sessionStorage.getItem(DRAFT) || (await ask("/homework/template")).chart;
  return quiet;
}
