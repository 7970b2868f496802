// What was set: its chart, which can be changed. What is half written stays, and is never set over what was set meanwhile
// unseen: that is shown under it.

import { make } from "./api.js";
import { Drafts } from "./draft.js";

const drafts = new Drafts("listen.homework.chart.");

export class SetChart {
  // change sets a chart in place of the one that was seen.
  constructor(ident, change) {
    Object.assign(this, { ident, chart: null });
    this.field = make("textarea", { rows: 14, maxlength: 50000, spellcheck: "false", "aria-label": "Chart", oninput: () => this.write() });
    this.clash = make("div", { class: "note", role: "status", hidden: true });
    const submit = (event) => { event.preventDefault(); change(this.field.value, drafts.get(ident)?.seen ?? this.chart, this.field); };
    this.element = make("details", { class: "what" }, make("summary", {}, "What was set"),
      make("form", { class: "set-chart", onsubmit: submit }, this.field, this.clash, make("button", {}, "Set it so")));
  }

  write() {
    if (this.field.value === this.chart) drafts.delete(this.ident);
    else drafts.set(this.ident, { text: this.field.value, seen: drafts.get(this.ident)?.seen ?? this.chart });
    this.show(this.chart);
  }

  show(chart) {
    const draft = drafts.get(this.ident), isNew = this.chart === null;
    this.chart = chart;
    if (!draft || draft.text === chart || draft.text === draft.seen) { this.take(); return; }
    if (this.field.value !== draft.text) this.field.value = draft.text;
    if (isNew) this.element.open = true;
    if (draft.seen === chart) { this.hideClash(); return; }
    if (!this.clash.hidden && this.clash.dataset.chart === chart) return;
    this.clash.hidden = false;
    this.clash.dataset.chart = chart;
    this.clash.replaceChildren("Another tab or program set this meanwhile:", make("pre", {}, chart),
      make("button", { type: "button", onclick: () => { drafts.set(this.ident, { text: this.field.value, seen: chart }); this.hideClash(); } }, "Keep mine"), " ",
      make("button", { type: "button", onclick: () => this.take() }, "Take that one"));
  }

  // What is set is what is written, too.
  take() {
    drafts.delete(this.ident);
    if (this.field.value !== this.chart) this.field.value = this.chart;
    this.hideClash();
  }

  hideClash() {
    if (this.clash.contains(document.activeElement)) this.field.focus();
    this.clash.hidden = true;
  }

  // What was sent is set; what was written since then stays.
  settle(sent, chart) {
    if (this.field.value === sent) drafts.delete(this.ident);
    else drafts.set(this.ident, { text: this.field.value, seen: chart });
    this.element.open = false;
  }

  open() {
    this.element.open = true;
    this.field.focus();
  }
}
