"""More ink than any wall takes is refused before it fills the memory. Amounts by hand: area over spacing."""

import numpy as np
import pytest

from tests.support.jobs import document_of
from wallwright.artwork.raster.raster import Raster
from wallwright.document import edits
from wallwright.document.document import Fill, Pen, Settings
from wallwright.document.errors import BadValue
from wallwright.document.picture import CrossHatch, PictureSettings, ScanLines, ToneContours
from wallwright.planning.plan import Goal, Request
from wallwright.planning.runner import Runner
from wallwright.strokes.amount import MOST_INK, fill_length, refuse_too_much
from wallwright.strokes.fills.hatch import hatch_lines
from wallwright.strokes.pictures.picture_strokes import picture_lines

SOLID = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">'
    b'<rect width="100" height="100" fill="#202020"/></svg>'
)


def test_the_length_of_a_fill_is_what_its_lines_have():
    import shapely

    region = np.array([shapely.box(0, 0, 200, 300)])
    lines, _ = hatch_lines(region, 4.0, 0.5)
    length = np.hypot(*(lines[:, 1] - lines[:, 0]).T).sum()
    assert fill_length(200 * 300, Fill("hatch", 4.0), 1.0) == pytest.approx(length, rel=0.01)
    assert fill_length(200 * 300, Fill("cross-hatch", 4.0), 1.0) == pytest.approx(2 * length, rel=0.01)
    assert fill_length(200 * 300, Fill("none"), 1.0) == 0.0


def test_the_limit_is_reported():
    refuse_too_much(MOST_INK)
    for much in (1.01 * MOST_INK, np.inf, np.nan):
        with pytest.raises(BadValue, match="the limit is 50 km"):
            refuse_too_much(much)


@pytest.mark.parametrize("kind", ["hatch", "cross-hatch", "zigzag", "contour", "spiral", "stipple"])
def test_artwork_of_a_hundred_metres_is_refused_by_name(kind):
    document = document_of(SOLID, width=100_000.0, fill=kind)
    with pytest.raises(BadValue, match=r"art\.svg: This would be \d+ km of lines"):
        Runner().run(Request(1, document, Goal.PREVIEW))


def test_a_part_too_long_and_thin_is_refused():
    document = document_of(SOLID, width=100_000.0, fill="none")
    document = edits.set_placement(document, document.placements[0].id, height=0.2)
    with pytest.raises(BadValue, match=r"0\.20 mm thin and 100 m long"):
        Runner().run(Request(1, document, Goal.PREVIEW))


@pytest.mark.parametrize("style", [ScanLines(), CrossHatch(), ToneContours()])
def test_pictures_too(style):
    raster = Raster(np.zeros((8, 8, 3), dtype=np.uint8), (8, 8))
    pens = (Pen("black", "Black", "#202020", 0.05),)
    with pytest.raises(BadValue, match="km of lines"):
        picture_lines(raster, PictureSettings(style), pens, (100_000.0, 100_000.0), Settings())
