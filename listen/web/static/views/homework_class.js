// A class: a row a student, a column a bar; recordings come in and go here, and what was set can be changed.

import { ask, attempt, bringIn, make, RECORDING_FILES, say, shorten } from "../api.js";
import { setKeys } from "../keys.js";
import { onNews } from "../news.js";
import { SetChart } from "../set_chart.js";
import { keepColumn, keepShown, sortAgain } from "../shown_order.js";
import { Turns } from "../turns.js";

const FILES = [["html", "Class page"], ["csv", "Table (CSV)"], ["json", "Check document"], ["sheet", "Sheet to hand out"], ["chart", "Chart"]];

const NAMES = "listen.homework.names."; // how files of some homework are called, by its ident

// The student from whose page one comes back: that row takes the focus.
export const cameFrom = { ident: null, student: null };

export async function show(place, { ident }) {
  const view = new ClassView(place, ident);
  await view.begin().catch((error) => { view.leave(); throw error; });
  return () => view.leave();
}

class ClassView {
  constructor(place, ident) {
    Object.assign(this, { place, ident, told: null, bringing: 0, alive: true, turns: new Turns() });
    this.set = new SetChart(ident, (chart, seen, field) => this.setChart(chart, seen, field));
    this.progress = make("div", { class: "listening screen", hidden: true });
    this.body = make("article", { class: "sheet homework" });
    this.input = make("input", { type: "file", id: "recordings", multiple: true, accept: RECORDING_FILES });
    this.names = make("input", { type: "text", id: "names", size: 20, maxlength: 120, placeholder: "{student}", autocomplete: "off", spellcheck: "false" });
    this.names.value = sessionStorage.getItem(NAMES + ident) ?? "";
    this.names.addEventListener("input", () => sessionStorage.setItem(NAMES + ident, this.names.value));
    this.drop = make("section", { class: "bring screen", "aria-label": "Bring recordings in" },
      make("p", {}, "Drop students’ recordings here: each file is named after its student."),
      make("div", { class: "row" }, make("label", { class: "button", for: "recordings" }, "Choose files"), this.input,
        make("label", {}, "Files are called ", this.names),
        make("span", { class: "quiet" }, "week3-{student} makes week3-Anna Anna’s; * is anything.")));
  }

