// The stand under the sheet: what is heard, how slowly, how it is shown. It stays in sight.

import { attempt, make } from "./api.js";
import { PACES, player } from "./player.js";

const SMALL = "(max-width: 34rem), (max-height: 32rem)"; // a window, also one that is turned or zoomed into; as in page.css

export function makeStand(shown) {
  const play = make("button", { type: "button", class: "play", onclick: () => shown.toggle() }, "Play");
  const mode = select(["recording", "strings", "one in each ear", "both"].map((name) => [name, name]), (value) => attempt(() => player.setMode(value)));
  const pace = select(PACES.map(([name, value]) => [name, value]), (value) => player.setPace(Number(value)));
  const cents = make("input", { type: "number", min: -100, max: 100, step: 1, value: 0, onchange: (event) => player.setCents(Math.max(-100, Math.min(100, Number(event.target.value) || 0))) });
  const bass = make("input", { type: "checkbox", onchange: (event) => player.setBassOnly(event.target.checked) });
  const guess = make("input", { type: "checkbox", onchange: (event) => shown.setGuessing(event.target.checked) });
  const dots = select([["intervals", "degree"], ["note names", "note"], ["fingers", "finger"]], (value) => shown.setLabels(value));
  const places = make("input", { type: "checkbox", onchange: (event) => shown.setPlaces(event.target.checked) });
  const label = (text, control) => make("label", {}, `${text} `, control);
  const check = (text, control) => make("label", { class: "check" }, control, ` ${text}`);
  const small = matchMedia(SMALL);
  const more = make("details", { class: "more" }, make("summary", {}, "More"),
    make("div", { class: "row" }, label("Cents", cents), check("bass alone", bass), check("guess first", guess), label("Dots", dots), check("every place", places),
      make("span", { class: "quiet caution" }, "Begin with the volume low; take breaks, and stop if it hurts.")));
  const fold = () => { more.open = !small.matches; };
  const stand = make("section", { class: "stand screen", "aria-label": "Stand" },
    make("div", { class: "row" }, play, label("Hear", mode), label("Pace", pace)), more);
  const update = () => {
    play.textContent = player.playing ? "Stop" : "Play";
    mode.value = player.mode;
    pace.value = String(player.pace);
    if (document.activeElement !== cents) cents.value = player.cents;
    bass.checked = player.bassOnly;
  };
  player.addEventListener("change", update);
  update();
  small.addEventListener("change", fold);
  fold();
  // What takes the focus, and what is said, comes to where the stand does not lie over it (WCAG 2.2, 2.4.11).
  const look = document.documentElement.style;
  const sized = new ResizeObserver(() => look.setProperty("--stand", `${stand.offsetHeight}px`));
  sized.observe(stand);
  const step = (by) => {
    const at = PACES.findIndex(([, value]) => value === player.pace);
    player.setPace(PACES[Math.max(0, Math.min(PACES.length - 1, at + by))][1]);
  };
  const turn = (control) => { control.checked = !control.checked; control.dispatchEvent(new Event("change")); };
  const next = (control) => { control.selectedIndex = (control.selectedIndex + 1) % control.options.length; control.dispatchEvent(new Event("change")); };
  return {
    stand,
    keys: [
      { key: "-", shown: "−", does: "Slower", run: () => step(1) },
      { key: "+", shown: "+", does: "Faster", run: () => step(-1) },
      { key: "h", shown: "H", does: "Hear recording, strings, one in each ear, both", run: () => next(mode) },
      { key: "b", shown: "B", does: "Bass alone", run: () => turn(bass) },
      { key: "q", shown: "Q", does: "Guess first", run: () => turn(guess) },
      { key: "d", shown: "D", does: "Dots: intervals, note names, fingers", run: () => next(dots) },
      { key: "p", shown: "P", does: "Every other place of the same notes", run: () => turn(places) },
    ],
    leave: () => {
      player.removeEventListener("change", update);
      small.removeEventListener("change", fold);
      sized.disconnect();
      look.removeProperty("--stand");
    },
  };
}

function select(options, onChange) {
  return make("select", { onchange: (event) => onChange(event.target.value) },
    ...options.map(([name, value]) => make("option", { value }, name)));
}
