"""A check against an earlier one of the same student: better, the same, or worse."""

from __future__ import annotations

from listen.assessment.teacher import apply_words
from listen.document import finding_words
from listen.reading import Check, Comparison, Finding, FindingKind

SAME_SHARE = 0.03  # of the bars: less than one bar of a page is no change


def compare_checks(now: Check, before: Check) -> Comparison:
    """Compare two checks of one student.

    Findings are the same where kind, what was expected, and string are; where in the piece does not matter, but of what
    only the teacher heard, of which nothing else is known. What the teacher says of a recording now was so when the
    same recording was checked before.
    """
    if _is_same_recording(now, before):
        before = apply_words(before, now.teacher)
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


def _is_same_recording(now: Check, before: Check) -> bool:
    """Whether two checks are of one recording: its bars begin and end at the very same times."""
    times, earlier = ([(bar.bar, bar.start_s, bar.end_s) for bar in check.bars] for check in (now, before))
    return times == earlier and any(start is not None for _, start, _ in times)


def _named(check: Check) -> dict[tuple[str, str, int | None, int | None], str]:
    return {
        (one.kind, finding_words(one)[0], one.string, one.bar if one.kind == "teacher" else None): _text(one)
        for one in check.findings
        if one.is_said
    }


def _text(finding: Finding) -> str:
    """Return what is to be mended, as a part of a sentence."""
    expected, _ = finding_words(finding)
    note = f" ({expected})" if expected else ""
    change = f"change to {finding.expected}" if finding.expected else "change"
    texts: dict[FindingKind, str] = {
        "chord": f"the chord {expected}",
        "bass": f"the bass {expected}",
        "silent string": f"the silent string {finding.string}{note}" if finding.string else f"the missing {expected}",
        "extra string": f"what string {finding.string} sounds" if finding.string else "a note too many",
        "out of tune": f"the tuning of string {finding.string}",
        "late": "a stop" if finding.is_stop else f"the late {change}" if finding.expected else "what is played between",
        "early": f"the early {change}",
        "uneven": "how even the strokes are",
        "way": "the way of the strokes",
        "pattern": f"what was left out of the pattern{note}",
        "restart": "beginning again",
        "repeated": "a bar played again",
        "left out": "what was left out",
        "stopped": "the early end",
        "setting": "the capo or the tuning",
        "tempo": "the tempo",
        "metre": "how many beats a bar has",
        "teacher": f"what your teacher heard in bar {finding.bar}{note}",
    }
    return texts[finding.kind]
