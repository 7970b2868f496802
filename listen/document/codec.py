"""Codecs: one description of a document's fields, from which it is written, read and published as a schema.

Conventions: a *form* says how one kind of value stands in a document, a *field* under which key, a *record* which
fields make one object. A context is handed through to forms that need more than the value: the fretboard, the number of
chords. Reading refuses a wrong value by :class:`~listen.document.cursor.Cursor`: where it stands, and what it takes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from operator import attrgetter
from typing import Any

from listen.document.cursor import LARGEST, LONGEST_TEXT, Cursor
from listen.document.format import VERSIONS, Document, format_of
from listen.errors import ListenError

REQUIRED: Any = object()
"""In place of a default: the field must be there."""
EMPTY: tuple[Any, ...] = ((), "", None, [])


def _as_it_is(value: Any, _: Any) -> Any:
    return value


@dataclass(frozen=True, slots=True)
class Form:
    """How one kind of value stands in a document.

    Parameters
    ----------
    schema : dict
        JSON Schema of what is written.
    read : callable
        From the field's cursor and the context to the value.
    write : callable
        From the value and the context to what JSON holds.
    """

    schema: Document
    read: Callable[[Cursor, Any], Any]
    write: Callable[[Any, Any], Any] = _as_it_is


@dataclass(frozen=True, slots=True)
class Field:
    """One field of an object.

    Parameters
    ----------
    key : str
    form : Form
    doc : str
        For the schema.
    default : object
        What it is where it is missing or null.
    name : str
        Of the value that it holds; the key where not given.
    is_needed : bool or None
        Whether the schema requires it; None where reading does.
    is_sparse : bool
        Whether it is written only where it is neither empty nor what it would be if it were missing.
    is_read : bool
        False: written to be looked at, worked out from other fields, or taken up by the record itself.
    """

    key: str
    form: Form
    doc: str = ""
    default: Any = REQUIRED
    name: str = ""
    is_needed: bool | None = None
    is_sparse: bool = False
    is_read: bool = True

    @property
    def schema(self) -> Document:
        """What the field takes."""
        return {**self.form.schema, "description": self.doc} if self.doc else self.form.schema


class Record:
    """Fields that make one object.

    Parameters
    ----------
    fields : iterable of Field or Inline
        In the order in which they are written.
    make : callable
        From the values by name, the object's cursor and the context to what is read.
    take : callable
        From what is written and the context to an object with an attribute, or a mapping with a key, for each field.
    doc : str
        For the schema.
    kind : str
        Of a whole document, which says first what it is; empty for what stands in one.
    """

    def __init__(
        self,
        fields: Iterable[Field | Inline],
        make: Callable[[dict[str, Any], Cursor, Any], Any],
        *,
        take: Callable[[Any, Any], Any] = _as_it_is,
        doc: str = "",
        kind: str = "",
    ) -> None:
        self.fields, self.make, self.take, self.doc, self.kind = tuple(fields), make, take, doc, kind
        names = [field.name if isinstance(field, Inline) else field.name or field.key for field in self.fields]
        self._taken = [(field, name, attrgetter(name)) for field, name in zip(self.fields, names, strict=True)]

    def write(self, value: Any, context: Any) -> Document:
        """Write one object."""
        taken = self.take(value, context)
        document: Document = {"format": format_of(self.kind)} if self.kind else {}
        for field, name, get in self._taken:
            own = taken[name] if type(taken) is dict else get(taken)
            if isinstance(field, Inline):
                document.update(field.record.write(own, context))
            elif not (field.is_sparse and (own in EMPTY or own == field.default)):
                write = field.form.write
                document[field.key] = own if write is _as_it_is else write(own, context)
        return document

    def read(self, cursor: Cursor, context: Any) -> Any:
        """Read one object."""
        return self.make(self.read_fields(cursor, context), cursor, context)

    def read_fields(self, cursor: Cursor, context: Any) -> dict[str, Any]:
        """Read the fields of one object, by their names."""
        values: dict[str, Any] = {}
        for field, name, _ in self._taken:
            if isinstance(field, Inline):
                values[name] = field.record.read(cursor, context)
            elif field.is_read:
                found = cursor.at(field.key) if field.default is REQUIRED else cursor.maybe(field.key)
                values[name] = field.default if found is None else field.form.read(found, context)
        return values

    @property
    def schema(self) -> Document:
        """What the object holds."""
        said = {"description": self.doc} if self.doc else {}
        fields = list(self.all_fields())
        needed = [
            field.key
            for field in fields
            if (field.default is REQUIRED and field.is_read if field.is_needed is None else field.is_needed)
        ]
        properties = {field.key: field.schema for field in fields}
        if self.kind:
            properties, needed = {"format": {"const": format_of(self.kind)}, **properties}, ["format", *needed]
        return {"type": "object", **said, "properties": properties, "required": needed, "additionalProperties": False}

    def all_fields(self) -> Iterator[Field]:
        """Go through the fields, those of what is written in line among them."""
        for field in self.fields:
            if isinstance(field, Inline):
                yield from field.record.all_fields()
            else:
                yield field

    def form(self, ref: str = "") -> Form:
        """Return the record as a form: told in place, or once under a name."""
        return Form({"$ref": f"#/$defs/{ref}"} if ref else self.schema, self.read, self.write)


@dataclass(frozen=True, slots=True)
class Inline:
    """A value whose fields stand among those of the object around it."""

    name: str
    record: Record


def made_of(kind: Callable[..., Any]) -> Callable[[dict[str, Any], Cursor, Any], Any]:
    """Make a value of a class whose parameters are the fields' names; what it refuses is told with its place."""

    def make(values: dict[str, Any], cursor: Cursor, _: Any) -> Any:
        try:
            return kind(**values)
        except ListenError as error:
            raise cursor.explain(error) from error

    return make


