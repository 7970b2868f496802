"""The published schemas are made of the fields that documents are written and read by."""

from __future__ import annotations

import jsonschema
import pytest

from listen.document import load_schema
from listen.document.schema import SCHEMAS
from tests import regenerate_schema


def test_every_published_schema_is_made_of_fields() -> None:
    assert set(regenerate_schema.MAKERS) == set(SCHEMAS)


@pytest.mark.parametrize("kind", SCHEMAS)
def test_the_published_schema_is_the_one_that_the_fields_make(kind: str) -> None:
    assert regenerate_schema.find_path(kind).read_text("utf-8") == regenerate_schema.render(kind)
    jsonschema.Draft202012Validator.check_schema(load_schema(kind))  # against the metaschema of draft 2020-12
