"""Every playable shape of a chord, held equal to trying everything."""

from __future__ import annotations

import random

import numpy as np
import pytest
from numpy.typing import NDArray

from listen.errors import BadValueError
from listen.instrument import USUAL_HAND, Fretboard, Hand, find_instrument, measure_efforts, parse_tuning
from listen.theory import QUALITIES, Chord, Note, parse_chord
from listen.voicing import ShapeFilters, find_shapes

Frets = NDArray[np.int8]
NECK = Fretboard()


def try_everything(chord: Chord, fretboard: Fretboard, *, hand: Hand) -> set[tuple[int, ...]]:
    """The slow way: every row of frets, tested by its sounding pitch classes, bass and hand."""
    frets = range(-1, fretboard.top_fret + 1)
    grid = np.array(np.meshgrid(*[frets] * fretboard.n_strings, indexing="ij"), np.int8)
    rows = grid.reshape(fretboard.n_strings, -1).T
    open_midi = np.array([pitch.midi for pitch in fretboard.open_pitches])
    midi = np.where(rows >= 0, open_midi + rows, 999)
    members = [Chord(chord.root, quality, chord.bass) for quality in chord.quality.members or (chord.quality,)]
    for root_may_go in (False, True):
        kept = np.zeros(len(rows), bool)
        for member in members:
            few = root_may_go or len(_tones(member)) > fretboard.n_strings
            kept |= _sounds(rows, midi, member, root_may_go=few, re_entrant=fretboard.tuning.is_reentrant)
        found = rows[kept]
        found = found[measure_efforts(found, fretboard, hand=hand).playable]
        if len(found):
            break
    return set(map(tuple, found.tolist()))


def _tones(chord: Chord) -> set[int]:
    return {note.pitch_class for note in chord.notes} - {
        chord.root.above(tone).pitch_class for tone in chord.quality.avoided
    }


def _sounds(
    rows: Frets, midi: NDArray[np.int64], chord: Chord, *, root_may_go: bool, re_entrant: bool
) -> NDArray[np.bool_]:
    played = rows >= 0
    tones = _tones(chord)
    bass = None if chord.bass is None else chord.bass.pitch_class
    heard = midi % 12
    allowed = sorted(tones if bass is None else tones | {bass})
    kept: NDArray[np.bool_] = np.asarray((~played | np.isin(heard, allowed)).all(axis=1) & played.any(axis=1))
    required = {chord.root.above(tone).pitch_class: tone.degree for tone in chord.quality.required}
    sounding = [{int(each) for each in row[here]} for row, here in zip(heard[kept], played[kept], strict=True)]
    kept[kept] = [_tells(each, tones, required, chord, rows.shape[1], root_may_go=root_may_go) for each in sounding]
    if bass is not None:
        if not re_entrant:
            kept &= midi.min(axis=1) % 12 == bass
        if bass not in {note.pitch_class for note in chord.notes}:
            kept &= (played & (heard == bass)).sum(axis=1) == 1
    return np.asarray(kept)


def _tells(
    heard: set[int], tones: set[int], required: dict[int, int], chord: Chord, n_strings: int, *, root_may_go: bool
) -> bool:
    """Tell whether these pitch classes tell the chord, by the rules in words."""
    root = chord.root.pitch_class
    telling = {3, 6, 7} if 3 in required.values() else {4, 6, 7, 11}  # a fourth stands for the third that may go
    guides = {tone for tone, degree in required.items() if degree in telling}
    others = set(required) - {root}
    if set(required) <= heard:
        return True
    if not root_may_go or len(guides) < 2:
        return False
    if len(others) > n_strings:
        return guides <= heard and len(heard & others) >= n_strings
    return others <= heard and len(heard & (tones - {root})) >= min(n_strings, len(tones) - 1)


def draw_case(seed: int) -> tuple[Chord, Fretboard, Hand]:
    """Draw a chord, a short neck and a hand."""
    rng = random.Random(seed)
    name = rng.choice(["ukulele", "bass", "mandolin", "tenor guitar", "low-G ukulele", "standard"])
    instrument = find_instrument(name)
    n_frets = 4 if name == "standard" else rng.choice([6, 7, 8])
    capo = rng.choice([0, 0, 0, 1]) if n_frets > 4 else 0
    neck = Fretboard(instrument.tuning, n_frets, capo, instrument.scale_length_mm)
    quality = rng.choice(QUALITIES)
    root = Note.plain(rng.randrange(12))
    bass = rng.choice([None, None, root.above(rng.choice(quality.tones)), Note.plain(rng.randrange(12))])
    hand = Hand(rng.choice([80.0, 100.0, 118.0]), rng.random() < 0.3, rng.choice(["pick", "fingers"]))
    return Chord(root, quality, bass), neck, hand


@pytest.mark.parametrize("decade", range(20))
def test_the_search_finds_what_trying_everything_finds(decade: int) -> None:
    n_found = 0
    for seed in range(10 * decade, 10 * decade + 10):
        chord, neck, hand = draw_case(seed)
        wanted = try_everything(chord, neck, hand=hand)
        try:
            rows = find_shapes(chord, fretboard=neck, hand=hand).frets
        except BadValueError:
            rows = np.empty((0, neck.n_strings), np.int8)
        found = set(map(tuple, rows.tolist()))
        assert len(found) == len(rows), f"no shape twice: {chord.text}"
        assert found == wanted, f"{chord.text} on {neck.tuning.name}"
        n_found += len(found)
    assert n_found > 0


