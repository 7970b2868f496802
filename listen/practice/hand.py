"""The hand that plays a question: grips over a given bass, held somewhere on the neck, struck somehow.

As little as can be but the interval may give an answer away. So the bass's pitch is drawn without regard to the
answer, and the chords of all answers are drawn alike: on equally many strings, up to about the same top note. Close
grips over one bass end a semitone or two apart by inversion, which says a little (docs/figures.md, Practice).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from listen.errors import bad_value
from listen.instrument import Fretboard, GuitarKind, Shape
from listen.practice.grips import list_grips
from listen.practice.question import HARDEST, Sounding
from listen.synthesis import StrumStyle, Tone
from listen.theory import Chord, Pitch

LOWEST_BASS, BASS_RANGE = 40, 15  # E2, and up to G3: the four lower strings
LENGTH_S = 2.2  # of a strum to listen to: long enough to hear into; judged
GUITARS: tuple[GuitarKind, ...] = ("steel", "nylon", "electric")
LEAST_STRUCK, MOST_STRUCK = 3, (4, 6)  # strings: at least; at most in an easy question and in a hard one
TOPS_APART = 2  # semitones at most between the top notes of chords that are drawn alike: tones of chords lie so near
MOST_DRAWS = 40  # of one question, where most take three
_DIRECTIONS = ("down", "up")


def count_draws(fretboard: Fretboard) -> Iterator[int]:
    """Count how often a question is drawn anew, and say when its chords cannot be held on a neck at all.

    Raises
    ------
    BadValueError
        After :data:`MOST_DRAWS`.
    """
    yield from range(MOST_DRAWS)
    raise bad_value(
        "tuning", fretboard.tuning.name, allowed="strings on which a hand holds every chord over every bass"
    )


def find_lowest_bass(fretboard: Fretboard) -> int:
    """Return the MIDI number of the lowest bass that is asked about: an open string, over a capo."""
    return max(LOWEST_BASS, min(pitch.midi for pitch in fretboard.open_pitches))


def draw_bass(rng: np.random.Generator, fretboard: Fretboard) -> Pitch:
    """Draw the pitch of a bass."""
    return Pitch(find_lowest_bass(fretboard) + int(rng.integers(BASS_RANGE + 1)))


def draw_sounding(
    rng: np.random.Generator, chord: Chord, *, bass: Pitch, level: float, fretboard: Fretboard,
    near: Shape | None = None,
) -> Sounding | None:  # fmt: skip
    """Draw one chord over a bass, as some hand would play it on some guitar.

    Parameters
    ----------
    rng : numpy Generator
    chord : Chord
    bass : Pitch
        Of the chord's bass.
    level : float
        Harder is quicker, denser, with a softer bass.
    fretboard : Fretboard
    near : Shape, optional
        From where the hand comes: it stays about there.

    Returns
    -------
    Sounding or None
        None where no hand can hold such a chord there.
    """
    made = draw_alike(rng, [(chord, bass)], level=level, fretboard=fretboard, near=near)
    return made[0] if made else None


def draw_alike(
    rng: np.random.Generator, wanted: Sequence[tuple[Chord, Pitch]], *, level: float, fretboard: Fretboard,
    near: Shape | None = None,
) -> tuple[Sounding, ...]:  # fmt: skip
    """Draw chords over their basses on equally many strings, up to about the same top note.

    One of them, whichever, is drawn first, by what a player would use; the others as near to it as they can.

    Returns
    -------
    tuple of Sounding
        Empty where no hand can hold one of them so.
    """
    grips = [list_grips(chord, bass, fretboard, near=near) for chord, bass in wanted]
    least = max(LEAST_STRUCK, *(len(chord.pitch_classes) for chord, _ in wanted))
    most = max(least, round(float(np.interp(level, [0.0, HARDEST], MOST_STRUCK))))
    model = int(rng.integers(len(wanted)))
    for n_strings in rng.permutation(np.arange(least, most + 1)).tolist():
        offered = [each.take(each.counts == n_strings) for each in grips]
        if not all(map(len, offered)):
            continue
        top = offered[model].tops[offered[model].draw(rng)]
        apart = [np.abs(each.tops - top) for each in offered]
        if max(int(gaps.min()) for gaps in apart) > TOPS_APART:
            continue
        near_top = [each.take(gaps == gaps.min()) for each, gaps in zip(offered, apart, strict=True)]
        shapes = [each.shape(each.draw(rng)) for each in near_top]
        return tuple(
            Sounding(chord, shape, draw_strum(rng, level), bass_db=_draw_bass_db(rng, level))
            for (chord, _), shape in zip(wanted, shapes, strict=True)
        )
    return ()


def draw_strum(rng: np.random.Generator, level: float) -> StrumStyle:
    """Draw guitar and stroke: from a slow roll upwards to a quick stroke either way."""
    spread_s = float(np.interp(level, [0.0, 4.0, HARDEST], [0.7, 0.2, 0.02]) * rng.uniform(0.7, 1.3))
    way = _DIRECTIONS[int(level > 5.0 and rng.random() < 0.4)]
    tone = Tone(
        guitar=GUITARS[int(rng.integers(len(GUITARS)))], pluck_position=float(rng.uniform(0.1, 0.25)),
        tuning_offset_cents=float(rng.uniform(-15, 15)), detune_cents=1.5, room_db=float(rng.uniform(-40, -18)),
        seed=int(rng.integers(1 << 30)),
    )  # fmt: skip
    return StrumStyle(direction=way, spread_s=spread_s, duration_s=LENGTH_S, tone=tone)  # type: ignore[arg-type]


def _draw_bass_db(rng: np.random.Generator, level: float) -> float:
    return float(np.interp(level, [0.0, HARDEST], [4.0, -7.0]) + rng.uniform(-1.5, 1.5))
