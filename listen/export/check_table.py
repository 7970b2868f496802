"""A class's checks as CSV: one row a finding, and one for each student without any (RFC 4180)."""

from __future__ import annotations

import csv
import io

from listen.document import ClassCheck
from listen.export.finding_sentences import finding_sentence, table_words
from listen.reading import Check, Finding

COLUMNS = (
    "student", "source", "right", "kind", "bar", "beat", "time_s", "string", "expected", "heard", "probability",
    "settled", "verdict", "words",
)  # fmt: skip
_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def render_check_csv(checked: ClassCheck) -> str:
    """Return one row a finding; a student without findings has a row with none."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(COLUMNS)
    for check in checked.checks:
        if not check.findings:
            words = check.refused or "no findings"
            writer.writerow([*_head(check), *[""] * (len(COLUMNS) - 4), _safe(words)])
        for one in check.findings:
            writer.writerow([*_head(check), *_row(one)])
    for failure in checked.failures:
        row = [_safe(failure.student), _safe(failure.source), *[""] * (len(COLUMNS) - 3), _safe(failure.error)]
        writer.writerow(row)
    return stream.getvalue()


def _head(check: Check) -> list[str]:
    right = "" if check.refused else f"{check.share_right:.3f}"
    return [_safe(check.student), _safe(check.source), right]


def _row(one: Finding) -> list[str]:
    string = "" if one.string is None else str(one.string)
    return [
        one.kind, str(one.bar), f"{one.beat:g}", f"{one.time_s:.2f}", string, *map(_safe, table_words(one)),
        f"{one.probability:.3f}", "yes" if one.settled else "question", one.verdict or "", _safe(finding_sentence(one)),
    ]  # fmt: skip


def _safe(text: str) -> str:
    """Keep a spreadsheet from taking a name for a formula."""
    return f"'{text}" if text.startswith(_FORMULA) else text
