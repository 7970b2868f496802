"""Tracks: sound that is too long for memory, kept in a temporary file while its loudness is learnt.

A part of an hour has 160 million samples, and how loud each may be is known only at its end. So sound comes in blocks,
goes to the disk, and comes back in blocks.

Conventions: float32 samples, mono; a *mix* is blocks of shape (n, channels), scaled to the peak of what is rendered.
"""

from __future__ import annotations

import struct
import tempfile
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import IO, TYPE_CHECKING

from listen.synthesis import PEAK

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

BLOCK = 1 << 18  # samples: 6 s at 44.1 kHz
_SILENT = 1e-9  # of full scale: less is digital silence


@dataclass(frozen=True, slots=True)
class Track:
    """One channel of sound on the disk.

    Parameters
    ----------
    file : binary file
        Its samples, float32.
    n_samples : int
    peak : float
        The largest magnitude of all samples.
    level : float
        Their root mean square.
    """

    file: IO[bytes]
    n_samples: int
    peak: float
    level: float

    def blocks(self) -> Iterator[npt.NDArray[np.float32]]:
        """Go through the samples, :data:`BLOCK` at a time."""
        import numpy as np

        self.file.seek(0)
        while data := self.file.read(4 * BLOCK):
            yield np.frombuffer(data, np.float32)


@contextmanager
def keep_track(blocks: Iterable[npt.NDArray[np.float32]]) -> Iterator[Track]:
    """Take sound in; it is gone with the context.

    Parameters
    ----------
    blocks : iterable of ndarray, shape (n,)
    """
    import numpy as np

    n_samples, peak, power = 0, 0.0, 0.0
    with tempfile.TemporaryFile(prefix="listen-") as file:
        for block in blocks:
            file.write(np.ascontiguousarray(block, np.float32).tobytes())
            n_samples += block.size
            peak = max(peak, float(np.abs(block).max(initial=0.0)))
            power += float(np.square(block, dtype=np.float64).sum())
        yield Track(file, n_samples, peak, float(np.sqrt(power / max(n_samples, 1))))


def lay_tracks(tracks: Sequence[Track]) -> Iterator[npt.NDArray[np.float32]]:
    """Put each track on a channel of its own, equally loud, a short one filled up with silence.

    Yields
    ------
    ndarray of float32, shape (n, n_tracks)
        The loudest peak of all is at :data:`~listen.synthesis.PEAK`; silence stays silence.
    """
    import numpy as np

    gains = [1.0 / track.level if track.level > _SILENT and len(tracks) > 1 else 1.0 for track in tracks]
    peak = max(track.peak * gain for track, gain in zip(tracks, gains, strict=True))
    scale = PEAK / peak if peak > _SILENT else 0.0
    sources = [track.blocks() for track in tracks]
    for first in range(0, max(track.n_samples for track in tracks), BLOCK):
        size = min(BLOCK, max(track.n_samples for track in tracks) - first)
        mix = np.zeros((size, len(tracks)), np.float32)
        for column, source in enumerate(sources):
            samples = next(source, np.zeros(0, np.float32))
            mix[: samples.size, column] = samples * np.float32(scale * gains[column])
        yield mix


def wav_pieces(
    mix: Iterable[npt.NDArray[np.float32]], *, n_frames: int, n_channels: int, sample_rate_hz: int
) -> Iterator[bytes]:
    """Return a 16-bit WAV file piece by piece (RIFF, Microsoft and IBM 1991: a header, then the samples)."""
    import numpy as np

    n_bytes = 2 * n_channels * n_frames
    yield struct.pack(
        "<4sI4s4sIHHIIHH4sI",
        b"RIFF", 36 + n_bytes, b"WAVE", b"fmt ", 16,
        1, n_channels, sample_rate_hz, 2 * n_channels * sample_rate_hz, 2 * n_channels, 16,
        b"data", n_bytes,
    )  # fmt: skip
    for block in mix:
        yield np.round(block.clip(-1.0, 1.0) * 32767.0).astype("<i2").tobytes()


def samples_to_wav(samples: npt.NDArray[np.float32], *, sample_rate_hz: int) -> bytes:
    """Return a 16-bit WAV file of samples that are in memory; shape (n,) is mono, (n, 2) stereo."""
    mix = samples.reshape(len(samples), -1)
    return b"".join(wav_pieces([mix], n_frames=len(mix), n_channels=mix.shape[1], sample_rate_hz=sample_rate_hz))


def compress(
    mix: Iterable[npt.NDArray[np.float32]], *, n_channels: int, sample_rate_hz: int, most_bytes: int
) -> tuple[bytes, float | None]:
    """Return sound as MP3 (ISO/IEC 11172-3, which every browser plays), as much of it as fits.

    Returns
    -------
    bytes, float or None
        After how many seconds it was cut off; None where it is whole.
    """
    from io import BytesIO

    import soundfile

    stream = BytesIO()
    n_frames, cut = 0, False
    with soundfile.SoundFile(
        stream, "w", sample_rate_hz, n_channels, format="MP3", subtype="MPEG_LAYER_III"
    ) as encoder:
        for block in mix:
            cut = n_frames > 0 and stream.tell() * (n_frames + len(block)) / n_frames > most_bytes
            if cut:
                break
            encoder.write(block)
            n_frames += len(block)
    return stream.getvalue(), n_frames / sample_rate_hz if cut else None
