"""What is damaged in the library: listed with its folder, and a part that cannot be read is restored."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import replace

import pytest

from listen.reading import Settled
from listen.request import AskedChange, Desk, HomeworkShelf, Library
from tests.hand_made_parts import straight_part
from tests.web.browser import Served, until
from tests.web.conftest import Watched


@pytest.fixture
def library(served: Served) -> Iterator[Library]:
    """Return the library that is served; what a test adds to it goes again."""
    shelf, before = Library(served.library), set(served.library.glob("**/*"))
    yield shelf
    for path in set(served.library.glob("**/*")) - before:
        shutil.rmtree(path, ignore_errors=True)


def _add_titled(library: Library) -> str:
    """Add a take whose title was settled, and return its name in the library."""
    take = library.add("evening", ".wav")
    library.begin(take, replace(straight_part(), settled=Settled()))
    library.save(replace(take, state="read"))
    Desk(library).change(take.ident, AskedChange("title", "High Tide"), version=1)
    return take.ident


def test_what_is_damaged_is_listed_with_its_folder_and_nothing_else(
    served: Served, tabs: Watched, library: Library
) -> None:
    shelf = HomeworkShelf(library)
    takes, homework = library.folder_of(_add_titled(library)), shelf.folder_of(shelf.add("C G").ident)
    (takes / "take.json").write_text("[" * 100_000, "utf-8")
    (homework / "homework.json").write_text("{}", "utf-8")
    tab = tabs.open(served.address)
    for view, folder, why in (("/", takes, "no JSON text"), ("/homework", homework, '"title" is missing')):
        tab.evaluate(f"location.hash = '#{view}'")
        row = tab.locator(f".takes li[data-path='{folder}']")
        row.wait_for()
        assert str(folder) in row.inner_text()
        assert why in row.inner_text()
        assert row.locator(":is(a, button)").count() == 0


@pytest.mark.parametrize("name", ["part.json", "settled.json"])
def test_a_part_or_steps_that_are_damaged_are_restored(
    served: Served, tabs: Watched, library: Library, name: str
) -> None:
    ident = _add_titled(library)
    (library.folder_of(ident) / name).write_bytes(b"")
    tab = tabs.open(f"{served.address}#/take/{ident}")
    until(tab, f"document.querySelector('.listening .failed')?.textContent.includes('{name}')")
    tab.get_by_role("button", name="Restore it").click()
    until(tab, "document.querySelector('.listening').hidden && document.querySelector('.sheet h1')")
    assert tab.inner_text(".sheet h1") == "High Tide"
