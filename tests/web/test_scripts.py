"""The page's scripts by themselves, in a browser: what two clicks in quick succession do."""

from __future__ import annotations

from tests.web.browser import Served
from tests.web.conftest import Watched

TWO_CLICKS = """async () => {
  const { recorderBox } = await import("/static/recorder.js");
  const streams = [];
  const really = navigator.mediaDevices.getUserMedia.bind(navigator.mediaDevices);
  navigator.mediaDevices.getUserMedia = async (what) => {
    await new Promise((done) => setTimeout(done, 50));
    streams.push(await really(what));
    return streams.at(-1);
  };
  const pause = () => new Promise((done) => setTimeout(done, 400));
  let takes = 0;
  const recorder = recorderBox(() => { takes += 1; });
  recorder.toggle();
  recorder.toggle();
  await pause();
  recorder.toggle();
  await pause();
  return { takes, open: streams.flatMap((one) => one.getTracks()).filter((one) => one.readyState === "live").length };
}"""

TWO_STRETCHES = """async () => {
  const { Player } = await import("/static/player.js");
  const player = new Player(), wait = () => new Promise((done) => setTimeout(done, 5));
  let held = [];
  const heard = [];
  Object.assign(player, {
    context: { sampleRate: 1000 }, recording: new Float32Array(60_000), loading: Promise.resolve(),
    node: {
      dropBuffers: async () => { held = []; await wait(); },
      addBuffers: async ([recording]) => { held.push(recording.length); await wait(); },
      schedule: async () => heard.push([...held]),
    },
  });
  const first = player.play(10, 12);
  for (let turn = 0; turn < 3; turn += 1) await Promise.resolve();
  await Promise.all([first, player.play(30, 33)]);
  return heard;
}"""

LATE_SOUNDS = """async () => {
  const { Player } = await import("/static/player.js");
  const player = new Player(), begun = [], arrive = {};
  window.AudioBufferSourceNode = class {
    constructor(context, { buffer }) { this.length = buffer.length; }
    connect() {}
    start() { begun.push(this.length); this.onended(); }
    stop() {}
  };
  Object.assign(player, {
    prepare: async () => {},
    context: { sampleRate: 1000, createBuffer: (n, length) => ({ length, copyToChannel() {} }) },
    decode: (url) => new Promise((done) => { arrive[url] = () => done(new Float32Array(Number(url))); }),
  });
  const turns = async () => { for (let turn = 0; turn < 5; turn += 1) await Promise.resolve(); };
  const first = player.sound("1"), second = player.sound("2");
  await turns();
  arrive[2]();
  await second;
  arrive[1]();
  const heard = [await first, await second], third = player.sound("3");
  await turns();
  player.hush();
  arrive[3]();
  return { begun, heard: [...heard, await third] };
}"""


def test_a_second_click_while_the_microphone_is_asked_for_starts_no_second_recorder(
    served: Served, tabs: Watched
) -> None:
    tab = tabs.open(served.address)
    assert tab.evaluate(TWO_CLICKS) == {"takes": 1, "open": 0}


def test_of_two_stretches_in_quick_succession_the_last_is_heard_alone(served: Served, tabs: Watched) -> None:
    tab = tabs.open(served.address)
    assert tab.evaluate(TWO_STRETCHES) == [[3600]]  # 3 s, and 0.3 s on both sides


def test_a_sound_that_comes_late_is_not_heard_over_a_newer_one_nor_after_silence(served: Served, tabs: Watched) -> None:
    tab = tabs.open(served.address)
    assert tab.evaluate(LATE_SOUNDS) == {"begun": [2], "heard": [False, True, False]}