def as_mapping(values: dict[str, Any], *_: object) -> dict[str, Any]:
    """Make a mapping: of objects that are only written, or whose reader makes the value."""
    return values


def publish(kind: str, title: str, body: Document) -> Document:
    """Make the published schema of a kind of document."""
    head = {"$schema": "https://json-schema.org/draft/2020-12/schema", "$id": f"urn:listen:{kind}:{VERSIONS[kind]}"}
    return {**head, "title": title, **body}


def number(low: float = -LARGEST, high: float = LARGEST) -> Form:
    """Take a finite number within bounds."""
    return Form(
        {"type": "number", **_bounds(low, high)},
        lambda cursor, _: cursor.as_number(low, high),
        lambda value, _: float(value),
    )


def within(low: float, high: float) -> Form:
    """Take a number within bounds; what is written is brought inside them: sums may be off by their last bit."""
    plain = number(low, high)
    return Form(plain.schema, plain.read, lambda value, _: min(float(high), max(float(low), float(value))))


def rounded(digits: int, low: float = -LARGEST, high: float = LARGEST) -> Form:
    """Take a finite number within bounds; it is written with so many decimals."""
    plain = number(low, high)
    return Form(plain.schema, plain.read, lambda value, _: round(float(value), digits))


def integer(low: float = -LARGEST, high: float = LARGEST) -> Form:
    """Take a whole number within bounds."""
    return Form({"type": "integer", **_bounds(low, high)}, lambda cursor, _: cursor.as_integer(low, high))


def text(longest: int = LONGEST_TEXT, **schema: Any) -> Form:
    """Take a text of a bounded length."""
    return Form({"type": "string", **schema}, lambda cursor, _: cursor.as_text(longest))


def flag() -> Form:
    """Take true or false."""
    return Form({"type": "boolean"}, lambda cursor, _: cursor.as_flag())


def choice(*allowed: str, or_null: bool = False) -> Form:
    """Take one of a few words."""
    return Form({"enum": [*allowed, *([None] if or_null else [])]}, lambda cursor, _: cursor.as_choice(allowed))


def choices(*allowed: str) -> Form:
    """Take a list of words, each one of a few."""
    return Form(
        {"type": "array", "items": {"enum": list(allowed)}},
        lambda cursor, _: cursor.as_choices(allowed),
        lambda value, _: list(value),
    )


def listed(item: Form, noun: str = "") -> Form:
    """Take a list; an item is addressed by the noun, the key where not given, and its number."""
    read, write = item.read, item.write
    return Form(
        {"type": "array", "items": item.schema},
        lambda cursor, context: tuple(read(at, context) for at in cursor.items(noun or cursor.address[-1])),
        lambda values, context: [write(value, context) for value in values],
    )


def rows(item: Form, noun: str) -> Form:
    """Take a long list, which is made item by item as it is written."""
    plain = listed(item, noun)
    return Form(plain.schema, plain.read, lambda values, context: (item.write(value, context) for value in values))


def nullable(form: Form) -> Form:
    """Write None as null; reading it is the field's default."""
    schema = form.schema
    if schema.get("type") in ("integer", "number", "string"):
        schema = {**schema, "type": [schema["type"], "null"]}
    else:
        schema = {"oneOf": [{"type": "null"}, schema]}
    return Form(schema, form.read, lambda value, context: None if value is None else form.write(value, context))


def _bounds(low: float, high: float) -> Document:
    least = {} if low <= -LARGEST else {"minimum": low}
    return least | ({} if high >= LARGEST else {"maximum": high})
