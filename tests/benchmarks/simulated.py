"""Guitars by the equations of ``listen.synthesis``, their string tables drawn at random: for *which string*.

Conventions: stiffness B of the open strings, low E first; B doubles every six frets. No table of the program's is
used, and a fret presses the string a little sharp, so that what is heard is a guitar nobody has tabled.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tests.benchmarks.cases import LEAD_S, RATE_HZ, Samples
from tests.benchmarks.hands import OPEN_MIDI, Frets

N_PARTIALS = 48
DURATION_S = 2.2


@dataclass(frozen=True, slots=True)
class Guitar:
    """Strings, fingers and body of one drawn guitar.

    Parameters
    ----------
    stiffness : tuple of float, length 6
    decay_s : tuple of float, length 6
    pluck_position, pickup_position : float
        From the bridge, over the open string.
    slope, contact_hz, decay_slope : float
        As in ``listen.synthesis``.
    body : tuple of (float, float, float)
        Resonances: Hz, width in octaves, dB.
    """

    stiffness: tuple[float, ...]
    decay_s: tuple[float, ...]
    pluck_position: float
    pickup_position: float
    slope: float
    contact_hz: float
    decay_slope: float
    body: tuple[tuple[float, float, float], ...]


def draw_guitar(random: np.random.Generator) -> Guitar:
    """Draw a guitar: steel or nylon stiffness, wound or plain third string, within what is published or computed.

    The ranges span the tables for acoustic steel (Bastas et al. 2022), electric and nylon sets (Fletcher's formula);
    each string is off its table by a fifth or so.
    """
    steel = random.random() < 0.75
    wound = [random.uniform(6e-5, 2.2e-4) if steel else random.uniform(2.5e-5, 8e-5)]
    wound += [wound[0] * random.uniform(0.5, 0.8)]
    wound += [wound[1] * random.uniform(0.5, 0.85)]
    if steel:
        third = random.uniform(7e-5, 2e-4) if random.random() < 0.5 else wound[2] * random.uniform(0.5, 0.8)
        plain = [third, random.uniform(3.5e-5, 8e-5), random.uniform(1.3e-5, 3e-5)]
    else:
        third = random.uniform(7e-5, 1.6e-4)
        plain = [third, third * random.uniform(0.35, 0.55), third * random.uniform(0.15, 0.28)]
    stiffness = tuple(float(b * np.exp(random.normal(0.0, 0.1))) for b in (*wound, *plain))
    longest = random.uniform(3.0, 10.0)
    body = tuple(
        (float(np.exp(random.uniform(np.log(90.0), np.log(3500.0)))), random.uniform(0.05, 0.4), random.uniform(-6, 9))
        for _ in range(6)
    )
    return Guitar(
        stiffness=stiffness,
        decay_s=tuple(longest * ratio for ratio in (1.0, 0.9, 0.8, 0.7, 0.6, 0.5)),
        pluck_position=random.uniform(0.08, 0.3),
        pickup_position=random.uniform(0.05, 0.3) if random.random() < 0.5 else 0.0,
        slope=random.uniform(0.6, 1.4),
        contact_hz=random.uniform(2500.0, 7000.0) if steel else random.uniform(1400.0, 3000.0),
        decay_slope=random.uniform(0.4, 2.0),
        body=body,
    )


def _pluck(guitar: Guitar, string: int, fret: int, random: np.random.Generator) -> Samples:
    from listen.synthesis import comb_amplitudes, decay_rates, partial_frequencies, pluck_amplitudes, sum_partials

    cents = random.normal(0.0, 4.0) + (random.uniform(0.0, 6.0) if fret else 0.0)
    fundamental = np.asarray([440.0 * 2.0 ** ((OPEN_MIDI[string] + fret - 69 + cents / 100.0) / 12.0)])
    stiffness = np.asarray([guitar.stiffness[string] * 2.0 ** (fret / 6.0)])
    shorter = 2.0 ** (fret / 12.0)
    frequency = partial_frequencies(fundamental, stiffness, n_partials=N_PARTIALS)
    place = np.asarray([min(0.5, guitar.pluck_position * shorter * np.exp(random.normal(0.0, 0.08)))])
    amplitude = pluck_amplitudes(frequency, place, np.asarray([guitar.slope]), np.asarray([guitar.contact_hz]))
    if guitar.pickup_position:
        pickup = np.asarray([min(0.5, guitar.pickup_position * shorter)])
        amplitude = amplitude * comb_amplitudes(pickup, n_partials=N_PARTIALS)
    amplitude = amplitude * np.exp(random.normal(0.0, 0.25, amplitude.shape)) * (frequency < RATE_HZ / 2.1)
    for centre_hz, width, gain_db in guitar.body:
        bump = np.exp(-0.5 * (np.log2(frequency / centre_hz) / width) ** 2)
        amplitude = amplitude * 10.0 ** (gain_db * bump / 20.0)
    amplitude = amplitude / np.sqrt((amplitude**2).sum())
    decay_s = np.asarray([guitar.decay_s[string] * 2.0 ** (-fret / 24.0)])
    rate = decay_rates(frequency, decay_s, np.asarray([guitar.decay_slope]), np.asarray([0.15]))
    second = frequency * (1.0 + 2e-4 * random.standard_normal())
    samples = sum_partials(
        np.concatenate([frequency, second], axis=-1),
        np.concatenate([amplitude, 0.35 * amplitude], axis=-1),
        np.concatenate([rate, 0.5 * rate], axis=-1),
        random.uniform(0.0, 2 * np.pi, (1, 2 * N_PARTIALS)),
        n_samples=int(DURATION_S * RATE_HZ),
        sample_rate_hz=float(RATE_HZ),
    )[0]
    time_s = np.arange(len(samples)) / RATE_HZ
    pick = random.standard_normal(len(samples)) * np.exp(-time_s / 0.003) * 10.0 ** (random.uniform(-40, -20) / 20)
    return np.asarray(samples * (1.0 - np.exp(-time_s / 5e-4)) + pick, np.float32)


def strum_guitar(guitar: Guitar, frets: Frets, random: np.random.Generator) -> tuple[Samples, str]:
    """Strum a shape on a drawn guitar.

    Returns
    -------
    samples : ndarray, peak 0.5
    direction : str
    """
    played = [string for string, fret in enumerate(frets) if fret is not None]
    direction = "down" if random.random() < 0.65 else "up"
    gap = random.uniform(0.008, 0.025)
    mixed = np.zeros(int((LEAD_S + DURATION_S) * RATE_HZ), np.float32)
    at_s = LEAD_S
    for string in played if direction == "down" else played[::-1]:
        note = _pluck(guitar, string, frets[string] or 0, random) * 10.0 ** (random.normal(0.0, 3.0) / 20.0)
        start = int(at_s * RATE_HZ)
        mixed[start:] += note[: len(mixed) - start]
        at_s += gap * random.uniform(0.7, 1.3)
    mixed += 1e-4 * random.standard_normal(len(mixed)).astype(np.float32)
    return np.asarray(mixed * (0.5 / np.abs(mixed).max()), np.float32), direction
