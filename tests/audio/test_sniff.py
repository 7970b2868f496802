"""Containers are told by their magic bytes."""

import io

import numpy as np
import pytest
import soundfile

from listen.audio.sniff import describe_head, find_container, measure_id3_tag


@pytest.mark.parametrize(
    ("kind", "subtype", "name"),
    [("WAV", "PCM_24", "WAV"), ("RF64", "PCM_16", "WAV"), ("AIFF", "PCM_16", "AIFF"), ("FLAC", "PCM_16", "FLAC"),
     ("OGG", "VORBIS", "Ogg"), ("OGG", "OPUS", "Ogg"), ("MP3", "MPEG_LAYER_III", "MP3")],
)  # fmt: skip
def test_what_libsndfile_writes_is_told_by_its_first_bytes(kind: str, subtype: str, name: str) -> None:
    file = io.BytesIO()
    soundfile.write(file, np.zeros(48_000, np.float32), 48_000, format=kind, subtype=subtype)
    container = find_container(file.getvalue()[:64])
    assert container is not None
    assert (container.name, container.decoder) == (name, "soundfile")


@pytest.mark.parametrize(
    ("head", "demuxer"),
    [
        (b"\x00\x00\x00\x20ftypM4A \x00\x00\x00\x00", "mov"),
        (b"\x00\x00\x00\x08wide\x00\x00\x00\x00mdat", "mov"),
        (b"\x1a\x45\xdf\xa3\x9fB\x86\x81\x01", "matroska"),
        (b"\xff\xf1\x50\x80", "aac"),
        (b"\xff\xf9\x50\x80", "aac"),
    ],
)
def test_what_a_phone_sends_names_its_demuxer(head: bytes, demuxer: str) -> None:
    container = find_container(head)
    assert container is not None
    assert container.demuxer == demuxer


@pytest.mark.parametrize(
    "head",
    [b"", b"RIFF\x00\x00\x00\x00AVI ", b"ffconcat version 1.0\n", b"#EXTM3U\n", b"\xff\xe1", b"<?xml version", b"RIFX"],
)
def test_what_is_no_recording_is_not_guessed_at(head: bytes) -> None:
    assert find_container(head) is None


def test_an_id3_tag_is_skipped_to_see_what_follows() -> None:
    tag = b"ID3\x04\x00\x00" + bytes([0, 0, 1, 5])
    assert measure_id3_tag(tag) == 10 + 133
    for after, name in ((b"\xff\xf1\x50\x80", "AAC"), (b"\xff\xfb\x90\x00", "MP3")):
        container = find_container(tag, after_tag=after)
        assert container is not None
        assert container.name == name


@pytest.mark.parametrize(
    ("head", "words"),
    [(b"%PDF-1.7", "a PDF"), (b"MThd\x00\x00", "a MIDI file, which holds no sound"), ("Grüße".encode(), "text"),
     (b"\x00\x01\x02\x03", "data of an unknown kind")],
)  # fmt: skip
def test_a_wrong_file_is_said_to_be_what_it_seems(head: bytes, words: str) -> None:
    assert describe_head(head) == words
