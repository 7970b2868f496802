"""The sheet: one page that needs nothing else."""

from __future__ import annotations

import base64
import hashlib
import io
import re
import xml.etree.ElementTree as ET
from collections.abc import Callable
from dataclasses import replace
from html.parser import HTMLParser

import numpy as np
import pytest
import soundfile

from listen.export import (
    SheetSound,
    compress,
    render_bar_fragment,
    render_part_boxes,
    render_part_fragment,
    render_part_sheet,
)
from listen.instrument import Fretboard, parse_shape
from listen.reading import Part
from tests.hand_made_parts import (
    ALL_PARTS,
    Scene,
    compound_part,
    free_part,
    line_part,
    returning_scene,
    straight_part,
    waltz_part,
    without_bars,
)

EVERY_PART = pytest.mark.parametrize("make", ALL_PARTS.values(), ids=ALL_PARTS.keys())
VOID = {"meta", "input", "br", "img", "link", "source"}


class _Reader(HTMLParser):
    """Collects elements and finds out whether they are nested as they should be."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def all(self, tag: str, class_: str = "") -> list[dict[str, str | None]]:
        return [a for name, a in self.elements if name == tag and class_ in [*(a.get("class") or "").split(), ""]]


def _sound(seconds: float, channels: int) -> SheetSound:
    tone = 0.3 * np.sin(np.arange(round(seconds * 22_050)) / 20.0)
    mix = [np.repeat(tone[:, None], channels, axis=1).astype(np.float32)]
    mp3, cut_s = compress(mix, n_channels=channels, sample_rate_hz=22_050, most_bytes=10**6)
    assert cut_s is None
    return SheetSound(mp3, is_beside=channels == 2)


@EVERY_PART
def test_a_page_is_well_formed_and_loads_nothing(make: Callable[[], Part]) -> None:
    page = render_part_sheet(make(), sound=_sound(1.0, 2))
    reader = _Reader(page)
    assert reader.open == []
    for _, attributes in reader.elements:
        for key in ("src", "href", "action"):
            assert (attributes.get(key) or "data:").startswith(("data:", "#"))
    assert not re.search(r"@import|url\(", page)
    identifiers = [attributes["id"] for _, attributes in reader.elements if "id" in attributes]
    assert len(identifiers) == len(set(identifiers))


def test_only_the_pages_own_script_may_run() -> None:
    page = render_part_sheet(straight_part(), sound=_sound(0.5, 1))
    script = re.search(r"<script>(.*?)</script>", page, re.DOTALL)
    assert script is not None
    digest = base64.b64encode(hashlib.sha256(script[1].encode()).digest()).decode()
    assert f"script-src &#39;sha256-{digest}&#39;" in page or f"script-src 'sha256-{digest}'" in page
    assert page.count("<script") == 1


def test_each_different_shape_stands_once_before_the_chart_and_the_player_after_it() -> None:
    page = render_part_sheet(straight_part(), sound=_sound(0.5, 1))
    assert [page.count(f">{frets}</p>") for frets in ("022000", "x32030", "200232", "320003")] == [1, 1, 1, 1]
    assert page.index(">022000</p>") < page.index("<h2>Chart</h2>") < page.index("<audio")


def test_a_folded_bar_knows_every_time_it_is_played() -> None:
    bars = _Reader(render_part_sheet(straight_part())).all("li", "bar")
    assert len(bars) == 4
    assert bars[0]["data-plays"] == "0.500:3.000:1 10.500:13.000:5"
    assert "opens" in (bars[0]["class"] or "")
    assert "closes" in (bars[3]["class"] or "")


def test_times_in_the_player_begin_with_the_stretch_that_was_read() -> None:
    part = straight_part()
    part = replace(part, recording=replace(part.recording, span=replace(part.recording.span, start_s=0.25)))
    assert (_Reader(render_part_sheet(part)).all("li", "bar")[0]["data-plays"] or "").startswith("0.250:2.750:")


def test_every_bar_is_a_button_with_words() -> None:
    words = [button["aria-label"] for button in _Reader(render_part_sheet(straight_part())).all("button")]
    assert words == ["Bar 1: Em", "Bar 2: Em", "Bar 3: Cadd9, D/F♯", "Bar 4: G"]


def test_what_could_not_be_read_is_hatched() -> None:
    page = render_part_sheet(line_part())
    assert [bar["data-number"] for bar in _Reader(page).all("li", "unread")] == ["3"]
    assert "listen 0:05" in page


def test_a_capo_shows_both_names() -> None:
    page = render_part_sheet(waltz_part())
    assert "<dd>Capo 3: play in C, sounds in E♭</dd>" in page
    assert re.search(r"<h3>G7/B<small>sounds B♭7/D</small></h3>", page)


def test_the_sound_is_one_file_that_can_be_decoded() -> None:
    page = render_part_sheet(straight_part(), sound=_sound(2.0, 2))
    encoded = re.search(r'src="data:audio/mpeg;base64,([^"]+)"', page)
    assert encoded is not None
    samples, rate = soundfile.read(io.BytesIO(base64.b64decode(encoded[1])))
    assert rate == 22_050
    assert samples.shape[1] == 2
    assert len(samples) / rate == pytest.approx(2.0, abs=0.1)
    assert 'id="blend"' in page
    assert 'id="blend"' not in render_part_sheet(straight_part(), sound=_sound(0.5, 1))


def test_sound_that_does_not_fit_is_cut_and_the_page_says_where() -> None:
    noise = np.random.default_rng(3).normal(0.0, 0.1, (22_050, 2)).astype(np.float32)
    mp3, cut_s = compress([noise] * 40, n_channels=2, sample_rate_hz=22_050, most_bytes=200_000)
    assert 0 < len(mp3) <= 220_000
    assert cut_s is not None
    assert cut_s < 40
    samples, rate = soundfile.read(io.BytesIO(mp3))
    assert len(samples) / rate == pytest.approx(cut_s, abs=0.2)
    page = render_part_sheet(straight_part(), sound=SheetSound(mp3, is_beside=True, cut_s=1500.0))
    assert "up to 25:00: a page holds 25 MB of sound" in page


def test_loops_and_long_practice_come_with_a_caution() -> None:
    page = render_part_sheet(straight_part(), sound=_sound(0.5, 1))
    assert "volume low" in page
    assert "teacher or a clinician" in page
    assert "teacher or a clinician" in render_part_sheet(straight_part())


def test_a_name_from_outside_cannot_break_the_page() -> None:
    part = replace(
        straight_part(),
        warnings=("a < b & c",),
        recording=replace(straight_part().recording, file='<script>alert("1")</script>.wav'),
    )
    page = render_part_sheet(part)
    assert "<script>alert" not in page
    assert "a &lt; b &amp; c" in page


def test_bars_with_many_long_names_get_more_room_and_stay_readable() -> None:
    scene = Scene()
    for bar in range(1, 7):
        for step, text in ((0, "F#m7/C#"), (12, "Dmaj7#11"), (24, "C#7#9"), (36, "F#m(maj7)")):
            if bar == 2 or step == 0:
                scene.chord(text, "x32010")
                scene.strum(bar, step)
    page = render_part_sheet(scene.part(6))
    lines = [line["class"] for line in _Reader(page).all("ol", "line")]
    assert lines == ["line half", "line "]
    sizes = [float(size) for size in re.findall(r"font-size:([\d.]+)px", page)]
    assert all(11.0 <= size <= 19.0 for size in sizes)


def test_free_time_and_nothing_at_all_have_a_page() -> None:
    assert "Cmaj7/G" in render_part_sheet(free_part())
    empty = replace(free_part(), events=(), spans=())
    assert "No strum was found" in render_part_sheet(empty)


def test_all_shapes_are_one_drawing() -> None:
    drawing = render_part_boxes(straight_part())
    root = ET.fromstring(drawing)  # noqa: S314 - our own output
    assert root.tag.endswith("svg")
    for text in ("Em", "Cadd9", "D/F♯", "G"):
        assert f"{text} · " in drawing
    assert parse_shape("022000").text in drawing


def test_the_part_can_be_had_without_its_page() -> None:
    piece = render_part_fragment(straight_part())
    reader = _Reader(piece)
    assert reader.open == []
    assert [bar["data-number"] for bar in reader.all("li", "bar")] == ["1", "2", "3", "4"]
    assert "<html" not in piece
    page = render_part_sheet(straight_part())
    pieces = re.findall(
        r"<(header|section)([^>]*>.*?)</\1>", re.sub(r'<p class="quiet screen">.*?</p>\n', "", piece), re.DOTALL
    )
    assert len(pieces) == 4
    assert all(one in page for _, one in pieces)


def test_a_bar_like_the_one_before_shows_a_repeat_sign() -> None:
    page = render_part_sheet(straight_part())
    assert page.count('class="names again"') == 1


def test_a_section_that_comes_back_stands_once_and_plays_where_it_comes_back() -> None:
    scene = returning_scene()
    page = render_part_sheet(scene.part(20))
    bars = _Reader(page).all("li", "bar")
    assert [bar["data-number"] for bar in bars] == [str(number) for number in range(1, 14)]
    assert "as bars 1 to 8" in page
    played = [(f"{scene.time_s(bar, 0):.3f}", f"{scene.time_s(bar + 1, 0):.3f}", f"{bar}") for bar in range(13, 21)]
    assert bars[-1]["data-plays"] == " ".join(":".join(one) for one in played)


def test_a_pickup_is_as_wide_as_it_is_long() -> None:
    assert 'class="line upbeat" style="--share:0.4"' in render_part_sheet(waltz_part())


CONTROL = "a\x00b\x08c\x1b[31md\x9be\ud800f\uffff"


def test_control_characters_reach_neither_a_page_nor_a_drawing() -> None:
    """XML 1.0, section 2.2: which characters a document may have."""
    part = straight_part()
    span = replace(part.spans[0], remark=CONTROL)
    part = replace(
        part,
        warnings=(CONTROL,),
        spans=(span, *part.spans[1:]),
        recording=replace(part.recording, file=f"{CONTROL}.wav"),
    )
    for text in (render_part_sheet(part), render_part_boxes(part)):
        assert not re.search("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]", text)
        text.encode("utf-8")
    ET.fromstring(render_part_boxes(part))  # noqa: S314 - our own output


def test_what_goes_on_under_one_name_in_free_time_is_one_button_and_tells_each_of_its_stretches() -> None:
    scene = Scene()
    for bar, frets in enumerate(("x32010", "x35553", "320003"), start=1):
        scene.chord("G" if bar == 3 else "C", frets)
        scene.strum(bar, 0)
    rows = [one for one in _Reader(render_part_sheet(without_bars(scene.part(3)))).all("li") if "data-plays" in one]
    assert [[span.split(":")[2] for span in (row["data-plays"] or "").split()] for row in rows] == [["1", "2"], ["3"]]


def test_a_stretch_of_free_time_is_called_by_when_it_begins_once() -> None:
    unfolded = render_bar_fragment(free_part(), 1, curve=b"", step_s=0.05)
    assert unfolded is not None
    assert re.findall(r"<h3>(.*?)</h3>", unfolded) == ["At 0:00"]
    measured = render_bar_fragment(straight_part(), 1, curve=b"", step_s=0.05)
    assert measured is not None
    assert re.findall(r"<h3>(Bar 1 .*?)</h3>", measured)


@pytest.mark.parametrize(
    ("frets", "capo_fret", "turned"), [("x20003", 0, "first inversion"), ("x20003", 2, "first inversion"),
                                       ("320003", 0, "root position"), ("2x0003", 0, "F♯ in the bass, a note from")],
)  # fmt: skip
def test_a_pinned_shape_that_is_called_without_its_bass_is_in_no_root_position(
    frets: str, capo_fret: int, turned: str
) -> None:
    scene = Scene(fretboard=Fretboard(capo_fret=capo_fret))
    scene.chord("A", frets, played_as="G") if capo_fret else scene.chord("G", frets)
    scene.strum(1, 0)
    part = scene.part(1)
    pinned = replace(part, spans=tuple(replace(span, pinned=True) for span in part.spans))
    unfolded = render_bar_fragment(pinned, 1, curve=b"", step_s=0.05)
    assert unfolded is not None
    sounds = ' <span class="quiet">(sounds A)</span>' if capo_fret else ""
    assert f'G{sounds} <span class="quiet">{turned}' in unfolded
    assert re.search(rf'class="now"><strong>G</strong> <span class="quiet">[^<;]*; {turned}', unfolded)


@pytest.mark.parametrize(("make", "n_beats"), [(straight_part, 4), (waltz_part, 3), (compound_part, 2)])
def test_under_a_bar_stands_a_tick_a_beat(make: Callable[[], Part], n_beats: int) -> None:
    rulers = re.findall(r"<span class=.ruler. aria-hidden=.true.>(.*?)</span>", render_part_fragment(make()))
    assert rulers
    assert {ruler.count("<i>") for ruler in rulers[1:]} == {n_beats}  # the first may be a pickup
