"""What was measured stands in one place, ``docs/figures.md``."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.benchmarks.page import COMMANDS, PAGE, ROOT, replace_section

PROPORTION = re.compile(r"(?<![\w.])\.\d{2,3}\b")  # as measured ones are written: .912
GENERATED = {"cli.md", "floor_plan.md", "tutorial.md"}
PAGES = sorted({ROOT / "README.md", ROOT / "DEVELOPERS.md", *(ROOT / "docs").glob("*.md")} - {PAGE})


@pytest.mark.parametrize("page", [page for page in PAGES if page.name not in GENERATED], ids=lambda page: page.name)
def test_no_other_page_repeats_a_measured_proportion(page: Path) -> None:
    text = page.read_text("utf-8")
    code = re.sub(r"`[^`]*`|^    .*$", "", text, flags=re.MULTILINE)
    assert not PROPORTION.findall(code), "write it into docs/figures.md, and link there"


def test_every_section_names_its_day_and_commit() -> None:
    text = PAGE.read_text("utf-8")
    days = re.findall(r"(?m)^Measured (\d{4}-\d\d-\d\d), ([0-9a-f]{7})[.:]", text)
    assert len(days) >= 14
    assert text.count("\nMeasured ") == len(days)


@pytest.mark.parametrize("command", COMMANDS)
def test_a_command_that_is_run_anew_finds_its_place(command: str) -> None:
    text = PAGE.read_text("utf-8")
    changed = replace_section(text, command, "NEW", day="2027-01-02", commit="0123456")
    assert changed.count("Measured 2027-01-02, 0123456.") == 1
    assert changed.index("Measured 2027-01-02") < changed.index("NEW")
    other = [name for name in COMMANDS if name != command]
    for name in other:
        begin, end = f"<!-- begin {name} -->", f"<!-- end {name} -->"
        assert changed[changed.index(begin) : changed.index(end)] == text[text.index(begin) : text.index(end)]


def test_links_to_figures_lead_to_a_section() -> None:
    headings = re.findall(r"(?m)^#+ (.+)$", PAGE.read_text("utf-8"))
    anchors = {re.sub(r"[^\w -]", "", heading.lower()).replace(" ", "-") for heading in headings}
    links = {link for page in PAGES for link in re.findall(r"figures\.md#([\w-]+)", page.read_text("utf-8"))}
    assert links
    assert links <= anchors
