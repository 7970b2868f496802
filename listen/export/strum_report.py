"""The report of a strum: one page with what was heard, what it is called, where it was held, and how it sounds."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from listen.document import reason_text
from listen.export.describe import describe_inversion
from listen.export.diagram import empty_marks, shape_to_diagram
from listen.export.labels import pitch_text, printed
from listen.export.page import as_drawing, render_page
from listen.export.sound import LONGEST_S, samples_to_uri
from listen.export.spectrum_svg import render_spectrum_svg, tell_harmonics
from listen.export.strum_text import name_sentence
from listen.export.style import TextStyle
from listen.export.svg import render_diagram_svg
from listen.export.words import (
    LEAST_NAME,
    caution_for,
    cents_text,
    effort_text,
    name_remarks,
    signed_text,
    stroke_words,
    sure_of_names,
    sure_text,
)
from listen.reading import ShapeReading, StrumReading, TakeReading

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

SHOWN_NAMES = 3  # at least; of further ones those that are worth a line
NECK_FRETS = 12  # the octave: as much of the neck as the eye needs to know where it is
SHARE_WIDTH = 6.0  # log-odds that fill half of a bar: 400 to 1


@dataclass(frozen=True, slots=True)
class ListenedStretch:
    """The stretch of the recording that was listened to.

    Parameters
    ----------
    samples : ndarray of float32, shape (n,), mono
    sample_rate_hz : int
    start_s : float
        Where it begins in the recording.
    """

    samples: npt.NDArray[np.float32]
    sample_rate_hz: int
    start_s: float = 0.0


def render_strum_report(
    take: TakeReading, sound: ListenedStretch, *, n_shapes: int = 3, left_handed: bool = False
) -> str:
    """Render the page of one recording; it is named without its folder, since pages are passed on.

    Parameters
    ----------
    take : TakeReading
    sound : ListenedStretch
    n_shapes : int
    left_handed : bool

    Returns
    -------
    str
        A self-contained HTML document.
    """
    reading = take.reading
    shapes = [
        _shape_card(shape, place, reading, n_shown=n_shapes, left_handed=left_handed)
        for place, shape in enumerate(reading.shapes[:n_shapes], start=1)
    ]
    return render_page(
        "strum.html.j2",
        {
            "file": TextStyle().plain(take.file),
            "facts": _facts(take),
            "warnings": take.warnings,
            "other_strums": [f"{at:.1f} s" for at in take.other_strums_s],
            "refused": reading.refused,
            "names": _names(reading),
            "sentence": name_sentence(reading.names[0], reading) if reading.names else "",
            "held": _held(reading),
            "recording": samples_to_uri(sound.samples, sample_rate_hz=sound.sample_rate_hz),
            "recording_cut": len(sound.samples) > LONGEST_S * sound.sample_rate_hz,
            "longest_s": round(LONGEST_S),
            "spectrum": as_drawing(
                render_spectrum_svg(
                    sound.samples,
                    sample_rate_hz=sound.sample_rate_hz,
                    start_s=sound.start_s,
                    reading=reading,
                    ident="spectrum",
                )
            ),
            "notes": _notes(reading),
            "neck": _neck(reading, left_handed=left_handed),
            "left_handed": left_handed,
            "shapes": shapes,
        },
    )


def render_evidence_fragment(take: TakeReading, sound: ListenedStretch) -> str:
    """Render what was heard of a strum, without a page around it: HTML for a page that has its own."""
    spectrum = render_spectrum_svg(
        sound.samples,
        sample_rate_hz=sound.sample_rate_hz,
        start_s=sound.start_s,
        reading=take.reading,
        ident="evidence-spectrum",
    )
    content = {
        "spectrum": as_drawing(spectrum),
        "refused": take.reading.refused,
        "notes": _notes(take.reading),
        "names": _names(take.reading),
        "is_moved": any(name.played_as is not None for name in take.reading.names),
    }
    return render_page("evidence.html.j2", content)


def _facts(take: TakeReading) -> list[tuple[str, str]]:
    reading, evidence = take.reading, take.reading.evidence
    board = reading.fretboard
    told = f"channel {take.channel}" if take.channel.isdecimal() else f"{take.channel} channel"
    channel = "" if take.channel == "mix" else f", {told}"
    facts = [("Heard", f"{evidence.span.start_s:.2f}–{evidence.span.end_s:.2f} s{channel}")]
    if reading.notes:
        facts.append(("Pitch", f"{cents_text(evidence.tuning_offset_cents)} against A4 = 440 Hz"))
    facts.append(("Stroke", evidence.direction or "not told"))
    capo = f", capo at fret {board.capo_fret}" if board.capo_fret else ""
    facts.append(("Strings", f"{board.tuning.text}{capo}"))
    return facts


def _names(reading: StrumReading) -> list[dict[str, Any]]:
    names = [name for place, name in enumerate(reading.names) if place < SHOWN_NAMES or name.probability >= LEAST_NAME]
    return [
        {
            "text": name.printed,
            "sure": sure,
            "width": round(100 * name.probability) if sure == sure_text(name.probability) else None,
            "words": "" if name.label else describe_inversion(name.chord, reading.fretboard.tuning),
            "remarks": name_remarks(name),
            "called": name.printed if name.played_as is None else f"{name.played_as.printed}, sounding {name.printed}",
            "played_as": "" if name.played_as is None else f"played as {name.played_as.printed}",
        }
        for name, sure in zip(names, sure_of_names(names, lambda name: name.printed), strict=True)
    ]


def _notes(reading: StrumReading) -> list[dict[str, str]]:
    chord = reading.names[0].chord if reading.names else None
    return [
        {
            "name": printed(pitch_text(note.pitch, chord)),
            "sure": sure_text(note.probability),
            "cents": "–" if note.deviation_cents is None else cents_text(note.deviation_cents),
            "harmonics": tell_harmonics(note.pitch, reading),
        }
        for note in reversed(reading.notes)
    ]


def _held(reading: StrumReading) -> str:
    """Say what of the likeliest shape did not sound; empty where it sounded as it was held."""
    if not reading.shapes:
        return ""
    told = stroke_words(reading.shapes[0], reading.fretboard.n_strings)
    return f"Held as {reading.shapes[0].shape.text}; {told}." if told else ""


def _neck(reading: StrumReading, *, left_handed: bool) -> Any:
    if not reading.shapes:
        return None
    chord = reading.names[0].chord if reading.names else None
    diagram = shape_to_diagram(
        reading.shapes[0].shape,
        reading.fretboard,
        chord=chord,
        labels="note",
        title="The notes on the neck",
        left_handed=left_handed,
    )
    diagram = empty_marks(diagram, reading.shapes[0].silent)
    last = min(max(NECK_FRETS, diagram.last_fret + 1), reading.fretboard.top_fret)
    return as_drawing(render_diagram_svg(replace(diagram, first_fret=1, last_fret=last), ident="neck"))


def _shape_card(
    shape: ShapeReading, place: int, reading: StrumReading, *, n_shown: int, left_handed: bool
) -> dict[str, Any]:
    from listen.synthesis import StrumStyle, Tone, render_shape

    chord = reading.names[0].chord if reading.names else None
    diagram = shape_to_diagram(
        shape.shape,
        reading.fretboard,
        fingering=shape.fingering,
        chord=chord,
        title=f"Shape {place}: {shape.shape.text}",
        left_handed=left_handed,
    )
    diagram = empty_marks(diagram, shape.silent)
    tone = Tone(sample_rate_hz=22_050, seed=place)
    samples = render_shape(
        shape.sounded, reading.fretboard, settings=StrumStyle(onset_s=0.05, duration_s=2.5, tone=tone)
    )
    why = shape.why
    return {
        "place": place,
        "frets": shape.shape.text,
        "sure": sure_text(shape.probability),
        "box": as_drawing(render_diagram_svg(diagram, ident=f"shape{place}")),
        "words": diagram.description,
        "effort": effort_text(shape.fingering.effort),
        "reasons": [reason_text(reason) for reason in shape.fingering.reasons],
        "caution": caution_for(shape.fingering),
        "same_sound": [str(other + 1) for other in shape.same_sound if other < n_shown],
        "stroke": stroke_words(shape, reading.fretboard.n_strings),
        "shares": [
            _share(name, share)
            for name, share in (("ear", why.ear), ("hand", why.hand), ("book", why.book), ("stroke", why.stroke))
            if share or name != "stroke"
        ],
        "sound": samples_to_uri(samples, sample_rate_hz=22_050),
    }


def _share(name: str, log_odds: float) -> dict[str, Any]:
    """Return a share with the place of its bar: the middle is none, left is against, right is for."""
    size = 50 * min(1.0, abs(log_odds) / SHARE_WIDTH)
    return {
        "name": name,
        "text": signed_text(log_odds),
        "left": round(50 - size if log_odds < 0 else 50, 1),
        "width": round(size, 1),
    }
