// What is made anew keeps what a person was at: open folds, half-written text, and the focus.
// A control is known again by where it stands and what it does, since the server makes it anew.

const FIELDS = "input:not([type=checkbox]):not([type=file]), textarea";

function keyOf(control) {
  const around = control.closest("[data-chord][data-start]")?.dataset.start; // its number may change, its time stays
  const row = control.closest("[data-number], [data-path]")?.dataset;
  const words = row?.number === undefined && control.matches("button, summary, a") ? control.textContent : "";
  const { start, end, do: does, what, value, frets, sounding } = control.dataset;
  return JSON.stringify([control.tagName, control.name, control.className, around, row?.number, row?.path,
    control.closest("form")?.dataset.what, control.closest("details")?.className, words, [start, end, does, what, value, frets, sounding]]);
}

// Remember a place; what is returned puts everything back, and tells whether the focus still is where it was.
export function keep(place) {
  const folds = new Map([...place.querySelectorAll("details")].map((one) => [keyOf(one), one.open]));
  const ticks = new Map([...place.querySelectorAll("input[type=checkbox]")].map((one) => [keyOf(one), one.checked]));
  const typed = [...place.querySelectorAll(FIELDS)].filter((one) => one.value !== one.defaultValue);
  const texts = new Map(typed.map((one) => [keyOf(one), one.value]));
  const on = place.contains(document.activeElement) && document.activeElement !== place ? document.activeElement : null;
  const key = on && keyOf(on);
  const range = on?.selectionStart === undefined ? null : [on.selectionStart, on.selectionEnd];
  return () => {
    for (const one of place.querySelectorAll("details")) one.open = folds.get(keyOf(one)) ?? one.open;
    for (const one of place.querySelectorAll("input[type=checkbox]")) one.checked = ticks.get(keyOf(one)) ?? one.checked;
    for (const one of place.querySelectorAll(FIELDS)) one.value = texts.get(keyOf(one)) ?? one.value;
    if (!on) return true;
    const again = [...place.querySelectorAll(on.tagName)].find((one) => keyOf(one) === key && !one.disabled);
    again?.focus({ preventScroll: true });
    if (range && range[0] !== null) again?.setSelectionRange(...range);
    return Boolean(again);
  };
}
