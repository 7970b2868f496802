"""Files that were cut off: what their headers say they hold, and what is there (a copy that broke off, a full card).

References
----------
IBM and Microsoft, "Multimedia Programming Interface and Data Specifications 1.0", 1991 (RIFF); Electronic Arts, "EA IFF
85", 1985 (AIFF); RFC 3533 (Ogg); ISO/IEC 11172-3 (MPEG audio). That encoders tell in the first frame
of an MP3 how many bytes follow is common practice, no standard.
"""

from __future__ import annotations

import struct
from pathlib import Path

from listen.audio.sniff import AIFF, HEAD_BYTES, MP3, WAV, Container, measure_id3_tag

_CHUNKS = {WAV: ("<4sI", b"data"), AIFF: (">4sI", b"SSND")}
_FIRST_CHUNK = 12  # after the form's own header
MOST_CHUNKS = 1000
UNKNOWN_BYTES, NEAR_UNKNOWN = (1 << 31, 1 << 32), 1 << 16
"""Programs that write into a pipe, or are ended as they record, leave about as much (common practice, no source)."""
_MP3_TAGS, _MP3_TAG_AT = (b"Xing", b"Info"), (13, 21, 36)
"""How the tag of a first frame begins, and where: that depends on MPEG 1 or 2, and on the channels."""
_HAS_FRAMES, _HAS_BYTES = 1, 2  # bits of what the tag tells
_OGG_PAGE_BYTES = 65_307  # the longest page
_LAST_PAGE = 4  # bit of a page's sixth byte


def measure_told_share(path: Path, container: Container) -> float:
    """Return how many times as much sound a header tells of as is in the file; 1 where it is all there, or not known.

    Parameters
    ----------
    path : Path
    container : Container
        WAV and AIFF tell how many bytes of sound follow, and most encoders of MP3 do.

    Returns
    -------
    float
        Infinite where no sound follows a header that tells of some.
    """
    if container is MP3:
        return _measure_mp3_share(path)
    layout, wanted = _CHUNKS.get(container, ("", b""))
    if not layout:
        return 1.0
    size = path.stat().st_size
    place = _FIRST_CHUNK
    with path.open("rb") as file:
        for _ in range(MOST_CHUNKS):
            file.seek(place)
            head = file.read(8)
            if len(head) < 8:
                break
            name, told = struct.unpack(layout, head)
            place += 8
            if name == wanted:
                there = size - place
                if told <= there or any(abs(told - unknown) <= NEAR_UNKNOWN for unknown in UNKNOWN_BYTES):
                    break
                return told / there if there else float("inf")
            place += told + told % 2
    return 1.0


def _measure_mp3_share(path: Path) -> float:
    """Return the same of an MP3, by the tag in its first frame."""
    with path.open("rb") as file:
        begins = measure_id3_tag(file.read(HEAD_BYTES))
        file.seek(begins)
        frame = file.read(HEAD_BYTES)
    at = next((at for at in _MP3_TAG_AT if frame[at : at + 4] in _MP3_TAGS), None)
    if at is None or len(frame) < at + 16:
        return 1.0
    flags, first, second = struct.unpack(">3I", frame[at + 4 : at + 16])
    told = second if flags & _HAS_FRAMES else first
    return max(1.0, told / (path.stat().st_size - begins)) if flags & _HAS_BYTES else 1.0


def ends_in_the_middle(path: Path, container: Container) -> bool:
    """Tell whether an Ogg file ends without its last page."""
    if container.name != "Ogg":
        return False
    with path.open("rb") as file:
        file.seek(max(0, path.stat().st_size - _OGG_PAGE_BYTES))
        tail = file.read()
    page = tail.rfind(b"OggS")
    return page < 0 or not tail[page + 5 : page + 6] or not tail[page + 5] & _LAST_PAGE
