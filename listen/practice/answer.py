"""Answers: what was said, typed, hummed or played, held against a question."""

from __future__ import annotations

from dataclasses import dataclass

from listen.errors import BadValueError, bad_value
from listen.practice.ladder import DEGREE_KINDS, HUMMED_KINDS, NAMED_KINDS, PLAYED_KINDS, YES_NO_KINDS
from listen.practice.question import BASS_NAMES, Option, Question
from listen.theory import Chord, ChordSymbolError, Pitch, parse_chord, spell_beside

_BASS_KEYS = {"root": "1", "third": "3", "fifth": "5", "seventh": "7"}
_ORDINAL_KEYS = {"3rd": "3", "5th": "5", "7th": "7", "1st inversion": "3", "2nd inversion": "5", "3rd inversion": "7"}
_INVERSION_KEYS = {"root position": "1", "first inversion": "3", "second inversion": "5", "third inversion": "7"}
_DEGREE_KEYS = {**_BASS_KEYS, **_ORDINAL_KEYS, **_INVERSION_KEYS}
_YES_NO_PLACES = {"yes": 0, "y": 0, "no": 1, "n": 1}
MOST_DIGITS = 3  # of a number of an option
HUMS_RIGHT_CENTS = 50.0  # nearer to the bass than to any other semitone


@dataclass(frozen=True, slots=True)
class Judgement:
    """An answer, judged.

    Parameters
    ----------
    key : str
        Of the option that it amounts to; empty where it is none of them.
    is_right : bool
    text : str
        What was heard or understood, to be said; empty where an option was chosen.
    cents : float or None
        How far a hummed note lay from the bass.
    """

    key: str
    is_right: bool
    text: str = ""
    cents: float | None = None


def find_numbered(question: Question, said: str) -> Option | None:
    """Return the option whose number was said: its place in the list, from 1; None where it is no number of one."""
    plain = said.strip()
    is_number = plain.isascii() and plain.isdigit() and len(plain) <= MOST_DIGITS
    return question.options[int(plain) - 1] if is_number and 1 <= int(plain) <= len(question.options) else None


def judge_typed(question: Question, said: str) -> Judgement:
    """Judge what was typed: an option's number in the list, its words, yes or no, or a chord's name.

    A number is always a place in the list: the third of a chord is typed as a word, "third" or "3rd".

    Raises
    ------
    BadValueError
        It is none of these; nothing is counted.

    Examples
    --------
    >>> from listen.practice import draw_question
    >>> question = draw_question("which bass", seed=1)
    >>> judge_typed(question, "2").key, judge_typed(question, "third").key, judge_typed(question, "3rd").key
    ('3', '3', '3')
    """
    plain = _find_words(said)
    allowed = ", ".join(f"{number} ({option.text})" for number, option in enumerate(question.options, 1))
    if not plain:
        raise BadValueError(f"Nothing was said: answer with {allowed}.")
    numbered = find_numbered(question, plain)
    if numbered is not None:
        return Judgement(numbered.key, question.is_right(numbered.key))
    if question.kind in DEGREE_KINDS and plain.isdigit():  # a degree is a word: 3 is a place in the list
        raise bad_value("answer", plain[:40], allowed=allowed)
    symbol = _find_symbol(said) if question.kind == "quality" else None
    for option in question.options:
        words = {_find_words(option.text), _find_words(option.text).removeprefix("the ")}
        is_key = plain == option.key.lower() if symbol is None else option.example[0].chord.quality.name == symbol
        if is_key or plain in words:
            return Judgement(option.key, question.is_right(option.key))
    meant = question.option(_DEGREE_KEYS.get(plain.removeprefix("the "), "")) if question.kind in DEGREE_KINDS else None
    if meant is not None:
        return Judgement(meant.key, question.is_right(meant.key))
    place = _YES_NO_PLACES.get(plain) if question.kind in YES_NO_KINDS else None
    if place is not None:
        meant = question.options[place]
        return Judgement(meant.key, question.is_right(meant.key))
    named = _judge_name(question, said, allowed) if question.kind in NAMED_KINDS and symbol is None else None
    if named is not None:
        return named
    raise bad_value("answer", said.strip()[:40], allowed=allowed)


def _find_words(said: str) -> str:
    """Return small letters without commas, one space between words."""
    return " ".join(said.lower().replace(",", " ").split())


def _find_symbol(said: str) -> str | None:
    """Return the quality whose sign was said, as it stands after a root (M7 is not m7); None where it is no sign."""
    try:
        return parse_chord(f"C{said.strip()}").quality.name
    except (ChordSymbolError, BadValueError):
        return None


