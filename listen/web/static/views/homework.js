// Homework: set a chart, open a class, throw one away and take it back.

import { ask, attempt, make, onNews, say } from "../api.js";
import { setKeys } from "../keys.js";

export async function show(place) {
  const list = make("ul", { class: "takes" });
  const chart = make("textarea", { id: "chart", rows: 16, maxlength: 50000, spellcheck: "false", "aria-label": "Chart" });
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
    location.hash = `#/homework/${made.ident}`;
  });
  const refresh = () => attempt(async () => {
    const rows = (await ask("/homework")).map(row);
    list.replaceChildren(...(rows.length ? rows : [make("li", { class: "quiet" }, "None yet.")]));
  });

  function row(one) {
    const state = one.is_running ? "is being checked" : one.is_due ? "not all checked yet" : "";
    return make("li", {},
      make("a", { class: "name", href: `#/homework/${one.ident}` }, one.title),
      make("span", { class: "quiet" }, `${one.n_students} student${one.n_students === 1 ? "" : "s"} · ${new Date(one.added_s * 1000).toLocaleDateString([], { dateStyle: "medium" })}`),
      state ? make("span", { class: "state" }, state) : null,
      make("button", { type: "button", "aria-label": `Throw ${one.title} away`, onclick: () => throwAway(one) }, "Throw away"));
  }

  const throwAway = (one) => attempt(async () => {
    await ask(`/homework/${one.ident}`, { method: "DELETE" });
    await refresh();
    const back = make("button", { type: "button", onclick: () => attempt(async () => {
      await ask(`/homework/${one.ident}/bring-back`, { method: "POST" });
      await refresh();
    }) }, "Take it back");
    list.prepend(make("li", { class: "gone" }, `${one.title} was thrown away. `, back));
    back.focus();
    say(`${one.title} was thrown away.`);
  });

  file.addEventListener("change", () => attempt(async () => { if (file.files[0]) chart.value = await file.files[0].text(); file.value = ""; }));
  const quiet = onNews((news) => { if (news.homework && (news.ended || news.changed) && !list.querySelector(".gone")) refresh(); });
  setKeys([{ key: "c", shown: "C", does: "Write a chart", run: () => chart.focus() }]);
  await refresh();
  chart.value = (await ask("/homework/template")).chart;
  return quiet;
}
