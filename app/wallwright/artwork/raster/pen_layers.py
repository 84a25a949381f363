"""A picture given to pens: for each pen the share of the wall that its ink is to cover.

One pen gives the picture's lightness: ink covers a share a of the wall, which then has the luminance (1 - a) Y_wall + a
Y_ink (Murray and Davies, "Monotone reproduction in photoengraving", Journal of the Franklin Institute 221, 1936). Several
pens are mixed on the wall by the ink model, or kept apart: then each place goes to the pen whose tint of that luminance
looks nearest by CIEDE2000.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy.ndimage import distance_transform_edt, gaussian_filter

from wallwright.artwork.colour import ciede2000, lab_of, rgb_of
from wallwright.artwork.inks.ink_model import InkModel
from wallwright.artwork.inks.picture_separation import picture_coverages
from wallwright.artwork.inks.separation import SeparationTable, within_reach
from wallwright.artwork.raster.raster import Raster, resampled, sampled
from wallwright.artwork.raster.tone import LUMINANCE, lightness, linear, luminance, luminance_of, srgb
from wallwright.document.arrays import Floats, Integers, Points
from wallwright.document.document import Pen
from wallwright.document.picture import EdgeLines, PictureSettings

MOST_CELLS = 1400
"""Along the longer side of the grid on which tone is sampled: a metre in steps of 0.7 mm."""
FEWEST_CELLS = 4
LEAST_INK = 0.05
"""Difference to the wall in luminance below which a pen's ink is not seen on it."""
BLANK = 0.01
"""Tone below which nothing is drawn: the noise of a white ground."""


@dataclass(frozen=True)
class Tones:
    """Wanted tone on a grid of square cells, artwork's own frame: origin at the top left corner, mm on the wall."""

    tone: Floats
    """(rows, columns) float64, 0 to 1."""
    cell: float
    """mm."""
    is_layer: bool = False
    """Whether other pens draw beside it, whose ground it should not cross."""
    turn: float = 0.0
    """rad, clockwise, by which a style turns its lines: those of several pens would beat if they lay parallel."""
    seed: int = 1
    """Of what a style throws at random: dots of all pens in the same places would mix too little."""
    guide: npt.NDArray[np.floating] | None = None
    """(rows, columns) the tone whose structure lines follow, the same for all pens; None: the tone itself."""
    own: Floats | None = None
    """(rows, columns) 1 where this pen draws and 0 elsewhere, for lines that are found in all of the picture; None: all."""

    @property
    def size(self) -> tuple[float, float]:
        """Width and height, mm."""
        return self.tone.shape[1] * self.cell, self.tone.shape[0] * self.cell

    def at(self, points: Points, plane: npt.NDArray[np.floating[Any]] | None = None) -> Floats:
        """(n,) tone, or another plane of the same grid, at (n, 2) mm, between the cells' middles; 0 off the grid."""
        found = sampled(self.tone if plane is None else plane, points, self.cell)
        width, height = self.size
        x, y = np.asarray(points).T
        return np.where((x >= 0) & (y >= 0) & (x <= width) & (y <= height), found, 0.0)


def grid_of(width: float, height: float, pen_width: float) -> tuple[int, int, float]:
    """Rows, columns and cell size (mm) for a picture on the wall: two cells a line width, within reason."""
    longest = max(width, height)
    count = min(max(longest / (pen_width / 2), FEWEST_CELLS), MOST_CELLS)
    cell = longest / round(count)
    return max(2, round(height / cell)), max(2, round(width / cell)), cell


def chosen_pens(picture: PictureSettings, pens: Sequence[Pen]) -> list[int]:
    """Indices of the pens that draw a picture: those chosen that exist, else the darkest."""
    chosen = [i for i, p in enumerate(pens) if p.id in picture.pens]
    if chosen:
        return chosen
    return _darkest_first(pens, range(len(pens)))[:1]


def _darkest_first(pens: Sequence[Pen], numbers: Sequence[int]) -> list[int]:
    """Indices of pens by how dark they are."""
    dark = luminance(np.array([rgb_of(pens[number].colour) for number in numbers]))
    return [numbers[k] for k in np.argsort(dark, kind="stable").tolist()]


