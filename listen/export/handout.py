"""The sheet that is handed out: shapes, the chart, how it sounds, and a click to play to."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Collection, Sequence
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from listen.assessment import Score, Target, lay_out_score
from listen.document import BARS_A_LINE
from listen.export.diagram import shape_to_diagram
from listen.export.labels import printed
from listen.export.page import as_drawing, render_page
from listen.export.sound import PAGE_RATE_HZ, samples_to_mp3
from listen.export.stroke_columns import set_columns
from listen.export.stroke_signs import ARROWS
from listen.export.svg import render_diagram_svg
from listen.export.words import caution_for
from listen.instrument import best_fingering
from listen.reading import STEPS_PER_BEAT, Assignment, SetBar

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

USUAL_BPM = 80.0  # where no tempo was set: a slow practice tempo (common practice, no source)
FREE_CHORD_BEATS = 4.0  # in free time a chord lasts so long
LONGEST_S = 180.0
"""Of the sound. Encoding takes most of the time that a sheet takes: a minute of it a second or two."""
COUNT_IN_BARS = 1
DEMAND_WORDS = {
    "name": "the chords, wherever you hold them",
    "bass": "the chords and their lowest notes",
    "notes": "exactly these notes",
    "shape": "exactly these shapes",
}


def render_handout(assignment: Assignment, *, left_handed: bool = False) -> str:
    """Return the sheet as a self-contained page."""
    score = lay_out_score(assignment)
    shown = [target for target in score.targets if target.is_judged]
    samples = render_set(score)
    script = _script()
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode("ascii")
    cautions = {
        text
        for target in shown
        if target.shape is not None and (text := caution_for(best_fingering(target.shape, assignment.fretboard)))
    }
    return render_page(
        "handout.html.j2",
        {
            "title": assignment.title or "To play",
            "facts": _facts(assignment),
            "shapes": [_shape(target, assignment, at, left_handed=left_handed) for at, target in enumerate(shown)],
            "cautions": sorted(cautions),
            "sections": _sections(assignment),
            "pattern": _pattern(assignment),
            "sound": samples_to_mp3(samples, PAGE_RATE_HZ),
            "cut_min": LONGEST_S / 60.0 if len(samples) >= LONGEST_S * PAGE_RATE_HZ else None,
            "click": None if assignment.is_free else _to_flac(render_click(score)),
            "bpm": ", ".join(map(str, dict.fromkeys(round(tempo or USUAL_BPM) for tempo in assignment.tempi_bpm))),
            "script": as_drawing(script),
            "script_hash": f"sha256-{digest}",
        },
    )


def render_set(score: Score) -> npt.NDArray[np.float32]:
    """Render what was set on strings: each chord strummed once a beat, after a bar of clicks."""
    import numpy as np

    from listen.synthesis import PEAK, StrumStyle, Tone, shape_to_notes, stream_notes

    assignment = score.assignment
    beat_s, clock = _first_beat_s(assignment), score.clock
    beats = FREE_CHORD_BEATS if assignment.is_free else 1.0
    start_s = 0.0 if assignment.is_free else COUNT_IN_BARS * assignment.beats_per_bar * beat_s
    tone = Tone(sample_rate_hz=PAGE_RATE_HZ, seed=2)
    notes: list[Any] = []
    for slot in score.slots:
        target = score.targets[slot.target]
        if target.shape is None:
            continue
        beat = slot.start
        while beat < slot.end - 1e-6:
            at_s, end_s = (start_s + clock.gone_at(each) * beats * beat_s for each in (beat, beat + 1.0))
            settings = StrumStyle(onset_s=at_s, duration_s=end_s + 0.2, tone=tone)
            notes += shape_to_notes(target.shape, assignment.fretboard, settings=settings)
            beat += 1.0
    length_s = min(LONGEST_S, start_s + clock.gone_at(score.n_beats) * beats * beat_s + 2.0)
    notes = [one for one in notes if one.onset_s < length_s - 0.1]
    samples = np.concatenate(list(stream_notes(notes, tone=tone, duration_s=length_s, alike=True)))
    samples *= PEAK / max(float(np.abs(samples).max(initial=0.0)), 1e-9)
    if start_s:
        times_s = [beat * beat_s for beat in range(COUNT_IN_BARS * assignment.beats_per_bar)]
        clicks = _clicks(times_s, {0}, beat_s)
        samples[: len(clicks)] += clicks[: len(samples)]
    return np.asarray(samples, dtype=np.float32)


def render_click(score: Score) -> npt.NDArray[np.float32]:
    """Render the click for the whole assignment, with a bar before it."""
    assignment, beat_s, clock = score.assignment, _first_beat_s(score.assignment), score.clock
    n_before = COUNT_IN_BARS * assignment.beats_per_bar
    times_s = [(n_before + clock.gone_at(float(beat))) * beat_s for beat in range(-n_before, round(score.n_beats))]
    lines = score.bars[1:-1] if assignment.pickup_beats else score.bars[:-1]
    downs = {0, *(n_before + round(line) for line in lines)}
    return _clicks([time_s for time_s in times_s if time_s < LONGEST_S - beat_s + 1e-6], downs, beat_s)


def _first_beat_s(assignment: Assignment) -> float:
    return 60.0 / (assignment.tempi_bpm[0] or USUAL_BPM)


def _to_flac(clicks: npt.NDArray[np.float32]) -> str:
    """Return clicks as FLAC (RFC 9639), to which silence is next to nothing, in size and in time."""
    from io import BytesIO

    import soundfile

    stream = BytesIO()
    soundfile.write(stream, clicks, PAGE_RATE_HZ, format="FLAC")
    return f"data:audio/flac;base64,{base64.b64encode(stream.getvalue()).decode('ascii')}"


def _clicks(times_s: Sequence[float], downs: Collection[int], beat_s: float) -> npt.NDArray[np.float32]:
    """Render a click at each of some times, those of `downs`, by index, higher, and `beat_s` after the last."""
    import numpy as np

    from listen.export.playback import CLICK_HZ, CLICK_PEAK, CLICK_S, DOWNBEAT_HZ

    samples = np.zeros(round((times_s[-1] + 2 * beat_s) * PAGE_RATE_HZ), np.float32)
    time_s = np.arange(round(CLICK_S * PAGE_RATE_HZ)) / PAGE_RATE_HZ
    for beat, click_s in enumerate(times_s):
        hz = DOWNBEAT_HZ if beat in downs else CLICK_HZ
        sound = CLICK_PEAK * np.sin(2 * np.pi * hz * time_s) * np.exp(-time_s / (CLICK_S / 4))
        at = round(click_s * PAGE_RATE_HZ)
        samples[at : at + len(sound)] += sound.astype(np.float32)[: len(samples) - at]
    return samples


def _facts(assignment: Assignment) -> list[tuple[str, str]]:
    facts = []
    if assignment.capo_fret:
        facts.append(("Capo", f"fret {assignment.capo_fret}"))
    facts.append(("Strings", " ".join(printed(pitch.name) for pitch in assignment.tuning.open_strings)))
    if assignment.is_free:
        facts.append(("Count", "free time"))
    else:
        upper, lower = assignment.signature
        tempo = f", {_tempi_text(assignment)}" if assignment.tempo_bpm else ""
        facts.append(("Count", f"{upper}/{lower}{' swing' if assignment.is_swung else ''}{tempo}"))
    expectation = assignment.expectation
    strings = f", on strings {', '.join(map(str, expectation.strings))}" if expectation.strings else ""
    facts.append(("What matters", DEMAND_WORDS[expectation.demand] + strings))
    return facts


def _tempi_text(assignment: Assignment) -> str:
    """Return the tempo that was set, and those from bars on."""
    tempi, shift = assignment.tempi_bpm, 0 if assignment.pickup_beats else 1
    others = [f", {tempi[at]:g} from bar {at + shift}" for at in range(1, len(tempi)) if tempi[at] != tempi[at - 1]]
    return f"{tempi[0]:g} beats a minute{''.join(others)}"


def _shape(target: Target, assignment: Assignment, number: int, *, left_handed: bool) -> dict[str, Any]:
    box = None
    if target.shape is not None:
        diagram = shape_to_diagram(
            target.shape, assignment.fretboard, fingering=best_fingering(target.shape, assignment.fretboard),
            chord=target.chord, title=f"{target.symbol}, {target.shape.text}", left_handed=left_handed,
        )  # fmt: skip
        box = as_drawing(render_diagram_svg(diagram, ident=f"shape{number}"))
    sounds = "" if target.sounding == target.symbol else printed(target.sounding)
    demand = target.expectation
    words = "" if demand == assignment.expectation else DEMAND_WORDS[demand.demand]
    return {
        "name": printed(target.symbol),
        "sounds": sounds,
        "frets": "" if target.shape is None else target.shape.text,
        "box": box,
        "words": words,
    }


def _sections(assignment: Assignment) -> list[dict[str, Any]]:
    sections, number, is_first = [], 0 if assignment.pickup_beats else 1, True
    beat, before = "♩." if assignment.is_compound else "♩", assignment.signature
    most = max(map(assignment.beats_of, assignment.bars), default=0)
    for section in assignment.sections:
        bars = []
        signed = [bar.signature or assignment.signature for bar in section.bars]
        comes_back = section.times > 1 and signed[0] != signed[-1]
        for place, bar in enumerate(section.bars):
            n_beats = assignment.pickup_beats if is_first and assignment.pickup_beats else assignment.beats_of(bar)
            metre = "{}/{}".format(*signed[place]) if signed[place] != before or (comes_back and not place) else ""
            tempo = "" if bar.tempo_bpm is None else f"{beat}={bar.tempo_bpm:g}"
            mark = " ".join(filter(None, [metre, tempo]))
            bars.append({"number": number, "names": _names(bar, n_beats), "n_beats": n_beats, "mark": mark})
            number, is_first, before = number + 1, False, signed[place]
        number += len(section.bars) * (section.times - 1)
        columns = BARS_A_LINE * most if len(set(signed)) > 1 else 0
        sections.append({"bars": bars, "times": section.times, "columns": columns})
    return sections


def _names(bar: SetBar, n_beats: int) -> list[tuple[int, int, str]]:
    """Return first column, columns and text of each name, two columns a beat."""
    size = STEPS_PER_BEAT // 2
    starts = [min(change.step // size, n_beats * 2 - 1) for change in bar.changes]
    ends = [*starts[1:], n_beats * 2] if starts else []
    return [
        (start + 1, max(1, end - start), printed(change.symbol))
        for start, end, change in zip(starts, ends, bar.changes, strict=True)
    ]


def _pattern(assignment: Assignment) -> dict[str, Any] | None:
    """Return the pattern as the sheet of a part shows one, so that both are read alike."""
    if not assignment.pattern:
        return None
    columns = set_columns(assignment, ARROWS)
    legend = ARROWS.legend((column.sign for column in columns), in_pattern=True, is_set=True)
    return {"columns": columns, "words": f"Strumming pattern of each bar: {legend}"}


@cache
def _script() -> str:
    return files("listen.export").joinpath("templates", "handout.js").read_text("utf-8")
