"""``listen settings``: what is kept, what goes before it, and files that are damaged or newer."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from listen.document.write import hold_lock
from tests.cli.runner import run_listen, run_wrong


def _file() -> Path:
    return Path(os.environ["LISTEN_SETTINGS"])


def test_without_settings_everything_is_usual() -> None:
    out = run_listen("settings").out
    assert "standard" in out
    assert "right-handed" in out
    assert not _file().exists()


def test_what_is_kept_holds_for_every_command() -> None:
    assert run_listen("settings", "--left-handed", "--tuning", "drop D", "--reach", "small", "--thumb").status == 0
    assert "left-handed" in run_listen("settings").out
    out = run_listen("name", "000232").out
    assert "D major, root position" in out
    assert "║     E" in out  # the nut at the right
    assert "a reach of 88 mm" in run_listen("shapes", "Gm").out


def test_the_command_line_goes_before_the_settings() -> None:
    run_listen("settings", "--left-handed", "--tuning", "ukulele")
    out = run_listen("name", "x32010", "--tuning", "standard", "--right-handed").out
    assert "C major, root position" in out
    assert "E  o  ║" in out


def test_one_setting_is_changed_without_the_others() -> None:
    run_listen("settings", "--left-handed", "--reach", "wide")
    run_listen("settings", "--right-handed")
    assert json.loads(_file().read_text("utf-8")) == {
        "format": "listen.settings/1",
        "tuning": "standard",
        "reach": "wide",
        "thumb": False,
        "fingerpicked": False,
        "left_handed": False,
    }


def test_a_setting_edited_by_hand_is_refused_with_the_file_that_holds_it() -> None:
    _file().parent.mkdir(parents=True)
    _file().write_text('{"format": "listen.settings/1", "tuning": "droop D"}', "utf-8")
    sentence = run_wrong("shapes", "C")
    assert str(_file()) in sentence
    assert "tuning=droop D" in sentence
    assert "listen settings --forget" in sentence


def test_settings_can_be_forgotten_even_when_damaged() -> None:
    _file().parent.mkdir(parents=True)
    _file().write_text("{")
    assert "damaged" in run_wrong("settings")
    assert "damaged" in run_wrong("shapes", "C")
    assert "listen settings --forget" in run_wrong("shapes", "C")
    assert run_listen("settings", "--forget").status == 0
    assert not _file().exists()


@pytest.mark.parametrize(
    ("words", "part"), [(("--tuning", "dropp D"), "drop D"), (("--reach", "1000"), "60 to 160 mm")]
)
def test_what_cannot_be_is_not_kept(words: tuple[str, str], part: str) -> None:
    assert part in run_wrong("settings", *words)
    assert not _file().exists()


@pytest.mark.parametrize(
    ("document", "part"),
    [
        ({"format": "listen.settings/1", "left_handed": "yes"}, "left_handed='yes'"),
        ({"format": "listen.settings/1", "reach": "far"}, "reach=far"),
        ({"format": "listen.settings/9"}, "newer version"),
        ({"format": "listen.part/1"}, "holds a part document"),
    ],
)
def test_a_settings_file_that_is_none_is_explained_and_left_alone(document: dict[str, object], part: str) -> None:
    _file().parent.mkdir(parents=True)
    _file().write_text(json.dumps(document))
    before = _file().read_bytes()
    assert part in run_wrong("settings", "--thumb")
    assert _file().read_bytes() == before


def test_settings_of_a_newer_version_are_not_advised_to_be_thrown_away() -> None:
    _file().parent.mkdir(parents=True)
    _file().write_text('{"format": "listen.settings/9"}', "utf-8")
    sentence = run_wrong("settings")
    assert "update the program" in sentence
    assert "--forget" not in sentence


def test_changes_that_are_made_at_once_are_all_kept() -> None:
    changes = (("--left-handed",), ("--reach", "wide"), ("--thumb",), ("--fingerpicked",))
    programs = [subprocess.Popen([sys.executable, "-m", "listen", "settings", *words], stdout=subprocess.DEVNULL)
                for words in changes]  # fmt: skip
    assert [program.wait(timeout=120) for program in programs] == [0] * len(changes)
    kept = json.loads(_file().read_text("utf-8"))
    assert (kept["left_handed"], kept["reach"], kept["thumb"], kept["fingerpicked"]) == (True, "wide", True, True)


def test_one_that_changes_while_another_holds_the_file_waits_for_it() -> None:
    run_listen("settings", "--reach", "wide")
    with hold_lock(_file()):
        program = subprocess.Popen([sys.executable, "-m", "listen", "settings", "--thumb"], stdout=subprocess.DEVNULL)
        with pytest.raises(subprocess.TimeoutExpired):
            program.wait(timeout=4)
        document = json.loads(_file().read_text("utf-8"))
        _file().write_text(json.dumps(document | {"left_handed": True}), "utf-8")
    assert program.wait(timeout=60) == 0
    kept = json.loads(_file().read_text("utf-8"))
    assert (kept["left_handed"], kept["thumb"]) == (True, True)


def test_a_path_is_shown_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "a folder whose name is longer than most"
    folder.mkdir()
    path = folder / ("x" * 300) / "settings.json"
    monkeypatch.setenv("LISTEN_SETTINGS", str(path))
    assert f"{path} could not be read: File name too long." in run_wrong("settings")
    output = folder / "a drawing of what was heard.jpeg"
    monkeypatch.setenv("LISTEN_SETTINGS", str(tmp_path / "settings.json"))
    assert f"output={output} is not possible" in run_wrong("part", "take.wav", "-o", str(output))
