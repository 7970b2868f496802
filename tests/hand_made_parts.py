"""Parts made by hand, for the tests of everything that writes a part down. Chords and patterns of our own.

Each function returns a :class:`~listen.reading.Part` such as reading a recording would give, with every fact known.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

from listen.evidence import Direction, StrumEvidence, TimeSpan, TuningPoint
from listen.instrument import Fretboard, Shape, best_fingering, parse_shape, parse_tuning
from listen.reading import (
    BarLength,
    Bars,
    ChordName,
    ChordSpan,
    ConcertPitch,
    Correction,
    Event,
    EventKind,
    GridPosition,
    HandPath,
    Mark,
    Metre,
    NoteReading,
    Part,
    PartKey,
    PartRecording,
    PathDifference,
    PatternStroke,
    Pin,
    PlayedNote,
    Settled,
    SetupHypothesis,
    ShapeReading,
    Shares,
    Stroke,
    StrokeKind,
    StrummingPattern,
    StrumReading,
)
from listen.theory import Chord, Note, Pitch, parse_chord

STANDARD_NECK = Fretboard()
STRING_LAG_S = 0.004


@dataclass(slots=True)
class _Item:
    """One event before its end is known."""

    kind: EventKind
    places: list[tuple[int, int]]
    strokes: list[tuple[StrokeKind, Direction | None, list[tuple[int, int]], tuple[Mark, ...]]]
    chord: int | None
    marks: tuple[Mark, ...] = ()
    remark: str = ""


@dataclass(slots=True)
class Scene:
    """Collects strokes on the grid; :meth:`part` makes the part of them."""

    metre: Metre = field(default_factory=lambda: Metre(4, 4, 2, 96.0))
    fretboard: Fretboard = STANDARD_NECK
    start_s: float = 0.5
    lengths: dict[int, int] = field(default_factory=dict)  # beats of bars that are longer or shorter
    chords: list[tuple[Chord, Chord | None, Shape, tuple[Mark, ...]]] = field(default_factory=list)
    items: list[_Item] = field(default_factory=list)

    def chord(self, text: str, frets: str, *, played_as: str | None = None, marks: tuple[Mark, ...] = ()) -> None:
        """Hold a chord from the next stroke on."""
        form = None if played_as is None else parse_chord(played_as)
        self.chords.append((parse_chord(text), form, parse_shape(frets, fretboard=self.fretboard), marks))

    def strum(
        self,
        bar: int,
        step: int,
        direction: Direction | None = "down",
        *,
        kind: StrokeKind = "full",
        marks: tuple[Mark, ...] = (),
    ) -> None:
        """Strum the chord held, or part of it."""
        shape = self.chords[-1][2]
        held = [(index, fret) for index, fret in enumerate(shape.frets) if fret is not None]
        notes = {"top": held[-3:], "bass": held[:1], "muted": []}.get(kind, held)
        self.items.append(_Item("strum", [(bar, step)], [(kind, direction, notes, marks)], len(self.chords) - 1))

    def pick(self, bar: int, pattern: Sequence[tuple[int, str]]) -> None:
        """Pick the chord held: steps, and the numbers of the strings picked together (``"5"``, ``"61"``)."""
        shape, n = self.chords[-1][2], self.fretboard.n_strings
        strokes: list[tuple[StrokeKind, Direction | None, list[tuple[int, int]], tuple[Mark, ...]]] = []
        for _, strings in pattern:
            notes = [(n - int(sign), shape.frets[n - int(sign)] or 0) for sign in strings]
            kind: StrokeKind = "pinch" if len(strings) > 1 else "bass" if int(strings) > n / 2 else "single"
            strokes.append((kind, None, notes, ()))
        self.items.append(_Item("picked", [(bar, step) for step, _ in pattern], strokes, len(self.chords) - 1))

    def line(
        self, notes: Sequence[tuple[int, int, int, int]], *, marks: dict[int, tuple[Mark, ...]] | None = None
    ) -> None:
        """Play single notes: bar, step, string number, fret."""
        n = self.fretboard.n_strings
        strokes: list[tuple[StrokeKind, Direction | None, list[tuple[int, int]], tuple[Mark, ...]]] = [
            ("single", None, [(n - string, fret)], (marks or {}).get(at, ()))
            for at, (_, _, string, fret) in enumerate(notes)
        ]
        self.items.append(_Item("line", [(bar, step) for bar, step, _, _ in notes], strokes, None))

    def hit(self, bar: int, step: int, direction: Direction | None = "down", *, in_chord: bool = True) -> None:
        """Strike the damped strings."""
        chord = len(self.chords) - 1 if in_chord else None
        self.items.append(_Item("hit", [(bar, step)], [("muted", direction, [], ())], chord))

    def gap(self, bar: int, step: int, kind: EventKind, remark: str = "") -> None:
        """Begin a rest or an unread stretch, to the next event."""
        self.items.append(_Item(kind, [(bar, step)], [], None, remark=remark))

    def time_s(self, bar: int, step: int) -> float:
        """Return when a place of the grid comes."""
        pickup = self.metre.pickup_steps
        more = sum(n_beats - self.metre.beats_per_bar for own, n_beats in self.lengths.items() if own < bar)
        whole = (bar - 1) * self.metre.steps_per_bar + 12 * more + step + pickup
        return round(self.start_s + whole * 60.0 / self.metre.tempo_bpm / 12, 4)

    def part(self, n_bars: int, *, tonic: str = "C", mode: str = "major", source: str = "take one.wav") -> Part:
        """Make the part; `n_bars` counts full bars."""
        end_s = self.time_s(n_bars + 1, 0)
        starts = [self.time_s(*item.places[0]) for item in self.items]
        ends = [*starts[1:], end_s]
        spans = self._spans(starts, ends)
        events = tuple(
            self._event(item, number, ends[number - 1], spans) for number, item in enumerate(self.items, start=1)
        )
        first_bar = 0 if self.metre.pickup_steps else 1
        bars = tuple(max(self.time_s(bar, 0), self.start_s) for bar in range(first_bar, n_bars + 2))
        lengths = tuple(BarLength(bar, n_beats) for bar, n_beats in self.lengths.items())
        beat = 12
        more = sum(n_beats - self.metre.beats_per_bar for n_beats in self.lengths.values())
        steps = range(-self.metre.pickup_steps, n_bars * self.metre.steps_per_bar + 12 * more + 1)
        beats = tuple(self.time_s(1, step) for step in steps if step % beat == 0)
        assert mode in {"major", "minor"}
        key = PartKey(Note.parse(tonic), "major" if mode == "major" else "minor", 0.9)
        setup = SetupHypothesis(self.fretboard, -4.5, 0.9, setup_text(self.fretboard), ("open strings ring",))
        return Part(
            PartRecording(TimeSpan(0.0, end_s), end_s + 0.4, source),
            self.fretboard,
            events=events,
            spans=spans,
            setups=(setup,),
            concert_pitch=ConcertPitch(-4.5),
            keys=(key,),
            bars=Bars(self.metre, (self.metre,), beats, bars, first_bar, lengths),
        )

    def _spans(self, starts: list[float], ends: list[float]) -> tuple[ChordSpan, ...]:
        spans = []
        for index, (chord, form, shape, marks) in enumerate(self.chords):
            own = [at for at, item in enumerate(self.items) if item.chord == index]
            if not own:
                continue
            name = ChordName(chord, 0.93, played_as=form)
            other = ChordName(parse_chord(f"{chord.root}5"), 0.04, missing=("5",), unexplained=("A",))
            held = self._shape(shape)
            notes = tuple(
                sorted(
                    (NoteReading(pitch, 0.97, 1.5) for pitch in shape.pitches(self.fretboard) if pitch),
                    key=lambda n: n.pitch,
                )
            )
            bar, step = self.items[own[0]].places[0]
            spans.append(
                ChordSpan(
                    span=TimeSpan(starts[own[0]], ends[own[-1]]),
                    first_event=own[0],
                    last_event=own[-1],
                    names=(name, other),
                    notes=notes,
                    bass=notes[0],
                    shapes=(held,),
                    position=GridPosition(bar, step),
                    marks=marks,
                )
            )
        return tuple(spans)

    def _event(self, item: _Item, number: int, end_s: float, spans: tuple[ChordSpan, ...]) -> Event:
        times = [self.time_s(*place) for place in item.places]
        stroke_ends = [*times[1:], end_s]
        strokes = []
        for (kind, direction, fretted, marks), place, start_s, stop_s in zip(
            item.strokes, item.places[: len(item.strokes)], times, stroke_ends, strict=False
        ):
            order = fretted if direction != "up" else fretted[::-1]
            lag = {string: round(rank * STRING_LAG_S, 4) for rank, (string, _) in enumerate(order)}
            last_s = end_s if item.kind == "picked" else stop_s
            notes = tuple(
                PlayedNote(pitch, round(start_s + lag[string], 4), last_s, 0.96, string, fret, -3.0, marks)
                for string, fret in fretted
                for pitch in [self.fretboard.pitch_at(string, fret)]
            )
            notes = tuple(sorted(notes, key=lambda note: note.pitch))
            told = 0.5 if direction is None else 0.9
            strokes.append(
                Stroke(
                    TimeSpan(start_s, stop_s), kind, notes, direction, told, -2.0, GridPosition(*place, 0.004), marks
                )
            )
        index = next((i for i, span in enumerate(spans) if span.first_event < number <= span.last_event + 1), None)
        span = spans[index] if index is not None and item.chord is not None else None
        whole = TimeSpan(times[0], end_s)
        reading = None
        if span is not None and item.kind == "strum" and item.strokes[0][0] == "full":
            evidence = StrumEvidence(whole, (), -4.5, item.strokes[0][1])
            reading = StrumReading(evidence, self.fretboard, span.notes, span.bass, span.names, span.shapes)
        return Event(
            whole, item.kind, tuple(strokes), GridPosition(*item.places[0], 0.004), reading,
            None if span is None else span.shape, None if span is None else span.name, number,
            None if span is None else index, item.marks, item.remark,
        )  # fmt: skip

    def _shape(self, shape: Shape) -> ShapeReading:
        return ShapeReading(shape, best_fingering(shape, self.fretboard), 0.88, Shares(2.5, -0.25, 0.5))


def setup_text(fretboard: Fretboard) -> str:
    """Say the setup as the head of a chart does."""
    name = fretboard.tuning.name
    tuned = "" if name == "standard" else {"half step down": "Tune down ½ step"}.get(name, name[:1].upper() + name[1:])
    capo = f"Capo {fretboard.capo_fret}" if fretboard.capo_fret else ""
    return ", ".join(text for text in (tuned, capo) if text)


PATTERN = ((0, "down"), (12, "down"), (18, "up"), (30, "up"), (36, "down"), (42, "up"))


def _strum_pattern(scene: Scene, bar: int, *, until: int = 48, since: int = 0) -> None:
    for step, direction in PATTERN:
        if since <= step < until:
            up = direction == "up"
            scene.strum(bar, step, "up" if up else "down", kind="top" if up else "full")


def straight_part() -> Part:
    """Return eight bars of 4/4: held chords, a change inside a bar, a pushed change, a hit, repeats."""
    scene = Scene()
    for first in (1, 5):
        scene.chord("Em", "022000")
        _strum_pattern(scene, first)
        _strum_pattern(scene, first + 1)
        scene.chord("Cadd9", "x32030")
        _strum_pattern(scene, first + 2, until=24)
        scene.hit(first + 2, 24)
        scene.chord("D/F#", "200232")
        _strum_pattern(scene, first + 2, since=30, until=42)
        scene.chord("G", "320003", marks=("pushed",))
        scene.strum(first + 2, 42, "up", marks=("pushed", "accent"))
        _strum_pattern(scene, first + 3)
    part = scene.part(8, tonic="G")
    strokes = tuple(
        PatternStroke(step, "up" if way == "up" else "down", "top" if way == "up" else "full", step == 0)
        for step, way in PATTERN
    )
    held = part.spans[1].shapes[0]
    other = scene._shape(parse_shape("x32033"))
    return replace(
        part,
        pattern=StrummingPattern(strokes, (1, 2, 4, 5, 6, 8), 0.75),
        path=HandPath(12.5, 3.25, 2, 13.0, 2.75, (PathDifference(1, held, other),)),
        keys=(*part.keys, PartKey(Note.parse("E"), "minor", 0.08)),
        warnings=("The recording is clipped in places.",),
        settled=Settled(
            pins=(Pin(parse_shape("x32030"), bar=3, beat=Fraction(1)), Pin(parse_shape("320003"), event_number=20)),
            corrections=(Correction("metre", "4/4"), Correction("name", "Cadd9", 13)),
        ),
        concert_pitch=ConcertPitch(-4.5, (TuningPoint(0.0, -3.0), TuningPoint(10.0, -6.0))),
        bars=replace(part.bars, metres=(scene.metre, replace(scene.metre, tempo_bpm=192.0, probability=0.2))),
    )


def short_bar_part() -> Part:
    """Ten bars of 4/4 at 96: the sixth has two beats, and its chord comes back in the eighth."""
    scene = Scene(lengths={6: 2})
    forms = {"C": "x32010", "G": "320003", "Am": "x02210", "F": "133211"}
    for bar, name in enumerate(["C", "G", "Am", "F", "C", "G", "Am", "G", "F", "C"], start=1):
        scene.chord(name, forms[name])
        _strum_pattern(scene, bar, until=24 if bar == 6 else 48)
    return scene.part(10)


def waltz_part() -> Part:
    """Return 3/4 with a pickup of one beat, bass and brush, capo at fret 3."""
    metre = Metre(3, 4, 2, 132.0, pickup_steps=12)
    scene = Scene(metre, Fretboard(capo_fret=3), start_s=2.0)
    scene.line([(0, 24, 5, 0), (0, 30, 5, 2)])
    for bar, (sound, form, frets) in enumerate(
        [("Eb", "C", "x32010"), ("Eb", "C", "x32010"), ("Bb7/D", "G7/B", "x20001"), ("Eb", "C", "x32010")], start=1
    ):
        if bar != 2:
            scene.chord(sound, frets, played_as=form)
        scene.strum(bar, 0, "down", kind="bass")
        scene.strum(bar, 12, "down", kind="full")
        scene.strum(bar, 24, "up", kind="top")
    return scene.part(4, tonic="Eb")


def compound_part() -> Part:
    """Return 6/8 in two, with a picked pattern and a chord tied over the bar, half a step down."""
    down = parse_tuning("half step down")
    scene = Scene(Metre(2, 8, 3, 56.0), Fretboard(down), start_s=0.0)
    scene.chord("Abm", "x02210", played_as="Am")
    scene.pick(1, [(0, "5"), (4, "3"), (8, "2"), (12, "1"), (16, "2"), (20, "3")])
    scene.pick(2, [(0, "51"), (4, "3"), (8, "2"), (12, "4"), (16, "2"), (20, "3")])
    scene.chord("Cb", "x32010", played_as="C")
    scene.strum(3, 0)
    scene.strum(3, 20, "up")
    scene.strum(4, 12)
    return scene.part(4, tonic="Ab", mode="minor")


def swing_part() -> Part:
    """Return swung 4/4: off-beats on the third triplet, one full triplet, a seventh chord with a barre."""
    scene = Scene(Metre(4, 4, 3, 120.0, swing=0.66), start_s=1.0)
    scene.chord("F#m7", "242222")
    for step, way in (
        (0, "down"),
        (8, "up"),
        (12, "down"),
        (20, "up"),
        (24, "down"),
        (28, "up"),
        (32, "down"),
        (36, "down"),
    ):
        scene.strum(1, step, "up" if way == "up" else "down")
    scene.chord("B7", "x24242")
    for step in (0, 8, 12, 24, 32):
        scene.strum(2, step, "up" if step in {8, 32} else "down")
    return scene.part(2, tonic="E")


def line_part() -> Part:
    """Return drop D: a line with marks, a rest, an unread bar, then a power chord."""
    dropped = parse_tuning("drop D")
    scene = Scene(Metre(4, 4, 2, 100.0), Fretboard(dropped), start_s=0.3)
    scene.line(
        [(1, 0, 6, 0), (1, 12, 6, 3), (1, 18, 6, 5), (1, 24, 5, 0), (1, 36, 4, 12)],
        marks={2: ("hammer-on",), 4: ("natural harmonic",)},
    )
    scene.gap(2, 0, "silence")
    scene.gap(3, 0, "unread", "Something sounds here that could not be read.")
    scene.chord("D5", "000xxx")
    scene.strum(4, 0, "down", marks=("palm mute",))
    scene.strum(4, 24, None)
    return scene.part(4, tonic="D", mode="minor")


def free_part() -> Part:
    """Return two chords in free time: no bars, no beats, no positions."""
    scene = Scene(Metre(4, 4, 2, 60.0), start_s=0.0)
    scene.chord("Asus2", "x02200")
    scene.strum(1, 0)
    scene.strum(1, 31, "up")
    scene.chord("Cmaj7/G", "3x2000")
    scene.strum(2, 8)
    return without_bars(scene.part(2, tonic="A"))


def returning_scene() -> Scene:
    """Twenty bars, a stroke in each: eight, four others, and the eight again."""
    scene = Scene()
    frets = {"C": "x32010", "G": "320003", "Am": "x02210", "F": "133211", "Dm": "xx0231", "E": "022100"}
    form = ["C", "G", "Am", "F", "C", "G", "F", "F"]
    for bar, name in enumerate([*form, "Dm", "E", "Am", "G", *form], start=1):
        scene.chord(name, frets[name])
        scene.strum(bar, 0)
    return scene


def without_bars(part: Part) -> Part:
    """Return a part as if it had been played in free time."""
    events = tuple(
        replace(event, position=None, strokes=tuple(replace(stroke, position=None) for stroke in event.strokes))
        for event in part.events
    )
    spans = tuple(replace(span, position=None) for span in part.spans)
    return replace(part, events=events, spans=spans, bars=Bars())


def count_pickup_as_one(part: Part) -> Part:
    """Return a part with a pickup as if a person had said that bar one begins with it: every bar is one on."""

    def move(position: GridPosition | None) -> GridPosition | None:
        return None if position is None else replace(position, bar=position.bar + 1)

    events = tuple(
        replace(
            event,
            position=move(event.position),
            strokes=tuple(replace(stroke, position=move(stroke.position)) for stroke in event.strokes),
        )
        for event in part.events
    )
    spans = tuple(replace(span, position=move(span.position)) for span in part.spans)
    return replace(part, events=events, spans=spans, bars=replace(part.bars, first_bar=part.bars.first_bar + 1))


def unheld_part() -> Part:
    """Return notes that no hand can hold: pitches without strings, a name without a shape."""
    scene = Scene()
    scene.chord("C6", "x32210")
    scene.strum(1, 0)
    part = scene.part(1)
    notes = tuple(replace(note, string_index=None, fret=None) for note in part.events[0].strokes[0].notes)
    notes += (PlayedNote(Pitch(79), 0.5, 3.0),)
    event = replace(
        part.events[0], strokes=(replace(part.events[0].strokes[0], notes=notes),), shape=None, reading=None,
        remark="More than one hand can hold.",
    )  # fmt: skip
    return replace(part, events=(event,), spans=(replace(part.spans[0], shapes=()),))


ALL_PARTS = {
    "straight": straight_part,
    "short bar": short_bar_part,
    "waltz": waltz_part,
    "compound": compound_part,
    "swing": swing_part,
    "line": line_part,
    "free": free_part,
    "unheld": unheld_part,
}
