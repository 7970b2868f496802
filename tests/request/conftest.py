"""Every test of requests begins without a player's own settings; many with a library, or a take in it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from listen.reading import Settled
from listen.request import Library, Take
from tests.hand_made_parts import straight_part


@pytest.fixture(autouse=True)
def _no_settings(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LISTEN_SETTINGS", str(tmp_path / "none" / "settings.json"))


@pytest.fixture
def library(tmp_path: Path) -> Library:
    return Library(tmp_path / "library")


@pytest.fixture
def take(library: Library) -> Take:
    made = library.add("evening.wav", ".wav")
    library.begin(made, replace(straight_part(), settled=Settled()))
    return library.save(replace(made, state="read"))
