"""What happened in a part: strokes, events, and the chords held.

Conventions: seconds from the start of the recording (also when only a stretch of it was read); bars count from 1, and
a pickup before the first full bar is bar 0; beats count from 1 inside a bar; a position on the grid is a whole number
of steps, :data:`STEPS_PER_BEAT` to a beat, so that halves, thirds, quarters and sixths are exact. Probabilities 0..1;
ranked tuples, best first.

Two levels: an :class:`Event` is what the picking hand did (one strum, one picked pattern, one line, one hit, a
rest, a stretch that could not be read); a :class:`ChordSpan` is what the fretting hand held while it did so. Many
events lie in one span.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from listen.evidence import Direction, TimeSpan
from listen.reading.strum import ChordName, NoteReading, ShapeReading, StrumReading
from listen.theory import Pitch

STEPS_PER_BEAT = 12  # sixteenths (3 steps) and eighth triplets (4 steps) both fall on the grid

EventKind = Literal["strum", "picked", "line", "hit", "silence", "unread"]
"""``strum`` several strings in one stroke; ``picked`` a chord played one string after another, notes ringing on;
``line`` single notes or double stops (a melody, a bass walk); ``hit`` a muted stroke or a knock, no pitch; ``silence``
a rest; ``unread`` something sounds that could not be read: to be listened to."""

StrokeKind = Literal["full", "top", "bass", "single", "pinch", "muted"]
"""``full`` the held chord; ``top`` only its upper strings; ``bass`` one low string; ``single`` another single note;
``pinch`` a few strings plucked together by thumb and fingers; ``muted`` no pitch."""
PICKED: frozenset[StrokeKind] = frozenset({"bass", "single", "pinch"})  # kinds of strokes that no hand strums

Mark = Literal[
    "hammer-on", "pull-off", "slide", "bend", "palm mute", "natural harmonic", "accent", "pushed", "passing",
    "ringing over",
]  # fmt: skip
"""``pushed`` a chord change that comes before its beat; ``passing`` open strings brushed while the hand changes;
``ringing over`` a note left from the chord before."""


@dataclass(frozen=True, slots=True)
class GridPosition:
    """A place in the bars.

    Parameters
    ----------
    bar : int
        1 the first full bar, 0 a pickup.
    step : int
        Steps from the bar line, :data:`STEPS_PER_BEAT` to a beat; in a pickup from where its whole bar would begin, so
        that a pickup of one beat in 4/4 has steps 36 to 47.
    deviation_s : float
        How much later than the grid it was played; negative = early.

    Examples
    --------
    >>> place = GridPosition(5, 30)
    >>> place.beat, place.text
    (Fraction(7, 2), '5.3½')
    """

    bar: int
    step: int
    deviation_s: float = 0.0

    @property
    def beat(self) -> Fraction:
        """The beat, from 1, exact."""
        return 1 + Fraction(self.step, STEPS_PER_BEAT)

    @property
    def text(self) -> str:
        """``bar.beat`` with the fraction of the beat: ``5.3``, ``5.3½``."""
        whole, rest = divmod(self.beat, 1)
        parts = {0: "", Fraction(1, 2): "½", Fraction(1, 4): "¼", Fraction(3, 4): "¾", Fraction(1, 3): "⅓",
                 Fraction(2, 3): "⅔"}  # fmt: skip
        return f"{self.bar}.{whole}{parts.get(rest, f'+{rest}')}"


@dataclass(frozen=True, slots=True)
class PlayedNote:
    """One note as it is written down: a pitch, a string and a fret, from when to when.

    Parameters
    ----------
    pitch : Pitch
    start_s, end_s : float
        It rings until its string is used again, is damped, or dies away.
    probability : float
        That it sounds.
    string_index : int or None
        Index into the tuning (0 the highest-numbered string); None where no hand could be found for the notes.
    fret : int or None
        Counted from the capo, 0 open.
    level_db : float
        Against the loudest stroke of the part, at most 0.
    marks : tuple of Mark
    """

    pitch: Pitch
    start_s: float
    end_s: float
    probability: float = 1.0
    string_index: int | None = None
    fret: int | None = None
    level_db: float = 0.0
    marks: tuple[Mark, ...] = ()


@dataclass(frozen=True, slots=True)
class Stroke:
    """One movement of the picking hand, or one string picked.

    Parameters
    ----------
    span : TimeSpan
        From its first sounding string to the next stroke or the end of its sound.
    kind : StrokeKind
    notes : tuple of PlayedNote
        Low to high; empty for a muted stroke. Only what this stroke sounded, not what rings on from before.
    direction : "down", "up" or None
        None: not told.
    direction_probability : float
        That the direction is right; .5 when not told.
    level_db : float
        Against the loudest stroke of the part, at most 0.
    position : GridPosition or None
        None in free time.
    marks : tuple of Mark
    """

    span: TimeSpan
    kind: StrokeKind
    notes: tuple[PlayedNote, ...] = ()
    direction: Direction | None = None
    direction_probability: float = 0.5
    level_db: float = 0.0
    position: GridPosition | None = None
    marks: tuple[Mark, ...] = ()


@dataclass(frozen=True, slots=True)
class Event:
    """What the picking hand did: one strum, one picked pattern, one line, one hit; or a rest, or an unread stretch.

    Parameters
    ----------
    span : TimeSpan
    kind : EventKind
    strokes : tuple of Stroke
        In time order: one for a strum or a hit, one a note (or double stop) for a pattern or a line, none for
        silence and unread stretches.
    position : GridPosition or None
        Of its first stroke; None in free time.
    reading : StrumReading or None
        What was read of it alone; its ``shapes`` begin with the one on the path. None where nothing was read.
    shape : ShapeReading or None
        The shape held, on the path through the whole part.
    name : ChordName or None
        The name that holds while it sounds: its span's, also where only a few strings of the chord were struck.
    number : int
        Counts all events from 1: what ``--pin 12=x32010`` refers to. An event that was parted by what a person told
        inside a picked bar has a number behind all others, so that the rest keep theirs.
    span_index : int or None
        Index into :attr:`Part.spans`; None where no chord is held (rests, hits between chords, lines, unread).
    marks : tuple of Mark
    remark : str
        One sentence for the reader, where there is one ("More than one hand can hold.").
    """

    span: TimeSpan
    kind: EventKind
    strokes: tuple[Stroke, ...] = ()
    position: GridPosition | None = None
    reading: StrumReading | None = None
    shape: ShapeReading | None = None
    name: ChordName | None = None
    number: int = 0
    span_index: int | None = None
    marks: tuple[Mark, ...] = ()
    remark: str = ""

    @property
    def notes(self) -> tuple[PlayedNote, ...]:
        """The notes of all its strokes, in time order."""
        return tuple(note for stroke in self.strokes for note in stroke.notes)

    @property
    def direction(self) -> Direction | None:
        """Direction of its first stroke."""
        return self.strokes[0].direction if self.strokes else None


@dataclass(frozen=True, slots=True)
class ChordSpan:
    """One held chord, however often it was struck.

    Parameters
    ----------
    span : TimeSpan
        Until the next chord, a rest, or the end of its sound.
    first_event, last_event : int
        Indices into :attr:`Part.events`, both included.
    names : tuple of ChordName
        All readings of the name, best first, the one that holds before the others; empty where its notes have no name.
    notes : tuple of NoteReading
        The chord's notes over all its strokes, low to high.
    bass : NoteReading or None
        Its lowest note over all its strokes: an upstroke that misses it makes no inversion.
    shapes : tuple of ShapeReading
        Best first for this chord alone, the path's shape moved to the front; empty where no hand can hold the notes.
    position : GridPosition or None
        Where it begins on the grid.
    marks : tuple of Mark
        ``pushed`` where the change comes before its beat, ``passing`` where it is no chord of its own.
    pinned : bool
        Whether a person chose the shape.
    remark : str
        One sentence for the reader, where there is one.
    """

    span: TimeSpan
    first_event: int
    last_event: int
    names: tuple[ChordName, ...] = ()
    notes: tuple[NoteReading, ...] = ()
    bass: NoteReading | None = None
    shapes: tuple[ShapeReading, ...] = ()
    position: GridPosition | None = None
    marks: tuple[Mark, ...] = ()
    pinned: bool = False
    remark: str = ""

    @property
    def name(self) -> ChordName | None:
        """What it is called; None where its notes have no name."""
        return self.names[0] if self.names else None

    @property
    def shape(self) -> ShapeReading | None:
        """The shape on the path; None where no hand can hold the notes."""
        return self.shapes[0] if self.shapes else None
