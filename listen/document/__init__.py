"""Documents: versioned, atomic reading and writing."""

from listen.document.evidence import pack_part_evidence, unpack_part_evidence
from listen.document.format import Document, format_of, read_document, render_document, update_document, write_document
from listen.document.guitar_profile import (
    check_guitar_name,
    document_to_profile,
    find_guitar_names,
    find_guitars_folder,
    load_guitar,
    profile_to_document,
    remove_guitar,
    save_guitar,
)
from listen.document.name import names_to_document
from listen.document.part_document import (
    STRUM_KINDS,
    part_to_document,
    render_part_document,
    render_part_pieces,
)
from listen.document.part_file import carry_over, parse_part, read_part, write_part
from listen.document.schema import load_schema
from listen.document.settings import (
    PlayerSettings,
    find_settings_file,
    forget_settings,
    load_settings,
    save_settings,
)
from listen.document.shape import fingering_to_document, shapes_to_document
from listen.document.strum import failure_to_document, strum_to_document, take_to_document
from listen.document.write import check_writable, write_file

__all__ = [
    "STRUM_KINDS",
    "Document",
    "PlayerSettings",
    "carry_over",
    "check_guitar_name",
    "check_writable",
    "document_to_profile",
    "failure_to_document",
    "find_guitar_names",
    "find_guitars_folder",
    "find_settings_file",
    "fingering_to_document",
    "forget_settings",
    "format_of",
    "load_guitar",
    "load_schema",
    "load_settings",
    "names_to_document",
    "pack_part_evidence",
    "parse_part",
    "part_to_document",
    "profile_to_document",
    "read_document",
    "read_part",
    "remove_guitar",
    "render_document",
    "render_part_document",
    "render_part_pieces",
    "save_guitar",
    "save_settings",
    "shapes_to_document",
    "strum_to_document",
    "take_to_document",
    "unpack_part_evidence",
    "update_document",
    "write_document",
    "write_file",
    "write_part",
]
