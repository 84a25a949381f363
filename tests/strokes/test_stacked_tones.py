"""Shapes that show through each other, one on the other: the ink of each is on the wall once."""

import numpy as np
import pytest
import shapely

from wallwright.artwork.artwork_reader import read_artwork
from wallwright.document.document import Fill, Pen
from wallwright.document.document import Settings as JobSettings
from wallwright.strokes.composition_cache import CompositionCache
from wallwright.strokes.stroke_composition import compose_strokes

PENS = (Pen("black", "Black", "#202020", 1.0),)
GRADIENT = (
    '<linearGradient id="g{0}" x1="0" y1="0" x2="{1}" y2="1"><stop offset="0" stop-color="#000" stop-opacity="{2}"/>'
    '<stop offset="1" stop-color="#000" stop-opacity="{3}"/></linearGradient>'
)


def stacked(shapes: str, gradients: str = "") -> bytes:
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">'
        f"<defs>{gradients}</defs>{shapes}</svg>"
    ).encode()


def strokes_of(svg: bytes, fill: str = "hatch"):
    drawing = read_artwork(svg, "image/svg+xml", "a.svg", 0.05, lambda done: None)
    settings = JobSettings(fill=Fill(fill, 2.0, 0.5))
    return compose_strokes(
        drawing, np.array([[2.0, 0, 0], [0, 2.0, 0]]), (), PENS, settings, kept=CompositionCache()
    ).strokes


GRADIENTS = "".join(
    GRADIENT.format(i, x, a, b) for i, (x, a, b) in enumerate([(0, 0.9, 0.1), (1, 0.2, 0.8), (1, 1, 0.5)])
)
STACK = "".join(
    f'<ellipse cx="{50 + 5 * i}" cy="50" rx="40" ry="{44 - 6 * i}" fill="url(#g{i % 3})"/>' for i in range(5)
)


@pytest.mark.parametrize("fill", ["hatch", "cross-hatch", "zigzag"])
def test_stacked_tones_are_drawn_once(fill):
    """shapely's union of the fill lines is as long as they are; no line steps back."""
    strokes = strokes_of(stacked(STACK, GRADIENTS), fill)
    strokes = strokes.take(np.flatnonzero(strokes.is_fill))
    lines = [shapely.LineString(s) for s in strokes]
    # On a grid as fine as the tolerance, so that lines on each other are one.
    once = shapely.union_all(lines, grid_size=0.0125).length
    assert strokes.lengths().sum() == pytest.approx(once, rel=0.02)
    for line in strokes:
        step = np.diff(line, axis=0)
        step /= np.hypot(*step.T)[:, None]
        assert np.all((step[1:] * step[:-1]).sum(axis=1) > -0.99)


def test_what_is_hidden_by_nothing_keeps_its_ink():
    """Every line of each shape by itself is still under ink when they are stacked."""
    whole = strokes_of(stacked(STACK, GRADIENTS))
    ink = shapely.union_all(shapely.buffer([shapely.LineString(s) for s in whole], 0.5))
    for i, ellipse in enumerate(STACK.split("/>")[:-1]):
        alone = strokes_of(stacked(ellipse + "/>", GRADIENTS))
        lines = shapely.union_all([shapely.LineString(s) for s in alone])
        assert shapely.difference(lines, ink).length < 0.001 * lines.length, i


def test_the_same_shape_twice_is_the_shape_once():
    shape = '<rect x="10" y="10" width="70" height="60" fill="#000" fill-opacity="0.5"/>'
    once, twice = strokes_of(stacked(shape)), strokes_of(stacked(2 * shape))
    assert twice.lengths().sum() == pytest.approx(once.lengths().sum(), rel=1e-9)
    assert len(twice) == len(once)
