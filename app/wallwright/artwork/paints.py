"""Paints that vary from place to place."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass, field
from typing import TypeVar

import numpy as np

from wallwright.artwork.drawing import Paint
from wallwright.document.arrays import Floats, Points


@dataclass(frozen=True)
class VaryingPaint(Paint):
    """A paint whose colour is known at every point."""

    strength: float = field(default=1.0, kw_only=True)
    """Opacity that the whole paint is multiplied by."""

    def rgba_at(self, points: Points) -> Floats:
        """(n, 4) sRGB and opacity, 0 to 1, colour not multiplied by opacity, at (n, 2) points in mm.

        Raises NotImplementedError unless a subclass has it.
        (n, 4) sRGB and opacity, 0 to 1, at points (n, 2), mm, in the artwork frame.
        """
        raise NotImplementedError

    def coarse(self) -> Paint:
        """What stands for the paint where patterns in patterns would take for ever."""
        return self


Circle = tuple[float, float, float]
"""x, y, radius."""


@dataclass(frozen=True)
class Gradient(VaryingPaint):
    """A linear or radial gradient (SVG 2, 14.2).

    In the gradient's own frame a linear one runs along x from 0 to 1; a radial one lies between the circle `inner`
    (where it begins) and `outer` (where it ends), each (x, y, radius).
    """

    offsets: Floats = field(kw_only=True)
    """(k,) of the stops, 0 to 1, not falling."""
    stops: Floats = field(kw_only=True)
    """(k, 4) sRGB and opacity, 0 to 1."""
    to_own: Floats = field(kw_only=True)
    """(3, 3) from mm to the gradient's own frame."""
    spread: str = field(default="pad", kw_only=True)
    inner: Circle | None = field(default=None, kw_only=True)
    outer: Circle | None = field(default=None, kw_only=True)
    """Without both it is linear."""

    def rgba_at(self, points: Points) -> Floats:
        """(n, 4) sRGB and opacity, 0 to 1, at (n, 2) points in mm (SVG 2, 14.2).

        (n, 4) sRGB and opacity, 0 to 1, at points (n, 2), mm, in the artwork frame.
        """
        own = points @ self.to_own[:2, :2].T + self.to_own[:2, 2]
        if self.inner is None or self.outer is None:
            t = own[:, 0]
        else:
            t = _radial(own, self.inner, self.outer)
        nowhere = ~np.isfinite(t)
        t = np.where(nowhere, 0.0, t)
        if self.spread == "repeat":
            t = t - np.floor(t)
        elif self.spread == "reflect":
            t = 1.0 - np.abs(t % 2.0 - 1.0)
        result = self.rgba_along(np.clip(t, 0.0, 1.0))
        result[nowhere] = 0.0
        return result

    def rgba_along(self, t: Floats) -> Floats:
        """(n, 4) at (n,) places between the first stop's 0 and the last one's 1."""
        after = np.clip(np.searchsorted(self.offsets, t, side="right"), 1, len(self.offsets) - 1)
        low, high = self.offsets[after - 1], self.offsets[after]
        share = np.clip((t - low) / np.where(high > low, high - low, 1.0), 0.0, 1.0)
        share = np.where(high > low, share, (t >= high).astype(float))[:, None]
        result = self.stops[after - 1] * (1 - share) + self.stops[after] * share
        result[:, 3] *= self.strength
        return np.asarray(result)


def _radial(own: Points, inner: Circle, outer: Circle) -> Floats:
    """(n,) the largest t whose circle, between inner (0) and outer (1), passes through each point; NaN for none.

    |p - c(t)| = r(t) with c and r linear in t is a quadratic in t (HTML canvas, createRadialGradient).
    """
    x0, y0, r0 = inner
    dx, dy, dr = (b - a for a, b in zip(inner, outer, strict=True))
    px, py = own[:, 0] - x0, own[:, 1] - y0
    a = dx * dx + dy * dy - dr * dr
    b = px * dx + py * dy + r0 * dr
    c = px * px + py * py - r0 * r0
    with np.errstate(invalid="ignore", divide="ignore"):
        if dx == dy == dr == 0:  # one circle: everything within it is before the first stop, the rest after the last
            return np.where(c < 0, -1.0, 2.0)
        if abs(a) < 1e-9 * max(dr * dr, 1e-30):
            roots = np.stack([c / (2 * b)] * 2)
        else:
            root = np.sqrt(b * b - a * c)
            roots = np.stack([(b + root) / a, (b - root) / a])
        roots = np.where(r0 + roots * dr >= 0, roots, np.nan)
        return np.asarray(np.fmax(roots[0], roots[1]))


Varying = TypeVar("Varying", bound=VaryingPaint)


def mean_paint(paint: Varying, corners: Points) -> Varying:
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
    if isinstance(paint, VaryingPaint):
        return dataclasses.replace(paint, opacity=paint.opacity * factor, strength=paint.strength * factor)
    return dataclasses.replace(paint, opacity=paint.opacity * factor)
