"""Budget of the searches of one order: unlimited, up to a fixed number of kicks, or until the user stops. Given the
number at which it was stopped, another search of the same strokes ends at the same kick with the same tour."""

from __future__ import annotations

from collections.abc import Callable

FEW, MORE = 1_000, 5.0
"""Number of strokes below which each gets more kicks, and the largest factor: small orders take no time."""


def more_of_few(strokes: int) -> float:
    """Returns the factor on the kicks per stroke for this many strokes."""
    return min(max(FEW / max(strokes, 1), 1.0), MORE)


class SearchBudget:
    """Number of kicks that all searches of one order may make together."""

    def __init__(self, most: int = 0, enough: Callable[[], bool] = lambda: False) -> None:
        """most: number of kicks; 0: unlimited. enough: called between batches of kicks; True ends the search once some
        have been made."""
        self.most = most
        self.made = 0
        """Kicks so far."""
        self.ended_early = False
        """True: `enough` ended the search."""
        self.travel = 0.0
        """Time of all travels in the tour being searched, s."""
        self._enough = enough

    @property
    def is_spent(self) -> bool:
        """True if no kicks are left; calls `enough`."""
        left = not self.most or self.made < self.most
        if left and self.made and self._enough():
            self.most, self.ended_early, left = self.made, True, False
        return not left

    def grant(self, wanted: int) -> int:
        """Returns how many of the wanted kicks are left; they count as made."""
        granted = min(wanted, self.most - self.made) if self.most else wanted
        self.made += granted
        return granted
