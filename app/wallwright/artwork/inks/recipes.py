"""Recipes for flat colours: one pen's tint, or two pens' tints on each other, for each colour of an artwork.

    tint         one ink on a share of the area
    recipe       the tints that stand for a colour; none where the colour is like the wall

Tone is absolute: black is dark and a pale grey pale, whichever pens there are. A colour that looks like a pen's ink is drawn
with that pen alone, all over. A second pen is taken only where the colour comes clearly nearer by it. Colours that look
unlike in the artwork and would look alike on the wall get hatches at different angles.
"""

from __future__ import annotations

import functools
import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.spatial import cKDTree

from wallwright.artwork.colour import WHITE, ciede2000, lab_of, lab_of_light, rgb_of
from wallwright.artwork.inks.ink_model import InkModel
from wallwright.artwork.inks.separation import INK_COST, Targets, separate_exactly
from wallwright.document.arrays import Floats
from wallwright.document.document import Pen

FAINT = 0.04
"""Coverage below which a tint is left out: its lines would lie twenty-five widths apart."""
MOST_OF_TWO = 0.92
"""Coverage of each of two pens on each other; one alone may cover all."""
SECOND_PEN = 3.0
"""CIEDE2000 by which a colour must come nearer for a second pen, the cost of its ink counted: each further pen is a pass on
the wall. A difference, not one of squares: far from all inks a little nearer would pay for a pass that nobody sees."""
LIKE_INK = 5.0
"""CIEDE2000 up to which a colour passes for that of an ink: that pen covers all of it. Common practice, no source."""
DRAWABLE, NEARER = 20.0, 3.5
"""CIEDE2000 up to which one pen alone can stand for a colour: a second one must then bring it so much nearer to the colour
of the artwork too, not only to that moved into the lightness that the pens reach. Own choice: a dark blue from a bright blue
pen stays blue; black from blue and red, 30 and more from both, is mixed dark."""
SHARES = 12
"""Coverages of each pen of a pair that are tried before the best pairs are searched."""
NEAREST, PAIRS = 48, 4
"""Mixtures tried for each colour, and pairs searched."""
UNLIKE, ALIKE = 8.0, 3.0
"""CIEDE2000 from which two colours of an artwork are unlike, and up to which two on the wall look alike."""


@dataclass(frozen=True)
class Tint:
    """One ink on a share of an area."""

    pen: int
    """Index into the pens."""
    coverage: float
    """0 to 1."""


@dataclass(frozen=True)
class Recipe:
    """What stands for a colour."""

    tints: tuple[Tint, ...]
    """The one that darkens most first; none: the wall is like the colour."""
    line_pen: int
    """Index of the pen for lines of the colour, which have no tint: that of the recipe whose ink is nearest; -1: none."""
    difference: float
    """CIEDE2000 between the colour and what is seen from afar of its areas."""
    turns: int = 0
    """Steps by which the hatch is turned, so that it differs from that of another colour that looks the same on the wall."""


def recipes_of(colours: Sequence[str], pens: Sequence[Pen]) -> dict[str, Recipe]:
    """A recipe for each colour, "#rrggbb". They depend on each other where several look alike on the wall."""
    unique = tuple(sorted(set(colours)))
    return dict(zip(unique, _recipes(unique, tuple(pens)), strict=True))


@functools.lru_cache(maxsize=64)
def _recipes(colours: tuple[str, ...], pens: tuple[Pen, ...]) -> tuple[Recipe, ...]:
    if not colours:
        return ()
    model = InkModel.of_pens(pens)
    lab = lab_of(np.array([rgb_of(colour) for colour in colours]))
    own = lab_of_light(model.filters)
    coverage = _best_tints(model, lab, Targets.of(lab, float(own[:, 0].min()), 1.0))
    to_inks = _differences(lab, own)
    is_alike = to_inks.min(axis=1) <= LIKE_INK
    coverage[is_alike] = np.eye(len(own))[to_inks[is_alike].argmin(axis=1)]
    seen = lab_of_light(model.light(coverage))
    turns = _turns(lab, seen, coverage)
    weight = coverage * (100 - own[:, 0])
    found = []
    for i, colour in enumerate(colours):
        drawn = [k for k in np.argsort(-weight[i]).tolist() if coverage[i, k] > 0] if colour != WHITE else []
        tints = tuple(Tint(k, round(float(coverage[i, k]), 2)) for k in drawn)
        to_ink = ciede2000(np.repeat(lab[i : i + 1], len(drawn), axis=0), own[drawn]) if drawn else np.zeros(0)
        line_pen = drawn[int(np.argmin(to_ink))] if drawn else -1
        difference = float(ciede2000(lab[i : i + 1], seen[i : i + 1])[0])
        found.append(Recipe(tints, line_pen, difference, int(turns[i])))
    return tuple(found)


