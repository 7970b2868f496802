"""A check against last week's: what is mended is mended by the student, not by the teacher's word."""

from __future__ import annotations

from dataclasses import replace

import pytest

from listen.assessment import apply_words, compare_checks
from listen.reading import FINDING_KINDS, BarOutcome, Check, Finding, TeacherWord, TeacherWords

BARS = tuple(BarOutcome(bar, "finding" if bar == 3 else "right", "Bm", 2.0 * bar, 2.0 * bar + 2) for bar in range(1, 9))
FOUND = Check("Anna", "anna.m4a", bars=BARS, findings=(Finding("chord", 3, 1.0, 6.0, "Bm", "D"),))
OTHER = replace(FOUND, bars=tuple(replace(bar, state="right", start_s=bar.bar * 2.1) for bar in BARS), findings=())
OVERRULED = apply_words(FOUND, TeacherWords((TeacherWord(3, 1.0, "right"),)))


def test_a_finding_that_the_teacher_overrules_is_not_mended_in_the_same_recording() -> None:
    compared = compare_checks(OVERRULED, FOUND)
    assert (compared.trend, compared.mended) == ("same", ())
    assert compared.share_before == compared.share_now == 1.0


def test_another_recording_without_it_is_better() -> None:
    compared = compare_checks(OTHER, FOUND)
    assert (compared.trend, compared.mended) == ("better", ("the chord Bm",))


@pytest.mark.parametrize("kind", FINDING_KINDS)
def test_what_is_mended_is_named_as_a_sentence_has_it(kind: str) -> None:
    then = replace(FOUND, findings=(Finding(kind, 3, 1.0, 6.0),))  # type: ignore[arg-type]
    (named,) = compare_checks(OTHER, then).mended
    assert ":" not in named
    assert named.startswith(("the ", "what ", "how ", "a ", "beginning "))


@pytest.mark.parametrize(("bar", "again"), [(1, ("what your teacher heard in bar 1 (Bm)",)), (4, ())])
def test_what_the_teacher_heard_in_another_bar_is_not_the_same_again(bar: int, again: tuple[str, ...]) -> None:
    then, now = (
        apply_words(check, TeacherWords((TeacherWord(place, None, "wrong"),)))
        for check, place in ((replace(FOUND, findings=()), 1), (OTHER, bar))
    )
    compared = compare_checks(now, then)
    assert compared.again == again
    assert len(compared.mended) == len(compared.new) == (0 if again else 1)
