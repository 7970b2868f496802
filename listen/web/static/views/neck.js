// Look a chord up on the neck, without a recording; every mark and every shape sounds when it is chosen.

import { ask, attempt, make } from "../api.js";
import { setKeys } from "../keys.js";
import { player } from "../player.js";

const WAYS = [["on the whole neck", "map"], ["easiest shapes", "shapes"], ["by inversion", "inversion"], ["by set of strings", "string-set"]];
const SHAPE = /^\s*[x\d][x\d\s,-]{3,}$/i; // in place of a chord; as the server knows it
const KEPT = "listen.neck"; // what was shown last, while the tab is open
const REACHES = ["small", "usual", "wide"];
const DOTS = [["intervals", "degree"], ["note names", "note"], ["fingers", "finger"]];

export async function show(place, { chord = "" }) {
  const last = JSON.parse(sessionStorage.getItem(KEPT) ?? "{}");
  const field = make("input", { id: "chord", value: readable(chord) || last.chord || "G/B", autocomplete: "off", spellcheck: "false", size: 10, maxlength: 60 });
  const select = (options) => make("select", { onchange: () => look() }, ...options.map(([name, value]) => make("option", { value }, name)));
  const ways = select(WAYS), dots = select(DOTS);
  ways.value = last.by ?? "map";
  dots.value = last.labels ?? "degree";
  const tuning = make("input", { value: last.tuning ?? "", size: 12, maxlength: 80, spellcheck: "false", onchange: () => look() });
  const capo = make("input", { type: "number", min: 0, max: 12, value: last.capo ?? 0, onchange: () => look() });
  const result = make("article", { class: "sheet looked-up" }, make("p", { class: "quiet" }, "…"));
  // For whose hand it is drawn: kept for every sheet, as listen settings does.
  const keepHand = (kept) => attempt(async () => { await ask("/hand", { method: "POST", body: kept }); await look(); });
  const left = make("input", { type: "checkbox", onchange: () => keepHand({ left_handed: left.checked }) });
  const reach = make("select", { onchange: () => keepHand({ reach: reach.value }) }, ...REACHES.map((name) => make("option", {}, name)));
  const showHand = async () => {
    const kept = await ask("/hand");
    left.checked = kept.left_handed;
    if (!REACHES.includes(kept.reach)) reach.append(make("option", { value: kept.reach }, `${kept.reach} mm`));
    reach.value = kept.reach;
  };
  const form = make("form", { class: "row ask screen", onsubmit: (event) => { event.preventDefault(); look(); } },
    make("label", {}, "Chord or shape ", field), make("button", {}, "Look"), make("button", { type: "button", onclick: () => hear() }, "Hear it"),
    make("label", {}, "Show ", ways), make("label", {}, "Dots ", dots), make("label", {}, "Tuning ", tuning), make("label", {}, "Capo ", capo),
    make("label", {}, left, " left-handed"), make("label", {}, "Reach of the hand ", reach));
  place.replaceChildren(form, result);
  const board = () => `tuning=${encodeURIComponent(tuning.value)}&capo=${Number(capo.value) || 0}`;

  let asking = null;
  async function look() {
    asking?.abort(); // the last question is the one that is answered
    const mine = asking = new AbortController();
    const asked = { chord: field.value, by: ways.value, labels: dots.value, tuning: tuning.value, capo: capo.value };
    result.setAttribute("aria-busy", "true");
    history.replaceState(null, "", `#/neck/${encodeURIComponent(field.value)}`); // goes back to what was there before the neck
    try {
      const { html, title, tuning: used } = await ask(`/neck?chord=${encodeURIComponent(field.value)}&by=${ways.value}&labels=${dots.value}&${board()}`, { signal: mine.signal });
      if (mine !== asking || !place.contains(result)) return;
      if (!tuning.value.trim()) asked.tuning = tuning.value = used; // the one that the player keeps
      result.innerHTML = html; // made and escaped by the server's templates
      document.title = `${title} – listen`;
      sessionStorage.setItem(KEPT, JSON.stringify(asked));
    } catch (error) {
      if (mine !== asking || !place.contains(result)) return;
      // where the chord would stand: what stood there was another
      result.replaceChildren(make("p", { class: "note", role: "alert" }, error.message));
      document.title = "Neck – listen";
    }
    result.removeAttribute("aria-busy");
    for (const card of result.querySelectorAll(".card")) {
      const frets = card.querySelector("h3").textContent.trim();
      card.append(make("button", { type: "button", "data-frets": frets, "aria-label": `Hear ${frets}` }, "Hear"));
    }
  }
  const hear = () => attempt(() => {
    const what = SHAPE.test(field.value) ? "frets" : "chord";
    return player.sound(`/api/strings/${what}?${what}=${encodeURIComponent(field.value.trim())}&${board()}`);
  });

  result.addEventListener("click", (event) => {
    const card = event.target.closest("button[data-frets]"), mark = event.target.closest("[data-string]");
    const n = result.querySelector("dl.facts dd")?.textContent.trim().split(/\s+/).length || 6;
    const frets = card ? card.dataset.frets : mark ? Array.from({ length: n }, (_, at) => (n - at === Number(mark.dataset.string) ? mark.dataset.fret : "x")).join("-") : null;
    if (frets) attempt(() => player.sound(`/api/strings/frets?frets=${encodeURIComponent(frets)}&${board()}`));
  });
  setKeys([
    { key: "/", shown: "/", does: "Write a chord, or a shape", run: () => { field.focus(); field.select(); } },
    { key: " ", shown: "Space", does: "Hear it", run: hear },
    { key: "d", shown: "D", does: "Dots: intervals, note names, fingers", run: () => { dots.selectedIndex = (dots.selectedIndex + 1) % 3; look(); } },
    { key: "w", shown: "W", does: "Another way to look", run: () => { ways.selectedIndex = (ways.selectedIndex + 1) % WAYS.length; look(); } },
  ]);
  await Promise.all([look(), attempt(showHand)]);
  return () => asking.abort();
}

// What stands in the address; as it is where it was cut off.
function readable(text) {
  try {
    return decodeURIComponent(text);
  } catch {
    return text;
  }
}
