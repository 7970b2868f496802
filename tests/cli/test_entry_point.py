"""The command line as a program: help at once, errors on stderr with status 2, pipes that close."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.runner import run_listen, run_wrong

ROOT = Path(__file__).parents[2]
STRUM = str(ROOT / "audio_fixtures" / "open_g_over_b.flac")


def _run(*words: str, **environment: str) -> subprocess.CompletedProcess[str]:
    settings = {**os.environ, "PYTHONIOENCODING": "utf-8", **environment}
    return subprocess.run(
        [sys.executable, "-m", "listen", *words], capture_output=True, text=True, env=settings, check=False, timeout=60
    )


def test_help_loads_nothing_heavy() -> None:
    code = (
        "import sys; sys.argv = ['listen', '--help']\n"
        "from listen.__main__ import main\n"
        "try:\n    main()\nexcept SystemExit:\n    pass\n"
        "heavy = {'numpy', 'scipy', 'librosa', 'numba', 'soundfile', 'av', 'jinja2', 'pydantic', 'rich'}\n"
        "print('loaded:', sorted(heavy & set(sys.modules)))\n"
    )
    result = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60)
    assert "Usage: listen" in result.stdout
    assert result.stdout.splitlines()[-1] == "loaded: []"


def test_help_of_every_command_is_in_players_words() -> None:
    result = _run("--help")
    assert result.returncode == 0
    for command in ("strum", "shapes", "name"):
        assert f"  {command} " in result.stdout


def test_reading_a_strum_loads_no_library_of_the_slow_kind() -> None:
    code = (
        f"import sys; sys.argv = ['listen', 'strum', {STRUM!r}]\n"
        "from listen.__main__ import main\n"
        "try:\n    main()\nexcept SystemExit as end:\n    assert end.code == 0, end.code\n"
        "slow = {'librosa', 'numba', 'scipy', 'jinja2', 'pydantic', 'rich', 'sklearn', 'matplotlib'}\n"
        "print('loaded:', sorted(slow & set(sys.modules)))\n"
    )
    result = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60)
    assert result.stdout.splitlines()[-1] == "loaded: []"


def test_a_bad_file_is_one_sentence_on_stderr_and_status_2(tmp_path: Path) -> None:
    result = _run("strum", str(tmp_path / "gone.wav"))
    assert (result.returncode, result.stdout) == (2, "")
    assert result.stderr.startswith("listen: ")
    assert result.stderr.count("\n") == 1
    assert "Traceback" not in result.stderr


def test_a_mistyped_option_ends_with_status_2() -> None:
    result = _run("strum", "--tunning", "x", "a.wav")
    assert result.returncode == 2
    assert "--tunning" in result.stderr


@pytest.mark.parametrize(
    "words", [("strum", "-take.wav"), ("part", "--take.m4a"), ("play", "-verse.json", "-o", "a.wav")]
)
def test_a_file_that_begins_as_an_option_does_is_told_how_it_is_written(words: tuple[str, ...]) -> None:
    assert f"{words[1]} begins as an option does: for a file of that name write ./{words[1]}." in run_wrong(*words)


def test_a_value_that_begins_with_a_hyphen_is_one() -> None:
    assert "is not there" in run_wrong("play", "none.json", "-o", "-take.wav")
    assert "is not there" in run_wrong("play", "none.json", "-otake.wav")


def test_a_terminal_without_unicode_gets_plain_letters() -> None:
    result = _run("name", "x32010", PYTHONIOENCODING="ascii")
    assert result.returncode == 0
    assert result.stdout.isascii()
    assert "|---" in result.stdout


def test_words_serve_a_reader_who_sees_no_pictures() -> None:
    for words in (("strum", STRUM), ("shapes", "Am"), ("name", "x02210"), ("shapes", "Am", "--map", "--frets", "1-3")):
        shown = run_listen(*words, "--words").out
        assert "string 5" in shown.lower()
        assert not set(shown) & set("┼║─┃")
        assert "[ ]" not in shown


def test_output_to_a_file_holds_no_colour() -> None:
    assert "\x1b" not in _run("name", "x32010").stdout


def test_a_pipe_that_closes_early_is_no_traceback() -> None:
    with subprocess.Popen(
        [sys.executable, "-m", "listen", "name", "x32010"], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as program:
        assert program.stdout is not None
        assert program.stderr is not None
        program.stdout.close()
        assert program.stderr.read() == ""


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("frobnicate",), "No such command 'frobnicate'; 'listen --help'"),
        (("--loud",), "No such option: --loud; 'listen --help'"),
        (("part",), "Missing argument 'FILE'; 'listen part --help'"),
        (("strum", "-d"), "No such option: -d; 'listen strum --help'"),
        (("strum", "a.wav", "--capo", "1e9"), "'1e9' is not a whole number; 'listen strum --help'"),
        (("part", "a.wav", "--tempo", "slow"), "'slow' is not a number"),
        (("guitar", "tune"), "No such command 'tune'; 'listen guitar --help'"),
    ],
)
def test_what_is_mistyped_is_one_sentence_that_says_where_help_is(words: tuple[str, ...], said: str) -> None:
    assert said in run_wrong(*words)


def test_a_group_alone_shows_what_it_holds() -> None:
    for words in ((), ("guitar",)):
        shown = run_listen(*words)
        assert shown.status == 2
        assert "Commands:" in shown.out + shown.err


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="the device of a full disk is Linux's")
def test_a_full_disk_is_one_sentence() -> None:
    with Path("/dev/full").open("w") as full:
        result = subprocess.run(
            [sys.executable, "-m", "listen", "name", "x32010"],
            stdout=full, stderr=subprocess.PIPE, text=True, check=False, timeout=60,
        )  # fmt: skip
    assert result.returncode == 2
    assert result.stderr == "listen: The output could not be written: No space left on device.\n"


def test_stopped_while_it_loads_it_ends_without_a_traceback(monkeypatch: pytest.MonkeyPatch) -> None:
    import listen.cli
    from listen.__main__ import main

    def stop() -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(listen.cli, "run", stop)
    with pytest.raises(SystemExit) as ended:
        main()
    assert ended.value.code == 130


def test_stopped_while_a_library_is_loaded_by_half_it_loads_nothing_more(monkeypatch: pytest.MonkeyPatch) -> None:
    def stop() -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("listen.document.find_guitar_names", stop)
    monkeypatch.setitem(sys.modules, "listen.export", None)  # whoever imports it fails
    stopped = run_listen("guitar", "list")
    assert (stopped.status, stopped.out, stopped.err) == (130, "", "listen: Stopped.\n")


@pytest.mark.skipif(sys.platform == "win32", reason="signals of POSIX")
@pytest.mark.parametrize("name", ["SIGTERM", "SIGHUP"])
def test_a_program_that_is_ended_while_it_writes_leaves_nothing_half_written(name: str, tmp_path: Path) -> None:
    (tmp_path / "c.svg").write_text("mine", "utf-8")
    code = (
        "import os, signal, sys\n"
        f"os.fsync = lambda _: os.kill(os.getpid(), signal.{name})\n"
        "sys.argv = ['listen', 'shapes', 'C', '--shapes', '1', '--svg', 'c.svg', '--overwrite']\n"
        "from listen.__main__ import main\n"
        "main()\n"
    )
    result = subprocess.run(
        [sys.executable, "-c", code], cwd=tmp_path, env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip
    assert result.returncode == 128 + signal.Signals[name]
    assert result.stderr == ""
    assert [(path.name, path.read_text("utf-8")) for path in tmp_path.iterdir()] == [("c.svg", "mine")]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="the device of a full disk is Linux's")
@pytest.mark.parametrize("words", [("--help",), ("strum", "--help"), ("--version",)])
def test_help_on_a_full_disk_is_one_sentence(words: tuple[str, ...]) -> None:
    with Path("/dev/full").open("w") as full:
        result = subprocess.run(
            [sys.executable, "-m", "listen", *words],
            stdout=full, stderr=subprocess.PIPE, text=True, check=False, timeout=60,
        )  # fmt: skip
    assert result.returncode == 2
    assert result.stderr.startswith("listen: No space left on device.")
    assert result.stderr.count("\n") == 1


@pytest.mark.parametrize("closed", ["2>&-", "2>&- <&-"])
def test_a_closed_standard_error_puts_no_sentence_among_the_results(closed: str, tmp_path: Path) -> None:
    shell = f'exec "{sys.executable}" -m listen strum --json "{tmp_path}/gone.wav" {closed}'
    result = subprocess.run(["/bin/sh", "-c", shell], stdout=subprocess.PIPE, text=True, check=False, timeout=60)
    assert result.returncode == 2
    assert [json.loads(line)["file"] for line in result.stdout.splitlines()] == [f"{tmp_path}/gone.wav"]


def test_a_working_folder_that_is_gone_is_one_sentence(tmp_path: Path) -> None:
    gone = tmp_path / "gone"
    gone.mkdir()
    part = ROOT / "tests" / "data" / "written_at_format_1" / "part_line.json"
    shell = f'rmdir "{gone}"; exec "{sys.executable}" -m listen play "{part}" -o x.wav'
    result = subprocess.run(
        ["/bin/sh", "-c", shell], cwd=gone, env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True, text=True, check=False, timeout=60,
    )  # fmt: skip
    assert result.returncode == 2
    assert result.stderr.count("\n") == 1
    assert "Traceback" not in result.stderr


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("part", "a.wav", "--metre", "4/4", "--metre", "3/4"), "--metre is given twice, as 4/4 and as 3/4"),
        (("part", "a.wav", "--metre=4/4", "--metre", "3/4"), "--metre is given twice"),
        (("part", "a.wav", "--key", "C", "--key", "G"), "--key is given twice"),
        (("shapes", "C", "--capo", "5", "--capo", "2"), "--capo is given twice, as 5 and as 2"),
        (("shapes", "C", "--svg", "a.svg", "--svg", "b.svg"), "--svg is given twice"),
        (("play", "a.json", "-o", "a.wav", "-o", "b.wav"), "-o is given twice, as a.wav and as b.wav"),
        (("play", "a.json", "-oa.wav", "--output", "b.wav"), "--output is given twice, as a.wav and as b.wav"),
        (("check", "C", "a.wav", "--note", "a", "--note", "b"), "--note is given twice, as a and as b"),
    ],
)
def test_an_option_of_one_value_that_is_given_two_is_refused(words: tuple[str, ...], said: str) -> None:
    assert said in run_wrong(*words)


def test_an_option_may_be_given_twice_where_it_says_the_same_or_holds_several() -> None:
    assert run_listen("shapes", "C", "--capo", "2", "--capo=2", "--shapes", "1").status == 0
    assert "there is no such file" in run_wrong("part", "gone.wav", "-o", "a.json", "-o", "b.html")


def test_a_word_without_end_is_one_sentence() -> None:
    for words in (("name", "E" + "9" * 5000), ("strum", STRUM, "--channel", "9" * 5000), ("shapes", "C" * 9000)):
        assert "letters: no word here takes over 4096" in run_wrong(*words)
    for words in (("name", "E" + "9" * 4000), ("strum", STRUM, "--channel", "9" * 4000)):
        assert len(run_wrong(*words)) < 300
