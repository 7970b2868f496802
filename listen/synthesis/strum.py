"""A shape on a neck, strummed.

Conventions: a downstroke sounds the highest-numbered string first.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from listen.errors import bad_value
from listen.evidence import Direction
from listen.instrument import Fretboard, Shape, find_string_kinds
from listen.synthesis.notes import Mute, PluckedNote, Samples, render_notes
from listen.synthesis.tone import Tone

LONGEST_SPREAD_S = 4.0  # a strum slower than that is an arpeggio; judged


@dataclass(frozen=True, slots=True)
class StrumStyle:
    """How a shape is struck.

    Parameters
    ----------
    direction : "down" or "up"
    spread_s : float
        From the first string to the last. Quick strums take about 15 ms (GuitarSet's median), slow ones 100; an
        arpeggio takes more.
    onset_s : float
        Silence before the first string.
    duration_s : float
        Of the whole rendering.
    damp_s : float or None
        When, after the onset, the hand stills all strings; None lets them ring.
    level_spread_db : float
        Standard deviation of loudness between strings.
    mute : "open", "palm" or "dead"
    tone : Tone
        Guitar, pluck, tuning, room, sample rate and seed.
    """

    direction: Direction = "down"
    spread_s: float = 0.04
    onset_s: float = 0.1
    duration_s: float = 3.0
    damp_s: float | None = None
    level_spread_db: float = 1.0
    mute: Mute = "open"
    tone: Tone = field(default_factory=Tone)

    def __post_init__(self) -> None:
        if not 0.0 <= self.spread_s <= LONGEST_SPREAD_S:
            raise bad_value("spread", self.spread_s, allowed=f"0 to {LONGEST_SPREAD_S:g} seconds")
        if self.direction not in ("down", "up"):
            raise bad_value("direction", self.direction, allowed="down or up")


def shape_to_notes(
    shape: Shape, fretboard: Fretboard, *, settings: StrumStyle | None = None
) -> tuple[PluckedNote, ...]:
    """Return the plucks of one strum, in the order in which they sound; courses give two.

    Examples
    --------
    >>> [note.pitch.name for note in shape_to_notes(Shape((None, 3, 2, 0, 1, 0)), Fretboard())]
    ['C3', 'E3', 'G3', 'C4', 'E4']
    """
    settings = settings or StrumStyle()
    if len(shape.frets) != fretboard.n_strings:
        raise bad_value(
            "shape", shape.text, allowed=f"one fret for each of the {fretboard.n_strings} strings of this instrument"
        )
    rng = np.random.default_rng([settings.tone.seed, 2])
    kinds = find_string_kinds(fretboard.tuning.open_strings)
    played = [index for index, fret in enumerate(shape.frets) if fret is not None]
    if settings.direction == "up":
        played.reverse()
    # A hand does not cross the strings at an even speed; the ends stay where the settings put them.
    gaps = np.clip(1.0 + 0.25 * rng.standard_normal(max(0, len(played) - 1)), 0.4, 1.6)
    when = np.concatenate([[0.0], np.cumsum(gaps)])
    when = settings.onset_s + settings.spread_s * when / max(when[-1], 1e-9)
    levels = settings.level_spread_db * rng.standard_normal(len(shape.frets))
    companions = fretboard.tuning.companions or (None,) * fretboard.n_strings
    notes: list[PluckedNote] = []
    for onset_s, index in zip(when, played, strict=False):
        fret = shape.frets[index]
        assert fret is not None  # noqa: S101 - `played` holds no other; this tells the type checker
        duration_s = None if settings.damp_s is None else max(0.0, settings.onset_s + settings.damp_s - float(onset_s))
        pitch = fretboard.pitch_at(index, fret)
        note = PluckedNote(
            float(onset_s),
            pitch,
            string=index,
            kind=kinds[index],
            fret=fretboard.capo_fret + fret,
            level_db=float(levels[index]),
            duration_s=duration_s,
            mute=settings.mute,
        )
        notes.append(note)
        above = companions[index]
        if above is not None:
            kind = find_string_kinds([fretboard.tuning.open_strings[index].shifted(above)])[0]
            notes.append(
                PluckedNote(
                    note.onset_s + 0.003,
                    pitch.shifted(above),
                    string=fretboard.n_strings + index,
                    kind=kind,
                    fret=note.fret,
                    level_db=note.level_db - 1.0,
                    duration_s=duration_s,
                    mute=note.mute,
                )
            )
    return tuple(notes)


def render_shape(shape: Shape, fretboard: Fretboard, *, settings: StrumStyle | None = None) -> Samples:
    """Render one strum of a shape.

    Parameters
    ----------
    shape : Shape
    fretboard : Fretboard
        Tuning and capo.
    settings : StrumStyle, optional

    Returns
    -------
    ndarray of float32, shape (n,), mono, peak 0.7

    Raises
    ------
    BadValueError
        The shape has another number of strings than the instrument.

    Examples
    --------
    >>> settings = StrumStyle(duration_s=0.5, tone=Tone(guitar="nylon", sample_rate_hz=16_000))
    >>> render_shape(Shape((0, 2, 2, 1, 0, 0)), Fretboard(), settings=settings).shape
    (8000,)
    """
    settings = settings or StrumStyle()
    notes = shape_to_notes(shape, fretboard, settings=settings)
    return render_notes(notes, tone=settings.tone, duration_s=settings.duration_s)
