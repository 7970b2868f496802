"""The page of a strum: self-contained, escaped, described, and truthful about its pictures."""

from __future__ import annotations

import base64
import io
import re
from dataclasses import replace
from html.parser import HTMLParser

import numpy as np
import soundfile

from listen.export import ListenedStretch, render_evidence_fragment, render_strum_report
from listen.export.sound import samples_to_uri
from listen.export.spectrum_svg import HIGH_HZ, LOW_HZ, render_spectrum_svg
from listen.reading import ChordName
from listen.theory import parse_chord
from tests.export.scenes import WHISTLE, make_refusal, make_take

RATE = 22_050
VOID = {"meta", "link", "br", "img", "input"}


def _sound() -> ListenedStretch:
    times = np.arange(RATE) / RATE
    pluck = np.exp(-3 * times) * np.sin(2 * np.pi * 123.47 * times)
    return ListenedStretch(pluck.astype(np.float32), RATE)


class _Tags(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.links: list[str] = []
        self.ids: list[str] = []
        self.tags: set[str] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        for name, value in attrs:
            if name in {"src", "href", "xlink:href", "action"}:
                self.links.append(value or "")
            if name == "id":
                self.ids.append(value or "")
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        assert attrs is not None
        self.tags.add(tag)


def _parse(page: str) -> _Tags:
    tags = _Tags()
    tags.feed(page)
    assert tags.open == []
    return tags


def test_page_is_well_formed_with_unique_ids() -> None:
    tags = _parse(render_strum_report(make_take(), _sound()))
    assert len(tags.ids) == len(set(tags.ids)) > 4


def test_page_needs_no_network_and_runs_no_script() -> None:
    page = render_strum_report(make_take(), _sound())
    tags = _parse(page)
    assert "script" not in tags.tags
    assert len(tags.links) == 4  # the recording and three shapes
    assert all(link.startswith("data:audio/flac;base64,") for link in tags.links)
    assert "default-src 'none'" in page
    assert "url(" not in page
    assert "@import" not in page


def test_names_of_the_same_notes_share_a_percentage() -> None:
    take = make_take()
    chances = (("Em7", 0.86), ("G6/E", 0.86), ("G/B", 0.14))
    names = tuple(ChordName(parse_chord(text), chance) for text, chance in chances)
    take = replace(take, reading=replace(take.reading, names=names))
    page = render_strum_report(take, _sound())
    assert page.count("86 %") == 2  # in the title's sentence, and once among the names
    assert "the same notes as Em7" in page
    piece = render_evidence_fragment(take, _sound())
    assert "By itself it is Em7 (86 %), G6/E (the same notes as Em7), G/B (14 %)." in piece


def test_file_names_are_escaped() -> None:
    page = render_strum_report(make_take(file='<img src=x onerror="alert(1)">.wav'), _sound())
    assert "img" not in _parse(page).tags
    assert "&lt;img src=x" in page
    assert "\x1b" not in render_strum_report(make_take(file=WHISTLE), _sound())


def test_page_says_what_was_heard_and_why() -> None:
    page = re.sub(r"\s+", " ", render_strum_report(make_take(), _sound()))
    for part in ("<h1>G/B</h1>", "first inversion", "Em7/B", "x2003x", "−1.9", "12 cents flat", "10, 6 of its own"):
        assert part in page


def test_page_of_a_refusal_names_no_chord_and_shows_no_shape() -> None:
    page = render_strum_report(make_refusal(), _sound())
    _parse(page)
    assert "No chord named" in page
    assert "Only noise was heard." in page
    assert "Where it was held" not in page


def test_caution_stands_beside_a_shape_near_the_limit() -> None:
    assert "stop when it hurts" in render_strum_report(make_take(), _sound())
    assert "stop when it hurts" not in render_strum_report(make_take(("x20003",)), _sound())


def test_sound_in_a_page_is_the_sound_that_was_given() -> None:
    sound = _sound()
    uri = samples_to_uri(sound.samples, sample_rate_hz=RATE)
    decoded, rate = soundfile.read(io.BytesIO(base64.b64decode(uri.partition(",")[2])))
    assert rate == RATE
    assert np.max(np.abs(decoded)) <= 0.7001
    assert np.corrcoef(decoded, sound.samples)[0, 1] > 0.9999


def test_spectrum_has_its_peak_where_the_note_is() -> None:
    sound = _sound()
    svg = render_spectrum_svg(sound.samples, sample_rate_hz=RATE, start_s=0.18, reading=make_take().reading, ident="s")
    points = re.findall(r"<polyline points='([^']*)'", svg)[0].split()
    x = min(points, key=lambda point: float(point.split(",")[1])).split(",")[0]
    frequency = LOW_HZ * (HIGH_HZ / LOW_HZ) ** ((float(x) - 52) / 700)
    assert abs(frequency / 123.47 - 1) < 0.01


def test_every_note_has_a_lane_with_its_harmonics() -> None:
    svg = render_spectrum_svg(
        _sound().samples, sample_rate_hz=RATE, start_s=0.0, reading=make_take().reading, ident="s"
    )
    assert svg.count("font-weight='600'") == 5
    assert svg.count("<rect") == sum(
        LOW_HZ <= partial.frequency_hz <= HIGH_HZ
        for one in make_take().reading.evidence.pitches
        for partial in one.partials
    )


def test_spectrum_of_silence_is_drawn_empty() -> None:
    silent = np.zeros(RATE, dtype=np.float32)
    svg = render_spectrum_svg(silent, sample_rate_hz=RATE, start_s=0.0, reading=make_refusal().reading, ident="s")
    assert "<polyline" not in svg
