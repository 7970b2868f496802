"""Neck pictures of what was set and of what was heard, for the reports of a check; each sound of a chord made once."""

from __future__ import annotations

from typing import Any

from listen.assessment import find_target, find_usual_shape
from listen.errors import ListenError
from listen.export.diagram import shape_to_diagram
from listen.export.labels import printed
from listen.export.page import as_drawing
from listen.export.svg import render_diagram_svg
from listen.export.words import caution_for
from listen.harmony import measure_shift
from listen.instrument import Shape, best_fingering
from listen.reading import Assignment
from listen.theory import Chord, parse_chord, transpose_chord


class Drawings:
    """Pictures of chords as they are played, over the capo that was set.

    Parameters
    ----------
    assignment : Assignment
    left_handed : bool
    """

    def __init__(self, assignment: Assignment, *, left_handed: bool) -> None:
        self._board, self._left_handed = assignment.fretboard, left_handed
        self._targets = {chord.symbol: find_target(chord, assignment) for chord in assignment.chords}
        self.shapes: dict[str, Shape] = {}
        self.cautions: set[str] = set()
        self._number = 0

    def expected(self, text: str) -> dict[str, Any] | None:
        """Draw a chord that was set; None where the text names none."""
        target = self._targets.get(text)
        if target is None or target.shape is None:
            return None
        caution = caution_for(best_fingering(target.shape, self._board))
        if caution:
            self.cautions.add(caution)
        ident = f"clip{list(self._targets).index(target.symbol)}"
        self.shapes[ident] = target.shape
        box = self._draw(target.shape, target.chord)
        return {"name": printed(target.symbol), "box": box, "clip": ident, "frets": target.shape.text}

    def heard(self, text: str) -> dict[str, Any] | None:
        """Draw a chord that was heard, as it is usually held."""
        try:
            sounding = transpose_chord(parse_chord(text), measure_shift(self._board) % 12)
        except ListenError:
            return None
        shape = find_usual_shape(sounding, self._board, ())
        return None if shape is None else {"name": printed(text), "box": self._draw(shape, sounding)}

    def _draw(self, shape: Shape, chord: Chord | None) -> Any:
        self._number += 1
        diagram = shape_to_diagram(
            shape, self._board, fingering=best_fingering(shape, self._board), chord=chord, title=shape.text,
            left_handed=self._left_handed,
        )  # fmt: skip
        return as_drawing(render_diagram_svg(diagram, ident=f"shape{self._number}"))
