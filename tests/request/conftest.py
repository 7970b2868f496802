"""Every test of requests begins without a player's own settings."""

from __future__ import annotations

from pathlib import Path

import pytest


@pytest.fixture(autouse=True)
def _no_settings(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LISTEN_SETTINGS", str(tmp_path / "none" / "settings.json"))
