"""Standard MIDI files, read back by mido and by music21."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from io import BytesIO
from typing import Any

import mido
import music21
import pytest

from listen.evidence import TimeSpan
from listen.export.midi import TICKS_PER_BEAT, played_notes, render_midi, velocity_of
from listen.instrument import Fretboard, parse_tuning
from listen.reading import Part, PartRecording
from tests.hand_made_parts import ALL_PARTS, Scene, compound_part, free_part, straight_part, waltz_part

EVERY_PART = pytest.mark.parametrize("make", ALL_PARTS.values(), ids=ALL_PARTS.keys())
TICK_S = 0.002  # a tick at 60 beats a minute


def _file(part: Part) -> Any:
    return mido.MidiFile(file=BytesIO(render_midi(part)))


def _sounding(part: Part) -> list[tuple[float, int, int]]:
    """Return time, channel and pitch of every note on, by mido's own reckoning of the tempo map."""
    at, found = 0.0, []
    for message in _file(part):
        at += message.time
        if message.type == "note_on" and message.velocity:
            found.append((at, message.channel, message.note))
    return found


@EVERY_PART
def test_every_note_sounds_when_it_was_played_on_its_strings_channel(make: Callable[[], Part]) -> None:
    part = make()
    n = part.fretboard.n_strings
    expected = [(note.start_s, n if note.string_index is None else note.string_index, note.pitch.midi)
                for note in played_notes(part)]  # fmt: skip
    sounding = _sounding(part)
    assert Counter((channel, pitch) for _, channel, pitch in sounding) == Counter((c, p) for _, c, p in expected)
    first = min(at for at, _, _ in expected) - min(at for at, _, _ in sounding)
    by_time = zip(sorted(expected), sorted((at + first, c, p) for at, c, p in sounding), strict=True)
    assert max(abs(one[0] - other[0]) for one, other in by_time) < 2 * TICK_S


def test_bars_stand_on_bar_lines_and_strokes_on_their_beats() -> None:
    ticks, at = [], 0
    for message in _file(straight_part()).tracks[1]:  # the sixth string: full strokes on 1, 2 and 4 of the first bars
        at += message.time
        if message.type == "note_on":
            ticks.append(at)
    beats = [0, 1, 3, 4, 5, 7]
    assert ticks[:6] == pytest.approx([beat * TICKS_PER_BEAT for beat in beats], abs=2)


def test_a_pickup_fills_the_end_of_its_bar() -> None:
    track = _file(waltz_part()).tracks[2]  # the fifth string begins the part
    first = next(message for message in track if message.type == "note_on")
    assert first.time == 2 * TICKS_PER_BEAT


def test_the_tempo_map_follows_the_beats() -> None:
    part = straight_part()
    stretched = tuple(at + 0.1 * max(0, index - 16) for index, at in enumerate(part.bars.beats_s))
    bars = tuple(stretched[::4])
    tempi = [
        m.tempo
        for m in _file(replace(part, bars=replace(part.bars, beats_s=stretched, lines_s=bars))).tracks[0]
        if m.type == "set_tempo"
    ]
    assert tempi[0] == 625_000
    assert tempi[-1] == pytest.approx(725_000, abs=100)


def test_chord_names_are_markers_in_plain_letters() -> None:
    texts = [message.text for message in _file(compound_part()).tracks[0] if message.type == "marker"]
    assert texts == ["Abm", "Cb"]
    assert [m.text for m in _file(straight_part()).tracks[0] if m.type == "marker"][:4] == ["Em", "Cadd9", "D/F#", "G"]


def test_a_strum_that_was_not_timed_string_by_string_is_spread_the_way_it_went() -> None:
    scene = Scene()
    scene.chord("Em", "022000")
    scene.strum(1, 0, "down")
    scene.strum(1, 24, "up")
    part = scene.part(1)
    flat = tuple(
        replace(
            e,
            strokes=tuple(
                replace(s, notes=tuple(replace(n, start_s=s.span.start_s) for n in s.notes)) for s in e.strokes
            ),
        )
        for e in part.events
    )
    notes = played_notes(replace(part, events=flat))
    down, up = notes[:6], notes[6:]
    assert [note.string_index for note in down] == [0, 1, 2, 3, 4, 5]
    assert [note.string_index for note in up] == [5, 4, 3, 2, 1, 0]
    assert down[-1].start_s - down[0].start_s == pytest.approx(0.015)


def test_a_string_never_sounds_two_notes_at_once() -> None:
    tracks = _file(straight_part()).tracks[1:]
    assert len(tracks) == 6
    for track in tracks:
        sounding = 0
        for message in track:
            sounding += {"note_on": 1, "note_off": -1}.get(message.type, 0)
            assert 0 <= sounding <= 1
        assert sounding == 0


