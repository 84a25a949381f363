"""Cache of an artwork's composition, so that an edit recomputes only the shapes it changes."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import shapely
from shapely.geometry.base import BaseGeometry

from wallwright.document.document import Pen
from wallwright.strokes.choke import KnownGaps
from wallwright.strokes.double_ink import OverlapIndex
from wallwright.strokes.mixed_tone import GridTone, SeenColour, tones_of
from wallwright.strokes.stroke_generation import StrokeStyle
from wallwright.strokes.strokes import Strokes
from wallwright.strokes.visibility import VisibleShape


def _is_same_flat(one: VisibleShape, other: VisibleShape) -> bool:
    """Returns whether two shapes have one flat colour and identical geometry, point by point."""
    if any(thing.tone is not None or thing.seen is not None for thing in (one, other)):
        return False
    pairs = ((one.region, other.region), (one.lines, other.lines))
    return all(a is b or (a is not None and b is not None and shapely.equals_identical(a, b)) for a, b in pairs)


class CompositionCache:
    """The visible shapes of one artwork at one place on the wall, the last strokes of each, and their overlaps."""

    def __init__(self) -> None:
        self.laps = OverlapIndex()
        self.gaps = KnownGaps()
        self._made_for: tuple[object, ...] = ()
        self._visible: list[VisibleShape] | None = None
        self._strokes: dict[int, tuple[StrokeStyle, Strokes]] = {}
        self._tones: dict[int, tuple[tuple[Pen, ...], list[tuple[int, GridTone]]]] = {}

    def visible(self, made_for: tuple[object, ...], look: Callable[[], list[VisibleShape]]) -> list[VisibleShape]:
        """Returns the visible shapes; computed again if made_for, all values they depend on, has changed."""
        if self._visible is None or self._made_for != made_for:
            before, self._visible, self._made_for = self._visible, look(), made_for
            self._strokes = self._carried(before or [], self._visible)
            self._tones = {}
        return self._visible

    def _carried(
        self, before: Sequence[VisibleShape], now: Sequence[VisibleShape]
    ) -> dict[int, tuple[StrokeStyle, Strokes]]:
        """Returns the strokes of shapes that look the same among different ones: flat shapes without a gap to a
        neighbour."""
        numbers = {thing.source: n for n, thing in enumerate(now)}
        carried = {}
        for key, (style, strokes) in self._strokes.items():
            tint, old = divmod(key, len(before))
            number = numbers.get(before[old].source)
            if number is not None and not style.bordered_by and _is_same_flat(before[old], now[number]):
                carried[number + tint * len(now)] = style, strokes
        return carried

    def tones(
        self, number: int, seen: SeenColour, region: BaseGeometry, pens: tuple[Pen, ...]
    ) -> list[tuple[int, GridTone]]:
        """Returns the tones of the pens in a visible shape; computed again for other pens."""
        if number not in self._tones or self._tones[number][0] != pens:
            self._tones[number] = pens, tones_of(seen, region, pens)
        return self._tones[number][1]

    def strokes(
        self,
        styles: Mapping[int, StrokeStyle],
        draw: Callable[[dict[int, StrokeStyle]], Mapping[int, Strokes]],
    ) -> list[Strokes]:
        """Returns the strokes of the visible shapes by number; drawn again where the style has changed."""
        new = {n: s for n, s in styles.items() if n not in self._strokes or self._strokes[n][0] != s}
        self._strokes.update({n: (new[n], strokes) for n, strokes in draw(new).items()} if new else {})
        return [self._strokes[n][1] for n in styles]