def _judge_name(question: Question, said: str, allowed: str) -> Judgement | None:
    """Take a chord's name for the option that has its quality, or its inversion; None where it is no chord's name.

    Which inversion it is was asked: the chord's root and quality may be others. Only a chord of thirds says it: C6 has
    the notes of Am7/C, whose third is in the bass.

    Raises
    ------
    BadValueError
        It names none of the options; nothing is counted.
    """
    try:
        chord = parse_chord(said.strip())
    except (ChordSymbolError, BadValueError):
        return None
    if question.kind in DEGREE_KINDS:
        place, degrees = chord.inversion, [str(tone.degree) for tone in chord.quality.tones]
        is_of_thirds = set(degrees) <= set(_BASS_KEYS.values())
        option = question.option(degrees[place]) if is_of_thirds and place is not None else None
        remedy = "As a name, a triad or seventh chord over one of its tones tells it: C7/E has its third in the bass."
    else:
        offered = (one for one in question.options if one.example[0].chord.quality.name == chord.quality.name)
        option, remedy = next(offered, None), "Is it one of these by another name?"
    if option is None:
        raise bad_value("answer", chord.printed, allowed=allowed, remedy=remedy)
    return Judgement(option.key, question.is_right(option.key), f"you said {chord.printed}: {option.text}")


def check_hummed(question: Question) -> None:
    """Refuse to judge a hum where it would not tell the answer.

    Raises
    ------
    BadValueError
        The question compares chords, or asks for more than the bass.
    """
    if question.kind not in HUMMED_KINDS:
        raise BadValueError(
            "A hummed bass does not answer this question: answer with a number of the list, or in words."
        )


def check_played(question: Question) -> None:
    """Refuse to judge a chord played back where it would not tell the answer.

    Raises
    ------
    BadValueError
        The question compares chords.
    """
    if question.kind not in PLAYED_KINDS:
        raise BadValueError(
            "A chord played back does not answer this question: answer with a number of the list, or in words."
        )


def judge_hum(question: Question, midi: float) -> Judgement:
    """Judge a hummed bass, octave forgiven.

    Parameters
    ----------
    question : Question
    midi : float
        What was hummed, in semitones (60.0 = C4).

    Raises
    ------
    BadValueError
        See :func:`check_hummed`.
    """
    check_hummed(question)
    chord = question.sounds[0].chord
    bass = chord.sounding_bass
    cents = ((midi - bass.pitch_class) * 100.0 + 600.0) % 1200.0 - 600.0
    is_right = abs(cents) < HUMS_RIGHT_CENTS
    key = question.answer if is_right else _degree_hummed(question, midi)
    return Judgement(
        key, is_right, f"you hummed {_spell(Pitch(round(midi)), chord)}, the bass is {bass.printed}", cents
    )


def _spell(pitch: Pitch, chord: Chord) -> str:
    """Return a pitch as the chord spells it, with its octave; a foreign one with the chord's signs."""
    own = (note for note in (*chord.notes, chord.sounding_bass) if note.pitch_class == pitch.pitch_class)
    note = next(own, None) or spell_beside(pitch.pitch_class, chord.notes)
    return f"{note.printed}{(pitch.midi - note.accidental) // 12 - 1}"


def _degree_hummed(question: Question, midi: float) -> str:
    """Return which tone of the chord was hummed in place of the bass; empty where it is none."""
    hummed = round(midi) % 12
    if question.kind == "root or not":
        return "r" if hummed == question.sounds[0].chord.root.pitch_class else ""
    if question.kind not in DEGREE_KINDS:
        return ""
    for place, note in enumerate(question.sounds[0].chord.notes[: len(BASS_NAMES)]):
        if note.pitch_class == hummed:
            return _BASS_KEYS[BASS_NAMES[place]]
    return ""


def judge_played(question: Question, bass: Pitch, pitch_classes: frozenset[int]) -> Judgement:
    """Judge a chord that was played back on a guitar: the same tones over the same bass, in any place.

    Parameters
    ----------
    question : Question
    bass : Pitch
        The lowest note that was heard.
    pitch_classes : frozenset of int
        All that was heard.

    Raises
    ------
    BadValueError
        See :func:`check_played`.
    """
    check_played(question)
    chord = question.sounds[0].chord
    same_bass = bass.pitch_class == chord.sounding_bass.pitch_class
    same_tones = pitch_classes == chord.pitch_classes
    tones = "the tones" if same_tones else "not quite the tones"
    text = f"you played {_spell(bass, chord)} in the bass, and {tones} of the chord"
    key = question.answer if same_bass and same_tones else ""
    return Judgement(key, same_bass and same_tones, text)
