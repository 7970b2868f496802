"""Scores of one answer against its truth, and rates over many with their bounds.

Conventions: a score is True, False or None (not asked of this case); rates come with Wilson's 95 % interval (Wilson
1927). A *label* is right when its tones and its bass are what sounds; a perfect fifth may be missing.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from tests.benchmarks.cases import Case, Truth
from tests.benchmarks.hands import OPEN_MIDI, Frets
from tests.benchmarks.system import CRASHED, Answer, Named
from tests.benchmarks.vocabulary import POWER, QUALITIES, explains, find_exact_readings

Z_95 = 1.959964
N_BINS = 10


@dataclass(frozen=True, slots=True)
class Scores:
    """What was right about one answer.

    Parameters
    ----------
    right_notes, read_notes, true_notes : int
    marks : dict of str to bool
        By the name of the score; a score that was not asked is missing.
    right_strings : dict of str to tuple of (int, int)
        Right notes on the right string, and right notes, by ``"book"`` or ``"no book"``.
    confidences : dict of str to tuple of (float, bool)
        Probability and outcome, by ``"notes"``, ``"ear"``, ``"names"``, ``"shapes"``.
    """

    right_notes: int = 0
    read_notes: int = 0
    true_notes: int = 0
    marks: dict[str, bool] = field(default_factory=dict)
    right_strings: dict[str, tuple[int, int]] = field(default_factory=dict)
    confidences: dict[str, tuple[tuple[float, bool], ...]] = field(default_factory=dict)


def label_is_right(name: Named, truth: Truth) -> bool:
    """Tell whether a name's tones and bass are what sounds; a foreign bass counts as a tone."""
    tones = name.tones | {(name.bass - name.root) % 12}
    return name.bass == truth.pitches[0] % 12 and explains(name.root, tones, truth.pitch_classes)


def majmin_is_right(name: Named, truth: Truth) -> bool:
    """Compare root, third and fifth, as ``mir_eval.chord.majmin`` does: tones above the fifth and the bass are free."""
    wanted = frozenset(QUALITIES[truth.quality or "major"])
    return name.root == truth.root and frozenset(tone for tone in name.tones if tone <= 7) == wanted


def _score_names(answer: Answer, truth: Truth) -> dict[str, bool]:
    exact = find_exact_readings(truth.pitch_classes)
    marks: dict[str, bool] = {}
    if exact:
        right = [label_is_right(name, truth) for name in answer.names[:3]]
        marks["label"] = right[:1] == [True]
        marks["label in three"] = any(right)
        named = [(name.root, name.tones) for name in answer.names[:3]]
        marks["every exact reading"] = sum(reading in exact for reading in named) >= min(3, len(exact))
        if truth.root is not None and truth.pitches[0] % 12 != truth.root:
            marks["label, inverted"] = marks["label"]
    if truth.root is not None:
        tones = frozenset(QUALITIES[truth.quality] if truth.quality else POWER)
        marks["book's name"] = bool(answer.names) and (answer.names[0].root, answer.names[0].tones) == (
            truth.root,
            tones,
        )
    return marks


def _score_shapes(
    answer: Answer, truth: Truth, right: frozenset[int]
) -> tuple[dict[str, bool], dict[str, tuple[int, int]]]:
    marks: dict[str, bool] = {}
    strings: dict[str, tuple[int, int]] = {}
    if truth.frets is None:
        return marks, strings
    for label, ranked in (("book", answer.shapes), ("no book", answer.shapes_without_book)):
        shapes = [frets for frets, _ in ranked]
        marks[f"shape, {label}"] = shapes[:1] == [truth.frets]
        marks[f"shape in three, {label}"] = truth.frets in shapes[:3]
        strings[label] = _right_strings(shapes[0] if shapes else (None,) * 6, truth.frets, right)
    return marks, strings


def _right_strings(read: Frets, true: Frets, right: frozenset[int]) -> tuple[int, int]:
    asked = [string for string, fret in enumerate(true) if fret is not None and OPEN_MIDI[string] + fret in right]
    return sum(read[string] == true[string] for string in asked), len(asked)


