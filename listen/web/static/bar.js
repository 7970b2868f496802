// A bar unfolded in its place in the sheet: heard, seen on the neck, guessed, corrected.

import { ask, attempt, make } from "./api.js";
import { clock } from "./clock.js";
import { Curve } from "./curve.js";
import { keep } from "./keep.js";
import { player } from "./player.js";

export class OpenedBar {
  constructor(shown, number, anchor) {
    this.shown = shown;
    this.element = make("section", { class: "opened screen", tabindex: -1 });
    this.renumber(number);
    anchor.after(this.element);
    this.element.addEventListener("click", (event) => this.clicked(event));
    this.element.addEventListener("submit", (event) => this.submitted(event));
    this.element.addEventListener("toggle", (event) => this.toggled(event), true);
    this.curve = new Curve(this);
    this.follow = (event) => this.curve.moveCursor(event.detail);
    player.addEventListener("time", this.follow);
  }

  renumber(number) {
    this.number = number;
    this.element.setAttribute("aria-label", `Bar ${number}, unfolded`);
  }

  // Filled more than once at a time, it shows what was asked for last, and no one goes on before that.
  fill() {
    this.filled = this.fillAgain();
    return this.filled;
  }

  async fillAgain() {
    const mine = this.turn = (this.turn ?? 0) + 1;
    const { html } = await ask(`/takes/${this.shown.ident}/bars/${this.number}?labels=${this.shown.labels}`);
    if (mine !== this.turn) { await this.filled; return; }
    const told = new Set([...this.element.querySelectorAll(".held.told")].map((one) => one.dataset.chord));
    const put = keep(this.element);
    this.element.innerHTML = html; // made and escaped by the server's templates
    this.showRounds();
    if (!put()) this.element.focus({ preventScroll: true });
    this.curve.showPicked();
    for (const held of this.element.querySelectorAll(".held")) {
      if (told.has(held.dataset.chord)) held.classList.add("told");
      for (const neck of held.querySelectorAll(".neck")) {
        const mark = neck.querySelector(".sounded, .sounded-root, .held, .held-root");
        if (mark) requestAnimationFrame(() => {
          const far = mark.getBoundingClientRect().left - neck.getBoundingClientRect().left;
          if (far > neck.clientWidth * 0.7) neck.scrollLeft = far - neck.clientWidth / 2;
        });
      }
    }
  }

  // What is written once and played again: the bars that stand in this place, to choose among.
  showRounds() {
    const rounds = this.shown.played.of(this.shown.played.find(this.number)?.element);
    if (rounds.length < 2) return;
    const called = ({ element, number, start }) => (element.closest(".free") ? `At ${clock(start)}` : `Bar ${number}`);
    const round = (one) => make("button", { type: "button", "data-do": "round", "data-value": one.number, "aria-current": one.number === this.number && "true" }, called(one));
    this.element.querySelector(".opened-head").after(make("div", { class: "rounds", role: "group", "aria-label": "Played here" },
      make("span", { class: "quiet" }, "Played here"), ...rounds.map(round)));
  }

  get span() {
    return this.curve.span;
  }

  clicked(event) {
    const place = event.target.closest("[data-string]");
    if (place) { this.soundPlace(place); return; }
    const button = event.target.closest("button[data-do]");
    if (!button) return;
    const chord = button.closest(".held");
    const work = {
      play: () => player.play(Number(button.dataset.start), Number(button.dataset.end)),
      close: () => this.shown.fold(),
      round: () => this.shown.unfold(Number(button.dataset.value)),
      sound: () => player.sound(this.soundUrl(button.dataset)),
      reveal: () => this.tell(chord),
      change: () => this.settle(button.dataset.what, button.dataset.value, chord),
    }[button.dataset.do];
    if (work) attempt(async () => work());
  }

  submitted(event) {
    event.preventDefault();
    const form = event.target, chord = form.closest(".held"), field = form.querySelector("input");
    attempt(async () => {
      if (form.matches(".guess")) {
        const answer = await ask(`/takes/${this.shown.ident}/guess`, { method: "POST", body: { chord: Number(chord.dataset.chord), guess: form.guess.value } });
        form.querySelector("output").textContent = answer.words;
        if (answer.is_right) this.tell(chord, { keep: true });
        return;
      }
      await this.settle(form.dataset.what, form.value.value, chord, form);
    }, { field });
  }

  settle(what, value, chord, form = null) {
    const everywhere = chord?.querySelector("[name=everywhere]");
    const asked = { what, value, chord: chord ? Number(chord.dataset.chord) : null, bar: this.number, everywhere: Boolean(everywhere?.checked) };
    return this.shown.change(asked, () => {
      form?.reset();
      if (everywhere) everywhere.checked = false;
    });
  }

  toggled(event) {
    const details = event.target;
    if (!details.matches(".evidence") || !details.open || details.dataset.filled) return;
    details.dataset.filled = "1";
    const body = details.querySelector(".evidence-body");
    body.textContent = "Listening to this strum alone…";
    attempt(async () => {
      try {
        body.innerHTML = (await ask(`/takes/${this.shown.ident}/evidence/${details.dataset.event}`)).html;
      } catch (error) {
        body.textContent = error.message;
        delete details.dataset.filled;
      }
    });
  }

  tell(chord, { keep = false } = {}) {
    chord.classList.add("told");
    if (!keep) chord.querySelector("h4").focus?.();
  }

  soundPlace(place) {
    const frets = Array.from({ length: this.shown.strings }, (_, at) =>
      (this.shown.strings - at === Number(place.dataset.string) ? place.dataset.fret : "x"));
    attempt(() => player.sound(this.soundUrl({ frets: frets.join("-") })));
  }

  soundUrl({ frets, sounding }) {
    const neck = `tuning=${encodeURIComponent(this.shown.tuning)}&capo=${this.shown.capo}`;
    return frets ? `/api/strings/frets?frets=${encodeURIComponent(frets)}&${neck}` : `/api/strings/chord?chord=${encodeURIComponent(sounding)}&${neck}`;
  }

  leave() {
    player.removeEventListener("time", this.follow);
    this.element.remove();
  }
}
