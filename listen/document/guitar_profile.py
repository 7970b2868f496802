"""Guitars that were learnt, kept as documents: one file a guitar, in a folder of the player's.

The folder is the one that the system has for a program's data (platformdirs), or the one that the environment variable
``LISTEN_GUITARS`` names. The file's name is the guitar's in small letters, with ``-`` for spaces, so that two names
which look alike are one guitar.
"""

from __future__ import annotations

import os
import unicodedata
from difflib import get_close_matches
from pathlib import Path

from listen.document.codec import publish
from listen.document.cursor import Cursor
from listen.document.format import Document, read_document, write_document
from listen.document.guitar_codec import GUITAR
from listen.errors import DocumentError, bad_value
from listen.instrument import STANDARD
from listen.reading import GuitarProfile, StringProfile

_SUFFIX = ".json"


def guitar_schema() -> Document:
    """Make the published schema of a guitar document."""
    return publish("guitar", "A guitar that `listen guitar add` learnt", GUITAR.schema)


def profile_to_document(profile: GuitarProfile) -> Document:
    """Convert a guitar's profile.

    Returns
    -------
    dict
        Valid under the schema ``guitar``.
    """
    return GUITAR.write(profile, None)


def document_to_profile(document: Document, *, name: str) -> GuitarProfile:
    """Convert a document of the present version, checked value by value.

    Raises
    ------
    DocumentError
        A value is missing or not possible: the sentence says where.
    """
    profile: GuitarProfile = GUITAR.read(Cursor(document, name), None)
    return profile


def find_guitars_folder() -> Path:
    """Return where guitars are kept, whether or not there are any."""
    named = os.environ.get("LISTEN_GUITARS")
    if named:
        return Path(named)
    from platformdirs import user_data_path

    return user_data_path("listen", appauthor=False) / "guitars"


def find_guitar_names() -> tuple[str, ...]:
    """Return the file names, without their ending, of all guitars that are kept."""
    folder = find_guitars_folder()
    try:
        return tuple(sorted(path.stem for path in folder.iterdir() if path.suffix == _SUFFIX))
    except FileNotFoundError:
        return ()
    except OSError as error:
        raise DocumentError(f"{folder} could not be read: {error.strerror or error}.") from error


def load_guitar(name: str) -> GuitarProfile:
    """Read a guitar's profile.

    Raises
    ------
    BadValueError
        There is no guitar of that name; the sentence gives the nearest.
    DocumentError
        Its file cannot be read, is damaged, or of a newer version.
    """
    path = _find_file(name)
    return document_to_profile(read_document(path, kind="guitar"), name=str(path))


def save_guitar(profile: GuitarProfile, *, overwrite: bool = False) -> Path:
    """Keep a guitar's profile.

    Raises
    ------
    DocumentError
        There is one of that name and it may not be replaced, or it cannot be written.
    """
    path = find_guitars_folder() / f"{_to_file_name(profile.name)}{_SUFFIX}"
    check_guitar_name(profile.name, overwrite=overwrite)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise DocumentError(f"{path.parent} could not be made: {error.strerror or error}.") from error
    return write_document(path, profile_to_document(profile), overwrite=overwrite)


def check_guitar_name(name: str, *, overwrite: bool = False) -> None:
    """Say early, before long work, that a guitar could not be kept under a name.

    Raises
    ------
    BadValueError
        The name is none.
    DocumentError
        There is a guitar of that name already.
    """
    GuitarProfile(name, STANDARD, (StringProfile(),) * STANDARD.n_strings)  # knows which names can be
    file_name = _to_file_name(name)
    if not overwrite and file_name in find_guitar_names():
        raise DocumentError(
            f"There is a guitar {file_name} already; give --overwrite to learn it anew, or another name."
        )


def remove_guitar(name: str) -> Path:
    """Remove a guitar's file, readable or not.

    Raises
    ------
    BadValueError
        There is no guitar of that name.
    DocumentError
        It cannot be removed.
    """
    path = _find_file(name)
    try:
        path.unlink()
    except OSError as error:
        raise DocumentError(f"{path} could not be removed: {error.strerror or error}.") from error
    return path


def _find_file(name: str) -> Path:
    names, file_name = find_guitar_names(), _to_file_name(name)
    if file_name not in names:
        nearest = get_close_matches(file_name, names, n=1, cutoff=0.5)
        remedy = "Learn one with 'listen guitar add NAME FILE'."
        if names:
            remedy = f"Did you mean {nearest[0]}?" if nearest else f"There are {', '.join(names)}."
        raise bad_value("guitar", name or "(empty)", allowed="the name of a guitar that was learnt", remedy=remedy)
    return find_guitars_folder() / f"{file_name}{_SUFFIX}"


def _to_file_name(name: str) -> str:
    """Return the file name of a guitar; a name of letters and digits cannot lead out of the folder."""
    plain = unicodedata.normalize("NFC", name.strip()).casefold()
    if not plain.replace("-", "").replace("_", "").replace(" ", "").isalnum():
        raise bad_value("guitar", name or "(empty)", allowed="a name of letters, digits, spaces, - and _")
    return plain.replace(" ", "-")
