"""``listen strum``: what a player sees and gets, and every way in which it can go wrong."""

from __future__ import annotations

import json
import math
from pathlib import Path

import jsonschema
import numpy as np
import pytest
import soundfile

from listen.document import load_schema
from tests.cli.runner import run_listen, run_wrong

FIXTURES = Path(__file__).parents[2] / "audio_fixtures"
G_OVER_B = str(FIXTURES / "open_g_over_b.flac")
RATE = 16_000


def _write(path: Path, samples: object, rate: int = RATE, subtype: str | None = None) -> str:
    soundfile.write(path, np.asarray(samples), rate, subtype=subtype)
    return str(path)


def _strum(path: str = G_OVER_B) -> tuple[np.ndarray[tuple[int, ...], np.dtype[np.float64]], int]:
    samples, rate = soundfile.read(path)
    return samples, rate


def test_a_player_gets_the_four_answers() -> None:
    result = run_listen("strum", G_OVER_B)
    assert result.status == 0
    assert "G/B   " in result.out
    assert "first inversion" in result.out
    assert "B2 " in result.out
    assert "1  x20003" in result.out
    assert result.err == ""


def test_json_is_one_valid_object_a_recording_in_the_order_given() -> None:
    files = [str(FIXTURES / name) for name in ("silence.flac", "open_g_over_b.flac", "power_chord.flac")]
    result = run_listen("strum", "--json", "--shapes", "2", *files)
    objects = [json.loads(line) for line in result.out.splitlines()]
    assert [each["file"] for each in objects] == files
    for each in objects:
        jsonschema.Draft202012Validator(load_schema("strum")).validate(each)
    assert objects[0]["refused"]
    assert objects[1]["names"][0]["harte"] == "G:maj/3"
    assert len(objects[1]["shapes"]) == 2
    assert result.status == 0


def test_a_bad_file_does_not_stop_the_others(tmp_path: Path) -> None:
    gone = str(tmp_path / "gone.wav")
    result = run_listen("strum", "--json", gone, G_OVER_B)
    bad, good = (json.loads(line) for line in result.out.splitlines())
    assert result.status == 2
    assert set(bad) == {"format", "file", "error"}
    jsonschema.Draft202012Validator(load_schema("strum")).validate(bad)
    assert good["names"][0]["text"] == "G/B"
    assert result.err.count("\n") == 1


def test_why_is_told_on_request() -> None:
    assert "hand −" in run_listen("strum", "--why", G_OVER_B).out


def test_capo_and_tuning_change_what_the_hand_holds() -> None:
    result = run_listen("strum", "--json", "--capo", "4", str(FIXTURES / "capo_four.flac"))
    document = json.loads(result.out)
    truth = next(
        each
        for each in json.loads((FIXTURES / "manifest.json").read_text())["fixtures"]
        if each["file"] == "capo_four.flac"
    )
    assert document["capo_fret"] == 4
    assert document["shapes"][0]["frets"] == truth["frets"]
    assert document["names"][0]["text"] == truth["name"]
    assert document["names"][0]["played_as"] not in (None, truth["name"])


def test_times_choose_the_strum(tmp_path: Path) -> None:
    loud, rate = _strum(str(FIXTURES / "power_chord.flac"))
    soft, other_rate = _strum()
    assert rate == other_rate
    gap = np.zeros(rate)
    path = _write(tmp_path / "two.wav", np.concatenate([gap, 0.4 * soft, gap, loud]), rate)
    strongest = json.loads(run_listen("strum", "--json", path).out)
    second = 1 + len(soft) / rate
    assert strongest["span_s"][0] > second
    assert strongest["other_strums_s"][0] < 2
    chosen = json.loads(run_listen("strum", "--json", "--at", "1.2", path).out)
    assert chosen["names"][0]["text"] == "G/B"
    assert chosen["span_s"][0] == strongest["other_strums_s"][0]
    stretch = json.loads(run_listen("strum", "--json", "--from", "0.5", "--to", "0:03", path).out)
    assert stretch["names"][0]["text"] == "G/B"
    assert stretch["span_s"][0] == pytest.approx(chosen["span_s"][0], abs=0.05)


