"""A student's page: what was done well, at most two things to work on, each to be heard, and the rest folded away.

The page holds this student's recording and nobody else's name or sound. It loads nothing.
"""

from __future__ import annotations

import base64
import hashlib
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from listen.assessment import find_target
from listen.export.check_drawings import Drawings
from listen.export.check_text import comparison_text, right_text, shown_praise, shown_warnings, tempo_text
from listen.export.check_words import (
    MOST_SAID,
    Matter,
    find_matters,
    find_questions,
    overruled_sentences,
    question_sentence,
)
from listen.export.labels import printed
from listen.export.page import as_drawing, render_page
from listen.export.sound import PAGE_RATE_HZ, samples_to_mp3
from listen.export.style import TextStyle
from listen.export.words import sure_text
from listen.harmony import measure_shift
from listen.instrument import Shape
from listen.reading import Assignment, BarOutcome, Check, clock_text

AROUND_S = 1.0  # what is heard before and after a finding
LONGEST_S = 300.0  # of a longer recording the page holds the round that was judged, up to this
STATE_WORDS = {"right": "right", "finding": "to work on", "question": "listen", "left out": "left out",
               "not judged": ""}  # fmt: skip


def render_check_page(
    check: Check, assignment: Assignment, *, recording: Path | None = None, left_handed: bool = False
) -> str:
    """Return a student's page.

    Parameters
    ----------
    check : Check
    assignment : Assignment
    recording : Path or None
        Without it the page has no sound of the student's.
    left_handed : bool

    Raises
    ------
    RecordingError
        It cannot be read any more.
    """
    plain = TextStyle()
    start_s, sound = _load_sound(check, recording)
    matters = find_matters(check)
    praise = shown_praise(check)
    drawn = Drawings(assignment, left_handed=left_handed)
    script = _script()
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode("ascii")
    return render_page(
        "check.html.j2",
        {
            "student": plain.plain(check.student),
            "title": plain.plain(check.title),
            "refused": check.refused,
            "praise": praise[0] if praise else "",
            "more_praise": praise[1:3],
            "facts": check_facts(check),
            "names": names_note(assignment),
            "work": [_matter(one, drawn, start_s, is_shown=True) for one in matters[:MOST_SAID]],
            "later": [_matter(one, drawn, start_s, is_shown=False) for one in matters[MOST_SAID:]],
            "questions": [
                {"text": question_sentence(own), "plays": [_plays(one.time_s, start_s) for one in own]}
                for own in find_questions(check)
            ],
            "settled": overruled_sentences(check),
            "note": "\n".join(map(plain.plain, check.teacher.note.splitlines())),
            "comparison": comparison_text(check),
            "bars": [_bar(bar, start_s) for bar in check.bars],
            "warnings": shown_warnings(check),
            "clips": {ident: _render_clip(shape, assignment.fretboard) for ident, shape in drawn.shapes.items()},
            "cautions": sorted(drawn.cautions),
            "sound": sound,
            "script": as_drawing(script),
            "script_hash": f"sha256-{digest}",
        },
    )


def _bar(bar: BarOutcome, start_s: float) -> dict[str, Any]:
    plays = None
    if bar.start_s is not None and bar.end_s is not None:
        plays = f"{max(0.0, bar.start_s - start_s):.2f}:{max(0.0, bar.end_s - start_s):.2f}"
    return {
        "number": bar.bar,
        "expected": printed(bar.expected),
        "state": bar.state.replace(" ", "-"),
        "words": STATE_WORDS[bar.state],
        "plays": plays,
    }


def _matter(matter: Matter, drawn: Drawings, start_s: float, *, is_shown: bool) -> dict[str, Any]:
    first = matter.findings[0]
    return {
        "sentence": matter.sentence,
        "hint": matter.hint,
        "sure": "your teacher"
        if first.verdict == "wrong"
        else sure_text(max(one.probability for one in matter.findings)),
        "places": [
            {"clock": clock_text(one.time_s), "bar": one.bar, "plays": _plays(one.time_s, start_s)}
            for one in matter.places[:8]
        ],
        "set": drawn.expected(first.expected) if is_shown else None,
        "heard": drawn.heard(first.heard) if is_shown and first.kind == "chord" else None,
    }


def _plays(time_s: float, start_s: float) -> str:
    """Return the two seconds around a moment, in the page's own time."""
    at = time_s - start_s
    return f"{max(0.0, at - AROUND_S):.2f}:{max(0.1, at + AROUND_S):.2f}"


def names_note(assignment: Assignment) -> str:
    r"""Say once how names are meant where a capo, or the tuning, moves them; empty where nothing does.

    Examples
    --------
    >>> from listen.document import parse_chart
    >>> names_note(parse_chart("capo: 2\n| C | G/B |"))
    'Names are as you hold them, over the capo at fret 2: C sounds D, G/B sounds A/C♯.'
    """
    shift = measure_shift(assignment.fretboard)
    moved = [find_target(chord, assignment) for chord in assignment.chords if chord.chord is not None]
    if not shift or not moved:
        return ""
    over = f", over the capo at fret {assignment.capo_fret}" if assignment.capo_fret else ""
    sounds = ", ".join(f"{printed(one.symbol)} sounds {printed(one.sounding)}" for one in moved)
    return f"Names are as you hold them{over}: {sounds}."


def check_facts(check: Check) -> list[tuple[str, str]]:
    """Return what is told of a check at its head: each a word and its value."""
    facts = []
    if not check.refused:
        facts.append(("Right", right_text(check)))
    if tempo := tempo_text(check):
        facts.append(("Tempo", tempo))
    if len(check.rounds) > 1:
        place = next(number for number, one in enumerate(check.rounds, start=1) if one.is_judged)
        facts.append(("Played", f"{len(check.rounds)} times; number {place} is the best and is judged"))
    return facts


def _load_sound(check: Check, recording: Path | None) -> tuple[float, str | None]:
    """Return from when on the recording is in the page, and the recording as MP3 (ISO/IEC 11172-3; RFC 2397)."""
    if recording is None:
        return 0.0, None
    from listen.audio import load_recording, probe_recording
    from listen.evidence import TimeSpan

    duration_s = probe_recording(recording).duration_s
    span = None
    if duration_s > LONGEST_S:
        judged = next((one for one in check.rounds if one.is_judged), None)
        first_s = 0.0 if judged is None else max(0.0, judged.start_s - 2 * AROUND_S)
        span = TimeSpan(first_s, first_s + LONGEST_S)
    loaded = load_recording(recording, span=span)
    return loaded.start_s, samples_to_mp3(loaded.samples, loaded.sample_rate_hz)


def _render_clip(shape: Shape, board: Any) -> str:
    from listen.synthesis import StrumStyle, Tone, render_shape

    tone = Tone(sample_rate_hz=PAGE_RATE_HZ, seed=1)
    samples = render_shape(shape, board, settings=StrumStyle(onset_s=0.05, duration_s=2.0, tone=tone))
    return samples_to_mp3(samples, PAGE_RATE_HZ)


@cache
def _script() -> str:
    return files("listen.export").joinpath("templates", "check.js").read_text("utf-8")