def layers(
    raster: Raster,
    picture: PictureSettings,
    pens: Sequence[Pen],
    width: float,
    height: float,
    progress: Callable[[float], None] = lambda done: None,
) -> list[tuple[int, Tones]]:
    """(pen index, its tones) for each chosen pen. width, height: mm on the wall."""
    numbers, has_edges = chosen_pens(picture, pens), isinstance(picture.style, EdgeLines)
    if has_edges and picture.mixing == "mixed":  # lines have no tone to mix
        numbers = _darkest_first(pens, numbers)[:1]
    if len(numbers) > 1 and picture.mixing == "mixed":
        return _mixed(raster, picture, pens, numbers, width, height, progress)
    rows, columns, cell = grid_of(width, height, min(pens[i].width for i in numbers))
    of_value = linear(np.arange(256)).astype(np.float32)
    planes = []
    for channel in range(3):
        planes.append(resampled(of_value[raster.pixels[..., channel]], rows, columns))
        progress(0.2 * (channel + 1) / 3)
    light = np.stack(planes, axis=-1).clip(0, 1)
    wanted = _adjusted(light @ LUMINANCE, picture)
    inks = np.array([rgb_of(pens[i].colour) for i in numbers])
    share_of = absolute_coverage if picture.mixing == "mixed" else coverage
    covered = [share_of(wanted, float(y), picture.darkest) for y in luminance(inks)]
    progress(0.3)
    if len(numbers) == 1:
        return [(numbers[0], Tones(covered[0], cell))]
    widths = np.array([pens[i].width for i in numbers])
    owner = _owners(light, inks, 1.5 * widths.max() / cell)
    progress(0.6)
    if has_edges:  # found once, or each would be drawn on both of its sides
        darkest = numbers.index(_darkest_first(pens, numbers)[0])
        return [(n, Tones(covered[darkest], cell, True, own=(owner == k).astype(float))) for k, n in enumerate(numbers)]
    found = []
    for k, number in enumerate(numbers):
        found.append((number, Tones(_choked(covered, owner, k, widths / cell, picture.gap), cell, True)))
        progress(0.6 + 0.4 * (k + 1) / len(numbers))
    return found


def absolute_coverage(wanted: Floats, ink: float, darkest: float) -> Floats:
    """The same, as light as wanted; only what is too dark for the ink is moved, as colours that cannot be mixed are.

    wanted: (rows, columns) linear light, 0 to 1.
    """
    if 1 - ink < LEAST_INK:
        return np.zeros_like(wanted)
    lowest = 100 * float(lightness(1 - darkest * (1 - ink)))
    light = luminance_of(within_reach(100 * lightness(wanted), lowest) / 100)
    share = np.clip((1 - light) / (1 - ink), 0, darkest)
    return np.where(share < BLANK, 0.0, share)


TURNS = (0, 30, -30, 15, -15, 45, 7.5, -7.5, 22.5, -22.5)
"""Degrees by which the lines of pens are turned against each other, the darkest first. Lines at right angles belong to one
pen, so the first three, which are seen most, are as far apart as can be: the screen angles of colour printing."""


def turns_of(pens: Sequence[Pen]) -> list[float]:
    """For each pen the angle, rad, by which its lines are turned."""
    dark = np.argsort(luminance(np.array([rgb_of(p.colour) for p in pens])), kind="stable")
    turns = np.zeros(len(pens))
    turns[dark] = np.radians(np.resize(TURNS, len(pens)))
    return [float(turn) for turn in turns]


def _mixed(
    raster: Raster,
    picture: PictureSettings,
    pens: Sequence[Pen],
    numbers: Sequence[int],
    width: float,
    height: float,
    progress: Callable[[float], None],
) -> list[tuple[int, Tones]]:
    """The layers of pens that lie on each other and are mixed by the eye."""
    chosen = [pens[i] for i in numbers]
    rows, columns, cell = grid_of(width, height, min(pen.width for pen in chosen))
    model = InkModel.of_pens(chosen)
    limit = np.full(len(chosen), picture.darkest)
    table = SeparationTable.of(model, limit, lambda lab: _adjusted_lab(lab, picture), lambda done: progress(0.3 * done))
    # Colours are looked up where there are fewer of them: in the file's pixels, or in the cells.
    fewer = min(rows, raster.pixels.shape[0]), min(columns, raster.pixels.shape[1])
    of_value = linear(np.arange(256)).astype(np.float32)
    light = np.stack([resampled(of_value[raster.pixels[..., i]], *fewer).clip(0, 1) for i in range(3)], axis=-1)
    progress(0.4)
    covered = picture_coverages(
        light, table, model, width / fewer[1], max(pen.width for pen in chosen), lambda done: progress(0.4 + 0.4 * done)
    )
    progress(0.8)
    planes = [resampled(covered[..., k], rows, columns).clip(0, picture.darkest) for k in range(len(chosen))]
    guide = 1 - lightness(resampled(light @ LUMINANCE, rows, columns).clip(0, 1))
    progress(0.9)
    tones = [np.where(plane < BLANK, 0.0, plane.astype(float)) for plane in planes]
    return [
        (number, Tones(tone, cell, True, turn, 1 + k, guide))
        for k, (number, tone, turn) in enumerate(zip(numbers, tones, turns_of(chosen), strict=True))
    ]


