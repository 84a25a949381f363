"""Names on a wall with several hangings: all can be read, and the legend leaves free what is taken hold of."""

import itertools

import pytest
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QFont, QImage, QPainter

from tests.support.planners import Scripted
from wallwright.document import edits
from wallwright.document.register import RegisterMark
from wallwright.planning.examples import frieze
from wallwright.window.canvas.canvas import Canvas
from wallwright.window.canvas.hanging_labels import HangingLabels, common_name, hanging_points
from wallwright.window.canvas.hangings_layer import register_marks
from wallwright.window.canvas.view import View
from wallwright.window.model.models import Models

OFFSETS = ((-90.0, 1060.0), (220.0, 480.0), (-220.0, 480.0), (0.0, 570.0), (100.0, 1020.0), (-100.0, 480.0))
"""mm from a handover line and below the anchors: marks as planning places them for the frieze."""


@pytest.fixture
def models(qapp):
    """Four hangings with six register marks between each two."""
    document = frieze()
    for number in (1, 2, 3):
        line = (document.hangings[number - 1].right.x + document.hangings[number].left.x) / 2
        marks = tuple(RegisterMark(f"{number + 1}{chr(65 + i)}", line + x, y) for i, (x, y) in enumerate(OFFSETS))
        document = edits.set_field(document, f"hangings.{number}.register.marks", marks)
    return Models.of(document, Scripted())


def all_apart(labels) -> bool:
    return not any(one.box.intersects(other.box) for one, other in itertools.combinations(labels, 2))


def crosses(models, view) -> list[QRectF]:
    points = [view.to_screen(mark.x, mark.y) for _, mark in register_marks(models)]
    return [QRectF(at.x() - 5, at.y() - 5, 10, 10) for at in points]


@pytest.mark.parametrize("current", range(4))
@pytest.mark.parametrize("scale", [0.1, 0.15, 0.3, 1.0])
def test_every_mark_has_its_name_and_none_covers_another(models, scale, current):
    models.selection.set_current_hanging(current)
    view = View(-900.0, -400.0, scale)
    labels = HangingLabels().placed(view, models, QFont(), [])
    names = {mark.name for _, mark in register_marks(models)}
    others = {h.name for i, h in enumerate(models.project.document.hangings) if i != current}
    assert {label.text for label in labels} == names | others
    assert all_apart(labels)
    covered = [
        *crosses(models, view),
        *(QRectF(at.x() - 4, at.y() - 4, 8, 8) for at in hanging_points(view, models.project.document)),
    ]
    assert not [label.text for label in labels for box in covered if label.box.intersects(box)]


def test_from_afar_marks_have_one_name_for_all_of_them(models):
    labels = HangingLabels().placed(View(-900.0, -400.0, 0.035), models, QFont(), [])
    texts = [label.text for label in labels]
    assert texts == ["2A–2F", "3A–3F", "4A–4F", "Hanging 2", "Hanging 3", "Hanging 4"]
    assert all_apart(labels)


def test_a_name_that_is_not_beside_its_mark_has_a_line_to_it(models):
    view = View(-900.0, -400.0, 0.1)
    labels = HangingLabels().placed(view, models, QFont(), [])
    points = {mark.name: view.to_screen(mark.x, mark.y) for _, mark in register_marks(models)}
    led = [label for label in labels if label.mark is not None]
    assert led and all((label.mark - points[label.text]).manhattanLength() < 1e-6 for label in led)


def test_names_move_with_the_wall_and_leave_other_words_free(models):
    labels, view = HangingLabels(), View(-900.0, -400.0, 0.1)
    before = labels.placed(view, models, QFont(), [])
    after = labels.placed(view.moved(33.0, -21.0), models, QFont(), [])
    shift = QPointF(33.0, -21.0)
    assert all((b.centre - a.centre - shift).manhattanLength() < 1e-6 for a, b in zip(before, after, strict=True))
    word = before[0].box
    assert not any(label.box.intersects(word) for label in labels.placed(view, models, QFont(), [word]))


@pytest.mark.parametrize(("names", "text"), [("A", "A"), ("BA", "A, B"), ("DACB", "A–D")])
def test_one_name_for_several_marks(names, text):
    assert common_name([RegisterMark(name, 0.0, 0.0) for name in names]) == text


@pytest.mark.parametrize("size", [(740, 530), (660, 480)])
@pytest.mark.parametrize("aside", [(0.0, 0.0), (340.0, 250.0), (-260.0, -120.0), (500.0, 60.0)])
@pytest.mark.parametrize("scale", [0.1, 0.16, 0.25])
def test_the_legend_leaves_anchors_free(qtbot, models, size, aside, scale):
    """The canvas in windows of 1366 x 768 and 1280 x 720, wherever the view is."""
    canvas = Canvas(models)
    qtbot.addWidget(canvas, before_close_func=lambda canvas: canvas.ink.close())
    canvas.resize(*size)
    canvas.view = View(-900.0, -400.0, scale).moved(*aside)
    canvas._fit = View()
    frame = canvas._frame(has_zone=True)
    canvas.grab()
    drawn = canvas._painting._legend
    assert not drawn.box.isEmpty()
    assert not [at for at in hanging_points(frame.view, frame.document) if drawn.box.contains(at)]


@pytest.mark.parametrize("width", [560, 700, 1100])
def test_the_numbers_of_the_machine_cover_no_legend(qtbot, models, width):
    """Beside each other in a wide window; else the numbers stand above."""
    canvas = Canvas(models)
    qtbot.addWidget(canvas, before_close_func=lambda canvas: canvas.ink.close())
    canvas.resize(width, 480)
    canvas.fit()
    canvas.show_machine((1200.0, 1500.0))
    canvas.grab()
    frame, legend = canvas._frame(has_zone=True), canvas._painting._legend
    painter = QPainter(QImage(8, 8, QImage.Format.Format_RGB32))
    box = frame.machine.numbers_box(painter, frame.inner_area, frame.models.origin.present, legend.box)
    painter.end()
    assert not legend.box.isEmpty() and not box.intersects(legend.box)
    assert frame.inner_area.adjusted(-1, -1, 1, 1).contains(box)
