"""What is taken for a recording by its name is what the decoder reads."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
import soundfile

import listen
from listen.audio import RECORDING_ENDINGS, load_recording
from listen.audio.sniff import CONTAINERS
from listen.errors import READABLE
from tests.audio.sounds import write_with_av

RATE_HZ = 48_000
STATIC = Path(listen.__file__).parent / "web" / "static"
BY_SOUNDFILE = {
    ".wav": ("WAV", "PCM_16"), ".aif": ("AIFF", "PCM_16"), ".aiff": ("AIFF", "PCM_24"), ".flac": ("FLAC", "PCM_16"),
    ".ogg": ("OGG", "VORBIS"), ".oga": ("OGG", "VORBIS"), ".opus": ("OGG", "OPUS"), ".mp3": ("MP3", "MPEG_LAYER_III"),
}  # fmt: skip
BY_AV = {
    ".m4a": ("ipod", "aac"), ".mp4": ("mp4", "aac"), ".mov": ("mov", "alac"), ".webm": ("webm", "libopus"),
    ".mkv": ("matroska", "libopus"), ".mka": ("matroska", "libopus"), ".3gp": ("3gp", "aac"), ".aac": ("adts", "aac"),
}  # fmt: skip


def test_every_ending_is_written_here() -> None:
    assert tuple(sorted({*BY_SOUNDFILE, *BY_AV})) == RECORDING_ENDINGS


def test_every_kind_that_is_read_is_named_where_a_player_looks_for_it() -> None:
    named = {f".{word.lower()}" for word in READABLE.replace(" or ", ", ").split(", ")}
    assert named <= set(RECORDING_ENDINGS)
    assert all(named & set(container.endings) for container in CONTAINERS)
    assert READABLE in (STATIC / "views" / "library.js").read_text("utf-8")
    room = Path(listen.__file__).parent
    assert [one.name for one in room.rglob("*.py") if READABLE in one.read_text("utf-8")] == ["errors.py"]


def test_the_pages_pickers_of_files_offer_every_ending() -> None:
    [offered] = re.findall(r"RECORDING_FILES = ([^;]*);", (STATIC / "api.js").read_text("utf-8"))
    assert tuple(re.findall(r"\.\w+", offered)) == RECORDING_ENDINGS
    for view in ("library", "homework_class"):
        [accepted] = re.findall(r"accept: ([^}]*?) }", (STATIC / "views" / f"{view}.js").read_text("utf-8"))
        assert accepted == "RECORDING_FILES"


@pytest.mark.parametrize("ending", sorted({*BY_SOUNDFILE, *BY_AV}))
def test_a_file_with_the_ending_of_a_recording_is_read(tmp_path: Path, ending: str) -> None:
    path = tmp_path / f"take{ending}"
    samples = np.asarray(0.5 * np.sin(2 * np.pi * 220.0 * np.arange(RATE_HZ) / RATE_HZ), np.float32)
    if ending in BY_AV:
        container, codec = BY_AV[ending]
        write_with_av(path, samples, sample_rate_hz=RATE_HZ, container=container, codec=codec)
    else:
        kind, subtype = BY_SOUNDFILE[ending]
        soundfile.write(path, samples, RATE_HZ, format=kind, subtype=subtype)
    assert np.abs(load_recording(path).samples).max() > 0.2
