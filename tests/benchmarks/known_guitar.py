"""What it brings to know the guitar: ``python -m tests.benchmarks.known_guitar``.

The same re-fingered strums (a book shape's pitches at a place where no book has them) are read without knowing the
guitar, after its six open strings were heard alone, after fret 12 of each was heard too, and after the program learnt
the strings from ten strums by itself (the ten that are asked). Above them two ceilings: the program given the true
stiffness of every string, and an oracle that is given the true pitches too and places them by stiffness alone
(:mod:`tests.benchmarks.string_ceiling`).

Conventions: ten strums a guitar; each drawn guitar has string tables of its own. The nylon guitar is recorded: its open
strings are learnt from and take no part in the strums, which keep to stopped notes (frets 1 to 7; there is no recording
of fret 12). Intervals are Wilson's and take strums for independent, which ten of one guitar are not quite.
"""

from __future__ import annotations

import argparse
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from tests.benchmarks import recorded_notes, simulated
from tests.benchmarks.cases import LEAD_S, RATE_HZ, Samples, random_for
from tests.benchmarks.draws import draw_refingered_shape, restricted
from tests.benchmarks.hands import OPEN_MIDI, Frets
from tests.benchmarks.recorded_notes import NYLON, NoteSet
from tests.benchmarks.scores import Rate
from tests.benchmarks.string_ceiling import Strummed, Table, _place

if TYPE_CHECKING:
    from listen.evidence import StrumEvidence
    from listen.reading import GuitarProfile
    from listen.voicing import FitSettings

N_STRUMS = 10
NYLON_STOPPED = NoteSet(NYLON.folder, frets=frozenset(range(1, 8)))
Pluck = Callable[[Frets], Samples]


@dataclass(frozen=True, slots=True)
class Played:
    """A guitar that was heard.

    Parameters
    ----------
    strums : tuple of (Frets, StrumEvidence)
    lone : dict of int to tuple of StrumEvidence
        By fret, each string alone.
    stiffness : tuple of float or None
        ln B of the open strings where it is known.
    """

    strums: tuple[tuple[Frets, StrumEvidence], ...]
    lone: dict[int, tuple[StrumEvidence, ...]]
    stiffness: tuple[float, ...] | None = None


def _hear(samples: Samples, ear: str) -> StrumEvidence:
    from listen.audio import load_ear

    chosen = load_ear(ear) if ear else load_ear()
    return chosen.hear(samples, sample_rate_hz=RATE_HZ, onset_s=LEAD_S)


def _hear_alone(pluck: Pluck, fret: int, ear: str) -> tuple[StrumEvidence, ...]:
    lone = [tuple(fret if one == string else None for one in range(6)) for string in range(6)]
    return tuple(_hear(pluck(frets), ear) for frets in lone)


def _play_drawn_guitars(n: int, seed: int, ear: str) -> Iterator[Played]:
    for number in range(n):
        random = random_for("known guitar, drawn", seed, number)
        guitar = simulated.draw_guitar(random)

        def pluck(frets: Frets, guitar: simulated.Guitar = guitar, random: np.random.Generator = random) -> Samples:
            return simulated.strum_guitar(guitar, frets, random)[0]

        lone = {fret: _hear_alone(pluck, fret, ear) for fret in (0, 12)}
        shapes = [draw_refingered_shape(random).frets for _ in range(N_STRUMS)]
        strums = tuple((frets, _hear(pluck(frets), ear)) for frets in shapes)
        yield Played(strums, lone, tuple(math.log(b) for b in guitar.stiffness))


def _play_nylon(n: int, seed: int, ear: str) -> Iterator[Played]:
    for number in range(n):
        random = random_for("known guitar, nylon", seed, number)

        def pluck_open(frets: Frets, random: np.random.Generator = random) -> Samples:
            return recorded_notes.mix(recorded_notes.strike(NYLON, frets, random))

        draw = restricted(draw_refingered_shape, frets=NYLON_STOPPED.frets or frozenset())
        shapes = [draw(random).frets for _ in range(N_STRUMS)]
        strikes = [recorded_notes.strike(NYLON_STOPPED, frets, random) for frets in shapes]
        strums = tuple(
            (frets, _hear(recorded_notes.mix(strike), ear)) for frets, strike in zip(shapes, strikes, strict=True)
        )
        yield Played(strums, {0: _hear_alone(pluck_open, 0, ear)})


