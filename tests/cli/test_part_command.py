"""``listen part FILE``: from a sound file to a chart, and what it says when something is wrong."""

from __future__ import annotations

import json
import re
from pathlib import Path

import numpy as np
import pytest
import soundfile

from listen.audio import STROKE_RATE_HZ, probe_recording
from listen.evidence import TimeSpan
from listen.instrument import Fretboard, parse_shape
from listen.reading import Part, PartRecording
from listen.synthesis import StrumStyle, Tone, render_notes, shape_to_notes
from tests.benchmarks.part_scenes import make_scene
from tests.benchmarks.part_sound import RATE_HZ, render_strings
from tests.cli.runner import run_listen, run_wrong

TOLD = ("--tuning", "standard", "--capo", "0")


@pytest.fixture(scope="module")
def take(tmp_path_factory: pytest.TempPathFactory) -> Path:
    scene = make_scene(11, pattern="sway", strums_per_s=2.0, n_bars=3, setting="plain")
    path = tmp_path_factory.mktemp("part") / "take.flac"
    soundfile.write(path, render_strings(scene), RATE_HZ)
    return path


def test_the_chart_has_the_chords_the_pattern_and_the_bars(take: Path) -> None:
    printed = run_listen("part", str(take), *TOLD)
    assert printed.status == 0, printed.err
    assert "4/4" in printed.out
    assert "1 |" in printed.out
    assert "x32010" in printed.out


def test_json_and_a_stretch_of_the_recording(take: Path) -> None:
    printed = run_listen("part", str(take), *TOLD, "--from", "3.5", "--to", "0:09", "--json")
    document = json.loads(printed.out)
    assert document["span_s"][0] == 3.5
    assert document["strums"]
    assert all(3.5 <= strum["start_s"] < 9.0 for strum in document["strums"])


def test_what_was_settled_is_kept_when_it_is_read_again(take: Path, tmp_path: Path) -> None:
    path = tmp_path / "kept.json"
    first = run_listen("part", str(take), *TOLD, "--pin", "1=x32010", "--metre", "4/4", "-o", str(path))
    assert first.status == 0, first.err
    again = run_listen("part", str(take), "-o", str(path), "--overwrite")
    assert again.status == 0, again.err
    document = json.loads(path.read_text("utf-8"))
    assert [pin["frets"] for pin in document["pins"]] == [[None, 3, 2, 0, 1, 0]]
    assert {one["what"] for one in document["corrections"]} == {"tuning", "capo", "metre"}


@pytest.mark.parametrize("suffix", ["wav", "mp3", "ogg"])
def test_a_recording_that_was_cut_off_is_said_to_be(take: Path, tmp_path: Path, suffix: str) -> None:
    samples, rate_hz = soundfile.read(take)
    path = tmp_path / f"cut.{suffix}"
    soundfile.write(path, samples, rate_hz)
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])
    said = f"The file breaks off early: {probe_recording(path).duration_s:.1f} s of it are there"
    for _ in range(2):  # heard, and kept
        assert said in " ".join(run_listen("part", str(path)).out.split())