  async begin() {
    this.place.replaceChildren(this.progress, this.body, this.drop);
    this.input.addEventListener("change", () => { this.bring([...this.input.files]); this.input.value = ""; });
    this.body.addEventListener("sorted", ({ target }) => { keepColumn(this.ident, target.querySelector("th[aria-sort]")); this.keepShown(); });
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
      { key: "c", shown: "C", does: "What was set", run: () => this.set.open() },
    ]);
    this.take(await this.askClass());
    if (cameFrom.ident === this.ident) this.rowOf(cameFrom.student)?.focus();
    cameFrom.ident = null;
    await attempt(() => this.checkDue());
  }

  // The class as the server tells of it.
  askClass(path = "", body) {
    if (path) return this.turns.take(() => ask(`/homework/${this.ident}${path}`, { method: "POST", body }));
    return this.turns.see(() => ask(`/homework/${this.ident}`));
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

  rowOf(student) {
    return this.rows().find((row) => studentOf(row) === student);
  }

  keepShown() {
    keepShown(this.ident, this.rows().map(studentOf));
  }

  focusOn(student) {
    (this.rowOf(student) ?? this.restingPlace()).focus();
  }

  restingPlace() { // where one goes on while a row is gone: it comes when the recording was heard
    return this.body.querySelector(".sent[open] button") ?? this.body.querySelector("h1");
  }

  step(by) {
    const rows = this.rows(), at = rows.indexOf(document.activeElement);
    rows[Math.max(0, Math.min(rows.length - 1, at < 0 ? 0 : at + by))]?.focus();
  }

  async checkDue() {
    if (this.told.is_due && !this.told.is_running) this.take(await this.askClass("/check"));
  }

  hearNews(news) {
    if (!news.again && news.homework !== this.ident) return;
    const ran = this.told?.is_running; // it may have ended unheard
    attempt(async () => {
      const told = await this.askClass();
      if (!this.alive) return;
      this.take(told);
      if (news.ended && news.message) say(news.message, { error: true });
      else if (news.again ? ran : news.ended && !news.stopped) await this.checkDue(); // recordings may have come meanwhile
    });
  }

  take(told) {
    const on = this.body.contains(document.activeElement) ? document.activeElement : null;
    const open = [...this.body.querySelectorAll("details[open]")].map((one) => one.className);
    this.told = told;
    const table = make("div");
    table.innerHTML = told.html; // made and escaped by the server's templates
    this.set.show(told.chart);
    const takeOut = (student) => make("button", { type: "button", "aria-label": `Take ${student} out`, onclick: () => this.takeOut(student) }, "Take out");
    this.body.replaceChildren(
      make("h1", { tabindex: -1 }, told.title),
      make("p", { class: "quiet" }, `${told.students.length} student${told.students.length === 1 ? "" : "s"}.`),
      make("div", { class: "work screen" }, make("div", { class: "row" },
        make("details", { class: "away", open: open.includes("away") }, make("summary", {}, "Take away"),
          make("ul", {}, ...FILES.map(([kind, text]) => make("li", {}, make("a", { href: `/api/homework/${this.ident}/files/${kind}`, download: "" }, text))))),
        this.set.element)),
      table,
      told.waiting.length ? make("p", { class: "quiet" }, `Not checked yet: ${told.waiting.join(", ")}.`) : "",
      told.failures.length ? make("h2", {}, "Could not be read") : "",
      make("ul", { class: "takes" }, ...told.failures.map(([student, error]) => make("li", {}, make("strong", {}, student), ` ${error}`, takeOut(student)))),
      told.students.length ? make("details", { class: "sent screen", open: open.includes("sent screen") }, make("summary", {}, "Take a recording out"),
        make("ul", { class: "takes" }, ...told.students.map((student) => make("li", {}, make("span", { class: "name" }, student), takeOut(student))))) : "",
      make("ul", { class: "takes screen" }, ...told.taken_out.map((one) => make("li", { class: "gone" }, `${one.student} was taken out (${one.file}). `,
        make("button", { type: "button", "data-back": one.ident, onclick: () => this.putBack(one) }, one.rival ? `Take it back in ${one.rival}’s place` : "Take it back")))));
    if (this.alive) document.title = `${told.title} – listen`;
    sortAgain(this.ident, this.body);
    this.keepShown();
    if (on) this.focusLike(on);
    this.showProgress();
  }

  // What one worked on is another element now.
  focusLike(on) {
    const name = (one) => one.dataset.back ?? one.getAttribute("href") ?? one.getAttribute("aria-label") ?? one.textContent;
    const same = on.isConnected ? on : [...this.body.querySelectorAll(on.localName)].find((one) => name(one) === name(on)) ?? this.restingPlace();
    (same.closest("details:not([open])")?.querySelector("summary") ?? same).focus();
  }

  showProgress() {
    const { is_running: running, students, is_due: due, done } = this.told;
    this.progress.hidden = !running && (!due || this.bringing > 0); // what comes in is checked when all of it is here
    const of = students.length;
    this.progress.replaceChildren(
      make("p", { role: "status" }, running ? `Listening: ${done} of ${of}` : "Not all is checked."),
      running ? make("progress", { max: of || 1, value: done, "aria-label": "Checking" }) : "",
      make("button", { type: "button", onclick: () => attempt(async () => this.take(await this.askClass(running ? "/stop" : "/check"))) }, running ? "Stop" : "Check"));
  }

  setChart(chart, seen, field) {
    return attempt(async () => {
      const answer = await this.askClass("/chart", { chart, seen }).catch((error) => this.refused(error));
      this.set.settle(chart, answer.chart);
      this.take(answer);
      say("Set.");
      await this.checkDue();
    }, { field });
  }

  async refused(error) {
    if (error.status === 409) this.take(await this.askClass());
    throw error;
  }

  takeOut(student) {
    return attempt(async () => {
      this.take(await this.askClass("/take-out", { student }));
      this.body.querySelector("[data-back]")?.focus();
      say(`${student} was taken out.`);
      await this.checkDue();
    });
  }

  // Where another one has its place, that one goes out for it, and can be taken back in turn.
  putBack({ ident, student, rival }) {
    return attempt(async () => {
      const back = () => this.askClass("/put-back", { taken_out: ident });
      this.take(await (rival ? this.inPlaceOf(rival, back) : back()));
      this.focusOn(student);
      await this.checkDue();
    });
  }

  // Take a student's recording out for something; what fails puts it back.
  async inPlaceOf(student, work) {
    const { taken_out: [out] } = await this.askClass("/take-out", { student });
    try {
      return await work();
    } catch (error) {
      await this.askClass("/put-back", { taken_out: out.ident });
      throw error;
    }
  }

  async bring(files) {
    const refused = [], came = new Set();
    const whose = await attempt(() => ask(`/homework/${this.ident}/whose`, { method: "POST", body: { files: files.map((file) => shorten(file.name)), names: this.names.value } }));
    this.bringing += 1;
    for (const [at, file] of whose ? files.entries() : []) {
      const { error, student, rival } = whose[at];
      if (error) refused.push(error);
      else if (rival || came.has(student.toLowerCase())) this.offer(file, student, rival || student);
      else {
        await this.bringOne(file, `${file.name} (${at + 1} of ${files.length})`).then(
          () => came.add(student.toLowerCase()), (failure) => refused.push(named(failure.message, file)));
      }
    }
    this.bringing -= 1;
    await this.see();
    const others = came.size ? [`${came.size} of ${files.length} files came in.`] : [];
    if (refused.length) say([...others, ...new Set(refused)].join(" "), { error: true });
  }

  // A student who sent one already: which one counts is the teacher's choice, and the other can be taken back.
  offer(file, student, rival) {
    const told = isSame(student, rival) ? `${file.name}: ${rival} sent one already. ` : `${file.name}, now ${student}’s, is here already, as ${rival}’s. `;
    const row = make("p", { class: "row" }, told,
      make("button", { type: "button", onclick: () => { row.remove(); this.replace(file, student, rival); } }, "Replace it"),
      make("button", { type: "button", onclick: () => row.remove() }, "Leave it"));
    this.drop.append(row);
    row.querySelector("button").focus();
  }

  async replace(file, student, rival) {
    await attempt(async () => {
      const { students } = await this.askClass();
      const bring = () => this.bringOne(file, file.name);
      await (students.includes(rival) ? this.inPlaceOf(rival, bring) : bring());
      say(isSame(student, rival) ? `${student}’s recording was replaced.` : `${rival}’s recording was taken out; ${student}’s is in its place.`);
    });
    await this.see();
    this.focusOn(student);
  }

  async bringOne(file, words) {
    const row = make("p", {}, `${words} `, make("progress", { max: 1, value: 0, "aria-label": `Bringing ${file.name} in` }));
    this.drop.append(row);
    const show = (share) => { row.querySelector("progress").value = share; };
    await bringIn(file, file.name, show, `/homework/${this.ident}/recordings`, { names: this.names.value }).finally(() => row.remove());
  }

  see() {
    return attempt(async () => {
      this.take(await this.askClass());
      await this.checkDue();
    });
  }
}

function studentOf(row) {
  return decodeURIComponent(row.getAttribute("href").split("/").pop());
}

function isSame(student, rival) {
  return student.toLowerCase() === rival.toLowerCase();
}

// What was refused, with the file's name where the sentence does not hold it.
function named(sentence, file) {
  return sentence.includes(file.name) ? sentence : `${file.name}: ${sentence}`;
}
