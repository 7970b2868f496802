"""The hand that plays a question: voicings with a given bass and top, held somewhere on the neck, struck somehow.

Nothing but the interval may give an answer away. So the bass's pitch is drawn first, then a height for the top note,
both without regard to the answer; the chord is built between them, and its place on the neck, the guitar and the strum
are drawn last.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

import numpy as np

from listen.errors import bad_value
from listen.instrument import Fretboard, GuitarKind, Shape
from listen.practice.question import HARDEST, Sounding
from listen.synthesis import StrumStyle, Tone
from listen.theory import Chord, Pitch
from listen.voicing import find_places

LOWEST_BASS, BASS_RANGE = 40, 15  # E2, and up to G3: the four lower strings
LEAST_SPAN, MOST_SPAN, TOP_RANGE = 9, 26, 36  # semitones from bass to top; from the lowest bass to E5
LENGTH_S = 2.2  # of a strum to listen to: long enough to hear into; judged
GUITARS: tuple[GuitarKind, ...] = ("steel", "nylon", "electric")
PLACES_LOOKED_AT = 6  # of the easiest
HIGHEST_FRET = 14  # counted from the nut: where the body of most guitars stops a hand (common practice, no source)
TRIES, MOST_DRAWS = 60, 40  # of one chord; of one question, where most take three
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


def draw_top(rng: np.random.Generator, bass: Pitch, fretboard: Fretboard) -> Pitch:
    """Draw how high a voicing reaches, about."""
    highest = min(bass.midi + MOST_SPAN, find_lowest_bass(fretboard) + TOP_RANGE)
    return Pitch(int(rng.integers(bass.midi + LEAST_SPAN, highest + 1)))


def draw_sounding(
    rng: np.random.Generator, chord: Chord, *, bass: Pitch, level: float, fretboard: Fretboard,
    top: Pitch | None = None, n_strings: int | None = None,
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
    top : Pitch, optional
        About where it ends; drawn when not given.
    n_strings : int, optional
        How many sound; drawn when not given.

    Returns
    -------
    Sounding or None
        None where no hand can hold such a chord there.
    """
    for _ in range(TRIES):
        pitches = _draw_voicing(
            rng, chord, bass=bass, top=top or draw_top(rng, bass, fretboard),
            n_strings=n_strings or draw_n_strings(rng, level),
        )  # fmt: skip
        if pitches is None or (n_strings is not None and len(pitches) != n_strings):
            continue
        places = _list_places(tuple(pitch.midi for pitch in pitches), fretboard)
        if places:
            return Sounding(
                chord, places[int(rng.integers(len(places)))], draw_strum(rng, level), bass_db=_draw_bass_db(rng, level)
            )
    return None


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


def draw_n_strings(rng: np.random.Generator, level: float, *, least: int = 3) -> int:
    """Draw how many strings sound: harder is denser."""
    most = 3 + round(float(np.interp(level, [0.0, HARDEST], [0.0, 3.0])))
    return int(rng.integers(least, max(most, least) + 1))


def _draw_voicing(
    rng: np.random.Generator, chord: Chord, *, bass: Pitch, top: Pitch, n_strings: int
) -> list[Pitch] | None:
    """Draw pitches from the bass to about the top, every tone of the chord among them."""
    tones = {note.pitch_class for note in chord.notes}
    inside = [Pitch(m) for m in range(bass.midi + 3, top.midi + 5) if m % 12 in tones]
    if not inside:
        return None
    nearest = min(abs(pitch.midi - top.midi) for pitch in inside)
    highest = [pitch for pitch in inside if abs(pitch.midi - top.midi) == nearest]
    summit = highest[int(rng.integers(len(highest)))]
    missing = tones - {bass.pitch_class, summit.pitch_class}
    chosen = [bass, summit]
    for tone in missing:
        places = [pitch for pitch in inside if pitch.pitch_class == tone and pitch < summit]
        if not places:
            return None
        chosen.append(places[int(rng.integers(len(places)))])
    free = [pitch for pitch in inside if pitch not in chosen and pitch < summit]
    free = [free[place] for place in rng.permutation(len(free)).tolist()]
    chosen += free[: max(0, n_strings - len(chosen))]
    return sorted(chosen)


@lru_cache(maxsize=4096)
def _list_places(midis: tuple[int, ...], fretboard: Fretboard) -> tuple[Shape, ...]:
    """List the easiest places of these pitches, the lowest of them on the first string that is struck."""
    opens = [pitch.midi for pitch in fretboard.open_pitches]
    if len(midis) > fretboard.n_strings or midis[0] < min(opens) or midis[-1] > max(opens) + fretboard.top_fret:
        return ()
    places = find_places([Pitch(midi) for midi in midis], fretboard=fretboard)
    reached = [
        shape
        for shape in places
        if max(fret or 0 for fret in shape.frets) + fretboard.capo_fret <= HIGHEST_FRET
        and next(pitch for pitch in shape.pitches(fretboard) if pitch is not None).midi == midis[0]
    ]
    return tuple(reached[:PLACES_LOOKED_AT])
