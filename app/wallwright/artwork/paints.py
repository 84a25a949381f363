"""Paints that vary from place to place."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

import numpy as np

from wallwright.artwork.drawing import Paint, ShapeTree


@dataclass(frozen=True)
class VaryingPaint(Paint):
    """A paint whose colour is known at every point."""

    def rgba_at(self, points: np.ndarray) -> np.ndarray:
        """(n, 4) sRGB and opacity, 0 to 1, colour not multiplied by opacity, at (n, 2) points in mm."""
        raise NotImplementedError


@dataclass(frozen=True)
class Gradient(VaryingPaint):
    """A linear or radial gradient (SVG 2, 14.2).

    In the gradient's own frame a linear one runs along x from 0 to 1; a radial one lies between the circle `inner`
    (where it begins) and `outer` (where it ends), each (x, y, radius).
    """

    offsets: np.ndarray = None
    """(k,) of the stops, 0 to 1, not falling."""
    stops: np.ndarray = None
    """(k, 4) sRGB and opacity, 0 to 1."""
    to_own: np.ndarray = None
    """(3, 3) from mm to the gradient's own frame."""
    spread: str = "pad"
    inner: tuple[float, float, float] | None = None
    outer: tuple[float, float, float] | None = None
    strength: float = 1.0
    """Opacity that the whole paint is multiplied by."""

    def rgba_at(self, points: np.ndarray) -> np.ndarray:
        own = points @ self.to_own[:2, :2].T + self.to_own[:2, 2]
        t = own[:, 0] if self.outer is None else self._radial(own)
        nowhere = ~np.isfinite(t)
        t = np.where(nowhere, 0.0, t)
        if self.spread == "repeat":
            t = t - np.floor(t)
        elif self.spread == "reflect":
            t = 1.0 - np.abs(t % 2.0 - 1.0)
        result = self.rgba_along(np.clip(t, 0.0, 1.0))
        result[nowhere] = 0.0
        return result

    def rgba_along(self, t: np.ndarray) -> np.ndarray:
        """(n, 4) at (n,) places between the first stop's 0 and the last one's 1."""
        after = np.clip(np.searchsorted(self.offsets, t, side="right"), 1, len(self.offsets) - 1)
        low, high = self.offsets[after - 1], self.offsets[after]
        share = np.clip((t - low) / np.where(high > low, high - low, 1.0), 0.0, 1.0)
        share = np.where(high > low, share, (t >= high).astype(float))[:, None]
        result = self.stops[after - 1] * (1 - share) + self.stops[after] * share
        result[:, 3] *= self.strength
        return result

    def _radial(self, own: np.ndarray) -> np.ndarray:
        """(n,) the largest t whose circle, between inner (0) and outer (1), passes through each point; NaN for none.

        |p - c(t)| = r(t) with c and r linear in t is a quadratic in t (HTML canvas, createRadialGradient).
        """
        x0, y0, r0 = self.inner
        dx, dy, dr = (b - a for a, b in zip(self.inner, self.outer, strict=True))
        px, py = own[:, 0] - x0, own[:, 1] - y0
        a = dx * dx + dy * dy - dr * dr
        b = px * dx + py * dy + r0 * dr
        c = px * px + py * py - r0 * r0
        with np.errstate(invalid="ignore", divide="ignore"):
            if (
                dx == dy == dr == 0
            ):  # one circle: everything within it is before the first stop, the rest after the last
                return np.where(c < 0, -1.0, 2.0)
            if abs(a) < 1e-9 * max(dr * dr, 1e-30):
                roots = np.stack([c / (2 * b)] * 2)
            else:
                root = np.sqrt(b * b - a * c)
                roots = np.stack([(b + root) / a, (b - root) / a])
            roots = np.where(r0 + roots * dr >= 0, roots, np.nan)
            return np.fmax(roots[0], roots[1])


@dataclass(frozen=True)
class TilePaint(VaryingPaint):
    """A pattern: a tile that repeats (SVG 2, 14.3). What leaves the tile is hidden."""

    scene: ShapeTree = None
    """Of one tile, in the tile's own frame: mm, its corner at the origin, its sides along the axes."""
    size: tuple[float, float] = (0.0, 0.0)
    """Of the tile in its own frame, mm."""
    to_page: np.ndarray = None
    """(3, 3) from the tile's frame to the artwork's."""
    strength: float = 1.0
    """Opacity that the whole paint is multiplied by."""

    def to_tile(self, points: np.ndarray) -> np.ndarray:
        """(n, 2) points of the artwork, mm, as points of the one tile."""
        back = np.linalg.inv(self.to_page)
        return (points @ back[:2, :2].T + back[:2, 2]) % np.array(self.size)

    def rgba_at(self, points: np.ndarray) -> np.ndarray:
        from wallwright.artwork.sampling import rgba_at  # sampling knows shapes and their paints

        result = rgba_at(self.scene, self.to_tile(points), is_coarse=True)
        result[:, 3] *= self.strength
        return result


def mean_paint(paint: VaryingPaint, corners: np.ndarray) -> VaryingPaint:
    """The paint with its mean colour and opacity over a parallelogram, (4, 2) mm in order round it."""
    at = (np.arange(16) + 0.5) / 16
    u, v = (a.reshape(-1, 1) for a in np.meshgrid(at, at))
    rgba = paint.rgba_at(corners[0] + u * (corners[1] - corners[0]) + v * (corners[3] - corners[0]))
    opacity = float(rgba[:, 3].mean())
    mean = (rgba[:, :3] * rgba[:, 3:]).mean(axis=0) / opacity if opacity > 0 else rgba[:, :3].mean(axis=0)
    r, g, b = (int(255 * value + 0.5 + 1e-9) for value in mean)
    return dataclasses.replace(paint, colour=f"#{r:02x}{g:02x}{b:02x}", opacity=opacity)


def with_opacity(paint: Paint, factor: float) -> Paint:
    """The paint with its opacity multiplied."""
    changes = {"opacity": paint.opacity * factor}
    if isinstance(paint, VaryingPaint):
        changes["strength"] = paint.strength * factor
    return dataclasses.replace(paint, **changes)
