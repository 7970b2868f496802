"""What is said after an answer: where to put the ear, and after a wrong one what tells the chosen from the played.

A tone in the bass is told by how far the root lies above it.
"""

from __future__ import annotations

from collections.abc import Callable

from listen.harmony import name_interval
from listen.practice.question import BASS_NAMES, Question, Sounding
from listen.theory import Chord, ChordQuality, Interval, Pitch


def advise(question: Question, key: str) -> str:
    """Say what to listen for; first, where another answer was chosen than the right one, what tells the two apart.

    Parameters
    ----------
    question : Question
    key : str
        Of the option that was chosen; empty where it was none of them.

    Examples
    --------
    >>> from listen.practice import draw_question
    >>> question = draw_question("which bass", seed=1)
    >>> question.answer, advise(question, "5").split(". ")[0]
    ('1', 'You said the fifth: from it up to the root is a perfect fourth')
    """
    if question.option(key) is None or question.is_right(key):
        return question.listen_for
    return f"{_TELL_APART[question.kind](question, key)} {question.listen_for}"


def _tell_degree(question: Question, key: str) -> str:
    chord = question.sounds[0].chord
    said = next(place for place, tone in enumerate(chord.quality.tones) if str(tone.degree) == key)
    return f"You said the {BASS_NAMES[said]}: {_tell_tone(chord, said)}. {_tell_root(question, key)}"


def _tell_root(question: Question, _key: str) -> str:
    chord = question.sounds[0].chord
    place = chord.inversion or 0
    return f"Here the {BASS_NAMES[place]} is lowest: {_tell_tone(chord, place)}."


def _tell_move(question: Question, _key: str) -> str:
    return f"From the first chord to the second the bass {_tell_step(question, question.sounds)}."


def _tell_order(question: Question, _key: str) -> str:
    first, last = (BASS_NAMES[one.chord.inversion or 0] for one in question.sounds)
    return f"The first chord has its {first} in the bass, the second its {last}."


def _tell_parting(question: Question, key: str) -> str:
    place = next(n for n, pair in enumerate(zip(question.answer, key, strict=True)) if pair[0] != pair[1]) // 2
    played, chosen = (
        _tell_step(question, sounds[place - 1 : place + 1])
        for sounds in (question.sounds, _find_example(question, key))
    )
    return f"The lines part at note {place + 1}: the bass {played}; in the one you chose it {chosen}."


def _tell_kind(question: Question, key: str) -> str:
    return _compare(question.sounds[0].chord.quality, _find_example(question, key)[0].chord.quality)


def _tell_places(question: Question, _key: str) -> str:
    first, last = (one.chord for one in question.sounds)
    if first.quality == last.quality:
        return f"Both are {first.root.printed} {first.quality.name}: only the place on the neck is another."
    return _compare(last.quality, first.quality)


def _find_example(question: Question, key: str) -> tuple[Sounding, ...]:
    option = question.option(key)
    return () if option is None else option.example


def _tell_tone(chord: Chord, place: int) -> str:
    """Say how the root lies over a tone in the bass."""
    if place == 0:
        return "the chord comes to rest on it"
    tone = chord.quality.tones[place].pitch_class
    return f"from it up to the root is {name_interval(Pitch(tone), Pitch(12))}"


def _tell_foreign(question: Question, _key: str) -> str:
    chord = question.sounds[0].chord
    bass, name = chord.sounding_bass.printed, f"{chord.root.printed} {chord.quality.name}"
    if chord.inversion is None:
        return f"{bass} is no tone of {name}: its tones are {', '.join(note.printed for note in chord.notes)}."
    return f"{bass} is a tone of {name}, its {BASS_NAMES[chord.inversion]}."


def _tell_step(question: Question, sounds: tuple[Sounding, ...]) -> str:
    """Say how the bass goes from one chord to the next."""
    first, last = (
        min(pitch for pitch in one.shape.pitches(question.fretboard) if pitch is not None) for one in sounds[:2]
    )
    if first == last:
        return f"stays on {sounds[0].chord.sounding_bass.printed}"
    return f"goes {name_interval(min(first, last), max(first, last))} {'up' if last > first else 'down'}"


def _compare(played: ChordQuality, other: ChordQuality) -> str:
    """Say which tones one kind of chord has and another has not."""
    own, missing = (
        " and ".join(_name_tone(tone) for tone in one.tones if tone not in two.tones)
        for one, two in ((played, other), (other, played))
    )
    here, there = f"{played.name} has {own}", f"{other.name} has {missing}"
    if not own or not missing:
        return f"What tells them apart: {here if own else there}, {(other if own else played).name} has not."
    return f"What tells them apart: {here}, {there}."


def _name_tone(tone: Interval) -> str:
    return name_interval(Pitch(0), Pitch(tone.semitones))


_TELL_APART: dict[str, Callable[[Question, str], str]] = {
    "same bass": _tell_move,
    "root or not": _tell_root,
    "which bass": _tell_degree,
    "which bass of four": _tell_degree,
    "foreign bass": _tell_foreign,
    "which came first": _tell_order,
    "bass line": _tell_parting,
    "quality": _tell_kind,
    "other place": _tell_places,
}