@EVERY_PART
def test_music21_reads_the_same_pitches_at_the_same_beats(make: Callable[[], Part]) -> None:
    part = make()
    score = music21.converter.parseData(render_midi(part), format="midi", quantizePost=False)
    read: list[tuple[float, int]] = []
    for element in score.recurse().notes:
        if element.tie is not None and element.tie.type != "start":
            continue  # music21 cuts notes at bar lines
        at = float(element.getOffsetInHierarchy(score))
        read += [(at, pitch.midi) for pitch in element.pitches]
    expected: list[tuple[float, int]] = []
    for track in _file(part).tracks:
        now = 0
        for message in track:
            now += message.time
            if message.type == "note_on":
                expected.append((now / TICKS_PER_BEAT, message.note))
    assert len(read) == len(expected)
    by_pitch = [sorted((pitch, at) for at, pitch in row) for row in (read, expected)]
    for (pitch, at), (wanted, wanted_at) in zip(*by_pitch, strict=True):
        assert pitch == wanted
        assert at == pytest.approx(wanted_at, abs=0.03)


def test_signature_and_key_are_written() -> None:
    conductor = _file(waltz_part()).tracks[0]
    signature = next(message for message in conductor if message.type == "time_signature")
    assert (signature.numerator, signature.denominator) == (3, 4)
    assert next(message for message in conductor if message.type == "key_signature").key == "Eb"


@pytest.mark.parametrize(("tonic", "mode"), [("E", "minor"), ("E", "major"), ("F#", "minor"), ("Bb", "major")])
def test_music21_reads_the_key_and_its_mode(tonic: str, mode: str) -> None:
    scene = Scene()
    scene.chord("E", "022100")
    scene.strum(1, 0)
    midi = render_midi(scene.part(1, tonic=tonic, mode=mode))
    keys = music21.converter.parseData(midi, format="midi").recurse().getElementsByClass("Key")
    assert {(key.tonic.name.replace("-", "b"), key.mode) for key in keys} == {(tonic, mode)}


def test_a_louder_stroke_is_struck_with_more_velocity() -> None:
    scene = Scene()
    scene.chord("Em", "022000")
    for step in (0, 12, 24):
        scene.strum(1, step)
    part = scene.part(1)
    levels_db = (0.0, -12.0, -4.0)
    events = tuple(
        replace(
            event,
            strokes=tuple(
                replace(one, notes=tuple(replace(note, level_db=level_db) for note in one.notes))
                for one in event.strokes
            ),
        )
        for event, level_db in zip(part.events, levels_db, strict=True)
    )
    tracks = _file(replace(part, events=events)).tracks[1:]
    assert len(tracks) == 6
    for track in tracks:
        struck = [message.velocity for message in track if message.type == "note_on"]
        assert struck == [velocity_of(level_db) for level_db in levels_db]
        assert struck[0] > struck[2] > struck[1] > 0


@pytest.mark.parametrize(("tuning", "sounds_as"), [("standard", "steel"), ("bass", "fingered"), ("ukulele", "nylon")])
def test_every_string_has_the_general_midi_sound_of_its_instrument(tuning: str, sounds_as: str) -> None:
    """MIDI Manufacturers Association, General MIDI System Level 1, 1991: the sound set, counted from 0 in a file."""
    sound_set = {24: "nylon", 25: "steel", 33: "fingered"}
    board = Fretboard(parse_tuning(tuning))
    scene = Scene(fretboard=board)
    scene.chord("C", "x" * (board.n_strings - 1) + "0")
    scene.strum(1, 0)
    file = _file(scene.part(1))
    programs = [message.program for track in file.tracks for message in track if message.type == "program_change"]
    assert [sound_set[program] for program in programs] == [sounds_as] * board.n_strings


def test_free_time_and_nothing_at_all_are_files_too() -> None:
    assert _file(free_part()).length == pytest.approx(8.0, abs=0.05)
    assert len(_file(Part(PartRecording(TimeSpan(0, 1), 1.0), Fretboard())).tracks) == 7


def test_a_note_ends_where_its_string_is_struck_again() -> None:
    """Notes that ring on in the part: one channel sounds one note at a time."""
    part = straight_part()
    events = tuple(
        replace(
            event,
            strokes=tuple(
                replace(one, notes=tuple(replace(note, end_s=note.end_s + 3.0) for note in one.notes))
                for one in event.strokes
            ),
        )
        for event in part.events
    )
    tracks = _file(replace(part, events=events)).tracks[1:]
    assert len(tracks) == 6
    for track in tracks:
        sounding = 0
        for message in track:
            sounding += {"note_on": 1, "note_off": -1}.get(message.type, 0)
            assert 0 <= sounding <= 1
