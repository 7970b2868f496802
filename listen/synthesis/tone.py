"""How a rendered guitar sounds: which guitar, how it is plucked, and what the strings are heard through."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from listen.errors import bad_value
from listen.instrument import GuitarKind, find_string_table
from listen.synthesis.amplifier import overdrive
from listen.synthesis.filters import (
    apply_response,
    band_response,
    fast_length,
    pickup_response,
    resonance_response,
    room_tail,
)

SAMPLE_RATES_HZ = (8000, 192_000)
PEAK = 0.7  # of the finished samples: leaves 3 dB for whatever is mixed to them, and startles nobody
# Air and top-plate resonances of a wooden body (Christensen & Vistisen 1980 give the first two; the denser ones above
# are drawn once, spaced as a plate's modes are: common practice, no source).
BODY_MODES_HZ = (
    101.0,
    196.0,
    232.0,
    287.0,
    385.0,
    460.0,
    545.0,
    660.0,
    815.0,
    990.0,
    1230.0,
    1560.0,
    2050.0,
    2700.0,
    3500.0,
)
# judged, not measured, as the gains are
BODY_QUALITY = (14.0, 18.0, 22.0, 24.0, 24.0, 22.0, 20.0, 18.0, 16.0, 14.0, 12.0, 10.0, 8.0, 6.0, 5.0)
# against the string itself; signs drawn
BODY_GAIN = (0.8, 1.3, 0.8, 0.6, -0.9, 0.7, -0.6, 0.8, -0.7, 0.6, -0.7, 0.6, 0.7, -0.6, 0.5)
BODY_DIRECT = 0.6  # of the string's force that the plate radiates without resonating; judged
PICKUP_HZ, PICKUP_QUALITY = 4200.0, 1.6  # a single coil with its cable (common values, no source)
CABINET_HZ = (85.0, 5200.0)  # a guitar loudspeaker's band (common values, no source)
ROOM_DECAY_S = 0.45  # to -60 dB: a furnished room; judged


@dataclass(frozen=True, slots=True)
class Tone:
    """A guitar and what it is heard through.

    Parameters
    ----------
    guitar : "steel", "nylon" or "electric"
    pluck_position : float
        From the bridge, over the open string's length, 0.03..0.5.
    fingers : bool
        Soft flesh in place of a pick.
    tuning_offset_cents : float
        Of the whole guitar against A4 = 440 Hz.
    detune_cents : float
        Standard deviation between its strings.
    drive : float
        0 a clean amplifier; 1 just breaking up; 20 heavy overdrive. The electric guitar only.
    room_db : float
        Level of the room against the direct sound.
    sample_rate_hz : int
    seed : int
        Same seed, same samples.
    """

    guitar: GuitarKind = "steel"
    pluck_position: float = 0.16
    fingers: bool = False
    tuning_offset_cents: float = 0.0
    detune_cents: float = 1.5
    drive: float = 0.0
    room_db: float = -17.0
    sample_rate_hz: int = 44_100
    seed: int = 0

    def __post_init__(self) -> None:
        find_string_table(self.guitar)
        if not 0.03 <= self.pluck_position <= 0.5:
            raise bad_value("pluck position", self.pluck_position, allowed="0.03 (at the bridge) to 0.5 (half way)")
        if not SAMPLE_RATES_HZ[0] <= self.sample_rate_hz <= SAMPLE_RATES_HZ[1]:
            raise bad_value("sample rate", self.sample_rate_hz, allowed="8000 to 192000 Hz")
        if not 0.0 <= self.drive <= 100.0:
            raise bad_value("drive", self.drive, allowed="0 (clean) to 100")
        if not abs(self.tuning_offset_cents) <= 1200:
            raise bad_value("tuning offset", self.tuning_offset_cents, allowed="-1200 to 1200 cents")


def apply_tone(samples: np.ndarray[Any, Any], tone: Tone) -> np.ndarray[Any, np.dtype[np.float32]]:
    """Pass strings through body or pickup and amplifier, and through the room; scale the peak to :data:`PEAK`.

    Parameters
    ----------
    samples : ndarray, shape (n,)
        Force on the bridge, or voltage of the pickup.
    tone : Tone

    Returns
    -------
    ndarray of float32, shape (n,), -0.7..0.7
    """
    n_fft = fast_length(samples.size + room_length(tone))
    frequency_hz = np.fft.rfftfreq(n_fft, 1.0 / tone.sample_rate_hz)
    heard = samples
    if tone.guitar == "electric":
        heard = _scaled(apply_response(samples, _pickup(frequency_hz), n_fft=n_fft))
        if tone.drive > 0:
            one = np.ones(1)
            padded = np.zeros(n_fft)
            padded[: heard.size] = heard
            heard = _scaled(overdrive(padded, tone.drive * one, 0.1 * one, 2.5 * one)[: heard.size])
    heard = apply_response(heard, _body(frequency_hz, tone), n_fft=n_fft)
    if tone.room_db > -60.0:
        heard = apply_response(heard, _room(frequency_hz, n_fft, tone), n_fft=n_fft)
    return (PEAK * _scaled(heard)).astype(np.float32)


def room_length(tone: Tone) -> int:
    """Return how many samples after it a sound still rings in the room."""
    return int(0.6 * tone.sample_rate_hz)


def find_response(n_fft: int, tone: Tone) -> np.ndarray[Any, Any]:
    """Return pickup or body, cabinet and room as one response; the amplifier is clean.

    Parameters
    ----------
    n_fft : int
    tone : Tone

    Returns
    -------
    ndarray, complex, shape (n_fft // 2 + 1,)

    Raises
    ------
    BadValueError
        The tone is driven, which no response can say.
    """
    if tone.drive > 0:
        raise bad_value("drive", tone.drive, allowed="0 for a sound that is made piece by piece")
    frequency_hz = np.fft.rfftfreq(n_fft, 1.0 / tone.sample_rate_hz)
    response = _body(frequency_hz, tone)
    if tone.guitar == "electric":
        response = response * _pickup(frequency_hz)
    if tone.room_db > -60.0:
        response = response * _room(frequency_hz, n_fft, tone)
    return np.asarray(response)


def _pickup(frequency_hz: np.ndarray[Any, Any]) -> Any:
    return pickup_response(frequency_hz, np.asarray([PICKUP_HZ]), np.asarray([PICKUP_QUALITY]))


def _body(frequency_hz: np.ndarray[Any, Any], tone: Tone) -> Any:
    """Return the response of a wooden body, or of an electric guitar's cabinet."""
    if tone.guitar == "electric":
        return band_response(frequency_hz, np.asarray([CABINET_HZ[0]]), np.asarray([CABINET_HZ[1]]))
    modes, quality, gain = (np.asarray(values) for values in (BODY_MODES_HZ, BODY_QUALITY, BODY_GAIN))
    size = 1.0 if tone.guitar == "steel" else 0.94  # a nylon-string body is a little lower in its air resonance
    direct = BODY_DIRECT * band_response(frequency_hz, np.asarray([140.0]), np.asarray([16_000.0]), order=1)
    return direct + resonance_response(frequency_hz, modes * size, quality, gain)


def _room(frequency_hz: np.ndarray[Any, Any], n_fft: int, tone: Tone) -> Any:
    """Return the room with the direct sound in it."""
    rng = np.random.default_rng([tone.seed, 1])
    noise = rng.standard_normal(int(ROOM_DECAY_S * tone.sample_rate_hz))
    tail = room_tail(noise, np.asarray([ROOM_DECAY_S]), sample_rate_hz=tone.sample_rate_hz)
    dull = band_response(frequency_hz, np.asarray([120.0]), np.asarray([4000.0]), order=1)
    before_s = 0.008  # the first wall is some three metres away
    delay = np.exp(-2j * np.pi * frequency_hz * before_s)
    wet = 10.0 ** (tone.room_db / 20.0) * np.fft.rfft(tail, n=n_fft) * dull * delay
    return 1.0 + wet


def _scaled(samples: np.ndarray[Any, Any]) -> np.ndarray[Any, Any]:
    """Scale to a peak of one; silence stays silence."""
    peak = float(np.abs(samples).max(initial=0.0))
    return samples / peak if peak > 0 else samples
