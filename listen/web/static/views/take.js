// A take: its sheet, alive. A bar that is chosen unfolds in its place; everything heard, seen and corrected is there.

import { ask, attempt, make, say, unsay } from "../api.js";
import { OpenedBar } from "../bar.js";
import { makeHead, makeProgress } from "../head.js";
import { keep } from "../keep.js";
import { setKeys } from "../keys.js";
import { onNews } from "../news.js";
import { PlayedBars } from "../played.js";
import { player } from "../player.js";
import { makeStand } from "../stand.js";
import { Passing } from "../turns.js";

const SETTLING = "Working it out …", WAIT = "What you settled before is still being worked out: press again after that.";

export async function show(place, { ident }) {
  const view = new TakeView(place, ident);
  await view.begin().catch((error) => { view.leave(); throw error; });
  return () => view.leave();
}

class TakeView {
  constructor(place, ident) {
    Object.assign(this, { place, ident, labels: "degree", guessing: false, bar: null, left: undefined, isSettling: false, sheet: null, played: new PlayedBars(), answers: new Passing(), tuning: "standard", capo: 0, strings: 6 });
    this.progress = make("div", { class: "listening screen", hidden: true });
    this.head = make("div", { class: "work screen" });
    this.body = make("article", { class: "sheet" });
    this.stand = makeStand(this);
    this.follow = (event) => this.showNow(event.detail);
  }

  async begin() {
    this.place.replaceChildren(this.progress, this.head, this.body, this.stand.stand);
    this.body.addEventListener("click", (event) => {
      const bar = event.target.closest("[data-plays]");
      if (bar && event.target.closest("button")) attempt(() => this.choose(bar, { extend: event.shiftKey }));
    });
    player.choose(this.ident);
    player.addEventListener("time", this.follow);
    this.onPlayer = () => this.showNow(null);
    player.addEventListener("change", this.onPlayer);
    this.quiet = onNews((news) => this.hearNews(news));
    setKeys([
      { key: " ", shown: "Space", does: "Play the bar again and again, or stop", run: () => this.toggle() },
      { key: "ArrowRight", shown: "→", does: "Next bar", run: () => this.move(1) },
      { key: "ArrowLeft", shown: "←", does: "Bar before", run: () => this.move(-1) },
      { key: "Shift+ArrowRight", shown: "Shift →", does: "Play the next bar again and again, too", run: () => this.stretch(1) },
      { key: "Shift+ArrowLeft", shown: "Shift ←", does: "Leave the last bar out", run: () => this.stretch(-1) },
      { key: "Enter", shown: "Enter", does: "Unfold the bar, or fold it", run: () => this.unfoldOrFold() },
      { key: "Escape", shown: "Esc", does: "Fold the bar, stop the sound", run: () => { player.stop(); this.fold(); } },
      ...this.stand.keys,
      { key: "e", shown: "E", does: "What the ear heard", run: () => this.open("evidence") },
      { key: "c", shown: "C", does: "Name it otherwise, hold it elsewhere", run: () => this.open("candidates") },
      { key: "s", shown: "S", does: "Show what is to be guessed", run: () => this.bar?.element.querySelector(".held:not(.told) [data-do=reveal]")?.click() },
      { key: "Ctrl+z", shown: "Ctrl Z", does: "Undo", run: () => this.step("undo") },
      { key: "Ctrl+Shift+z", shown: "Ctrl Shift Z", does: "Redo", run: () => this.step("redo") },
      { key: "Ctrl+y", shown: "Ctrl Y", does: "Redo", run: () => this.step("redo") },
    ]);
    await this.refresh();
  }

  leave() {
    player.stop();
    player.removeEventListener("time", this.follow);
    player.removeEventListener("change", this.onPlayer);
    this.quiet?.();
    this.stand.leave();
    this.bar?.leave();
    document.body.classList.remove("guessing", "places", "settling");
  }

  refresh() {
    return this.answers.see(() => ask(`/takes/${this.ident}/sheet`), (sheet) => this.show(sheet));
  }

  async show(sheet) {
    this.take(sheet);
    await this.bar?.fill();
  }