def test_report_is_written_once_and_never_over_a_file(tmp_path: Path) -> None:
    out = tmp_path / "page.html"
    result = run_listen("strum", G_OVER_B, "--report", str(out))
    assert result.status == 0
    page = out.read_text("utf-8")
    assert "<h1>G/B</h1>" in page
    assert page.count("data:audio/flac;base64,") == 4
    out.write_text("mine")
    assert "is there already" in run_wrong("strum", G_OVER_B, "--report", str(out))
    assert out.read_text() == "mine"
    assert run_listen("strum", G_OVER_B, "--report", str(out), "--overwrite").status == 0
    assert "<h1>G/B</h1>" in out.read_text("utf-8")


def test_report_never_replaces_its_recording(tmp_path: Path) -> None:
    take = tmp_path / "take.flac"
    take.write_bytes(Path(G_OVER_B).read_bytes())
    (tmp_path / "link.html").symlink_to(take)
    for name in ("take.flac", "link.html"):
        sentence = run_wrong("strum", str(take), "--report", str(tmp_path / name), "--overwrite")
        assert "never replaced" in sentence
    assert take.read_bytes() == Path(G_OVER_B).read_bytes()


def test_left_handed_and_plain_letters() -> None:
    out = run_listen("strum", "--left-handed", "--ascii", G_OVER_B).out
    assert out.isascii()
    assert "|     A" in out


# --- bad input, one sentence each -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "part"),
    [
        (("--tuning", "dropp D"), "drop D"),
        (("--tuning", ""), "--tuning is empty"),
        (("--capo", "30"), "capo=30"),
        (("--capo", "-1"), "capo=-1"),
        (("--channel", "middle"), "channel"),
        (("--shapes", "0"), "shapes=0"),
        (("--at", "soon"), "at=soon"),
        (("--from", "2", "--to", "1"), "to=1 is not possible: it takes a time after 2"),
        (("--from", "1000"), "from=1000 is not possible: it takes a time before the recording's end at 0:02.2"),
        (("--at", "99"), "at=99 is not possible: it takes a time before the recording's end at 0:02.2"),
        (("--at", ""), "--at is empty"),
        (("--at", "0.2", "--from", "1"), "at=0.2 is not possible: it takes a time in the stretch that"),
        (("--at", "1.9", "--to", "1"), "Leave out the stretch, or the time."),
        (("--at", "0:99"), "at=0:99 is not possible: it takes seconds up to 59 after the colon"),
        (("--report", "a.txt"), "ends in .html or .htm. Write a.html"),
        (("--report", "no/such/folder/a.html"), "no/such/folder does not exist"),
    ],
)
def test_an_option_that_is_not_possible_is_explained(words: tuple[str, ...], part: str) -> None:
    assert part in run_wrong("strum", *words, G_OVER_B)


def test_one_page_holds_one_recording(tmp_path: Path) -> None:
    assert "one recording a page" in run_wrong("strum", G_OVER_B, G_OVER_B, "--report", str(tmp_path / "a.html"))


