"""One SVG file while it is read: its tree, what ids and style sheets mean in it, and what reading it has worked out once."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Callable, Hashable
from typing import Generic, TypeVar

from wallwright.artwork.drawing import Paint
from wallwright.artwork.svg.embedded_pictures import EmbeddedPicture
from wallwright.artwork.svg.straight_paths import Subpath
from wallwright.artwork.svg.style import Cascade, Style, resolve
from wallwright.artwork.svg.visit_limits import VisitLimits
from wallwright.artwork.usage import Usage
from wallwright.document.arrays import Floats

MOST_OUTLINES_KEPT = 200
"""Paths whose outlines are kept for further copies of them."""

Key = TypeVar("Key", bound=Hashable)
Value = TypeVar("Value")


class Memo(Generic[Key, Value]):
    """Results by what they were made from. most: how many are kept; then all are forgotten."""

    def __init__(self, most: int | None = None) -> None:
        self._known: dict[Key, Value] = {}
        self._most = most

    def peek(self, key: Key) -> Value | None:
        """The result of a key, if it is known."""
        return self._known.get(key)

    def put(self, key: Key, value: Value) -> None:
        """Keeps a result."""
        if self._most is not None and len(self._known) >= self._most:
            self._known.clear()
        self._known[key] = value

    def __contains__(self, key: Key) -> bool:
        return key in self._known

    def get(self, key: Key, make: Callable[[], Value]) -> Value:
        """The result of a key; made when it is not known."""
        if key not in self._known:
            self._known[key] = make()
        return self._known[key]


class SvgDocument:
    """A file's tree and what holds for all of it. Nothing in it depends on where in the file one is."""

    def __init__(
        self,
        root: ET.Element,
        name: str,
        flatness: float,
        progress: Callable[[float], None],
        outer: SvgDocument | None = None,
    ) -> None:
        """flatness: how far chords may leave a curve, mm on the page. outer: the file it is a picture in, whose usage it
        adds to."""
        self.root, self.name, self.flatness, self.progress = root, name, flatness, progress
        self.limits = VisitLimits(name, sum(1 for _ in root.iter()), progress)
        self.cascade = Cascade.of(root, self.limits.report_styling)
        self.by_id: dict[str, ET.Element] = {label: e for e in reversed(list(root.iter())) if (label := e.get("id"))}
        self.usage: Usage = Usage(name) if outer is None else outer.usage
        self.depth: int = 0 if outer is None else outer.depth + 1
        """Files it is inside of, as the picture of an image element."""
        self.pictures: Memo[str, EmbeddedPicture] = Memo() if outer is None else outer.pictures
        """Pictures unpacked already, by their URI."""
        self.patterns: Memo[tuple[Hashable, ...], Paint | None] = Memo()
        """Patterns read already, by element, place and box."""
        self.stops: Memo[int, tuple[Floats, Floats]] = Memo()
        """Stops of gradients read already, by id() of their element: (k,) offsets and (k, 4) colours."""
        self.fonts: Memo[None, dict[str, str]] = Memo()
        """What each family that the file brings, in lower case, is known by."""
        self.copied_outlines: Memo[int, tuple[float, list[Subpath]]] = Memo(MOST_OUTLINES_KEPT)
        """Outlines of paths that copies show, by id() of their element, with the tolerance they were made for."""
        self._parents: dict[int, ET.Element] = {}
        self._styles: dict[int, Style] = {}
        self._positions: dict[str, int] = {}

    def name_of(self, element: ET.Element, tag: str) -> str:
        """How findings name an element: its id, or its tag and a number that counts on."""
        if label := element.get("id"):
            return label
        self._positions[tag] = self._positions.get(tag, 0) + 1
        return f"{tag} {self._positions[tag]}"

    def style_of(self, element: ET.Element, parent: Style) -> Style:
        """The style of an element shown in a parent's style."""
        return resolve(self.cascade.own(element), parent)

    def style_at(self, element: ET.Element) -> Style:
        """The style of an element where it stands in the file, whoever refers to it."""
        if not self._parents:
            self._parents = {id(child): parent for parent in self.root.iter() for child in parent}
        if id(element) not in self._styles:
            parent = self._parents.get(id(element))
            self._styles[id(element)] = self.style_of(element, Style() if parent is None else self.style_at(parent))
        return self._styles[id(element)]
