"""Gradients, masks, layers and patterns of an SVG as strokes."""

import numpy as np
import pytest
import shapely

from wallwright.artwork.artwork_reader import read_artwork
from wallwright.document.document import Fill, Ink, Pen, Settings
from wallwright.strokes.stroke_composition import compose_strokes

ONE = np.array([[1.0, 0, 0], [0, 1, 0]])
PENS = (Pen("k", "Black", "#000000", 0.3), Pen("r", "Red", "#d02020", 0.3))
PAGE = '<svg xmlns="http://www.w3.org/2000/svg" width="160mm" height="160mm" viewBox="0 0 160 160">{}</svg>'
RAMP = '<linearGradient id="g"><stop offset="0" stop-color="{}"/><stop offset="1" stop-color="{}"/></linearGradient>'


def composed(body: str, kind: str = "hatch", outline: bool = False, spacing: float = 1.0, angle: float = 0.7):
    drawing = read_artwork(PAGE.format(body).encode(), "image/svg+xml", "a.svg", 0.01)
    fill = Fill(kind, spacing, angle)
    inks = tuple(Ink(c, "k", outline) for c in {s.paint.colour for s in drawing.shapes})
    return compose_strokes(drawing, ONE, inks, PENS, Settings(fill=fill)).strokes


def ink_in(strokes, *box: float) -> float:
    """mm of line in a box, cut by shapely."""
    lines = shapely.multilinestrings([shapely.linestrings(s) for s in strokes])
    return shapely.intersection(lines, shapely.box(*box)).length


def test_see_through_paint_is_thinner_and_a_layer_is_one():
    whole = ink_in(composed('<rect width="100" height="100"/>'), 0, 0, 160, 160)
    for body in (
        '<rect width="100" height="100" fill-opacity=".5"/>',
        '<rect width="100" height="100" opacity=".5"/>',
        '<g opacity=".5"><rect width="100" height="100"/><rect width="60" height="60"/></g>',
    ):
        assert ink_in(composed(body), 0, 0, 160, 160) == pytest.approx(whole / 2, rel=0.03)


def test_a_mask_in_black_and_white_cuts_and_one_in_greys_thins():
    mask = '<mask id="m" maskUnits="userSpaceOnUse" x="0" y="0" width="160" height="160"><rect width="{}" height="160" fill="{}"/></mask>'
    square = '<rect width="160" height="160" mask="url(#m)"/>'
    cut = composed(mask.format(80, "white") + square)
    assert np.concatenate(list(cut))[:, 0].max() == pytest.approx(80, abs=0.2)
    # Light of #808080 in a mask is 128/255 (SVG 2, 14.5: luminance of the colours as they stand).
    whole = ink_in(composed('<rect width="160" height="160"/>'), 0, 0, 160, 160)
    assert ink_in(composed(mask.format(160, "#808080") + square), 0, 0, 160, 160) == pytest.approx(
        whole * 0.5, rel=0.03
    )


def test_a_pattern_of_lines_is_drawn_as_its_lines():
    pattern = '<pattern id="p" patternUnits="userSpaceOnUse" width="10" height="10"><path d="M0 5H10" stroke="black" stroke-width=".2"/></pattern>'
    strokes = composed(pattern + '<rect x="20" y="20" width="100" height="80" fill="url(#p)"/>')
    assert len(strokes) == 8
    assert sorted(s[0, 1] for s in strokes) == pytest.approx(np.arange(25, 100, 10))
    assert strokes.lengths() == pytest.approx(np.full(8, 100.0), abs=0.3)


def test_tiles_that_touch_are_one_region():
    pattern = '<pattern id="p" patternUnits="userSpaceOnUse" width="10" height="10" patternTransform="rotate(30)"><rect width="10" height="10"/></pattern>'
    strokes = composed(pattern + '<circle cx="80" cy="80" r="50" fill="url(#p)"/>', "none", outline=True)
    assert len(strokes) == 1
    assert strokes.lengths()[0] == pytest.approx(2 * np.pi * (50 - 0.15), rel=1e-3)


def test_clipped_lines_are_cut():
    clip = '<clipPath id="c"><rect x="40" width="50" height="160"/></clipPath>'
    strokes = composed(clip + '<path d="M0 80H160" stroke="black" stroke-width=".3" clip-path="url(#c)"/>')
    assert np.concatenate(list(strokes))[:, 0].tolist() == pytest.approx([40, 90])


def test_a_stretched_line_is_as_wide_as_painted():
    """SVG 2, 8.2: a line under scale(4 1) is four times as wide across as along."""
    body = '<g transform="scale(4 1)"><path d="M10 20V120" stroke="black" stroke-width="5"/><path d="M5 140H30" stroke="black" stroke-width="5"/></g>'
    points = np.concatenate(list(composed(body, "none", outline=True)))
    upright, level = points[points[:, 1] < 130], points[points[:, 1] > 130]
    assert np.ptp(upright[:, 0]) == pytest.approx(20 - 0.3, abs=0.01)
    assert np.ptp(level[:, 1]) == pytest.approx(5 - 0.3, abs=0.01)
