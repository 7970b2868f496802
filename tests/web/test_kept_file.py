"""What a file is called that the page gives away."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from urllib.parse import unquote

import pytest
from starlette.testclient import TestClient

from listen.reading import Correction, Settled
from listen.request import Library
from listen.web.app import make_bare_app
from tests.hand_made_parts import straight_part


@pytest.mark.parametrize(
    ("name", "kept", "plain"),
    [
        ("Etude No. 5", "Etude No. 5.txt", "Etude No. 5.txt"),
        ("Übung 日本", "Übung 日本.txt", "_bung __.txt"),
        ("evening.wav", "evening.txt", "evening.txt"),
        ("Take 10.15.03.webm", "Take 10.15.03.txt", "Take 10.15.03.txt"),
        ('"a"; b', '"a"; b.txt', "_a__ b.txt"),
    ],
)
def test_a_part_is_kept_under_the_name_that_it_has(tmp_path: Path, name: str, kept: str, plain: str) -> None:
    library = Library(tmp_path / "library")
    take = library.add(name, ".wav")
    library.begin(take, straight_part())
    library.save(replace(take, state="read"))
    with TestClient(make_bare_app(library.folder)) as client:
        answer = client.get(f"/api/takes/{take.ident}/files/txt")
    assert answer.status_code == 200
    told = answer.headers["content-disposition"]
    assert told.startswith(f'attachment; filename="{plain}"; ')  # for programs that know no other scripts
    assert unquote(told.partition("filename*=UTF-8''")[2]) == kept


def test_a_part_that_was_given_a_title_is_kept_under_that(tmp_path: Path) -> None:
    library = Library(tmp_path / "library")
    take = library.add("evening.wav", ".wav")
    part = replace(straight_part(), settled=Settled(corrections=(Correction("title", "Op. 3"),)))
    library.begin(take, part)
    library.save(replace(take, state="read"))
    with TestClient(make_bare_app(library.folder)) as client:
        told = client.get(f"/api/takes/{take.ident}/files/txt").headers["content-disposition"]
    assert 'filename="Op. 3.txt"' in told
