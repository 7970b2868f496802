"""What a demonstration does too is no fault: times and strokes are held against its own, where it leaves its chart.

A chart writes a change on a beat; a player comes a little before it, or pushes a stroke. Who plays as shown is right.
"""

from __future__ import annotations

from dataclasses import replace

from listen.assessment.praise import renew_praise
from listen.reading import (
    BAR_KINDS,
    BarOutcome,
    Check,
    DriftingTempo,
    Finding,
    OffBeat,
    OtherSetting,
    StrokesLeftOut,
    Tolerances,
    UnevenStrokes,
)


def follow_demonstration(check: Check, demonstration: Check, tolerances: Tolerances) -> Check:
    """Return a check without what the demonstration does too: changes off the beat, strokes as uneven or left out.

    Nor is a tempo that drifts the same way, and no farther, nor a guitar that lies as far off A = 440 Hz.

    Parameters
    ----------
    check : Check
    demonstration : Check
        Of the demonstration against its own chart.
    tolerances : Tolerances
    """
    kept = tuple(one for one in check.findings if not _is_shown(one, demonstration, tolerances))
    if len(kept) == len(check.findings):
        return check
    bars = tuple(_outcome(bar, check.findings, kept) for bar in check.bars)
    told = replace(check, findings=kept, bars=bars)
    return replace(told, praise=renew_praise(told))


def _is_shown(one: Finding, demonstration: Check, tolerances: Tolerances) -> bool:
    return one.verdict is None and any(_does_as_much(one, shown, tolerances) for shown in demonstration.findings)


def _does_as_much(one: Finding, shown: Finding, tolerances: Tolerances) -> bool:
    match one.measure, shown.measure:
        case UnevenStrokes() as own, UnevenStrokes() as other:
            does = own.off_ms <= other.off_ms
        case StrokesLeftOut() as own, StrokesLeftOut() as other:
            does = set(own.places) <= set(other.places)
        case DriftingTempo() as own, DriftingTempo() as other:
            does = _drifts_as_shown(own, other)
        case OtherSetting(semitones=0) as own, OtherSetting(semitones=0) as other:
            does = abs(own.cents - other.cents) <= tolerances.cents
        case OffBeat() as own, OffBeat() as other:
            is_there = (shown.kind, shown.bar, shown.beat, shown.is_stop) == (one.kind, one.bar, one.beat, one.is_stop)
            does = is_there and abs(own.ms - other.ms) <= tolerances.change_ms
        case _:
            does = False
    return does


def _drifts_as_shown(own: DriftingTempo, shown: DriftingTempo) -> bool:
    """Whether a tempo changes the same way as the one that was shown, and by no greater share of itself."""
    grows, shown_grows = own.to_bpm / own.from_bpm, shown.to_bpm / shown.from_bpm
    return 1.0 < grows <= shown_grows or shown_grows <= grows < 1.0


def _outcome(bar: BarOutcome, before: tuple[Finding, ...], after: tuple[Finding, ...]) -> BarOutcome:
    """Return a bar as what is left of its findings makes it."""
    left = [one for one in after if one.bar == bar.bar and one.kind in BAR_KINDS]
    had = sum(one.bar == bar.bar and one.kind in BAR_KINDS for one in before)
    if len(left) == had or bar.state not in {"finding", "question"}:
        return bar
    if any(one.is_said for one in left):
        return replace(bar, state="finding")
    return replace(bar, state="question" if any(one.is_asked for one in left) else "right")