  take(sheet) {
    this.sheet = sheet;
    Object.assign(this, { tuning: sheet.tuning, capo: sheet.capo, strings: sheet.tuning.split(/\s+/).length || 6 });
    const bar = this.bar?.element, before = this.played;
    const inBar = bar?.contains(document.activeElement) ? document.activeElement : null;
    bar?.remove();
    const put = [keep(this.head), keep(this.body)];
    if (sheet.html) this.body.innerHTML = sheet.html; // made and escaped by the server's templates
    else this.body.replaceChildren(make("h1", {}, sheet.take.name)); // nothing was read yet, or cannot be
    if (this.body.isConnected) document.title = `${this.body.querySelector("h1")?.textContent.trim() || sheet.take.name} – listen`;
    this.played = new PlayedBars([...this.body.querySelectorAll("[data-plays]")], sheet.start_s);
    // A bar stays where it sounds, whatever its number is now.
    const again = (number) => { const was = before.find(number); return was && this.played.most(was)?.number; };
    this.left = again(this.left);
    this.stand.stand.hidden = !sheet.html;
    this.showProgress();
    this.head.replaceChildren(makeHead(this));
    this.hideNames();
    if (bar) {
      const number = again(this.bar.number), line = this.line(number);
      if (line) { this.bar.renumber(number); line.after(bar); }
      else { this.bar.leave(); this.bar = null; }
      this.markOpened();
    }
    this.showLoop();
    inBar?.focus({ preventScroll: true });
    const kept = put.map((back) => back()).every(Boolean);
    if (!kept || (inBar && !this.bar)) this.focusNear();
  }

  // Where one worked is gone: the bar that is unfolded is nearest to it, else what can be done in the head.
  focusNear() {
    const near = this.bar?.element ?? this.head.querySelector("button:not(:disabled)");
    near?.focus({ preventScroll: true });
  }

  showProgress(news = null) {
    const put = keep(this.progress);
    const told = makeProgress(this, news);
    this.progress.hidden = !told.length;
    this.progress.replaceChildren(...told);
    put();
  }

  hearNews(news) {
    if (news.again) { attempt(() => this.refresh()); return; }
    if (news.take !== this.ident) return;
    if (news.version !== undefined) {
      attempt(async () => {
        await this.changing?.catch(() => {}); // its answer brings what this tells
        if (news.version !== this.sheet?.version) await this.refresh();
      });
    } else if (news.state || news.shown || news.duration_s) {
      if (news.state === "thrown away") { location.hash = "#/"; return; }
      attempt(async () => { await this.refresh(); if (news.n_strokes !== undefined) this.showProgress(news); });
    } else if (news.n_strokes !== undefined && this.sheet) {
      this.sheet.take.state = "reading";
      this.showProgress(news);
    }
  }

  line(number) {
    return this.played.find(number)?.element.closest("ol") ?? null;
  }

  // Choosing a bar plays it again and again, and unfolds it; with Shift the loop goes on up to it.
  async choose(element, { extend = false } = {}) {
    const rounds = this.played.of(element);
    if (extend && this.loop) {
      const { start, end } = rounds.find((one) => one.start > this.loop.start - 0.01) ?? rounds.at(-1);
      this.loop = { start: Math.min(this.loop.start, start), end: Math.max(this.loop.end, end) };
      this.showLoop();
      await player.play(this.loop.start, this.loop.end);
      return;
    }
    if (rounds.some(({ number }) => number === this.bar?.number)) { this.fold(); return; }
    await this.unfold((rounds.find(({ number }) => number === this.left) ?? rounds[0]).number);
  }

  // By a key one goes into the bar that is unfolded: it is told to whoever does not see it.
  async unfold(number, { byKey = false } = {}) {
    const goesInside = byKey || Boolean(this.bar?.element.contains(document.activeElement));
    const wasChosen = Boolean(document.activeElement?.closest(".rounds"));
    this.bar?.leave();
    const line = this.line(number);
    if (!line) return;
    const bar = this.bar = new OpenedBar(this, number, line);
    if (goesInside) bar.element.focus({ preventScroll: true });
    await bar.fill();
    if (this.bar !== bar || !bar.span) return; // another was chosen meanwhile
    if (wasChosen) bar.element.querySelector(".rounds [aria-current]")?.focus({ preventScroll: true });
    this.markOpened();
    this.setLoop(...bar.span);
    bar.element.scrollIntoView({ block: "nearest", behavior: matchMedia("(prefers-reduced-motion: reduce)").matches ? "auto" : "smooth" });
  }

  fold() {
    const left = this.played.find(this.bar?.number);
    this.left = left?.number ?? this.left; // one goes on from there
    this.bar?.leave();
    this.bar = null;
    this.markOpened();
    left?.element.querySelector("button").focus();
  }

