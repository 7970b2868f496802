"""The curve of a bar: what goes round is picked on it by hand and by keys."""

from __future__ import annotations

from typing import Any

from tests.web.browser import Served, open_take, unfold, until
from tests.web.conftest import Watched

HEARD = "import('/static/player.js').then(({ player }) => [player.stretch.start, player.stretch.end])"


def _span(tab: Any) -> tuple[float, float]:
    start, end = (float(tab.get_attribute(".curve-box", f"data-{name}") or "nan") for name in ("start", "end"))
    return start, end


def _strokes(tab: Any) -> list[float]:
    return [float(one) for one in (tab.get_attribute(".curve-box", "data-strokes") or "").split()]


def test_a_part_of_a_bar_is_picked_by_keys_alone(served: Served, take: str, tabs: Watched) -> None:
    """WCAG 2.2, 2.1.1 (https://www.w3.org/TR/WCAG22/#keyboard)."""
    tab = open_take(tabs, served, take)
    unfold(tab, 2)
    start, _ = _span(tab)
    strokes = [one for one in _strokes(tab) if one > start + 0.1]
    ends = {name: tab.get_by_role("slider", name=name, exact=True) for name in ("From", "Until")}
    for _ in range(20):  # it is reached with Tab
        tab.keyboard.press("Tab")
        if tab.evaluate("document.activeElement.name") == "from":
            break
    while float(ends["From"].input_value()) < strokes[0] - start - 0.01:
        tab.keyboard.press("ArrowRight")
    assert "stroke" in (ends["From"].get_attribute("aria-valuetext") or "")
    tab.keyboard.press("Shift+ArrowRight")
    tab.keyboard.press("Tab")
    assert tab.evaluate("document.activeElement.name") == "until"
    tab.keyboard.press("ArrowLeft")
    tab.keyboard.press(" ")
    until(tab, "document.body.dataset.playing === 'true'")
    heard = tab.evaluate(HEARD)
    assert abs(heard[0] - strokes[0] - 0.05) < 0.011
    assert abs(heard[1] - strokes[-1]) < 0.011
    assert tab.is_visible(".picked")
    tab.keyboard.press("Home")  # no end goes past the other one
    until(tab, f"{HEARD}.then(([start, end]) => end - start < 0.12)")
    assert tab.evaluate("document.querySelector('.unfolded').dataset.number") == "2"  # arrows went to no other bar


def test_what_is_drawn_over_the_curve_goes_round_and_moves_the_ends(served: Served, take: str, tabs: Watched) -> None:
    tab = open_take(tabs, served, take)
    tab.set_viewport_size({"width": 1200, "height": 1600})  # nothing scrolls, nothing lies over the curve
    unfold(tab, 2)
    start, end = _span(tab)
    box = tab.locator(".curve-box").bounding_box()
    assert box is not None
    tab.mouse.move(box["x"] + 0.25 * box["width"], box["y"] + 40)
    tab.mouse.down()
    tab.mouse.move(box["x"] + 0.75 * box["width"], box["y"] + 40)
    tab.mouse.up()
    until(tab, "document.body.dataset.playing === 'true'")
    heard = tab.evaluate(HEARD)
    for time, share, name in ((heard[0], 0.25, "from"), (heard[1], 0.75, "until")):
        assert abs(time - start - share * (end - start)) < 0.02
        assert abs(float(tab.input_value(f".ends [name={name}]")) - (time - start)) < 0.011


def test_a_finger_that_scrolls_over_the_curve_picks_nothing_afterwards(
    served: Served, take: str, tabs: Watched
) -> None:
    tab = open_take(tabs, served, take)
    unfold(tab, 2)
    asked = tab.evaluate(
        """import('/static/player.js').then(({ player }) => {
          const box = document.querySelector('.curve-box'), { left, width, top } = box.getBoundingClientRect();
          const tell = (kind, share, place = box) => place.dispatchEvent(
            new PointerEvent(kind, { bubbles: true, clientX: left + share * width, clientY: top + 40 }));
          const asked = [];
          player.play = async (...span) => asked.push(span);
          tell('pointerdown', 0.2);
          tell('pointermove', 0.4);
          tell('pointercancel', 0.4); // the browser scrolls with it
          tell('pointerdown', 0.5, document.body);
          tell('pointerup', 0.5, document.body);
          return [asked, document.querySelector('.picked').hidden];
        })"""
    )
    assert asked == [[], True]
