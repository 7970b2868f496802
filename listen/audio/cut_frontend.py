"""Front end of the trained ear: spectra that are cut at the next onset and say how long they were.

Strums follow one another after a tenth of a second or more, and a window that runs on into the next one hears both.
So each window is cut where the next strum begins, tapered anew to the time it has, and its share of its full length is
told to the network. Two windows end before the onset and show what was already ringing; two short ones at the attack
show in which order strings begin; and the two longest tell, beside each band's level, where in the band its energy
lies, which the stiffness of strings can be read from.

Conventions: 16 kHz mono; bands every 25 cents from MIDI 28 up; levels 0 at 70 dB under the loudest band, 1 at the
loudest. A segment begins :data:`N_LEAD` samples before the onset.

References
----------
Hann window and its gain: Harris, "On the use of windows for harmonic analysis with the DFT", Proc. IEEE 66(1), 1978.
Energy's centre within a band, after reassignment: Auger, Flandrin, IEEE Trans. Signal Processing 43(5), 1995.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache

import numpy as np
from numpy.typing import NDArray

from listen.audio.frontend import EAR_RATE_HZ
from listen.audio.row_spectra import measure_power

Samples = NDArray[np.float32]

LOWEST_BAND_MIDI = 28
BANDS_PER_SEMITONE = 4
N_BANDS = (114 - LOWEST_BAND_MIDI) * BANDS_PER_SEMITONE
N_LEAD = 8640
N_AFTER = 17_024
N_SEGMENT = N_LEAD + N_AFTER
FLOOR_DB = 70.0  # under the loudest band: the ear was trained with it; judged
SILENCE_POWER = 1e-9  # of a sine of amplitude 3e-5: what is weaker is the noise of 16-bit samples
WHITENING_SEMITONES = 5.0  # of the smoothing that takes the guitar's colour out; trained with it; judged
MOST_TAPERS = 64  # a taper is as long as what it is laid on: of an hour of strums there would be thousands
SHORTEST_SAMPLES = 512  # a window with less than 32 ms left is no spectrum and is left out


@dataclass(frozen=True, slots=True)
class Window:
    """One spectrum's place in time.

    Parameters
    ----------
    n_samples : int
        Full length.
    start : int
        Samples after the onset.
    centred : bool
        Whether the centre of energy within each band is measured too.
    """

    n_samples: int
    start: int
    centred: bool = False

    @property
    def n_fft(self) -> int:
        """Length of the transform: twice the window's, save for the longest."""
        return min(2 * self.n_samples, 16_384)

    @property
    def is_before(self) -> bool:
        """Whether it ends before the onset, so that it is never cut."""
        return self.start + self.n_samples <= 0


WINDOWS = (
    Window(16_384, 320, centred=True),
    Window(8192, 320, centred=True),
    Window(8192, 4320),
    Window(8192, 8800),
    Window(4096, -160),
    Window(1024, -160),
    Window(1024, 400),
    Window(2048, -2240),
    Window(8192, -8384),
)
N_WINDOWS = len(WINDOWS)
N_CENTRED = sum(window.centred for window in WINDOWS)
N_CHANNELS = 2 * N_WINDOWS + N_CENTRED
AFTER_ONSET = tuple(index for index, window in enumerate(WINDOWS) if not window.is_before)


def band_centres_hz() -> NDArray[np.float64]:
    """Return the bands' middles, shape (:data:`N_BANDS`,)."""
    return np.asarray(440.0 * 2.0 ** ((LOWEST_BAND_MIDI + np.arange(N_BANDS) / BANDS_PER_SEMITONE - 69.0) / 12.0))


@dataclass(frozen=True, slots=True)
class BandRuns:
    """The bands of one window, each a run of bins.

    Parameters
    ----------
    bins, bands : ndarray of int, shape (n,)
        Which bin belongs to which band, by band.
    weights, distances : ndarray of float32, shape (n,)
        The triangle's height at each bin, and the same times the bin's distance from the band's middle in units of the
        half width (−1..1).
    starts : ndarray of int, shape (N_BANDS,)
        Where each band's run begins.
    """

    bins: NDArray[np.intp]
    bands: NDArray[np.intp]
    weights: Samples
    distances: Samples
    starts: NDArray[np.intp]


