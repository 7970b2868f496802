"""A check against an earlier one of the same student: better, the same, or worse."""

from __future__ import annotations

from listen.document import finding_words
from listen.reading import Check, Comparison, Finding

SAME_SHARE = 0.03  # of the bars: less than one bar of a page is no change


def compare_checks(now: Check, before: Check) -> Comparison:
    """Compare two checks of one student.

    Findings are the same where kind, what was expected, and string are; where in the piece does not matter.
    """
    then, found = _named(before), _named(now)
    difference = now.share_right - before.share_right
    trend = "same" if abs(difference) <= SAME_SHARE else "better" if difference > 0 else "worse"
    if trend == "same" and len(found) != len(then):
        trend = "better" if len(found) < len(then) else "worse"
    return Comparison(
        "better" if trend == "better" else "worse" if trend == "worse" else "same",
        round(before.share_right, 3),
        round(now.share_right, 3),
        mended=tuple(text for key, text in then.items() if key not in found),
        again=tuple(text for key, text in found.items() if key in then),
        new=tuple(text for key, text in found.items() if key not in then),
    )


def _named(check: Check) -> dict[tuple[str, str, int | None], str]:
    return {(one.kind, finding_words(one)[0], one.string): _text(one) for one in check.findings if one.is_said}


def _text(finding: Finding) -> str:
    expected, _ = finding_words(finding)
    where = f"string {finding.string}" if finding.string is not None else expected or f"bar {finding.bar}"
    return f"{finding.kind}: {where}"
