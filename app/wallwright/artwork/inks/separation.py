"""From colours to coverages of pens: separation, the inverse of the ink model.

For each colour the coverages are sought whose colour from afar is nearest in CIEDE2000, first with its weights for small
differences and then with the formula itself, and that take little ink: a cost for each layer leaves out pens that bring next
to nothing, and draws shadows with the darkest pen instead of several others.
Colours that the pens cannot mix are first moved in lightness, so that what is darker stays darker; lightness then counts
more than chroma and hue. The problem has a minimum for each choice of pens: neighbouring colours are pulled together until
they have the same one.

Stollnitz, Ostromoukhov, Salesin, "Reproducing color images using custom inks", SIGGRAPH 1998, separate for any set of inks
likewise. The search is Levenberg and Marquardt's within bounds (Kanzow, Yamashita, Fukushima, "Levenberg-Marquardt methods
with strong local convergence properties for solving nonlinear equations with convex constraints", Journal of Computational
and Applied Mathematics 172, 2004), all colours at once.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
from scipy.ndimage import gaussian_filter

from wallwright.artwork.colour import difference_metric, difference_parts, lab_of, lab_of_light, lab_slopes
from wallwright.artwork.inks.ink_model import InkModel
from wallwright.document.arrays import Floats

INK_COST = 5.0
"""Squared CIEDE2000 that a whole layer of ink must bring."""
MOST_LAYERS = 2.4
"""Layers of ink that a wall takes without running: the limit of newspaper printing (ISO 12647-3)."""
TOO_MUCH = 400.0
"""Squared CIEDE2000 of a layer beyond that."""
LIGHTNESS_COUNTS = 2.0
"""Weight of lightness against chroma and hue in pictures: where a colour cannot be mixed, its lightness is kept."""
KNEE = 2.5
"""Lightness below this many times the darkest mixture's is moved."""
A_STEP = 1e-3
"""Of CIELAB, by which derivatives are found."""
STEPS = 40
ENOUGH = 1e-3
"""Change of coverage below which a colour is done."""


@dataclass(frozen=True)
class Targets:
    """Colours wanted, moved to where the pens reach in lightness, and how differences from them count."""

    lab: Floats
    """(m, 3)."""
    metric: Floats
    """(m, 3, 3): see `difference_metric`."""
    lightness_counts: float = LIGHTNESS_COUNTS

    @classmethod
    def of(cls, lab: Floats, darkest: float, lightness_counts: float = LIGHTNESS_COUNTS) -> Targets:
        """lab: (m, 3); darkest: least lightness that the pens reach together, 0 to 100."""
        moved = lab.copy()
        moved[:, 0] = within_reach(lab[:, 0], darkest)
        metric = difference_metric(moved)
        metric[:, 0] *= lightness_counts
        return cls(moved, metric, lightness_counts)

    is_exact: bool = False
    """Whether differences are those of CIEDE2000, of which the metric is an approximation for small ones."""

    def squared(self, seen: Floats) -> Floats:
        """(m,) squared differences of colours (m, 3) in CIELAB from the targets, as they count."""
        if self.is_exact:
            parts = difference_parts(self.lab, seen)
            parts[:, 0] *= self.lightness_counts
        else:
            parts = np.einsum("nij,nj->ni", self.metric, seen - self.lab)
        return np.asarray((parts**2).sum(axis=1))

    def slope_and_metric(self, seen: Floats) -> tuple[Floats, Floats]:
        """Half the derivatives of the squared differences by lightness, a and b (m, 3), and matrices (m, 3, 3) that count
        small steps as they do."""
        if not self.is_exact:
            off = np.einsum("nij,nj->ni", self.metric, seen - self.lab)
            return np.einsum("nij,ni->nj", self.metric, off), self.metric
        here = self.squared(seen)
        slopes = [(self.squared(seen + A_STEP * axis) - here) / (2 * A_STEP) for axis in np.eye(3)]
        metric = difference_metric((self.lab + seen) / 2)
        metric[:, 0] *= self.lightness_counts
        return np.stack(slopes, axis=1), metric


def within_reach(lightness: Floats, darkest: float) -> Floats:
    """Lightness moved up where it is below KNEE times the darkest that the pens reach: in order, without a bend, the
    blackest to the darkest. lightness: (n,) or (rows, columns), 0 to 1."""
    knee = min(KNEE * darkest, 100.0)
    if knee <= 0:
        return lightness
    power = knee / (knee - darkest) if knee > darkest else 1.0
    low = darkest + (knee - darkest) * (np.clip(lightness, 0, knee) / knee) ** power
    return np.where(lightness < knee, low, lightness)


def darkest_of(model: InkModel, limit: Floats) -> float:
    """Least lightness of what the inks mix within their limits (k,). A number from 0 to 1."""
    order = np.argsort(lab_of_light(model.filters)[:, 0])
    full, left = np.zeros(len(limit)), MOST_LAYERS
    for i in order.tolist():
        full[i] = min(limit[i], max(left, 0.0))
        left -= full[i]
    return float(lab_of_light(model.light(full[None]))[0, 0])


