"""What is told of a recording that is another one, or that ends before."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import soundfile

from listen.document import write_part
from listen.errors import BadValueError
from listen.evidence import TimeSpan
from listen.instrument import parse_shape
from listen.reading import Pin
from listen.request import PartAsked, ask_settings, check_within
from tests.hand_made_parts import straight_part


def test_what_was_told_of_places_goes_to_a_copy_of_the_recording_and_to_no_other(tmp_path: Path) -> None:
    """A recording of another length was heard for 17 s, and then said to have no chord for pins that nobody gave."""
    part, document = straight_part(), tmp_path / "a.json"
    pinned = replace(part.settled, pins=(Pin(parse_shape("x32010"), event_number=1),))
    recording = replace(part.recording, file="take one.wav", duration_s=20.0, span=TimeSpan(0.0, 20.0))
    write_part(replace(part, recording=recording, settled=pinned), document)
    for file, lasts_s in (("renamed.wav", 20.0), ("padded.wav", 20.9), ("other.wav", 31.0)):
        soundfile.write(tmp_path / file, np.zeros(round(8000 * lasts_s)), 8000)
    for file in ("renamed.wav", "padded.wav"):
        kept = ask_settings(PartAsked(), keep=document, written=[], start_s=0.0, file=str(tmp_path / file))
        assert kept.pins == pinned.pins
    with pytest.raises(
        BadValueError,
        match=re.escape("a.json is a part of take one.wav, which lasts 20.0 s, and other.wav lasts 31.0 s: what"),
    ):
        ask_settings(PartAsked(), keep=document, written=[], start_s=0.0, file=str(tmp_path / "other.wav"))


def test_a_time_outside_the_stretch_is_told_where_that_ends_in_the_recording(tmp_path: Path) -> None:
    path = tmp_path / "take.wav"
    soundfile.write(path, np.zeros(9 * 8000), 8000)
    with pytest.raises(BadValueError, match="the stretch that is listened to, 5 to 9 s"):
        check_within("at", "3", 3.0, str(path), span=TimeSpan(5.0, 65.0))
