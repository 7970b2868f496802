"""How well strings could be told at all: ``python -m tests.benchmarks.string_ceiling``.

An oracle is given the true pitches of a strum and the stiffness of every string, takes the stiffness that the
program measures for each note, and picks the place that fits best among all that a hand can hold. With the true
stiffness that is the ceiling of telling strings by stiffness alone; with stiffness measured from six lone open strings
it is what knowing the guitar can bring; without any it is chance among holdable places.

Conventions: stiffness as its natural logarithm; B doubles every six frets (Fletcher 1964; measured on GuitarSet by
Bastas et al. 2022).
"""

from __future__ import annotations

import argparse
import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np

from tests.benchmarks import recorded_notes, simulated
from tests.benchmarks.cases import LEAD_S, RATE_HZ, Samples, random_for
from tests.benchmarks.draws import draw_refingered_shape, restricted
from tests.benchmarks.hands import OPEN_MIDI, Frets, find_places, frets_to_pitches
from tests.benchmarks.recorded_notes import ACOUSTIC, NYLON, NoteSet
from tests.benchmarks.scores import Rate

LEAST_SIGMA = 0.1  # of ln B: strings bend, frets press; keeps one lucky note from deciding alone
OUTLIER_SHARE, OUTLIER_WIDTH = 0.1, 6.0  # a measurement may be of another note's partials: anything within six nepers

Stiffness = tuple[float, float]  # ln B and its standard deviation
Table = tuple[Stiffness | None, ...]  # of the open strings


@dataclass(frozen=True, slots=True)
class Strummed:
    """A strum for the oracle.

    Parameters
    ----------
    frets : Frets
    samples : ndarray
    stiffness : tuple of float or None
        ln B of each open string; None where nobody knows it.
    open_notes : callable
        The guitar's open strings, each alone.
    """

    frets: Frets
    samples: Samples
    stiffness: tuple[float, ...] | None
    open_notes: Callable[[], list[Samples]]


def measure_stiffness(samples: Samples) -> dict[int, Stiffness]:
    """Measure ln B of every pitch, as the program does."""
    from listen.audio import load_ear

    evidence = load_ear().hear(samples, sample_rate_hz=RATE_HZ, onset_s=LEAD_S)
    return {
        one.pitch.midi: (one.stiffness.value, one.stiffness.sigma)
        for one in evidence.pitches
        if one.stiffness is not None
    }


def _fit(place: Frets, measured: dict[int, Stiffness], table: Table) -> float:
    total = 0.0
    for string, fret in enumerate(place):
        known = table[string]
        if fret is None or known is None or OPEN_MIDI[string] + fret not in measured:
            continue
        value, sigma = measured[OPEN_MIDI[string] + fret]
        sigma = math.hypot(sigma, known[1], LEAST_SIGMA)
        distance = (value - known[0] - fret * math.log(2.0) / 6.0) / sigma
        density = math.exp(-0.5 * distance * distance) / (sigma * math.sqrt(2.0 * math.pi))
        total += math.log((1.0 - OUTLIER_SHARE) * density + OUTLIER_SHARE / OUTLIER_WIDTH)
    return total


def _strum_drawn_guitars(numbers: Iterable[int], seed: int) -> list[Strummed]:
    strums = []
    for number in numbers:
        random = random_for("drawn guitars, re-fingered", seed, number)
        drawn = draw_refingered_shape(random)
        guitar = simulated.draw_guitar(random)
        samples, _ = simulated.strum_guitar(guitar, drawn.frets, random)

        def pluck_open(guitar: simulated.Guitar = guitar, random: np.random.Generator = random) -> list[Samples]:
            opens = [tuple(0 if one == string else None for one in range(6)) for string in range(6)]
            return [simulated.strum_guitar(guitar, frets, random)[0] for frets in opens]

        strums.append(Strummed(drawn.frets, samples, tuple(math.log(b) for b in guitar.stiffness), pluck_open))
    return strums


def _strum_recorded(note_set: NoteSet) -> Callable[[Iterable[int], int], list[Strummed]]:
    def strum(numbers: Iterable[int], seed: int) -> list[Strummed]:
        strums = []
        for number in numbers:
            random = random_for(f"{note_set.folder}, re-fingered", seed, number)
            drawn = restricted(draw_refingered_shape, frets=note_set.frets or frozenset())(random)
            samples = recorded_notes.mix(recorded_notes.strike(note_set, drawn.frets, random))

            def pluck_open(random: np.random.Generator = random) -> list[Samples]:
                lone = [tuple(0 if one == string else None for one in range(6)) for string in range(6)]
                return [recorded_notes.mix(recorded_notes.strike(note_set, frets, random)) for frets in lone]

            strums.append(Strummed(drawn.frets, samples, None, pluck_open))
        return strums

    return strum


def _place(strummed: Strummed, measured: dict[int, Stiffness], table: Table, number: int) -> Frets:
    places = list(find_places(frets_to_pitches(strummed.frets)))
    np.random.default_rng(number).shuffle(places)  # ties fall as they may
    return max(places, key=lambda place: _fit(place, measured, table))


def _hear_open_strings(strummed: Strummed) -> Table:
    lone = [measure_stiffness(samples) for samples in strummed.open_notes()]
    return tuple(one.get(midi) for one, midi in zip(lone, OPEN_MIDI, strict=True))


def _rate(strums: list[Strummed], read: list[Frets]) -> tuple[Rate, Rate]:
    pairs = list(zip(strums, read, strict=True))
    asked = sum(fret is not None for strummed, _ in pairs for fret in strummed.frets)
    right = sum(
        fret is not None and fret == got
        for strummed, frets in pairs
        for fret, got in zip(strummed.frets, frets, strict=True)
    )
    return Rate(right, asked), Rate(sum(strummed.frets == frets for strummed, frets in pairs), len(pairs))


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description="How well strings could be told at all.")
    parser.add_argument("--n", type=int, default=100)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    sources: dict[str, Callable[[Iterable[int], int], list[Strummed]]] = {
        "drawn guitars": _strum_drawn_guitars,
        "nylon by string": _strum_recorded(NYLON),
        "acoustic by string (0.2 s notes)": _strum_recorded(ACOUSTIC),
    }
    print("| re-fingered strums, true pitches given | stiffness of the strings | strings | shape |\n|---|---|---|---|")
    for title, strum in sources.items():
        strums = strum(range(given.n), given.seed)
        measured = [measure_stiffness(strummed.samples) for strummed in strums]
        nothing: list[Table] = [(None,) * 6 for _ in strums]
        ways = [("unknown: chance", nothing), ("six open strings heard", [_hear_open_strings(one) for one in strums])]
        true: list[Table] = [tuple((b, 0.0) for b in one.stiffness) for one in strums if one.stiffness is not None]
        if true:
            ways.append(("true: the ceiling", true))
        for way, tables in ways:
            places = [_place(*one, number) for number, one in enumerate(zip(strums, measured, tables, strict=True))]
            strings, shape = _rate(strums, places)
            print(f"| {title} | {way} | {strings} | {shape} |", flush=True)


if __name__ == "__main__":
    main()
