"""What the eye sees from afar of pens that cover shares of a white wall.

    coverage     share of the wall that one pen's ink lies on, 0 to 1
    primary      the colour of one overprint: wall, each ink alone, each two on each other, ...
    filter       share of the light that an ink lets through, in linear red, green and blue

Inks that are laid independently of each other, at different angles or with different seeds, meet as often as chance has it:
the share of each overprint is a product of coverages (Demichel 1924). The colour from afar is the mean of the primaries
(Neugebauer, "Die theoretischen Grundlagen des Mehrfarbenbuchdrucks", Zeitschrift für wissenschaftliche Photographie 36,
1937), of their 1/n-th powers where light spreads under the ink (Yule and Nielsen, "The penetration of light into paper and
its effect on halftone reproduction", TAGA 3, 1951). An ink on another multiplies its filter with it, as far as it is not
opaque, as in Stollnitz, Ostromoukhov, Salesin, "Reproducing color images using custom inks", SIGGRAPH 1998.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wallwright.artwork.colour import rgb_of
from wallwright.artwork.raster.tone import linear
from wallwright.document.arrays import Floats
from wallwright.document.document import Pen

LEAST_LIGHT = 1e-4
"""Of a primary: no wall and no ink is darker, and powers stay defined."""


@dataclass(frozen=True)
class InkModel:
    """Inks in the order in which they are laid, k of them."""

    filters: Floats
    """(k, 3) colour of each ink on the white wall, linear red, green and blue."""
    opacity: Floats
    """(k,) 0: a filter for what is below it; 1: hides it."""
    gain: Floats
    """(k,) how much more than planned an ink covers where half is planned (dot gain)."""
    n: float = 1.0
    """Of Yule and Nielsen. 1: marker lines are much broader than light spreads in wall paint."""

    @classmethod
    def of_pens(cls, pens: Sequence[Pen], n: float = 1.0) -> InkModel:
        """The model of some pens."""
        colours = np.array([rgb_of(pen.colour) for pen in pens], dtype=float).reshape(-1, 3)
        return cls(
            np.maximum(linear(colours), LEAST_LIGHT),
            np.array([pen.opacity for pen in pens], dtype=float),
            np.array([pen.gain for pen in pens], dtype=float),
            n,
        )

    def take(self, inks: Sequence[int]) -> InkModel:
        """The model of some of the inks."""
        chosen = np.asarray(inks, dtype=np.int64)
        return InkModel(self.filters[chosen], self.opacity[chosen], self.gain[chosen], self.n)

    def light(self, coverage: Floats) -> Floats:
        """(m, 3) linear red, green and blue seen from afar. coverage: (m, k)."""
        return self._chain(self._covered(coverage))[-1] ** self.n

    def light_and_slopes(self, coverage: Floats) -> tuple[Floats, Floats]:
        """The light, and its derivative by each coverage (m, 3, k)."""
        covered = self._covered(coverage)
        below = self._chain(covered)
        k = covered.shape[1]
        slopes = np.empty((len(covered), 3, k))
        above = np.ones((len(covered), 3))
        for i in reversed(range(k)):
            slopes[:, :, i] = above * (below[i] * (self._clear[i] - 1) + self._own[i])
            above = above * (1 + covered[:, i, None] * (self._clear[i] - 1))
        slopes *= (1 + 4 * self.gain * (1 - 2 * np.asarray(coverage)))[:, None, :]
        root = below[-1]
        return root**self.n, slopes * (self.n * root ** (self.n - 1))[:, :, None]

    def primaries(self) -> Floats:
        """(2^k, 3) linear light of each overprint; bit i of its number says whether ink i is there.

        inks: (k, 3) linear light.
        """
        numbers = np.arange(2 ** len(self.filters))
        seen: Floats = np.ones((len(numbers), 3))
        for i, (colour, opacity) in enumerate(zip(self.filters, self.opacity, strict=True)):
            laid = opacity * colour + (1 - opacity) * colour * seen
            seen = np.where((numbers >> i & 1)[:, None] == 1, laid, seen)
        return seen

    def _covered(self, coverage: Floats) -> Floats:
        planned = np.asarray(coverage, dtype=float).reshape(-1, len(self.filters))
        covered: Floats = planned + 4 * self.gain * planned * (1 - planned)
        return covered

    @property
    def _clear(self) -> Floats:
        """(k, 3) what each ink leaves of the light below it, as n-th roots."""
        return ((1 - self.opacity)[:, None] * self.filters) ** (1 / self.n)

    @property
    def _own(self) -> Floats:
        """(k, 3) the light that each ink adds by hiding what is below it, as n-th roots."""
        whole = self.opacity[:, None] * self.filters
        return (whole + (1 - self.opacity)[:, None] * self.filters) ** (1 / self.n) - self._clear

    def _chain(self, covered: Floats) -> list[Floats]:
        """n-th roots of the light of the wall, of the wall with the first ink, with the first two, ...

        The mean over all overprints need not be summed over 2^k of them: each ink changes the light below it by the same
        rule wherever it lies, and it lies there independently. With opaque inks and n other than 1 the rule is that of ink
        on the bare wall, and the mean an approximation.
        """
        seen = [np.ones((len(covered), 3))]
        for i in range(covered.shape[1]):
            share = covered[:, i, None]
            seen.append(seen[-1] * (1 + share * (self._clear[i] - 1)) + share * self._own[i])
        return seen


def demichel(coverage: Floats) -> Floats:
    """(m, 2^k) share of the wall that each overprint has. coverage: (m, k)."""
    shares = np.ones((len(coverage), 1))
    for column in np.asarray(coverage, dtype=float).T:
        shares = np.concatenate([shares * (1 - column[:, None]), shares * column[:, None]], axis=1)
    return shares
