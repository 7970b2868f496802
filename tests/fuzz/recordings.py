"""Recordings of every format that is read, mutated, and read."""

from __future__ import annotations

import random
from functools import cache
from pathlib import Path

import soundfile

from listen.audio import load_recording, stream_blocks
from listen.transcription import read_recording
from tests.audio.sounds import make_plucked, write_with_av
from tests.fuzz.mutate import mutate_bytes

RATE_HZ = 22_050
READ_ONE_IN = 25  # loading is what meets the file; what follows meets its samples
BY_SOUNDFILE = (
    ("wav", "WAV", "PCM_16"), ("wav", "WAV", "PCM_U8"), ("wav", "WAV", "FLOAT"), ("wav", "WAV", "DOUBLE"),
    ("wav", "WAV", "ALAW"), ("wav", "WAV", "IMA_ADPCM"), ("wav", "WAVEX", "PCM_24"), ("wav", "RF64", "PCM_16"),
    ("aiff", "AIFF", "PCM_16"), ("flac", "FLAC", "PCM_16"), ("ogg", "OGG", "VORBIS"), ("opus", "OGG", "OPUS"),
    ("mp3", "MP3", "MPEG_LAYER_III"),
)  # fmt: skip
BY_AV = (
    ("m4a", "ipod", "aac"), ("mp4", "mp4", "aac"), ("mov", "mov", "alac"), ("mov", "mov", "pcm_s16le"),
    ("webm", "webm", "libopus"), ("aac", "adts", "aac"), ("oga", "ogg", "flac"), ("mp4", "mp4", "ac3"),
)  # fmt: skip


@cache
def _seeds(folder: Path) -> tuple[Path, ...]:
    """Write one sound in every format."""
    samples = make_plucked((45, 52, 57, 61), sample_rate_hz=48_000, duration_s=0.4)
    paths = []
    for number, (suffix, container, subtype) in enumerate(BY_SOUNDFILE):
        path = folder / f"{number}.{suffix}"
        rate = 48_000 if subtype == "OPUS" else RATE_HZ
        soundfile.write(path, samples, rate, format=container, subtype=subtype)
        paths.append(path)
    for number, (suffix, container, codec) in enumerate(BY_AV, start=len(paths)):
        path = folder / f"{number}.{suffix}"
        write_with_av(path, samples, sample_rate_hz=48_000, container=container, codec=codec)
        paths.append(path)
    return tuple(paths)


def try_one(number: int, folder: Path) -> None:
    """Mutate a recording and read it."""
    draw = random.Random(number)
    seeds = _seeds(folder)
    source, other = draw.choice(seeds), draw.choice(seeds)
    path = folder / f"mutated{source.suffix}"
    path.write_bytes(mutate_bytes(source.read_bytes(), draw, other=other.read_bytes()))
    if draw.randrange(READ_ONE_IN) == 0:
        read_recording(path)
    elif draw.random() < 0.5:
        load_recording(path)
    else:
        for _ in stream_blocks(path):
            pass
