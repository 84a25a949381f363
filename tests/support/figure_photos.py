"""Simulated phone photos of figures by an independent renderer: felt-tip lines on an unevenly lit wall, through a pinhole
camera with lens distortion, blurred, with noise, as JPEG.

Shares no code with wallwright. The camera is that of Hartley and Zisserman, "Multiple View Geometry", 2nd edition, 2004, 6.1
(x = K [R t] X); its lens bends by the polynomial of Brown, "Close-range camera calibration", 1971, with one term.
"""

from __future__ import annotations

import io
import itertools
from dataclasses import dataclass

import numpy as np
from PIL import Image
from scipy.ndimage import gaussian_filter, map_coordinates

FINE = 10
"""Resolution of the wall's picture, px/mm."""
COARSE = 8
"""Distance of photo pixels whose positions are computed exactly; interpolation errors are below a micrometre."""


@dataclass(frozen=True)
class Camera:
    """A camera and its position."""

    pan: float = 0.0
    tilt: float = 0.0
    roll: float = 0.0
    """rad."""
    scale: float = 6.0
    """Scale in the middle, px/mm."""
    size: tuple[int, int] = (1600, 1200)
    """Size, (columns, rows)."""
    focus: float = 1.1
    """Focal length over the photo's width."""
    bend: float = 0.0
    """Brown's first coefficient: relative displacement outwards at half a diagonal from the middle."""
    aim: tuple[float, float] = (0.0, 0.0)
    """Point that the camera is aimed at, mm from the scene's middle."""

    def seen(self, points: np.ndarray) -> np.ndarray:
        """Projects (n, 2) mm from the scene's middle to (n, 2) pixels."""
        c, s = np.cos, np.sin
        y = np.array([[c(self.pan), 0, s(self.pan)], [0, 1, 0], [-s(self.pan), 0, c(self.pan)]])
        x = np.array([[1, 0, 0], [0, c(self.tilt), -s(self.tilt)], [0, s(self.tilt), c(self.tilt)]])
        z = np.array([[c(self.roll), -s(self.roll), 0], [s(self.roll), c(self.roll), 0], [0, 0, 1]])
        focal = self.focus * self.size[0]
        flat = np.column_stack([np.subtract(points, self.aim), np.zeros(len(points))])
        at = flat @ (z @ x @ y).T + [0, 0, focal / self.scale]
        plane = focal * at[:, :2] / at[:, 2:]
        half = np.hypot(*self.size) / 2
        plane *= 1 + self.bend * (plane**2).sum(axis=1, keepdims=True) / half**2
        return plane + np.array(self.size) / 2

    def wall(self, pixels: np.ndarray) -> np.ndarray:
        """Inverts `seen`: (n, 2) pixels to (n, 2) mm, by Newton's method with finite differences."""
        points = (pixels - np.array(self.size) / 2) / self.scale
        for _ in range(8):
            off = self.seen(points) - pixels
            a = (self.seen(points + [1e-3, 0]) - self.seen(points - [1e-3, 0])) / 2e-3
            b = (self.seen(points + [0, 1e-3]) - self.seen(points - [0, 1e-3])) / 2e-3
            det = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
            points = points - np.column_stack(
                [(off[:, 0] * b[:, 1] - off[:, 1] * b[:, 0]) / det, (a[:, 0] * off[:, 1] - a[:, 1] * off[:, 0]) / det]
            )
        return points

    def wall_of_all(self) -> np.ndarray:
        """Returns (rows, columns, 2) float32 mm of all pixel centres: exact every COARSE pixels, linear between."""
        columns, rows = self.size
        x, y = np.arange(0, columns + COARSE, COARSE) + 0.5, np.arange(0, rows + COARSE, COARSE) + 0.5
        u, v = np.meshgrid(x, y)
        known = self.wall(np.column_stack([u.ravel(), v.ravel()])).reshape(len(y), len(x), 2)
        at = np.mgrid[0:rows, 0:columns].astype(np.float32) / COARSE
        return np.stack([map_coordinates(known[..., axis].astype(np.float32), at, order=1) for axis in (0, 1)], axis=2)