@cache
def find_band_runs(window: Window) -> BandRuns:
    """Find the bins of each band: triangles half as wide as 25 cents or one bin of the window."""
    bin_hz = EAR_RATE_HZ / window.n_fft
    centres_hz = band_centres_hz()
    half_width_hz = np.maximum(centres_hz * (2.0 ** (1.0 / 48.0) - 1.0), EAR_RATE_HZ / window.n_samples)
    first = np.ceil((centres_hz - half_width_hz) / bin_hz).astype(np.intp).clip(min=0)
    last = np.floor((centres_hz + half_width_hz) / bin_hz).astype(np.intp).clip(max=window.n_fft // 2)
    lengths = last - first + 1
    starts = np.concatenate([[0], lengths.cumsum()[:-1]]).astype(np.intp)
    bands = np.repeat(np.arange(N_BANDS), lengths)
    bins = np.arange(len(bands)) - starts[bands] + first[bands]
    distance = (bins * bin_hz - centres_hz[bands]) / half_width_hz[bands]
    weight = np.maximum(0.0, 1.0 - np.abs(distance))
    return BandRuns(bins, bands, weight.astype(np.float32), (weight * distance).astype(np.float32), starts)


def make_band_matrix(window: Window) -> Samples:
    """Return the bands as a matrix, shape (n_fft // 2 + 1, N_BANDS)."""
    runs = find_band_runs(window)
    return _spread(window, runs, runs.weights)


def make_centre_matrix(window: Window) -> Samples:
    """Return the bands times each bin's distance from the band's middle, shape (n_fft // 2 + 1, N_BANDS)."""
    runs = find_band_runs(window)
    return _spread(window, runs, runs.distances)


def _spread(window: Window, runs: BandRuns, values: Samples) -> Samples:
    matrix = np.zeros((window.n_fft // 2 + 1, N_BANDS), np.float32)
    matrix[runs.bins, runs.bands] = values
    return matrix


def make_smoother() -> Samples:
    """Return the matrix that smooths along bands, a Gaussian of :data:`WHITENING_SEMITONES`, columns summing to 1."""
    band = np.arange(N_BANDS)
    distance = (band[:, None] - band[None]) / (WHITENING_SEMITONES * BANDS_PER_SEMITONE)
    kernel = np.exp(-0.5 * distance**2)
    return np.asarray(kernel / kernel.sum(axis=0, keepdims=True), np.float32)


def cut_window(window: Window, n_available: int) -> int:
    """Return how many samples of a window lie before the cut, 0 where too few do.

    Parameters
    ----------
    window : Window
    n_available : int
        Samples from the onset to the cut.

    Examples
    --------
    >>> [cut_window(window, 4800) for window in WINDOWS]
    [4480, 4480, 0, 0, 4096, 1024, 1024, 2048, 8192]
    """
    if window.is_before:
        return window.n_samples
    left = min(window.n_samples, n_available - window.start)
    return left if left >= min(SHORTEST_SAMPLES, window.n_samples) else 0


@cache
def _smoother() -> Samples:
    return make_smoother()


@lru_cache(maxsize=MOST_TAPERS)
def _taper(n: int) -> Samples:
    return (0.5 - 0.5 * np.cos(2.0 * np.pi * np.arange(n) / n)).astype(np.float32)


def measure_all_cut_bands(segments: Samples, n_available: Sequence[int]) -> tuple[Samples, Samples]:
    """Measure the spectra of several strums, each up to its cut; transforms of one length go together.

    Parameters
    ----------
    segments : ndarray, shape (n, N_SEGMENT)
        16 kHz; the onset is at sample :data:`N_LEAD`.
    n_available : sequence of int
        Samples from the onset to the next one or to the end of the recording.

    Returns
    -------
    bands : ndarray, shape (n, N_CHANNELS, N_BANDS)
        Levels of each window, the same less their local mean, and the centres of energy of the centred windows.
    shares : ndarray, shape (n, N_WINDOWS)
        How much of each window there was, 0..1.
    """
    n_strums = len(segments)
    power = np.zeros((n_strums, N_WINDOWS, N_BANDS), np.float32)
    centres = np.zeros((n_strums, N_CENTRED, N_BANDS), np.float32)
    shares = np.zeros((n_strums, N_WINDOWS), np.float32)
    row = 0
    for index, window in enumerate(WINDOWS):
        lengths = np.array([cut_window(window, n) for n in n_available])
        shares[:, index] = lengths / window.n_samples
        cut = np.flatnonzero(lengths)
        if len(cut):
            levels, moments = _measure_window(window, segments[cut], lengths[cut])
            power[cut, index] = levels
            if window.centred:
                centres[cut, row] = moments / (levels + np.float32(SILENCE_POWER * 1e-3))
        row += window.centred
    loudest = np.maximum(power[:, AFTER_ONSET].max(axis=(1, 2)), np.float32(SILENCE_POWER))
    level = np.log10(power / loudest[:, None, None] + np.float32(10.0 ** (-FLOOR_DB / 10.0)))
    level = (10.0 / FLOOR_DB) * level + np.float32(1.0)
    centred_rows = [index for index, window in enumerate(WINDOWS) if window.centred]
    whitened = 2.0 * (level - level @ _smoother())
    bands = np.concatenate([level, whitened, centres * level[:, centred_rows]], axis=1)
    return bands.astype(np.float32, copy=False), shares


def _measure_window(window: Window, segments: Samples, lengths: NDArray[np.intp]) -> tuple[Samples, Samples]:
    """Measure one window of several strums: power in each band, and its moment about the band's middle if centred."""
    start = N_LEAD + window.start
    frames = np.zeros((len(segments), window.n_fft), np.float32)
    for frame, segment, n in zip(frames, segments, lengths.tolist(), strict=True):
        np.multiply(segment[start : start + n], _taper(n), out=frame[:n])
    runs = find_band_runs(window)
    taken = measure_power(frames, window.n_fft).take(runs.bins, axis=1)
    gains = (1.0 / (lengths / 4.0) ** 2).astype(np.float32)[:, None]
    moments = np.add.reduceat(taken * runs.distances, runs.starts, axis=1) * gains if window.centred else frames[:, :0]
    return np.add.reduceat(taken * runs.weights, runs.starts, axis=1) * gains, moments