def _learn_alone(played: Played, frets: Sequence[int]) -> GuitarProfile:
    from listen.instrument import STANDARD
    from listen.transcription import SingleNote, learn_from_notes

    notes = []
    for fret in frets:
        for midi, evidence in zip(OPEN_MIDI, played.lone[fret], strict=True):
            heard = next(one for one in evidence.pitches if one.pitch.midi == midi + fret)
            notes.append(SingleNote(0.0, 0.0, 0.0, heard))
    return learn_from_notes(notes, name="known", tuning=STANDARD).profile


def _learn_itself(played: Played, settings: FitSettings) -> GuitarProfile:
    from listen.instrument import Fretboard
    from tests.benchmarks.guitar_from_strums import learn_guitar

    return learn_guitar([evidence for _, evidence in played.strums], Fretboard(), settings=settings)


def _tell(played: Played) -> GuitarProfile:
    from listen.evidence import Measured
    from listen.instrument import STANDARD
    from listen.reading import GuitarProfile, StringProfile

    strings = tuple(StringProfile(Measured(b, 1e-3)) for b in played.stiffness or ())
    return GuitarProfile("true", STANDARD, strings)


def _read(played: Sequence[Played], settings: Sequence[FitSettings]) -> tuple[Rate, Rate, Rate]:
    """Read every strum with its guitar's settings: strings of right notes, shape first, shape in the first three."""
    from listen.instrument import Fretboard
    from listen.transcription import fit_strum

    right = asked = first = among = total = 0
    for one, how in zip(played, settings, strict=True):
        for frets, evidence in one.strums:
            fit = fit_strum(evidence, Fretboard(), settings=how)
            shapes = [each.shape.frets for each in fit.shapes]
            heard = {pitch.midi for pitch, probability in fit.note_probabilities if probability >= 0.5}
            read = shapes[0] if shapes else (None,) * 6
            for string, fret in enumerate(frets):
                if fret is not None and OPEN_MIDI[string] + fret in heard:
                    asked += 1
                    right += read[string] == fret
            total += 1
            first += shapes[:1] == [frets]
            among += frets in shapes[:3]
    return Rate(right, asked), Rate(first, total), Rate(among, total)


def _ask_oracle(played: Sequence[Played]) -> tuple[Rate, Rate]:
    right = asked = first = total = 0
    for one in played:
        table: Table = tuple((b, 0.0) for b in one.stiffness or ())
        for frets, evidence in one.strums:
            measured = {
                each.pitch.midi: (each.stiffness.value, each.stiffness.sigma)
                for each in evidence.pitches
                if each.stiffness is not None
            }
            strummed = Strummed(frets, np.zeros(0, np.float32), None, list)
            read = _place(strummed, measured, table, total)
            total += 1
            first += read == frets
            asked += sum(fret is not None for fret in frets)
            right += sum(fret is not None and fret == got for fret, got in zip(frets, read, strict=True))
    return Rate(right, asked), Rate(first, total)


def main() -> None:
    """Print the table."""
    from listen.voicing import FitSettings

    parser = argparse.ArgumentParser(description="What it brings to know the guitar.")
    parser.add_argument("--n", type=int, default=20, help="guitars; ten strums each")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--book-weight", type=float, default=FitSettings().book_weight)
    parser.add_argument("--ear", default="", help="another ear than the usual one")
    given = parser.parse_args()
    usual = FitSettings(book_weight=given.book_weight)
    print(f"| re-fingered strums, book weight {given.book_weight:g} | the guitar | strings | shape | in three |")
    print("|---|---|---|---|---|")
    for title, play in (("drawn guitars", _play_drawn_guitars), ("nylon by string", _play_nylon)):
        played = list(play(given.n, given.seed, given.ear))
        ways: list[tuple[str, Callable[[Played], GuitarProfile] | None]] = [
            ("not known", None),
            ("ten strums heard, by itself", lambda one: _learn_itself(one, usual)),
            ("six open strings heard", lambda one: _learn_alone(one, (0,))),
        ]
        if 12 in played[0].lone:
            ways.append(("open strings and fret 12 heard", lambda one: _learn_alone(one, (0, 12))))
        if played[0].stiffness is not None:
            ways.append(("true stiffness told", _tell))
        for way, learn in ways:
            settings = [usual if learn is None else replace(usual, guitar=learn(one)) for one in played]
            strings, shape, three = _read(played, settings)
            print(f"| {title} | {way} | {strings} | {shape} | {three} |", flush=True)
        if played[0].stiffness is not None:
            strings, shape = _ask_oracle(played)
            print(f"| {title} | oracle: true pitches and stiffness | {strings} | {shape} | – |", flush=True)


if __name__ == "__main__":
    main()
