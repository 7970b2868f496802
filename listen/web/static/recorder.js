// Record a take with this machine's microphone: MediaRecorder, and a level that shows whether it hears anything.

import { make } from "./api.js";

const KINDS = ["audio/webm;codecs=opus", "audio/mp4", "audio/ogg;codecs=opus"];
const LOUD = 0.98; // of full scale: the wave is being cut off

export function recorderBox(onTake) {
  const button = make("button", { type: "button", class: "record" }, "Record");
  const meter = make("meter", { min: 0, max: 1, low: 0.02, high: 0.9, optimum: 0.4, value: 0, hidden: true, "aria-label": "Level" });
  const words = make("span", { class: "quiet", role: "status" });
  const box = make("div", { class: "recorder" }, button, meter, words);
  let running = null, starting = false, left = false;

  async function toggle() {
    if (running) { running.stop(); return; }
    if (starting) return; // the browser asks for the microphone: a second recorder would keep one open
    starting = true;
    try { await begin(); } finally { starting = false; }
  }

  async function begin() {
    let stream;
    try {
      stream = await navigator.mediaDevices.getUserMedia({
        audio: { echoCancellation: false, noiseSuppression: false, autoGainControl: false },
      });
    } catch {
      words.textContent = "No microphone may be used: allow it for this page, or bring a file in.";
      return;
    }
    if (left) { // while the browser asked: nobody would see that it runs
      stream.getTracks().forEach((track) => track.stop());
      return;
    }
    const kind = KINDS.find((one) => MediaRecorder.isTypeSupported(one));
    const recorder = new MediaRecorder(stream, kind ? { mimeType: kind, audioBitsPerSecond: 192000 } : {});
    const pieces = [];
    const context = new AudioContext();
    const analyser = context.createAnalyser();
    analyser.fftSize = 8192; // 0.17 s at 48 kHz: no peak falls between two looks
    context.createMediaStreamSource(stream).connect(analyser);
    const samples = new Float32Array(analyser.fftSize);
    const begun = performance.now();
    let wasLoud = false;
    const timer = setInterval(() => {
      analyser.getFloatTimeDomainData(samples);
      const peak = samples.reduce((most, sample) => Math.max(most, Math.abs(sample)), 0);
      meter.value = Math.min(1, Math.sqrt(peak));
      wasLoud ||= peak > LOUD;
      const seconds = Math.floor((performance.now() - begun) / 1000);
      words.textContent = `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`
        + (wasLoud ? " – too loud: move away a little" : peak < 0.01 ? " – nothing is heard" : "");
    }, 100);
    recorder.ondataavailable = (event) => event.data.size && pieces.push(event.data);
    recorder.onstop = () => {
      clearInterval(timer);
      removeEventListener("beforeunload", askFirst);
      stream.getTracks().forEach((track) => track.stop());
      context.close();
      button.textContent = "Record";
      button.classList.remove("on");
      meter.hidden = true;
      words.textContent = "";
      running = null;
      const type = recorder.mimeType || "audio/webm";
      const ending = type.includes("mp4") ? "m4a" : type.includes("ogg") ? "ogg" : "webm";
      const now = new Date();
      const clock = `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())} ${two(now.getHours())}.${two(now.getMinutes())}.${two(now.getSeconds())}`;
      onTake(new Blob(pieces, { type }), `Take ${clock}.${ending}`);
    };
    recorder.start(1000);
    running = recorder;
    addEventListener("beforeunload", askFirst);
    meter.hidden = false;
    button.textContent = "Stop and read it";
    button.classList.add("on");
  }

  button.addEventListener("click", toggle);
  return { box, toggle: () => button.click(), leave: () => { left = true; running?.stop(); } };
}

// A page that is closed or loaded anew while it records loses the take.
function askFirst(event) {
  event.preventDefault();
}

function two(number) {
  return String(number).padStart(2, "0");
}
