"""The page about the command line says what the commands say."""

from __future__ import annotations

from tests.regenerate_cli_page import ROOT, render_cli_page


def test_the_command_line_page_is_what_the_commands_say() -> None:
    page = (ROOT / "docs" / "cli.md").read_text(encoding="utf-8")
    assert page == render_cli_page(), "run python -m tests.regenerate_cli_page"
