"""Artwork without ink: shown in its own colours until its strokes are painted; words on the wall leave each other free."""

import io

import pytest
from PIL import Image
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QFont

from tests.support.experienced import ExperiencedRunner
from tests.support.hands import on_screen
from tests.support.jobs import SQUARE, document_of
from tests.support.windows import scripted_window
from wallwright.document.edits import set_field
from wallwright.planning.plan import Goal, Request
from wallwright.window.canvas import dimensions, wall_layer
from wallwright.window.canvas.wall_layer import free_place, tag_box, tag_size
from wallwright.window.ink import InkLayer
from wallwright.window.model.items import PlacementItem

DOCUMENT = document_of(SQUARE, width=600.0)


@pytest.fixture
def window(qtbot, tmp_path):
    window, planner = scripted_window(qtbot, DOCUMENT, tmp_path)
    window.planner = planner
    window.resize(1200, 800)
    window.canvas.fit()
    return window


def red_picture() -> bytes:
    buffer = io.BytesIO()
    Image.new("RGB", (40, 40), (220, 20, 20)).save(buffer, "PNG")
    return buffer.getvalue()


def colour_beside_middle(window):
    """Where the square has no line and no mark stands."""
    placed = window.models.project.document.placements[0]
    at = on_screen(window, placed.x - 150.0, placed.y + 150.0)
    return window.canvas.grab().toImage().pixelColor(at)


def is_reddish(colour) -> bool:
    return colour.red() - colour.green() > 40


def test_its_own_colours_stay_until_all_of_its_ink_is_painted(qtbot, window, monkeypatch):
    planning = window.models.planning
    planning.plan_now()
    assert not is_reddish(colour_beside_middle(window))
    window.planner.answer(final=False, pictures={"placement-1": red_picture()})
    planning.receive()
    assert is_reddish(colour_beside_middle(window))
    monkeypatch.setattr(InkLayer, "shows_all", property(lambda layer: False))
    preview = ExperiencedRunner().run(Request(1, DOCUMENT, Goal.PREVIEW)).preview
    window.planner.answer(final=False, preview=preview)
    planning.receive()
    assert planning.unseen == () and is_reddish(colour_beside_middle(window)), "no empty wall between the two"
    monkeypatch.undo()
    qtbot.waitUntil(lambda: not is_reddish(colour_beside_middle(window)))


def test_a_picture_of_the_last_project_is_not_shown_for_one_that_is_being_read(window):
    planning = window.models.planning
    planning.plan_now()
    window.planner.answer(final=False, pictures={"placement-1": red_picture()})
    planning.receive()
    assert is_reddish(colour_beside_middle(window))
    window.models.project.load(set_field(DOCUMENT, "placements.0.turn", 0.1), None)
    planning.plan_now()  # its placement has the same id
    assert not is_reddish(colour_beside_middle(window))


def test_the_word_at_the_starting_point_leaves_other_words_free(window, monkeypatch):
    said: list[tuple[str, QRectF]] = []

    def record(painter, centre, text):
        said.append((text, tag_box(centre, tag_size(text, painter.font()))))

    for module in (wall_layer, dimensions):
        monkeypatch.setattr(module, "tag", record)
    project = window.models.project
    bottom = DOCUMENT.placements[0].y + DOCUMENT.placements[0].height / 2
    window.models.selection.select(PlacementItem("placement-1"))
    for off in range(-40, 41, 10):
        project.edit("Move", set_field(DOCUMENT, "hangings.0.start_point", (1000.0, bottom + off)))
        said.clear()
        window.canvas.grab()
        boxes = dict(said)
        size = next(box for text, box in boxes.items() if "×" in text)
        assert not boxes["start"].intersects(size), off


def test_a_word_stands_below_its_mark_unless_that_is_taken(qapp):
    font, point = QFont(), QPointF(100, 100)
    below = free_place(point, "start", font, ())
    assert below.x() == 100 and below.y() > 110
    taken = [tag_box(below, tag_size("start", font))]
    above = free_place(point, "start", font, taken)
    assert above.x() == 100 and above.y() < 90
    taken.append(tag_box(above, tag_size("start", font)))
    assert free_place(point, "start", font, taken).x() > 110
    assert free_place(point, "start", font, [QRectF(0, 0, 200, 200)]) == below
