// What is said in one sentence: it lies where one does not work, and what a field was refused for goes when it is corrected.

const LASTS_MS = 5000, ERROR_LASTS_MS = 12000;
let pressedAt = null; // how far down the window the last press was; null where a key was used

addEventListener("pointerdown", (event) => { pressedAt = event.clientY; }, true);
addEventListener("keydown", () => { pressedAt = null; }, true);

function workedAt() {
  const on = document.activeElement;
  return pressedAt ?? (on?.matches("button, a, input, select, textarea, summary") ? on.getBoundingClientRect().bottom : 0);
}

// A sentence that stays is there until something else is said. undo takes back what it tells of.
export function say(sentence, { error = false, stays = false, undo = null } = {}) {
  const place = document.getElementById("said"), before = place.querySelector(".undo");
  const wasThere = document.activeElement === before;
  place.querySelector("[role=status]").textContent = sentence;
  place.classList.toggle("error", error);
  place.classList.toggle("shown", Boolean(sentence));
  if (sentence) place.classList.toggle("above", workedAt() > innerHeight / 2);
  before?.remove();
  if (undo) {
    const button = Object.assign(document.createElement("button"), { type: "button", className: "undo", textContent: "Undo", onclick: undo });
    place.querySelector(".close").before(button);
  }
  if (before && wasThere) document.getElementById("view").focus({ preventScroll: true });
  clearTimeout(say.timer);
  if (!stays) say.timer = setTimeout(() => place.classList.remove("shown"), error || undo ? ERROR_LASTS_MS : LASTS_MS);
}

// What was said no longer holds.
export function unsay(sentence) {
  if (document.querySelector("#said [role=status]").textContent === sentence) say("");
}

// What stands in a field does not hold: it was refused, until it is written otherwise.
export function refuse(field, sentence) {
  field.setAttribute("aria-invalid", "true");
  field.addEventListener("input", () => { accept(field); unsay(sentence); }, { once: true });
}

export function accept(field) {
  field.removeAttribute("aria-invalid");
}
