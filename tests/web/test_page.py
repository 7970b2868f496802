"""The page in a real browser: bring in, hear, see, guess, correct, take back, take away."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from tests.web.browser import Served, open_take, unfold, until, wait_until
from tests.web.conftest import Watched


def test_a_dropped_recording_becomes_a_sheet_whose_barsunfold(served: Served, take: str, tabs: Watched) -> None:
    tab = open_take(tabs, served, take)
    assert "token" not in tab.url
    assert tab.inner_text(".sheet h1") == "evening"
    assert "4/4" in tab.inner_text(".sheet dl.facts")
    unfold(tab, 2)
    neck = tab.locator(".opened .neck svg").first
    assert neck.locator(".place.sounded, .place.sounded-root").count() >= 3
    assert neck.locator(".place.elsewhere").count() > neck.locator(".place.sounded").count()
    assert "string 6" in (neck.locator("desc").text_content() or "").lower()
    assert (tab.locator(".opened .curve desc").text_content() or "").startswith("Strokes:")
    assert not tab.is_visible(".opened .place.elsewhere >> nth=0")
    tab.keyboard.press("p")
    assert tab.is_visible(".opened .place.elsewhere >> nth=0")
    tab.keyboard.press("d")
    until(tab, "document.querySelector('.opened .neck .sounded text')?.textContent.match(/[A-G]/)")


def test_a_bar_loops_slowly_at_its_own_pitch(served: Served, take: str, tabs: Watched) -> None:
    tab = open_take(tabs, served, take)
    unfold(tab, 1)
    tab.click(".opened-head [data-do=play]")
    until(tab, "document.body.dataset.playing === 'true'")
    until(tab, "!document.querySelector('.opened .cursor').hidden")
    tab.select_option(".stand select >> nth=1", label="very slow")
    until(tab, "document.body.dataset.pace === '0.4'")
    tab.select_option(".stand select >> nth=0", label="one in each ear")
    until(tab, "document.body.dataset.mode === 'one in each ear'")
    tab.check(".stand input >> nth=1")
    until(tab, "(async () => (await import('/static/player.js')).player.low.gain.value > 1)()")
    tab.keyboard.press("Escape")
    assert tab.evaluate("document.body.dataset.playing") == "false"
    heard_hz, heard_s = tab.evaluate(STRETCHED_SINE)
    assert heard_hz == pytest.approx(440.0, abs=1.0)
    assert heard_s > 1.5


# 440 Hz for two seconds, played at .4 of its pace: how it sounds is counted in zero crossings of the middle second
STRETCHED_SINE = """async () => {
  const Stretch = (await import('/static/vendor/signalsmith-stretch.mjs')).default;
  Stretch.moduleUrl = '/static/vendor/signalsmith-stretch.mjs';
  const context = new OfflineAudioContext(2, 48000 * 3, 48000);
  const node = await Stretch(context, {numberOfInputs: 1, numberOfOutputs: 1, outputChannelCount: [2]});
  const sine = Float32Array.from({length: 96000}, (_, at) => 0.5 * Math.sin(2 * Math.PI * 440 * at / 48000));
  await node.addBuffers([sine, sine.slice()]);
  await node.schedule({active: true, input: 0, rate: 0.4});
  node.connect(context.destination);
  const samples = (await context.startRendering()).getChannelData(0);
  let first = null, last = null, crossings = -1;
  for (let at = 48000; at < 120000; at += 1) if (samples[at - 1] < 0 && samples[at] >= 0) {
    const exact = at - samples[at] / (samples[at] - samples[at - 1]);
    first ??= exact; last = exact; crossings += 1;
  }
  let sounding = 0;
  for (const sample of samples) if (Math.abs(sample) > 0.05) sounding += 1;
  return [crossings * 48000 / (last - first), sounding / 48000];
}"""


def test_names_are_guessed_before_they_are_shown(served: Served, take: str, tabs: Watched) -> None:
    tab = open_take(tabs, served, take)
    tab.check("text=guess first")
    unfold(tab, 1)
    name = tab.locator(".opened .held h4").first
    assert not name.is_visible()
    assert ":" not in (tab.get_attribute("[data-number='1'] button", "aria-label") or "")
    answer = name.text_content() or ""
    chord = answer.split()[0].replace("♯", "#").replace("♭", "b")
    tab.fill(".opened .guess input", "F#m7b5")
    tab.click("text=Say it")
    until(tab, "document.querySelector('.guess output').textContent.length > 5")
    assert not name.is_visible()
    tab.fill(".opened .guess input", chord)
    tab.click("text=Say it")
    name.wait_for(state="visible")
    assert tab.inner_text(".guess output").startswith("Yes")


def test_a_correction_holds_over_a_reload_and_is_taken_back_and_made_again(
    served: Served, take: str, tabs: Watched
) -> None:
    tab = open_take(tabs, served, take)
    unfold(tab, 1)
    before = tab.inner_text(".opened .held h4 >> nth=0")
    tab.click(".opened .candidates summary >> nth=0")
    tab.fill(".opened .own[data-what=name] input >> nth=0", "Gsus4")
    tab.keyboard.press("Enter")
    until(tab, "document.querySelector('.opened .held h4').textContent.startsWith('Gsus4')")
    tab.reload()
    tab.wait_for_selector(".sheet .bar")
    assert "Gsus4" in tab.inner_text("[data-number='1']")
    tab.keyboard.press("Control+z")
    until(tab, "!document.querySelector(\"[data-number='1']\").textContent.includes('Gsus4')")
    tab.click("text=Redo")
    until(tab, "document.querySelector(\"[data-number='1']\").textContent.includes('Gsus4')")
    tab.click("text=Undo")
    until(tab, "!document.querySelector(\"[data-number='1']\").textContent.includes('Gsus4')")
    unfold(tab, 1)
    assert tab.inner_text(".opened .held h4 >> nth=0") == before


def test_what_cannot_be_settled_is_one_sentence_and_changes_nothing(served: Served, take: str, tabs: Watched) -> None:
    tab = open_take(tabs, served, take)
    head = tab.inner_text(".sheet dl.facts")
    tab.click("text=Put right")
    tab.fill(".fields .own:has-text('Metre') input", "7/99")
    tab.keyboard.press("Enter")
    tab.wait_for_selector("#said.error")
    assert "metre=7/99 is not possible" in tab.inner_text("#said")
    assert tab.inner_text(".sheet dl.facts") == head
    tabs.expect("400")  # the browser notes every refusal


def test_two_tabs_cannot_overwrite_one_another(served: Served, take: str, tabs: Watched) -> None:
    one, other = open_take(tabs, served, take), open_take(tabs, served, take)
    other.evaluate("window.stop()")  # hears no news any more, as a tab that slept
    other.evaluate("import('/static/news.js').then(({ onNews }) => onNews(() => {}))")
    other.route("**/api/news", lambda route: route.abort())
    one.click("text=Put right")
    one.click("text=Count it twice as fast")
    until(one, "document.querySelector('#said').textContent.startsWith('Settled: tempo')")
    status = other.evaluate(
        """async (ident) => (await fetch(`/api/takes/${ident}/changes`, {method: 'POST',
        headers: {'Content-Type': 'application/json'},
        body: JSON.stringify({version: 1, what: 'key', value: 'C major'})})).status""",
        take.rsplit("/", 1)[1],
    )
    assert status == 409
    one.keyboard.press("Control+z")
    until(one, "document.querySelector('#said').textContent.startsWith('Taken back')")
    tabs.expect("409", "ERR_FAILED")


FILES = (("musicxml", b"<?xml"), ("mid", b"MThd"), ("json", b"{"), ("wav", b"RIFF"), ("html", b"<!DOC"))


def test_everything_can_be_taken_away(served: Served, take: str, tabs: Watched) -> None:
    tab = open_take(tabs, served, take)
    tab.click("text=Take away")
    for kind, begins in (
        ("musicxml", b"<?xml"),
        ("mid", b"MThd"),
        ("json", b"{"),
        ("wav", b"RIFF"),
        ("html", b"<!DOC"),
        ("chart", b"title: evening"),
    ):
        with tab.expect_download() as waited:
            tab.click(f".away a[href$='/{kind}']")
        assert waited.value.suggested_filename == f"evening.{kind}"
        content = Path(waited.value.path()).read_bytes()
        assert content.startswith(begins)
        if kind == "json":
            assert json.loads(content)["format"].startswith("listen.part/")


def test_a_take_is_recorded_with_the_microphone(served: Served, tabs: Watched) -> None:
    tab = tabs.open(served.address)
    tab.get_by_role("button", name="Record", exact=True).click()
    tab.wait_for_selector("text=Stop and read it")
    until(tab, "document.querySelector('meter').value > 0.01")  # Chromium's own device beeps
    tab.wait_for_timeout(1500)
    tab.click("text=Stop and read it")
    tab.wait_for_url("**/#/take/*")
    until(tab, "document.querySelector('.listening')?.hidden")
    assert tab.inner_text(".sheet h1").startswith("Take 20")


def test_the_neck_shows_a_chord_and_sounds(served: Served, tabs: Watched) -> None:
    tab = tabs.open(f"{served.address}#/neck/Am7")
    tab.wait_for_selector(".looked-up .neck svg")
    assert tab.inner_text(".looked-up h1") == "Am7"
    with tab.expect_response(re.compile("strings/frets")) as waited:
        tab.click(".looked-up .place >> nth=3")
    assert waited.value.status == 200
    tab.select_option(".ask select >> nth=0", label="by inversion")
    tab.wait_for_selector("text=First inversion")
    with tab.expect_response(re.compile("strings/frets")):
        tab.click(".looked-up .card button >> nth=0")


def test_the_sheet_prints_without_what_is_unfolded(served: Served, take: str, tabs: Watched, tmp_path: Path) -> None:
    import subprocess

    tab = open_take(tabs, served, take)
    unfold(tab, 1)
    path = tmp_path / "sheet.pdf"
    tab.pdf(path=str(path), format="A4")
    text = subprocess.run(["pdftotext", "-layout", str(path), "-"], capture_output=True, text=True, check=True).stdout
    assert "evening" in text
    assert "Chart" in text
    assert "Hear it again" not in text
    assert "Pace" not in text


def test_all_of_it_works_by_keyboard_alone(served: Served, take: str, tabs: Watched) -> None:
    tab = open_take(tabs, served, take)
    tab.keyboard.press("ArrowRight")
    tab.wait_for_selector(".opened .held")
    tab.keyboard.press("ArrowRight")
    until(tab, "document.querySelector('.unfolded')?.dataset.number === '2'")
    tab.keyboard.press(" ")
    until(tab, "document.body.dataset.playing === 'true'")
    tab.keyboard.press("-")
    until(tab, "document.body.dataset.pace === '0.85'")
    tab.keyboard.press(" ")
    until(tab, "document.body.dataset.playing === 'false'")
    tab.keyboard.press("?")
    assert "Play the bar again and again" in tab.inner_text("#keys")
    tab.keyboard.press("Escape")
    for _ in range(60):  # every control is reached with Tab, and none holds the focus
        tab.keyboard.press("Tab")
        if tab.evaluate("document.activeElement.dataset?.do") == "sound":
            break
    assert tab.evaluate("document.activeElement.dataset.do") == "sound"


def test_no_view_breaks_a_rule_of_wcag(served: Served, take: str, tabs: Watched) -> None:
    """By axe-core, WCAG 2.2 AA (https://www.w3.org/TR/WCAG22/); the dark changes colours and nothing else."""
    from axe_playwright_python.sync_playwright import Axe

    axe, tab = Axe(), tabs.open(served.address)
    rules = {
        "light": {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]},
        "dark": {"runOnly": {"type": "rule", "values": ["color-contrast"]}},
    }
    for view, ready in (
        ("/", ".takes li"), (take, ".sheet .bar"), ("/neck/G7", ".looked-up svg"), ("/homework", ".set-chart textarea"),
    ):  # fmt: skip
        tab.goto(f"{served.base}/#{view}")
        tab.wait_for_selector(ready)
        if view == take:
            unfold(tab, 1)
            for name in ("candidates", "around"):
                tab.click(f".opened .{name} summary >> nth=0")
            tab.click("text=Put right")
            tab.keyboard.press("p")
        for scheme, options in rules.items():
            tab.emulate_media(color_scheme=scheme)
            found = axe.run(tab, options=options).response["violations"]
            told = [(one["id"], [node["html"][:160] for node in one["nodes"][:3]]) for one in found]
            assert not told, (view, scheme, told)


def test_nothing_hangs_over_at_360_pixels(served: Served, take: str, tabs: Watched) -> None:
    tab = open_take(tabs, served, take)
    tab.set_viewport_size({"width": 360, "height": 740})
    unfold(tab, 1)
    assert tab.evaluate("document.documentElement.scrollWidth") <= 360
    for view, ready in (("/", ".takes li"), ("/neck/C", ".looked-up svg")):
        tab.goto(f"{served.base}/#{view}")
        tab.wait_for_selector(ready)
        assert tab.evaluate("document.documentElement.scrollWidth") <= 360, view


def test_the_page_is_small(served: Served, take: str, tabs: Watched) -> None:
    sizes: dict[str, int] = {}

    def weigh(got: Any) -> None:
        if got.status == 200 and not got.url.endswith(("/sound", "/news")):
            sizes[got.url] = len(got.body())

    tab = tabs.open("about:blank")
    tab.on("response", weigh)
    tab.goto(f"{served.address}#{take}")
    tab.wait_for_selector(".sheet .bar")
    wait_until(lambda: tab.evaluate("document.readyState") == "complete")
    assert 20_000 < sum(sizes.values()) < 300_000, sizes
