"use strict";
(() => {
  const audio = document.getElementById("sound");
  const bars = Array.from(document.querySelectorAll("[data-plays]"), (element) => ({
    element,
    number: Number(element.dataset.number),
    plays: element.dataset.plays.split(" ").map((span) => span.split(":").map(Number)),
  }));
  const from = document.getElementById("from"), to = document.getElementById("to");
  const loop = document.getElementById("loop"), speed = document.getElementById("speed");
  const blend = document.getElementById("blend");
  const played = bars.flatMap((bar) => bar.plays.map(([start, end, number]) => ({ bar, start, end, number })))
    .sort((one, other) => one.start - other.start);
  const more = document.querySelector(".player .more"), small = matchMedia("(max-width: 34rem), (max-height: 32rem)"); // as in part.css
  const fold = () => { more.open = !small.matches; };
  if (more) { small.addEventListener("change", fold); fold(); }
  if (!audio || !played.length) return;

  const numbered = (text) => played.find((play) => play.number === Number(text));
  const range = () => {
    const first = numbered(from.value) || played[0], last = numbered(to.value) || first;
    return last.start < first.start ? [last.start, first.end] : [first.start, last.end];
  };
  const showLoop = () => {
    const [start, end] = range();
    for (const bar of bars) {
      const inside = bar.plays.some((play) => play[0] >= start - 0.001 && play[1] <= end + 0.001);
      bar.element.classList.toggle("looped", loop.checked && inside);
    }
  };
  const showNow = () => {
    const at = audio.currentTime;
    const now = played.find((play) => at >= play.start && at < play.end);
    for (const bar of bars) bar.element.classList.toggle("now", Boolean(now) && now.bar === bar);
  };
  const follow = () => {
    if (loop.checked) {
      const [start, end] = range();
      if (audio.currentTime >= end || audio.currentTime < start - 0.05) audio.currentTime = start;
    }
    showNow();
    if (!audio.paused) requestAnimationFrame(follow);
  };

  let gains = null;
  const connect = () => {
    const Context = window.AudioContext || window.webkitAudioContext;
    if (gains || !blend || !Context) return;
    const context = new Context(), source = context.createMediaElementSource(audio);
    const splitter = context.createChannelSplitter(2);
    gains = [context.createGain(), context.createGain()];
    source.connect(splitter);
    gains.forEach((gain, channel) => {
      gain.channelCount = 1;
      gain.channelCountMode = "explicit";
      splitter.connect(gain, channel);
      gain.connect(context.destination);
    });
    context.resume();
    mix();
  };
  const mix = () => {
    if (!gains) return;
    const angle = Number(blend.value) * Math.PI / 2;
    gains[0].gain.value = Math.cos(angle);
    gains[1].gain.value = Math.sin(angle);
  };

  audio.addEventListener("play", () => { connect(); requestAnimationFrame(follow); });
  audio.addEventListener("seeked", showNow);
  speed.addEventListener("change", () => { audio.playbackRate = Number(speed.value); audio.preservesPitch = true; });
  if (blend) blend.addEventListener("input", mix);
  for (const field of [from, to, loop]) field.addEventListener("change", showLoop);
  for (const bar of bars) {
    bar.element.querySelector("button").addEventListener("click", (event) => {
      const number = bar.plays[0][2];
      if (!event.shiftKey) from.value = number;
      to.value = bar.element.closest(".return, .free") ? bar.plays.at(-1)[2] : number; // which stands for many bars
      loop.checked = true;
      showLoop();
      audio.currentTime = range()[0];
      audio.play();
    });
  }
})();
