// A student: every finding to be heard, beside it how it should sound; right or wrong by a key, the next by a key.

import { ask, attempt, make, say } from "../api.js";
import { Drafts } from "../draft.js";
import { setKeys } from "../keys.js";
import { onNews } from "../news.js";
import { player } from "../player.js";
import { asShown } from "../shown_order.js";
import { Turns } from "../turns.js";
import { cameFrom } from "./homework_class.js";

const drafts = new Drafts("listen.homework.note."); // notes that are not kept yet
const placeOf = ({ dataset }) => [dataset.bar, dataset.beat, dataset.kind, dataset.string].join("/");

export async function show(place, groups) {
  const view = new StudentView(place, groups.ident, decodeURIComponent(groups.student), Number(groups.bar ?? NaN));
  await view.begin().catch((error) => { view.leave(); throw error; });
  return () => view.leave();
}

class StudentView {
  constructor(place, ident, student, bar) {
    Object.assign(this, { place, ident, student, bar, told: null, at: -1, alive: true, seen: null, turns: new Turns() });
    this.head = make("nav", { class: "work screen", "aria-label": "Students" });
    this.body = make("article", { class: "sheet homework" });
    this.note = make("textarea", { maxlength: 2000, oninput: () => this.draftNote(), onblur: () => this.keepNote() });
    this.notKept = make("span", { class: "quiet", hidden: true }, ", not kept yet");
    this.clash = make("p", { class: "note", role: "status", hidden: true });
    this.send = make("div", { class: "work screen" }, make("label", { class: "note-field" }, make("span", {}, "A note to the student", this.notKept), this.note), this.clash,
      make("p", {}, make("a", { class: "button", download: "", href: this.url("page"), onclick: (event) => this.sendBack(event) }, "The student’s page, to send back")),
      make("p", { class: "quiet" }, "What you say is kept beside the recording. Begin with the volume low."));
  }

  url(what) {
    return `/api/homework/${this.ident}/student${what ? `/${what}` : ""}?student=${encodeURIComponent(this.student)}`;
  }

  async begin() {
    this.place.replaceChildren(this.head, this.body, this.send);
    player.setMode("recording"); // as played: no control here would show otherwise
    player.setPace(1);
    player.setCents(0);
    player.setBassOnly(false);
    this.onPlayer = () => this.showPlaying();
    player.addEventListener("change", this.onPlayer);
    this.body.addEventListener("click", (event) => this.clicked(event));
    this.body.addEventListener("focusin", (event) => {
      const found = event.target.closest(".found > li");
      if (found) this.at = this.found().indexOf(found);
    });
    setKeys([
      { key: "ArrowDown", shown: "↓", does: "Next finding, and hear it", run: () => this.step(1) },
      { key: "ArrowUp", shown: "↑", does: "Finding before", run: () => this.step(-1) },
      { key: " ", shown: "Space", does: "Hear the two seconds around it, or stop", run: () => this.toggle() },
      { key: "s", shown: "S", does: "As it should sound", run: () => this.sound(this.chosen()) },
      { key: "a", shown: "A", does: "Hear all of it", run: () => this.body.querySelector("header [data-do=hear]")?.click() },
      { key: "r", shown: "R", does: "What is played there is right (again: take that back)", run: () => this.say(this.chosen(), "right") },
      { key: "w", shown: "W", does: "What is played there is wrong (again: take that back)", run: () => this.say(this.chosen(), "wrong") },
      { key: "ArrowRight", shown: "→", does: "Next student", run: () => this.go(1) },
      { key: "ArrowLeft", shown: "←", does: "Student before", run: () => this.go(-1) },
      { key: "m", shown: "M", does: "Write a note", run: () => this.note.focus() },
      { key: "Escape", shown: "Esc", does: "Stop, or back to the class", run: () => { if (player.playing) player.stop(); else location.hash = `#/homework/${this.ident}`; } },
    ]);
    this.note.addEventListener("focus", (event) => { this.before = this.body.contains(event.relatedTarget) ? event.relatedTarget : null; });
    this.note.addEventListener("keydown", (event) => { if (event.key === "Escape") { event.stopPropagation(); this.leaveNote(); } });
    this.quiet = onNews((news) => this.hearNews(news));
    await this.turns.take(() => this.refresh());
    const first = this.found().findIndex((one) => Number(one.dataset.bar) === this.bar);
    const bar = this.body.querySelector(`.bars [data-bar="${this.bar}"]`);
    if (first >= 0) this.choose(first);
    else if (bar) bar.focus();
    attempt(async () => {
      await player.load();
      const after = this.beside(1);
      if (after) await fetch(`/api/homework/${this.ident}/student/sound?student=${encodeURIComponent(after)}`).catch(() => {}); // made ready meanwhile
    });
  }