def coverage(strokes, widths, low: np.ndarray, size: tuple[int, int]) -> np.ndarray:
    """Returns (rows, columns) 0 to 1: coverage by strokes (n, 2), mm, of widths, mm, on a picture of FINE px/mm whose
    upper left corner is at low, mm, from the distance of each pixel to the nearest segment."""
    cover = np.zeros(size[::-1], np.float32)
    for stroke, width in zip(strokes, widths, strict=True):
        for a, b in itertools.pairwise(stroke):
            reach = width / 2 + 2 / FINE
            (left, top), (right, bottom) = np.minimum(a, b) - reach - low, np.maximum(a, b) + reach - low
            c = slice(max(int(left * FINE), 0), max(int(right * FINE) + 2, 0))
            r = slice(max(int(top * FINE), 0), max(int(bottom * FINE) + 2, 0))
            rows, columns = cover[r, c].shape
            x = low[0] + (c.start + np.arange(columns) + 0.5) / FINE
            y = low[1] + (r.start + np.arange(rows) + 0.5) / FINE
            dx, dy = b - a
            t = np.clip(((x - a[0]) * dx + (y - a[1])[:, None] * dy) / max(dx * dx + dy * dy, 1e-12), 0, 1)
            away = np.hypot(x - a[0] - t * dx, (y - a[1])[:, None] - t * dy)
            cover[r, c] = np.maximum(cover[r, c], np.clip((width / 2 - away) * FINE + 0.5, 0, 1))
    return cover


def photo(
    layers,
    middle,
    camera: Camera = Camera(),
    wall=(225, 222, 214),
    blur: float = 0.8,
    noise: float = 3.0,
    light: float = 0.35,
    exposure: float = 1.0,
    quality: int = 85,
    seed: int = 1,
) -> bytes:
    """Returns a JPEG. layers: (strokes, width in mm, colour (3,) 0 to 255) of each pen; middle: middle of the scene, mm.

    blur: pixels; noise: grey levels; light: relative darkening from one side to the other and towards the edges.
    """
    columns, rows = camera.size
    x, y = np.meshgrid(np.arange(columns, dtype=np.float32) + 0.5, np.arange(rows, dtype=np.float32) + 0.5)
    at = camera.wall_of_all() + np.asarray(middle, dtype=np.float32)
    every = np.vstack([np.vstack(strokes) for strokes, _, _ in layers])
    low, high = every.min(axis=0) - 10.0, every.max(axis=0) + 10.0
    size = (int((high[0] - low[0]) * FINE), int((high[1] - low[1]) * FINE))
    place = ((at - low.astype(np.float32)) * FINE - 0.5).transpose(2, 0, 1)[::-1]
    image = np.ones((rows, columns, 3), np.float32) * np.array(wall, dtype=np.float32)
    for strokes, width, colour in layers:
        ink = gaussian_filter(coverage(strokes, [width] * len(strokes), low, size), 0.35 * FINE / camera.scale)
        ink = map_coordinates(ink, place, order=1, cval=0.0)[:, :, None]
        image = image * (1 - ink) + ink * np.array(colour, dtype=np.float32)
    u, v = x / columns - 0.5, y / rows - 0.5
    image *= (exposure * (1 - light * (u + 0.5 * v + u**2 + v**2)))[:, :, None]
    image = gaussian_filter(image, (blur, blur, 0))
    image += noise * np.random.default_rng(seed).standard_normal(image.shape, dtype=np.float32)
    buffer = io.BytesIO()
    Image.fromarray(image.clip(0, 255).astype(np.uint8)).save(buffer, "JPEG", quality=quality)
    return buffer.getvalue()