def separate(
    model: InkModel,
    targets: Targets,
    limit: Floats,
    begin: Floats,
    pull: float | Floats = 0.0,
    progress: Callable[[float], None] = lambda done: None,
) -> tuple[Floats, Floats]:
    """Coverages (m, k), and how good each is (m,): squared difference, cost of ink and pull counted together.

    limit: (k,) most coverage of each ink; begin: (m, k) coverages from which the search starts, towards which pull holds,
    one or (m,): squared differences that a squared change of coverage must bring.
    """
    pull = np.broadcast_to(pull, len(begin))
    x = np.clip(begin, 0.0, limit)
    anchor = x.copy()
    k = x.shape[1]
    energy = _energy(model, targets, x, anchor, pull)
    damping = np.full(len(x), 1.0)
    busy = np.arange(len(x))
    eye = np.eye(k)
    for step in range(STEPS):
        progress(step / STEPS)
        if not len(busy):
            break
        at, goal = x[busy], replace(targets, lab=targets.lab[busy], metric=targets.metric[busy])
        light, slopes = model.light_and_slopes(at)
        by_lab, metric = goal.slope_and_metric(lab_of_light(light))
        lab_by_ink = lab_slopes(light) @ slopes
        jacobian = metric @ lab_by_ink
        over = np.maximum(at.sum(axis=1) - MOST_LAYERS, 0.0)
        slope = (
            np.einsum("nji,nj->ni", lab_by_ink, by_lab)
            + INK_COST / 2
            + TOO_MUCH * over[:, None]
            + pull[busy, None] * (at - anchor[busy])
        )
        curve = np.einsum("nji,njl->nil", jacobian, jacobian) + pull[busy, None, None] * eye
        curve += TOO_MUCH * (over > 0)[:, None, None]
        # What lies at a bound and wants beyond it stays.
        held = ((at <= 0) & (slope > 0)) | ((at >= limit) & (slope < 0))
        slope = np.where(held, 0.0, slope)
        curve = np.where(held[:, :, None] | held[:, None, :], 0.0, curve)
        curve += (damping[busy, None] * (1 + np.einsum("nii->ni", curve)))[:, :, None] * eye
        new = np.clip(at - np.linalg.solve(curve, slope[:, :, None])[:, :, 0], 0.0, limit)
        found = _energy(model, goal, new, anchor[busy], pull[busy])
        better = found <= energy[busy]
        moved = np.abs(new - at).max(axis=1)
        x[busy[better]], energy[busy[better]] = new[better], found[better]
        damping[busy] *= np.where(better, 0.3, 5.0)
        busy = busy[~(better & (moved < ENOUGH)) & (damping[busy] < 1e6)]
    return x, energy


def _energy(model: InkModel, targets: Targets, x: Floats, anchor: Floats, pull: Floats) -> Floats:
    over = np.maximum(x.sum(axis=1) - MOST_LAYERS, 0.0)
    ink = INK_COST * x.sum(axis=1) + TOO_MUCH * over**2
    energy: Floats = targets.squared(lab_of_light(model.light(x))) + ink + pull * ((x - anchor) ** 2).sum(axis=1)
    return energy


def separate_exactly(model: InkModel, targets: Targets, limit: Floats, begin: Floats) -> tuple[Floats, Floats]:
    """As `separate`, first with the metric, which leads far, and then with CIEDE2000 itself. begin: (m, k)."""
    found, _ = separate(model, targets, limit, begin)
    return separate(model, replace(targets, is_exact=True), limit, found)


def beginnings(model: InkModel, targets: Targets, limit: Floats) -> list[Floats]:
    """Coverages (m, k) to start searches from: the darkest pen for the tone with little else, and a third of all."""
    pale = np.tile(0.3 * limit, (len(targets.lab), 1))
    black = int(np.argmin(lab_of_light(model.filters)[:, 0]))
    dark = 0.3 * pale
    dark[:, black] = limit[black] * np.clip(1 - targets.lab[:, 0] / 100, 0, 1)
    return [dark, pale]


def coverages_of(model: InkModel, lab: Floats, limit: Floats) -> Floats:
    """(m, k) the best coverages of colours (m, 3) in CIELAB, each by itself."""
    return _nearest(model, Targets.of(lab, darkest_of(model, limit)), limit)[0]


def _nearest(
    model: InkModel, targets: Targets, limit: Floats, progress: Callable[[float], None] = lambda done: None
) -> tuple[Floats, Targets]:
    """The best coverages (m, k), and the targets as they are counted there."""
    begins = beginnings(model, targets, limit)
    tries = []
    for number, begin in enumerate(begins, 1):
        tries.append(separate_exactly(model, targets, limit, begin))
        progress(number / len(begins))
    targets = replace(targets, is_exact=True)
    best = np.argmin([energy for _, energy in tries], axis=0)
    found: Floats = np.choose(best[:, None], [x for x, _ in tries])
    return found, targets