  leave() {
    this.alive = false;
    this.quiet?.();
    player.stop();
    player.removeEventListener("change", this.onPlayer);
    Object.assign(cameFrom, { ident: this.ident, student: this.student });
    if (this.told) this.keepNote();
  }

  async refresh() {
    this.take(await ask(`/homework/${this.ident}/student?student=${encodeURIComponent(this.student)}`));
  }

  hearNews(news) {
    const isMine = news.homework === this.ident && (news.ended || news.said === this.student || news.student === this.student);
    const isKnown = () => news.said && news.version === this.told?.version && news.note === this.told?.note;
    if (news.again || isMine) attempt(() => this.turns.take(() => (this.alive && !isKnown() ? this.refresh() : null)));
  }

  async refused(error) {
    if (error.status === 409 && this.alive) await this.refresh();
    throw error;
  }

  take(told) {
    if (!this.alive) return; // another is shown, and heard
    const on = this.body.contains(document.activeElement) ? document.activeElement : null;
    this.told = told;
    player.choose(null, `${this.url("sound")}&stamp=${told.sound_stamp}`); // a replaced recording is another sound
    document.title = `${told.student} – listen`;
    this.body.innerHTML = told.html; // made and escaped by the server's templates
    const students = asShown(this.ident, told.students), [before, after] = [this.beside(-1), this.beside(1)];
    const link = (text, student) => (student ? make("a", { class: "button", href: `#/homework/${this.ident}/${encodeURIComponent(student)}` }, text) : "");
    this.head.replaceChildren(make("div", { class: "row" },
      make("a", { href: `#/homework/${this.ident}` }, told.title || "The class"), make("span", { class: "quiet" }, `${students.indexOf(told.student) + 1} of ${students.length}`),
      link(`← ${before}`, before), link(`${after} →`, after)));
    if (on) this.focusLike(on);
    this.showNote(told.note);
  }

  // What one worked on is another element now, or its bar where it is gone.
  focusLike(on) {
    const place = on?.closest("[data-bar]");
    if (!place) { this.body.querySelector("header [data-do=hear]")?.focus(); return; }
    const same = [...this.body.querySelectorAll("[data-bar]")].find((one) => placeOf(one) === placeOf(place));
    const inside = same && on !== place && same.querySelector(`[data-do=${on.dataset.do}]`);
    (inside || same || this.body.querySelector(`.bars [data-bar="${place.dataset.bar}"]`) || this.body.querySelector("header button"))?.focus();
  }

  // A note that is being written is never written over: what another tab wrote is shown under it.
  showNote(note) {
    const draft = this.seen !== null ? { text: this.note.value, seen: this.seen } : drafts.get(this.url()) ?? { text: note, seen: note };
    this.seen = draft.seen;
    if (draft.text.trim() === note || draft.text === draft.seen) { this.takeNote(note); return; }
    this.note.value = draft.text;
    this.showKept();
    if (note === this.seen || this.clash.dataset.note === note) return;
    this.clash.hidden = false;
    this.clash.dataset.note = note;
    this.clash.replaceChildren(note ? `Another tab wrote: “${note}” ` : "Another tab took the note away. ",
      make("button", { type: "button", onclick: () => { this.hideClash(); this.seen = note; this.keepNote(); } }, "Keep mine"), " ",
      make("button", { type: "button", onclick: () => { this.takeNote(note); this.note.focus(); } }, "Take that one"));
  }

  takeNote(note) {
    this.hideClash();
    this.seen = note;
    if (this.note.value.trim() !== note || document.activeElement !== this.note) this.note.value = note;
    drafts.delete(this.url());
    this.showKept();
  }

  showKept() {
    this.notKept.hidden = this.seen === null || this.note.value.trim() === this.seen;
  }

  hideClash() {
    if (this.clash.contains(document.activeElement)) this.note.focus();
    this.clash.hidden = true;
    delete this.clash.dataset.note;
  }

  found() {
    return [...this.body.querySelectorAll(".found > li")];
  }

  // A finding, or the bar that has the focus.
  chosen() {
    return document.activeElement?.closest?.(".bars [data-bar]") ?? this.found()[this.at] ?? null;
  }