def _differences(lab: Floats, own: Floats) -> Floats:
    """(m, k) CIEDE2000 between colours (m, 3) and inks (k, 3) that cover all."""
    return np.stack([ciede2000(lab, np.broadcast_to(ink, lab.shape)) for ink in own], axis=1)


def _best_tints(model: InkModel, lab: Floats, targets: Targets) -> Floats:
    """(m, k) coverages of which at most two are not 0. lab: (m, 3) the colours as they are, targets as they are aimed at."""
    count, k = len(targets.lab), len(model.filters)
    best, energy = np.zeros((count, k)), np.full(count, np.inf)
    for pen in range(k):
        begin = np.clip(1 - targets.lab[:, :1] / 100, 0.1, 0.9)
        found, cost = separate_exactly(model.take([pen]), targets, np.ones(1), begin)
        better = cost < energy
        best[better], energy[better] = 0.0, cost[better]
        best[better, pen] = found[better, 0]
    solid = _differences(lab, lab_of_light(model.filters)).min(axis=1)
    alone = np.minimum(ciede2000(lab, lab_of_light(model.light(best))), solid)
    for pair, which, begin in _likely_pairs(model, targets):
        some = Targets(targets.lab[which], targets.metric[which])
        found, cost = separate_exactly(model.take(pair), some, np.full(2, MOST_OF_TWO), begin)
        together = ciede2000(lab[which], lab_of_light(model.take(pair).light(found)))
        is_enough = (alone[which] <= DRAWABLE) & (together > alone[which] - NEARER)
        cost = np.where((found.min(axis=1) < FAINT) | is_enough, np.inf, (np.sqrt(cost) + SECOND_PEN) ** 2)
        better = cost < energy[which]
        rows = which[better]
        best[rows], energy[rows] = 0.0, cost[better]
        best[rows[:, None], np.array(pair)] = found[better]
    return np.where(best < FAINT, 0.0, best)


def _likely_pairs(model: InkModel, targets: Targets) -> list[tuple[tuple[int, int], npt.NDArray[np.int64], Floats]]:
    """Pairs of pens, each with the numbers (n,) of the colours that it may mix best and coverages (n, 2) near the best: of
    mixtures in steps, those nearest in CIELAB."""
    pairs = list(itertools.combinations(range(len(model.filters)), 2))
    if not pairs:
        return []
    shares = np.linspace(FAINT, MOST_OF_TWO, SHARES)
    tried = np.stack(np.meshgrid(shares, shares, indexing="ij"), axis=-1).reshape(-1, 2)
    mixed = np.concatenate([lab_of_light(model.take(pair).light(tried)) for pair in pairs])
    _, near = cKDTree(mixed).query(targets.lab, k=min(NEAREST, len(mixed)))
    off = ciede2000(np.repeat(targets.lab, near.shape[1], axis=0), mixed[near].reshape(-1, 3)).reshape(near.shape)
    energy = off**2 + INK_COST * tried.sum(axis=1)[near % len(tried)]
    near = np.take_along_axis(near, np.argsort(energy, axis=1, kind="stable"), axis=1)
    pair_of, begin = near // len(tried), tried[near % len(tried)]
    found = []
    first = np.array(
        [[pair_of[i].tolist().index(p) if p in pair_of[i] else -1 for p in range(len(pairs))] for i in range(len(near))]
    )
    rank = np.where(first < 0, len(near[0]), first).argsort(axis=1, kind="stable")[:, :PAIRS]
    for number, pair in enumerate(pairs):
        which = np.flatnonzero((rank == number).any(axis=1) & (first[:, number] >= 0))
        if len(which):
            found.append((pair, which, begin[which, first[which, number]]))
    return found


def _turns(lab: Floats, seen: Floats, coverage: Floats) -> npt.NDArray[np.int64]:
    """(m,) steps by which hatches are turned: colours alike on the wall and unlike in the artwork have different ones."""
    turns = np.zeros(len(lab), dtype=np.int64)
    drawn = np.flatnonzero(coverage.max(axis=1) > 0)
    for place, i in enumerate(drawn.tolist()):
        earlier = drawn[:place]
        if not len(earlier):
            continue
        here = (
            np.repeat(lab[i : i + 1], len(earlier), axis=0),
            np.repeat(seen[i : i + 1], len(earlier), axis=0),
        )
        clash = (ciede2000(here[0], lab[earlier]) > UNLIKE) & (ciede2000(here[1], seen[earlier]) < ALIKE)
        taken = set(turns[earlier[clash]].tolist())
        turns[i] = next((n for n in range(3) if n not in taken), 0)
    return turns
