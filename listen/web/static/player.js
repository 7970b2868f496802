// What is heard: a stretch of the recording, the part on strings, or both, at any pace, at its own pitch.
// Two channels go through one time-stretch: the recording and the strings, so that they cannot drift apart.

import { fetchAnswer, notLoaded } from "./api.js";
import SignalsmithStretch from "./vendor/signalsmith-stretch.mjs";

SignalsmithStretch.moduleUrl = "/static/vendor/signalsmith-stretch.mjs";

export const PACES = [["as played", 1], ["held back", 0.85], ["slow", 0.7], ["half", 0.5], ["very slow", 0.4]];
const AROUND_S = 0.3; // sound on both sides of a loop, so that its seam is no cut
const BASS_HZ = 170; // E2 to about E3: fundamentals of the bass strings
const LONGEST_STRINGS_S = 120;

export class Player extends EventTarget {
  constructor() {
    super();
    this.context = null;
    this.node = null;
    this.recording = null;
    this.take = null;
    this.url = null;
    this.stretch = null;
    this.pace = 1;
    this.cents = 0;
    this.mode = "recording";
    this.bassOnly = false;
    this.playing = false;
    this.ticket = 0;
  }

  async prepare() {
    if (!this.context) {
      this.context = new AudioContext({ latencyHint: "interactive" });
      const { context } = this;
      this.gains = ["recording left", "recording right", "strings left", "strings right"].map(() => context.createGain());
      const merger = context.createChannelMerger(2);
      this.gains.forEach((gain, index) => gain.connect(merger, 0, index % 2));
      this.filters = [0, 1].map(() => new BiquadFilterNode(context, { type: "lowpass", frequency: BASS_HZ, Q: 0.7 }));
      this.open = context.createGain();
      this.low = context.createGain();
      this.master = new GainNode(context, { gain: 0.8 });
      merger.connect(this.open).connect(this.master);
      merger.connect(this.filters[0]).connect(this.filters[1]).connect(this.low).connect(this.master);
      this.master.connect(context.destination);
      this.mix();
    }
    await this.context.resume();
    if (!this.node) {
      this.node = await SignalsmithStretch(this.context, { numberOfInputs: 1, numberOfOutputs: 1, outputChannelCount: [2] })
        .catch((error) => { if (error.name === "AbortError") return notLoaded(); throw error; });
      const splitter = this.context.createChannelSplitter(2);
      this.node.connect(splitter);
      this.gains.forEach((gain, index) => splitter.connect(gain, index < 2 ? 0 : 1));
      await this.node.setUpdateInterval(0.04, (at) => this.follow(at));
    }
  }

  // What is heard: a take of the library, or a recording at another address, which has no strings beside it.
  choose(take, url = `/api/takes/${take}/sound`) {
    if (this.url === url) return;
    this.stop();
    this.take = take;
    this.url = url;
    this.recording = null;
    this.loading = null;
  }

  load() {
    const { url } = this;
    this.loading ??= (async () => {
      await this.prepare();
      const samples = await this.decode(url);
      if (this.url === url) this.recording = samples;
    })().catch((error) => { if (this.url === url) this.loading = null; throw error; });
    return this.loading;
  }

  async decode(url) {
    const answer = await fetchAnswer(url);
    return (await this.context.decodeAudioData(await answer.arrayBuffer())).getChannelData(0);
  }

  get length() {
    return this.recording ? this.recording.length / this.context.sampleRate : 0;
  }

