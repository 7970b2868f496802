"""The keys of a part that was heard: by its bars, from the chord on that begins them, or as it was told."""

from __future__ import annotations

from dataclasses import replace

import pytest

from listen.evidence import PartEvidence, TimeSpan
from listen.reading import Part
from listen.theory import Key
from listen.transcription.part import read_part_evidence
from listen.transcription.part_settings import PartSettings
from tests.transcription.written_strokes import AM, BM, EM, OPEN_E, C, D, F, G, hear_bars

A, E = (45, 52, 57, 61, 64), (OPEN_E, 47, 52, 56, 59, 64)
FS_M, GB = (42, 49, 54, 57, 61, 66), (42, 49, 54, 58, 61, 66)
VERSE, UP_A_TONE = (G, D, EM, C, G, C, D, G), (A, E, FS_M, D, A, D, E, A)
A_BAR = 8  # strokes


def _hear(*chords: tuple[int, ...]) -> PartEvidence:
    heard = hear_bars(tuple(chord for chord in chords for _ in range(A_BAR)))
    return replace(heard, span=TimeSpan(0.0, 2.0 * len(chords) + 2.0))


def _keys(part: Part) -> list[tuple[int, str]]:
    first = [(1, part.key.text)] if part.key is not None else []
    return [*first, *((one.bar, one.key.text) for one in part.bars.key_changes)]


@pytest.fixture(scope="module")
def raised() -> Part:
    return read_part_evidence(_hear(*VERSE, *UP_A_TONE))


def test_a_chorus_up_a_tone_is_in_its_own_key_from_its_bar_on(raised: Part) -> None:
    assert _keys(raised) == [(1, "G major"), (9, "A major")]


def test_a_told_key_settles() -> None:
    part = read_part_evidence(_hear(*VERSE, *UP_A_TONE), settings=PartSettings(key=Key.parse("G")))
    assert _keys(part) == [(1, "G major")]


def test_a_part_that_stays_has_one_key() -> None:
    assert _keys(read_part_evidence(_hear(*VERSE, C, AM, F, G, C, AM, D, G)))[1:] == []


def test_a_chord_is_spelled_by_the_key_that_holds_where_it_begins() -> None:
    """F sharp major is G flat where the key is that of five flats, and F sharp where it is that of B minor's."""
    sharps = (BM, GB, EM, BM, G, A, GB, BM)
    flats = ((49, 53, 56, 61), GB, (44, 51, 56, 60, 63), (49, 53, 56, 61)) * 2
    part = read_part_evidence(_hear(*sharps, *flats))
    assert len(_keys(part)) == 2
    names = [span.name.text for span in part.spans if span.name is not None]
    assert {"F#", "Gb"} <= {name.split("/")[0] for name in names}
    assert all("#" not in name for span, name in zip(part.spans, names, strict=True) if span.span.start_s > 18.0)