GRID = 17
"""Colours along each of red, green and blue among which neighbours are pulled together."""
PULLS = (40.0, 15.0, 5.0)
"""Squared CIEDE2000 for a whole coverage away from the mean of the neighbours in the table, round by round: the first brings
neighbours to the same choice of pens, the last hardly moves them."""
FAR = 2.0
"""Squared CIEDE2000 at which the pull is doubled: where no mixture is near, it matters more that neighbours are alike."""
FINER = 2
"""Steps of the finished table in one of the grid: with fewer, dark blues between its colours were 0.5 CIEDE2000 off."""
FINE_PULL, FINE_BLUR = 10.0, 0.5
"""As PULLS, for the finished table, and the standard deviation, in its steps, of the mean of neighbours."""
FEW, SOME = 0.02, 0.05
"""Coverages below the first are left out, up to the second thinned: a line in twenty to fifty widths looks stray."""


@dataclass(frozen=True)
class SeparationTable:
    """Coverages for every sRGB colour, between those of a grid."""

    coverage: npt.NDArray[np.float32]
    """(n, n, n, k) float32 by red, green and blue in even steps."""

    @classmethod
    def of(
        cls,
        model: InkModel,
        limit: Floats,
        adjusted: Callable[[Floats], Floats] = lambda lab: lab,
        progress: Callable[[float], None] = lambda done: None,
    ) -> SeparationTable:
        """limit: (k,) most coverage of each ink; adjusted: changes colours (m, 3) in CIELAB before they are separated."""
        k, darkest = len(limit), darkest_of(model, limit)
        targets = Targets.of(adjusted(lab_of(_grid(GRID))), darkest)
        x, targets = _nearest(model, targets, limit, lambda done: progress(0.4 * done))
        for number, pull in enumerate(PULLS):
            near = _neighbours_mean(x, GRID, 1.0)
            far = targets.squared(lab_of_light(model.light(x)))
            x, _ = separate(model, targets, limit, near, pull * (1 + far / FAR))
            progress(0.4 + 0.3 * (number + 1) / len(PULLS))
        count = FINER * (GRID - 1) + 1
        fine = _grid(count)
        begin = cls(x.reshape(GRID, GRID, GRID, k).astype(np.float32)).at(fine).astype(float)
        targets = replace(Targets.of(adjusted(lab_of(fine)), darkest), is_exact=True)
        near = _neighbours_mean(begin, count, FINE_BLUR)
        far = targets.squared(lab_of_light(model.light(near)))
        x, _ = separate(model, targets, limit, near, FINE_PULL * (1 + far / FAR))
        progress(1.0)
        x = np.where(x < SOME, np.maximum(x - FEW, 0.0) * (SOME / (SOME - FEW)), x)
        x[-1] = 0.0  # white is the wall
        return cls(x.reshape(count, count, count, k).astype(np.float32))

    def at(self, colours: npt.NDArray[np.floating]) -> npt.NDArray[np.float32]:
        """(n, k) coverages of (n, 3) sRGB colours in 0..255.

        Between four colours of the grid, on the way from the darkest to the lightest corner of its cell, so that greys are
        mixed from greys (Kasson, Nin, Plouffe, Hafner, "Performing color space conversions with three-dimensional linear
        interpolation", Journal of Electronic Imaging 4, 1995).
        """
        count = len(self.coverage)
        place = np.clip(np.asarray(colours, dtype=np.float32) * np.float32((count - 1) / 255), 0, count - 1)
        low = np.minimum(place.astype(np.int64), count - 2)
        share = place - low
        flat = self.coverage.reshape(-1, self.coverage.shape[-1])
        strides = np.array([count * count, count, 1])
        order = np.argsort(-share, axis=1)
        share = np.take_along_axis(share, order, axis=1)
        corner = low @ strides
        steps = strides[order]
        found: npt.NDArray[np.float32] = (1 - share[:, :1]) * flat[corner]
        for axis in range(3):
            corner = corner + steps[:, axis]
            after = share[:, axis + 1 : axis + 2] if axis < 2 else 0.0
            found += (share[:, axis : axis + 1] - after) * flat[corner]
        return found


def _grid(count: int) -> Floats:
    """(count³, 3) sRGB colours, 0 to 255, in even steps along red, green and blue."""
    values = np.linspace(0, 255, count)
    return np.stack(np.meshgrid(values, values, values, indexing="ij"), axis=-1).reshape(-1, 3)


def _neighbours_mean(coverage: Floats, count: int, sigma: float) -> Floats:
    """Coverages (count³, k) of a grid of colours, each averaged with its neighbours. sigma: in steps of the grid."""
    cube = coverage.reshape(count, count, count, -1)
    mean: Floats = gaussian_filter(cube, (sigma, sigma, sigma, 0.0), mode="nearest")
    return mean.reshape(coverage.shape)
