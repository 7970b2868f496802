// Practice: a question sounds, is answered by key, click or name, by humming its bass or by playing it, and is explained.

import { ask, attempt, fetchAnswer, make, say } from "../api.js";
import { setKeys } from "../keys.js";
import { player } from "../player.js";

const CAUTION = "Begin with the volume low. Ten minutes are enough for one sitting; if your ears ring or feel dull, stop for the day, and see a clinician when it stays.";
const RECORDED_MS = { hum: 2500, guitar: 3500 };
const ASKED_FOR = { hum: "Hum the bass now.", guitar: "Play the chord now." };
const RECORDING = "Recording …";
const WAYS = { hum: "Hum the bass", guitar: "Play the chord into the microphone" };
const LADDER = "Let the program choose", LADDER_ABOUT = "Steps become harder: the next one comes once you answer the one before it well.";
const PAUSE_MS = 500; // between what sounded and what was chosen in its place
const SESSION_MS = 10 * 60 * 1000;

export async function show(place) {
  const steps = make("select", { id: "step", "aria-describedby": "step-about", onchange: () => showStep() }, make("option", { value: "" }, LADDER));
  const about = make("p", { id: "step-about", class: "quiet", role: "status" }, LADDER_ABOUT);
  const askNow = make("button", { hidden: true }, "Ask it now");
  const chosen = make("form", { class: "row ask", onsubmit: (event) => { event.preventDefault(); if (!askNow.hidden) next(); } },
    make("label", {}, "What to practise ", steps), askNow, about);
  const head = make("header", { class: "work" }, make("h1", {}, "Practice"), make("p", { class: "quiet" }, CAUTION), chosen);
  const desk = make("section", { class: "sheet looked-up", "aria-label": "Question" });
  const soFar = make("section", { class: "sheet", "aria-label": "Progress" });
  place.replaceChildren(head, desk, soFar);
  const begun = performance.now();
  let question = null, answered = false, recording = null, heardAt = 0, alive = true, reminded = false;

  const sound = (what) => player.sound(`/api/practice/questions/${question.ident}/sound?what=${what}`);
  const isOpen = (of) => alive && question === of && !answered;
  // A question that the program no longer knows, since it was started again, cannot be answered.
  const orNext = (of) => (error) => {
    if (error.status !== 404 || !isOpen(of)) throw error;
    say("That question is no longer on the table: this is the next one.");
    return next();
  };
  // What was wrong with the last answer would lie over this one's.
  const forgetError = () => { if (document.querySelector("#said.error")) say(""); };
  const hear = () => attempt(async () => {
    if (recording) return; // the microphone would hear it
    const of = question;
    if (!of) return next();
    if (await sound("question").catch(orNext(of)) && question === of) heardAt ||= performance.now();
  });
  // Since the sound first ended; nothing where it was answered before: that is no measure of how quickly it is heard.
  const took = () => (heardAt ? Math.min(3600, (performance.now() - heardAt) / 1000) : 0);

  // What is chosen holds from the next question on. Another than is open may be asked at once: arrows through the list ask nothing.
  function showStep() {
    const told = steps.selectedOptions[0].dataset.about ?? LADDER_ABOUT;
    if (about.textContent !== told) about.textContent = told; // a screen reader tells it once
    askNow.hidden = !(question && !answered && steps.value && steps.value !== question.kind);
  }
  const fillSteps = () => attempt(async () => {
    const told = await ask("/practice/steps");
    steps.append(...told.map(({ kind, about: text }, at) => make("option", { value: kind, "data-about": `${text[0].toUpperCase()}${text.slice(1)}.` }, `${at + 1}  ${kind}`)));
  });

  const progress = () => attempt(async () => {
    const { html } = await ask("/practice/progress");
    if (alive) soFar.replaceChildren(make("h2", {}, "So far"), Object.assign(make("div"), { innerHTML: html }));
  });

  const next = () => attempt(async () => {
    forgetError();
    stopRecording();
    question = await ask(`/practice/questions?kind=${encodeURIComponent(steps.value)}`, { method: "POST" });
    answered = false;
    heardAt = 0;
    const options = question.options.map(({ key, text }, at) =>
      make("li", {}, make("button", { type: "button", class: "option", "data-key": key, onclick: () => answer(`${at + 1}`) }, `${at + 1}  ${text}`)));
    const way = (how) => (question.ways.includes(how) ? make("button", { type: "button", class: "say record", "data-way": how, onclick: () => record(how) }, WAYS[how]) : null);
    desk.replaceChildren(
      make("p", { class: "quiet" }, question.kind), make("h2", { tabindex: -1 }, question.prompt),
      make("p", { class: "row" }, ...[make("button", { type: "button", onclick: hear }, "Play"),
        way("hum"), way("guitar"),
        !question.can_name ? null : make("form", { class: "own", onsubmit: (event) => { event.preventDefault(); answer(event.target.value.value.trim(), event.target.value); } },
          make("label", {}, "Or name it ", make("input", { name: "value", size: 8, maxlength: 80, required: "", placeholder: question.kind === "quality" ? "m7" : "C/E", autocomplete: "off", spellcheck: "false" })),
          make("button", { class: "say" }, "Say it"))].filter(Boolean)),
      make("ol", { class: "options" }, ...options), make("div", { class: "after", role: "status" }));
    desk.querySelector("h2").focus();
    showStep();
    showKeysNow();
    await hear();
  });

  const answer = (said, field = null) => attempt(async () => {
    const of = question;
    if (!of || answered) return;
    const judged = await ask(`/practice/questions/${of.ident}/answer`, { method: "POST", body: { said, took_s: took() } }).catch(orNext(of));
    if (judged && isOpen(of)) tell(judged);
  }, { field });

  const record = (how) => attempt(async () => {
    const of = question;
    if (!of?.ways.includes(how) || answered || recording) return;
    const tookS = took(); // whoever presses knows the answer; what is recorded only says it
    const own = recording = new AbortController();
    const button = desk.querySelector(`[data-way=${how}]`);
    player.hush();
    showKeysNow();
    let pieces;
    try {
      pieces = await capture(RECORDED_MS[how], own.signal, () => {
        say(ASKED_FOR[how]);
        button.textContent = RECORDING;
        button.classList.add("on");
      });
    } finally {
      button.textContent = WAYS[how];
      button.classList.remove("on");
      if (recording === own) recording = null;
      if (alive) showKeysNow();
    }
    if (!pieces || !isOpen(of)) return; // answered otherwise meanwhile, or left
    const reply = await fetchAnswer(`/api/practice/questions/${of.ident}/${how}?took_s=${tookS}`, { method: "POST", body: new Blob(pieces) }).catch(orNext(of));
    const told = await reply?.json();
    if (told && isOpen(of)) tell(told);
  });

  function stopRecording() {
    recording?.abort();
    recording = null;
  }

  function tell(judged) {
    const of = question;
    answered = true;
    stopRecording();
    forgetError();
    showStep();
    showKeysNow();
    for (const button of desk.querySelectorAll(".option, .say")) button.disabled = true;
    for (const button of desk.querySelectorAll(".option")) {
      const isRight = button.dataset.key === judged.answer, isSaid = button.dataset.key === judged.said;
      button.classList.toggle("right", isRight);
      button.classList.toggle("said", isSaid);
      button.append(isRight ? " – right" : isSaid ? " – you chose this" : "");
    }
    const off = judged.cents === null ? "" : ` Your hum lay ${Math.abs(Math.round(judged.cents))} cents ${judged.cents < 0 ? "below" : "above"} the bass.`;
    const heard = judged.heard ? ` ${judged.heard}.` : "";
    const button = (name, what) => make("button", { type: "button", onclick: () => attempt(() => sound(what)) }, name);
    const after = desk.querySelector(".after");
    after.innerHTML = judged.html; // made and escaped by the server
    const told = make("div", { class: "told", tabindex: -1 },
      make("p", { class: "verdict" }, `${judged.is_right ? "Right" : "Not this time"}: ${judged.text}.${heard}${off}`),
      make("p", { class: "row" }, button("What sounded", "question"), judged.can_hear_chosen ? button("What you chose", "chosen") : null,
        button("The bass alone", "bass"), judged.can_hear_rooted ? button("In root position", "rooted") : null, button("Bottom to top", "spelled"),
        make("button", { type: "button", class: "next", onclick: next }, "Next")));
    after.prepend(told, make("p", {}, judged.listen_for));
    told.focus({ preventScroll: true }); // not a button: Space hears it again
    told.scrollIntoView({ block: "nearest" });
    if (judged.can_hear_chosen) attempt(async () => {
      if (!await sound("question")) return; // something else was asked for
      const last = player.single;
      await new Promise((done) => setTimeout(done, PAUSE_MS));
      if (alive && question === of && player.single === last) await sound("chosen"); // what was asked for since goes first
    });
    if (!reminded && performance.now() - begun > SESSION_MS) { reminded = true; say("Ten minutes: give your ears a rest."); }
    progress();
  }

  desk.replaceChildren(make("p", {}, "Questions become harder as you do. What you answer is kept on this machine."),
    make("p", {}, make("button", { type: "button", class: "begin", onclick: next }, "Begin")));
  // What holds now: a key without words does nothing, and is not left to what it means elsewhere.
  function showKeysNow() {
    const open = question && !answered, can = (how) => open && !recording && question.ways.includes(how);
    const key = (name, shown, does, run) => ({ key: name, shown, does, run: (event) => does && run(event) });
    setKeys([
      key(" ", "Space", question ? "Hear it again" : "The first question", hear),
      key("n", "N", open ? "" : "Next question", next),
      key("Enter", "Enter", question && answered ? "Next question" : "", (event) => event.repeat || next()),
      key("h", "H", can("hum") ? "Hum the bass" : "", () => record("hum")),
      key("p", "P", can("guitar") ? "Play it back on the guitar" : "", () => record("guitar")),
      key("b", "B", question && answered ? "The bass alone" : "", () => attempt(() => sound("bass"))),
      ...(open ? question.options : []).map(({ text }, at) => key(`${at + 1}`, `${at + 1}`, `Answer: ${text}`, () => answer(`${at + 1}`))),
      key("l", "L", "Choose a step of the ladder", () => steps.focus()),
    ]);
  }

  showKeysNow();
  await Promise.all([fillSteps(), progress()]);
  return () => { alive = false; stopRecording(); player.hush(); };
}

// What the microphone hears in a time; null where it was called off before that was over.
async function capture(ms, calledOff, tellBegun) {
  const stream = await navigator.mediaDevices.getUserMedia({ audio: { echoCancellation: false, noiseSuppression: false, autoGainControl: false } })
    .catch(() => { if (!calledOff.aborted) throw new Error("No microphone may be used: allow it for this page, or answer by key."); });
  try {
    if (calledOff.aborted) return null; // while the browser asked
    const recorder = new MediaRecorder(stream), pieces = [];
    recorder.ondataavailable = (event) => event.data.size && pieces.push(event.data);
    const stopped = new Promise((done) => { recorder.onstop = done; });
    recorder.start();
    tellBegun();
    await new Promise((done) => { calledOff.onabort = done; setTimeout(done, ms); });
    recorder.stop();
    await stopped;
    return calledOff.aborted ? null : pieces;
  } finally {
    stream?.getTracks().forEach((track) => track.stop());
  }
}
