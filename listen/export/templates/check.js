"use strict";
(() => {
  const audio = document.getElementById("sound");
  let end = Infinity, now = null;
  const mark = (button) => {
    if (now) now.removeAttribute("aria-current");
    now = button;
    if (now) now.setAttribute("aria-current", "true");
  };
  const hush = () => {
    for (const one of document.querySelectorAll("audio")) one.pause();
  };
  document.addEventListener("click", (event) => {
    const button = event.target.closest("[data-plays], [data-clip]");
    if (!button) return;
    hush();
    if (button.dataset.clip) {
      const clip = document.getElementById(button.dataset.clip);
      clip.currentTime = 0;
      clip.volume = 0.7;
      clip.play();
      mark(button);
      clip.onended = () => mark(null);
      return;
    }
    if (!audio) return;
    const [start, stop] = button.dataset.plays.split(":").map(Number);
    audio.currentTime = start;
    end = stop;
    audio.play();
    mark(button);
  });
  if (!audio) return;
  audio.volume = 0.7;
  audio.addEventListener("timeupdate", () => {
    if (audio.currentTime >= end) {
      audio.pause();
      end = Infinity;
      mark(null);
    }
  });
  audio.addEventListener("seeking", () => {
    if (!now) end = Infinity;
  });
})();