def test_only_the_channel_that_is_asked_for_is_heard(tmp_path: Path) -> None:
    """On the left two strums of G, on the right three of Am."""
    path = tmp_path / "two.wav"
    starts_s = {"left": (0.3, 1.5), "right": (0.6, 1.2, 1.8)}
    tone = Tone(sample_rate_hz=STROKE_RATE_HZ, seed=4)
    sides = [
        render_notes(
            [
                note
                for onset_s in starts_s[side]
                for note in shape_to_notes(
                    parse_shape(frets), Fretboard(), settings=StrumStyle(onset_s=onset_s, spread_s=0.02, tone=tone)
                )
            ],
            tone=tone, duration_s=3.0,
        )
        for side, frets in (("left", "320003"), ("right", "x02210"))
    ]  # fmt: skip
    soundfile.write(path, np.stack(sides, axis=1), STROKE_RATE_HZ)
    for side, own_s in starts_s.items():
        document = json.loads(run_listen("part", str(path), *TOLD, "--channel", side, "--json").out)
        assert document["channel"] == side
        strums = [strum["start_s"] for strum in document["strums"]]
        assert strums == pytest.approx(own_s, abs=0.04)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--pin", "x32010"), "pin=x32010"),
        (("--pin", "999=x32010"), "The pin 999=x32010 points to no chord: the part has"),
        (("--pin", "99.1=x32010"), "in bars 1 to 3 of 4 beats"),
        (("--pin", "1.9=x32010"), "in bars 1 to 3 of 4 beats"),
        (("--pin", "1.0=x32010"), "a beat from 1 on"),
        (("--pin", "1=x32010", "--pin", "1=320003"), "one shape for each place"),
        (("--pin", "1=x32010", "--pin", "2=320003"), "hold the same chord in two shapes"),
        (("--pin", "1=x32010", "--tuning", "ukulele"), "each of the 4 strings"),
        (("--pin", "1=x3201"), "x3201"),
        (("--metre", "7/16"), "metre=7/16"),
        (("--tempo", "9000"), "tempo=9000"),
        (("--capo", "30"), "capo=30"),
        (("--key", "H dur"), "H dur"),
        (("--bar-one", "soon"), "bar-one=soon"),
        (("--numbers", "arabic"), "numbers=arabic"),
        (("-o", "part.doc"), "output=part.doc"),
        (("--name", "1=Qx"), "Qx"),
        (("--from", "9", "--to", "3"), "to=3 is not possible"),
        (("--from", "99"), "from=99 is not possible: it takes a time before the recording's end at 0:"),
        (("--bar-one", "99:00"), "before the recording's end at 0:"),
        (("--name", "99=C"), "name=99=C"),
        (("--key", ""), "--key is empty"),
        (("-o", ""), "-o is empty"),
        (("-o",), "-o is empty: give a value after it"),
        (("-o", "a.csv", "-o", "./a.csv"), "each file once"),
    ],
)
def test_what_cannot_be_done_is_one_sentence(take: Path, words: tuple[str, ...], said: str) -> None:
    assert said in run_wrong("part", str(take), *words)


@pytest.mark.parametrize(
    ("correction", "said"),
    [
        ({"what": "metre", "value": "7/99"}, "corrections: metre=7/99"),
        ({"what": "capo", "value": "x"}, "corrections: capo=x"),
        ({"what": "name", "value": "Qq", "event": 1}, "corrections: chord=Qq"),
    ],
)
def test_a_correction_edited_by_hand_is_refused_where_it_stands(
    take: Path, tmp_path: Path, correction: dict[str, object], said: str
) -> None:
    path = tmp_path / "edited.json"
    run_listen("part", str(take), *TOLD, "--to", "3", "-o", str(path))
    document = json.loads(path.read_text("utf-8"))
    document["corrections"] = [correction]
    path.write_text(json.dumps(document), "utf-8")
    assert f"edited.json, {said}" in run_wrong("part", str(take), "--keep", str(path))


def test_the_help_names_every_metre_that_is_taken(take: Path) -> None:
    refused = run_wrong("part", str(take), "--metre", "7/8")
    taken = re.findall(r"\d+/\d", refused.partition("one of")[2])
    said = " ".join(run_listen("part", "--help").out.partition("--metre N/N")[2].partition("--tempo")[0].split())
    assert len(taken) > 4
    assert re.findall(r"\d+/\d", said) == taken


def test_a_stretch_without_an_end_goes_to_the_end_and_keeps_pins_that_lie_beyond_it(take: Path, tmp_path: Path) -> None:
    late = json.loads(run_listen("part", str(take), *TOLD, "--from", "5", "--json").out)
    assert late["span_s"][1] == pytest.approx(late["duration_s"], abs=0.1)
    path = tmp_path / "begun.json"
    begun = run_listen("part", str(take), *TOLD, "--to", "5", "--pin", "17=x32010", "-o", str(path))
    assert begun.status == 0, begun.err
    assert "The pin 17=x32010 lies beyond what was read" in " ".join(begun.out.split())
    assert [pin["text"] for pin in json.loads(path.read_text("utf-8"))["pins"]] == ["17=x32010"]
    assert "counted from another start" in run_wrong("part", str(take), "--from", "5", "--keep", str(path))
    whole = json.loads(run_listen("part", str(take), "--keep", str(path), "--json").out)
    assert [chord["pinned"] for chord in whole["chords"]][-1]


def test_a_pin_that_sounds_otherwise_than_what_was_heard_says_in_which_notes(take: Path) -> None:
    chart = " ".join(run_listen("part", str(take), *TOLD, "--pin", "1=x02220").out.split())
    assert "Bar 1: The pinned x02220 sounds A, and leaves out what was heard (C3 G3 C4), and adds what was not" in chart


