"""Small pictures of recent projects on the start page."""

from PySide6.QtGui import QImage

from tests.support.experienced import ExperiencedRunner
from tests.support.pictures import darkness
from wallwright.document import edits
from wallwright.planning.demo import demo_document
from wallwright.planning.plan import Goal, Request
from wallwright.strokes.strokes import Strokes
from wallwright.window.canvas.view import View
from wallwright.window.features.start.thumbnails import SIZE, painted, shown_box


def test_pictures_of_projects_show_the_artwork_between_its_anchors():
    """The ink lies where the placing puts it, and fills more of the picture than of the wall."""
    document = demo_document()
    strokes = ExperiencedRunner().run(Request(1, document, Goal.PREVIEW)).preview.strokes
    image = painted(document, strokes)
    left, top, right, bottom = shown_box(document)
    wall = document.wall
    assert wall.left <= left and right <= wall.right and right - left < wall.width
    view = View.fitting((left, top, right, bottom), SIZE.width(), SIZE.height(), 2)
    dark = darkness(image.convertToFormat(QImage.Format.Format_RGB32)) > 0.3
    low, high = (view.to_screen(*p) for p in (strokes.points.min(axis=0), strokes.points.max(axis=0)))
    inked = dark[round(low.y()) : round(high.y()) + 1, round(low.x()) : round(high.x()) + 1]
    assert inked.mean() > 0.1 and inked.any(axis=0).mean() > 0.8
    alone = painted(edits.set_placement(document, "placement-1", visible=False), Strokes.empty())
    assert painted(document, Strokes.empty()) != alone, "a wall without artwork is shown whole"
