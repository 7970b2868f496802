"""The partials of each sounding note, followed upwards, and the stiff string that they fit.

A stiff string's partials lie at f_k = k·f0·sqrt(1 + B·k²). Once it is known which notes sound, each note's partials
are followed upwards from the fundamental, f0 and B being fitted anew at each step; a partial that another sounding
note also has proves little and takes no part in the fit.

Conventions: frequencies in Hz, B without unit.

References
----------
H. Fletcher, "Normal vibration frequencies of a stiff piano string", JASA 36(1), 1964 (the formula).
J. Rauhala, H.-M. Lehtonen, V. Välimäki, "Fast automatic inharmonicity estimation algorithm", JASA 121(5), 2007
(partials followed upwards while B is refined).
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from listen.audio.peaks import Peaks
from listen.evidence import Measured, Partial
from listen.theory import Pitch

Array = NDArray[np.float64]

N_PARTIALS = 24
HIGHEST_HZ = 7200.0  # under half of the ear's rate of 16 kHz; judged, not measured
SEARCH_STRETCH = 2.0 ** (45.0 / 1200.0) - 1.0
"""How far a note's lowest partials may lie from the tempered pitch: just under a quarter tone."""
PRIOR_STRETCH = 0.04
"""Standard deviation of (f/f_nominal)² before anything is known: 35 cents."""
RESOLUTION_BINS = 2.5
"""Two partials closer than this many 1/T are one peak of a Hann window (main lobe four bins wide)."""
PLACE_BINS = 0.02
"""Standard deviation of the strongest peak's place, in 1/T: measured on synthesised chords (leakage of neighbours)."""
NOISY_PLACE_BINS = 1.0
"""The same of a peak that stands out of noise by 0 dB."""
LEAST_SIGMA = 3e-4
"""Of (f_k/k)²: two polarisations of one string differ by a quarter of a cent and beat."""
BODY_PULL, BODY_PULL_HZ, MOST_PULL = 3e-3, 250.0, 2e-3
"""The body's lowest resonances pull partials near them by several cents (Fletcher & Rossing, The Physics of Musical
Instruments, on coupled strings; chapter from memory): so uncertain is (f_k/k)² at that frequency, less above as the
frequency squared, and below no more than is left of one string among the others of a chord. Without it strong low
partials led half the notes of a recorded nylon guitar to a stiffness of none."""
GATE_SIGMAS = 3.0  # a partial is looked for within so many; what they give is measured below
OUTLIER_SIGMAS = 3.5
"""With these, B is known to 0.7 % (median) and 6 % (nine in ten) on 120 synthesised strums, which have no body: there
the given sigmas are four times too wide, and they are meant for recorded guitars."""
# what B of a guitar's string can be, at any fret; judged, not measured
LEAST_LN_B, MOST_LN_B = float(np.log(4e-6)), float(np.log(3e-3))
TYPICAL_B, PRIOR_B = 8e-5, 1.2e-4
"""Mean and spread over strings and frets 0 to 15 of steel, nylon and electric sets (the table of listen.synthesis)."""
UNKNOWN_LN_B = 1.5  # standard deviation of ln B where nothing was measured; judged
UNKNOWN_STRING = Measured(float(np.log(TYPICAL_B)), UNKNOWN_LN_B)


@dataclass(slots=True)
class StringFit:
    """Least squares for (f_k/(k·f_nominal))² - 1 = a + c·k², with weak prior knowledge of a and c = B·(1 + a)."""

    s00: float = PRIOR_STRETCH**-2
    s01: float = 0.0
    s11: float = PRIOR_B**-2
    r0: float = 0.0
    r1: float = TYPICAL_B * PRIOR_B**-2
    points: list[tuple[int, float, float]] = field(default_factory=list)

    def add(self, number: int, y: float, sigma: float) -> None:
        """Take one partial into account."""
        weight, k2 = sigma**-2, float(number * number)
        self.s00 += weight
        self.s01 += weight * k2
        self.s11 += weight * k2 * k2
        self.r0 += weight * y
        self.r1 += weight * k2 * y
        self.points.append((number, y, sigma))

    def solve(self) -> tuple[float, float, float, float, float]:
        """Return a, c and their variances and covariance."""
        determinant = self.s00 * self.s11 - self.s01**2
        a = (self.s11 * self.r0 - self.s01 * self.r1) / determinant
        c = (self.s00 * self.r1 - self.s01 * self.r0) / determinant
        return a, c, self.s11 / determinant, self.s00 / determinant, -self.s01 / determinant

    def predict(self, number: int) -> tuple[float, float]:
        """Return y of a partial and its standard deviation."""
        a, c, var_a, var_c, cov = self.solve()
        k2 = float(number * number)
        return a + c * k2, float(np.sqrt(max(var_a + 2.0 * k2 * cov + k2 * k2 * var_c, 0.0)))

    def without_outliers(self) -> StringFit:
        """Fit again without the partials that lie far from what the others say."""
        if len(self.points) < 4:
            return self
        a, c, *_ = self.solve()
        z = np.array([(y - a - c * number**2) / sigma for number, y, sigma in self.points])
        limit = OUTLIER_SIGMAS * max(1.0, 1.48 * float(np.median(np.abs(z))))
        fit = StringFit()
        for point, residual in zip(self.points, z, strict=True):
            if abs(residual) <= limit:
                fit.add(*point)
        return fit

    @property
    def excess(self) -> float:
        """How much worse the partials agree than they should, as a factor on the variance, at least 1."""
        if len(self.points) < 3:
            return 1.0
        a, c, *_ = self.solve()
        chi2 = sum(((y - a - c * number**2) / sigma) ** 2 for number, y, sigma in self.points)
        return max(1.0, chi2 / (len(self.points) - 2))


