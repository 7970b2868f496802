"use strict";
(() => {
  const { format, items } = JSON.parse(document.getElementById("items").textContent);
  const sections = Array.from(document.querySelectorAll(".item"));
  const begin = document.getElementById("begin"), end = document.getElementById("end");
  const answers = [];
  let now = -1, audio = null, heardAt = 0;

  const play = (item, name) => new Promise((done) => {
    if (audio) audio.pause();
    audio = new Audio(items[item].sounds[name]);
    audio.addEventListener("ended", done);
    audio.play().catch(done);
  });
  const ask = (item) => {
    if (now >= 0) sections[now].hidden = true;
    now = item;
    if (item >= items.length) return finish();
    sections[item].hidden = false;
    sections[item].querySelector(".hear").focus();
    heardAt = 0;
    play(item, "question").then(() => { heardAt = heardAt || performance.now(); });
  };
  const answer = (place) => {
    const item = items[now], section = sections[now], option = item.options[place];
    if (!option || answers.length > now) return;
    const right = option.key === item.answer;
    const tookS = heardAt ? (performance.now() - heardAt) / 1000 : 0;
    answers.push({ at: new Date().toISOString(), kind: item.kind, level: item.level, played: item.answer,
      said: option.key, is_right: right, took_s: Math.round(Math.min(tookS, 3600) * 100) / 100 });
    section.querySelectorAll(".option").forEach((button, number) => {
      button.disabled = true;
      button.classList.toggle("right", item.options[number].key === item.answer);
      button.classList.toggle("said", number === place);
      button.append(item.options[number].key === item.answer ? " – right" : number === place ? " – you chose this" : "");
    });
    const truth = item.options.find((each) => each.key === item.answer);
    section.querySelector(".verdict").textContent = right ? `Right: ${truth.text}.` : `Not this time: it is ${truth.text}.`;
    section.querySelector(".advice").textContent = option.advice;
    const chosen = section.querySelector(".chosen");
    const name = `option${place}`;
    if (!right && item.sounds[name]) { chosen.hidden = false; chosen.dataset.sound = name; }
    section.querySelector(".after").hidden = false;
    const told = section.querySelector(".told");
    told.focus({ preventScroll: true }); // not a button: Space plays again
    told.scrollIntoView({ block: "nearest" });
    if (!right && item.sounds[name]) play(now, "question").then(() => play(now, name));
  };
  const finish = () => {
    end.hidden = false;
    const right = answers.filter((each) => each.is_right).length;
    document.getElementById("result").textContent = `${right} of ${answers.length} right.`;
    const text = JSON.stringify({ format, answers }, null, 1);
    document.getElementById("keep").href = `data:application/json;charset=utf-8,${encodeURIComponent(text)}`;
    document.getElementById("keep").focus();
  };

  begin.addEventListener("click", () => { begin.hidden = true; ask(0); });
  document.addEventListener("click", (event) => {
    const button = event.target.closest("button");
    if (!button || now < 0 || now >= items.length) return;
    if (button.classList.contains("hear")) play(now, button.dataset.sound);
    else if (button.classList.contains("option")) answer(Array.from(sections[now].querySelectorAll(".option")).indexOf(button));
    else if (button.classList.contains("next")) ask(now + 1);
  });
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey || now < 0 || now >= items.length) return;
    if (event.key >= "1" && event.key <= "9") answer(Number(event.key) - 1);
    else if (event.key === "Enter" && answers.length > now && !event.target.closest("button")) ask(now + 1);
    else if (event.key === " " && !event.target.closest("button:not(.hear)")) { event.preventDefault(); play(now, "question"); }
  });
})();