@pytest.mark.parametrize(
    "kind", ["missing", "folder", "empty", "text", "truncated", "no samples", "not a number", "short"]
)
def test_what_is_no_recording_is_refused_in_one_sentence(tmp_path: Path, kind: str) -> None:
    path = tmp_path / "take.wav"
    if kind == "folder":
        path.mkdir()
    elif kind == "empty":
        path.write_bytes(b"")
    elif kind == "text":
        path.write_text("these are no samples\n" * 50)
    elif kind == "truncated":
        whole = _write(tmp_path / "whole.flac", _strum()[0])
        path.write_bytes(Path(whole).read_bytes()[:60])
    elif kind == "no samples":
        _write(path, np.zeros(0))
    elif kind == "not a number":
        bad = np.zeros(RATE)
        bad[100] = math.nan
        _write(path, bad, subtype="FLOAT")
    elif kind == "short":
        _write(path, 0.1 * np.ones(RATE // 50))
    assert "take.wav" in run_wrong("strum", str(path))


def test_a_playlist_named_like_a_recording_reads_no_neighbour(tmp_path: Path) -> None:
    (tmp_path / "secret.flac").write_bytes(Path(G_OVER_B).read_bytes())
    trick = tmp_path / "take.m4a"
    trick.write_text("ffconcat version 1.0\nfile secret.flac\n")
    run_wrong("strum", str(trick))


@pytest.mark.parametrize(
    "kind", ["clipped", "offset", "24 bit", "float", "8 kHz", "eight channels", "one side", "anti-phase"]
)
def test_what_can_be_read_is_read(tmp_path: Path, kind: str) -> None:
    samples, rate = _strum()
    path, subtype = tmp_path / "take.wav", None
    if kind == "clipped":
        samples = np.clip(2 * samples / np.max(np.abs(samples)), -1, 1)
    elif kind == "offset":
        samples = 0.5 * samples + 0.3
    elif kind == "24 bit":
        subtype = "PCM_24"
    elif kind == "float":
        subtype = "FLOAT"
    elif kind == "8 kHz":
        import soxr

        samples, rate = soxr.resample(samples, rate, 8_000), 8_000
    elif kind == "eight channels":
        samples = np.repeat(samples[:, None], 8, axis=1)
    elif kind == "one side":
        samples = np.stack([samples, 0 * samples], axis=1)
    elif kind == "anti-phase":
        samples = np.stack([samples, -samples], axis=1)
    document = json.loads(run_listen("strum", "--json", _write(path, samples, rate, subtype)).out)
    assert document["names"][0]["text"] == "G/B"
    if kind in {"clipped", "anti-phase"}:
        assert document["warnings"]


def test_a_channel_may_be_asked_for_by_its_number(tmp_path: Path) -> None:
    samples, rate = _strum()
    path = _write(tmp_path / "take.wav", np.stack([0 * samples, 0 * samples, samples], axis=1), rate)
    out = run_listen("strum", path, "--channel", "3").out
    assert "· channel 3" in " ".join(out.split())
    assert "or a channel by its number" in " ".join(run_listen("strum", "--help").out.split())
    assert "1 to 3" in run_wrong("strum", path, "--channel", "4")


def test_a_span_of_an_hour_is_read_without_the_hour(tmp_path: Path) -> None:
    samples, rate = _strum()
    path = tmp_path / "hour.flac"
    with soundfile.SoundFile(path, "w", rate, 1) as file:
        for _ in range(60):
            file.write(np.zeros(60 * rate, dtype=np.float32))
        file.write(samples)
    document = json.loads(run_listen("strum", "--json", "--from", "60:00", str(path)).out)
    assert document["names"][0]["text"] == "G/B"
    assert document["span_s"][0] > 3600


@pytest.mark.parametrize("name", ["silence", "noise", "drums", "one_note"])
def test_a_refusal_is_an_answer_and_no_error(name: str) -> None:
    result = run_listen("strum", "--json", str(FIXTURES / f"{name}.flac"))
    document = json.loads(result.out)
    assert result.status == 0
    assert document["names"] == []
    assert document["refused"]
    assert len(document["notes"]) == (1 if name == "one_note" else 0)


def test_a_strange_file_name_is_shown_and_not_obeyed(tmp_path: Path) -> None:
    path = tmp_path / "a\x1b[2J<b>.flac"
    path.write_bytes(Path(G_OVER_B).read_bytes())
    result = run_listen("strum", str(path))
    assert "\x1b" not in result.out
    assert "a?[2J<b>.flac" in result.out


def test_one_file_on_which_the_program_itself_fails_is_one_line_and_the_rest_is_read(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    from listen import transcription

    real = transcription.read_recording

    def fail_once(file: str, **settings: object) -> object:
        if file.endswith("one_note.flac"):
            raise ZeroDivisionError
        return real(file, **settings)  # type: ignore[arg-type]

    monkeypatch.setattr(transcription, "read_recording", fail_once)
    files = [str(FIXTURES / name) for name in ("one_note.flac", "silence.flac")]
    result = run_listen("strum", "--json", *files)
    assert result.status == 2
    first, second = (json.loads(line) for line in result.out.splitlines())
    assert "a mistake in this program (ZeroDivisionError" in first["error"]
    assert "error" not in second
    assert result.err.count("\n") == 1