  choose(at) {
    this.at = Math.max(0, Math.min(this.found().length - 1, at));
    this.found()[this.at]?.focus();
  }

  step(by) {
    if (!this.found().length) return;
    this.choose(this.at + by);
    this.hear(this.found()[this.at]);
  }

  toggle() {
    if (player.playing) { player.stop(); return; }
    if (!this.chosen()) this.choose(0);
    this.hear(this.chosen());
  }

  hear(one) {
    if (!one) return;
    player.single?.stop();
    attempt(async () => {
      await player.load();
      await player.play(Number(one.dataset.start), Math.min(Number(one.dataset.end), player.length), { loop: false });
    });
  }

  sound(one) {
    if (!one?.dataset.frets) return;
    player.stop();
    const neck = `tuning=${encodeURIComponent(this.told.tuning)}&capo=${this.told.capo}`;
    attempt(() => player.sound(`/api/strings/frets?frets=${encodeURIComponent(one.dataset.frets)}&${neck}`));
  }

  say(one, verdict) {
    if (!one) return undefined;
    const said = one.querySelector(`[data-do=${verdict}]`)?.getAttribute("aria-pressed") === "true" || one.dataset.said === verdict;
    const number = (name) => (one.dataset[name] === undefined ? null : Number(one.dataset[name]));
    const place = { bar: number("bar"), beat: number("beat"), kind: one.dataset.kind ?? "", string: number("string") };
    const words = one.querySelector(`[data-do=${verdict}]`)?.textContent ?? `The bar is ${verdict}`;
    return attempt(() => this.turns.take(async () => { // it sees the version that the one before it made
      this.take(await ask(`/homework/${this.ident}/student/verdict`, { method: "POST", body: { student: this.student, ...place, verdict: said ? null : verdict, version: this.told.version } })
        .catch((error) => this.refused(error)));
      say(said ? `Taken back, bar ${place.bar}.` : `Bar ${place.bar}, you say: ${words[0].toLowerCase()}${words.slice(1)}.`);
    }));
  }

  // Back to what one was at, as it is now; else to the finding that was chosen.
  leaveNote() {
    const on = this.before ?? this.found()[this.at];
    if (on?.isConnected) on.focus();
    else this.focusLike(on);
  }

  draftNote() {
    if (this.seen !== null) drafts.set(this.url(), { text: this.note.value, seen: this.seen });
    this.showKept();
  }

  keepNote() {
    const text = this.note.value;
    if (this.seen === null) return undefined; // nothing was shown yet
    if (text.trim() === this.seen) { drafts.delete(this.url()); return undefined; }
    drafts.set(this.url(), { text, seen: this.seen });
    return attempt(() => this.turns.take(async () => {
      if (!this.clash.hidden || text.trim() === this.seen) return; // one of the two is to be chosen first, or it is kept
      const told = await ask(`/homework/${this.ident}/student/note`, { method: "POST", body: { student: this.student, note: text, seen: this.seen } }).catch((error) => this.refused(error));
      this.seen = told.note;
      if (this.note.value === text) drafts.delete(this.url());
      else this.draftNote(); // written since then
      this.showKept();
      if (this.told) this.told.note = told.note;
      say("The note is kept.");
    }));
  }

  // The page is made of what is kept: what is on its way goes before it, and of two notes one is chosen first.
  async sendBack(event) {
    event.preventDefault();
    const text = this.note.value.trim();
    await this.keepNote();
    await this.turns.take(() => {});
    if (!this.clash.hidden) say("Another tab changed the note: choose which one is kept, then take the page.", { error: true });
    else if (text === this.seen) make("a", { download: "", href: this.url("page") }).click();
  }

  // The student so many rows further on, as the class was shown last.
  beside(by) {
    const students = asShown(this.ident, this.told?.students ?? []);
    return students[students.indexOf(this.student) + by];
  }

  go(by) {
    const student = this.beside(by);
    if (student) location.hash = `#/homework/${this.ident}/${encodeURIComponent(student)}`;
    else say("There is no other.");
  }

  clicked(event) {
    const button = event.target.closest("button[data-do]");
    if (!button) return;
    const one = button.closest(".found > li") ?? button;
    const work = { hear: () => this.hear(one), sound: () => this.sound(one), right: () => this.say(one, "right"), wrong: () => this.say(one, "wrong") };
    work[button.dataset.do]?.();
  }

  showPlaying() {
    document.body.classList.toggle("hearing", player.playing);
  }
}
