"""What kind of file a recording is, told by its first bytes and never by its name; which names recordings have.

Conventions: a *container* is what holds the sound; each is read by one decoder that is told which container it is, so
that no decoder goes looking for itself (a text file can ask a demuxer that is free to choose for a neighbouring file).

References
----------
Magic numbers: RFC 9639 (FLAC), RFC 3533 (Ogg), ISO/IEC 14496-12 (``ftyp``), RFC 8794 (EBML), ISO/IEC 13818-7 (ADTS),
ISO/IEC 11172-3 (MPEG audio), the id3.org specification 2.4 (ID3), Microsoft's and EBU's RIFF, RF64.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Decoder = Literal["soundfile", "av"]
HEAD_BYTES = 64
"""How much of a file is looked at."""


@dataclass(frozen=True, slots=True)
class Container:
    """A kind of file, and who reads it.

    Parameters
    ----------
    name : str
        As a person calls it.
    decoder : "soundfile" or "av"
    endings : tuple of str
        How names of such files end.
    demuxer : str
        The name by which the decoder ``av`` is told what to expect; empty for ``soundfile``.
    """

    name: str
    decoder: Decoder
    endings: tuple[str, ...]
    demuxer: str = ""

    @property
    def article(self) -> str:
        """What stands before its name: an Ogg file, a WAV file."""
        return "an" if self.name[0] in "AMO" else "a"  # M is said em


WAV = Container("WAV", "soundfile", (".wav",))
AIFF = Container("AIFF", "soundfile", (".aif", ".aiff"))
FLAC = Container("FLAC", "soundfile", (".flac",))
OGG = Container("Ogg", "soundfile", (".ogg", ".oga", ".opus"))
OGG_FLAC = Container("Ogg", "av", (".ogg", ".oga"), "ogg")  # libsndfile reads FLAC only outside Ogg
MP3 = Container("MP3", "soundfile", (".mp3",))
MP4 = Container("M4A/MP4/MOV", "av", (".m4a", ".mp4", ".mov", ".3gp"), "mov")
WEBM = Container("WebM/Matroska", "av", (".webm", ".mkv", ".mka"), "matroska")
ADTS = Container("AAC", "av", (".aac",), "aac")
CONTAINERS = (WAV, AIFF, FLAC, OGG, OGG_FLAC, MP3, MP4, WEBM, ADTS)
RECORDING_ENDINGS = tuple(sorted({ending for one in CONTAINERS for ending in one.endings}))
"""By which a file is taken for a recording before it is opened: in a folder of others, or as what was set."""

_FLAC_IN_OGG = (b"\x7fFLAC", 28)
"""How the first packet begins (RFC 9639, 10.1), after the header of a page that holds one segment."""
_MP4_FIRST_BOXES = (b"ftyp", b"moov", b"mdat", b"wide", b"free", b"skip")


def find_container(head: bytes, *, after_tag: bytes = b"") -> Container | None:
    """Tell the container from the first bytes of a file.

    Parameters
    ----------
    head : bytes
        The first :data:`HEAD_BYTES` bytes, or all there are.
    after_tag : bytes
        The bytes after an ID3 tag, where the file begins with one (:func:`measure_id3_tag`).

    Returns
    -------
    Container or None
        None for anything that is not one of the kinds that are read.

    Examples
    --------
    >>> find_container(b"fLaC....").name
    'FLAC'
    >>> find_container(b"ffconcat version 1.0") is None
    True
    """
    if head[:4] in {b"RIFF", b"RF64"} and head[8:12] == b"WAVE":
        return WAV
    if head[:4] == b"FORM" and head[8:12] in {b"AIFF", b"AIFC"}:
        return AIFF
    if head[4:8] in _MP4_FIRST_BOXES:
        return MP4
    ogg = OGG_FLAC if head.startswith(*_FLAC_IN_OGG) else OGG
    for magic, container in ((b"fLaC", FLAC), (b"OggS", ogg), (b"\x1a\x45\xdf\xa3", WEBM)):
        if head.startswith(magic):
            return container
    if head.startswith(b"ID3"):
        return _find_frame_sync(after_tag) or MP3
    return _find_frame_sync(head)


def _find_frame_sync(head: bytes) -> Container | None:
    """Tell AAC in ADTS from MPEG audio by the twelve-bit sync word and the two layer bits after it."""
    if len(head) < 2 or head[0] != 0xFF or head[1] & 0xE0 != 0xE0:
        return None
    if head[1] & 0xF6 == 0xF0:
        return ADTS
    return MP3 if head[1] & 0x06 else None


def measure_id3_tag(head: bytes) -> int:
    """Return how many bytes an ID3v2 tag takes at the start of a file; 0 where there is none.

    Examples
    --------
    >>> measure_id3_tag(b"ID3" + bytes([4, 0, 0, 0, 0, 2, 1]))
    267
    """
    if len(head) < 10 or not head.startswith(b"ID3"):
        return 0
    size = 0
    for byte in head[6:10]:  # four bytes of seven bits each
        size = size << 7 | byte & 0x7F
    return 10 + size


def describe_head(head: bytes) -> str:
    """Say what a file that is no recording seems to be, for an error's sentence.

    Examples
    --------
    >>> describe_head(b"Dear diary"), describe_head(bytes(range(200, 250)))
    ('text', 'data of an unknown kind')
    """
    for magic, name in (
        (b"%PDF", "a PDF"),
        (b"PK\x03\x04", "a ZIP archive"),
        (b"\x89PNG", "a picture"),
        (b"\xff\xd8\xff", "a picture"),
        (b"MThd", "a MIDI file, which holds no sound"),
    ):
        if head.startswith(magic):
            return name
    try:
        text = head.decode("utf-8", errors="strict")
    except UnicodeDecodeError as error:
        text = head[: error.start].decode("utf-8") if error.start >= len(head) - 3 else ""
    return "text" if text and all(sign.isprintable() or sign.isspace() for sign in text) else "data of an unknown kind"