def score_case(case: Case, answer: Answer) -> Scores:
    """Score one answer."""
    truth = case.truth
    if truth.kind in ("nothing", "note"):
        marks = {"refused": answer.refused is not None and not answer.refused.startswith(CRASHED)}
        if truth.kind == "note":
            marks["note listed"] = tuple(midi for midi, _ in answer.notes) == truth.pitches
        return Scores(marks=marks)
    read = frozenset(midi for midi, _ in answer.notes)
    read_classes = frozenset(midi % 12 for midi in read)
    if truth.kind == "triad":
        wanted = frozenset(((truth.root or 0) + tone) % 12 for tone in QUALITIES[truth.quality or "major"])
        marks = {
            "refused": answer.refused is not None,
            "major or minor": bool(answer.names) and majmin_is_right(answer.names[0], truth),
            "triad named, nothing else": bool(answer.names)
            and (answer.names[0].root, answer.names[0].tones)
            == (truth.root, frozenset(QUALITIES[truth.quality or "major"])),
            "pitch classes": read_classes == wanted,
            "triad heard": wanted <= read_classes,
        }
        return Scores(marks=marks)
    true = frozenset(truth.pitches)
    marks = {
        "exact": read == true,
        "pitch classes": read_classes == truth.pitch_classes,
        "bass": answer.bass == truth.pitches[0],
        "bass class": answer.bass is not None and answer.bass % 12 == truth.pitches[0] % 12,
        "refused": answer.refused is not None,
    }
    marks |= _score_names(answer, truth)
    if truth.direction is not None and answer.direction is not None:
        marks["direction, where said"] = answer.direction == truth.direction
    shape_marks, strings = _score_shapes(answer, truth, read & true)
    confidences: dict[str, tuple[tuple[float, bool], ...]] = {
        "notes": tuple((probability, midi in true) for midi, probability in answer.notes),
        "ear": tuple((p, midi in true) for midi, p in answer.heard if p >= 0.02 or midi in true),
    }
    if answer.names and "label" in marks:
        confidences["names"] = ((answer.names[0].probability, marks["label"]),)
    if answer.shapes and truth.strings_known:
        confidences["shapes"] = ((answer.shapes[0][1], shape_marks["shape, book"]),)
    return Scores(
        right_notes=len(read & true),
        read_notes=len(read),
        true_notes=len(true),
        marks=marks | shape_marks,
        right_strings=strings,
        confidences=confidences,
    )


@dataclass(frozen=True, slots=True)
class Rate:
    """A proportion and its Wilson interval.

    Parameters
    ----------
    right, asked : int

    Examples
    --------
    >>> Rate(95, 100)
    .950 [.888 .978] of 100
    """

    right: int
    asked: int

    @property
    def value(self) -> float:
        """The proportion; NaN when nothing was asked."""
        return self.right / self.asked if self.asked else math.nan

    @property
    def bounds(self) -> tuple[float, float]:
        """Wilson's interval at 95 %."""
        if not self.asked:
            return math.nan, math.nan
        n, p = self.asked, self.value
        middle = (p + Z_95**2 / (2 * n)) / (1 + Z_95**2 / n)
        half = Z_95 / (1 + Z_95**2 / n) * math.sqrt(p * (1 - p) / n + Z_95**2 / (4 * n * n))
        return max(0.0, middle - half), min(1.0, middle + half)

    def __repr__(self) -> str:
        low, high = self.bounds
        return f"{short(self.value)} [{short(low)} {short(high)}] of {self.asked}"


def short(value: float) -> str:
    """Print a proportion in three digits, a dash for NaN."""
    return "–" if math.isnan(value) else f"{value:.3f}".removeprefix("0")


def rate(scores: Iterable[Scores], mark: str) -> Rate:
    """Count a mark over cases that were asked for it."""
    asked = [one.marks[mark] for one in scores if mark in one.marks]
    return Rate(sum(asked), len(asked))


def rate_strings(scores: Iterable[Scores], label: str) -> Rate:
    """Count right notes on their right string."""
    pairs = [one.right_strings[label] for one in scores if label in one.right_strings]
    return Rate(sum(right for right, _ in pairs), sum(asked for _, asked in pairs))


def note_precision_recall_f(scores: Iterable[Scores]) -> tuple[float, float, float]:
    """Pool notes over cases, octave-exact (mir_eval's multipitch rule at half a semitone, on note names)."""
    rows = list(scores)
    right, read, true = (
        sum(getattr(one, name) for one in rows) for name in ("right_notes", "read_notes", "true_notes")
    )
    precision, recall = right / read if read else math.nan, right / true if true else math.nan
    total = read + true
    return precision, recall, 2 * right / total if total else math.nan


def expected_calibration_error(pairs: Sequence[tuple[float, bool]]) -> float:
    """Average distance between what was said and what came true, over ten equal bins (Guo et al. 2017).

    Examples
    --------
    >>> round(expected_calibration_error([(0.8, True)] * 8 + [(0.8, False)] * 2), 6)
    0.0
    """
    if not pairs:
        return math.nan
    bins: list[list[tuple[float, bool]]] = [[] for _ in range(N_BINS)]
    for probability, outcome in pairs:
        bins[min(N_BINS - 1, int(probability * N_BINS))].append((probability, outcome))
    return sum(abs(sum(p for p, _ in group) - sum(o for _, o in group)) for group in bins) / len(pairs)