def test_bar_one_may_lie_before_the_stretch_that_is_read(take: Path) -> None:
    whole = json.loads(run_listen("part", str(take), *TOLD, "--json").out)
    bar_s = whole["bars_s"]
    late = ("--from", f"{bar_s[1] - 0.2:.2f}", "--tempo", "80", "--metre", "4/4")
    told = json.loads(run_listen("part", str(take), *TOLD, *late, "--bar-one", f"{bar_s[0]:.2f}", "--json").out)
    assert told["strums"][0]["position"]["text"] == "2.1"


def test_a_recording_is_never_replaced_whatever_its_name(take: Path, tmp_path: Path) -> None:
    odd = tmp_path / "take.html"
    odd.write_bytes(take.read_bytes())
    assert "never replaced" in run_wrong("part", str(odd), "-o", str(odd), "--overwrite")
    assert odd.read_bytes() == take.read_bytes()


def test_a_reading_stopped_at_once_writes_nothing(take: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def stop(*_: object, **__: object) -> Part:
        return Part(PartRecording(TimeSpan(0.0, 0.0), 10.0, complete=False), Fretboard())

    monkeypatch.setattr("listen.request.read_kept_part", stop)
    stopped = run_listen("part", str(take), "-o", str(tmp_path / "a.html"))
    assert (stopped.status, stopped.out) == (130, "")
    assert "before anything was read" in stopped.err
    assert list(tmp_path.iterdir()) == []


def test_silence_on_both_sides_is_no_pair_of_players(tmp_path: Path) -> None:
    path = tmp_path / "silent.wav"
    soundfile.write(path, np.zeros((3 * RATE_HZ, 2)), RATE_HZ)
    printed = run_listen("part", str(path))
    assert (printed.status, printed.err) == (0, "")
    assert "No stroke was found" in printed.out


def test_a_recording_shorter_than_a_strum_is_no_part(tmp_path: Path) -> None:
    """One sample was read as a part, whose sheet then failed."""
    for n_samples in (1, 4000):
        soundfile.write(tmp_path / "one.wav", np.full(n_samples, 0.5), 44100)
        said = run_wrong("part", str(tmp_path / "one.wav"))
        assert f"one.wav lasts {1000 * n_samples / 44100:.0f} ms: a strum needs 100 ms at least" in said
    soundfile.write(tmp_path / "more.wav", np.zeros(4800), 44100)
    assert run_listen("part", str(tmp_path / "more.wav")).status == 0


def test_files_that_are_no_recordings_are_one_sentence(tmp_path: Path) -> None:
    words = tmp_path / "words.wav"
    words.write_text("no sound at all")
    assert "words.wav" in run_wrong("part", str(words))
    assert "missing.wav" in run_wrong("part", str(tmp_path / "missing.wav"))


def test_two_guitars_left_and_right_are_told(tmp_path: Path) -> None:
    sides = [render_strings(make_scene(seed, strums_per_s=2.0, n_bars=2, setting="plain")) for seed in (3, 4)]
    n = min(len(side) for side in sides)
    path = tmp_path / "two.wav"
    soundfile.write(path, np.stack([side[:n] for side in sides], axis=1), RATE_HZ)
    assert "--channel left" in run_listen("part", str(path), *TOLD).out


def test_a_correction_hears_nothing_again_and_says_what_the_page_says(
    take: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = json.loads(run_listen("part", str(take), *TOLD, "--json").out)
    monkeypatch.setattr("listen.audio.hear_part", None)  # what was heard is kept
    lowest = before["chords"][0]["notes"][0]["pitch"]
    words = ("--title", "Evening", "--section", "1=Verse", "--lyrics", "1=la la", "--note", f"1=-{lowest}")
    told = run_listen("part", str(take), *TOLD, *words, "--json")
    assert told.status == 0, told.err
    after = json.loads(told.out)
    assert {one["what"] for one in after["corrections"]} == {"tuning", "capo", "title", "section", "lyrics", "no note"}
    assert lowest not in {note["pitch"] for note in after["chords"][0]["notes"]}
    chart = run_listen("part", str(take), *TOLD, *words).out
    assert "Verse" in chart
    assert "12=G3" in run_wrong("part", str(take), *TOLD, "--note", "999=G3")
    assert "note=1=H9" in run_wrong("part", str(take), *TOLD, "--note", "1=H9")
