"""How far the searches of one order go: as far as their kicks, to a number fixed beforehand, or until somebody has had
enough. Told the number at which it was ended, another search of the same strokes ends at the same kick with the same
tour."""

from __future__ import annotations

from collections.abc import Callable

FEW, MORE = 1_000, 5.0
"""Fewer strokes than this get more kicks each, up to so many times as many: they take no time."""


def more_of_few(strokes: int) -> float:
    """Times as many kicks for each of so many strokes."""
    return min(max(FEW / max(strokes, 1), 1.0), MORE)


class SearchBudget:
    """The kicks that all searches of one order may make together."""

    def __init__(self, most: int = 0, enough: Callable[[], bool] = lambda: False) -> None:
        """most: kicks; 0: no bound. enough: asked between a few kicks and the next; True ends the search once at least
        some have been made."""
        self.most = most
        self.made = 0
        """Kicks so far."""
        self.ended_early = False
        """Whether enough ended it."""
        self.travel = 0.0
        """s of all travels in the tour that is searched at present."""
        self._enough = enough

    @property
    def is_spent(self) -> bool:
        """Whether no kick may be made any more; asks whether it is enough."""
        left = not self.most or self.made < self.most
        if left and self.made and self._enough():
            self.most, self.ended_early, left = self.made, True, False
        return not left

    def grant(self, wanted: int) -> int:
        """How many of the wanted kicks the bound leaves; they count as made."""
        granted = min(wanted, self.most - self.made) if self.most else wanted
        self.made += granted
        return granted
