"""The published schemas are made of the fields that documents are written and read by."""

from __future__ import annotations

import json
import re

import jsonschema
import pytest

from listen.document import load_schema
from listen.document.schema import SCHEMAS
from listen.reading import STEPS_PER_BEAT, GridPosition
from tests import regenerate_schema


def test_every_published_schema_is_made_of_fields() -> None:
    assert set(regenerate_schema.MAKERS) == set(SCHEMAS)


@pytest.mark.parametrize("kind", SCHEMAS)
def test_the_published_schema_is_the_one_that_the_fields_make(kind: str) -> None:
    assert regenerate_schema.find_path(kind).read_text("utf-8") == regenerate_schema.render(kind)
    jsonschema.Draft202012Validator.check_schema(load_schema(kind))  # against the metaschema of draft 2020-12


def test_a_reader_of_the_schema_of_a_part_is_told_how_a_pickup_is_counted() -> None:
    told = re.findall(r'"(\w+)": \{[^{}]*"description": "([^"]*pickup[^"]*)"', json.dumps(load_schema("part")))
    assert {name for name, _ in told} == {"bar", "step", "pickup_steps", "first_bar"}
    (steps,) = [
        re.findall(r"one beat before 4/4 has steps (\d+) to (\d+)", words) for name, words in told if name == "step"
    ]
    first, last = map(int, steps[0])
    assert last - first + 1 == STEPS_PER_BEAT
    assert (GridPosition(0, first).text, GridPosition(1, 0).step) == ("0.4", (last + 1) % (4 * STEPS_PER_BEAT))
