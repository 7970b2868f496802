"""When a planted mistake counts as found, and when a finding is a fault."""

from __future__ import annotations

from collections.abc import Sequence

from listen.reading import Check, DriftingTempo, Finding, OffPitch
from tests.benchmarks.homework_scenes import Planted

SAME_KINDS = {
    "bass": {"bass", "chord"}, "silent string": {"silent string", "chord"},
    "extra string": {"extra string", "chord", "bass"}, "restart": {"restart", "repeated"},
    "left out": {"left out"}, "late": {"late"},
}  # fmt: skip
"""What else a mistake may be called: a note more or less can make another chord of it."""
NEAR_KINDS = {"late", "restart", "left out"}


def is_found(finding: Finding, planted: Planted, *, settled: bool = True) -> bool:
    """Whether a finding is a planted mistake: its kind, and its bar (the next one, for what happens between bars)."""
    if settled and not finding.settled:
        return False
    if finding.kind not in SAME_KINDS.get(planted.kind, {planted.kind}):
        return False
    if planted.kind in {"setting", "tempo"}:
        return planted.kind == "setting" or isinstance(finding.measure, DriftingTempo)
    if planted.kind == "out of tune":
        return finding.string == planted.string
    if planted.string is not None and finding.kind == planted.kind and finding.string not in {None, planted.string}:
        return False
    return abs(finding.bar - planted.bar) <= (1 if planted.kind in NEAR_KINDS else 0)


def sign_cents(measure: OffPitch) -> int:
    """Return how far a string is off, above 0 where it is sharp."""
    return measure.cents if measure.is_sharp else -measure.cents


def find_faults(check: Check, planted: Sequence[Planted]) -> list[Finding]:
    """Return what is found of playing that was right: not a planted mistake, nor in its bar."""
    bars = {one.bar for one in planted} | {one.bar + 1 for one in planted if one.kind in NEAR_KINDS}
    return [
        finding
        for finding in check.findings
        if finding.bar not in bars and not any(is_found(finding, one, settled=False) for one in planted)
    ]
