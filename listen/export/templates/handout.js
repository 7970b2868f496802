"use strict";
(() => {
  const speed = document.getElementById("speed"), shown = document.getElementById("bpm");
  const sounds = Array.from(document.querySelectorAll("audio"));
  for (const sound of sounds) {
    sound.volume = 0.7;
    sound.addEventListener("play", () => {
      for (const other of sounds) if (other !== sound) other.pause();
    });
  }
  if (!speed) return;
  speed.addEventListener("input", () => {
    for (const sound of sounds) sound.playbackRate = Number(speed.value) / 100;
    const tempi = shown.dataset.bpm.split(", ").map((bpm) => Math.round(Number(bpm) * Number(speed.value) / 100));
    shown.textContent = tempi.join(", ");
  });
})();
