"""The server keeps to its own OpenAPI description, whatever is sent: schemathesis makes the requests."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

pytest.importorskip("fastapi")
schemathesis = pytest.importorskip("schemathesis")
from hypothesis import HealthCheck, Phase, given, settings  # noqa: E402
from schemathesis.checks import not_a_server_error  # noqa: E402
from schemathesis.specs.openapi.checks import (  # noqa: E402
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from listen.web.app import make_bare_app  # noqa: E402


@pytest.fixture(scope="module")
def described(tmp_path_factory: pytest.TempPathFactory) -> Any:
    app = make_bare_app(tmp_path_factory.mktemp("described") / "library")
    return schemathesis.openapi.from_asgi("/openapi.json", app)


CHECKS = (not_a_server_error, status_code_conformance, content_type_conformance, response_schema_conformance)


def test_no_request_breaks_the_server_or_its_word(described: Any) -> None:
    n_operations = 0
    for found in described.get_all_operations():
        operation = found.ok()

        @settings(
            max_examples=4,
            deadline=None,
            derandomize=True,
            database=None,
            phases=[Phase.explicit, Phase.generate],
            suppress_health_check=list(HealthCheck),
        )
        @given(case=operation.as_strategy())
        def send(case: Any) -> None:
            case.call_and_validate(checks=CHECKS)

        send()
        n_operations += 1
    assert n_operations > 15


def test_nothing_was_written_outside_the_library(tmp_path: Path) -> None:
    folder = tmp_path / "library"
    make_bare_app(folder)
    assert [path.name for path in tmp_path.iterdir()] == ["library"]