def test_the_order_is_total_and_the_same_each_time() -> None:
    found = find_shapes(parse_chord("Am7"))
    again = find_shapes(parse_chord("Am7"))
    assert np.array_equal(found.frets, again.frets)
    graded = np.round(found.costs, 3)
    assert (np.diff(graded) >= 0).all()
    keys = [
        (grade, min((fret for fret in row if fret > 0), default=0), tuple(row))
        for grade, row in zip(graded.tolist(), found.frets.tolist(), strict=True)
    ]
    assert keys == sorted(keys)
    assert len(set(keys)) == len(keys)


@pytest.mark.parametrize(
    ("name", "text"),
    [  # the forms that any method shows first; common practice, from memory
        ("C", "x32010"),
        ("A", "x02220"),
        ("G", "320003"),
        ("E", "022100"),
        ("D", "xx0232"),
        ("Am", "x02210"),
        ("Em", "022000"),
        ("Dm", "xx0231"),
        ("E7", "020100"),
        ("A7", "x02020"),
        ("B7", "x21202"),
        ("Cmaj7", "x32000"),
        ("Am7", "x02010"),
        ("G/B", "x20003"),
        ("Fm", "133111"),
        ("F", "133211"),
    ],
)
def test_the_plain_form_is_among_the_first(name: str, text: str) -> None:
    first = [shape.text for shape in find_shapes(parse_chord(name)).shapes[:8]]
    assert text in first


def test_a_shape_tells_its_degrees_its_inversion_and_what_is_missing() -> None:
    found = find_shapes(parse_chord("C9"))
    place = [shape.text for shape in found.shapes].index("x32330")
    voicing = found[place]
    assert [str(degree) for degree in voicing.degrees] == ["None", "1", "3", "b7", "9", "3"]
    assert [str(tone) for tone in voicing.missing] == ["5"]
    assert voicing.inversion == 0
    assert voicing.fingering.playable


def test_a_slice_is_a_shorter_result() -> None:
    found = find_shapes(parse_chord("C"))
    assert [each.shape for each in found[:3]] == list(found.shapes[:3])
    assert found[-1].shape == found.shapes[-1]


def test_a_foreign_bass_sounds_once_and_lowest() -> None:
    found = find_shapes(parse_chord("D/C"))
    for row in found.pitches[:50]:
        heard = [midi for midi in row.tolist() if midi < 999]
        assert min(heard) % 12 == 0
        assert sum(midi % 12 == 0 for midi in heard) == 1


def test_a_reentrant_stringing_has_no_bass_so_a_slash_chord_keeps_its_grip() -> None:
    neck = find_instrument("ukulele").fretboard()
    assert find_shapes(parse_chord("C/E"), fretboard=neck)[0].shape.text == "0003"
    for row in find_shapes(parse_chord("C/D"), fretboard=neck).pitches[:50].tolist():
        assert sum(midi % 12 == 2 for midi in row if midi < 999) == 1


def test_a_capo_moves_the_names_and_keeps_the_shapes() -> None:
    low = find_shapes(parse_chord("G"), fretboard=Fretboard(n_frets=15))
    high = find_shapes(parse_chord("Bb"), fretboard=Fretboard(n_frets=18, capo_fret=3))
    assert set(low.shapes) <= set(high.shapes)


def test_every_quality_is_found_on_a_guitar() -> None:
    for quality in QUALITIES:
        assert len(find_shapes(Chord(Note("G"), quality))) > 0, quality.name


def test_an_altered_dominant_is_found_by_its_members() -> None:
    family = parse_chord("E7alt")
    assert family.quality.members
    shapes = set(find_shapes(family).shapes)
    for member in family.quality.members:
        assert set(find_shapes(Chord(family.root, member)).shapes) <= shapes
    for voicing in find_shapes(family)[:60]:
        assert not voicing.missing
        assert all(
            (degree is None) == (pitch is None) for degree, pitch in zip(voicing.degrees, voicing.pitches, strict=True)
        )


def test_seven_strings_and_an_unusual_tuning_are_searched() -> None:
    seven = find_instrument("seven-string").fretboard()
    assert len(find_shapes(parse_chord("Em7"), fretboard=seven)) > 1000
    crafty = Fretboard(parse_tuning("C2 G2 D3 A3 E4 G4"))
    assert find_shapes(parse_chord("C"), fretboard=crafty)[0].fingering.playable


def test_a_chord_that_no_string_set_can_hold_is_refused_in_a_sentence() -> None:
    with pytest.raises(BadValueError, match="can hold no shape of"):
        find_shapes(parse_chord("C"), fretboard=Fretboard(parse_tuning("C3")))


def test_a_wider_hand_finds_all_that_a_smaller_one_does() -> None:
    small = set(find_shapes(parse_chord("Bm7"), hand=Hand(85.0)).shapes)
    usual = set(find_shapes(parse_chord("Bm7"), hand=USUAL_HAND).shapes)
    assert small < usual


def test_inversions_agree_with_music21() -> None:
    music21_chord = pytest.importorskip("music21").chord
    for name in ("C", "F#m", "Eb7", "Amaj7", "Bm7"):
        found = find_shapes(parse_chord(name), filters=ShapeFilters(all_tones=True))
        for index in range(0, len(found), max(1, len(found) // 12)):
            voicing = found[index]
            heard = {note.pitch_class: str(note).replace("b", "-") for note in found.chord.notes}
            names = [f"{heard[p.pitch_class]}{p.octave}" for p in voicing.pitches if p is not None]
            assert music21_chord.Chord(names).inversion() == voicing.inversion, (name, names)
