"""News between tabs: what one tab misses, or hears late, is shown by it all the same."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from tests.web.browser import Served, until
from tests.web.conftest import Watched
from tests.web.test_homework_tabs import set_class

SAID = "document.querySelector('.found').textContent.includes('You say')"


def test_what_happens_before_a_tab_hears_news_is_shown_by_it(served: Served, tabs: Watched, tmp_path: Path) -> None:
    ident = set_class(served.library, tmp_path)
    held: dict[str, Any] = {}
    tabs.context.route("**/api/news", lambda route: held.update(news=route), times=1)
    late = tabs.open(f"{served.address}#/homework/{ident}/Anna")
    late.locator(".found > li").first.wait_for()
    tab = tabs.open(f"{served.base}/#/homework/{ident}/Anna")
    tab.get_by_role("button", name="The strumming is wrong").click()
    until(tab, SAID)
    held["news"].continue_()
    until(late, SAID)
