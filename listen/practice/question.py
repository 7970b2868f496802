"""Questions to the ear: what sounds, what may be answered, what is right, and what to listen for.

Values only. Conventions: a question is answered by the key of one of its options; options stand in an order that does
not depend on which is right. Levels run from 0, easy, to :data:`HARDEST`.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from listen.evidence import TimeSpan
from listen.instrument import Fretboard, Shape
from listen.synthesis import StrumStyle
from listen.theory import Chord

HARDEST = 10.0  # a scale of ten, by definition
BASS_NAMES = ("root", "third", "fifth", "seventh")
INVERSION_NAMES = ("root position", "first inversion", "second inversion", "third inversion")


@dataclass(frozen=True, slots=True)
class Sounding:
    """One chord of a question, as it is played.

    Parameters
    ----------
    chord : Chord
        With its bass.
    shape : Shape
    strum : StrumStyle
    bass_db : float
        How much louder the lowest string is than the others.
    cut : TimeSpan or None
        Where it is to be cut from the player's own recording; None: it is played by the string model.
    """

    chord: Chord
    shape: Shape
    strum: StrumStyle = field(default_factory=StrumStyle)
    bass_db: float = 0.0
    cut: TimeSpan | None = None


@dataclass(frozen=True, slots=True)
class Option:
    """One thing that may be answered.

    Parameters
    ----------
    key : str
        What kept answers call it: ``"3"`` of a third, ``"m7"``, ``"1 7 6 5"``. A player sees numbers in the list.
    text : str
        What it means, in the trade's words.
    example : tuple of Sounding
        How the question would have sounded, had this been right.
    """

    key: str
    text: str
    example: tuple[Sounding, ...] = ()


@dataclass(frozen=True, slots=True)
class Question:
    """One question.

    Parameters
    ----------
    kind : str
        Its step of the ladder.
    level : float
        How hard, 0 to :data:`HARDEST`.
    prompt : str
    sounds : tuple of Sounding
        Played one after the other.
    options : tuple of Option
    answer : str
        The key of the right one.
    listen_for : str
        A word on where to put the ear.
    fretboard : Fretboard

    Examples
    --------
    >>> from listen.practice import draw_question
    >>> question = draw_question("root or not", seed=4)
    >>> [option.key for option in question.options], question.is_right(question.answer)
    (['r', 'n'], True)
    """

    kind: str
    level: float
    prompt: str
    sounds: tuple[Sounding, ...]
    options: tuple[Option, ...]
    answer: str
    listen_for: str
    fretboard: Fretboard = field(default_factory=Fretboard)

    def option(self, key: str) -> Option | None:
        """Return the option of a key, None when there is none."""
        return next((option for option in self.options if option.key == key), None)

    def is_right(self, key: str) -> bool:
        """Whether a key is the right answer."""
        return key == self.answer
