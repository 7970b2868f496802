"""Hand and search against open shape data (npm @tombatossals/chords-db 0.5.1, MIT; see tests/data/chords-db).

`python -m tests.benchmarks.shapes` does the same over every entry and lists those that are odd; here one chord in nine
is looked at, so that the suite stays quick.
"""

from __future__ import annotations

import pytest

from listen.instrument import find_instrument
from tests.benchmarks.shapes import INSTRUMENTS, correlate_ranks, load_entries, score_instrument


@pytest.mark.parametrize("name", INSTRUMENTS)
def test_every_entry_sounds_the_midi_notes_that_the_data_gives(name: str) -> None:
    neck = find_instrument(INSTRUMENTS[name]).fretboard()
    entries = list(load_entries(name))
    assert len(entries) == {"guitar": 2069, "ukulele": 2114}[name]
    for entry in entries:
        assert tuple(pitch.midi for pitch in entry.shape.pitches(neck) if pitch is not None) == entry.midi


@pytest.mark.parametrize(("name", "least_fingers"), [("guitar", 0.82), ("ukulele", 0.70)])  # measured .865 and .744
def test_entries_that_fit_their_name_are_found_and_fingered_alike(name: str, least_fingers: float) -> None:
    report = score_instrument(name, every=9)
    assert report.fits > 150
    assert report.found >= 0.985 * report.fits  # measured 1.000
    assert report.fingers_equal >= least_fingers * report.fits
    assert correlate_ranks(report.efforts, report.rubric) >= 0.6  # measured .72 and .79
