"""What was learnt of one guitar: the physics by which its strings can be told apart.

The same pitch sounds different on another string because that string is stiffer, heavier or duller. How stiff a
player's own strings are is no matter of tables (the third string alone differs by a factor of four between sets of
strings), so it is learnt from the guitar itself.

Conventions: strings in the order of the tuning, highest-numbered first; stiffness is the natural logarithm of
Fletcher's inharmonicity coefficient B of the open string, from the nut, without a capo.

References
----------
H. Fletcher, "Normal vibration frequencies of a stiff piano string", JASA 36(1), 1964: B goes with 1/(l²·T).
G. Bastas et al., "A few-sample strategy for guitar tablature transcription based on inharmonicity analysis and
playability constraints", ICASSP 2022: over twelve frets of GuitarSet's guitar B grows 3.4 to 4.1 times.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from listen.errors import bad_value
from listen.evidence import Measured
from listen.instrument import RETUNING_NEPERS, Tuning

LONGEST_GUITAR_NAME = 40
GROWTH = Measured(math.log(4.0), 0.1)
"""Of ln B over twelve frets: Fletcher's factor of four; the spread holds GuitarSet's 3.4 to 4.1."""


@dataclass(frozen=True, slots=True)
class StringProfile:
    """One string of a guitar.

    Parameters
    ----------
    stiffness : Measured or None
        ln B of the open string; None where it was not heard.
    brightness : Measured or None
        Spectral tilt of the open string in dB an octave.
    decay_s : Measured or None
        Time in which the open string falls by 60 dB.
    level_db : float or None
        Loudness of the open string against the guitar's loudest one, at most 0.
    tuning_cents : float or None
        Of the open string against the guitar's own pitch (see :attr:`GuitarProfile.tuning_offset_cents`).
    n_notes : int
        How many notes this was learnt from.
    """

    stiffness: Measured | None = None
    brightness: Measured | None = None
    decay_s: Measured | None = None
    level_db: float | None = None
    tuning_cents: float | None = None
    n_notes: int = 0


@dataclass(frozen=True, slots=True)
class GuitarProfile:
    """A player's own guitar.

    Parameters
    ----------
    name : str
        What the player calls it: letters, digits, spaces, ``-`` and ``_``.
    tuning : Tuning
        What its open strings sounded when it was learnt.
    strings : tuple of StringProfile
        One for each string of the tuning.
    growth : Measured
        By how much ln B grows over twelve frets.
    tuning_offset_cents : float
        Of the whole guitar against A4 = 440 Hz, when it was learnt.
    made_from : str
        In words, what it was learnt from.

    Raises
    ------
    BadValueError
        A name that is none, or another number of strings than the tuning has.

    Examples
    --------
    >>> from listen.instrument import STANDARD
    >>> six = (StringProfile(Measured(-9.0, 0.1)), *(StringProfile() for _ in range(5)))
    >>> guitar = GuitarProfile("old steel", STANDARD, six)
    >>> round(guitar.predict_stiffness(0, 12).value, 2), guitar.predict_stiffness(1, 0)
    (-7.61, None)
    """

    name: str
    tuning: Tuning
    strings: tuple[StringProfile, ...]
    growth: Measured = GROWTH
    tuning_offset_cents: float = 0.0
    made_from: str = ""

    def __post_init__(self) -> None:
        if len(self.strings) != self.tuning.n_strings:
            raise bad_value(
                "guitar",
                self.name,
                allowed=f"one profile for each of the {self.tuning.n_strings} strings of the tuning",
            )
        plain = self.name.replace("-", "").replace("_", "").replace(" ", "")
        if not plain.isalnum() or self.name != self.name.strip() or len(self.name) > LONGEST_GUITAR_NAME:
            raise bad_value(
                "guitar",
                self.name or "(empty)",
                allowed=f"a name of 1 to {LONGEST_GUITAR_NAME} letters, digits, spaces, - and _",
            )

    def predict_stiffness(self, string: int, fret: int, *, retuned_by: int = 0) -> Measured | None:
        """Return ln B of a string stopped at a fret counted from the nut, and how surely it is known.

        Parameters
        ----------
        string : int
            Index in the tuning.
        fret : int
        retuned_by : int
            Semitones by which the open string now sounds above what it was learnt at: B goes with 1/T and T with f².

        Returns
        -------
        Measured or None
            None where the string was not heard.
        """
        known = self.strings[string].stiffness
        if known is None:
            return None
        octaves = fret / 12.0
        value = known.value + self.growth.value * octaves - RETUNING_NEPERS * retuned_by
        return Measured(value, math.hypot(known.sigma, self.growth.sigma * octaves))
