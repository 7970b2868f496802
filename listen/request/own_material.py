"""Practice on chords of one's own: a part that was put right, and the recording that its chords are cut from."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from listen.document import load_part
from listen.errors import RecordingError, bad_value
from listen.evidence import TimeSpan
from listen.practice import RATE_HZ, Sounding, check_neck, find_material, find_own_kinds, turn_chords
from listen.reading import Part
from listen.request.part_written import find_recording

Samples = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class OwnMaterial:
    """Chords of the player's own, and the recording that they are cut from.

    Parameters
    ----------
    part : Part
    chords : tuple of Sounding
    recording : Path
    remark : str
        One sentence, where the chords are asked otherwise than they were recorded.
    """

    part: Part
    chords: tuple[Sounding, ...]
    recording: Path
    remark: str = ""

    def load_cut(self, cut: TimeSpan) -> Samples:
        """Load a stretch of the recording, mono, at :data:`~listen.practice.RATE_HZ`.

        Raises
        ------
        RecordingError, BadValueError
            It cannot be read, or the stretch is not in it.
        """
        import soxr

        from listen.audio import load_recording

        heard = load_recording(self.recording, channel=self.part.recording.channel, span=cut)
        return np.asarray(soxr.resample(heard.samples, heard.sample_rate_hz, RATE_HZ), np.float32)


def load_material(path: Path) -> OwnMaterial:
    """Load a part that was put right, and its recording from beside it.

    Raises
    ------
    DocumentError, RecordingError, BadValueError
        It cannot be read, its recording is gone or too short, or it has no chord to ask about.
    """
    part = load_part(path)
    recording = find_recording(str(path), part)
    if recording is None:
        raise RecordingError(
            f"The recording of {path}, {part.recording.file or 'which it does not name'}, is not beside it."
        )
    chords = find_material(part)
    if not chords:
        raise bad_value(
            "part", str(path), allowed="a part with surely named triads or seventh chords",
            remedy="This one has none: settle the names of its chords first.",
        )  # fmt: skip
    if not find_own_kinds(chords):
        check_neck(part.fretboard)
        remark = (
            f"All chords of {path.name} have the same tone in the bass, so every answer would be the same: they are "
            "asked in their inversions, on strings."
        )
        return OwnMaterial(part, turn_chords(chords, part.fretboard), recording, remark)
    own = OwnMaterial(part, chords, recording)
    own.load_cut(max((one.cut for one in chords if one.cut is not None), key=lambda cut: cut.end_s))  # it can be read
    return own
