"""A class over processes: what is kept, what a failure costs, what stopping leaves, and whose recording is whose."""

from __future__ import annotations

import os
from dataclasses import fields, replace
from pathlib import Path

import numpy as np
import pytest

from listen.document import parse_chords, save_words
from listen.errors import BadValueError
from listen.instrument import Fretboard, parse_shape
from listen.jobs import CheckCache, CheckJob, StudentRecording, check_class, find_recordings, name_students
from listen.jobs.cache import check_key
from listen.reading import Performance, TeacherWord, TeacherWords, Tolerances
from listen.synthesis import StrumStyle, Tone, render_shape

RATE_HZ = 16_000
SET = parse_chords("C")


def write_strum(path: Path, *, frets: str = "x32010", gain: float = 1.0) -> Path:
    """A recording of one shape, strummed four times."""
    import soundfile

    tone = Tone(sample_rate_hz=RATE_HZ, seed=1)
    settings = StrumStyle(onset_s=0.2, duration_s=1.2, tone=tone)
    one = render_shape(parse_shape(frets), Fretboard(), settings=settings)
    soundfile.write(path, gain * np.tile(one, 4), RATE_HZ)
    return path


@pytest.fixture
def students(tmp_path: Path) -> list[StudentRecording]:
    """Two students: one plays what was set, one plays something else."""
    write_strum(tmp_path / "anna.flac")
    write_strum(tmp_path / "bo.flac", frets="xx0231")
    return name_students(find_recordings([tmp_path]))


def _refuse_to_hear(_path: Path) -> Performance:
    raise AssertionError("it was heard again")