def coverage(wanted: Floats, ink: float, darkest: float) -> Floats:
    """The share of the wall that an ink of some luminance covers where a luminance is wanted, 0 to darkest.

    Full ink would bleed: only the share `darkest` is covered where the picture is as dark as the ink. What lies between
    is moved in equal steps of CIE lightness, so that shadows keep their differences.
    wanted: (rows, columns) linear light, 0 to 1; the result alike.
    """
    if 1 - ink < LEAST_INK:
        return np.zeros_like(wanted)
    lowest = lightness(1 - darkest * (1 - ink))
    shrunk = (1 - lowest) / (1 - lightness(ink))
    light = luminance_of(1 - (1 - lightness(np.maximum(wanted, ink))) * shrunk)
    share = np.clip((1 - light) / (1 - ink), 0, darkest)
    return np.where(share < BLANK, 0.0, share)


def _adjusted(light: Floats, picture: PictureSettings) -> Floats:
    """Luminance after the picture's lightness and contrast, which act on CIE lightness, as people see it."""
    if picture.lightness == 0 and picture.contrast == 0:
        return light
    return luminance_of(_adjusted_lightness(lightness(light), picture))


def _adjusted_lab(lab: Floats, picture: PictureSettings) -> Floats:
    adjusted = lab.copy()
    adjusted[:, 0] = 100 * _adjusted_lightness(lab[:, 0] / 100, picture)
    return adjusted


def _adjusted_lightness(seen: Floats, picture: PictureSettings) -> Floats:
    """Lightness 0 to 1 after the picture's settings."""
    adjusted: Floats = np.clip(0.5 + (seen - 0.5) * 4**picture.contrast, 0, 1) ** (3**-picture.lightness)
    return adjusted


def _owners(light: Floats, inks: Integers, blur: float) -> Integers:
    """(rows, columns) index of the pen that draws each cell. blur: cells over which neighbours agree."""
    # 32 steps a channel are finer than the eye resolves in a hatch; equal colours are handled once.
    step = np.rint(np.sqrt(light) * 31).astype(np.int64)
    code = (step[..., 0] * 32 + step[..., 1]) * 32 + step[..., 2]
    codes = np.flatnonzero(np.bincount(code.ravel(), minlength=32**3))
    place = np.zeros(32**3, dtype=np.int64)
    place[codes] = np.arange(len(codes))
    inverse = place[code]
    colour = (np.stack([codes // 1024, codes // 32 % 32, codes % 32], axis=-1) / 31) ** 2
    y = colour @ LUMINANCE
    difference = []
    for ink in inks:
        own = linear(ink)
        share = np.clip((1 - y) / max(1 - own @ LUMINANCE, LEAST_INK), 0, 1)[:, None]
        tint = (1 - share) + share * own
        delta = ciede2000(lab_of(srgb(tint)), lab_of(srgb(colour)))
        difference.append(gaussian_filter(delta[inverse], blur))
    return np.asarray(np.argmin(np.stack(difference), axis=0))


def _choked(covered: list[Floats], owner: Integers, k: int, widths: Floats, choke: float) -> Floats:
    """The tones of layer k, pulled back where another layer's ink is near. widths of the pens' lines, in cells."""
    mine = np.where(owner == k, covered[k], 0.0)
    others = np.zeros(owner.shape, dtype=bool)
    for other, tone in enumerate(covered):
        others |= (owner == other) & (other != k) & (tone > 0)
    if not others.any():
        return mine
    # The pen's middle keeps half a line inside, and both layers give half of the gap.
    near = distance_transform_edt(~others) < widths[k] / 2 * (1 + choke) + 0.5
    return np.where(near, 0.0, mine)
