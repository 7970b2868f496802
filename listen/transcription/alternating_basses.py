"""A thumb that alternates: where strings are picked, what lies lowest where a chord begins is its bass.

C whose thumb goes from the fifth string to the sixth and back, with the third finger on both in turn, is held 332010
and called C, not C/G (common practice, no source). A bass that is meant stands where the chord begins.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import replace

from listen.reading import StrumReading
from listen.theory import Chord
from listen.transcription.held_chords import HeldChord

SHARE = 0.5  # of the chords of one kind; more of them begin so


def name_over_first_basses(chords: Sequence[HeldChord], readings: Sequence[StrumReading]) -> list[StrumReading]:
    """Name picked chords over the bass that they begin with.

    Parameters
    ----------
    chords : sequence of HeldChord
        In time order.
    readings : sequence of StrumReading
        Of the same chords.
    """
    begun: defaultdict[frozenset[int], list[int]] = defaultdict(list)
    for chord in chords:
        if chord.is_picked and len(chord.stretches) > 1:
            begun[chord.pitches].append(min(chord.stretches[0].sounding & chord.pitches, default=0))
    first = {pitches: bass for pitches, basses in begun.items() if (bass := _find_usual(basses)) > min(pitches)}
    return [
        _name_over(first[chord.pitches], reading) if chord.pitches in first and reading.names else reading
        for chord, reading in zip(chords, readings, strict=True)
    ]


def _find_usual(basses: Sequence[int]) -> int:
    """Find with which bass most of them begin; 0 where there is none."""
    bass, n = Counter(basses).most_common(1)[0]
    return bass if n > SHARE * len(basses) else 0


def _name_over(midi: int, reading: StrumReading) -> StrumReading:
    """Put the chord that is named first over another of its tones."""
    name = reading.names[0]
    chord = _over(name.chord, midi)
    if chord is None or name.label:
        return reading
    played = name.played_as
    if played is not None:
        played = _over(played, midi - name.chord.root.pitch_class + played.root.pitch_class)
    others = tuple(one for one in reading.names if one.chord != chord)
    bass = next((note for note in reading.notes if note.pitch.midi == midi), reading.bass)
    return replace(reading, bass=bass, names=(replace(name, chord=chord, played_as=played), *others))


def _over(chord: Chord, midi: int) -> Chord | None:
    note = next((one for one in chord.notes if one.pitch_class == midi % 12), None)
    return None if note is None else replace(chord, bass=None if note == chord.root else note)