  async play(start, end, { loop = true } = {}) {
    const ticket = ++this.ticket;
    await this.load();
    if (ticket !== this.ticket || !this.recording) return;
    const rate = this.context.sampleRate;
    const from = Math.max(0, start - AROUND_S), until = Math.min(this.length, end + AROUND_S);
    const recording = this.recording.slice(Math.round(from * rate), Math.round(until * rate));
    const strings = new Float32Array(recording.length);
    if (this.take && this.mode !== "recording") {
      const stop = Math.min(end, start + LONGEST_STRINGS_S);
      const samples = await this.decode(`/api/takes/${this.take}/strings?start_s=${start}&end_s=${stop}`);
      if (ticket !== this.ticket) return;
      strings.set(samples.subarray(0, Math.max(0, strings.length - Math.round((start - from) * rate))),
        Math.round((start - from) * rate));
      balance(recording, strings);
    }
    await this.node.dropBuffers();
    if (ticket !== this.ticket) return; // what was asked for since then has put its own sound there
    await this.node.addBuffers([recording, strings]);
    if (ticket !== this.ticket) return;
    this.stretch = { start, end, loop, from };
    this.playing = true;
    const inside = start - from;
    await this.node.schedule({
      active: true, input: inside, rate: this.pace, semitones: this.cents / 100,
      loopStart: loop ? inside : 0, loopEnd: loop ? inside + (end - start) : 0,
    });
    this.tell();
  }

  stop() {
    this.ticket += 1;
    if (this.node && this.playing) this.node.schedule({ active: false });
    this.playing = false;
    this.tell();
  }

  async again() {
    if (this.stretch && this.playing) await this.play(this.stretch.start, this.stretch.end, this.stretch);
  }

  async setPace(pace) {
    this.pace = pace;
    this.tell();
    if (this.playing) await this.node.schedule({ rate: pace });
  }

  async setCents(cents) {
    this.cents = cents;
    this.tell();
    if (this.playing) await this.node.schedule({ semitones: cents / 100 });
  }

  async setMode(mode) {
    const needs = mode !== "recording" && this.mode === "recording";
    this.mode = mode;
    this.mix();
    this.tell();
    if (needs) await this.again();
  }

  setBassOnly(on) {
    this.bassOnly = on;
    this.mix();
    this.tell();
  }

  mix() {
    if (!this.gains) return;
    const levels = {
      recording: [1, 1, 0, 0], strings: [0, 0, 1, 1], "one in each ear": [1, 0, 0, 1], both: [0.7, 0.7, 0.7, 0.7],
    }[this.mode];
    this.gains.forEach((gain, index) => gain.gain.setTargetAtTime(levels[index], this.context.currentTime, 0.02));
    this.open.gain.setTargetAtTime(this.bassOnly ? 0 : 1, this.context.currentTime, 0.02);
    this.low.gain.setTargetAtTime(this.bassOnly ? 1.6 : 0, this.context.currentTime, 0.02);
  }

  // A short sound by itself, over whatever is looping; says at its end whether it was heard to the end.
  async sound(url) {
    await this.prepare();
    const samples = await this.decode(url);
    const buffer = this.context.createBuffer(1, samples.length, this.context.sampleRate);
    buffer.copyToChannel(samples, 0);
    this.single?.stop();
    const single = this.single = new AudioBufferSourceNode(this.context, { buffer });
    const ended = new Promise((done) => { single.onended = done; });
    single.connect(this.master);
    single.start();
    await ended;
    return this.single === single;
  }

  follow(at) {
    if (!this.playing || !this.stretch) return;
    const { start, end, loop, from } = this.stretch;
    const now = from + at;
    if (!loop && now >= end) { this.stop(); return; }
    this.dispatchEvent(new CustomEvent("time", { detail: Math.min(Math.max(now, start), end) }));
  }

  tell() {
    Object.assign(document.body.dataset, { playing: this.playing, pace: this.pace, cents: this.cents, mode: this.mode });
    this.dispatchEvent(new Event("change"));
  }
}

// The strings as loud as the recording.
function balance(recording, strings) {
  const power = (samples) => samples.reduce((sum, sample) => sum + sample * sample, 0) / Math.max(1, samples.length);
  const [heard, rendered] = [power(recording), power(strings)];
  if (!heard || !rendered) return;
  const gain = Math.min(4, Math.sqrt(heard / rendered));
  for (let index = 0; index < strings.length; index += 1) strings[index] *= gain;
}

export const player = new Player();
