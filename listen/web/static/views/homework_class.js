// A class: a row a student, a column a bar; recordings come in here, and what was set can be changed.

import { ask, attempt, bringIn, make, onNews, say } from "../api.js";
import { setKeys } from "../keys.js";

const FILES = [["html", "Class page"], ["csv", "Table (CSV)"], ["json", "Check document"], ["sheet", "Sheet to hand out"], ["chart", "Chart"]];

export async function show(place, { ident }) {
  const view = new ClassView(place, ident);
  await view.begin();
  return () => view.leave();
}

class ClassView {
  constructor(place, ident) {
    Object.assign(this, { place, ident, told: null, alive: true });
    this.progress = make("div", { class: "listening screen", hidden: true });
    this.body = make("article", { class: "sheet homework" });
    this.input = make("input", { type: "file", id: "recordings", multiple: true, accept: "audio/*,video/mp4,video/webm,video/quicktime,.m4a,.flac,.opus" });
    this.drop = make("section", { class: "bring", "aria-label": "Bring recordings in" },
      make("p", {}, "Drop students’ recordings here: each file is named after its student."),
      make("div", { class: "row" }, make("label", { class: "button", for: "recordings" }, "Choose files"), this.input));
  }

  async begin() {
    this.place.replaceChildren(this.progress, this.body, this.drop);
    this.input.addEventListener("change", () => { this.bring([...this.input.files]); this.input.value = ""; });
    this.over = (event) => { event.preventDefault(); this.drop.classList.add("over"); };
    this.out = () => this.drop.classList.remove("over");
    this.dropped = (event) => { event.preventDefault(); this.out(); this.bring([...event.dataTransfer.files]); };
    document.addEventListener("dragover", this.over);
    document.addEventListener("dragleave", this.out);
    document.addEventListener("drop", this.dropped);
    this.quiet = onNews((news) => this.hearNews(news));
    setKeys([
      { key: "ArrowDown", shown: "↓", does: "Next student", run: () => this.step(1) },
      { key: "ArrowUp", shown: "↑", does: "Student before", run: () => this.step(-1) },
      { key: "Enter", shown: "Enter", does: "Open the student", run: () => (this.rows()[0])?.click() },
      { key: "o", shown: "O", does: "Bring recordings in", run: () => this.input.click() },
      { key: "c", shown: "C", does: "What was set", run: () => { const set = this.body.querySelector(".what"); if (set) { set.open = true; set.querySelector("textarea").focus(); } } },
    ]);
    await attempt(async () => {
      this.take(await ask(`/homework/${this.ident}`));
      await this.checkDue();
    });
  }

  leave() {
    this.alive = false;
    this.quiet?.();
    document.removeEventListener("dragover", this.over);
    document.removeEventListener("dragleave", this.out);
    document.removeEventListener("drop", this.dropped);
  }

  rows() {
    return [...this.body.querySelectorAll("tbody .who a")];
  }

  step(by) {
    const rows = this.rows(), at = rows.indexOf(document.activeElement);
    rows[Math.max(0, Math.min(rows.length - 1, at < 0 ? 0 : at + by))]?.focus();
  }

  async checkDue() {
    if (this.told.is_due && !this.told.is_running) this.take(await ask(`/homework/${this.ident}/check`, { method: "POST" }));
  }

  hearNews(news) {
    if (news.again) { attempt(async () => this.take(await ask(`/homework/${this.ident}`))); return; }
    if (news.homework !== this.ident) return;
    if (news.done !== undefined) this.showProgress(news);
    attempt(async () => {
      const told = await ask(`/homework/${this.ident}`);
      if (!this.alive) return;
      this.take(told, news.ended ? null : news);
      if (news.ended && news.message) say(news.message, { error: true });
      else if (news.ended && !news.stopped) await this.checkDue(); // recordings may have come meanwhile
    });
  }

  take(told, news = null) {
    const wasOn = this.rows().indexOf(document.activeElement);
    const writing = this.body.querySelector(".what[open] textarea");
    const kept = writing && writing.value !== this.told?.chart ? writing.value : null;
    this.told = told;
    const table = make("div");
    table.innerHTML = told.html; // made and escaped by the server's templates
    const chart = make("textarea", { rows: 14, maxlength: 50000, spellcheck: "false", "aria-label": "Chart" });
    chart.value = kept ?? told.chart;
    const change = (event) => {
      event.preventDefault();
      attempt(async () => {
        const answer = await ask(`/homework/${this.ident}/chart`, { method: "POST", body: { chart: chart.value, seen: told.chart } });
        this.take(answer);
        say("Set.");
        await this.checkDue();
      });
    };
    this.body.replaceChildren(
      make("h1", {}, told.title),
      make("p", { class: "quiet" }, `${told.students.length} student${told.students.length === 1 ? "" : "s"}. · right   ! to work on   ? listen there   – left out. A heading sorts its column.`),
      make("div", { class: "work screen" }, make("div", { class: "row" },
        make("details", { class: "away" }, make("summary", {}, "Take away"),
          make("ul", {}, ...FILES.map(([kind, text]) => make("li", {}, make("a", { href: `/api/homework/${this.ident}/files/${kind}`, download: "" }, text))))),
        make("details", { class: "what", open: kept !== null }, make("summary", {}, "What was set"),
          make("form", { class: "set-chart", onsubmit: change }, chart, make("button", {}, "Set it so"))))),
      table,
      told.waiting.length ? make("p", { class: "quiet" }, `Not checked yet: ${told.waiting.join(", ")}.`) : "",
      told.failures.length ? make("h2", {}, "Could not be read") : "",
      make("ul", { class: "takes" }, ...told.failures.map(([student, error]) => make("li", {}, make("strong", {}, student), ` ${error}`,
        make("button", { type: "button", "aria-label": `Take ${student} out`, onclick: () => this.takeOut(student) }, "Take out")))));
    if (wasOn >= 0) this.rows()[wasOn]?.focus();
    this.showProgress(news ?? told);
  }

  showProgress({ done = 0 }) {
    const { is_running: running, students, is_due: due } = this.told;
    this.progress.hidden = !running && !due;
    const of = students.length;
    this.progress.replaceChildren(
      make("p", { role: "status" }, running ? `Listening: ${done} of ${of}` : "Not all is checked."),
      running ? make("progress", { max: of || 1, value: done, "aria-label": "Checking" }) : "",
      make("button", { type: "button", onclick: () => attempt(async () => this.take(await ask(`/homework/${this.ident}/${running ? "stop" : "check"}`, { method: "POST" }))) }, running ? "Stop" : "Check"));
  }

  takeOut(student) {
    return attempt(async () => this.take(await ask(`/homework/${this.ident}/take-out`, { method: "POST", body: { student } })));
  }

  async bring(files) {
    for (const [at, file] of files.entries()) {
      const row = make("p", {}, `${file.name} (${at + 1} of ${files.length}) `, make("progress", { max: 1, value: 0, "aria-label": `Bringing ${file.name} in` }));
      this.drop.append(row);
      await attempt(() => bringIn(file, file.name, (share) => { row.querySelector("progress").value = share; }, `/homework/${this.ident}/recordings`));
      row.remove();
    }
    await attempt(async () => {
      this.take(await ask(`/homework/${this.ident}`));
      await this.checkDue();
    });
  }
}
