"""Figures that help at the wall, and the chart of the pens, as shapes at natural size."""

from __future__ import annotations

import numpy as np

from wallwright.artwork.drawing import Drawing, Paint, Shape
from wallwright.artwork.generated.lettering import letters
from wallwright.document.arrays import Floats, Points
from wallwright.document.errors import BadFile
from wallwright.document.generated_artwork import HelperFigure, PenChart
from wallwright.document.language import format_number, tr

MOST = 2000
"""Lines of a grid or marks of a ruler."""
DENSITIES = (1.0, 1.5, 2.0, 3.0, 4.0, 6.0)
"""Hatch spacings of the chart, in line widths."""
LETTER = 5.0
"""Least height of letters, in line widths; smaller ones run together."""


def _label(text: str, size: float, at: tuple[float, float], is_centred: bool = True) -> list[Points]:
    """Single-line lettering with its foot at a point."""
    found, _ = letters(text, "plain")
    starts = np.concatenate([[0.0], np.cumsum([one.advance for one in found])])
    x = at[0] - (size * starts[-1] / 2 if is_centred else 0.0)
    return [
        size * stroke + (x + size * start, at[1])
        for one, start in zip(found, starts, strict=False)
        for stroke in one.strokes
    ]


def _line(*points: tuple[float, float]) -> Floats:
    return np.array(points, float)


def _box(width: float, height: float) -> Floats:
    return _line((0, 0), (width, 0), (width, height), (0, height))


def _lines(paths: list[Points], colour: str, element: str, width: float = 0.0, rings: int = 0) -> Shape:
    """Centrelines; the first rings of them are closed."""
    closed = tuple(i < rings for i in range(len(paths)))
    return Shape(element, (), Paint(colour), tuple(paths), False, width=width, cap="round", join="round", closed=closed)


def _marks(length: float, pitch: float, name: str) -> Floats:
    """Places 0, pitch, 2 pitch ... up to length, mm."""
    if length / pitch > MOST:
        raise BadFile(
            tr(
                "{0}: {1:g} mm with a line every {2:g} mm needs more than {3} lines. Choose a larger spacing.",
                name,
                length,
                pitch,
                MOST,
            )
        )
    return np.arange(np.floor(length / pitch + 1e-9) + 1) * pitch


def read_figure(figure: HelperFigure, name: str) -> Drawing:
    """A figure at its natural size, mm. Raises BadFile for more lines than anybody draws."""
    w, h = figure.width, figure.height
    rings = 0
    if figure.kind == "frame":
        paths, rings = [_box(w, h)], 1
    elif figure.kind == "square":
        paths = [_box(w, h), _line((0, 0), (w, h)), _line((w, 0), (0, h))]
        rings = 1
    elif figure.kind == "grid":
        paths = [_line((x, 0), (x, h)) for x in _marks(w, figure.pitch, name)]
        paths += [_line((0, y), (w, y)) for y in _marks(h, figure.pitch, name)]
    else:
        return _ruler(figure, name)
    return Drawing(w, h, (_lines(paths, figure.colour, name, rings=rings),))


def _ruler(figure: HelperFigure, name: str) -> Drawing:
    """A line with marks: every tenth is long and numbered in mm, every fifth is middling."""
    places = _marks(figure.width, figure.pitch, name)
    long = figure.height
    size = min(0.5 * long, 4 * figure.pitch)
    paths = [_line((0, 0), (figure.width, 0))]
    for number, x in enumerate(places):
        reach = long if number % 10 == 0 else 0.7 * long if number % 5 == 0 else 0.45 * long
        paths.append(_line((x, 0), (x, reach)))
        if number % 10 == 0:
            paths += _label(format_number(float(x)), size, (x, long + 1.5 * size))
    points = np.concatenate(paths)
    low, high = points.min(axis=0), points.max(axis=0)
    shape = _lines([p - low for p in paths], figure.colour, name)
    return Drawing(float(high[0] - low[0]), float(high[1] - low[1]), (shape,))


def read_chart(chart: PenChart, name: str) -> Drawing:
    """A row a pen, a patch a hatch spacing; the spacing in mm stands under each. Raises BadFile for a chart without pens."""
    side, gap = chart.side, 0.35 * chart.side
    shapes, top = [], 0.0
    for swatch in chart.swatches:
        size = max(0.14 * side, LETTER * swatch.width)
        paths = _label(swatch.name, size, (0.0, top + size), is_centred=False)
        for column, density in enumerate(DENSITIES):
            spacing = density * swatch.width
            x = column * (side + gap)
            y = top + 1.8 * size
            # The pen's centre stays half a line inside, so that patches of all pens are equally large.
            reach = side - swatch.width
            heights = swatch.width / 2 + np.arange(np.floor(reach / spacing + 1e-9) + 1) * spacing
            for i, down in enumerate(heights):
                ends = [(x + swatch.width / 2, y + down), (x + side - swatch.width / 2, y + down)]
                paths.append(_line(*(ends if i % 2 == 0 else ends[::-1])))
            paths += _label(format_number(spacing), size, (x + side / 2, y + side + 1.5 * size))
        shapes.append(_lines(paths, swatch.colour, swatch.name, swatch.width))
        top += side + 4.0 * size
    width = len(DENSITIES) * (side + gap) - gap
    if not shapes:
        raise BadFile(tr("{0} has no pens. Add a pen first.", name))
    return Drawing(width, top, tuple(shapes))