  unfoldOrFold() {
    if (this.bar) this.fold();
    else this.move(0);
  }

  move(by) {
    const next = this.played.step(this.bar?.number ?? this.left, by);
    if (next) attempt(() => this.unfold(next.number, { byKey: true }));
  }

  toggle() {
    if (player.playing) { player.stop(); return; }
    const whole = { start: this.sheet?.start_s ?? 0, end: this.sheet?.end_s ?? 0 };
    const { start, end } = this.loop ?? whole;
    if (end > start) attempt(() => player.play(start, end, { loop: Boolean(this.loop) }));
  }

  playStretch(start, end) {
    this.loop = { start, end };
    this.showLoop();
    attempt(() => player.play(start, end));
  }

  // The loop goes on over the next bar, or leaves its last one out.
  stretch(by) {
    if (!this.loop || !this.played.all.length) return;
    const ends = this.played.all.map(({ end }) => end).filter((end) => end > this.loop.start + 0.05);
    const at = ends.findIndex((end) => end >= this.loop.end - 0.02);
    this.setLoop(this.loop.start, ends[Math.max(0, Math.min(ends.length - 1, at + by))]);
  }

  // Another stretch goes round: at once where something plays.
  setLoop(start, end) {
    this.loop = { start, end };
    this.showLoop();
    if (player.playing) attempt(() => player.play(start, end));
  }

  // What is settled empties the field that it was written in.
  async change(asked, settled = null) {
    if (this.isSettling) { say(WAIT, { stays: true }); return; } // what it names may be another when that is settled
    await this.settle("changes", asked, settled);
    if (this.body.isConnected) say(`Settled: ${this.sheet.undone}.`, { undo: () => this.step("undo") });
  }

  async step(which) {
    await attempt(async () => {
      while (this.isSettling) await this.changing.catch(() => {}); // it takes back what that settles
      const what = this.sheet?.[which === "undo" ? "undone" : "redone"];
      if (!what) return;
      await this.settle(which);
      say(`${which === "undo" ? "Taken back" : "Done again"}: ${what}.`);
    });
  }

  settle(path, asked = {}, settled = null) {
    this.showSettling(true);
    this.changing = (async () => {
      const body = { version: this.sheet.version, ...asked };
      const sheet = await ask(`/takes/${this.ident}/${path}`, { method: "POST", body }).catch((error) => this.refused(error));
      settled?.();
      this.answers.pass();
      await this.show(sheet);
    })().finally(() => this.showSettling(false));
    return this.changing;
  }

  showSettling(on) {
    this.isSettling = on;
    document.body.classList.toggle("settling", on);
    if (on) {
      this.body.setAttribute("aria-busy", "true");
      say(SETTLING, { stays: true });
    } else {
      this.body.removeAttribute("aria-busy");
      unsay(SETTLING);
      unsay(WAIT);
    }
  }

  async refused(error) {
    if (error.status === 409) await this.refresh();
    throw error;
  }

  async setLabels(labels) {
    this.labels = labels;
    await attempt(async () => this.bar?.fill());
  }

  setPlaces(on) {
    document.body.classList.toggle("places", on);
  }

  setGuessing(on) {
    this.guessing = on;
    document.body.classList.toggle("guessing", on);
    this.hideNames();
  }

  hideNames() {
    for (const button of this.body.querySelectorAll(".bar button")) {
      button.dataset.words ??= button.getAttribute("aria-label") ?? "";
      button.setAttribute("aria-label", this.guessing ? button.dataset.words.split(":")[0] : button.dataset.words);
    }
  }

  open(name) {
    const details = this.bar?.element.querySelector(`details.${name}`);
    if (details) details.open = !details.open;
  }

  markOpened() {
    for (const bar of this.played.elements) {
      const opened = this.played.of(bar).some(({ number }) => number === this.bar?.number);
      bar.classList.toggle("unfolded", opened);
      bar.querySelector("button")?.setAttribute("aria-expanded", opened);
    }
  }

  showLoop() {
    for (const bar of this.played.elements) {
      const inside = this.loop && this.played.of(bar).some(({ start, end }) => start >= this.loop.start - 0.01 && end <= this.loop.end + 0.01);
      bar.classList.toggle("looped", Boolean(inside));
    }
  }

  showNow(time) {
    for (const bar of this.played.elements) {
      const now = player.playing && time !== null && this.played.of(bar).some(({ start, end }) => time >= start && time < end);
      if (time !== null || !player.playing) bar.classList.toggle("now", now);
    }
  }
}
