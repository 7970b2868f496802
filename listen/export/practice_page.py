"""A session of practice as one page that needs nothing else: questions, sounds, necks, and the answers as a file."""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Sequence
from functools import cache
from importlib.resources import files

from listen.document import ANSWERS_FORMAT
from listen.export.describe import describe_inversion
from listen.export.diagram import shape_to_diagram
from listen.export.page import as_drawing, render_page
from listen.export.sound import samples_to_uri
from listen.export.svg import render_diagram_svg
from listen.practice import (
    RATE_HZ,
    Question,
    Sounding,
    advise,
    find_root_positions,
    render_basses,
    render_sounds,
    render_spelled,
)

MOST_ITEMS = 40  # a page of them takes some 15 MB


def render_practice_page(questions: Sequence[Question], *, title: str = "Practice", left_handed: bool = False) -> str:
    """Render a session.

    Parameters
    ----------
    questions : sequence of Question
        At most :data:`MOST_ITEMS`; played by the string model.
    title : str
    left_handed : bool

    Returns
    -------
    str
        A whole HTML document, its sounds inside.
    """
    script = _script()
    digest = base64.b64encode(hashlib.sha256(script.encode("utf-8")).digest()).decode("ascii")
    items = [_item(question, number, left_handed) for number, question in enumerate(questions, 1)]
    data = json.dumps({"format": ANSWERS_FORMAT, "items": [item["data"] for item in items]})
    return render_page(
        "practice.html.j2",
        {
            "title": title,
            "items": items,
            "data": as_drawing(data.replace("</", "<\\/")),
            "script": as_drawing(script),
            "script_hash": f"sha256-{digest}",
        },
    )


@cache
def _script() -> str:
    return files("listen.export").joinpath("templates/practice.js").read_text(encoding="utf-8")


def _item(question: Question, number: int, left_handed: bool) -> dict[str, object]:
    sounds = {"question": _uri(question.sounds, question)}
    bass = samples_to_uri(render_basses(question.sounds, question.fretboard), sample_rate_hz=RATE_HZ)
    spelled = samples_to_uri(render_spelled(question.sounds[-1], question.fretboard), sample_rate_hz=RATE_HZ)
    rooted = find_root_positions(question.sounds, question.fretboard)
    if rooted:
        sounds["rooted"] = _uri(rooted, question)
    for place, option in enumerate(question.options):
        if option.example and option.key != question.answer:
            sounds[f"option{place}"] = _uri(option.example, question)
    data = {
        "kind": question.kind, "level": round(question.level, 2), "answer": question.answer,
        "options": [
            {"key": option.key, "text": option.text, "advice": advise(question, option.key)}
            for option in question.options
        ],
        "sounds": {**sounds, "bass": bass, "spelled": spelled},
    }  # fmt: skip
    return {"number": number, "prompt": question.prompt,
            "has_rooted": bool(rooted),
            "necks": _necks(question, f"q{number}-", left_handed),
            "options": question.options, "data": data}  # fmt: skip


def render_sounding_cards(question: Question, *, left_handed: bool = False) -> str:
    """Render each chord of a question on the neck, to stand in a page."""
    cards = render_page("sounding_cards.html.j2", {"necks": _necks(question, "q", left_handed)})
    return f"<div class='cards'>{cards}</div>"


def _necks(question: Question, ident: str, left_handed: bool) -> list[dict[str, object]]:
    """Return what the card of each chord of a question shows."""
    return [
        {
            "name": sounding.chord.printed,
            "words": f"{describe_inversion(sounding.chord)}, held as {sounding.shape.text}",
            "box": as_drawing(_box(sounding, question, f"{ident}{place}", left_handed)),
        }
        for place, sounding in enumerate(question.sounds)
    ]


def _uri(sounds: Sequence[Sounding], question: Question) -> str:
    return samples_to_uri(render_sounds(sounds, question.fretboard), sample_rate_hz=RATE_HZ)


def _box(sounding: Sounding, question: Question, ident: str, left_handed: bool) -> str:
    diagram = shape_to_diagram(
        sounding.shape, question.fretboard, chord=sounding.chord, labels="degree", left_handed=left_handed
    )
    return render_diagram_svg(diagram, ident=ident)
