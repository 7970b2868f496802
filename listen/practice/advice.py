"""What is said after an answer: where to put the ear, and after a wrong one what tells the chosen from the played.

A tone in the bass is told by how far the root lies above it.
"""

from __future__ import annotations

from listen.harmony import name_interval
from listen.practice.ladder import DEGREE_KINDS
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
    return f"{_tell_apart(question, key)} {question.listen_for}"


def _tell_apart(question: Question, key: str) -> str:
    chosen = question.option(key)
    example = () if chosen is None else chosen.example
    sounds, chord = question.sounds, question.sounds[0].chord
    if question.kind in DEGREE_KINDS:
        said = next(place for place, tone in enumerate(chord.quality.tones) if str(tone.degree) == key)
        return f"You said the {BASS_NAMES[said]}: {_tell_tone(chord, said)}. {_tell_bass(chord)}"
    if question.kind == "root or not":
        return _tell_bass(chord)
    if question.kind == "foreign bass":
        return _tell_foreign(chord)
    if question.kind == "same bass":
        return f"From the first chord to the second the bass {_tell_step(question, sounds)}."
    if question.kind == "which came first":
        first, last = (BASS_NAMES[one.chord.inversion or 0] for one in sounds)
        return f"The first chord has its {first} in the bass, the second its {last}."
    if question.kind == "bass line":
        place = next(n for n, pair in enumerate(zip(question.answer, key, strict=True)) if pair[0] != pair[1]) // 2
        played, said_line = (_tell_step(question, one[place - 1 : place + 1]) for one in (sounds, example))
        return f"The lines part at note {place + 1}: the bass {played}; in the one you chose it {said_line}."
    other = example[-1].chord.quality
    if question.kind == "quality":
        return _compare(chord.quality, other)
    return _compare_places(sounds)


def _tell_bass(chord: Chord) -> str:
    return f"Here the {BASS_NAMES[chord.inversion or 0]} is lowest: {_tell_tone(chord, chord.inversion or 0)}."


def _tell_tone(chord: Chord, place: int) -> str:
    """Say how the root lies over a tone in the bass."""
    if place == 0:
        return "the chord comes to rest on it"
    tone = chord.quality.tones[place].pitch_class
    return f"from it up to the root is {name_interval(Pitch(tone), Pitch(12))}"


def _tell_foreign(chord: Chord) -> str:
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


def _compare_places(sounds: tuple[Sounding, ...]) -> str:
    first, last = (one.chord for one in sounds)
    if first.quality == last.quality:
        return f"Both are {first.root.printed} {first.quality.name}: only the place on the neck is another."
    return _compare(last.quality, first.quality)
