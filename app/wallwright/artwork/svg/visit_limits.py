"""How far the reading of one file is: elements visited against what it may ask for, and progress that can be cancelled."""

from __future__ import annotations

import time
import xml.etree.ElementTree as ET
from collections.abc import Callable, Mapping

from wallwright.artwork.svg.xml_parser import href, local
from wallwright.document.language import tr
from wallwright.document.reading_limits import TooCostly, most

MOST_DEEP = 3_000
"""Elements visited inside what is referred to by what is referred to (a mask's pattern, a marker's clip path)."""
MOST_COPIED = 100_000
"""Elements visited through copies (use) beyond those of the file; a few nested copies can ask for billions."""
PARSED = 0.15
"""Share of the time that the XML takes."""
STYLED = 0.1
"""Share that the style sheets take."""
INTERVAL = 0.02
"""Seconds between two reports of progress."""


class VisitLimits:
    """Counts the visits of one file."""

    def __init__(self, name: str, total: int, progress: Callable[[float], None]) -> None:
        """total: elements of the file. progress: called with the share done, 0 to 1; raises Cancelled."""
        self._name, self._total, self._progress = name, max(total, 1), progress
        self._reported = time.monotonic()
        self._visited = self._deep = 0
        self._styled = 0.0
        self._weights: dict[int, int] = {}

    def visit(self, is_deep: bool) -> None:
        """Counts an element. is_deep: it is read by reference from what is read by reference. Raises TooCostly."""
        self._visited += 1
        self._deep += is_deep
        if self._deep > most(MOST_DEEP):
            raise TooCostly(
                tr(
                    "{0} nests patterns, masks, clip paths or markers into more than {1:,} elements and is not "
                    "read. Simplify them in your drawing program.",
                    self._name,
                    most(MOST_DEEP),
                )
            )
        if self._visited > self._total + most(MOST_COPIED):
            raise self._too_many()
        if self._visited % 16 == 0:
            self.report_progress()

    def weigh(self, element: ET.Element, by_id: Mapping[str, ET.Element]) -> None:
        """Counts what a copy of an element shows, copies in it included. Raises TooCostly when it is too much."""
        if weight_of(element, by_id, self._weights) > most(MOST_COPIED):
            raise self._too_many()

    @property
    def visited_share(self) -> float:
        """Of the elements of the file, above 0 to 1."""
        return min(max(self._visited, 1) / self._total, 1.0)

    def report_progress(self) -> None:
        """Reports how far the reading is, when the last report is some time ago. Raises Cancelled."""
        if time.monotonic() - self._reported > INTERVAL:
            self._reported = time.monotonic()
            visited = (0.99 - PARSED - STYLED) * self.visited_share
            self._progress(PARSED + STYLED * self._styled + visited)

    def report_styling(self, done: float) -> None:
        """The same for the style sheets. done: share of them that is read. Raises Cancelled."""
        self._styled = done
        self.report_progress()

    def _too_many(self) -> TooCostly:
        text = tr(
            "Copies in {0} add up to more than {1:,} elements; it is not read. Remove nested copies in your "
            "drawing program.",
            self._name,
            most(MOST_COPIED),
        )
        return TooCostly(text)


def weight_of(element: ET.Element, by_id: Mapping[str, ET.Element], known: dict[int, int]) -> int:
    """Elements that are visited when an element is shown, those that its uses show included. known: of elements, by id(),
    filled on the way; an element that shows itself counts once."""
    stack = [element]
    while stack:
        one = stack[-1]
        parts = list(one)
        if local(one) == "use" and (target := by_id.get(href(one).removeprefix("#"))) is not None:
            parts.append(target)
        if id(one) not in known:
            known[id(one)] = 1  # stands for it while it is open
            waiting = [p for p in parts if id(p) not in known]
            if waiting:
                stack += waiting
                continue
        known[id(one)] = 1 + sum(known[id(p)] for p in parts)
        stack.pop()
    return known[id(element)]
