"""Gradients and stacks of see-through shapes, mixed from the pens: against what resvg paints."""

import io

import numpy as np
import pytest
import resvg_py
from PIL import Image
from scipy.ndimage import gaussian_filter

from tests.support.ink import inked
from wallwright.artwork.artwork_reader import read_artwork
from wallwright.artwork.colour import ciede2000, lab_of_light, rgb_of
from wallwright.artwork.raster.tone import linear
from wallwright.document.document import Fill, Ink, Pen, Settings
from wallwright.strokes.fills import TONED
from wallwright.strokes.stroke_composition import compose_strokes

ONE = np.array([[1.0, 0, 0], [0, 1, 0]])
BLACK = (Pen("k", "Black", "#000000", 0.5),)
CMYK = tuple(Pen(c, c, c, 0.5) for c in ("#00a0e0", "#e0007f", "#ffe600", "#000000"))
SIZE = 120.0
PAGE = '<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="120mm" viewBox="0 0 120 120">{}</svg>'
LINEAR = '<linearGradient id="g" x1="0" y1="0" x2="{}" y2="{}"><stop offset="0" stop-color="{}"/><stop offset="1" stop-color="{}"/></linearGradient>'
RECT = '<rect width="120" height="120" fill="url(#g)"/>'
RADIAL = (
    '<radialGradient id="g"><stop offset="0" stop-color="#fff"/><stop offset="1" stop-color="#333"/></radialGradient>'
)
BODIES = {
    "grey": LINEAR.format(1, 0, "#eee", "#444") + RECT,
    "colours": LINEAR.format(1, 1, "#ffe080", "#2050a0") + RECT,
    "radial": RADIAL + RECT,
    "stack": '<rect width="120" height="120" fill="#e0c020"/>'
    + "".join(
        f'<circle cx="{40 + 12 * i}" cy="{50 + 8 * i}" r="34" fill="#2040c0" fill-opacity="0.4"/>' for i in range(4)
    ),
    "layer": '<rect width="120" height="60" fill="#000"/><g opacity="0.5"><rect x="20" y="20" width="80" height="80" fill="#fff"/></g>',
}


def composed(body: str, pens, angle: float = 0.5, inks=()):
    drawing = read_artwork(PAGE.format(body).encode(), "image/svg+xml", "a.svg", 0.05)
    return compose_strokes(drawing, ONE, inks, pens, Settings(fill=Fill("hatch", 2.0, angle)), rule="mixed")


def seen(strokes, pens, per_mm: int = 4) -> np.ndarray:
    """(rows, columns, 3) light painted by Qt, inks multiplied."""
    light = np.ones((round(SIZE * per_mm), round(SIZE * per_mm), 3))
    for number, pen in enumerate(pens):
        mine = [s for s, p in zip(strokes, strokes.pen.tolist(), strict=True) if p == number]
        ink = inked(mine, pen.width, (SIZE, SIZE), per_width=round(per_mm * pen.width))
        light *= np.where(ink[..., None], linear(np.array(rgb_of(pen.colour))), 1.0)
    return light


def wanted(body: str) -> np.ndarray:
    """(rows, columns, 3) light that resvg paints."""
    svg = PAGE.format(body).replace("120mm", "480")
    picture = Image.open(io.BytesIO(bytes(resvg_py.svg_to_bytes(svg_string=svg, background="white"))))
    return linear(np.asarray(picture.convert("RGB"), dtype=float))


@pytest.mark.parametrize("name", BODIES)
@pytest.mark.parametrize("pens", [BLACK, CMYK], ids=["black", "cmyk"])
def test_from_afar_it_looks_like_what_resvg_paints(name, pens):
    """Blurred by 5 mm, away from the page's edge: in lightness with one pen, by CIEDE2000 with four."""
    light = seen(composed(BODIES[name], pens).strokes, pens)
    lab = [
        lab_of_light(gaussian_filter(p, (20, 20, 0), mode="nearest")[40:-40:8, 40:-40:8].reshape(-1, 3))
        for p in (light, wanted(BODIES[name]))
    ]
    if pens is CMYK:
        assert ciede2000(*lab).mean() < 4.0
    else:
        bright = lab[1][:, 0] > 50
        off = (lab[0] - lab[1])[bright, 0]
        assert np.abs(off).mean() < 4.0


def test_lines_of_a_linear_gradient_are_evenly_apart_as_the_tone_says():
    """No gaps of every sixteenth line: each distance is the pen's width over the tone there, to a tenth."""
    strokes = composed(BODIES["grey"], BLACK).strokes
    x = np.sort([stroke[:, 0].mean() for stroke in strokes])
    assert all(np.ptp(stroke[:, 0]) < 0.01 for stroke in strokes)
    middle = (x[1:] + x[:-1]) / 2
    light = wanted(BODIES["grey"])[240, np.round(middle * 4).astype(int), 0]
    inner = (middle > 6) & (middle < 114) & (light > 0.15)
    assert np.diff(x)[inner] == pytest.approx(0.5 / (1 - light[inner]), rel=0.1)
    assert np.abs(np.diff(np.diff(x)[inner])).max() < 0.6


def test_a_see_through_shape_of_one_tone_is_hatched_evenly():
    body = '<rect x="10" y="10" width="100" height="100" fill="#000" fill-opacity="0.4"/>'
    strokes = composed(body, BLACK, 0.0).strokes
    y = np.unique(np.round([stroke[:, 1].mean() for stroke in strokes], 3))
    assert np.ptp(np.diff(y)) < 0.01


def test_stacks_are_drawn_once():
    """As much ink as the colours need: the sum of the coverages of what resvg paints, not one fill for each of forty shapes."""
    body = "".join(f'<circle cx="60" cy="60" r="{55 - i}" fill="#000" fill-opacity="0.05"/>' for i in range(40))
    strokes = composed(body, BLACK).strokes
    ink = float(strokes.lengths().sum()) * 0.5
    needed = float((1 - wanted(body)[..., 0]).mean()) * SIZE**2
    assert ink == pytest.approx(needed, rel=0.15)


def test_a_chosen_pen_draws_its_gradient_alone():
    body = BODIES["colours"]
    drawing = read_artwork(PAGE.format(body).encode(), "image/svg+xml", "a.svg", 0.05)
    strokes = composed(body, CMYK, inks=(Ink(drawing.shapes[0].paint.colour, CMYK[1].id, False),)).strokes
    assert set(strokes.pen.tolist()) == {1}


@pytest.mark.parametrize("kind", sorted(TONED))
@pytest.mark.parametrize("pens", [BLACK, CMYK], ids=["black", "cmyk"])
def test_shapes_thinner_than_the_pen_are_a_line_whatever_the_tone(kind, pens):
    """A bar, a sliver and a speck in a gradient leave the pen no room inside: no fill, no failure."""
    thin = (
        '<rect x="10" y="10" width="0.3" height="80" fill="url(#g)"/>'
        '<path d="M20 10 100 10 100 10.4z" fill="url(#g)"/>'
        '<circle cx="60" cy="60" r="0.1" fill="url(#g)"/>'
    )
    body = LINEAR.format(1, 0.3, "#eee", "#111") + thin
    drawing = read_artwork(PAGE.format(body).encode(), "image/svg+xml", "a.svg", 0.05)
    found = compose_strokes(drawing, ONE, (), pens, Settings(fill=Fill(kind, 1.0, 0.5)), rule="mixed")
    x, y = found.strokes.points.T
    assert ((x > 9) & (x < 11) & (y > 40)).any()  # the bar is there
    assert 80 < found.strokes.lengths().sum() < 700
