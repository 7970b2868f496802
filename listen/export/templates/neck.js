"use strict";
(() => {
  const root = document.documentElement;
  root.classList.add("live");
  const view = document.getElementById("view"), labels = document.getElementById("labels");
  const sections = [...document.querySelectorAll(".view")];
  let sounding = null;

  const stop = () => { if (sounding) { sounding.pause(); sounding.currentTime = 0; sounding = null; } };

  const release = () => {
    for (const button of document.querySelectorAll(".shape")) button.setAttribute("aria-pressed", "false");
    for (const neck of document.querySelectorAll(".neck")) neck.classList.remove("apart");
    for (const place of document.querySelectorAll(".picked")) place.classList.remove("picked");
  };

  const show = () => {
    stop();
    release();
    sections.forEach((section, number) => {
      section.hidden = String(number) !== view.value;
      for (const neck of section.querySelectorAll(".neck")) neck.hidden = neck.dataset.labels !== labels.value;
    });
  };

  const pick = (button) => {
    const wasPicked = button.getAttribute("aria-pressed") === "true";
    stop();
    release();
    if (wasPicked) return;
    button.setAttribute("aria-pressed", "true");
    for (const neck of button.closest(".view").querySelectorAll(".neck")) {
      neck.classList.add("apart");
      for (const place of button.dataset.frets.split(" ")) {
        const [string, fret] = place.split(":");
        neck.querySelector(`[data-string="${string}"][data-fret="${fret}"]`)?.classList.add("picked");
      }
    }
    sounding = button.parentElement.querySelector("audio");
    if (sounding) sounding.play().catch(() => {});
  };

  view.addEventListener("change", show);
  labels.addEventListener("change", show);
  for (const button of document.querySelectorAll(".shape")) button.addEventListener("click", () => pick(button));
  show();
})();