@dataclass(slots=True)
class NoteTrack:
    """Partials found of one note, and the string they fit."""

    pitch: Pitch
    partials: list[Partial] = field(default_factory=list)
    fit: StringFit = field(default_factory=StringFit)

    @property
    def f0_hz(self) -> float:
        """The frequency of the fundamental that the partials fit."""
        return self.pitch.frequency_hz * float(np.sqrt(max(1.0 + self.fit.solve()[0], 0.5)))

    @property
    def ln_b(self) -> Measured:
        """Logarithm of B; the sigma is that of a string nothing is known of where no partials say more."""
        a, c, _, var_c, _ = self.fit.solve()
        b = float(np.clip(c / (1.0 + a), np.exp(LEAST_LN_B), np.exp(MOST_LN_B)))
        sigma = float(np.sqrt(var_c * self.fit.excess)) / b
        return Measured(float(np.log(b)), min(sigma, UNKNOWN_LN_B)) if len(self.fit.points) >= 3 else UNKNOWN_STRING


def follow_notes(pitches: tuple[Pitch, ...], peaks: Peaks) -> list[NoteTrack]:
    """Follow all notes twice: the second time it is known better where the others' partials lie."""
    tracks = [NoteTrack(pitch) for pitch in pitches]
    for most in (N_PARTIALS // 2, N_PARTIALS):
        zones = [_find_zone(track) for track in tracks]
        tracks = [
            _follow_partials(track.pitch, zones[:index] + zones[index + 1 :], peaks, most)
            for index, track in enumerate(tracks)
        ]
    return tracks


def _find_zone(track: NoteTrack) -> tuple[Array, Array]:
    """Where a note's partials may lie: lowest and highest frequency of each."""
    number = np.arange(1, 49, dtype=np.float64)
    ln_b = track.ln_b
    spread = min(2.0 * ln_b.sigma, UNKNOWN_LN_B)
    low, high = (
        track.f0_hz * number * np.sqrt(1.0 + np.exp(ln_b.value + side * spread) * number**2) for side in (-1, 1)
    )
    return low, high


def _follow_partials(pitch: Pitch, others: list[tuple[Array, Array]], peaks: Peaks, most: int) -> NoteTrack:
    others_low = np.concatenate([zone[0] for zone in others] or [np.zeros(0)])
    others_high = np.concatenate([zone[1] for zone in others] or [np.zeros(0)])
    nominal_hz = pitch.frequency_hz
    track = NoteTrack(pitch)
    for number in range(1, most + 1):
        y, sigma = track.fit.predict(number)
        expected_hz = number * nominal_hz * float(np.sqrt(max(1.0 + y, 0.5)))
        if expected_hz > HIGHEST_HZ:
            break
        # before any partial is sure, anything within nearly a quarter tone; then as the fit predicts
        pull = min(MOST_PULL, BODY_PULL * (BODY_PULL_HZ / expected_hz) ** 2)
        reach = min(GATE_SIGMAS * 0.5 * float(np.hypot(sigma, pull)), SEARCH_STRETCH)
        reach_hz = reach * expected_hz + 0.5 * peaks.resolution_hz
        low, high = np.searchsorted(peaks.frequencies_hz, [expected_hz - reach_hz, expected_hz + reach_hz])
        if low == high:
            continue
        at = int(low + np.argmax(peaks.levels_db[low:high]))
        found_hz, level_db = float(peaks.frequencies_hz[at]), float(peaks.levels_db[at])
        margin_hz = RESOLUTION_BINS * peaks.resolution_hz + 0.002 * found_hz
        is_shared = bool(((others_low - margin_hz < found_hz) & (found_hz < others_high + margin_hz)).any())
        track.partials.append(Partial(number, found_hz, min(0.0, level_db), is_shared))
        if not is_shared:
            # weak partials are moved more by what leaks into them
            above_db = level_db - float(peaks.noise_db[at])
            bins = max(PLACE_BINS * 10.0 ** (-level_db / 40.0), NOISY_PLACE_BINS * 10.0 ** (-above_db / 20.0))
            place_hz = bins * peaks.resolution_hz
            relative = found_hz / (number * nominal_hz)
            sigma = 2.0 * relative * place_hz / (number * nominal_hz) + LEAST_SIGMA + pull
            track.fit.add(number, relative**2 - 1.0, sigma)
    track.fit = track.fit.without_outliers()
    return track
