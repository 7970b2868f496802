"""The row of listeners: a tab that sleeps misses nothing without being told."""

from __future__ import annotations

import asyncio
from concurrent.futures import ThreadPoolExecutor

from listen.web.events import MOST_WAITING, Hub


def test_a_tab_that_slept_too_long_is_told_to_ask_again() -> None:
    async def sleep_long() -> list[str]:
        hub = Hub()
        tab = hub.listen()
        told = [await anext(tab)]
        for number in range(MOST_WAITING + 1):
            hub.publish({"take": f"{number}"})
        await asyncio.sleep(0)
        told += [await anext(tab), await anext(tab)]
        await tab.aclose()  # type: ignore[attr-defined]
        return told

    with ThreadPoolExecutor(1) as thread:  # a browser of another test may hold a loop of its own in this one
        heard = thread.submit(asyncio.run, sleep_long()).result()
    assert heard == [
        "retry: 1000\n\n",
        'data: {"again": true}\n\n',
        f'data: {{"take": "{MOST_WAITING}"}}\n\n',
    ]