def test_each_recording_is_heard_once_and_judged_for_itself(
    students: list[StudentRecording], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    cache = CheckCache(tmp_path / "cache")
    job = CheckJob(SET, n_jobs=1)
    first = check_class(students, job, cache)
    assert [(one.student, one.bars[0].state if one.bars else "") for one in first.checks] == [
        ("anna", "right"),
        ("bo", first.checks[1].bars[0].state),
    ]
    assert first.checks[1].bars[0].state != "right"
    monkeypatch.setattr("listen.transcription.hear_performance", _refuse_to_hear)
    assert check_class(students, job, cache) == first
    renamed = CheckJob(parse_chords("C C"), n_jobs=1)
    assert check_class(students, renamed, cache).complete  # judged anew from what was heard


def test_a_damaged_entry_is_made_again_and_one_of_an_older_version_is_not_met(
    students: list[StudentRecording], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    cache = CheckCache(tmp_path / "cache")
    job = CheckJob(SET, n_jobs=1)
    first = check_class(students[:1], job, cache)
    for entry in (tmp_path / "cache").iterdir():
        entry.write_text("{", "utf-8")
    assert check_class(students[:1], job, cache) == first
    key = cache.heard_key(students[0].path)
    monkeypatch.setattr("listen.jobs.cache.CACHE_VERSION", 0)
    assert cache.heard_key(students[0].path) != key


def test_what_cannot_be_read_costs_itself_only(students: list[StudentRecording], tmp_path: Path) -> None:
    broken = tmp_path / "carla.flac"
    broken.write_bytes(b"no sound at all")
    missing = StudentRecording(tmp_path / "dora.flac", "dora")
    os.mkfifo(tmp_path / "eve.flac")  # who opens it for reading waits until somebody writes
    pipe, endless = StudentRecording(tmp_path / "eve.flac", "eve"), StudentRecording(Path("/dev/zero"), "fay")
    checked = check_class(
        [*students, StudentRecording(broken, "carla"), missing, pipe, endless],
        CheckJob(SET, n_jobs=1),
        CheckCache(tmp_path / "cache"),
    )
    assert [one.student for one in checked.checks] == ["anna", "bo"]
    assert [one.student for one in checked.failures] == ["carla", "dora", "eve", "fay"]
    assert all(one.error for one in checked.failures)
    assert "no ordinary file" in checked.failures[2].error
    assert "no ordinary file" in checked.failures[3].error
    assert [one.error.split()[0] for one in checked.failures[:3]] == ["carla.flac", "dora.flac", "eve.flac"]


def test_a_fault_of_the_program_costs_only_the_student_whom_it_met(
    students: list[StudentRecording], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail_on_bo(path: Path) -> Performance:
        if path.stem == "bo":
            raise ValueError("tuple.index(x): x not in tuple")
        return Performance(1.0)

    monkeypatch.setattr("listen.transcription.hear_performance", fail_on_bo)
    checked = check_class(students, CheckJob(SET, n_jobs=1), CheckCache(tmp_path / "cache"))
    assert [one.student for one in checked.checks] == ["anna"]
    (failure,) = checked.failures
    assert failure.student == "bo"
    assert "fault of the program" in failure.error
    assert "ValueError: tuple.index(x): x not in tuple" in failure.error


@pytest.mark.parametrize("breaks_off", [False, True])
def test_what_was_heard_is_kept_with_whether_its_file_breaks_off(tmp_path: Path, *, breaks_off: bool) -> None:
    cache = CheckCache(tmp_path)
    heard = Performance(1.0, warnings=("Loud.",), breaks_off=breaks_off)
    cache.save_performance("key", heard)
    assert cache.load_performance("key") == heard


def test_what_was_heard_and_is_damaged_in_one_letter_is_not_kept(tmp_path: Path) -> None:
    """Damage may leave what can be read, and says another thing."""
    cache = CheckCache(tmp_path)
    cache.save_performance("key", Performance(1.0, warnings=("Loud.",)))
    (entry,) = tmp_path.iterdir()
    whole = entry.read_bytes()
    for place in range(len(whole)):
        entry.write_bytes(bytes([*whole[:place], whole[place] ^ 1, *whole[place + 1 :]]))
        assert cache.load_performance("key") in (None, Performance(1.0, warnings=("Loud.",))), place
    entry.write_text('[1.0,[],[],0.0,["Loud!"],true,false]', "utf-8")
    assert cache.load_performance("key") is None


def test_stopping_keeps_what_was_read(students: list[StudentRecording], tmp_path: Path) -> None:
    cache = CheckCache(tmp_path / "cache")

    def stop(done: int, _total: int, _student: str) -> None:
        if done == 1:
            raise KeyboardInterrupt

    checked = check_class(students, CheckJob(SET, n_jobs=1), cache, progress=stop)
    assert not checked.complete
    assert [one.student for one in checked.checks] == ["anna"]
    again = check_class(students, CheckJob(SET, n_jobs=1), cache)
    assert again.complete
    assert again.checks[0] == checked.checks[0]


def test_the_teachers_words_stay_when_it_is_read_again(students: list[StudentRecording]) -> None:
    save_words(students[1].path, TeacherWords((TeacherWord(1, None, "right"),), "It is fine."))
    checked = check_class(students[1:], CheckJob(SET, n_jobs=1), CheckCache(None))
    assert checked.checks[0].teacher.note == "It is fine."
    assert not any(one.is_said for one in checked.checks[0].findings)


def test_a_cluster_of_two_workers_gives_the_same(students: list[StudentRecording], tmp_path: Path) -> None:
    distributed = pytest.importorskip("distributed", reason="needs the optional extra `cluster`")
    alone = check_class(students, CheckJob(SET, n_jobs=1), CheckCache(None))
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=False, dashboard_address=None, protocol="inproc://"
    ) as cluster:
        together = check_class(students, CheckJob(SET, cluster=cluster.scheduler_address), CheckCache(tmp_path / "c"))
    assert together == alone


def test_no_cluster_at_an_address_is_said(students: list[StudentRecording]) -> None:
    pytest.importorskip("distributed", reason="needs the optional extra `cluster`")
    with pytest.raises(BadValueError, match="No cluster answers"):
        check_class(students, CheckJob(SET, cluster="tcp://127.0.0.1:1"), CheckCache(None))


def test_students_are_named_by_a_pattern_or_a_table(tmp_path: Path) -> None:
    paths = [Path("week3-anna-take2.m4a"), Path("week3-bo-take1.m4a")]
    assert [one.student for one in name_students(paths, pattern="week3-{student}-*")] == ["anna", "bo"]
    table = tmp_path / "class.csv"
    table.write_text("file,student\nweek3-anna-take2.m4a,Anna M.\nweek3-bo-take1.m4a,Bo\n", "utf-8")
    assert [one.student for one in name_students(paths, table=table)] == ["Anna M.", "Bo"]


@pytest.mark.parametrize(
    ("names", "pattern", "said"),
    [
        (("anna.m4a", "Anna.wav"), "", "rename one. 'listen check' also takes --names"),  # `listen page` takes neither
        (("anna.m4a",), "week", "holds {student} once"),
        (("anna.m4a",), "week-{student}", "does not fit anna.m4a"),
    ],
)
def test_names_that_do_not_tell_students_apart_are_refused(names: tuple[str, ...], pattern: str, said: str) -> None:
    with pytest.raises(BadValueError, match=said):
        name_students([Path(name) for name in names], pattern=pattern)


def test_folders_without_recordings_are_said(tmp_path: Path) -> None:
    with pytest.raises(BadValueError, match="holds no recordings"):
        find_recordings([tmp_path])
    with pytest.raises(BadValueError, match="No recordings were given"):
        find_recordings([])


def test_a_cache_that_cannot_be_made_costs_time_and_not_the_work(
    students: list[StudentRecording], tmp_path: Path
) -> None:
    (tmp_path / "file").write_text("", "utf-8")
    checked = check_class(students[:1], CheckJob(SET, n_jobs=1), CheckCache(tmp_path / "file" / "cache"))
    assert len(checked.checks) == 1


def test_a_cache_that_cannot_be_written_costs_time_and_not_the_work(
    students: list[StudentRecording], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_args: object, **_kwargs: object) -> None:
        raise OSError(28, "No space left on device")

    cache = CheckCache(tmp_path / "cache")
    monkeypatch.setattr(os, "fsync", full)
    assert len(check_class(students[:1], CheckJob(SET, n_jobs=1), cache).checks) == 1


def test_a_pattern_of_many_stars_is_tried_in_a_moment() -> None:
    pattern = "*a*a*{student}*" + 20 * "*a" + "*b"
    with pytest.raises(BadValueError, match="does not fit"):
        name_students([Path(200 * "a" + ".wav")], pattern=pattern)
    assert name_students([Path("xa-yaz-cab.wav")], pattern="*a*a{student}-*b")[0].student == "z"


def test_what_is_kept_of_a_class_has_a_limit(
    students: list[StudentRecording], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("listen.document.kept.MOST_KEPT_BYTES", 1)
    check_class(students, CheckJob(SET, n_jobs=1), CheckCache(tmp_path / "cache"))
    assert len(list((tmp_path / "cache").iterdir())) == 1  # what came last


@pytest.mark.parametrize("name", [one.name for one in fields(Tolerances)])
def test_a_check_with_another_tolerance_is_another_one(name: str) -> None:
    usual = Tolerances()
    other = replace(usual, **{name: 1.01 * getattr(usual, name)})
    assert check_key("heard", SET, other) != check_key("heard", SET, usual) == check_key("heard", SET, Tolerances())
