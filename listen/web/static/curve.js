// The curve of a bar: what goes round is drawn over it, or set by its two ends under it, by hand or by keys (WCAG 2.2, 2.1.1
// and 2.5.7); the bar line at its left is moved to where bar 1 begins.

import { attempt } from "./api.js";
import { player } from "./player.js";

const LEAST_S = 0.1; // of what goes round
const FINE_S = 0.05; // by a key

export class Curve {
  constructor(bar) {
    this.bar = bar;
    bar.element.addEventListener("pointerdown", (event) => this.pointed(event));
    bar.element.addEventListener("keydown", (event) => (event.target.matches(".barline") ? this.moveBarLine(event) : this.moveEnd(event)));
    bar.element.addEventListener("input", (event) => { if (event.target.matches(".ends input")) this.setEnd(event.target); });
    bar.element.addEventListener("change", (event) => { if (event.target.matches(".ends input")) this.bar.shown.setLoop(...this.picked); });
  }

  get box() {
    return this.bar.element.querySelector(".curve-box");
  }

  get span() {
    return this.box ? [Number(this.box.dataset.start), Number(this.box.dataset.end)] : null;
  }

  // Where a bar line or an end may come to stand by one key: the bar's own ends, and the strokes between.
  get places() {
    return [this.span[0], ...this.box.dataset.strokes.split(" ").filter(Boolean).map(Number), this.span[1]];
  }

  moveCursor(time) {
    if (!this.box) return;
    const [start, end] = this.span;
    const cursor = this.box.querySelector(".cursor");
    cursor.hidden = time < start || time > end || !player.playing;
    cursor.style.left = this.across(time);
  }

  across(time) {
    const [start, end] = this.span;
    return `${100 * (time - start) / (end - start)}%`;
  }

  get ends() {
    return [...this.bar.element.querySelectorAll(".ends input")];
  }

  // From where until where, in seconds of the recording.
  get picked() {
    return this.ends.map((end) => this.span[0] + Number(end.value));
  }

  pick(from, until) {
    [from, until].forEach((time, at) => { this.ends[at].value = time - this.span[0]; });
    this.showPicked();
  }

  showPicked() {
    if (!this.box) return;
    const [start, end] = this.span, [from, until] = this.picked, mark = this.box.querySelector(".picked");
    mark.hidden = until - from > end - start - 0.02; // the whole bar
    mark.style.left = this.across(from);
    mark.style.width = this.across(start + until - from);
    for (const one of this.ends) {
      const time = start + Number(one.value), stroke = this.places.slice(1, -1).findIndex((place) => Math.abs(place - time) < 0.01);
      one.setAttribute("aria-valuetext", `${Number(one.value).toFixed(2)} s${stroke < 0 ? "" : `, stroke ${stroke + 1}`}`);
    }
  }

  // An end stays on its side of the other one.
  setEnd(end) {
    const [from, until] = this.ends;
    if (end === from) end.value = Math.min(end.value, Math.max(0, until.value - LEAST_S));
    else end.value = Math.max(end.value, Math.min(end.max, Number(from.value) + LEAST_S));
    this.showPicked();
  }

  moveEnd(event) {
    const end = event.target;
    if (!end.matches(".ends input")) return;
    const by = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1 }[event.key];
    if (!by && !["Enter", "Home", "End"].includes(event.key)) return;
    event.stopPropagation();
    if (event.key === "Enter") { this.bar.shown.playStretch(...this.picked); return; }
    if (!by) return; // the browser's own
    event.preventDefault();
    const now = this.span[0] + Number(end.value);
    const next = event.shiftKey ? now + by * FINE_S : this.place(now, by);
    if (next === undefined) return;
    end.value = next - this.span[0];
    this.setEnd(end);
    this.bar.shown.setLoop(...this.picked);
  }

  // The place after or before a time.
  place(now, by) {
    return by > 0 ? this.places.find((one) => one > now + 0.01) : this.places.findLast((one) => one < now - 0.01);
  }

  // Drawing over the curve picks what goes round; drawing at the bar line moves it to a stroke.
  pointed(event) {
    const box = event.target.closest(".curve-box");
    if (!box || event.button) return;
    event.preventDefault();
    const line = event.target.closest(".barline");
    const frame = box.getBoundingClientRect();
    const [start, end] = this.span;
    const time = (move) => start + (end - start) * Math.min(1, Math.max(0, (move.clientX - frame.left) / frame.width));
    const from = time(event);
    const isLong = (at) => Math.abs(at - from) >= LEAST_S;
    const moved = (move) => {
      const at = time(move);
      if (line) this.setBarLine(this.nearestStroke(at));
      else if (isLong(at)) this.pick(Math.min(at, from), Math.max(at, from));
      else this.pick(start, end);
    };
    const before = line ? [Number(line.getAttribute("aria-valuenow"))] : this.picked;
    const over = new AbortController();
    const on = (kind, work) => addEventListener(kind, work, { signal: over.signal });
    on("pointermove", moved);
    on("pointerup", (move) => {
      over.abort();
      if (line) { this.keepBarLine(); return; }
      moved(move);
      this.bar.shown.playStretch(...(isLong(time(move)) ? this.picked : this.span));
    });
    on("pointercancel", () => { // the finger scrolls: all is as before
      over.abort();
      if (line) this.setBarLine(...before);
      else this.pick(...before);
    });
  }

  nearestStroke(at) {
    return this.places.slice(0, -1).reduce((best, one) => (Math.abs(one - at) < Math.abs(best - at) ? one : best));
  }

  setBarLine(at) {
    const line = this.box.querySelector(".barline");
    line.style.left = this.across(at);
    line.setAttribute("aria-valuenow", at);
    line.setAttribute("aria-valuetext", `${(at - this.span[0]).toFixed(2)} s after the bar line`);
  }

  moveBarLine(event) {
    if (!["ArrowRight", "ArrowLeft", "Enter"].includes(event.key)) return;
    event.preventDefault();
    event.stopPropagation();
    if (event.key === "Enter") { this.keepBarLine(); return; }
    const next = this.place(Number(event.target.getAttribute("aria-valuenow")), event.key === "ArrowRight" ? 1 : -1);
    if (next !== undefined && next !== this.span[1]) this.setBarLine(next);
  }

  keepBarLine() {
    const at = Number(this.box.querySelector(".barline").getAttribute("aria-valuenow"));
    if (at - this.span[0] > 0.01) attempt(() => this.bar.shown.change({ what: "bar one", value: at.toFixed(3) }));
  }
}
