"""A player's own settings: what need not be typed every time.

They are kept in the folder that the system has for such things (platformdirs), or in the file that the environment
variable ``LISTEN_SETTINGS`` names. What is said on the command line goes before them.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields, replace
from pathlib import Path

from listen.document.format import NewerFormatError, format_of, read_document, write_document
from listen.document.write import hold_lock
from listen.errors import BadValueError, DocumentError
from listen.instrument import parse_hand, parse_tuning


@dataclass(frozen=True, slots=True)
class PlayerSettings:
    """A player and the instrument at hand.

    Parameters
    ----------
    tuning : str
        A name or a list of open strings.
    reach : str
        ``"small"``, ``"usual"``, ``"wide"`` or millimetres.
    thumb : bool
        Whether the thumb comes over the neck.
    fingerpicked : bool
    left_handed : bool

    Raises
    ------
    BadValueError
        A tuning or a reach that there is not.
    """

    tuning: str = "standard"
    reach: str = "usual"
    thumb: bool = False
    fingerpicked: bool = False
    left_handed: bool = False

    def __post_init__(self) -> None:
        parse_tuning(self.tuning)
        parse_hand(self.reach)


def find_settings_file() -> Path:
    """Return where the settings are kept, whether or not there are any."""
    named = os.environ.get("LISTEN_SETTINGS")
    if named:
        return Path(named)
    from platformdirs import user_config_path

    return user_config_path("listen", appauthor=False) / "settings.json"


def load_settings() -> PlayerSettings:
    """Read the player's settings; the usual ones where none were kept.

    Raises
    ------
    DocumentError
        The file cannot be read, is damaged, or of a newer version.
    """
    path = find_settings_file()
    try:
        if not path.exists():
            return PlayerSettings()
    except OSError as error:  # a name that is too long
        raise DocumentError(f"{path} could not be read: {error.strerror or error}.") from error
    try:
        document = read_document(path, kind="settings")
    except NewerFormatError:
        raise  # they are whole
    except DocumentError as error:
        raise DocumentError(f"{error} To begin anew run 'listen settings --forget'.") from error
    settings = PlayerSettings()
    for field in fields(settings):
        value, usual = document.get(field.name), getattr(settings, field.name)
        if value is None:
            continue
        if type(value) is not type(usual):
            raise DocumentError(f"{path} has {field.name}={value!r}; run 'listen settings --forget' and set it again.")
        try:
            settings = replace(settings, **{field.name: value})
        except BadValueError as error:
            raise DocumentError(f"{path}: {error} To begin anew run 'listen settings --forget'.") from error
    return settings


def change_settings(changes: Mapping[str, object]) -> PlayerSettings:
    """Change some settings and keep them; two programs that do so at once both have their way.

    Parameters
    ----------
    changes : mapping of str to object
        By the names of :class:`PlayerSettings`; those that are not named stay.

    Raises
    ------
    BadValueError
        A tuning or a reach that there is not.
    DocumentError
        They cannot be read or written, or the file is of a newer version.
    """
    if not changes:
        return load_settings()
    path = _make_folder()
    with hold_lock(path):
        before = load_settings()
        kept = replace(before, **changes)  # type: ignore[arg-type]  # each is of its field's type
        if kept != before:
            save_settings(kept)
    return kept


def save_settings(settings: PlayerSettings) -> Path:
    """Keep the player's settings.

    Raises
    ------
    DocumentError
        They cannot be written, or the file is of a newer version.
    """
    path = _make_folder()
    return write_document(path, {"format": format_of("settings"), **asdict(settings)}, overwrite=True)


def _make_folder() -> Path:
    path = find_settings_file()
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise DocumentError(f"{path.parent} could not be made: {error.strerror or error}.") from error
    return path


def forget_settings() -> None:
    """Remove the player's settings, readable or not."""
    path = find_settings_file()
    try:
        path.unlink(missing_ok=True)
    except OSError as error:
        raise DocumentError(f"{path} could not be removed: {error.strerror or error}.") from error
