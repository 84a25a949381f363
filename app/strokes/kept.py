"""What composing an artwork found, kept so that an edit redoes only the shapes it changes."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence

from app.strokes.strokes import Strokes
from app.strokes.visible import Seen


class Kept:
    """The visible things of one artwork at one place on the wall, and the strokes of each as last drawn."""

    def __init__(self) -> None:
        self._is_line: tuple[bool, ...] = ()
        self._visible: list[Seen] | None = None
        self._strokes: dict[int, tuple[Hashable, Strokes]] = {}

    def visible(self, is_line: Sequence[bool], look: Callable[[], list[Seen]]) -> list[Seen]:
        """What is seen; looked for anew when other shapes are drawn as lines than before."""
        if self._visible is None or self._is_line != tuple(is_line):
            self._visible, self._is_line, self._strokes = look(), tuple(is_line), {}
        return self._visible

    def strokes(self, number: int, choice: Hashable, draw: Callable[[], Strokes]) -> Strokes:
        """Strokes of the visible thing of that number; drawn anew when the choice of how is not that of the last time."""
        if number not in self._strokes or self._strokes[number][0] != choice:
            self._strokes[number] = (choice, draw())
        return self._strokes[number][1]
