"""Draw how often what is said with some probability comes true: ``python -m tests.benchmarks.reliability``.

Writes ``docs/reliability.svg``: for notes, first names and first shapes, the share that came true in each tenth of
what was said (a reliability diagram: DeGroot & Fienberg 1983). On the diagonal a probability means what it says; a
dot's area is the share of the answers in its tenth.
"""

from __future__ import annotations

import argparse
import re
from collections.abc import Sequence
from pathlib import Path

from tests.benchmarks.rows import ROWS
from tests.benchmarks.strums import score_rows

PAGE = Path(__file__).parents[2] / "docs" / "reliability.svg"
KINDS = (("notes", "notes that are listed"), ("names", "first name"), ("shapes", "first shape, known strings"))
SIDE, MARGIN, GAP = 220, 42, 28


def render_reliability(groups: Sequence[tuple[str, Sequence[tuple[float, bool]]]]) -> str:
    """Render one panel a group as SVG; each group is a title and pairs of what was said and whether it came true."""
    width = MARGIN + len(groups) * (SIDE + GAP)
    head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {SIDE + 2 * MARGIN}"'
    parts = [f'{head} font-family="sans-serif" font-size="12"><title>Reliability</title>']
    for place, (title, pairs) in enumerate(groups):
        left = MARGIN + place * (SIDE + GAP)
        parts.append(
            f'<g transform="translate({left} {MARGIN})">'
            f'<rect width="{SIDE}" height="{SIDE}" fill="none" stroke="#444"/>'
            f'<path d="M0 {SIDE}L{SIDE} 0" stroke="#999" stroke-dasharray="4 4"/>'
            f'<text x="0" y="-12">{title}, {len(pairs)}</text>'
            f'<text x="0" y="{SIDE + 18}">0</text><text x="{SIDE - 10}" y="{SIDE + 18}">1</text>'
            f'<text x="{SIDE / 2 - 50}" y="{SIDE + 32}">what was said</text>'
        )
        for tenth in range(10):
            inside = [(said, came) for said, came in pairs if min(9, int(said * 10)) == tenth]
            if not inside:
                continue
            said = sum(pair[0] for pair in inside) / len(inside)
            came = sum(pair[1] for pair in inside) / len(inside)
            radius = 3 + 14 * (len(inside) / len(pairs)) ** 0.5
            parts.append(
                f'<circle cx="{said * SIDE:.1f}" cy="{SIDE - came * SIDE:.1f}" r="{radius:.1f}" fill="#1f6f6b" '
                f'fill-opacity=".75"><title>said {said:.2f}, came true {came:.2f}, {len(inside)} times</title></circle>'
            )
        parts.append("</g>")
    return "".join([*parts, "</svg>\n"])


def main() -> None:
    """Score the rows of strums and draw the diagram."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    parser.add_argument("--n", type=int, default=25, help="cases a row")
    parser.add_argument("--rows", default="shapes|off the book|fingered|next|voice|codecs|six timbres")
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    rows = [row for row in ROWS if re.search(given.rows, row.title)]
    results = score_rows(rows, seed=given.seed, n=given.n, jobs=1, naive=False)
    scores = [one.scores for scored in results.values() for one in scored]
    groups = [(title, [pair for one in scores for pair in one.confidences.get(kind, ())]) for kind, title in KINDS]
    PAGE.write_text(render_reliability(groups), encoding="utf-8")
    print(f"written to {PAGE}: " + ", ".join(f"{title} {len(pairs)}" for title, pairs in groups))


if __name__ == "__main__":
    main()
