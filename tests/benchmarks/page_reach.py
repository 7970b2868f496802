"""How quickly the page answers, and what it takes: ``python -m tests.benchmarks.page_reach [--many 20]``.

A strum is dropped, a part of two minutes is dropped, a chord of it is corrected, and many recordings are dropped at
once; in a real browser, with the server and its reading process watched (needs Debian's Chromium).
"""

from __future__ import annotations

import argparse
import tempfile
import time
from pathlib import Path
from typing import Any

import soundfile

from tests.benchmarks.part_scenes import make_scene
from tests.benchmarks.part_sound import RATE_HZ, render_strings
from tests.web.browser import FLAGS, Served, find_chromium, serve, until

STRUM = Path(__file__).parents[2] / "audio_fixtures" / "open_g_over_b.flac"
WATCH_TASKS = """() => { window.longest = 0; new PerformanceObserver((list) => {
  for (const one of list.getEntries()) window.longest = Math.max(window.longest, one.duration);
}).observe({type: 'longtask', buffered: true}); }"""


def drop(tab: Any, path: Path) -> float:
    """Drop a file on the page; return when that was."""
    transfer = tab.evaluate_handle(
        """([bytes, name]) => { const held = new DataTransfer();
        held.items.add(new File([new Uint8Array(bytes)], name)); return held; }""",
        [list(path.read_bytes()), path.name],
    )
    begun = time.perf_counter()
    tab.dispatch_event(".bring", "drop", {"dataTransfer": transfer})
    return begun


def measure_memory(served: Served) -> tuple[float, float]:
    """Return the memory of the server and of its reading process, resident, in MB."""
    pids = [served.process.pid]
    pids += [int(pid) for pid in Path(f"/proc/{pids[0]}/task/{pids[0]}/children").read_text().split()]
    for task in Path(f"/proc/{pids[0]}/task").iterdir():
        pids += [int(pid) for pid in (task / "children").read_text().split()]
    sizes = {pid: int(Path(f"/proc/{pid}/statm").read_text().split()[1]) * 4096 / 2**20 for pid in set(pids)}
    own = sizes.pop(served.process.pid)
    return own, sum(sizes.values())


def run(tab: Any, served: Served, part: Path, many: int) -> None:
    """Measure and print."""
    print(f"server when it has started: {measure_memory(served)[0]:.0f} MB (asked for: 150)")
    tab.goto(served.address)
    tab.wait_for_selector(".bring h1")
    time.sleep(3.0)  # a player does not drop in the first moment
    begun = drop(tab, STRUM)
    tab.wait_for_selector(".sheet .names, .sheet .free")
    print(f"a dropped strum was answered after {time.perf_counter() - begun:.2f} s (asked for: 1)")
    tab.goto(f"{served.base}/#/")
    tab.wait_for_selector(".bring h1")
    tab.evaluate(WATCH_TASKS)
    begun = drop(tab, part)
    tab.wait_for_selector(".sheet .bar, .sheet .free")
    length_s = soundfile.info(part).duration
    print(f"first strums of {length_s:.0f} s after {time.perf_counter() - begun:.2f} s (asked for: 3)")
    until(tab, "document.querySelector('.listening').hidden")
    print(f"all of it after {time.perf_counter() - begun:.2f} s")
    print(f"longest task of the page: {tab.evaluate('window.longest'):.0f} ms (asked for: 100)")
    ident = tab.url.rsplit("/", 1)[1]
    sheet = tab.evaluate("async (ident) => (await fetch(`/api/takes/${ident}/sheet`)).json()", ident)
    version = sheet["version"]
    for what, body in (
        ("a name, the first time", {"what": "name", "value": "Gsus4", "chord": 1}),
        ("a name", {"what": "name", "value": "Am7", "chord": 2}),
        ("a note", {"what": "note", "value": "D3", "chord": 3}),
        ("tempo", {"what": "tempo", "value": "×2"}),
    ):
        begun = time.perf_counter()
        answer = tab.evaluate(
            """async ([ident, body]) => (await fetch(`/api/takes/${ident}/changes`, {method: 'POST',
            headers: {'Content-Type': 'application/json'}, body: JSON.stringify(body)})).json()""",
            [ident, {"version": version, **body}],
        )
        print(f"decoded anew around {what}: {time.perf_counter() - begun:.2f} s (asked for: .5)")
        version = answer.get("version", version)
    tab.goto(f"{served.base}/#/")
    tab.wait_for_selector(".bring h1")
    before = len(served_takes(tab))
    for _ in range(many):
        tab.evaluate(
            """async ([bytes, name]) => { await fetch(`/api/takes?name=${name}`, {method: 'POST',
            body: new Uint8Array(bytes)}); }""",
            [list(STRUM.read_bytes()), STRUM.name],
        )
    peak = 0.0
    while True:
        peak = max(peak, sum(measure_memory(served)))
        states = [take["state"] for take in served_takes(tab)]
        if all(state not in ("waiting", "reading") for state in states):
            break
        time.sleep(0.2)
    print(f"{len(states) - before} dropped at once: all {set(states)}, at most {peak:.0f} MB (asked for: 1024)")


def served_takes(tab: Any) -> list[dict[str, Any]]:
    """Return the library as the page is told it."""
    takes: list[dict[str, Any]] = tab.evaluate("async () => (await (await fetch('/api/takes')).json()).takes")
    return takes


def main() -> None:
    """Measure."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--many", type=int, default=20)
    parser.add_argument("--bars", type=int, default=40)
    asked = parser.parse_args()
    from playwright.sync_api import sync_playwright

    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        part = Path(folder) / "part.flac"
        scene = make_scene(21, strums_per_s=2.0, n_bars=asked.bars, setting="plain")
        soundfile.write(part, render_strings(scene), RATE_HZ)
        browser = playwright.chromium.launch(executable_path=find_chromium(), args=list(FLAGS))
        with serve(Path(folder) / "library") as served:
            tab = browser.new_context().new_page()
            tab.set_default_timeout(600_000)
            run(tab, served, part, asked.many)
        browser.close()


if __name__ == "__main__":
    main()
