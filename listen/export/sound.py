"""Sounds inside a page, as data URIs: short ones as FLAC, without loss, long ones as MP3.

Conventions: mono, -1..1. FLAC is RFC 9639; data URIs are RFC 2397.
"""

from __future__ import annotations

import base64
import io
from typing import TYPE_CHECKING

from listen.synthesis import PEAK

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

PAGE_RATE_HZ = 22_050  # a strum's partials above 11 kHz are inaudible beside the rest; halves the page
LONGEST_S = 20.0  # about 600 kB as FLAC; a longer recording is cut, and the page says so


def samples_to_uri(samples: npt.NDArray[np.float32], *, sample_rate_hz: int) -> str:
    """Return a sound as a ``data:audio/flac`` URI, its peak at :data:`~listen.synthesis.PEAK`.

    Parameters
    ----------
    samples : ndarray of float32, shape (n,), mono
    sample_rate_hz : int

    Returns
    -------
    str
    """
    import numpy as np
    import soundfile
    import soxr

    shortened = samples[: int(LONGEST_S * sample_rate_hz)].astype(np.float32)
    if sample_rate_hz > PAGE_RATE_HZ:
        shortened = soxr.resample(shortened, sample_rate_hz, PAGE_RATE_HZ)
        sample_rate_hz = PAGE_RATE_HZ
    peak = float(np.max(np.abs(shortened), initial=0.0))
    if peak > 0:
        shortened = shortened * (PEAK / peak)
    buffer = io.BytesIO()
    soundfile.write(buffer, shortened, sample_rate_hz, format="FLAC", subtype="PCM_16")
    return f"data:audio/flac;base64,{base64.b64encode(buffer.getvalue()).decode('ascii')}"


def samples_to_mp3(samples: npt.NDArray[np.float32], rate_hz: int) -> str:
    """Return a long sound as a ``data:audio/mpeg`` URI, its peak at most :data:`PEAK`."""
    import numpy as np
    import soundfile
    import soxr

    samples = np.asarray(samples, dtype=np.float32)
    if rate_hz != PAGE_RATE_HZ:
        samples = np.asarray(soxr.resample(samples, rate_hz, PAGE_RATE_HZ), np.float32)
    peak = float(np.abs(samples).max(initial=0.0))
    stream = io.BytesIO()
    soundfile.write(stream, samples * (PEAK / peak if peak > PEAK else 1.0), PAGE_RATE_HZ, format="MP3")
    return f"data:audio/mpeg;base64,{base64.b64encode(stream.getvalue()).decode('ascii')}"
