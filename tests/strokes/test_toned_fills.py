"""Fills that follow a gradient: ink per area against the grey that resvg paints."""

import io

import numpy as np
import pytest
import resvg_py
import shapely
from PIL import Image

from wallwright.artwork.artwork_reader import read_artwork
from wallwright.document.document import Fill, Ink, Pen, Settings
from wallwright.strokes.fills import TONED
from wallwright.strokes.fills.progress import no_progress
from wallwright.strokes.fills.toned import threshold_of
from wallwright.strokes.stroke_composition import compose_strokes

WIDTH, HEIGHT, PEN = 240.0, 90.0, 1.0
RAMP = '<linearGradient id="g"><stop offset="0" stop-color="{0}"/><stop offset="1" stop-color="{1}"/></linearGradient>'
PAINTS = {
    "grey": RAMP.format("white", "black"),
    "reflected": RAMP.format("#eee", "#000").replace('id="g"', 'id="g" x2="0.5" spreadMethod="reflect"'),
    "colours": RAMP.format("#ffd", "#000")
    .replace("</", '<stop offset="0.6" stop-color="#b40"/></')
    .replace(
        '<stop offset="1" stop-color="#000"/><stop offset="0.6" stop-color="#b40"/>',
        '<stop offset="0.6" stop-color="#b40"/><stop offset="1" stop-color="#000"/>',
    ),
}
KINDS = ["hatch", "cross-hatch", "stipple"]


def document(paint: str) -> str:
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH}mm" height="{HEIGHT}mm" viewBox="0 0 {WIDTH} {HEIGHT}">'
        f'<defs>{PAINTS[paint]}</defs><rect width="{WIDTH}" height="{HEIGHT}" fill="url(#g)"/></svg>'
    )


def darkness(svg: str) -> np.ndarray:
    """(columns,) 1 - luminance that resvg paints on white, by IEC 61966-2-1:1999 and BT.709."""
    picture = Image.open(io.BytesIO(bytes(resvg_py.svg_to_bytes(svg_string=svg, background="white", dpi=96))))
    c = np.asarray(picture.convert("RGB"), dtype=float) / 255
    light = np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4) @ (0.2126, 0.7152, 0.0722)
    return 1 - light.mean(axis=0)


@pytest.mark.parametrize(
    ("paint", "kind"),
    [(p, k) for p in sorted(PAINTS) for k in KINDS if k != "stipple" or p == "grey"],
)
def test_ink_per_area_is_the_grey_of_the_picture(paint, kind):
    svg = document(paint)
    drawing = read_artwork(svg.encode(), "image/svg+xml", "ramp.svg", 0.05, lambda done: None)
    colour = drawing.shapes[0].paint.colour
    fill = Fill(kind, angle=0.35, coverage=100 if kind != "stipple" else 60)
    composed = compose_strokes(
        drawing,
        np.array([[1.0, 0, 0], [0, 1, 0]]),
        (Ink(colour, "k", False, fill),),
        (Pen("k", "Black", "#000000", PEN),),
        Settings(flatness=0.2),
    )
    ink = shapely.union_all(shapely.buffer([shapely.LineString(s) for s in composed.strokes], PEN / 2, quad_segs=4))
    grey = darkness(svg)
    full = fill.coverage / 100
    # Bands across the ramp, off the edge of the page, where dots keep their distance.
    for left in np.linspace(10, WIDTH - 50, 6):
        band = shapely.box(left, 10, left + 40, HEIGHT - 10)
        x = len(grey) * np.array([left, left + 40]) / WIDTH
        wanted = full * grey[round(x[0]) : round(x[1])].mean()
        assert ink.intersection(band).area / band.area == pytest.approx(wanted, abs=0.03)


@pytest.mark.parametrize("kind", sorted(TONED))
def test_no_ink_where_nothing_is_wanted(kind):
    region = shapely.box(0, 0, 100, 60)
    fill = Fill(kind, 2.0, 0.3)
    assert TONED[kind](region, fill, 1.0, no_progress, lambda points: np.zeros(len(points))) == []
    half = TONED[kind](region, fill, 1.0, no_progress, lambda points: (points[:, 0] > 50).astype(float))
    assert all(line[:, 0].min() > 47 for line in half)
    assert kind == "none" or len(half) > 0


def test_thresholds_are_spread_evenly():
    """Of any run of 16 lines as many are drawn as the tone says, and a quarter of them is every fourth."""
    rows = np.arange(-40, 100)
    for tone in (0.25, 0.5, 0.75):
        drawn = threshold_of(rows) < tone
        assert all(drawn[i : i + 16].sum() == 16 * tone for i in range(100))
    assert set(np.diff(np.flatnonzero(threshold_of(rows) < 0.25))) == {4}
