"""A person without a mouse: goes from control to control by Tab, and looks at each stop where the focus is."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from playwright.sync_api import Locator, Page, expect

from tests.web.lit import PATIENCE_S

# What has the focus, in shadow trees too: what it is, where it is on the page, whether it is seen and ringed; null for the
# page itself.
HELD = """() => {
  let one = document.activeElement;
  while (one?.shadowRoot?.activeElement) one = one.shadowRoot.activeElement;
  if (!one || one === document.body || one === document.documentElement) return null;
  const box = one.getBoundingClientRect();
  const [left, top] = [Math.max(box.left, 0), Math.max(box.top, 0)];
  const [right, bottom] = [Math.min(box.right, innerWidth), Math.min(box.bottom, innerHeight)];
  const shown = right - left >= 1 && bottom - top >= 1;
  const over = shown ? one.getRootNode().elementFromPoint((left + right) / 2, (top + bottom) / 2) : null;
  const label = [...(one.labels ?? [])].some((label) => label.contains(over));
  const ringed = [one, one.nextElementSibling].filter((own, nth) => own && (!nth || getComputedStyle(one).opacity === "0"));
  const rings = ringed.map((own) => getComputedStyle(own)).some((style) =>
    (style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2) || style.boxShadow.includes("inset"));
  const words = one.getAttribute("aria-label") ?? one.labels?.[0]?.textContent
    ?? one.querySelector("img")?.alt ?? one.textContent;
  return {
    what: `${one.tagName} ${one.id} ${one.getAttribute("name") ?? ""} ${words.trim().slice(0, 40)}`.replace(/\\s+/g, " "),
    named: Boolean(words.trim() || one.getAttribute("aria-labelledby") || one.tagName === "TABLE" || one.tagName === "MAIN"),
    ring: rings,
    seen: Boolean(over && (one.contains(over) || over.contains(one) || label)),
    place: [box.left + scrollX, box.top + scrollY, box.bottom + scrollY],
  };
}"""
_DEEPEST = (
    "let one = document.activeElement; while (one?.shadowRoot?.activeElement) one = one.shadowRoot.activeElement;"
)
# Whether the focus is where it has not been on this lap; notes it. Then where on the page all these are now.
NEW = f"""() => {{
  {_DEEPEST}
  if (!one || one === document.body || one === document.documentElement || window.lapped.includes(one)) return false;
  window.lapped.push(one);
  return true;
}}"""
PLACES = """() => window.lapped.map((one) => {
  const box = one.getBoundingClientRect();
  return [box.left + scrollX, box.top + scrollY, box.bottom + scrollY];
})"""
_FIRST = "To the work"
HAS = "one => one.getRootNode().activeElement === one"
MOST = 250


@dataclass
class Keys:
    """The keyboard at a page."""

    tab: Page

    def held(self) -> dict[str, Any]:
        """Return what has the focus; fail where it is lost, not seen, without a ring or without a name."""
        found = self.tab.evaluate(HELD)
        assert found is not None, "the focus is lost"
        stop = time.monotonic() + PATIENCE_S
        while not found["seen"] and time.monotonic() < stop:  # a picture that comes late may have moved it
            time.sleep(0.02)
            found = self.tab.evaluate(HELD)
        assert found["seen"], f"not in sight or covered: {found}"
        assert found["ring"], f"no ring around it: {found}"
        assert found["named"], f"no name: {found}"
        return dict(found)

    def press(self, *keys: str) -> None:
        """Press keys one after the other."""
        for key in keys:
            self.tab.keyboard.press(key)

    def write(self, text: str) -> None:
        """Type over what stands in the field that has the focus."""
        self.press("Control+a")
        self.tab.keyboard.type(text)

    def reach(self, target: Locator, key: str = "Tab") -> None:
        """Go to a control, once around the page at most."""
        expect(target).to_be_attached()
        turns, before = 0, self.tab.evaluate(HELD)
        for _ in range(MOST):
            if target.evaluate(HAS):
                self.held()
                return
            self.press(key)
            found = self.tab.evaluate(HELD)
            if found is None or (key == "Tab" and before is not None and _wraps(before, found)):
                turns += 1
                assert turns < 2, f"no way by {key} to {target}"
            if found is not None:
                self.held()
            before = found
        raise AssertionError(f"no way by {key} to {target}")

    def fill(self, label: str, text: str, inside: Locator | None = None) -> None:
        """Go to a field and type into it."""
        self.reach((inside or self.tab.locator("main")).get_by_label(label, exact=True))
        self.write(text)

    def choose(self, label: str, text: str, inside: Locator | None = None) -> None:
        """Go to a list and choose by the first letters."""
        field = (inside or self.tab.locator("main")).get_by_label(label, exact=True)
        self.reach(field)
        self.tab.keyboard.type(text)
        expect(field.locator("option:checked")).to_have_text(text)

    def do(self, target: Locator, key: str = "Enter") -> None:
        """Go to a button and press it; return once the server has answered."""
        self.reach(target)
        with self.tab.expect_response(lambda answer: answer.request.method == "POST"):
            self.press(key)

    def go(self, room: str) -> None:
        """Go to another room by its link."""
        self.reach(self.tab.get_by_role("navigation", name="Rooms").get_by_role("link", name=room))
        with self.tab.expect_navigation():
            self.press("Enter")
        expect(self.tab.locator("nav [aria-current=page]")).to_have_text(room)

    def lap(self, key: str = "Tab") -> list[str]:
        """Go once around the page and return where it stopped, in the order of reading; nothing holds the person up."""
        self.tab.evaluate(
            "() => { document.activeElement?.blur(); getSelection()?.removeAllRanges(); window.lapped = []; }"
        )
        stops: list[str] = []
        for _ in range(MOST):
            self.press(key)
            if not self.tab.evaluate(NEW):
                break
            stops.append(self.held()["what"])
        else:
            raise AssertionError(f"no end to it: {stops[-3:]}")
        # All at once, and from the top: a page may grow while someone goes around it, and not begin where it begins.
        lap = list(zip(stops, self.tab.evaluate(PLACES), strict=True))
        lap = lap if key == "Tab" else lap[::-1]
        first = next((i for i, what in enumerate(what for what, _ in lap) if _FIRST in what), 0)
        lap = lap[first:] + lap[:first]
        assert not (wrong := _against(lap)), wrong
        return stops


def _wraps(before: dict[str, Any], now: dict[str, Any]) -> bool:
    """Return whether the focus came from the end of the page to its beginning."""
    return now["what"].startswith("A ") and _FIRST in now["what"] and before["what"] != now["what"]


def _against(stops: Sequence[tuple[str, Sequence[float]]]) -> list[tuple[str, str]]:
    """Return pairs of stops of which the later one stands above the earlier, and not to the right of it."""
    found = []
    for (one, place), (other, next_place) in pairwise(stops[1:]):  # the first is only there while it has the focus
        (left, top, _), (next_left, _, next_bottom) = place, next_place
        if next_bottom <= top + 1 and next_left <= left + 1:
            found.append((one, other))
    return found
